package solve

import (
	"cmp"
	"slices"

	"sallyport"
)

// The search knows the clock only by nominal moments. What it finds is laid
// out in time and judged at the end; where the clock does not do, an earlier
// board that does is better than the cheapest that does not.

// A board is kept when it is cheaper by one part in keepEvery than the last
// one kept; the last keepMost are. Each round from a board in time makes
// guardSteps steps in each stream, until guardIdle rounds on end have found
// nothing, guardRounds in all at most.
const (
	keepEvery         = 200
	keepMost          = 40
	guardRounds       = 12
	guardIdle         = 3
	guardSteps  int64 = roundSteps / 2
)

// keep remembers the best board as one to come back to.
func (s *search) keep() {
	worth := s.best.worth()
	if worth >= anyWorkable || len(s.p.units) > keepUnits {
		return
	}
	if n := len(s.kept); n > 0 && s.kept[n-1].b.worth()-worth < worth/keepEvery {
		s.kept = s.kept[:n-1]
	}
	if len(s.kept) == keepMost {
		s.kept = slices.Delete(s.kept, 0, 1)
	}
	s.kept = append(s.kept, shiftedBoard{b: s.best.clone(), list: s.shifts})
}

// keepUnits is the size of a show up to which boards are kept.
const keepUnits = 1000

// inTime makes the best board one that keeps the clock as well as can be: by
// giving single stays that have to do with a fault another lane, or, if that
// does not do, by going back to the cheapest board kept in which the judge
// finds no fault. What it finds is improved by steps that leave it so.
func (s *search) inTime() {
	if s.best.worth() >= anyWorkable || len(s.p.units) > keepUnits {
		return
	}
	least := s.faults(s.best)
	if least == 0 {
		return
	}
	for n := s.repair(least); n < least; n = s.repair(least) {
		if least = n; least == 0 {
			break
		}
	}
	if least > 0 {
		least = s.goBack(least)
	}
	s.tell("keeping the clock", false)
	for idle := 0; idle < guardIdle && s.ctx.Err() == nil; idle++ {
		before, worth := least, s.best.worth()
		if least = s.guarded(least); least < before || s.best.worth() < worth {
			idle = -1
		}
		if s.guards++; s.guards == guardRounds {
			return
		}
	}
}

// goBack makes the cheapest kept board with the fewest faults the best one, if
// it has fewer than least, and returns how many the best one has then.
func (s *search) goBack(least int) int {
	best := shiftedBoard{b: s.best, list: s.shifts}
	for _, k := range slices.Backward(s.kept) {
		if n := s.faults(k.b); n < least {
			least, best = n, k
		}
		if least == 0 {
			break
		}
	}
	s.adopt(best)
	return least
}

// repairTries is how many boards are judged to mend the faults of one.
const repairTries = 24

// repair puts one unit that has to do with a fault elsewhere for one stay, as
// cheaply as that can be, and takes the cheapest such board over that has
// fewer faults than least. It returns how many the best board has then.
func (s *search) repair(least int) int {
	plan, faults := s.judged(s.best)
	st := s.streams[0]
	var boards []*board
	for _, stay := range s.p.concerned(plan, faults) {
		st.b.copyFrom(s.best)
		lane, u := st.b.laneOf(stay), s.p.stays[stay].unit
		st.route.avoid = func(x, l int32) bool { return x == stay && l == lane }
		st.b.take(u)
		st.reroute([]int32{u})
		st.route.avoid = nil
		if st.b.worth() < anyWorkable && st.b.allowed(s.best.differ()) {
			boards = append(boards, st.b.clone())
		}
	}
	slices.SortStableFunc(boards, func(a, b *board) int { return cmp.Compare(a.worth(), b.worth()) })
	for _, b := range boards[:min(repairTries, len(boards))] {
		if n := s.faults(b); n < least {
			s.best.copyFrom(b)
			return n
		}
	}
	return least
}

// nearFault is how long before or after a fault a stay begins or ends that can
// have to do with it; nearMove the same for another move through its lane.
const (
	nearFault = sallyport.Instant(7200)
	nearMove  = sallyport.Instant(1800)
)

// concerned returns the stays that can have to do with the faults of a plan:
// of the units named in them, and of those that move through the same lanes
// shortly before, as far as they begin or end about that time.
func (p *problem) concerned(plan *sallyport.Plan, faults []sallyport.Fault) []int32 {
	near := func(a, b, d sallyport.Instant) bool { return a-b <= d && b-a <= d }
	var stays []int32
	add := func(id sallyport.UnitID, at sallyport.Instant) {
		u, ok := p.unitAt[id]
		if !ok {
			return
		}
		for i := p.units[u].firstStay; i < p.units[u].endStay; i++ {
			from, to := p.span(i)
			if (near(from, at, nearFault) || to != 0 && near(to, at, nearFault)) && !slices.Contains(stays, i) {
				stays = append(stays, i)
			}
		}
	}
	for _, f := range faults {
		for _, id := range f.Units {
			add(id, f.At)
		}
		k := slices.IndexFunc(plan.Moves, func(m sallyport.Move) bool { return m.ID == f.Move })
		if k < 0 {
			continue
		}
		for _, m := range plan.Moves {
			if near(m.Start, f.At, nearMove) && (sameLane(m.From, plan.Moves[k]) || sameLane(m.To, plan.Moves[k])) {
				add(m.Unit, f.At)
			}
		}
	}
	return stays
}

// sameLane reports whether a position is the lane that a move leaves or enters.
func sameLane(at sallyport.Pos, m sallyport.Move) bool {
	return at.Kind == sallyport.InLane && (m.From.Kind == at.Kind && m.From.ID == at.ID || m.To.Kind == at.Kind && m.To.ID == at.ID)
}

// guarded improves the best board for one round in each stream, takes over
// what has fewer faults, or no more and costs less, and returns how many
// faults the best board has then.
func (s *search) guarded(least int) int {
	for _, st := range s.streams {
		st.b.copyFrom(s.best)
		st.best.copyFrom(s.best)
	}
	s.each(func(st *stream) { st.improve(s.ctx, guardSteps) })
	for _, st := range s.streams {
		for _, b := range []*board{st.best, st.b} {
			if b.worth() >= anyWorkable || least == 0 && b.worth() >= s.best.worth() || slices.Equal(b.choice, s.best.choice) {
				continue
			}
			n := s.faults(b)
			if n < least || n == least && b.worth() < s.best.worth() {
				least = n
				s.best.copyFrom(b)
				s.tell("keeping the clock", false)
			}
		}
	}
	return least
}
