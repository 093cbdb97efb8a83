package solve

import (
	"math"
	"math/rand/v2"
	"slices"

	"sallyport"
)

// holds is what the search remembers about holding back and early pull-outs.
type holds struct {
	rounds int
	steps  int64
	rnd    *rand.Rand
	barred map[shift]bool // the judge found that they break a rule
}

// lateShifts is the part of the budget, one in so many, that is left when
// shifts are looked for the first time: what the lanes alone can save is cheaper
// and comes first. The second time is when the budget is spent.
const lateShifts = 8

// shiftSteps is how many steps are spent each time, at most.
const shiftSteps = roundSteps

// tableSteps is how many steps it counts to make the tables of a problem anew,
// for each stay.
const tableSteps = 6

// shiftedBoard is a board with the shifts of its problem.
type shiftedBoard struct {
	b     *board
	list  []shift
	added []shift // by which it differs from the one before
}

// shiftRound tries to hold back and to pull out early on the best board:
// against every move aside first, then, while somebody has no place, where one
// could be found for him, else anywhere in the lanes, with two lanes shared
// out anew. What costs less is kept when the judge finds no more faults
// than without; then all streams go on with it.
func (s *search) shiftRound() {
	s.holds.rounds++
	if s.opt.NoHolds || s.best.worth() <= s.floor {
		return
	}
	began := s.holds.steps
	limit := began + min(shiftSteps, s.budget/16)
	chain := []shiftedBoard{{b: s.best, list: s.shifts}}
	try := func(more []shift, less bool, share bool) {
		last := chain[len(chain)-1]
		list := withShifts(last.list, more)
		if less {
			list = slices.DeleteFunc(slices.Clone(last.list), func(x shift) bool { return slices.Contains(more, x) })
		}
		if next := s.tryShifts(last.b, list, more, share); next != nil && (next.worth() < last.b.worth() || less && next.worth() == last.b.worth()) {
			chain = append(chain, shiftedBoard{next, list, more})
		}
	}
	for _, x := range s.shifts {
		try([]shift{x}, true, false)
	}
	for _, more := range s.best.shiftsAgainstAsides() {
		if s.ctx.Err() != nil || s.holds.steps >= limit {
			break
		}
		try(more, false, false)
	}
	for s.ctx.Err() == nil && s.holds.steps < limit {
		b := chain[len(chain)-1].b
		more := b.someShift(s.holds.rnd)
		if b.total >= lostUnit {
			more = b.shiftForHomeless(s.holds.rnd)
		}
		if more == nil {
			s.holds.steps += 100
			continue
		}
		try(more, false, true)
	}
	s.steps += s.holds.steps - began
	if len(chain) > 1 && s.ctx.Err() == nil {
		s.settle(chain)
	}
}

// tryShifts returns the board with the shifts of list instead of its own; nil
// when they cannot be. With share those without a place are put where it costs
// least, or, if there are none, the lane of the first of more is shared out
// anew with another.
func (s *search) tryShifts(b *board, list, more []shift, share bool) *board {
	if slices.ContainsFunc(more, func(x shift) bool { return s.holds.barred[x] }) {
		s.holds.steps += 100
		return nil
	}
	q, ok := s.base.shifted(list)
	s.holds.steps += int64(tableSteps * len(b.choice))
	if !ok {
		return nil
	}
	c, ok := b.carried(q)
	if !ok {
		return nil
	}
	s.holds.steps += c.steps - b.steps
	if share {
		st := &stream{p: q, b: c, dp: newLanesDP(q, newLaneEval(q)), rnd: s.holds.rnd}
		before := c.steps
		if b.total >= lostUnit {
			st.placeHomeless()
		} else {
			st.shareAround(c.laneOf(more[0].stay))
		}
		s.holds.steps += c.steps - before
	}
	if !c.allowed(b.differ()) {
		return nil
	}
	return c
}

// settle goes on with the last board of the chain that the judge finds no
// worse than the first; the shift after it is barred.
func (s *search) settle(chain []shiftedBoard) {
	most := s.faults(chain[0].b)
	good, bad := 0, len(chain)
	for probe := len(chain) - 1; good+1 < bad; probe = (good + bad) / 2 {
		if s.faults(chain[probe].b) <= most {
			good = probe
		} else {
			bad = probe
		}
	}
	if bad < len(chain) {
		for _, x := range chain[bad].added {
			s.holds.barred[x] = true
		}
	}
	if good > 0 {
		s.adopt(chain[good])
		s.tell("holding back", false)
	}
}

