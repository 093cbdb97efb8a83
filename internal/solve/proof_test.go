package solve

import (
	"context"
	"math/rand/v2"
	"slices"
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
			m, _ := newMaster(p, a, free, cut, unit, count)
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
	for _, a := range p.anchors(times) {
		m, lists := newMaster(p, a, free, int64(p.weights.Change), unit, count)
		if m == nil {
			continue
		}
		r := &root{newNode(m), lists, noLimit, 0}
		raise := func(b int64) {
			bounds["missing columns listed"] = max(bounds["missing columns listed"], min(limit, (b+dualScale-1)/dualScale+reverse))
		}
		if !r.complete(limit-reverse-unit, raise, count) {
			continue
		}
		for m.limit = 0; m.limit <= limit; m.limit = m.limit*5/4 + 1 {
			if newNode(m).within(count) != refuted {
				break
			}
			bounds["no partition"] = max(bounds["no partition"], min(limit, m.limit+1+reverse))
		}
	}
	for _, cut := range []int64{impossible, 0, int64(p.weights.Change)} {
		w := newProver(context.Background(), p, free, bound{})
		w.rest, w.budget, w.limit = func() bool { return true }, noLimit, limit
		w.chained(p.days(times), cut)
		w.stop()
		bounds["mornings joined"] = max(bounds["mornings joined"], int64(w.bound.total))
	}
	v := newProver(context.Background(), p, free, lowerBound(context.Background(), p))
	for v.steps < 3_000_000 && v.work(limit, 300_000) {
	}
	v.stop()
	bounds["branch and bound"] = int64(v.bound.total)
	return bounds
}

// fullerShow is a small show with more of what a show may have: joined entries,
// combinations, some of which are parted for an entry, own gaps, warm-up, lanes
// closed for a while, vehicles off the road or kept together, reserves, a third
// day. What the exhaustive search leaves out makes its optimum cheaper, never
// dearer.
func fullerShow(rnd *rand.Rand) *sallyport.Show {
	one := func(n int) bool { return rnd.IntN(n) == 0 }
	show := smallShow(rnd)
	show.Weights.Together, show.Weights.Told = 60, sallyport.Amount(rnd.IntN(800))
	for i := range show.Vehicles {
		v := &show.Vehicles[i]
		warm := sallyport.Seconds(60 * rnd.IntN(8))
		if v.WarmUp = &warm; one(3) {
			v.GapAhead, v.GapBehind = sallyport.Centimetres(rnd.IntN(200)), sallyport.Centimetres(rnd.IntN(200))
		}
		if one(12) {
			v.OffRoad = sallyport.Window{From: sallyport.At(1, 12, 0), To: sallyport.At(1+rnd.IntN(2), 18, 0)}
		}
		if one(8) {
			v.KeepTogether = []sallyport.UnitID{show.Vehicles[rnd.IntN(len(show.Vehicles))].ID}
		}
	}
	for i := range show.Serials {
		s := &show.Serials[i]
		for j := range s.Entries {
			e := &s.Entries[j]
			if i+1 < len(show.Serials) && show.Serials[i+1].ArenaIn.Day() == s.ArenaIn.Day() && one(3) &&
				slices.ContainsFunc(show.Serials[i+1].Entries, func(f sallyport.Entry) bool { return f.Unit == e.Unit }) {
				e.Join = sallyport.JoinLine
			}
			if e.Value = 1 + rnd.IntN(4); one(6) {
				e.Reserves = []sallyport.UnitID{show.Vehicles[rnd.IntN(len(show.Vehicles))].ID}
			}
		}
		if one(5) { // on the day after
			later := sallyport.At(2, 0, 0)
			s.FormFrom, s.FormUp, s.ArenaIn, s.ArenaOut, s.HomeBy = s.FormFrom+later, s.FormUp+later, s.ArenaIn+later, s.ArenaOut+later, s.HomeBy+later
		}
	}
	show.Days = append(show.Days, sallyport.Day{Name: "3", Kind: sallyport.ShowDay, EngineFrom: sallyport.At(3, 6, 0), EngineTo: sallyport.At(3, 22, 0)})
	if one(6) {
		show.Park.Lanes[0].Closed = []sallyport.Window{{From: sallyport.At(1, 11, 0), To: sallyport.At(1, 14, 0)}}
	}
	if one(4) {
		carriage := sallyport.Vehicle{ID: "gun", Name: "Gun", Class: "towed item", Length: 250, Gear: sallyport.TowedItem}
		show.Vehicles = append(show.Vehicles, carriage)
		show.Combinations = []sallyport.Combination{{ID: "pair", Name: "Pair", Tower: "v0", Towed: []sallyport.UnitID{"gun"}}}
		if one(2) {
			for i := range show.Serials {
				for j := range show.Serials[i].Entries {
					if e := &show.Serials[i].Entries[j]; e.Unit == "v0" {
						e.Unit = "pair"
					}
				}
			}
		}
	}
	return sallyport.Complete(show)
}

func TestEveryBoundIsAtMostTheOptimum(t *testing.T) {
	n := smallShows(t, 80)
	sums, met := map[string]int64{}, map[string]int{}
	var compared int
	var costs int64
	for seed := range n {
		for _, wide := range []bool{true, false} {
			show := smallShow(rand.New(rand.NewPCG(uint64(seed), 6)))
			if seed%2 == 1 {
				show = fullerShow(rand.New(rand.NewPCG(uint64(seed), 7)))
			}
			p := compile(show)
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
