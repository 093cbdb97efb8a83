package solve

import (
	"context"
	"math/rand/v2"
	"testing"

	"sallyport"
)

// boundsOf returns every bound there is of a problem for plans that cost less
// than limit, by name.
func boundsOf(p *problem, free freedom, limit int64) map[string]int64 {
	count := func(int64) bool { return true }
	reverse := p.boundReverse()
	unit := p.costUnit(free)
	bounds := map[string]int64{"quick": int64(lowerBound(context.Background(), p).total)}
	times := p.allTimes()
	for _, cut := range []int64{impossible, 0, 3 * int64(p.weights.Change)} {
		rooted := func(a *anchor) (int64, bool) {
			m := newMaster(p, a, free, cut, unit, count)
			if m == nil {
				return 0, false
			}
			m.limit = limit
			b, _, _ := newNode(m).relax(count)
			return min(limit, (b+dualScale-1)/dualScale+reverse), true
		}
		name := "all columns"
		if cut < impossible {
			name = "cheap columns"
		}
		for _, a := range p.anchors(times) {
			if b, ok := rooted(a); ok {
				bounds["anchor, "+name] = max(bounds["anchor, "+name], b)
			}
		}
		var sum int64
		for _, a := range p.days(times) {
			if b, ok := rooted(a); ok {
				sum += max(0, b-reverse)
			}
		}
		bounds["days, "+name] = max(bounds["days, "+name], min(limit, sum+reverse))
	}
	v := newProver(context.Background(), p, free, lowerBound(context.Background(), p))
	for v.steps < 3_000_000 && v.work(limit, 300_000) {
	}
	v.stop()
	bounds["branch and bound"] = int64(v.bound.total)
	return bounds
}

func TestEveryBoundIsAtMostTheOptimum(t *testing.T) {
	n := smallShows(t, 200)
	sums, met := map[string]int64{}, map[string]int{}
	var compared int
	var costs int64
	for seed := range n {
		for _, wide := range []bool{true, false} {
			p := compile(smallShow(rand.New(rand.NewPCG(uint64(seed), 6))))
			cost, plan, found, done := exactOf(p, wide, mostStates)
			if !done || !found {
				continue
			}
			compared++
			costs += cost
			free := freedom{holds: wide, resets: wide}
			for name, b := range boundsOf(p, free, cost+cost/2+1000) {
				if b > cost {
					t.Errorf("seed %d, wide %t: %s is %d, above the optimum %d: %s", seed, wide, name, b, cost, shown(sallyport.Evaluate(p.show, plan)))
				}
				sums[name] += b
				if b == cost {
					met[name]++
				}
			}
		}
	}
	for name := range sums {
		t.Logf("%s: %d of %d, met in %d of %d", name, sums[name], costs, met[name], compared)
	}
}
