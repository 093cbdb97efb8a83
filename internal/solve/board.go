package solve

import (
	"slices"

	"sallyport"
)

// board is a choice of a place for every stay, with what it costs: the sum
// of the lanes' histories, of the units' own terms, and of pairs.
type board struct {
	p      *problem
	eval   *laneEval
	choice []int32   // by stay: its place, or none while it has none
	events [][]int32 // by lane, ascending
	lanes  []int64   // cost of each lane's history
	traces []trace
	dirty  []int32  // lanes to be played again
	sorted []uint64 // by lane: a bit for each reset window in which it is put in order
	wishes *wishes  // lanes of a plan made by hand; nil: none
	moved  []int32  // units to be counted again
	units  []int64  // what each unit pays itself
	pairs  int64
	total  int64
	steps  int64 // events played so far

	changes changes
	costly  costly
}

// newBoard returns a board on which no stay has a place.
func newBoard(p *problem) *board {
	b := &board{
		p: p, eval: newLaneEval(p), choice: make([]int32, len(p.stays)), events: make([][]int32, len(p.lanes)),
		lanes: make([]int64, len(p.lanes)), traces: make([]trace, len(p.lanes)), units: make([]int64, len(p.units)),
	}
	b.sorted = b.eval.sorted
	for s := range b.choice {
		b.choice[s] = none
	}
	for u := range p.units {
		b.units[u] = b.own(int32(u))
		b.total += b.units[u]
	}
	b.costly.all(b)
	return b
}

// clone returns a copy that shares only the problem.
func (b *board) clone() *board {
	c := newBoard(b.p)
	c.copyFrom(b)
	return c
}

// copyFrom makes b a copy of o, which is a board of the same problem. The
// count of steps stays b's own.
func (b *board) copyFrom(o *board) {
	b.eval.lenient, b.wishes = o.eval.lenient, o.wishes
	copy(b.choice, o.choice)
	copy(b.sorted, o.sorted)
	for l := range o.events {
		if !slices.Equal(b.events[l], o.events[l]) || b.lanes[l] != o.lanes[l] {
			b.events[l] = append(b.events[l][:0], o.events[l]...)
		}
		b.traces[l].played(b.eval, int32(l), b.events[l], b.choice)
	}
	copy(b.lanes, o.lanes)
	copy(b.units, o.units)
	b.pairs, b.total = o.pairs, o.total
	b.changes.follower, b.changes.leader = nil, nil
	b.costly.all(b)
}

// own is what unit u pays itself: stays without a place, stays away from a
// lane its people were told, waiting on lines, and changes of lane.
func (b *board) own(u int32) int64 {
	var cost int64
	un := &b.p.units[u]
	for s := un.firstStay; s < un.endStay; s++ {
		cost += b.stayCost(s, b.choice[s])
		if s > un.firstStay {
			cost += b.p.changeCost(b.choice[s-1], b.choice[s])
		}
	}
	return cost
}

// stayCost is what one stay costs by its place alone.
func (b *board) stayCost(s, pl int32) int64 {
	if pl == none {
		return b.p.unplaced(s)
	}
	return b.p.toldCost(s, pl) + b.p.waits[s] + b.wishes.price(s, b.p.places[pl].lane)
}

// toldCost is the price of a stay away from a lane its people were told.
func (p *problem) toldCost(s, pl int32) int64 {
	if un := &p.units[p.stays[s].unit]; un.told && p.places[pl].lane != un.home {
		return int64(p.weights.Told)
	}
	return 0
}

// unplaced is the price of a stay without a place: what follows it is lost.
// Who stands in a lane when the plan begins stands there, whatever is lost for
// it: his room is not to be had for anybody else.
func (p *problem) unplaced(s int32) int64 {
	price := lostUnit
	if a := p.stays[s].after; a != none {
		price *= max(1, p.absences[a].value)
	}
	if _, stands := p.begins(s); stands {
		price += standsUnit
	}
	return price
}

// standsUnit is above what the entries of a few vehicles are worth, and so low
// that thousands of it are still below impossible.
const standsUnit = 16 * lostUnit

// changeCost is the price of coming home to place b after leaving place a.
func (p *problem) changeCost(a, b int32) int64 {
	if a == none || b == none || p.places[a].lane == p.places[b].lane {
		return 0
	}
	return int64(p.weights.Change)
}

// pairCost is the price of the nights that pairs spend in different zones.
func (b *board) pairCost() int64 {
	var cost int64
	for _, pr := range b.p.pairs {
		for _, t := range b.p.nights {
			za, oka := b.zoneAt(pr.a, t)
			zb, okb := b.zoneAt(pr.b, t)
			if oka && okb && za != zb {
				cost += int64(b.p.weights.Together)
			}
		}
	}
	return cost
}

// zoneAt returns the zone in which unit u stands at t, if it stands in a lane.
func (b *board) zoneAt(u int32, t sallyport.Instant) (sallyport.ZoneID, bool) {
	un := &b.p.units[u]
	for s := un.firstStay; s < un.endStay; s++ {
		from, to := b.p.span(s)
		if from <= t && (to == 0 || t < to) && b.choice[s] != none {
			return b.p.lanes[b.p.places[b.choice[s]].lane].zone, true
		}
	}
	return "", false
}

// laneOf is the lane of stay s, or none.
func (b *board) laneOf(s int32) int32 {
	if b.choice[s] == none {
		return none
	}
	return b.p.places[b.choice[s]].lane
}

// put gives stay s a place, or takes it away (none), without counting costs;
// count must be called for the lanes and units touched.
func (b *board) put(s, pl int32) {
	st := &b.p.stays[s]
	if old := b.laneOf(s); old != none {
		b.events[old] = without(b.events[old], st.in)
		if st.out != none {
			b.events[old] = without(b.events[old], st.out)
		}
	}
	b.choice[s] = pl
	if now := b.laneOf(s); now != none {
		b.events[now] = with(b.events[now], st.in)
		if st.out != none {
			b.events[now] = with(b.events[now], st.out)
		}
	}
}

func with(list []int32, e int32) []int32 {
	i, _ := slices.BinarySearch(list, e)
	return slices.Insert(list, i, e)
}

func without(list []int32, e int32) []int32 {
	if i, ok := slices.BinarySearch(list, e); ok {
		return slices.Delete(list, i, i+1)
	}
	return list
}

// countLane plays lane l again and returns the new total.
func (b *board) countLane(l int32) int64 {
	c := b.traces[l].played(b.eval, l, b.events[l], b.choice)
	b.steps += int64(len(b.events[l]))
	b.total += c - b.lanes[l]
	b.lanes[l] = c
	b.changes.leader = nil
	b.changes.lanes.add(l, len(b.lanes))
	b.costly.lane(b, l)
	return b.total
}

// countUnit adds up what unit u pays again.
func (b *board) countUnit(u int32) int64 {
	c := b.own(u)
	b.total += c - b.units[u]
	b.units[u] = c
	b.changes.leader = nil
	b.changes.units.add(u, len(b.units))
	b.costly.unit(b, u)
	return b.total
}

// countPairs adds up the pairs again.
func (b *board) countPairs() int64 {
	if len(b.p.pairs) > 0 {
		c := b.pairCost()
		b.total += c - b.pairs
		b.pairs = c
	}
	return b.total
}

// costWith is what lane l would cost with stay s at place pl in addition.
func (b *board) costWith(l, s, pl int32) int64 {
	old := b.choice[s]
	b.choice[s] = pl
	c, played := b.traces[l].with(b.eval, l, b.events[l], s, b.choice)
	b.choice[s] = old
	b.steps += int64(played)
	return c
}
