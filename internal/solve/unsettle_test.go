package solve

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"sallyport"
)

// Heat and kicks leave boards whose cost is counted right, and the best one
// as it is.
func TestUnsettledBoardsAreCounted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := compile(sallyport.Complete(someShow(t)))
		st := newStream(p, Options{}, rapid.Uint64Range(0, 9).Draw(t, "stream"))
		st.construct(context.Background())
		if st.b.total >= anyWorkable {
			t.Skip("not everything placed")
		}
		best, choice := st.best.total, slices.Clone(st.best.choice)
		for range 5 {
			st.kick()
			st.heat(rapid.Int64Range(0, heatSteps-1).Draw(t, "since"))
			st.shareOut()
			if st.b.total >= anyWorkable {
				t.Fatalf("somebody has lost his place: %d", st.b.total)
			}
			again, ok := st.b.carried(p)
			if !ok || again.total != st.b.total {
				t.Fatalf("counted %d, counted anew %d", st.b.total, again.total)
			}
		}
		if st.best.total != best || !slices.Equal(st.best.choice, choice) {
			t.Fatal("the best board has changed")
		}
	})
}

// A temperature takes dearer sharings now and then, never by more than its
// slack; without one none that costs more.
func TestPickKeepsToItsTemperature(t *testing.T) {
	d := &lanesDP{}
	for _, c := range []int64{100, 100, 130, 400} {
		d.now.states = append(d.now.states, dpState{cost: c})
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	var cold, hot [4]int
	for range 4000 {
		cold[d.pick(0, rnd)]++
		hot[d.pick(30, rnd)]++
	}
	if cold[2] != 0 || cold[3] != 0 || cold[0] < 1800 || cold[1] < 1800 {
		t.Errorf("at no temperature %v", cold)
	}
	// Shares are 1 : 1 : 1/e : 1/e^10.
	if hot[2] < 500 || hot[2] > 750 || hot[3] > 10 {
		t.Errorf("at 30: %v", hot)
	}
}
