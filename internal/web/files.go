package web

import (
	"bytes"
	"context"
	"fmt"
	"regexp"
	"strings"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/picture"
	"sallyport/internal/store"
	"sallyport/internal/workbook"
)

// content returns the draft of the show in the path, or the issue that
// ?issue=N names, with its name in a file's name.
func (s *Server) content(c *call) (store.Content, string, error) {
	id, err := c.show()
	if err != nil {
		return store.Content{}, "", err
	}
	n, err := c.number("issue")
	if err != nil {
		return store.Content{}, "", err
	}
	return s.stateOf(c.Context(), id, n)
}

// stateOf returns an issue, or with number 0 the draft.
func (s *Server) stateOf(ctx context.Context, id store.ShowID, issue int) (store.Content, string, error) {
	if issue > 0 {
		i, err := s.Store.Issue(ctx, id, issue)
		if err != nil {
			return store.Content{}, "", err
		}
		return i.Content, fmt.Sprintf("%s-issue-%d", fileName(i.Content.Show.Name), i.Number), nil
	}
	d, err := s.Store.Draft(ctx, id)
	if err != nil {
		return store.Content{}, "", err
	}
	return d.Content, fmt.Sprintf("%s-draft-%d", fileName(d.Content.Show.Name), d.Version), nil
}

var notInNames = regexp.MustCompile(`[^a-z0-9]+`)

// fileName returns a name that every system takes as part of a file's name.
func fileName(name string) string {
	text := strings.Trim(notInNames.ReplaceAllString(strings.ToLower(name), "-"), "-")
	if text == "" {
		return "show"
	}
	return text[:min(len(text), 60)]
}

// exportZip gives a show with all that is kept of it, as one file.
func (s *Server) exportZip(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	show, err := s.Store.Show(c.Context(), id)
	if err != nil {
		return answer{}, err
	}
	var b bytes.Buffer
	if err := s.Store.Export(c.Context(), id, &b); err != nil {
		return answer{}, err
	}
	return answer{raw: b.Bytes(), mime: "application/zip", file: fileName(show.Name) + ".zip"}, nil
}

// showXLSX gives the workbook, with the plan on its sheet of places.
func (s *Server) showXLSX(c *call) (answer, error) {
	x, name, err := s.content(c)
	if err != nil {
		return answer{}, err
	}
	var sketch []sallyport.Placement
	if x.Plan != nil && x.Plan.From == nil { // a plan that goes on from a moment has no start of the show
		sketch = sallyport.SketchOf(x.Plan)
	}
	var b bytes.Buffer
	if err := workbook.WriteXLSX(&b, x.Show, sketch); err != nil {
		return answer{}, err
	}
	return answer{raw: b.Bytes(), mime: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", file: name + ".xlsx"}, nil
}

// planJSON gives the plan.
func (s *Server) planJSON(c *call) (answer, error) {
	x, name, err := s.content(c)
	if err != nil {
		return answer{}, err
	}
	if x.Plan == nil {
		return answer{}, sallyport.Errorf(sallyport.CodeNotFound, "plan it first", "%s has no plan yet", x.Show.Name)
	}
	var b bytes.Buffer
	if err := workbook.WritePlanJSON(&b, x.Plan); err != nil {
		return answer{}, err
	}
	return answer{raw: b.Bytes(), mime: "application/json", file: name + "-plan.json"}, nil
}

// picture draws the park at a moment: ?at=D2+10:00, else the first morning.
func (s *Server) picture(c *call) (answer, error) {
	at := sallyport.At(1, 6, 0)
	if text := c.URL.Query().Get("at"); text != "" {
		var err error
		if at, err = sallyport.ParseInstant(text); err != nil {
			return answer{}, err
		}
	}
	r, err := s.readyFor(c)
	if err != nil {
		return answer{}, err
	}
	show, plan := r.played()
	m := desk.Moment(show, plan, at)
	svg := picture.SVG(show, m.State, picture.Options{Title: m.Title, Due: m.Due, Moves: m.Moves})
	return answer{raw: lit(svg, c.URL.Query().Get("dark")), mime: "image/svg+xml"}, nil
}

// readyFor returns the draft of the show in the path, or the issue that
// ?issue=N names, with what was worked out of it.
func (s *Server) readyFor(c *call) (*ready, error) {
	id, err := c.show()
	if err != nil {
		return nil, err
	}
	n, err := c.number("issue")
	if err != nil {
		return nil, err
	}
	if n > 0 {
		return s.tables.of(state{show: id, issue: n}, func() (store.Content, error) {
			i, err := s.Store.Issue(c.Context(), id, n)
			return i.Content, err
		})
	}
	d, err := s.Store.Newest(c.Context(), id)
	if err == nil && s.tables.find(state{show: id, version: d.Version}) == nil {
		d, err = s.Store.Draft(c.Context(), id)
	}
	if err != nil {
		return nil, err
	}
	return s.draftAt(c.Context(), d)
}

// lit returns a drawing for a dark ("1") or a light ("0") page; else the
// reader's setting decides.
func lit(svg []byte, dark string) []byte {
	when, ok := map[string]string{"1": "@media all", "0": "@media not all"}[dark]
	if !ok {
		return svg
	}
	return bytes.ReplaceAll(svg, []byte("@media (prefers-color-scheme:dark)"), []byte(when))
}
