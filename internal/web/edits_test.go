package web

import (
	"fmt"
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
)

// TestTwoEditors: the second of two editors is told who was quicker and which
// version is kept; nothing of the first is written over.
func TestTwoEditors(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	first := good[desk.Table](b, "POST", show+"/place", desk.Put{Unit: "knot", Lane: "A2"}, at(1)...)
	if first.Version != 2 {
		t.Fatalf("saved as version %d", first.Version)
	}
	edited := small()
	edited.Name = "Mine"
	for _, x := range []struct {
		method, path string
		body         any
	}{
		{"POST", "/place", desk.Put{Unit: "dunlin", Lane: "A1"}},
		{"POST", "/held", desk.Put{Unit: "dunlin", Lane: "A1"}},
		{"PUT", "/show", ShowEdit{"x", edited}},
		{"POST", "/fix", desk.FixAsk{Units: []sallyport.UnitID{"knot"}, Fixed: true}},
		{"POST", "/issues", NewIssue{"x"}},
		{"POST", "/take", Take{"x"}},
	} {
		got := b.bad(412, x.method, show+x.path, x.body, at(1)...)
		if got.Code != "conflict" || got.Theirs == nil || got.Theirs.Version != 2 || got.Theirs.Author != "Planner" {
			t.Errorf("%s: %+v", x.path, got)
		}
		b.bad(428, x.method, show+x.path, x.body)
		b.bad(428, x.method, show+x.path, x.body, "If-Match", "*")
	}
	if now := b.table(show); now.Version != 2 || now.Show.Name != "Small show" {
		t.Errorf("kept is version %d of %s", now.Version, now.Show.Name)
	}
}

func TestHeldAndPlaced(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	before := b.table(show)
	for _, lane := range before.Complete.Park.Lanes {
		ask := desk.Put{Unit: "stint", Lane: lane.ID}
		held := good[desk.PutHeld](b, "POST", show+"/held", ask, at(1)...)
		if held.Lane != lane.ID || held.Version != 1 {
			t.Errorf("held is %+v", held)
		}
	}
	if x := b.table(show); x.Version != 1 {
		t.Errorf("holding has saved version %d", x.Version)
	}
	b.bad(404, "POST", show+"/place", desk.Put{Unit: "stint", Lane: "Z9"}, at(1)...)
	for _, place := range []int{-1, 9} {
		for _, path := range []string{"/place", "/held"} {
			if got := b.bad(422, "POST", show+path, desk.Put{Unit: "stint", Lane: "A1", Place: place}, at(1)...); !strings.Contains(got.Detail, fmt.Sprintf("no place %d", place)) {
				t.Errorf("%s: %+v", path, got)
			}
		}
	}
	b.bad(400, "POST", show+"/place", map[string]any{"unit": "stint", "row": "A1"}, at(1)...)
	fixed := good[desk.Table](b, "POST", show+"/fix", desk.FixAsk{Units: []sallyport.UnitID{"stint"}, Fixed: true}, at(1)...)
	if fixed.Version != 2 || fixed.Show.Vehicles[2].Home.Binding != sallyport.Fixed {
		t.Errorf("fixed is %+v", fixed.Show.Vehicles[2].Home)
	}
	b.bad(422, "POST", show+"/fix", desk.FixAsk{Fixed: true}, at(2)...)
}

// TestShowHalfTyped: a show that contradicts itself is kept, with what is wrong
// said and the plan as it was; put right, it is laid out again.
func TestShowHalfTyped(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	half := small()
	half.Serials[0].FormUp = half.Serials[0].ArenaOut + 600
	got := good[desk.Table](b, "PUT", show+"/show", ShowEdit{"times", half}, at(1)...)
	if len(got.Problems) == 0 || got.Plan == nil || got.Version != 2 {
		t.Errorf("half typed: version %d, problems %v", got.Version, got.Problems)
	}
	if p := b.bad(422, "POST", show+"/held", desk.Put{Unit: "knot", Lane: "A2"}, at(2)...); len(p.Problems) == 0 {
		t.Errorf("held over a contradiction: %+v", p)
	}
	got = good[desk.Table](b, "PUT", show+"/show", ShowEdit{"times", small()}, at(2)...)
	if len(got.Problems) != 0 || !got.Workable {
		t.Errorf("put right: %v %v", got.Problems, got.Verdict)
	}
	// A vehicle and its serials more: it stands at the gate.
	more := small()
	more.Vehicles = append(more.Vehicles, sallyport.Vehicle{ID: "ruff", Name: "Ruff", Class: "light wheeled", Length: 400})
	more.Serials[1].Entries = append(more.Serials[1].Entries, sallyport.Entry{ID: "2c", Unit: "ruff"})
	got = good[desk.Table](b, "PUT", show+"/show", ShowEdit{"Ruff", more}, at(3)...)
	gate := 0
	for _, s := range got.Stays {
		if s.Unit == "ruff" && s.Lane == "" {
			gate++
		}
	}
	if gate != 1 {
		t.Errorf("the new vehicle stands in %+v", got.Stays)
	}
	for _, x := range []struct {
		status int
		body   string
	}{
		{400, `{"what":"x","show":{"name":"X","colour":"red"}}`},
		{400, `{"what":"x","show":{"name":7}}`},
		{400, `{"what":"x","show":{"serials":[{"id":"1","form_up":"ten"}]}}`},
		{400, `{"what":"x"`},
		{400, ``},
		{400, `{"what":"x"} {}`},
		{422, `{"what":"x"}`},
		{422, `{"what":"x","show":{"format":"sallyport-show/9","name":"X"}}`},
	} {
		b.bad(x.status, "PUT", show+"/show", []byte(x.body), at(4)...)
	}
}
