package desk_test

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/paper"
	"sallyport/internal/solve"
)

// strangers put into a move what the show does not have.
var strangers = []struct {
	name string
	put  func(m *sallyport.Move)
}{
	{"unit", func(m *sallyport.Move) { m.Unit = "nobody" }},
	{"serial", func(m *sallyport.Move) { m.Serial = "nothing" }},
	{"entry", func(m *sallyport.Move) { m.Entry = "nothing" }},
	{"duty", func(m *sallyport.Move) { m.Serial, m.Duty = "", "nothing" }},
	{"window", func(m *sallyport.Move) { m.Window = "nothing" }},
	{"from", func(m *sallyport.Move) { m.From.ID = "nowhere" }},
	{"to", func(m *sallyport.Move) { m.To.ID = "nowhere" }},
	{"kind", func(m *sallyport.Move) { m.Kind = "levitate" }},
	{"start", func(m *sallyport.Move) { m.Start = -1 }},
	{"units", func(m *sallyport.Move) { m.Unit, m.Units = "", []sallyport.UnitID{"nobody"} }},
	{"nobody at all", func(m *sallyport.Move) { m.Unit, m.Units = "", nil }},
}

// smallShow returns a small show, complete, and a plan for a show of any name.
func smallShow(t *testing.T) (*sallyport.Show, sallyport.Plan) {
	t.Helper()
	var given sallyport.Show
	var plan sallyport.Plan
	for path, into := range map[string]any{"../picture/testdata/small.show.json": &given, "../picture/testdata/small.plan.json": &plan} {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(data, into); err != nil {
			t.Fatalf("%s: %v", path, err)
		}
	}
	plan.Show = ""
	show := sallyport.Complete(&given)
	return show, plan
}

// TestStrangePlans holds that a plan which names what the show does not have
// is judged, explained, drawn and printed like any other.
func TestStrangePlans(t *testing.T) {
	show, plan := smallShow(t)
	cost := sallyport.Evaluate(show, &plan)
	same := &desk.Planner{
		Look: func(context.Context, *sallyport.Show, *sallyport.Plan, uint64) (*solve.Outlook, error) {
			return &solve.Outlook{Plan: &plan, Cost: cost, Workable: true}, nil
		},
		Plan: func(context.Context, *sallyport.Show, *sallyport.Plan, uint64) (*desk.Answer, error) {
			return &desk.Answer{Show: show, Plan: &plan, Report: sallyport.Report{Cost: cost}}, nil
		},
	}
	try := func(t *testing.T, plan *sallyport.Plan) {
		a, err := desk.Check(t.Context(), show, plan)
		if err != nil {
			t.Fatal(err)
		}
		why, err := desk.Explain(t.Context(), show, plan, desk.ExplainOptions{PerTerm: 5, Cures: true, Planner: same}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if err := paper.HTML(io.Discard, desk.Page(a, why)); err != nil {
			t.Fatal(err)
		}
		desk.Moment(show, plan, sallyport.At(2, 11, 0))
		if len(a.Summary()) == 0 {
			t.Error("nothing is said of the plan")
		}
	}
	for i := range plan.Moves {
		for _, s := range strangers {
			t.Run(fmt.Sprintf("%s of %s", s.name, plan.Moves[i].ID), func(t *testing.T) {
				changed := plan
				changed.Moves = append([]sallyport.Move(nil), plan.Moves...)
				s.put(&changed.Moves[i])
				try(t, &changed)
			})
		}
	}
	for i := range plan.Start {
		t.Run(fmt.Sprintf("start of %s", plan.Start[i].Lane), func(t *testing.T) {
			changed := plan
			changed.Start = append([]sallyport.LaneLayout(nil), plan.Start...)
			changed.Start[i].Units = append([]sallyport.UnitID{"nobody"}, plan.Start[i].Units...)
			try(t, &changed)
			changed.Start[i].Lane = "nowhere"
			try(t, &changed)
		})
	}
}
