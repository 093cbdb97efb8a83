package web

import (
	"fmt"
	"strconv"
	"strings"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/store"
)

// compareRoutes lists the routes that look at several states, or at one that
// is not kept.
func compareRoutes() []route {
	const show = "/api/shows/{id}"
	return []route{
		{method: "GET", path: show + "/compare", roles: everyone, query: []string{"a", "b"}, says: "two states side by side, each issue:N, copy:N or draft", out: comparisonBody{}, do: (*Server).compare},
		{method: "POST", path: show + "/clashes", roles: planners, says: "what an order of events being typed clashes with; saves nothing", in: ShowTyped{}, out: []desk.Clash{}, do: (*Server).clashes},
	}
}

// comparisonBody is a comparison whose notices have their lines.
type comparisonBody struct {
	*desk.Comparison
	Notices []noticeBody `json:"notices"`
}

// compare sets two states side by side.
func (s *Server) compare(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	a, err := s.side(c, id, "a")
	if err != nil {
		return answer{}, err
	}
	b, err := s.side(c, id, "b")
	if err != nil {
		return answer{}, err
	}
	x := desk.Compare(a, b)
	body := comparisonBody{x, []noticeBody{}}
	named := sallyport.Complete(b.Show)
	for _, n := range x.Notices {
		body.Notices = append(body.Notices, noticeBody{n, n.Line(named)})
	}
	return answer{body: body}, nil
}

// side returns the state that a parameter of the query names.
func (s *Server) side(c *call, id store.ShowID, name string) (desk.Side, error) {
	text := c.URL.Query().Get(name)
	if text == "draft" {
		d, err := s.Store.Draft(c.Context(), id)
		return desk.Side{Name: fmt.Sprintf("Draft %d", d.Version), Show: d.Content.Show, Plan: d.Content.Plan}, err
	}
	kind, number, _ := strings.Cut(text, ":")
	n, err := strconv.Atoi(number)
	if err == nil && n > 0 && kind == "issue" {
		i, err := s.Store.Issue(c.Context(), id, n)
		return desk.Side{Name: fmt.Sprintf("Issue %d", n), Show: i.Content.Show, Plan: i.Content.Plan}, err
	}
	if err == nil && n > 0 && kind == "copy" {
		x, err := s.Store.Copy(c.Context(), id, n)
		return desk.Side{Name: fmt.Sprintf("Saved copy %d", n), Show: x.Content.Show, Plan: x.Content.Plan}, err
	}
	return desk.Side{}, sallyport.Errorf(sallyport.CodeInput, "give draft, issue:2 or copy:1", "%s=%s names no state of the show", name, text)
}

// ShowTyped is a show as it is being typed.
type ShowTyped struct {
	Show *sallyport.Show `json:"show"`
}

// clashes says what an order of events clashes with.
func (s *Server) clashes(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	var ask ShowTyped
	if err := c.json(&ask); err != nil {
		return answer{}, err
	}
	if ask.Show == nil {
		return answer{}, sallyport.Errorf(sallyport.CodeInput, "send the whole show", "there is no show in what was sent")
	}
	if _, err := s.Store.Newest(c.Context(), id); err != nil {
		return answer{}, err
	}
	return answer{body: orEmpty(desk.Clashes(ask.Show))}, nil
}
