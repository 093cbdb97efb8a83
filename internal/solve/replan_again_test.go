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

// TestWhoStandsKeepsHisRoom closes a lane of a park that has no room for those
// who stand in it: what is said then is that they cannot leave it, not that
// they go where others stand.
func TestWhoStandsKeepsHisRoom(t *testing.T) {
	x := publishedShows()[0]
	for _, c := range []struct {
		at   sallyport.Instant
		lane sallyport.LaneID
	}{{sallyport.At(1, 13, 58), "C1"}, {sallyport.At(1, 17, 15), "Y8"}, {sallyport.At(3, 8, 51), "T1"}} {
		m, problems := x.momentOf(c.at, sallyport.Happening{Kind: sallyport.HappenLane, Lane: c.lane})
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		r := Replan(t.Context(), m, Options{Steps: -1, Workers: 1}, nil)
		for _, f := range r.Report.Faults {
			if f.Rule == sallyport.RuleOverfull {
				t.Errorf("%s closed at %s: %s", c.lane, c.at, f.Sentence)
			}
		}
	}
}
