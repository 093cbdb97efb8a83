package solve

import (
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
	"sallyport"
)

// A board that follows another is what a copy of it would be, whatever was
// done to either in between.
func TestFollowingIsCopying(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := compile(sallyport.Complete(someShow(t)))
		rnd := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		e := newLaneEval(p)
		st := &stream{p: p, b: newBoard(p), best: newBoard(p), rnd: rnd, dp: newLanesDP(p, e), resets: len(p.resets) > 0}
		for u := range p.units {
			st.reroute([]int32{int32(u)})
		}
		for range 20 {
			switch rnd.IntN(4) {
			case 0:
				st.units = st.neighboursInLanes(st.units[:0])
				st.attempt()
			case 1:
				st.shareOut()
			case 2:
				if st.resets {
					st.tidy()
				}
			case 3:
				u := int32(rnd.IntN(len(p.units)))
				st.best.take(u)
			}
			if rnd.IntN(3) > 0 {
				continue
			}
			st.best.follow(st.b)
			if c := st.b.clone(); !sameBoard(st.best, c) || st.best.total != c.total {
				t.Fatalf("followed: %d, copied: %d", st.best.total, c.total)
			}
			for _, b := range []*board{st.b, st.best} {
				if !costlyIsRight(b) {
					t.Fatal("who and what costs anything is not kept up to date")
				}
			}
		}
	})
}

func sameBoard(a, b *board) bool {
	return slices.Equal(a.choice, b.choice) && slices.Equal(a.lanes, b.lanes) && slices.Equal(a.units, b.units) &&
		slices.Equal(a.sorted, b.sorted) && slices.EqualFunc(a.events, b.events, slices.Equal) &&
		slices.EqualFunc(a.traces, b.traces, func(x, y trace) bool { return x.total == y.total && slices.Equal(x.stand, y.stand) })
}

// costlyIsRight compares what is kept with a look at everything.
func costlyIsRight(b *board) bool {
	right := func(n *numbers, of int, in func(i int) bool) bool {
		var want []int32
		for i := range of {
			if in(i) {
				want = append(want, int32(i))
			}
		}
		got := slices.Clone(n.list)
		slices.Sort(got)
		return slices.Equal(got, want)
	}
	return right(&b.costly.lanes, len(b.lanes), func(l int) bool { return b.lanes[l] > 0 }) &&
		right(&b.costly.units, len(b.units), func(u int) bool { return b.units[u] > 0 }) &&
		right(&b.costly.homeless, len(b.units), func(u int) bool { return b.homeless(int32(u)) != none })
}
