package solve

import (
	"math"

	"sallyport"
)

// Costs of the search are one number: the sum of the terms, and above them,
// out of their reach, what is lost.
const (
	lostUnit    int64 = 1 << 40 // one lost entry of value 1
	hardUnit    int64 = 1 << 32 // one fault that loses no entry, as a reserve that is blocked
	impossible  int64 = math.MaxInt64 / 64
	anyWorkable       = hardUnit // costs below this break no rule
)

// standing is a stay that is in a lane now.
type standing struct {
	stay int32
	from int32 // of its nearer edge, from the mouth line
	nose bool  // faces away from the mouth
	out  bool  // will leave by the tail
}

// waiting is a stay whose unit waits aside.
type waiting struct {
	stay int32
	tail bool // left by the tail
	out  bool // will leave by the tail for its absence
	hand bool // was pushed
}

// step is one thing that is done in a lane, as the recorder of laneEval sees
// it, in order.
type step struct {
	kind  stepKind
	stay  int32
	tail  bool // through the tail of the lane
	back  bool // driven backwards
	hand  bool // by hand
	waits bool // stepOut: from the spot where it waits aside
}

type stepKind uint8

const (
	stepOut   stepKind = iota // leaves for its absence or for good
	stepAside                 // moved out of the way
	stepBack                  // put back
	stepClose                 // closes up
	stepIn                    // comes in
	stepLift                  // lifted in a reset window
	stepSet                   // and set down again
)

// laneEval plays the history of one lane. list is what stands in it, mouth
// first. It keeps its scratch space, so each goroutine needs its own.
type laneEval struct {
	p      *problem
	lane   int32
	list   []standing
	gone   []waiting // in the order in which they were moved
	outs   []int32
	ins    []int32
	close  []standing
	merged []int32
	rec    func(step) // may be nil

	// sorted says for each lane in which reset windows it is put in order, a
	// bit for each.
	sorted []uint64

	now sallyport.Instant // of the group being played

	// lenient lets units stand and move where they must not, each breach at
	// the price of hardUnit, so that a plan made by hand can be played.
	lenient bool
}

func newLaneEval(p *problem) *laneEval {
	return &laneEval{p: p, sorted: make([]uint64, len(p.lanes))}
}

// breach is the price of doing what must not be done.
func (e *laneEval) breach() int64 {
	if e.lenient {
		return hardUnit
	}
	return impossible
}

func (e *laneEval) record(s step) {
	if e.rec != nil {
		e.rec(s)
	}
}

// begin clears the lane and turns to lane l.
func (e *laneEval) begin(l int32) {
	e.lane = l
	e.list = e.list[:0]
}

// run returns the group of event i and the end of its run in events.
func (e *laneEval) run(events []int32, i int) (g int32, end int) {
	g = e.p.events[events[i]].group
	for end = i + 1; end < len(events) && e.p.events[events[end]].group == g; end++ {
	}
	return g, end
}

// group plays the events of one group in the lane. Only places of stays that
// begin are looked up.
func (e *laneEval) group(l, g int32, events []int32, places []int32) int64 {
	var cost int64
	e.outs = e.outs[:0]
	e.ins = e.ins[:0]
	for _, ev := range events {
		if e.p.events[ev].out {
			e.outs = append(e.outs, e.p.events[ev].stay)
		} else {
			e.ins = append(e.ins, e.p.events[ev].stay)
		}
	}
	if len(e.outs) > 0 {
		if cost = e.leave(l, g, e.outs); cost >= impossible {
			return impossible
		}
	}
	gr := &e.p.groups[g]
	e.now = gr.at
	backwards := e.p.lanes[l].kind == sallyport.Through && !gr.ordered
	for i := range e.ins {
		s := e.ins[i]
		if backwards {
			s = e.ins[len(e.ins)-1-i]
		}
		if gr.kind == groupStart && e.p.begin != nil {
			e.stand(s, places[s])
			continue
		}
		c := e.enter(l, s, places[s], gr.kind == groupStart)
		if c >= impossible {
			return impossible
		}
		cost += c
	}
	return cost
}

