package solve

import (
	"cmp"
	"slices"

	"sallyport"
)

// between plays what happens in the lane between two groups, the second not
// included: lanes are put in order in reset windows, reserves must be free.
func (e *laneEval) between(from, to int32) int64 {
	var cost int64
	if bits := e.sorted[e.lane]; bits != 0 {
		for i, r := range e.p.resets {
			if r > from && r < to && bits>>i&1 != 0 {
				cost += e.reserves(from, r) + e.putInOrder(e.lane, r)
				if cost >= impossible {
					return impossible
				}
				from = r
			}
		}
	}
	return cost + e.reserves(from, to)
}

// putInOrder lifts the units of a dead-end lane that do not stand in the order
// in which they leave, all but the longest deep part that is right already,
// and sets them down again: who leaves last deepest. r is the group of the
// reset window.
func (e *laneEval) putInOrder(l, r int32) int64 {
	ln := &e.p.lanes[l]
	if ln.kind != sallyport.DeadEnd {
		return 0
	}
	order := slices.Clone(e.list)
	slices.SortStableFunc(order, func(a, b standing) int {
		return cmp.Or(cmp.Compare(e.p.leaving(a.stay), e.p.leaving(b.stay)), cmp.Compare(e.p.outOrder(a.stay), e.p.outOrder(b.stay)))
	})
	lift := len(order)
	for lift > 0 && order[lift-1].stay == e.list[lift-1].stay {
		lift--
	}
	window := &e.p.show.Resets[e.p.groups[r].window]
	var cost int64
	var length int32
	for range lift {
		un := e.unit(0)
		length += un.length
		out := e.reverseOut(ln, 0, false)
		if out >= impossible || un.OwnerOnly || un.OffRoadAt(window.From) || !e.starts(0) || un.length > ln.asideOne || length > ln.asideRoom {
			return impossible
		}
		s := e.list[0]
		cost += out + int64(e.p.prices.Reset(un.Unit, window))
		e.list = append(e.list[:0], e.list[1:]...)
		e.record(step{kind: stepLift, stay: s.stay, back: s.nose})
	}
	for i := lift - 1; i >= 0; i-- {
		s := order[i].stay
		un := &e.p.units[e.p.stays[s].unit]
		back := e.p.backsIn(un, l)
		c := e.push(l, s, un, false, order[i].out, back, true)
		if c >= impossible || !e.standbysFree(un) {
			return impossible
		}
		cost += c + e.p.toldCost(s, ln.first)
		e.record(step{kind: stepSet, stay: s, back: back})
	}
	return cost
}

// tidy puts a lane in order in one more reset window, or in one less, if that
// costs no more.
func (st *stream) tidy() {
	l := st.rnd.IntN(len(st.p.lanes))
	bit := uint64(1) << st.rnd.IntN(len(st.p.resets))
	before := st.b.total
	st.b.sorted[l] ^= bit
	after := st.b.countLane(int32(l))
	if after > before || after == before && st.b.sorted[l]&bit != 0 {
		st.b.sorted[l] ^= bit
		st.b.countLane(int32(l))
	}
}
