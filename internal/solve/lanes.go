package solve

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"sallyport"
)

// lanesDP shares the stays of a few lanes out among them anew, all at once and
// for the whole show: a dynamic programme over the groups of events. A state
// is what stands in each of the lanes, in order, and the lane that each unit
// which is out has left; of equal states only the cheapest goes on. Without
// the limit on states the result is the best there is for these lanes, save
// for ties in the order of coming into through lanes.
type lanesDP struct {
	p     *problem
	e     *laneEval
	lanes []int32
	local []int32 // places in lanes, in the order of the lanes' own numbers
	open  []opening

	stays  []int32 // of the lanes now, by beginning
	inPool []bool  // by stay of the problem
	free   []bool  // by stay: may change its place
	slot   []int32 // by unit: where its left lane is remembered
	units  []int32

	now, next layer
	table     []int32 // open addressing over next.states; -1 is empty
	trails    [][]trail
	order     []int32
	checks    bool
	steps     int64
}

// layer is all states at one moment.
type layer struct {
	states []dpState
	stands []standing
	left   []int32 // by state and slot: the place that a unit which is out has left
}

// dpState is one state; where its standings begin, and how many stand in each
// lane.
type dpState struct {
	cost  int64
	hash  uint64
	first int32
	n     [mostLanes]uint8
}

// trail leads from a state to the one it came from.
type trail struct{ parent, place int32 }

// mostLanes is the most lanes that are shared out at once.
const mostLanes = 6

// deepestDP is the most units in a lane that a state can hold.
const deepestDP = 255

func newLanesDP(p *problem, e *laneEval) *lanesDP {
	return &lanesDP{p: p, e: e, inPool: make([]bool, len(p.stays)), free: make([]bool, len(p.stays)), slot: make([]int32, len(p.units))}
}

// solve shares out the lanes of board b, keeping at most width states; stays
// that begin outside the groups from up to, but not with, to keep their
// places. It returns the stays and their new places, and whether there are any
// that cost no more than now, by its own count.
//
// With a temperature above zero it may be a sharing that costs more than now,
// by slackOf temperatures at most (pick).
func (d *lanesDP) solve(b *board, lanes []int32, from, to int32, width int, temp float64, rnd *rand.Rand) (stays, places []int32, ok bool) {
	d.steps = 0
	limit := d.prepare(b, lanes, from, to) + int64(slackOf*temp)
	d.now.reset()
	d.now.states = append(d.now.states, dpState{})
	d.now.left = slices.Grow(d.now.left, len(d.units))[:len(d.units)]
	for i := range d.now.left {
		d.now.left[i] = none
	}
	d.trails = d.trails[:0]
	if !d.forward(b, limit, width) {
		return nil, nil, false
	}
	best := d.pick(temp, rnd)
	places = make([]int32, len(d.stays))
	for i := len(d.trails) - 1; i >= 0; i-- {
		t := d.trails[i][best]
		places[i] = t.place
		best = t.parent
	}
	return d.stays, places, true
}

// slackOf is how many temperatures dearer than now a sharing may be.
const slackOf = 5

// pick returns one of the last states, at random: one that is dearer by the
// temperature is e times rarer. At a temperature of zero it is one of the
// cheapest.
func (d *lanesDP) pick(temp float64, rnd *rand.Rand) int32 {
	best, least, ties := none, 0.0, 0
	for i := range d.now.states {
		v := float64(d.now.states[i].cost)
		if temp > 0 {
			// The smallest of exponential variates, compared by their logarithms.
			v += float64(temp * math.Log(-math.Log(1-rnd.Float64()))) // rounded by itself, on every machine
		}
		switch {
		case best == none || v < least:
			best, least, ties = int32(i), v, 1
		case v == least:
			if ties++; rnd.IntN(ties) == 0 {
				best = int32(i)
			}
		}
	}
	return best
}

