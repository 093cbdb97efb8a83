package web

import (
	"net/http"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/store"
)

// asideRoutes lists the route by which edits are kept beside the draft.
func asideRoutes() []route {
	return []route{
		{method: "POST", path: "/api/shows/{id}/copies", roles: planners, says: "keeps what edits would make of the draft as a saved copy; the draft stays as it is", in: Aside{}, out: CopyLine{}, do: (*Server).setAside},
	}
}

// Aside is what was not put into the draft, for somebody else was quicker, and
// is not to be lost.
type Aside struct {
	Note  string `json:"note"`
	Edits []Edit `json:"edits"` // made one after the other, on the newest draft
}

// Edit is one change of a draft: one of the three.
type Edit struct {
	Show  *sallyport.Show `json:"show,omitempty"`
	Place *desk.Put       `json:"place,omitempty"`
	Fix   *desk.FixAsk    `json:"fix,omitempty"`
}

// setAside keeps edits as a saved copy.
func (s *Server) setAside(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	var ask Aside
	if err := c.json(&ask); err != nil {
		return answer{}, err
	}
	if len(ask.Edits) == 0 {
		return answer{}, sallyport.Errorf(sallyport.CodeInput, "send at least one", "there are no edits to be kept")
	}
	d, err := s.Store.Draft(c.Context(), id)
	if err != nil {
		return answer{}, err
	}
	content := d.Content
	for _, e := range ask.Edits {
		if content, err = s.edited(c, content, e); err != nil {
			return answer{}, err
		}
	}
	x, err := s.Store.KeepCopy(c.Context(), id, d.Version, content, c.who.Name, ask.Note)
	if err != nil {
		return answer{}, err
	}
	return answer{status: http.StatusCreated, body: copyLine(x)}, nil
}

// edited returns what an edit makes of a draft.
func (s *Server) edited(c *call, old store.Content, e Edit) (store.Content, error) {
	switch {
	case e.Show != nil && e.Place == nil && e.Fix == nil:
		return s.refit(c, old, e.Show)
	case e.Place != nil && e.Show == nil && e.Fix == nil:
		content, _, err := placed(c, old, *e.Place)
		return content, err
	case e.Fix != nil && e.Show == nil && e.Place == nil:
		return s.fixed(c, old, *e.Fix)
	}
	return old, sallyport.Errorf(sallyport.CodeInput, "give one of them", "an edit is a show, a place or what is fixed")
}
