package desk

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	"sallyport"
)

// TestCureSpares holds that the one move aside of the show with one lane is
// explained, and that the cure found for it spares it by the judge's own
// figures.
func TestCureSpares(t *testing.T) {
	show, _, err := Prepare(oneLane(), nil)
	if err != nil {
		t.Fatal(err)
	}
	a, err := Plan(t.Context(), show, PlanOptions{Seed: 1, Steps: 100_000, Workers: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	why := func(workers int) *Explanation {
		looked := 0
		x, err := Explain(t.Context(), show, a.Plan, ExplainOptions{Cures: true, Planner: NewPlanner(PlanOptions{Seed: 1, Steps: 1_000_000, Workers: workers})}, func(done, all int) { looked = done })
		if err != nil {
			t.Fatal(err)
		}
		if looked == 0 {
			t.Error("no sign of life")
		}
		return x
	}
	x := why(1)
	i := slices.IndexFunc(x.Reasons, func(r Reason) bool { return r.Term == sallyport.TermAside })
	if i < 0 || x.Reasons[i].Cure == nil {
		t.Fatalf("no cure of the move aside: %+v", x.Reasons)
	}
	cure := x.Reasons[i].Cure
	if cure.Term != 0 || cure.Saves != int64(x.Base)-cure.Total || len(cure.People) == 0 {
		t.Errorf("the cure %+v of a plan that costs %s", cure, x.Base)
	}
	if strings.Contains(cure.Change, "struck") || strings.Contains(cure.Change, "one more lane") {
		t.Errorf("%q asks more than is needed", cure.Change)
	}
	if other := why(3); other.Reasons[i].Cure.Change != cure.Change {
		t.Errorf("with three workers the cure is %q, with one %q", other.Reasons[i].Cure.Change, cure.Change)
	}
}

// TestCuresInterrupted holds that the reasons stand when the work is stopped.
func TestCuresInterrupted(t *testing.T) {
	show, _, err := Prepare(oneLane(), nil)
	if err != nil {
		t.Fatal(err)
	}
	a, err := Plan(t.Context(), show, PlanOptions{Seed: 1, Steps: 10_000, Workers: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	x, err := Explain(ctx, show, a.Plan, ExplainOptions{Cures: true, Planner: NewPlanner(PlanOptions{Seed: 1})}, nil)
	var known *sallyport.Error
	if !errors.As(err, &known) || known.Code != sallyport.CodeInterrupted || len(x.Reasons) == 0 {
		t.Errorf("error %v, %d reasons", err, len(x.Reasons))
	}
}

// TestCompareSince holds that changes from an issue are priced as the judge
// prices them, and that each is told once, in order of time.
func TestCompareSince(t *testing.T) {
	given := oneLane()
	given.Park.Lanes = append(given.Park.Lanes, sallyport.Lane{ID: "A2", Length: 1200})
	show, _, err := Prepare(given, nil)
	if err != nil {
		t.Fatal(err)
	}
	plan := func(dunlin, knot sallyport.LaneID) *Answer {
		a, err := CheckSketch(t.Context(), show, []sallyport.Placement{{Unit: "dunlin", Lane: dunlin}, {Unit: "knot", Lane: knot}})
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	issued, now := plan("A1", "A2"), plan("A1", "A1")
	if s := CompareSince(issued, issued.Plan); len(s.Notices) != 0 || s.Telling.Amount != 0 || !strings.HasPrefix(s.Lines(show)[0], "Nothing has changed") {
		t.Errorf("from itself: %+v", s)
	}
	s := CompareSince(now, issued.Plan)
	if want := sallyport.EvaluateSince(show, now.Plan, issued.Plan); s.Total != want.Total || s.Telling.Amount == 0 || s.Total != now.Report.Cost.Total+s.Telling.Amount {
		t.Errorf("total %s, telling %s; the judge says %s", s.Total, s.Telling.Amount, want.Total)
	}
	if !slices.IsSortedFunc(s.Notices, func(a, b Notice) int { return int(a.At - b.At) }) || !slices.ContainsFunc(s.Notices, func(n Notice) bool { return n.Unit == "knot" }) {
		t.Errorf("notices %+v", s.Notices)
	}
}

// TestFindBound holds that a plan that meets the bound is called best
// possible, and one that does not is not.
func TestFindBound(t *testing.T) {
	given := oneLane()
	given.Park.Lanes = append(given.Park.Lanes, sallyport.Lane{ID: "A2", Length: 1200})
	show, _, err := Prepare(given, nil)
	if err != nil {
		t.Fatal(err)
	}
	a, err := CheckSketch(t.Context(), show, []sallyport.Placement{{Unit: "dunlin", Lane: "A1"}, {Unit: "knot", Lane: "A2"}})
	if err != nil {
		t.Fatal(err)
	}
	if a.FindBound(t.Context()); a.Report.Cost.Total != 0 || !a.BestPossible() {
		t.Errorf("cost %s, bound %s, best possible %v", a.Report.Cost.Total, a.Bound, a.BestPossible())
	}
	b, err := CheckSketch(t.Context(), show, []sallyport.Placement{{Unit: "dunlin", Lane: "A1"}, {Unit: "knot", Lane: "A1"}})
	if err != nil {
		t.Fatal(err)
	}
	if b.FindBound(t.Context()); b.Report.Cost.Total == 0 || b.BestPossible() || b.Bound > a.Report.Cost.Total {
		t.Errorf("cost %s, bound %s, best possible %v", b.Report.Cost.Total, b.Bound, b.BestPossible())
	}
}