// prepare gathers the stays of the lanes and returns what they cost now.
func (d *lanesDP) prepare(b *board, lanes []int32, from, to int32) int64 {
	p := d.p
	for _, s := range d.stays {
		d.inPool[s] = false
	}
	copy(d.e.sorted, b.sorted)
	d.stays, d.units, d.checks = d.stays[:0], d.units[:0], false
	d.lanes = append(d.lanes[:0], lanes...)
	var cost int64
	for _, l := range lanes {
		cost += b.lanes[l]
		for _, ev := range b.events[l] {
			if s := p.events[ev].stay; !p.events[ev].out {
				d.stays = append(d.stays, s)
				d.inPool[s] = true
				d.free[s] = p.stays[s].inGroup >= from && p.stays[s].inGroup < to
				d.checks = d.checks || len(p.stays[s].checks) > 0 || b.sorted[l] != 0
			}
		}
	}
	d.local = d.local[:0]
	for i := range lanes {
		d.local = append(d.local, int32(i))
	}
	slices.SortFunc(d.local, func(a, b int32) int { return cmp.Compare(lanes[a], lanes[b]) })
	slices.SortFunc(d.stays, func(a, b int32) int { return cmp.Compare(p.stays[a].in, p.stays[b].in) })
	for _, s := range d.stays {
		if u := p.stays[s].unit; !slices.Contains(d.units, u) {
			d.slot[u] = int32(len(d.units))
			d.units = append(d.units, u)
		}
		cost += d.ownCost(b, s, b.choice[s], d.before(b, s))
	}
	return cost
}

// before is the place of the stay before s now.
func (d *lanesDP) before(b *board, s int32) int32 {
	if s == d.p.units[d.p.stays[s].unit].firstStay {
		return none
	}
	return b.choice[s-1]
}

// ownCost is what the unit of stay s pays for spending it at place pl after
// one at place before, and for going on to a stay outside the lanes.
func (d *lanesDP) ownCost(b *board, s, pl, before int32) int64 {
	cost := b.stayCost(s, pl) + d.p.changeCost(before, pl)
	if next := s + 1; next < d.p.units[d.p.stays[s].unit].endStay && !d.inPool[next] {
		cost += d.p.changeCost(pl, b.choice[next])
	}
	return cost
}

// forward plays all groups and reports whether any state is left.
func (d *lanesDP) forward(b *board, limit int64, width int) bool {
	p := d.p
	var outs []int32
	for _, s := range d.stays {
		if p.stays[s].out != none {
			outs = append(outs, p.stays[s].out)
		}
	}
	slices.Sort(outs)
	ins := d.stays
	before := none
	for len(ins) > 0 || len(outs) > 0 {
		g := int32(math.MaxInt32)
		if len(ins) > 0 {
			g = p.stays[ins[0]].inGroup
		}
		if len(outs) > 0 {
			g = min(g, p.events[outs[0]].group)
		}
		if d.checks {
			d.check(before, g)
		}
		n := 0
		for n < len(outs) && p.events[outs[n]].group == g {
			n++
		}
		if n > 0 {
			d.leaveAll(g, outs[:n], limit)
			outs = outs[n:]
		}
		for len(ins) > 0 && p.stays[ins[0]].inGroup == g {
			d.enterAll(b, ins[0], limit, width)
			ins = ins[1:]
		}
		if len(d.now.states) == 0 {
			return false
		}
		before = g
	}
	if d.checks {
		d.check(before, math.MaxInt32)
	}
	return true
}

// load puts lane i of a state into the evaluator.
func (d *lanesDP) load(st *dpState, i int) {
	first := st.first
	for j := range i {
		first += int32(st.n[j])
	}
	d.e.begin(d.lanes[i])
	d.e.list = append(d.e.list, d.now.stands[first:first+int32(st.n[i])]...)
}

// store puts lane i back into a state, in which as many stand as before.
func (d *lanesDP) store(st *dpState, i int) {
	if len(d.e.list) != int(st.n[i]) {
		return
	}
	first := st.first
	for j := range i {
		first += int32(st.n[j])
	}
	copy(d.now.stands[first:], d.e.list)
}

// check plays what happens between two groups, the second not included.
func (d *lanesDP) check(from, to int32) {
	for k := range d.now.states {
		st := &d.now.states[k]
		for i := range d.lanes {
			if st.n[i] > 0 {
				d.load(st, i)
				st.cost = min(impossible, st.cost+d.e.between(from, to))
				d.store(st, i)
			}
		}
	}
}

