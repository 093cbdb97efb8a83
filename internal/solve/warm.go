package solve

import (
	"math/rand/v2"
	"slices"

	"sallyport"
)

// A search may begin from a plan of the same show or of one a little different.
// Unlike a sketch, which has lanes only, a plan also says by which ends open
// lanes are used, in which evenings a lane is put in order, who is held back
// and who is out early; so the first board costs what the plan costs.

// warm makes every board begin from a plan.
func (s *search) warm(plan *sallyport.Plan) {
	first := s.base.boardOf(plan)
	s.adopt(first)
	s.each(func(st *stream) {
		st.placeHomeless()
		st.best.copyFrom(st.b)
	})
}

// boardOf returns a board on which stays are spent as in a plan, matched by
// entry, duty and unit, with its resets and its shifts as far as this problem
// allows them. Units for which that cannot be done have no place.
func (p *problem) boardOf(plan *sallyport.Plan) shiftedBoard {
	list := p.shiftsOf(plan)
	q, ok := p.shifted(list)
	if !ok {
		q, list = p.mostShifts(list)
	}
	st := &stream{p: q, b: newBoard(q), rnd: rand.New(rand.NewPCG(0, 0))}
	q.sortedIn(plan, st.b.sorted)
	w := newWhereabouts(plan)
	for u := range q.units {
		if places := w.places(q, int32(u)); q.mayAll(int32(u), places) {
			for i, pl := range places {
				st.b.put(q.units[u].firstStay+int32(i), pl)
			}
		}
	}
	for _, u := range st.b.countAll(st.b.clearFirst) {
		places := w.places(q, u)
		st.route.wish = func(s int32) int32 { return q.laneAt(places[s-q.units[u].firstStay]) }
		st.reroute([]int32{u})
		if st.b.homeless(u) != none {
			st.b.take(u)
		}
	}
	return shiftedBoard{b: st.b, list: list}
}

// mayAll reports whether each place is open to its stay of unit u.
func (p *problem) mayAll(u int32, places []int32) bool {
	for i, pl := range places {
		if pl == none || !slices.Contains(p.stays[p.units[u].firstStay+int32(i)].places, pl) {
			return false
		}
	}
	return true
}

// countAll counts the whole board, has clearLane take units off lanes that
// cannot be played, and returns all that have no place then.
func (b *board) countAll(clearLane func(l int32)) []int32 {
	for l := range b.events {
		b.countLane(int32(l))
	}
	for u := range b.p.units {
		b.countUnit(int32(u))
	}
	b.countPairs()
	for l := range b.events {
		clearLane(int32(l))
	}
	var list []int32
	for u := range b.p.units {
		if b.homeless(int32(u)) != none {
			list = append(list, int32(u))
		}
	}
	return list
}

// clearFirst takes units off a lane until it can be played, the first to come
// first.
func (b *board) clearFirst(l int32) {
	for b.lanes[l] >= impossible && len(b.events[l]) > 0 {
		b.take(b.p.stays[b.p.events[b.events[l][0]].stay].unit)
	}
}

func (p *problem) laneAt(pl int32) int32 {
	if pl == none {
		return none
	}
	return p.places[pl].lane
}

// shiftsOf returns the shifts of a plan that name stays of this problem.
func (p *problem) shiftsOf(plan *sallyport.Plan) []shift {
	held, early := map[sallyport.EntryID]sallyport.Instant{}, map[sallyport.EntryID]sallyport.Instant{}
	for _, m := range plan.Moves {
		switch {
		case m.Nominal == 0 || m.Entry == "":
		case m.Kind == sallyport.MoveReturn:
			held[m.Entry] = m.Nominal
		case m.Kind == sallyport.MovePullOut:
			early[m.Entry] = m.Nominal
		}
	}
	if len(held)+len(early) == 0 {
		return nil
	}
	var list []shift
	for s := range p.stays {
		st := &p.stays[s]
		un := &p.units[st.unit]
		if at := early[p.turn(un, st.after, false).entry]; at != 0 {
			list = append(list, shift{int32(s), true, at})
		}
		if at := held[p.turn(un, st.before, true).entry]; at != 0 {
			list = append(list, shift{int32(s), false, at})
		}
	}
	return withShifts(nil, list)
}

// mostShifts returns the problem with those of the shifts that it allows, one
// after the other.
func (p *problem) mostShifts(list []shift) (*problem, []shift) {
	q, kept := p, []shift(nil)
	for _, x := range list {
		more := withShifts(kept, []shift{x})
		if next, ok := p.shifted(more); ok {
			q, kept = next, more
		}
	}
	return q, kept
}

