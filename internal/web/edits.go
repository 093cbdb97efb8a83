package web

import (
	"strings"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/store"
)

// editRoutes lists the routes that change a draft.
func editRoutes() []route {
	const show = "/api/shows/{id}"
	return []route{
		{method: "PUT", path: show + "/show", roles: planners, match: true, says: "the show as edited; the plan is laid out anew in the same lanes", in: ShowEdit{}, out: desk.Table{}, do: (*Server).editShow},
		{method: "POST", path: show + "/held", roles: planners, match: true, says: "whether it would do to put a stay into a lane; saves nothing", in: desk.Put{}, out: desk.PutHeld{}, do: (*Server).held},
		{method: "POST", path: show + "/place", roles: planners, match: true, says: "puts a stay into a lane", in: desk.Put{}, out: desk.Table{}, do: (*Server).place},
		{method: "POST", path: show + "/fix", roles: planners, match: true, says: "fixes vehicles where they are, or lets them go", in: desk.FixAsk{}, out: desk.Table{}, do: (*Server).fix},
	}
}

// draftFor returns the draft that a change is made from. When another version
// is the newest, the error is a conflict.
func (s *Server) draftFor(c *call) (store.Draft, error) {
	id, version, err := c.change()
	if err != nil {
		return store.Draft{}, err
	}
	return s.draftAsSeen(c, id, version)
}

// draftAsSeen returns a draft of which this version has been seen.
func (s *Server) draftAsSeen(c *call, id store.ShowID, version int64) (store.Draft, error) {
	d, err := s.Store.Draft(c.Context(), id)
	if err != nil {
		return store.Draft{}, err
	}
	if d.Version != version {
		return store.Draft{}, store.NewConflict(d, store.Draft{Show: id, Version: version, Author: c.who.Name})
	}
	return d, nil
}

// ShowEdit is a show as edited, and in a few words what was done.
type ShowEdit struct {
	What string          `json:"what"`
	Show *sallyport.Show `json:"show"`
}

// editShow takes a show as edited. While it contradicts itself, the plan stays
// as it is: it may be half typed.
func (s *Server) editShow(c *call) (answer, error) {
	d, err := s.draftFor(c)
	if err != nil {
		return answer{}, err
	}
	var ask ShowEdit
	if err := c.json(&ask); err != nil {
		return answer{}, err
	}
	if ask.Show == nil {
		return answer{}, sallyport.Errorf(sallyport.CodeInput, "send the whole show", "there is no show in what was sent")
	}
	if ask.Show.Format != "" && ask.Show.Format != sallyport.FormatShow {
		return answer{}, sallyport.Errorf(sallyport.CodeInput, "this version reads "+sallyport.FormatShow, "the format %q is not known", ask.Show.Format)
	}
	what := strings.TrimSpace(ask.What)
	if what == "" {
		what = "the show"
	}
	content, err := s.refit(c, d.Content, ask.Show)
	if err != nil {
		return answer{}, err
	}
	return s.save(c, d.Show, d.Version, content, what)
}

// refit returns a changed show with the plan laid out anew. A plan that goes
// on from a moment of the day is not laid out again: what has happened stays.
func (s *Server) refit(c *call, old store.Content, show *sallyport.Show) (store.Content, error) {
	content := store.Content{Show: show, Plan: old.Plan}
	if old.Plan == nil || old.Plan.From != nil || len(sallyport.Stops(sallyport.Validate(show))) > 0 {
		return content, nil
	}
	a, err := desk.Refit(c.Context(), show, old.Plan)
	if err != nil {
		return store.Content{}, err
	}
	content.Plan = a.Plan
	return content, nil
}