// faults is how many faults the judge finds in the plan of a board, entries
// that are given up apart.
func (s *search) faults(b *board) int {
	_, faults := s.judged(b)
	return len(faults)
}

// judged returns the laid plan of a board and the faults that the judge finds
// in it, entries that are given up apart.
func (s *search) judged(b *board) (*sallyport.Plan, []sallyport.Fault) {
	plan := b.p.plan(b)
	plan.Moves, _ = Lay(b.p.show, startState(b.p.show, plan), plan.Moves)
	faults := sallyport.Faults(b.p.show, plan)
	return plan, slices.DeleteFunc(faults, func(f sallyport.Fault) bool { return f.Rule == sallyport.RuleUnserved })
}

// adopt makes a board the best and has all streams go on in its problem, each
// with its own places as far as they are open there.
func (s *search) adopt(x shiftedBoard) {
	s.p, s.shifts, s.best = x.b.p, x.list, x.b
	for _, st := range s.streams {
		own, steps := st.b, st.b.steps
		st.p, st.dp = s.p, newLanesDP(s.p, newLaneEval(s.p))
		st.best = s.best.clone()
		st.b = s.best.clone()
		if c, ok := own.carried(s.p); ok && c.worth() < anyWorkable {
			st.b = c
		}
		st.b.steps = steps
	}
}

// lastShifts looks for shifts once more on the board that the search has
// arrived at. Should the judge find faults in it that it does not find when
// nobody is shifted, nobody is.
func (s *search) lastShifts() {
	if s.opt.NoHolds || s.ctx.Err() != nil {
		return
	}
	s.shiftRound()
	if len(s.shifts) == 0 {
		return
	}
	faults := s.faults(s.best)
	if faults == 0 {
		return
	}
	plain, ok := s.best.carried(s.base)
	if ok && plain.worth() < anyWorkable && s.faults(plain) < faults {
		s.adopt(shiftedBoard{b: plain})
		s.each(func(st *stream) { st.improve(s.ctx, roundSteps) })
		s.merge("improving")
	}
}

// placeHomeless puts all units that have no place for some stay where that
// costs least, one after the other.
func (st *stream) placeHomeless() {
	for u := range st.p.units {
		if st.b.homeless(int32(u)) != none {
			st.b.take(int32(u))
			st.reroute([]int32{int32(u)})
		}
	}
}

// shareAround shares lane l and another out anew.
func (st *stream) shareAround(l int32) {
	st.lanes = append(st.lanes[:0], l)
	for tries := 0; len(st.lanes) < 2 && tries < 20; tries++ {
		if o := int32(st.rnd.IntN(len(st.p.lanes))); o != l {
			st.lanes = append(st.lanes, o)
		}
	}
	before := st.b.total
	stays, places, ok := st.dp.solve(st.b, st.lanes, 0, math.MaxInt32, shareWidth, 0, st.rnd)
	st.b.steps += st.dp.steps
	if !ok {
		return
	}
	old := make([]int32, len(stays))
	for i, s := range stays {
		old[i] = st.b.choice[s]
	}
	if st.b.move(stays, places); st.b.total > before {
		st.b.move(stays, old)
	}
}

// aMinute is by how much somebody is shifted past others of one moment.
const aMinute = 60

// against lists the ways to turn a crossing of two stays, of which the second
// comes in later and bars the first, into a nesting: the later one is held
// back until the first has gone, or pulled out before it; the first is pulled
// out before the later one comes, or held back to stand in front of it.
func (p *problem) against(first, later int32) [][]shift {
	a, b := &p.stays[first], &p.stays[later]
	if a.outGroup == none {
		return nil
	}
	ways := [][]shift{{{first, true, p.groups[b.inGroup].at}}, {{later, false, p.groups[a.outGroup].at}}, {{first, false, p.groups[b.inGroup].at + aMinute}}}
	if b.outGroup != none {
		ways = append(ways, []shift{{later, true, p.groups[a.outGroup].at - aMinute}})
	}
	return ways
}