// leaveAll lets the stays that end in group g out of every state, and drops
// the states in which they cannot leave or cost too much.
func (d *lanesDP) leaveAll(g int32, outs []int32, limit int64) {
	p := d.p
	for k := range d.now.states {
		st := &d.now.states[k]
		first := st.first
		to := first
		for i := range d.lanes {
			n := int32(st.n[i])
			list := d.now.stands[first : first+n]
			d.e.outs = d.e.outs[:0]
			for _, ev := range outs {
				s := p.events[ev].stay
				if slices.ContainsFunc(list, func(x standing) bool { return x.stay == s }) {
					d.e.outs = append(d.e.outs, s)
					d.remember(k, s, list, d.lanes[i])
				}
			}
			first += n
			if len(d.e.outs) == 0 {
				copy(d.now.stands[to:], list)
				to += n
				continue
			}
			d.e.begin(d.lanes[i])
			d.e.list = append(d.e.list, list...)
			d.steps += int64(len(d.e.outs))
			c := d.e.leave(d.lanes[i], g, d.e.outs)
			if c >= impossible {
				st.cost = impossible
				break
			}
			st.cost += c
			to += int32(copy(d.now.stands[to:], d.e.list))
			st.n[i] = uint8(len(d.e.list))
		}
	}
	d.drop(limit)
}

// remember keeps the place that stay s leaves, if its unit comes back to one
// of the lanes.
func (d *lanesDP) remember(k int, s int32, list []standing, l int32) {
	u := d.p.stays[s].unit
	if next := s + 1; next < d.p.units[u].endStay && d.inPool[next] {
		d.now.left[k*len(d.units)+int(d.slot[u])] = d.p.lanes[l].first
	}
}

// drop removes the states that cost more than limit. Trails must keep their
// numbering, so a layer's last trail is compacted with it.
func (d *lanesDP) drop(limit int64) {
	n := len(d.units)
	to := 0
	for k := range d.now.states {
		if d.now.states[k].cost > limit {
			continue
		}
		if to != k {
			d.now.states[to] = d.now.states[k]
			copy(d.now.left[to*n:(to+1)*n], d.now.left[k*n:(k+1)*n])
			if last := len(d.trails) - 1; last >= 0 {
				d.trails[last][to] = d.trails[last][k]
			}
		}
		to++
	}
	d.now.states = d.now.states[:to]
	d.now.left = d.now.left[:to*n]
	if last := len(d.trails) - 1; last >= 0 {
		d.trails[last] = d.trails[last][:to]
	}
}

// enterAll lets stay s come into every state, at each of its places.
func (d *lanesDP) enterAll(b *board, s int32, limit int64, width int) {
	p := d.p
	n := len(d.units)
	d.next.reset()
	d.clearTable(len(d.now.states) * 2)
	if len(d.trails) == cap(d.trails) {
		d.trails = append(d.trails, nil)
	} else {
		d.trails = d.trails[:len(d.trails)+1]
	}
	last := len(d.trails) - 1
	d.trails[last] = d.trails[last][:0]
	slot := int(d.slot[p.stays[s].unit])
	start := p.groups[p.stays[s].inGroup].kind == groupStart
	d.openFor(b, s)
	outside := d.outside(b, s)
	for k := range d.now.states {
		before := d.now.left[k*n+slot]
		if before == none {
			before = outside
		}
		for _, o := range d.open {
			d.enterOne(k, s, o, p.changeCost(before, o.place), start, limit)
		}
	}
	d.now, d.next = d.next, d.now
	if len(d.now.states) > width {
		d.narrow(width)
	}
}

// opening is a place in one of the lanes, given by its place among them, and
// what the stay pays for it, the change of lane before it left out.
type opening struct {
	lane, place int32
	own         int64
}

// openFor lists the places of the lanes that are open to stay s; in order of
// places.
func (d *lanesDP) openFor(b *board, s int32) {
	p := d.p
	d.open = d.open[:0]
	for _, i := range d.local {
		ln := &p.lanes[d.lanes[i]]
		for pl := ln.first; pl < ln.end; pl++ {
			if d.free[s] {
				if _, ok := slices.BinarySearch(p.stays[s].places, pl); !ok {
					continue
				}
			} else if pl != b.choice[s] {
				continue
			}
			d.open = append(d.open, opening{i, pl, d.ownCost(b, s, pl, none)})
		}
	}
}

// outside is the place of the stay before s when that is not in the lanes.
func (d *lanesDP) outside(b *board, s int32) int32 {
	if pl := d.before(b, s); pl != none && !d.inPool[s-1] {
		return pl
	}
	return none
}

