package solve

import (
	"math/rand/v2"
	"slices"
)

// packing is a home for every unit: one lane for the whole show, so that all
// have room even when all are there at once. A unit that always comes home to
// the same place of a dead-end lane finds room there, whatever the order; who
// then stands in whose way is moved aside, or put elsewhere by the search. It
// gives a first plan where the park is too tight for filling it unit by unit.
type packing struct {
	p     *problem
	rnd   *rand.Rand
	may   [][]int32 // by unit: the places open to all its stays
	home  []int32   // by unit: a place
	lanes []packedLane
	over  int64 // centimetres by which the lanes are overfull, all together
	tabu  []int // by unit: the turn from which it may move again
}

// packedLane is what a lane has to hold.
type packedLane struct {
	units []int32
	over  int64
}

// packPairs is the most pairs of a unit and a lane with which it is tried.
const packPairs = 4_000_000

// packTurns and packLooks are how many exchanges are tried before giving up,
// and how many units are looked at in all of them; each exchange looks at
// every unit once.
const (
	packTurns = 20_000
	packLooks = 4_000_000
)

// newPacking gives every unit a lane, without regard to room. It returns nil
// when some unit has no place open to all its stays.
func newPacking(p *problem, rnd *rand.Rand) *packing {
	k := &packing{p: p, rnd: rnd, may: make([][]int32, len(p.units)), home: make([]int32, len(p.units)), lanes: make([]packedLane, len(p.lanes)), tabu: make([]int, len(p.units))}
	order := make([]int32, len(p.units))
	for u := range p.units {
		order[u] = int32(u)
		un := &p.units[u]
		k.may[u] = un.places
		for s := un.firstStay; s < un.endStay; s++ {
			if places := p.stays[s].places; len(places) < len(un.places) {
				k.may[u] = shared(k.may[u], places)
			}
		}
		if len(k.may[u]) == 0 {
			return nil
		}
	}
	slices.SortStableFunc(order, func(a, b int32) int { return int(p.units[b].length - p.units[a].length) })
	for _, u := range order {
		best, least := none, int64(0)
		for _, pl := range k.may[u] {
			if d := k.with(p.places[pl].lane, u); best == none || d < least {
				best, least = pl, d
			}
		}
		k.add(u, best)
	}
	return k
}

// shared returns those of a that are in b; both are in order.
func shared(a, b []int32) []int32 {
	var list []int32
	for _, x := range a {
		if _, in := slices.BinarySearch(b, x); in {
			list = append(list, x)
		}
	}
	return list
}

// need returns by how many centimetres the units overfill lane l. Whoever
// must not stand there with another, or is too many, counts its full length.
func (k *packing) need(l int32, units []int32, without, also int32) int64 {
	ln := &k.p.lanes[l]
	var sum, gap int64
	n := int32(0)
	count := func(u int32) {
		un := &k.p.units[u]
		g := int64(max(ln.gap, un.ahead, un.behind))
		sum += int64(un.length) + g
		gap = max(gap, g)
		n++
	}
	for _, u := range units {
		if u != without {
			count(u)
		}
	}
	if also != none {
		count(also)
	}
	over := max(0, sum-gap-int64(ln.length))
	if n > ln.deep {
		over += int64(n-ln.deep) * overDeep
	}
	return over + overDeep*k.quarrels(units, without, also)
}

// overDeep is the weight of one unit too many, in centimetres.
const overDeep = 1000

// quarrels counts the pairs among the units that must not share a lane.
func (k *packing) quarrels(units []int32, without, also int32) int64 {
	var n int64
	bars := func(a, b int32) bool {
		x, y := &k.p.units[a], &k.p.units[b]
		return x.StandsAlone || y.StandsAlone || slices.Contains(x.apart, b)
	}
	for i, a := range units {
		if a == without {
			continue
		}
		if also != none && bars(a, also) {
			n++
		}
		for _, b := range units[:i] {
			if b != without && bars(a, b) {
				n++
			}
		}
	}
	return n
}