// enter lets stay s come in at its place and returns what that costs. At the
// start of the show vehicles are not driven in: they stand packed, from the
// closed end of a dead-end lane, from the mouth of others.
func (e *laneEval) enter(l, s, pl int32, start bool) int64 {
	p := e.p
	un := &p.units[p.stays[s].unit]
	cost := int64(0)
	if int32(len(e.list)) >= p.lanes[l].deep || !e.mayShare(un) {
		if cost = e.breach(); cost >= impossible {
			return impossible
		}
	}
	tail, back := p.places[pl].tail, p.backsIn(un, l)
	if start {
		back = p.stoodIn(un, pl)
	}
	if start && p.lanes[l].kind != sallyport.DeadEnd {
		cost += e.pushStart(&p.lanes[l], standing{stay: s, nose: tail == back, out: p.places[pl].outTail}, un, tail)
	} else {
		cost += e.push(l, s, un, tail, p.places[pl].outTail, back, !start)
	}
	if !e.standbysFree(un) {
		cost += e.breach()
	}
	if cost >= impossible {
		return impossible
	}
	if !start {
		e.record(step{kind: stepIn, stay: s, tail: tail, back: back})
	}
	return cost
}

// mayShare reports whether the unit may stand with those in the lane.
func (e *laneEval) mayShare(un *unit) bool {
	if len(e.list) == 0 {
		return true
	}
	if un.StandsAlone {
		return false
	}
	for _, s := range e.list {
		o := e.p.stays[s.stay].unit
		if e.p.units[o].StandsAlone {
			return false
		}
		for _, a := range un.apart {
			if a == o {
				return false
			}
		}
	}
	return true
}

// standbysFree reports whether every standby unit in the lane, into which un
// has just come, has nobody between it and an end by which it can leave.
func (e *laneEval) standbysFree(un *unit) bool {
	if len(e.list) < 2 || !e.p.standbys {
		return true
	}
	for i, s := range e.list {
		if e.p.units[e.p.stays[s.stay].unit].Standby && !e.free(i) {
			return false
		}
	}
	return true
}

// reserves returns what it costs that reserves have no free way out after
// groups from up to, but not with, to.
func (e *laneEval) reserves(from, to int32) int64 {
	var cost int64
	for i, s := range e.list {
		for _, g := range e.p.stays[s.stay].checks {
			if g >= from && g < to && !e.free(i) {
				cost += hardUnit
			}
		}
	}
	return cost
}

// passes reports whether who stands at place j must pass place i to leave.
func (e *laneEval) passes(i, j int) bool { return (j > i) != e.list[j].out }

// free reports whether nobody stands between place i and an end by which it
// can be left.
func (e *laneEval) free(i int) bool {
	return i == 0 || i == len(e.list)-1 && e.p.lanes[e.lane].kind == sallyport.Open
}

// push puts a unit into the lane by an end, with close-ups if only they make
// room, and returns what close-ups and heavy reversing cost. Unless it is
// driven nothing is reversed.
func (e *laneEval) push(l, s int32, un *unit, tail, out, back, driven bool) int64 {
	ln := &e.p.lanes[l]
	me := standing{stay: s, nose: tail == back, out: out}
	var cost int64
	switch n := len(e.list); {
	case !tail:
		me.from = ln.length - un.length
		if n > 0 {
			me.from = e.list[0].from - e.gap(ln, un, me.nose, e.unit(0), e.list[0].nose) - un.length
		}
		if me.from < 0 {
			cost = e.breach()
		}
	default:
		if n > 0 {
			me.from = e.after(ln, n-1, un, me.nose)
			if me.from+un.length > ln.length {
				cost = e.closeUp(ln, un, &me)
			}
		}
		if me.from+un.length > ln.length {
			cost = e.breach()
		}
	}
	if cost >= impossible {
		return impossible
	}
	if back && driven {
		far := me.from + un.length
		if tail {
			far = ln.length - me.from
		}
		if !un.mayReverse(far) {
			if cost += e.breach(); cost >= impossible {
				return impossible
			}
		}
		cost += un.price.heavy * int64(far/100)
	}
	e.insert(me, tail)
	return cost
}

// mayReverse reports whether the unit can be driven backwards that far.
func (u *unit) mayReverse(far int32) bool {
	return u.Reverse == sallyport.ReverseYes || u.Reverse == sallyport.ReverseShort && sallyport.Centimetres(far) <= u.ReverseLimit
}

