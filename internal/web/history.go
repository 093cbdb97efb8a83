package web

import (
	"context"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/store"
)

// historyRoutes lists the routes through the versions of a draft.
func historyRoutes() []route {
	const show = "/api/shows/{id}"
	return []route{
		{method: "POST", path: show + "/undo", roles: planners, match: true, says: "takes back the last edit", out: desk.Table{}, do: (*Server).undo},
		{method: "POST", path: show + "/redo", roles: planners, match: true, says: "makes again what was taken back", out: desk.Table{}, do: (*Server).redo},
		{method: "POST", path: show + "/restore", roles: planners, match: true, says: "puts an issue or a saved copy back as the draft; the present draft is kept as a copy", in: Restore{}, out: desk.Table{}, do: (*Server).restore},
		{method: "GET", path: show + "/history", roles: planners, says: "how the draft came to be, newest first", out: []StepLine{}, do: (*Server).history},
		{method: "GET", path: show + "/copies", roles: planners, says: "drafts and plans that were set aside, newest first", out: []CopyLine{}, do: (*Server).copies},
	}
}

// StepLine is one version of a draft in its history.
type StepLine struct {
	What    string `json:"what"`
	Author  string `json:"author"`
	Version int64  `json:"version"`
	Saved   string `json:"saved"`
}

// history lists how a draft came to be.
func (s *Server) history(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	list, err := s.Store.History(c.Context(), id)
	if err != nil {
		return answer{}, err
	}
	lines := make([]StepLine, len(list))
	for i, x := range list {
		lines[i] = StepLine{x.What, x.Author, x.Version, stamp(x.Saved)}
	}
	return answer{body: lines}, nil
}

// CopyLine is a saved copy in the list.
type CopyLine struct {
	Number  int    `json:"number"`
	Kept    string `json:"kept"`
	Author  string `json:"author"`
	Note    string `json:"note"`    // why it was kept
	Version int64  `json:"version"` // of the draft it was, or was made from
}

func copyLine(x store.Copy) CopyLine {
	return CopyLine{x.Number, stamp(x.Kept), x.Author, x.Note, x.Version}
}

// copies lists the saved copies of a show, the newest first.
func (s *Server) copies(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	list, err := s.Store.Copies(c.Context(), id)
	if err != nil {
		return answer{}, err
	}
	lines := make([]CopyLine, len(list))
	for i, x := range list {
		lines[i] = copyLine(x)
	}
	return answer{body: lines}, nil
}

func (s *Server) undo(c *call) (answer, error) { return s.travel(c, s.Store.Undo) }
func (s *Server) redo(c *call) (answer, error) { return s.travel(c, s.Store.Redo) }

// travel makes an earlier or later version the draft.
func (s *Server) travel(c *call, do func(ctx context.Context, id store.ShowID, version int64, author string) (store.Draft, store.Step, error)) (answer, error) {
	id, version, err := c.change()
	if err != nil {
		return answer{}, err
	}
	d, _, err := do(c.Context(), id, version, c.who.Name)
	if err != nil {
		return answer{}, err
	}
	return s.saved(c, d)
}

// Restore names the state that becomes the draft again: one of the two.
type Restore struct {
	Issue int `json:"issue,omitempty"`
	Copy  int `json:"copy,omitempty"`
}

// restore puts an issue or a saved copy back.
func (s *Server) restore(c *call) (answer, error) {
	id, version, err := c.change()
	if err != nil {
		return answer{}, err
	}
	var ask Restore
	if err := c.json(&ask); err != nil {
		return answer{}, err
	}
	var d store.Draft
	switch {
	case ask.Issue > 0 && ask.Copy == 0:
		d, err = s.Store.RestoreIssue(c.Context(), id, version, ask.Issue, c.who.Name)
	case ask.Copy > 0 && ask.Issue == 0:
		d, err = s.Store.RestoreCopy(c.Context(), id, version, ask.Copy, c.who.Name)
	default:
		err = sallyport.Errorf(sallyport.CodeInput, "give the number of one of them", "an issue or a saved copy can be put back")
	}
	if err != nil {
		return answer{}, err
	}
	s.Who.Note(c.Request, d.Show, "%s", d.What)
	return s.saved(c, d)
}