// sortedIn sets in which reset windows lanes are put in order.
func (p *problem) sortedIn(plan *sallyport.Plan, sorted []uint64) {
	laneAt := map[string]int{}
	for l := range p.lanes {
		laneAt[string(p.lanes[l].id)] = l
	}
	for _, m := range plan.Moves {
		if m.Kind != sallyport.MoveReset {
			continue
		}
		bit := slices.IndexFunc(p.resets, func(g int32) bool { return p.show.Resets[p.groups[g].window].ID == m.Window })
		for _, at := range []sallyport.Pos{m.From, m.To} {
			if l, ok := laneAt[at.ID]; ok && at.Kind == sallyport.InLane && bit >= 0 {
				sorted[l] |= 1 << bit
			}
		}
	}
}

// turn is why a unit's stay begins or ends: an entry, a duty, or, for a
// combination that goes to its coupling spot, a serial; all empty for the
// arrival or the departure.
type turn struct {
	unit   sallyport.UnitID
	entry  sallyport.EntryID
	duty   sallyport.DutyID
	serial sallyport.SerialID
}

// whereabouts is where the units of a plan stand: at the start, and by the
// turns with which their stays begin and end.
type whereabouts struct {
	start   map[sallyport.UnitID]sallyport.LaneID
	order   map[sallyport.LaneID][]sallyport.UnitID // at the start, mouth first
	in, out map[turn]sallyport.Pos
}

func newWhereabouts(plan *sallyport.Plan) *whereabouts {
	w := &whereabouts{
		start: map[sallyport.UnitID]sallyport.LaneID{}, order: map[sallyport.LaneID][]sallyport.UnitID{},
		in: map[turn]sallyport.Pos{}, out: map[turn]sallyport.Pos{},
	}
	for _, l := range plan.Start {
		w.order[l.Lane] = l.Units
		for _, u := range l.Units {
			w.start[u] = l.Lane
		}
	}
	for _, m := range plan.Moves {
		t := turn{unit: m.Unit}
		switch m.Kind {
		case sallyport.MoveArrive, sallyport.MoveDepart:
		case sallyport.MoveReturn, sallyport.MovePullOut:
			t.entry = m.Entry
		case sallyport.MoveRelieve, sallyport.MoveDuty:
			t.duty = m.Duty
		case sallyport.MoveShift:
			t.serial = m.Serial
		default:
			continue
		}
		if m.From.Kind == sallyport.InLane {
			w.out[t] = m.From
		}
		if m.To.Kind == sallyport.InLane {
			w.in[t] = m.To
		}
	}
	return w
}

// places returns where unit u spends its stays, none where the plan does not
// say it. A stay of which it says nothing is spent in the lane before.
func (w *whereabouts) places(p *problem, u int32) []int32 {
	un := &p.units[u]
	var places []int32
	last := none
	for s := un.firstStay; s < un.endStay; s++ {
		st := &p.stays[s]
		in, came := w.in[p.turn(un, st.before, true)]
		out, left := w.out[p.turn(un, st.after, false)]
		id := sallyport.LaneID(in.ID)
		switch {
		case came:
		case st.before == none && w.start[un.ID] != "":
			id = w.start[un.ID]
			in.End = w.startEnd(p, s, id)
		case left:
			id = sallyport.LaneID(out.ID)
		}
		if l := slices.IndexFunc(p.lanes, func(l lane) bool { return l.id == id }); l >= 0 {
			last = int32(l)
		}
		if !left || out.ID != string(id) {
			out.End = in.End // the same way out as in turns nobody round
		}
		places = append(places, p.placeWith(last, in.End == sallyport.Tail, out.End == sallyport.Tail))
	}
	return places
}

// turn is why a unit comes from (last) or leaves for an absence.
func (p *problem) turn(un *unit, a int32, last bool) turn {
	t := turn{unit: un.ID}
	if a == none {
		return t
	}
	ab := &p.absences[a]
	if ab.stray {
		return t
	}
	if ab.duty != none {
		t.duty = p.show.Duties[ab.duty].ID
		return t
	}
	e := ab.entries[0]
	if last {
		e = ab.entries[len(ab.entries)-1]
	}
	if ab.part != "" {
		t.serial = p.serial(e).ID
	} else {
		t.entry = p.entry(e).ID
	}
	return t
}

// placeWith is the place of lane l with these ends, where it has a choice.
func (p *problem) placeWith(l int32, tail, outTail bool) int32 {
	if l == none {
		return none
	}
	for pl := p.lanes[l].first; pl < p.lanes[l].end; pl++ {
		if p.places[pl].tail == tail && p.places[pl].outTail == outTail {
			return pl
		}
	}
	return p.lanes[l].first
}

// startEnd is the end by which the search lets stay s into an open lane at
// the start, so that it stands there as the plan has it: the tail when one
// who came before it stands nearer the mouth.
func (w *whereabouts) startEnd(p *problem, s int32, id sallyport.LaneID) sallyport.End {
	for _, u := range w.order[id] {
		o, ok := p.unitAt[u]
		switch {
		case !ok:
		case p.units[o].firstStay == s:
			return sallyport.Mouth
		case p.stays[p.units[o].firstStay].in < p.stays[s].in:
			return sallyport.Tail
		}
	}
	return sallyport.Mouth
}
