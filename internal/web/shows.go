package web

import (
	"bytes"
	"context"
	"encoding/json"
	"net/http"
	"strings"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/store"
)

// ShowLine is a show in the list.
type ShowLine struct {
	ID       store.ShowID `json:"id"`
	Name     string       `json:"name"`
	Created  string       `json:"created"`
	Changed  string       `json:"changed"`
	Archived string       `json:"archived,omitempty"`
	Issues   int          `json:"issues"`
	Version  int64        `json:"version"` // of its draft
}

func showLine(x store.Show, version int64) ShowLine {
	return ShowLine{x.ID, x.Name, stamp(x.Created), stamp(x.Changed), stamp(x.Archived), x.Issues, version}
}

// shows lists all shows, archived ones too, the last changed first.
func (s *Server) shows(c *call) (answer, error) {
	list, err := s.Store.Shows(c.Context(), true)
	if err != nil {
		return answer{}, err
	}
	versions, err := s.Store.Versions(c.Context())
	if err != nil {
		return answer{}, err
	}
	lines := make([]ShowLine, len(list))
	for i, x := range list {
		lines[i] = showLine(x, versions[x.ID])
	}
	return answer{body: lines}, nil
}

// NewShow says what a new show begins with. Without a name it is called as the
// demonstration is, "New show", or as what it duplicates, "copy" behind it.
type NewShow struct {
	Name string      `json:"name,omitempty"`
	From ShowPattern `json:"from"`
}

// ShowPattern is "demo", "empty" or, as {"show": 3}, a show to duplicate.
type ShowPattern struct {
	Word string
	Show store.ShowID
}

// UnmarshalJSON reads one of the three.
func (f *ShowPattern) UnmarshalJSON(data []byte) error {
	if err := json.Unmarshal(data, &f.Word); err == nil {
		if f.Word == "demo" || f.Word == "empty" {
			return nil
		}
	}
	var from struct {
		Show store.ShowID `json:"show"`
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&from); err != nil || from.Show < 1 {
		return sallyport.Errorf(sallyport.CodeInput, `give "demo", "empty" or {"show": 3}`, "from says what the new show begins with")
	}
	f.Word, f.Show = "", from.Show
	return nil
}

// emptyShow is what a show begins with when it begins with nothing.
func emptyShow(name string) *sallyport.Show {
	return &sallyport.Show{
		Format: sallyport.FormatShow, Name: name, Days: []sallyport.Day{{Name: "Day 1"}},
		Park: sallyport.Park{Lanes: []sallyport.Lane{}}, Vehicles: []sallyport.Vehicle{}, Serials: []sallyport.Serial{},
	}
}

// newShow begins a show.
func (s *Server) newShow(c *call) (answer, error) {
	var ask NewShow
	if err := c.json(&ask); err != nil {
		return answer{}, err
	}
	name := strings.TrimSpace(ask.Name)
	var made store.Show
	var err error
	switch {
	case ask.From.Show > 0:
		if name == "" {
			old, err := s.Store.Show(c.Context(), ask.From.Show)
			if err != nil {
				return answer{}, err
			}
			name = old.Name + ", copy"
		}
		made, err = s.Store.Duplicate(c.Context(), ask.From.Show, name, c.who.Name)
	case ask.From.Word == "demo" && s.Demo != nil:
		made, err = s.Store.Create(c.Context(), name, store.Content{Show: s.Demo()}, c.who.Name)
	case ask.From.Word == "empty":
		if name == "" {
			name = "New show"
		}
		made, err = s.Store.Create(c.Context(), name, store.Content{Show: emptyShow(name)}, c.who.Name)
	default:
		return answer{}, sallyport.Errorf(sallyport.CodeInput, `give "demo", "empty" or {"show": 3}`, "from says what the new show begins with")
	}
	if err != nil {
		return answer{}, err
	}
	return s.created(c, made)
}

// created answers with a show that has been made.
func (s *Server) created(c *call, made store.Show) (answer, error) {
	d, err := s.Store.Newest(c.Context(), made.ID)
	return answer{status: http.StatusCreated, body: showLine(made, d.Version)}, err
}

// ShowChange renames a show, or puts it into the archive or takes it out.
type ShowChange struct {
	Name     *string `json:"name,omitempty"`
	Archived *bool   `json:"archived,omitempty"`
}

func (s *Server) changeShow(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	var ask ShowChange
	if err := c.json(&ask); err != nil {
		return answer{}, err
	}
	changed, err := s.Store.Show(c.Context(), id)
	if err == nil && ask.Name != nil {
		changed, err = s.Store.Rename(c.Context(), id, *ask.Name)
	}
	if err == nil && ask.Archived != nil {
		if *ask.Archived {
			changed, err = s.Store.Archive(c.Context(), id)
		} else {
			changed, err = s.Store.Unarchive(c.Context(), id)
		}
	}
	if err != nil {
		return answer{}, err
	}
	d, err := s.Store.Newest(context.WithoutCancel(c.Context()), id) // others hear of it also when the browser has gone away
	if err != nil {
		return answer{}, err
	}
	s.hub.tell(id, "draft", draftEvent{d.Version, c.who.Name, "the name or the archive"})
	return answer{body: showLine(changed, d.Version)}, nil
}

// importShow reads an exported show as a new one. All that is wrong with the
// file is told at once.
func (s *Server) importShow(c *call) (answer, error) {
	data, err := c.bytes(maxUpload)
	if err != nil {
		return answer{}, err
	}
	done, err := s.unpacking(c)
	if err != nil {
		return answer{}, err
	}
	defer done()
	made, problems, err := s.Store.Import(c.Context(), bytes.NewReader(data), int64(len(data)))
	if err != nil && len(problems) > 0 {
		return answer{}, &refusal{problems: problemsOf(problems), err: err}
	}
	if err != nil {
		return answer{}, err
	}
	s.Who.Note(c.Request, made.ID, "imported %s", made.Name)
	return s.created(c, made)
}

// problemsOf returns problems of a show as they are sent.
func problemsOf(list []sallyport.Problem) []desk.Problem {
	out := make([]desk.Problem, len(list))
	for i, p := range list {
		out[i] = desk.Problem{Message: p.Message, Hint: p.Advice, Subject: p.Subject, Field: p.Field}
	}
	return out
}
