package sallyport_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	sp "sallyport"
)

// A move that was tried and not made leaves no trace: what comes after is as
// if it had never been tried. One that was made is made as by Do.
func TestTryLeavesNoTrace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		show, plan := drawPlan(t, false)
		start, _ := sp.StartState(show, plan)
		plain := sp.NewPlayer(sp.NewIndex(show), start).Branch()
		tried := plain.Branch()
		for i := range plan.Moves {
			m := &plan.Moves[i]
			before := tried.State()
			if bad := tried.Try(m, func(sp.Fault) bool { return true }); len(bad) > 0 {
				if d := cmp.Diff(before, tried.State()); d != "" {
					t.Fatalf("%s of %s left a trace:\n%s", m.Kind, m.Unit, d)
				}
				want, got := plain.Do(m), tried.Do(m)
				if d := cmp.Diff(want, got); d != "" {
					t.Fatalf("%s of %s is judged otherwise after it was tried:\n%s", m.Kind, m.Unit, d)
				}
			} else {
				plain.Do(m)
			}
			if d := cmp.Diff(plain.State(), tried.State()); d != "" {
				t.Fatalf("after %s of %s things stand otherwise:\n%s", m.Kind, m.Unit, d)
			}
		}
	})
}

// A vehicle across the mouth of its lane bars who stands behind it; taken away
// it does not.
func TestObstruct(t *testing.T) {
	show := sp.Complete(&sp.Show{
		Name: "Mouth", Park: sp.Park{Lanes: []sp.Lane{{ID: "A1", Length: 1200}}},
		Vehicles: []sp.Vehicle{{ID: "dunlin", Name: "Dunlin", Length: 400}, {ID: "knot", Name: "Knot", Length: 400}},
	})
	plan := &sp.Plan{Start: []sp.LaneLayout{{Lane: "A1", Units: []sp.UnitID{"dunlin", "knot"}}}}
	start, _ := sp.StartState(show, plan)
	p := sp.NewPlayer(sp.NewIndex(show), start).Branch()
	p.Obstruct("dunlin", "A1", sp.Mouth)
	if at := p.Lane("A1")[0]; at.Unit != "dunlin" || at.From != -200 {
		t.Errorf("Dunlin stands at %+v, want half out of the lane", at)
	}
	leave := &sp.Move{ID: "1", Kind: sp.MoveDepart, Unit: "knot", From: sp.AtLane("A1", ""), To: sp.Pos{Kind: sp.InAway}}
	blocked := func(f sp.Fault) bool { return f.Rule == sp.RuleBlocked }
	if len(p.Try(leave, blocked)) == 0 {
		t.Error("Knot leaves through Dunlin")
	}
	p.Remove("dunlin")
	if bad := p.Try(leave, blocked); len(bad) > 0 {
		t.Errorf("Dunlin is gone, but: %v", bad)
	}
}
