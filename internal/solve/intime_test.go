package solve

import (
	"fmt"
	"testing"

	"sallyport"
	"sallyport/internal/fenmoor"
)

// Seeds whose cheapest boards do not keep the clock at Fenmoor: the search
// comes back to one that does.
func TestKeepsTheClockAtFenmoor(t *testing.T) {
	if testing.Short() {
		t.Skip("plans the whole demonstration show twice")
	}
	for _, seed := range []uint64{0, 1} {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			r, err := Solve(t.Context(), fenmoor.Show(), Options{Seed: seed, Steps: 20_000_000}, nil)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range r.Report.Faults {
				t.Errorf("%s: %s", f.Rule, f.Sentence)
			}
		})
	}
}

// What is kept gets cheaper by at least one part in keepEvery from one board
// to the next, and there are never more than keepMost.
func TestKeptBoards(t *testing.T) {
	s := newSearch(t.Context(), compile(sallyport.Complete(fenmoor.Show())), Options{Seed: 3, Steps: 4_000_000}, nil)
	s.run()
	if len(s.kept) == 0 || len(s.kept) > keepMost {
		t.Fatalf("%d boards are kept", len(s.kept))
	}
	for i := 1; i < len(s.kept); i++ {
		before, worth := s.kept[i-1].b.worth(), s.kept[i].b.worth()
		if before-worth < worth/keepEvery {
			t.Errorf("kept board %d costs %d, the one before it %d", i, worth, before)
		}
	}
}

// What stays concern a fault: those of its units and of who moves through the
// same lane shortly before, about that time, and no others.
func TestConcernedStays(t *testing.T) {
	p := compile(sallyport.Complete(fenmoor.Show()))
	s := newSearch(t.Context(), p, Options{Seed: 3, Steps: 4_000_000}, nil)
	s.run()
	plan, _ := s.judged(s.best)
	for _, m := range plan.Moves {
		if m.Kind != sallyport.MovePullOut || m.From.Kind != sallyport.InLane {
			continue
		}
		fault := sallyport.Fault{At: m.Start, Units: []sallyport.UnitID{m.Unit}, Move: m.ID}
		stays := s.p.concerned(plan, []sallyport.Fault{fault})
		own := 0
		for _, i := range stays {
			from, to := s.p.span(i)
			if d := min(abs(from-m.Start), abs(to-m.Start)); d > nearFault {
				t.Fatalf("%s at %s: a stay from %s to %s is named", m.Unit, m.Start, from, to)
			}
			if s.p.units[s.p.stays[i].unit].ID == m.Unit {
				own++
			}
		}
		if own == 0 {
			t.Fatalf("%s at %s: none of its own stays is named", m.Unit, m.Start)
		}
	}
}

func abs(t sallyport.Instant) sallyport.Instant { return max(t, -t) }
