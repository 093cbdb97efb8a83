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
