package desk_test

import (
	"slices"
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/rehearse"
)

// One figure of the show says who may tow whom: letting out, playing failures
// and going on from a moment ask the same. Heron has 2,500 kg; Dunlin, 2,000,
// stands broken down before Knot.
func TestOneRuleForTowing(t *testing.T) {
	towed := func(moves []sallyport.Move) bool {
		return slices.ContainsFunc(moves, func(m sallyport.Move) bool {
			return m.Kind == sallyport.MoveTow && m.Unit == "dunlin" && m.Helper == "heron"
		})
	}
	for _, c := range []struct {
		percent int
		may     bool
	}{{0, false}, {79, false}, {80, true}} {
		show, plan := small()
		show.Park.TowPercent = c.percent
		show.Park.Lanes = append(show.Park.Lanes, sallyport.Lane{ID: "B1", Length: 500})
		show.Park.Spots = append(show.Park.Spots, sallyport.Spot{ID: "bay", Name: "the Bay", Use: sallyport.SpotBreakdown})
		show.Vehicles = append(show.Vehicles, sallyport.Vehicle{ID: "heron", Name: "Heron", Length: 400, Mass: 2500})
		show.Vehicles[0].Mass = 2000
		plan.Start = append(plan.Start, sallyport.LaneLayout{Lane: "B1", Units: []sallyport.UnitID{"heron"}})
		show = sallyport.Complete(show)
		at := sallyport.At(1, 8, 0)
		failed := []sallyport.Happening{{Kind: sallyport.HappenFailed, Unit: "dunlin"}}

		out, err := desk.Clear(t.Context(), show, plan, desk.ClearAsk{At: at, Units: []sallyport.UnitID{"knot"}, Happened: failed}, nil)
		if err != nil || towed(out.Moves) != c.may {
			t.Errorf("%d %%: letting out tows: %v, want %v (%v)", c.percent, towed(out.Moves), c.may, err)
		}
		next, err := desk.ReplanFrom(t.Context(), show, plan, failed, desk.ReplanOptions{At: at, Seed: 1, Steps: 2000}, nil)
		if err != nil || towed(next.Plan.Moves) != c.may {
			t.Errorf("%d %%: going on tows: %v, want %v (%v)", c.percent, towed(next.Plan.Moves), c.may, err)
		}
		for _, opt := range []rehearse.Options{{}, {TowPercent: 100}} {
			f, err := desk.FailuresOf(t.Context(), show, plan, opt, nil)
			if err != nil {
				t.Fatal(err)
			}
			want, got := c.may || opt.TowPercent == 100, false
			for i := range f.Matrix.Rows {
				if cell := f.Matrix.Rows[i].Cell(sallyport.FailInLane); f.Matrix.Rows[i].Unit == "dunlin" && cell != nil {
					got = got || slices.ContainsFunc(cell.Cures, func(x sallyport.Cure) bool { return x.Kind == sallyport.CureTow && x.By == "heron" })
				}
			}
			if got != want {
				t.Errorf("%d %%, asked for %d: a failure is cured by a tow: %v, want %v", c.percent, opt.TowPercent, got, want)
			}
		}
		if c.percent != 0 {
			continue
		}
		if !slices.ContainsFunc(show.Assumed, func(a sallyport.Assumption) bool { return strings.HasPrefix(a.Value, "45 %") }) {
			t.Error("the rule is not told as assumed")
		}
	}
}
