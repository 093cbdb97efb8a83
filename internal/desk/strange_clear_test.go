package desk_test

import (
	"testing"

	"sallyport"
	"sallyport/internal/desk"
)

// TestStrangePlansOnTheDay holds that vehicles are let out and days gone on with
// also where the plan names what the show does not have.
func TestStrangePlansOnTheDay(t *testing.T) {
	show, plan := smallShow(t)
	for i := range plan.Moves {
		for _, s := range strangers {
			changed := plan
			changed.Moves = append([]sallyport.Move(nil), plan.Moves...)
			s.put(&changed.Moves[i])
			for _, at := range []sallyport.Instant{plan.Moves[i].Start - 60, plan.Moves[i].Start + 60} {
				ask := desk.ClearAsk{At: at, Units: []sallyport.UnitID{plan.Moves[i].Unit}, Steps: 200}
				if c, err := desk.Clear(t.Context(), show, &changed, ask, nil); err == nil && len(c.Ways) == 0 {
					t.Errorf("%s of %s: there is neither a way nor an error", s.name, plan.Moves[i].ID)
				}
				r, err := desk.ReplanFrom(t.Context(), show, &changed, nil, desk.ReplanOptions{At: at, Steps: -1, Workers: 1}, nil)
				if err != nil || len(r.Summary()) == 0 {
					t.Errorf("%s of %s: nothing is said: %v", s.name, plan.Moves[i].ID, err)
				}
			}
		}
	}
}