// shiftsAgainstAsides lists shifts that could save moves aside: for each that
// is moved aside, with all that it lets out; and for all of a group in a lane
// together.
func (b *board) shiftsAgainstAsides() [][]shift {
	var list [][]shift
	p := b.p
	e := newLaneEval(p)
	copy(e.sorted, b.sorted)
	for l := range p.lanes {
		var asides, outs []int32
		e.rec = func(s step) {
			switch s.kind {
			case stepAside:
				asides = append(asides, s.stay)
			case stepOut:
				outs = append(outs, s.stay)
			}
		}
		e.begin(int32(l))
		before := none
		for i := 0; i < len(b.events[l]); {
			g, j := e.run(b.events[l], i)
			asides, outs = asides[:0], outs[:0]
			e.between(before, g)
			e.group(int32(l), g, b.events[l][i:j], b.choice)
			list = append(list, p.savingAsides(asides, outs)...)
			before, i = g, j
		}
	}
	return list
}

// savingAsides lists shifts against moves aside of one group in one lane.
func (p *problem) savingAsides(asides, outs []int32) [][]shift {
	var list [][]shift
	var hold []shift
	for _, later := range asides {
		var early []shift
		for _, first := range outs {
			if first == later {
				continue
			}
			list = append(list, p.against(first, later)...)
			early = append(early, shift{first, true, p.groups[p.stays[later].inGroup].at})
		}
		if len(early) > 1 {
			list = append(list, early)
		}
		if len(outs) > 0 {
			hold = append(hold, shift{later, false, p.groups[p.stays[outs[0]].outGroup].at})
		}
	}
	if len(hold) > 1 {
		list = append(list, hold)
	}
	return list
}

// someShift proposes to turn round two events of a random lane that follow
// each other closely; nil when those picked do not suit.
func (b *board) someShift(rnd *rand.Rand) []shift {
	events := b.events[rnd.IntN(len(b.events))]
	if len(events) < 2 {
		return nil
	}
	i := 1 + rnd.IntN(len(events)-1)
	return b.p.turned(events[i-1], events[i], rnd)
}

// shiftForHomeless proposes to turn round the beginning or end of a stay that
// has no place, and another close to it in a lane that it may use; nil when
// those picked do not suit.
func (b *board) shiftForHomeless(rnd *rand.Rand) []shift {
	p := b.p
	var stays []int32
	for s, pl := range b.choice {
		if pl == none && len(p.stays[s].places) > 0 {
			stays = append(stays, int32(s))
		}
	}
	if len(stays) == 0 {
		return nil
	}
	st := &p.stays[stays[rnd.IntN(len(stays))]]
	events := b.events[p.places[st.places[rnd.IntN(len(st.places))]].lane]
	own := st.in
	if st.out != none && rnd.IntN(2) == 0 {
		own = st.out
	}
	i, _ := slices.BinarySearch(events, own)
	if rnd.IntN(2) == 0 {
		if i--; i < 0 {
			return nil
		}
		return p.turned(events[i], own, rnd)
	}
	if i == len(events) {
		return nil
	}
	return p.turned(own, events[i], rnd)
}

// turned proposes to turn round two events, x before y, by holding x back or
// by making y early; nil when the one picked cannot be.
func (p *problem) turned(ex, ey int32, rnd *rand.Rand) []shift {
	x, y := &p.events[ex], &p.events[ey]
	gx, gy := &p.groups[x.group], &p.groups[y.group]
	if x.stay == y.stay || gy.at-gx.at > closeTogether {
		return nil
	}
	if rnd.IntN(2) == 0 {
		if x.out || gx.kind != groupHome {
			return nil
		}
		at := gy.at
		if !y.out {
			at += aMinute
		}
		return []shift{{x.stay, false, at}}
	}
	if !y.out || gy.kind != groupOut {
		return nil
	}
	at := gx.at
	if x.out {
		at -= aMinute
	}
	return []shift{{y.stay, true, at}}
}

// closeTogether is how far events may be apart that are turned round without
// a move aside to be saved.
const closeTogether = 20 * 60
