package solve

import (
	"math/rand/v2"
	"slices"
)

// route finds places for all stays of one unit at once, the rest being as it
// is: a shortest path over its stays in order of time, on which a step costs
// what the stay adds to its lane and what the unit pays for changing.
// The price of a stay is exact; that of several stays in one lane is their
// sum, which is exact unless they disturb each other through close-ups.
type route struct {
	cost  [][]int64 // by stay, by its places and then "no place"
	from  [][]int32
	pls   [][]int32
	pick  []int32
	wish  func(stay int32) int32      // the lane a stay is to be spent in, none for any; may be nil
	force bool                        // grant wishes even where the unit must not stand
	avoid func(stay, lane int32) bool // the stay is not to be spent there; may be nil
	near  nearby
}

// find returns the places for the unit's stays, which must all be off the
// board, in r.pick. Among equals it takes the one that comes first after a
// random start, so that the board drifts. Where the unit could go to very many
// places only some are looked at, unless it finds none among them.
func (r *route) find(b *board, u int32, rnd *rand.Rand) {
	if r.wish != nil || r.avoid != nil || !r.near.pick(b, u, rnd) {
		r.search(b, u, rnd)
		return
	}
	cost := r.search(b, u, rnd)
	r.near.list = r.near.list[:0]
	if cost >= lostUnit {
		r.search(b, u, rnd)
	}
}

// search finds the places and returns what they cost.
func (r *route) search(b *board, u int32, rnd *rand.Rand) int64 {
	p := b.p
	un := &p.units[u]
	n := int(un.endStay - un.firstStay)
	r.grow(n)
	for i := range n {
		s := un.firstStay + int32(i)
		r.pls[i] = r.options(p, s, r.pls[i][:0])
		r.cost[i], r.from[i] = r.cost[i][:0], r.from[i][:0]
		cheapest, at := impossible, none
		if i > 0 {
			cheapest, at = least(r.cost[i-1], rnd)
		}
		same := 0 // where the places of the same lane begin among those before
		for _, pl := range r.pls[i] {
			c := b.stayCost(s, pl)
			if pl != none {
				l := p.places[pl].lane
				with := b.costWith(l, s, pl)
				if with >= impossible {
					c = impossible
				} else {
					c += with - b.lanes[l]
				}
			}
			from := none
			if i > 0 && c < impossible {
				before := cheapest + p.changeCost(r.pls[i-1][at], pl)
				from = at
				if pl != none {
					var run []int32
					same, run = r.sameLane(p, i-1, same, p.places[pl].lane)
					for k := range run {
						if r.cost[i-1][same+k] <= before {
							before, from = r.cost[i-1][same+k], int32(same+k)
						}
					}
				}
				c += before
			}
			r.cost[i], r.from[i] = append(r.cost[i], min(c, impossible)), append(r.from[i], from)
		}
	}
	cost, k := least(r.cost[n-1], rnd)
	for i := n - 1; i >= 0; i-- {
		r.pick[i] = r.pls[i][k]
		k = r.from[i][k]
	}
	return cost
}

// options lists the places that stay s can be given: any it may use, or those
// of the lane wished for, but none of a lane to avoid; and none.
func (r *route) options(p *problem, s int32, list []int32) []int32 {
	l := none
	if r.wish != nil {
		l = r.wish(s)
	}
	switch {
	case l == none && len(r.near.list) > 0:
		for _, pl := range r.near.list {
			if _, ok := slices.BinarySearch(p.stays[s].places, pl); ok {
				list = append(list, pl)
			}
		}
	case l == none:
		for _, pl := range p.stays[s].places {
			if r.avoid == nil || !r.avoid(s, p.places[pl].lane) {
				list = append(list, pl)
			}
		}
	default:
		for pl := p.lanes[l].first; pl < p.lanes[l].end; pl++ {
			if r.force || slices.Contains(p.stays[s].places, pl) {
				list = append(list, pl)
			}
		}
	}
	return append(list, none)
}

// sameLane returns the places of lane l among those of stay i, and where they
// begin; it looks from number at on. Both are in order of lanes, "no place"
// last.
func (r *route) sameLane(p *problem, i, at int, l int32) (int, []int32) {
	list := r.pls[i]
	for list[at] != none && p.places[list[at]].lane < l {
		at++
	}
	end := at
	for list[end] != none && p.places[list[end]].lane == l {
		end++
	}
	return at, list[at:end]
}

// grow makes room for n stays.
func (r *route) grow(n int) {
	for len(r.cost) < n {
		r.cost, r.from, r.pls, r.pick = append(r.cost, nil), append(r.from, nil), append(r.pls, nil), append(r.pick, none)
	}
}

// least returns the smallest of costs and where it is; of equals the first
// after a random start.
func least(costs []int64, rnd *rand.Rand) (int64, int32) {
	k := rnd.IntN(len(costs))
	best := k
	for range costs {
		if costs[k] < costs[best] {
			best = k
		}
		if k++; k == len(costs) {
			k = 0
		}
	}
	return costs[best], int32(best)
}

// take takes units off the board.
func (b *board) take(units ...int32) {
	b.dirty = b.dirty[:0]
	for _, u := range units {
		un := &b.p.units[u]
		for s := un.firstStay; s < un.endStay; s++ {
			b.touch(b.laneOf(s))
			b.put(s, none)
		}
	}
	b.countTouched()
	for _, u := range units {
		b.countUnit(u)
	}
	b.countPairs()
}

// set puts the stays of unit u, which is off the board, at the places.
func (b *board) set(u int32, places []int32) {
	un := &b.p.units[u]
	b.dirty = b.dirty[:0]
	for s := un.firstStay; s < un.endStay; s++ {
		if pl := places[s-un.firstStay]; pl != none {
			b.put(s, pl)
			b.touch(b.laneOf(s))
		}
	}
	b.countTouched()
	b.countUnit(u)
	b.countPairs()
}

// touch notes that lane l must be played again.
func (b *board) touch(l int32) {
	if l != none && !slices.Contains(b.dirty, l) {
		b.dirty = append(b.dirty, l)
	}
}

func (b *board) countTouched() {
	for _, l := range b.dirty {
		b.countLane(l)
	}
}

// move gives stays new places.
func (b *board) move(stays, places []int32) {
	b.dirty, b.moved = b.dirty[:0], b.moved[:0]
	for i, s := range stays {
		if b.choice[s] == places[i] {
			continue
		}
		b.touch(b.laneOf(s))
		b.put(s, places[i])
		b.touch(b.laneOf(s))
		if u := b.p.stays[s].unit; !slices.Contains(b.moved, u) {
			b.moved = append(b.moved, u)
		}
	}
	b.countTouched()
	for _, u := range b.moved {
		b.countUnit(u)
	}
	b.countPairs()
}
