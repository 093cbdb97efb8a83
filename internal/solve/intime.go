package solve

import "slices"

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

// inTime makes the best board one that keeps the clock as well as can be: the
// cheapest one kept in which the judge finds no fault, improved by steps that
// leave it so.
func (s *search) inTime() {
	if s.best.worth() >= anyWorkable {
		return
	}
	least := s.faults(s.best)
	if least == 0 {
		return
	}
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
