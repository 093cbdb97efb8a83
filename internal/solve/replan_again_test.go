package solve

import (
	"slices"
	"testing"

	"sallyport"
)

// TestTowsAreToldOnce goes on from the continuation after a failure on the
// line, of a vehicle that is to leave the show later: when nothing more has
// happened, that goes on as it was told.
func TestTowsAreToldOnce(t *testing.T) {
	tried := 0
	for _, x := range publishedShows() {
		for _, v := range x.show.Vehicles {
			i := slices.IndexFunc(x.plan.Moves, func(m sallyport.Move) bool { return m.Kind == sallyport.MovePullOut && m.Unit == v.ID })
			if v.Depart == (sallyport.Window{}) || i < 0 || tried == 3 {
				continue
			}
			at := x.plan.Moves[i].Ends() + 60
			m, problems := x.momentOf(at, sallyport.Happening{Kind: sallyport.HappenFailed, Unit: v.ID, Where: sallyport.FailOnLine})
			if len(problems) > 0 {
				continue
			}
			first := Replan(t.Context(), m, Options{Steps: -1, Workers: 1}, nil)
			if !first.Workable() {
				continue
			}
			tried++
			next := published{x.name, first.Show, first.Plan}
			m, problems = next.momentOf(at + 3600)
			if len(problems) > 0 {
				t.Fatal(problems)
			}
			again := Replan(t.Context(), m, Options{Steps: -1, Workers: 1}, nil)
			seen := map[sallyport.MoveID]bool{}
			for _, o := range slices.Concat(again.Plan.Past, again.Plan.Moves) {
				if seen[o.ID] {
					t.Errorf("%s, %s: two moves are named %s", x.name, v.ID, o.ID)
				}
				seen[o.ID] = true
			}
			if told := sallyport.ChangesSince(first.Plan, again.Plan); !again.Carried || len(told) > 0 {
				t.Errorf("%s, %s: carried on %t, %d changes where nothing has happened", x.name, v.ID, again.Carried, len(told))
			}
		}
	}
	if tried == 0 {
		t.Error("nobody who is to leave has failed")
	}
	t.Logf("%d tried", tried)
}