// enterOne lets stay s come into state k at a place that is open to it, with
// the price of the change of lane before it.
func (d *lanesDP) enterOne(k int, s int32, o opening, change int64, start bool, limit int64) {
	st := &d.now.states[k]
	i, pl := int(o.lane), o.place
	cost := st.cost + o.own + change
	if cost > limit || st.n[i] == deepestDP {
		return
	}
	d.load(st, i)
	d.steps++
	c := d.e.enter(d.lanes[i], s, pl, start)
	if c >= impossible || cost+c > limit {
		return
	}
	next := dpState{cost: cost + c, first: int32(len(d.next.stands)), n: st.n}
	next.n[i]++
	first := st.first
	for j := range d.lanes {
		from := d.now.stands[first : first+int32(st.n[j])]
		first += int32(st.n[j])
		if j == i {
			from = d.e.list
		}
		d.next.stands = append(d.next.stands, from...)
	}
	n := len(d.units)
	at := len(d.next.left)
	d.next.left = append(d.next.left, d.now.left[k*n:(k+1)*n]...)
	d.next.left[at+int(d.slot[d.p.stays[s].unit])] = none
	next.hash = d.hash(&next, d.next.left[at:])
	t := trail{int32(k), pl}
	if same := d.lookUp(next.hash); same != none {
		old := &d.next.states[same]
		if next.cost < old.cost {
			old.cost = next.cost
			d.trails[len(d.trails)-1][same] = t
		}
		d.next.stands = d.next.stands[:next.first]
		d.next.left = d.next.left[:at]
		return
	}
	d.insert(next.hash, int32(len(d.next.states)))
	d.next.states = append(d.next.states, next)
	d.trails[len(d.trails)-1] = append(d.trails[len(d.trails)-1], t)
}

// hash identifies what stands where and who has left which lane. States with
// one hash are taken for equal.
func (d *lanesDP) hash(st *dpState, left []int32) uint64 {
	h := uint64(0x9e3779b97f4a7c15)
	at := st.first
	for i, l := range d.lanes {
		exact := d.p.lanes[l].kind != sallyport.DeadEnd
		for range st.n[i] {
			x := &d.next.stands[at]
			v := uint64(x.stay)<<32 | uint64(i)<<28
			if exact {
				v |= uint64(uint32(x.from)) & 0xfffffff
				if x.out {
					v ^= 0xabcdef
				}
			}
			h = mix(h, v)
			at++
		}
		h = mix(h, uint64(i)|1<<63)
	}
	for _, pl := range left {
		h = mix(h, uint64(uint32(pl))|1<<62)
	}
	return h
}

// mix is one round of a 64-bit multiply and shift hash.
func mix(h, v uint64) uint64 {
	h = (h ^ v) * 0xff51afd7ed558ccd
	return h ^ h>>32
}

// narrow keeps the width cheapest states, of equals the earlier ones.
func (d *lanesDP) narrow(width int) {
	d.order = d.order[:0]
	for k := range d.now.states {
		d.order = append(d.order, int32(k))
	}
	slices.SortFunc(d.order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(d.now.states[a].cost, d.now.states[b].cost), cmp.Compare(a, b))
	})
	worst := d.now.states[d.order[width]].cost
	keep := 0
	for keep < width && d.now.states[d.order[keep]].cost < worst {
		keep++
	}
	// Of those that cost as much as the first to go, the earliest stay.
	room := width - keep
	for k := range d.now.states {
		st := &d.now.states[k]
		if st.cost == worst && room > 0 {
			room--
		} else if st.cost >= worst {
			st.cost = impossible
		}
	}
	d.drop(impossible - 1)
}

// reset empties the layer.
func (l *layer) reset() {
	l.states, l.stands, l.left = l.states[:0], l.stands[:0], l.left[:0]
}

func (d *lanesDP) clearTable(n int) {
	size := 64
	for size < 4*n {
		size *= 2
	}
	if cap(d.table) < size {
		d.table = make([]int32, size)
	}
	d.table = d.table[:size]
	for i := range d.table {
		d.table[i] = none
	}
}

// lookUp returns the state of the next layer with that hash, or none.
func (d *lanesDP) lookUp(h uint64) int32 {
	mask := uint64(len(d.table) - 1)
	for i := h & mask; d.table[i] != none; i = (i + 1) & mask {
		if d.next.states[d.table[i]].hash == h {
			return d.table[i]
		}
	}
	return none
}

// insert enters a state of the next layer into the table, which grows with it.
func (d *lanesDP) insert(h uint64, state int32) {
	if int(state)*2 >= len(d.table) {
		old := d.next.states
		d.clearTable(len(d.table))
		for k := range old {
			d.enterTable(old[k].hash, int32(k))
		}
	}
	d.enterTable(h, state)
}

func (d *lanesDP) enterTable(h uint64, state int32) {
	mask := uint64(len(d.table) - 1)
	i := h & mask
	for d.table[i] != none {
		i = (i + 1) & mask
	}
	d.table[i] = state
}