// pushStart puts a unit into the start layout of a through or open lane,
// which is packed from the mouth.
func (e *laneEval) pushStart(ln *lane, me standing, un *unit, tail bool) int64 {
	e.insert(me, tail)
	for i := range e.list {
		e.list[i].from = 0
		if i > 0 {
			e.list[i].from = e.after(ln, i-1, e.unit(i), e.list[i].nose)
		}
	}
	last := len(e.list) - 1
	if e.list[last].from+e.unit(last).length > ln.length {
		return e.breach()
	}
	return 0
}

func (e *laneEval) insert(me standing, tail bool) {
	e.list = append(e.list, me)
	if !tail {
		copy(e.list[1:], e.list)
		e.list[0] = me
	}
}

func (e *laneEval) unit(i int) *unit { return &e.p.units[e.p.stays[e.list[i].stay].unit] }

// gap is the gap between two neighbours, a nearer to the mouth.
func (e *laneEval) gap(ln *lane, a *unit, aNose bool, b *unit, bNose bool) int32 {
	x, y := a.behind, b.ahead
	if aNose {
		x = a.ahead
	}
	if bNose {
		y = b.behind
	}
	return max(ln.gap, x, y)
}

// after is where a unit stands that comes up behind place i.
func (e *laneEval) after(ln *lane, i int, un *unit, nose bool) int32 {
	a := e.unit(i)
	return e.list[i].from + a.length + e.gap(ln, a, e.list[i].nose, un, nose)
}

// closeUp moves the fewest of the rearmost units forward until me finds room
// behind them, and sets me.from. It returns their price; impossible, and
// nothing moved, when that does not make room.
func (e *laneEval) closeUp(ln *lane, un *unit, me *standing) int64 {
	for first := len(e.list) - 1; first >= 0; first-- {
		e.close = append(e.close[:0], e.list...)
		var cost int64
		for i := first; i < len(e.list); i++ {
			to := int32(0)
			if i > 0 {
				to = e.after(ln, i-1, e.unit(i), e.list[i].nose)
			}
			if to < e.list[i].from {
				if !e.mayCloseUp(i, e.list[i].from-to) {
					cost = impossible
					break
				}
				e.list[i].from = to
				cost += e.unit(i).price.closeUp
			}
		}
		me.from = e.after(ln, len(e.list)-1, un, me.nose)
		if cost < impossible && me.from+un.length <= ln.length {
			for i := range e.list {
				if e.list[i].from != e.close[i].from {
					e.record(step{kind: stepClose, stay: e.list[i].stay, back: e.list[i].nose})
				}
			}
			return cost
		}
		copy(e.list, e.close)
	}
	return impossible
}

// mayCloseUp reports whether the unit at place i can move so far forward in
// its lane, which is backwards when it stands nose in.
func (e *laneEval) mayCloseUp(i int, far int32) bool {
	return (!e.list[i].nose || e.unit(i).mayReverse(far)) && e.starts(i) && !e.unit(i).OffRoadAt(e.now)
}

// starts reports whether the engine at place i can be started as it stands:
// by tow only with room ahead, by slave lead only with nobody in front of it
// or room beside the lane.
func (e *laneEval) starts(i int) bool {
	un, s, ln := e.unit(i), e.list[i], &e.p.lanes[e.lane]
	last := len(e.list) - 1
	ahead := i > 0
	if s.nose {
		ahead = i < last
	}
	switch un.Start {
	case sallyport.StartSlave:
		return !ahead || ln.beside
	case sallyport.StartTow:
	default:
		return true
	}
	var clear int32
	switch {
	case s.nose && ahead:
		clear = e.list[i+1].from - s.from - un.length
	case s.nose && ln.kind == sallyport.DeadEnd:
		clear = ln.length - s.from - un.length
	case s.nose:
		clear = ln.length - s.from - un.length + ln.tailDepth
	case ahead:
		clear = s.from - e.list[i-1].from - e.unit(i-1).length
	default:
		clear = s.from + ln.mouthDepth
	}
	return sallyport.Centimetres(clear) >= un.StartClear
}