// with is how much more lane l is overfull with unit u in it.
func (k *packing) with(l, u int32) int64 {
	return k.need(l, k.lanes[l].units, none, u) - k.lanes[l].over
}

// add and drop put a unit into its lane and take it out.
func (k *packing) add(u, pl int32) {
	l := k.p.places[pl].lane
	k.home[u] = pl
	k.lanes[l].units = append(k.lanes[l].units, u)
	k.count(l)
}

func (k *packing) drop(u int32) {
	l := k.p.places[k.home[u]].lane
	k.lanes[l].units = slices.DeleteFunc(k.lanes[l].units, func(v int32) bool { return v == u })
	k.count(l)
}

func (k *packing) count(l int32) {
	over := k.need(l, k.lanes[l].units, none, none)
	k.over += over - k.lanes[l].over
	k.lanes[l].over = over
}

// run exchanges units until no lane is overfull, and reports whether it got
// there. Each turn takes a unit of an overfull lane and makes the best move
// to another lane or exchange with another unit, be it for the worse; units
// just moved stay for a while.
func (k *packing) run() bool {
	turns := min(packTurns, packLooks/max(1, len(k.home)))
	for turn := 1; turn <= turns && k.over > 0; turn++ {
		l := k.overfull()
		units := k.lanes[l].units
		u := units[k.rnd.IntN(len(units))]
		k.exchange(u, turn)
	}
	return k.over == 0
}

// overfull picks one of the overfull lanes.
func (k *packing) overfull() int32 {
	var list []int32
	for l := range k.lanes {
		if k.lanes[l].over > 0 {
			list = append(list, int32(l))
		}
	}
	return list[k.rnd.IntN(len(list))]
}

// exchange makes the best move of unit u: to another lane, or against one
// unit there.
func (k *packing) exchange(u int32, turn int) {
	from := k.p.places[k.home[u]].lane
	bestPl, bestV, best, ties := none, none, int64(0), 0
	offer := func(pl, v int32, d int64) {
		switch {
		case bestPl == none || d < best:
			bestPl, bestV, best, ties = pl, v, d, 1
		case d == best:
			if ties++; k.rnd.IntN(ties) == 0 {
				bestPl, bestV = pl, v
			}
		}
	}
	out := k.need(from, k.lanes[from].units, u, none) - k.lanes[from].over
	for _, pl := range k.may[u] {
		to := k.p.places[pl].lane
		if to == from {
			continue
		}
		offer(pl, none, out+k.with(to, u))
		for _, v := range k.lanes[to].units {
			if k.tabu[v] > turn || !slices.Contains(k.may[v], k.home[u]) {
				continue
			}
			d := k.need(to, k.lanes[to].units, v, u) - k.lanes[to].over + k.need(from, k.lanes[from].units, u, v) - k.lanes[from].over
			offer(pl, v, d)
		}
	}
	if bestPl == none {
		return
	}
	old := k.home[u]
	k.drop(u)
	if bestV != none {
		k.drop(bestV)
		k.add(bestV, old)
		k.tabu[bestV] = turn + 3 + k.rnd.IntN(8)
	}
	k.add(u, bestPl)
	k.tabu[u] = turn + 3 + k.rnd.IntN(8)
}

// pack puts every unit at one home for the whole show, if homes can be found
// for all; else it leaves the board as it is.
func (st *stream) pack() {
	if len(st.p.units)*len(st.p.lanes) > packPairs {
		return
	}
	k := newPacking(st.p, st.rnd)
	if k == nil || !k.run() {
		return
	}
	for u := range st.p.units {
		st.b.take(int32(u))
	}
	var places []int32
	for u := range st.p.units {
		un := &st.p.units[u]
		places = places[:0]
		for range un.endStay - un.firstStay {
			places = append(places, k.home[u])
		}
		st.b.set(int32(u), places)
	}
}