// held says whether it would do to put a stay into a lane.
func (s *Server) held(c *call) (answer, error) {
	id, version, err := c.change()
	if err != nil {
		return answer{}, err
	}
	var ask desk.Put
	if err := c.json(&ask); err != nil {
		return answer{}, err
	}
	d, err := s.Store.Newest(c.Context(), id)
	if err != nil {
		return answer{}, err
	}
	if d.Version != version {
		return answer{}, store.NewConflict(d, store.Draft{Show: id, Version: version, Author: c.who.Name})
	}
	r, err := s.draftAt(c.Context(), d)
	if err != nil {
		return answer{}, err
	}
	if err := placeable(r.content); err != nil {
		return answer{}, err
	}
	h, err := r.over(ask)
	return answer{body: h}, err
}

// placeable returns an error when nobody can be put elsewhere in a plan.
func placeable(x store.Content) error {
	if x.Plan != nil && x.Plan.From != nil {
		return sallyport.Errorf(sallyport.CodeInput, "say on the day where it stands, or put back an issue from before", "the plan goes on from a moment of the day: who stands where by then is what has happened")
	}
	if stops := sallyport.Stops(sallyport.Validate(x.Show)); len(stops) > 0 {
		return &refusal{problems: problemsOf(stops), err: sallyport.Errorf(sallyport.CodeInput, "put that right first", "the show contradicts itself: %s", stops[0].Message)}
	}
	return nil
}

// place puts a stay into a lane.
func (s *Server) place(c *call) (answer, error) {
	d, err := s.draftFor(c)
	if err != nil {
		return answer{}, err
	}
	var ask desk.Put
	if err := c.json(&ask); err != nil {
		return answer{}, err
	}
	content, what, err := placed(c, d.Content, ask)
	if err != nil {
		return answer{}, err
	}
	return s.save(c, d.Show, d.Version, content, what)
}

// placed returns a draft with a stay put into a lane, and says what was done.
func placed(c *call, old store.Content, ask desk.Put) (store.Content, string, error) {
	if err := placeable(old); err != nil {
		return old, "", err
	}
	a, err := desk.Place(c.Context(), old.Show, old.Plan, ask)
	if err != nil {
		return old, "", err
	}
	name := sallyport.NewIndex(a.Show).UnitName(ask.Unit)
	what := name + " to " + string(ask.Lane)
	if ask.Lane == "" {
		what = name + " to the gate"
	}
	return store.Content{Show: old.Show, Plan: a.Plan}, what, nil
}

// fix fixes vehicles where they are, or lets them go.
func (s *Server) fix(c *call) (answer, error) {
	d, err := s.draftFor(c)
	if err != nil {
		return answer{}, err
	}
	var ask desk.FixAsk
	if err := c.json(&ask); err != nil {
		return answer{}, err
	}
	content, err := s.fixed(c, d.Content, ask)
	if err != nil {
		return answer{}, err
	}
	return s.save(c, d.Show, d.Version, content, fixedWhat(d.Content.Show, ask))
}

// fixed returns a draft with vehicles fixed where they are, or let go.
func (s *Server) fixed(c *call, old store.Content, ask desk.FixAsk) (store.Content, error) {
	if len(ask.Units)+len(ask.Lanes) == 0 {
		return old, sallyport.Errorf(sallyport.CodeInput, "name vehicles or lanes", "nothing is named that could be fixed")
	}
	show, err := desk.Fix(old.Show, old.Plan, ask)
	if err != nil {
		return old, err
	}
	return s.refit(c, old, show)
}

// fixedWhat says what was fixed or let go.
func fixedWhat(show *sallyport.Show, ask desk.FixAsk) string {
	ix := sallyport.NewIndex(show)
	var names []string
	for _, u := range ask.Units {
		names = append(names, ix.UnitName(u))
	}
	for _, l := range ask.Lanes {
		names = append(names, "lane "+string(l))
	}
	const most = 3
	text := strings.Join(names[:min(most, len(names))], ", ")
	if n := len(names) - most; n > 0 {
		text += " and more"
	}
	if ask.Fixed {
		return text + " fixed"
	}
	return text + " let go"
}
