package solve

import (
	"math"

	"sallyport"
)

// leave lets the stays of outs, all of group g, out of the lane, in their
// order when the group is ordered, else whoever stands freest first. Who
// stands in the way is moved aside once and put back when the last of them
// has gone, in the same order; a blocker that is itself due later in the group
// waits aside and goes on from there.
func (e *laneEval) leave(l, g int32, outs []int32) int64 {
	gr := &e.p.groups[g]
	e.gone = e.gone[:0]
	var cost int64
	for len(outs) > 0 {
		next := 0
		if !gr.ordered {
			next = e.freest(outs)
		}
		s := outs[next]
		outs = append(outs[:next], outs[next+1:]...)
		if e.goesOnFromAside(s) {
			e.record(step{kind: stepOut, stay: s, waits: true})
			continue
		}
		c := e.leaveOne(l, gr, s, outs)
		if c >= impossible {
			return impossible
		}
		cost += c
	}
	c := e.putBack(l)
	if c >= impossible {
		return impossible
	}
	return cost + c
}

// freest returns which of outs has the fewest in its way, the first of equals.
func (e *laneEval) freest(outs []int32) int {
	best, fewest := 0, math.MaxInt
	for i, s := range outs {
		at := e.find(s)
		n := at
		if at >= 0 && e.list[at].out {
			n = len(e.list) - 1 - at
		}
		if at >= 0 && n < fewest {
			best, fewest = i, n
		}
	}
	return best
}

// find returns where stay s stands in the lane; -1 when it does not.
func (e *laneEval) find(s int32) int {
	for i := range e.list {
		if e.list[i].stay == s {
			return i
		}
	}
	return -1
}

// goesOnFromAside reports whether stay s waits aside already, and takes it
// from those that will be put back.
func (e *laneEval) goesOnFromAside(s int32) bool {
	for i := range e.gone {
		if e.gone[i].stay == s {
			e.gone = append(e.gone[:i], e.gone[i+1:]...)
			return true
		}
	}
	return false
}

// leaveOne moves whoever bars stay s aside and lets it out. due are those of
// the group that follow.
func (e *laneEval) leaveOne(l int32, gr *group, s int32, due []int32) int64 {
	ln := &e.p.lanes[l]
	at := e.find(s)
	if at < 0 {
		return impossible
	}
	tail := e.list[at].out
	var cost int64
	stuck := false
	for !stuck && (at > 0 && !tail || tail && at < len(e.list)-1) {
		blocker := 0
		if tail {
			blocker = len(e.list) - 1
		}
		c := e.moveAside(ln, gr, blocker, tail, s, due)
		if c >= impossible {
			stuck, c = true, e.breach()
		}
		if cost += c; cost >= impossible {
			return impossible
		}
		at = e.find(s)
	}
	un := e.unit(at)
	back := tail != e.list[at].nose
	if !e.starts(at) {
		cost += e.breach()
	}
	c := e.reverseOut(ln, at, tail)
	if c >= impossible {
		c = e.breach()
	}
	if cost += c; cost >= impossible {
		return impossible
	}
	if gr.kind == groupOut || gr.kind == groupDuty {
		cost += e.risk(gr, at, un)
	}
	e.list = append(e.list[:at], e.list[at+1:]...)
	e.record(step{kind: stepOut, stay: s, tail: tail, back: back})
	return cost
}

// reverseOut is what the unit at place i pays for leaving by an end, if it
// has to reverse; impossible when it cannot.
func (e *laneEval) reverseOut(ln *lane, i int, tail bool) int64 {
	s := e.list[i]
	if tail == s.nose {
		return 0
	}
	un := e.unit(i)
	far := s.from + un.length
	if tail {
		far = ln.length - s.from
	}
	if !un.mayReverse(far) {
		return impossible
	}
	return un.price.heavy * int64(far/100)
}

// moveAside takes the unit at place i, at an end of the lane, out of the way
// of stay for, driven or pushed, whichever costs less. The price of putting
// it back, unless it is due itself, is counted here save for the reversing.
func (e *laneEval) moveAside(ln *lane, gr *group, i int, tail bool, forStay int32, due []int32) int64 {
	un := e.unit(i)
	if un.length > ln.asideOne || e.asideLength()+un.length > ln.asideRoom {
		return impossible
	}
	goesOn := false
	for _, d := range due {
		goesOn = goesOn || d == e.list[i].stay
	}
	cost, hand := impossible, false
	if !un.OffRoadAt(gr.at) && e.starts(i) {
		if out := e.reverseOut(ln, i, tail); out < impossible {
			cost = un.price.aside + out + e.risk(gr, i, un)
			if !goesOn {
				cost += un.price.back
			}
		}
	}
	if h := e.pushAside(un, forStay, goesOn); h < cost {
		cost, hand = h, true
	}
	if cost >= impossible {
		return impossible
	}
	s := e.list[i]
	e.record(step{kind: stepAside, stay: s.stay, tail: tail, back: tail != s.nose, hand: hand})
	e.gone = append(e.gone, waiting{stay: s.stay, tail: tail, out: s.out, hand: hand})
	e.list = append(e.list[:i], e.list[i+1:]...)
	return cost
}

// pushAside is what moving the unit aside by hand and putting it back costs;
// impossible when it cannot be pushed, when it goes on by engine, or when an
// engine warms up behind it meanwhile.
func (e *laneEval) pushAside(un *unit, forStay int32, goesOn bool) int64 {
	if un.price.asideHand < 0 || goesOn {
		return impossible
	}
	for _, s := range e.list {
		o := &e.p.units[e.p.stays[s.stay].unit]
		if o != un && o.WarmWhere == sallyport.WarmInLane && o.WarmUp > 0 {
			return impossible
		}
	}
	return un.price.asideHand + un.price.backHand
}

// asideLength is the length of those who wait aside now.
func (e *laneEval) asideLength() int32 {
	var sum int32
	for _, s := range e.gone {
		sum += e.p.units[e.p.stays[s.stay].unit].length
	}
	return sum
}

// putBack puts back who was moved aside, last out first in; those of a
// through lane come in by the tail, first out first in.
func (e *laneEval) putBack(l int32) int64 {
	ln := &e.p.lanes[l]
	var cost int64
	for n := len(e.gone); n > 0; n = len(e.gone) {
		i := n - 1
		if ln.kind == sallyport.Through {
			i = 0
		}
		w := e.gone[i]
		e.gone = append(e.gone[:i], e.gone[i+1:]...)
		tail := w.tail || ln.kind == sallyport.Through
		un := &e.p.units[e.p.stays[w.stay].unit]
		back := e.p.backsIn(un, l)
		c := e.push(l, w.stay, un, tail, w.out, back, !w.hand)
		if !e.standbysFree(un) {
			c += e.breach()
		}
		if cost += c; cost >= impossible {
			return impossible
		}
		e.record(step{kind: stepBack, stay: w.stay, tail: tail, back: back, hand: w.hand})
	}
	return cost
}

// risk is the price of the unit at place i not starting: the entries of the
// day of those who cannot get out then.
func (e *laneEval) risk(gr *group, i int, un *unit) int64 {
	var stand int64
	if e.p.stand {
		stand = e.staysBehind(gr, i, un)
	}
	if un.price.risk == 0 {
		return stand
	}
	var value int64
	for j := range e.list {
		if j != i && e.passes(i, j) {
			if st := &e.p.stays[e.list[j].stay]; st.lossDay == gr.day {
				value += st.loss
			}
		}
	}
	return stand + un.price.risk*value/int64(sallyport.Certain)
}
