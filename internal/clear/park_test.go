package clear_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	sp "sallyport"
	"sallyport/internal/clear"
	"sallyport/internal/fenmoor"
	"sallyport/internal/solve"
)

// where returns the lane that a unit stands in, "" when in none.
func where(s sp.State, u sp.UnitID) sp.LaneID {
	for lane, list := range s.Lanes {
		if slices.ContainsFunc(list, func(x sp.Standing) bool { return x.Unit == u }) {
			return lane
		}
	}
	return ""
}

// stands are rules about who stands where; times are the caller's business.
var stands = []sp.Rule{
	sp.RuleUnknown, sp.RuleMove, sp.RuleTimes, sp.RulePace, sp.RuleBlocked, sp.RuleOverfull, sp.RuleFit, sp.RuleNotThere, sp.RuleReverse, sp.RuleFacing,
	sp.RuleStart, sp.RuleOffRoad, sp.RuleCombination, sp.RuleFouled, sp.RuleAside, sp.RuleRoute, sp.RuleStandby, sp.RuleHome,
}

// TestJudgeAgrees lets vehicles out at many moments of the demonstration show,
// some of them and of the others off the road: the judge finds nothing wrong
// with who stands where, nobody is left in a lane, and nobody is moved while
// the public is inside.
func TestJudgeAgrees(t *testing.T) {
	show := sp.Complete(fenmoor.Show())
	ix := sp.NewIndex(show)
	r, err := solve.Solve(t.Context(), show, solve.Options{Seed: 1, Steps: 300_000, Workers: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	start, _ := sp.StartState(show, r.Plan)
	states, _ := sp.Play(show, start, r.Plan.Moves)
	rng := rand.New(rand.NewPCG(7, 7))
	tried, found, moved, carried := 0, 0, 0, 0
	for i := 3; i < len(states); i += 5 {
		state := states[i]
		state.At = r.Plan.Moves[i].Ends()
		due, off := draw(rng, ix, state)
		state.OffRoad = off
		ask := clear.Ask{Due: due, InOrder: i%2 == 0, Plan: r.Plan.Moves[i+1:]}
		lot := clear.NewLot(ix, state, ask)
		for _, restricted := range []bool{true, false} {
			tried++
			a := lot.Solve(t.Context(), clear.Options{Restricted: restricted, Steps: 30_000})
			if !a.Found {
				if a.Proven && len(lot.Why()) == 0 && a.Bound == 0 {
					t.Errorf("%v at %s: no way, and no reason", due, state.At)
				}
				continue
			}
			found++
			moved += a.Count
			moves := lot.Moves(a, nil, state.At)
			for _, m := range moves {
				if m.ByHand || m.Kind == sp.MoveTow {
					carried++
				}
			}
			after, faults := sp.Play(show, state, moves)
			for _, f := range faults {
				if slices.Contains(stands, f.Rule) {
					t.Errorf("%v at %s, restricted %v: %s (%s)", due, state.At, restricted, f.Sentence, f.Rule)
				}
			}
			back(t, show, state, moves, lot, due)
			for _, u := range due {
				if lane := where(after[len(after)-1], u); lane != "" {
					t.Errorf("%s still stands in lane %s", u, lane)
				}
			}
		}
	}
	if found*2 < tried || moved < found/4 || carried == 0 {
		t.Errorf("%d of %d let out with %d moves, %d of them pushed or towed: too few for a test", found, tried, moved, carried)
	}
	t.Logf("%d of %d let out with %d moves, %d pushed or towed", found, tried, moved, carried)
}

// back puts everybody back after moves: the judge finds nothing wrong with who
// stands where, and when nobody is left aside the lanes are as before without
// those who were let out, but for through lanes that were left by the mouth.
func back(t *testing.T, show *sp.Show, state sp.State, moves []sp.Move, lot *clear.Lot, due []sp.UnitID) {
	t.Helper()
	end := moves[len(moves)-1].Ends()
	list, left := lot.Back(moves, end)
	all := append(slices.Clone(moves), list...)
	states, faults := sp.Play(show, state, all)
	for _, f := range faults {
		if slices.Contains(stands, f.Rule) {
			t.Errorf("putting back: %s (%s)", f.Sentence, f.Rule)
		}
	}
	if len(left) > 0 {
		return
	}
	after := states[len(states)-1]
	for _, lane := range show.Park.Lanes {
		if lane.Kind != sp.DeadEnd {
			continue
		}
		var want, got []sp.UnitID
		for _, s := range state.Lanes[lane.ID] {
			if !slices.Contains(due, s.Unit) {
				want = append(want, s.Unit)
			}
		}
		for _, s := range after.Lanes[lane.ID] {
			got = append(got, s.Unit)
		}
		if !slices.Equal(want, got) {
			t.Errorf("lane %s is %v after putting back, want %v", lane.ID, got, want)
		}
	}
}

// draw returns up to three units to let out, and up to four off the road.
func draw(rng *rand.Rand, ix *sp.Index, state sp.State) (due, off []sp.UnitID) {
	var here []sp.UnitID
	for _, u := range ix.UnitIDs {
		if where(state, u) != "" {
			here = append(here, u)
		}
	}
	rng.Shuffle(len(here), func(i, j int) { here[i], here[j] = here[j], here[i] })
	due = here[:min(len(here), 1+rng.IntN(3))]
	for _, u := range here {
		if rng.IntN(15) == 0 && len(off) < 4 {
			off = append(off, u)
		}
	}
	return due, off
}
