package solve

// A search keeps its best board beside the one it works on. Both differ in a
// few lanes only, so the best follows the other by these lanes: what that
// costs does not depend on the size of the show.

// changes lists the lanes and units of a board that were counted since another
// last followed it.
type changes struct {
	lanes, units marked
	follower     *board // has all that came before; nil: nobody has
	leader       *board // that this board equals, but for its changes; nil: none
}

// marked is a list of numbers, each once.
type marked struct {
	list []int32
	in   []bool
}

func (m *marked) add(i int32, of int) {
	if m.in == nil {
		m.in = make([]bool, of)
	}
	if !m.in[i] {
		m.in[i] = true
		m.list = append(m.list, i)
	}
}

func (m *marked) clear() {
	for _, i := range m.list {
		m.in[i] = false
	}
	m.list = m.list[:0]
}

// follow makes b a copy of o, a board of the same problem, as copyFrom does,
// but goes only through what o has changed since b last followed it.
func (b *board) follow(o *board) {
	if o.changes.follower != b || b.changes.leader != o || b.p != o.p {
		b.copyFrom(o)
		o.changes.lanes.clear()
		o.changes.units.clear()
		o.changes.follower, b.changes.leader = b, o
		return
	}
	b.eval.lenient, b.wishes = o.eval.lenient, o.wishes
	for _, u := range o.changes.units.list {
		un := &b.p.units[u]
		copy(b.choice[un.firstStay:un.endStay], o.choice[un.firstStay:un.endStay])
		b.units[u] = o.units[u]
		b.costly.unit(b, u)
	}
	for _, l := range o.changes.lanes.list {
		b.sorted[l], b.lanes[l] = o.sorted[l], o.lanes[l]
		b.events[l] = append(b.events[l][:0], o.events[l]...)
	}
	for _, l := range o.changes.lanes.list {
		b.traces[l].played(b.eval, l, b.events[l], b.choice)
		b.costly.lane(b, l)
	}
	b.pairs, b.total = o.pairs, o.total
	o.changes.lanes.clear()
	o.changes.units.clear()
}
