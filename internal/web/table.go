package web

import (
	"context"
	"net/http"
	"strings"

	"sallyport/internal/desk"
	"sallyport/internal/store"
)

// tableRoutes lists the routes of the table itself.
func tableRoutes() []route {
	const show = "/api/shows/{id}"
	return []route{
		{method: "GET", path: show + "/table", roles: everyone, query: []string{"issue"}, says: "all that the table shows of the draft, or of an issue", out: desk.Table{}, do: (*Server).table},
	}
}

// table answers with the table of the draft, or of an issue.
func (s *Server) table(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	n, err := c.number("issue")
	if err != nil {
		return answer{}, err
	}
	if n > 0 {
		return s.issueTable(c, id, n)
	}
	show, err := s.Store.Show(c.Context(), id)
	if err != nil {
		return answer{}, err
	}
	d, err := s.Store.Newest(c.Context(), id)
	if err == nil && s.tables.find(state{show: id, version: d.Version}) == nil {
		d, err = s.Store.Draft(c.Context(), id)
	}
	if err != nil {
		return answer{}, err
	}
	// When only the draft has changed since it was saved, its version says all.
	// A server in between that compresses marks the tag as weak.
	if strings.TrimPrefix(c.Header.Get("If-None-Match"), "W/") == tag(d.Version) && show.Changed.Equal(d.Saved) {
		return answer{status: http.StatusNotModified, version: d.Version}, nil
	}
	return s.draftTable(c.Context(), show, d)
}

// draftTable answers with the table of a draft.
func (s *Server) draftTable(ctx context.Context, show store.Show, d store.Draft) (answer, error) {
	head := desk.Table{
		ID: int64(d.Show), Name: show.Name, Version: d.Version, Author: d.Author, Saved: stamp(d.Saved),
		Archived: !show.Archived.IsZero(), Issued: show.Issues,
	}
	undo, redo, err := s.Store.Steps(ctx, d.Show)
	if err != nil {
		return answer{}, err
	}
	head.Undo, head.Redo = stepOf(undo), stepOf(redo)
	r, err := s.draftAt(ctx, d)
	if err != nil {
		return answer{}, err
	}
	text, zipped, err := r.written(head)
	return answer{version: d.Version, raw: text, zipped: zipped, mime: "application/json"}, err
}

// stepOf returns a step as the table has it.
func stepOf(x *store.Step) *desk.Step {
	if x == nil {
		return nil
	}
	return &desk.Step{What: x.What, Author: x.Author, Version: x.Version}
}

// draftAt returns what is worked out of a version of a draft. The content of
// d may be missing. When another version is the newest by now, there is a
// conflict.
func (s *Server) draftAt(ctx context.Context, d store.Draft) (*ready, error) {
	return s.tables.of(state{show: d.Show, version: d.Version}, func() (store.Content, error) {
		if d.Content.Show != nil {
			return d.Content, nil
		}
		kept, err := s.Store.Draft(ctx, d.Show)
		if err != nil {
			return store.Content{}, err
		}
		if kept.Version != d.Version {
			return store.Content{}, store.NewConflict(kept, d)
		}
		return kept.Content, nil
	})
}

// issueTable answers with the table of an issue.
func (s *Server) issueTable(c *call, id store.ShowID, n int) (answer, error) {
	show, err := s.Store.Show(c.Context(), id)
	if err != nil {
		return answer{}, err
	}
	i, err := s.Store.Issue(c.Context(), id, n)
	if err != nil {
		return answer{}, err
	}
	head := desk.Table{
		ID: int64(id), Name: show.Name, Version: i.Version, Author: i.Author, Saved: stamp(i.Published),
		Archived: !show.Archived.IsZero(), Issue: i.Number, Issued: show.Issues,
	}
	r, err := s.tables.of(state{show: id, issue: n}, func() (store.Content, error) { return i.Content, nil })
	if err != nil {
		return answer{}, err
	}
	text, zipped, err := r.written(head)
	return answer{raw: text, zipped: zipped, mime: "application/json"}, err
}

// save keeps a changed draft, tells others of it, and answers with its table.
func (s *Server) save(c *call, id store.ShowID, version int64, content store.Content, what string) (answer, error) {
	d, err := s.Store.SaveDraft(c.Context(), id, version, content, c.who.Name, what)
	if err != nil {
		return answer{}, err
	}
	return s.saved(c, d)
}

// saved answers with the table of a draft that has been saved. The table is
// made before others hear of it, so that they find it ready.
func (s *Server) saved(c *call, d store.Draft) (answer, error) {
	defer s.hub.tell(d.Show, "draft", draftEvent{d.Version, d.Author, d.What})
	ctx := context.WithoutCancel(c.Context()) // what is saved is told also when the browser has gone away meanwhile
	show, err := s.Store.Show(ctx, d.Show)
	if err != nil {
		return answer{}, err
	}
	return s.draftTable(ctx, show, d)
}
