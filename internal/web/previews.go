package web

import (
	"bytes"
	"net/url"
	"path"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/store"
	"sallyport/internal/workbook"
)

// Limits of previews.
const (
	previewTime  = time.Hour // in which one can be taken
	previewsKept = 20        // at once
)

// preview is a file that was read and may be taken.
type preview struct {
	token string
	show  store.ShowID
	file  string
	until time.Time
	in    *workbook.Input
}

// previews keeps what was read for a while; the oldest go first.
type previews struct {
	now  func() time.Time
	mu   sync.Mutex
	list []preview
}

func newPreviews(now func() time.Time) *previews { return &previews{now: now} }

// keep keeps a file under the token by which it is taken.
func (p *previews) keep(x preview) {
	x.until = p.now().Add(previewTime)
	p.mu.Lock()
	defer p.mu.Unlock()
	p.list = slices.DeleteFunc(p.list, func(y preview) bool { return y.until.Before(p.now()) })
	p.list = append(p.list, x)
	if n := len(p.list) - previewsKept; n > 0 {
		p.list = slices.Delete(p.list, 0, n)
	}
}

// find returns a file that was kept for a show.
func (p *previews) find(id store.ShowID, token string) (preview, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, x := range p.list {
		if x.show == id && x.token == token && !x.until.Before(p.now()) {
			return x, nil
		}
	}
	return preview{}, sallyport.Errorf(sallyport.CodeNotFound, "give the file again", "what was read from the file is no longer kept, an hour at most")
}

// previewRoutes lists the routes by which files come into a draft.
func previewRoutes() []route {
	const show = "/api/shows/{id}"
	return []route{
		{method: "POST", path: show + "/preview", roles: planners, says: "what taking a workbook, or a show in JSON, would change; its name in X-File-Name", in: "application/octet-stream", out: desk.Preview{}, do: (*Server).preview},
		{method: "POST", path: show + "/take", roles: planners, match: true, says: "takes a file that was looked at before", in: Take{}, out: desk.Table{}, do: (*Server).take},
		{method: "POST", path: show + "/paste", roles: planners, says: "rows of a spreadsheet read as serials and entries; saves nothing", in: PasteIn{}, out: desk.Pasted{}, do: (*Server).paste},
	}
}

// fileNameOf returns the name of the file that was sent, for people only.
func (c *call) fileNameOf() string {
	name, err := url.PathUnescape(c.Header.Get("X-File-Name"))
	if err != nil {
		name = c.Header.Get("X-File-Name")
	}
	name = strings.Map(func(r rune) rune {
		if unicode.IsGraphic(r) {
			return r
		}
		return -1
	}, strings.ToValidUTF8(name, "?"))
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	if name == "." || name == "/" {
		return "the file"
	}
	runes := []rune(name)
	return string(runes[:min(len(runes), 120)])
}

// read reads a workbook or a show in JSON, told apart by its first byte.
func read(data []byte) (*workbook.Input, error) {
	if text := bytes.TrimLeft(data, " \t\r\n\ufeff"); len(text) > 0 && text[0] == '{' {
		return workbook.ReadJSON(bytes.NewReader(data))
	}
	return workbook.ReadXLSX(bytes.NewReader(data), int64(len(data)))
}

// unpacking waits until no other file is being unpacked, which takes many times
// a file's size; done lets the next one begin.
func (s *Server) unpacking(c *call) (done func(), err error) {
	select {
	case s.unpack <- struct{}{}:
		return func() { <-s.unpack }, nil
	case <-c.Context().Done():
		return nil, sallyport.Errorf(sallyport.CodeInterrupted, "give the file again", "other files were being read all the while")
	}
}

// preview says what taking a file would change.
func (s *Server) preview(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	d, err := s.Store.Draft(c.Context(), id)
	if err != nil {
		return answer{}, err
	}
	data, err := c.bytes(maxUpload)
	if err != nil {
		return answer{}, err
	}
	done, err := s.unpacking(c)
	if err != nil {
		return answer{}, err
	}
	defer done()
	in, err := read(data)
	if in == nil {
		return answer{}, err
	}
	p := desk.NewPreview(c.fileNameOf(), d.Content.Show, in)
	if err != nil && len(p.Problems) == 0 {
		return answer{}, err
	}
	if len(p.Problems) == 0 {
		if p.Token, err = newToken(s.Who.Rand); err != nil {
			return answer{}, err
		}
		s.previews.keep(preview{token: p.Token, show: id, file: p.File, in: in})
	}
	return answer{body: p}, nil
}

// Take names a file that was looked at before.
type Take struct {
	Token string `json:"token"`
}

// take takes a file into the draft. A plan made by hand in it counts when it
// says something else than the present plan; else everybody keeps his lane.
func (s *Server) take(c *call) (answer, error) {
	d, err := s.draftFor(c)
	if err != nil {
		return answer{}, err
	}
	var ask Take
	if err := c.json(&ask); err != nil {
		return answer{}, err
	}
	x, err := s.previews.find(d.Show, ask.Token)
	if err != nil {
		return answer{}, err
	}
	content, err := s.refit(c, d.Content, x.in.Show)
	if err != nil {
		return answer{}, err
	}
	if made := x.in.Sketch; len(made) > 0 && (d.Plan == nil || !slices.Equal(made, sallyport.SketchOf(d.Plan))) {
		show, _, err := desk.Prepare(x.in.Show, nil)
		if err != nil {
			return answer{}, err
		}
		a, err := desk.CheckSketch(c.Context(), show, made)
		if err != nil {
			return answer{}, err
		}
		content.Plan = a.Plan
	}
	a, err := s.save(c, d.Show, d.Version, content, "taken from "+x.file)
	if err == nil {
		s.Who.Note(c.Request, d.Show, "took %s", x.file)
	}
	return a, err
}

// PasteIn are rows copied from a spreadsheet, for a day of the show.
type PasteIn struct {
	Day  int    `json:"day,omitempty"`
	Text string `json:"text"`
}

// paste reads rows of a spreadsheet.
func (s *Server) paste(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	var ask PasteIn
	if err := c.json(&ask); err != nil {
		return answer{}, err
	}
	d, err := s.Store.Draft(c.Context(), id)
	if err != nil {
		return answer{}, err
	}
	if ask.Day < 0 || ask.Day > len(d.Content.Show.Days) {
		return answer{}, sallyport.Errorf(sallyport.CodeInput, "give a day of the show, from 1 on", "the show has no day %d", ask.Day)
	}
	return answer{body: desk.Paste(d.Content.Show, ask.Day, ask.Text)}, nil
}
