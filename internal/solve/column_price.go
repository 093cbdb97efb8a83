package solve

import "slices"

// pricing lists columns that a master has left out, by what they could be
// worth at the duals of a node.
type pricing struct {
	n     *node
	e     *enumeration
	group int
	room  int64   // list those whose use would raise the bound by no more, times dualScale
	tops  []int64 // sums of the largest duals of the group's units
	short int32   // length of its shortest unit
	found []column
}

// complete lists all columns that a plan within the master's limit can have in
// it, so that those left out no longer matter, and reports whether that could
// be done. On the way it raises the bound to that over all columns.
//
// Proof. When no column has a reduced cost below that of the best listed one
// for a lane that it fits, the value of the duals is a bound over all columns.
// A plan that uses a column costs at least that bound and what the column's
// reduced cost is above the best for the shortest free lane it fits, for in
// longer lanes the best are no dearer. So columns for which that is above the
// limit are in no plan within it. What a column costs is no less than the
// share of its pairs, each unit being in k of them, and that of its triples.
func (r *root) complete(limit int64, raise func(int64), step func(int64) bool) bool {
	m := r.n.m
	if m.cut >= impossible {
		return true
	}
	old := m.cut
	m.cut = impossible // the value of the duals is to be that of the listed columns
	for range completeTries {
		n := newNode(m)
		bound, _, ok := n.relax(step)
		if !ok {
			break
		}
		more, ok := r.price(n, -1, step)
		if !ok {
			break
		}
		if more > 0 {
			continue
		}
		raise(bound)
		if _, ok := r.price(n, max(-1, limit*dualScale-bound), step); !ok {
			break
		}
		m.limit = limit
		return true
	}
	m.cut = old
	return false
}

// completeTries is how often duals are found anew while columns are missing.
const completeTries = 25

// price lists the missing columns that raise the bound of a node by no more
// than room, at room -1 those that lower it, and returns how many; ok is false
// when they are too many.
func (r *root) price(n *node, room int64, step func(int64) bool) (more int, ok bool) {
	n.value(n.duals)
	for g := range n.m.groups {
		p := pricing{n: n, e: r.lists[g], group: g, room: room}
		p.e.step = step
		p.sum()
		gr := &n.m.groups[g]
		p.e.note(gr.cols)
		ok := p.extend(0, 0, 0)
		// What has been found is noted as listed, so it is, even when stopped.
		more += len(p.found)
		gr.cols = append(gr.cols, p.found...)
		slices.SortStableFunc(gr.cols, byNeed)
		if !ok || len(gr.cols) > 2*mostColumns {
			return more, false
		}
	}
	return more, true
}

// note notes the columns that were listed first. That a column costs no more
// than the cut does not make it one of them: a unit may wait more cheaply when
// one more is at home, and of columns that are dear no larger ones were tried.
func (e *enumeration) note(cols []column) {
	if e.listed != nil {
		return
	}
	e.listed = make(map[[mostAtHome]int16]bool, len(cols))
	for i := range cols {
		e.listed[setOf(cols[i].units)] = true
	}
}

// sum notes the sums of the largest duals of units that may use the lanes.
func (p *pricing) sum() {
	var duals []int64
	p.short = unlimited
	for i, u := range p.n.m.units {
		if un := &p.e.p.units[u]; p.e.may[i] {
			duals = append(duals, max(0, p.n.duals[i]))
			p.short = min(p.short, un.length)
		}
	}
	slices.Sort(duals)
	slices.Reverse(duals)
	p.tops = []int64{0}
	for _, d := range duals {
		p.tops = append(p.tops, p.tops[len(p.tops)-1]+d)
	}
}

// extend tries all sets that the present one can grow to. duals is the sum of
// its duals.
func (p *pricing) extend(from int, need int32, duals int64) bool {
	e, gr := p.e, &p.n.m.groups[p.group]
	ln := &e.p.lanes[e.lane]
	for i := from; i < len(e.m.units); i++ {
		un := &e.p.units[e.m.units[i]]
		length := need + un.length
		if len(e.set) > 0 {
			length += ln.gap
		}
		if int32(len(e.set)) >= ln.deep || length > ln.length || !e.may[i] || !e.mayJoin(un) {
			continue
		}
		l := 0
		for gr.lengths[l] < length {
			l++
		}
		sums := e.sums
		for _, j := range e.set {
			e.sums += e.pair(i, int(j))
		}
		e.set, e.ids = append(e.set, int16(i)), append(e.ids, e.m.units[i])
		worth := duals + p.n.duals[i] + p.n.best[p.group][l].cost + p.room
		ok := e.step(int64(2 * len(e.set)))
		if least := e.least() * dualScale; ok && least <= worth+p.growth(length) {
			if least <= worth {
				ok = p.list(worth, length)
			}
			ok = ok && p.extend(i+1, length, duals+p.n.duals[i])
		}
		e.sums = sums
		e.set, e.ids = e.set[:len(e.set)-1], e.ids[:len(e.ids)-1]
		if !ok {
			return false
		}
	}
	return true
}

// growth is what units that still have room could add to the sum of duals.
func (p *pricing) growth(need int32) int64 {
	ln := &p.e.p.lanes[p.e.lane]
	n := min(int((ln.length-need)/(p.short+ln.gap)), int(ln.deep)-len(p.e.set), len(p.tops)-1)
	return p.tops[max(0, n)]
}

// list adds the present set if it costs little enough and is not there yet.
func (p *pricing) list(worth int64, need int32) bool {
	e := p.e
	c := e.costs.of(e.ids, e.lane, worth/dualScale)
	if !e.step(e.costs.spent()) || len(e.set) > mostAtHome {
		return false
	}
	if c >= impossible || c*dualScale > worth || e.listed[setOf(e.set)] {
		return true
	}
	e.listed[setOf(e.set)] = true
	p.found = append(p.found, column{units: slices.Clone(e.set), cost: c, need: need})
	return len(p.found) <= mostColumns
}

// setOf is a set of up to mostAtHome units as a key.
func setOf(set []int16) (key [mostAtHome]int16) {
	for i, u := range set {
		key[i] = u + 1
	}
	return key
}

// least returns a lower bound of what the present set costs.
func (e *enumeration) least() int64 {
	n := int64(len(e.set))
	if n < 2 {
		return 0
	}
	least := (e.sums + n - 2) / (n - 1)
	if n > 3 && e.threes != nil {
		share := (n - 1) * (n - 2) / 2
		least = max(least, (e.triples()+share-1)/share)
	}
	return least
}
