package sallyport_test

import (
	"slices"
	"testing"

	sp "sallyport"
)

// TestRunsThatAreOver holds that a limit found on the day says nothing of runs
// that are over, but counts them with those still to come that day.
func TestRunsThatAreOver(t *testing.T) {
	show, plan := meadow()
	runTwice(show, plan)
	show = sp.Complete(show)
	last := show.Serials[0].Leave()
	for _, s := range show.Serials {
		last = max(last, s.Leave())
	}
	for _, d := range show.Duties {
		last = max(last, d.From)
	}
	for _, c := range []struct {
		name string
		at   sp.Instant
		want int
	}{
		{"before the first", plan.Moves[0].Start - 60, 1},
		{"one is over", last - 60, 1},
		{"both are over", last, 0},
	} {
		state, past, rest := sp.StateAt(show, plan, c.at)
		now, state, done, problems := sp.Apply(show, state, []sp.Happening{{Kind: sp.HappenLimits, Unit: "avocet", MaxRuns: 1}})
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		going := &sp.Plan{Start: plan.Start, From: &state, Past: past, Moves: rest, Happened: done}
		faults := slices.DeleteFunc(sp.Check(now, going).Faults, func(f sp.Fault) bool { return f.Rule != sp.RuleRuns })
		if len(faults) != c.want {
			t.Errorf("%s: faults %v, want %d", c.name, faults, c.want)
		}
	}
}
