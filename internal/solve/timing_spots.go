package solve

import (
	"slices"

	"sallyport"
)

// store is the room of a line or spot over time. Units count with their
// larger gap, so that whatever fits here fits in any order.
type store struct {
	length sallyport.Centimetres // 0: no limit
	gap    sallyport.Centimetres
	used   profile
	gone   []leaving // the last moves that made room, oldest first
}

// leaving is a move that made room.
type leaving struct {
	move int
	end  sallyport.Instant
	room int64
}

// mostGone is how many leaving moves a store remembers; whoever left before
// them has long gone.
const mostGone = 48

func (s *store) share(u *sallyport.Unit) int64 {
	if u == nil {
		return 0
	}
	return int64(u.Length + max(s.gap, u.GapAhead, u.GapBehind))
}

// earliest returns from when on n more can stand there for good.
func (s *store) earliest(at sallyport.Instant, n int64) sallyport.Instant {
	if s.length == 0 {
		return at
	}
	return s.used.earliestForGood(at, n, int64(s.length+s.gap))
}

func (s *store) put(at sallyport.Instant, u *sallyport.Unit) { s.used.add(at, never, s.share(u)) }

// take frees the room of a unit when its move is over.
func (s *store) take(end sallyport.Instant, u *sallyport.Unit, move int) {
	s.used.add(end, never, -s.share(u))
	if s.length > 0 {
		s.gone = append(s.gone, leaving{move, end, s.share(u)})
		if len(s.gone) > mostGone {
			s.gone = slices.Clone(s.gone[len(s.gone)-mostGone:])
		}
	}
}

// needs returns the leaving moves that must be over before n more come at a
// moment, should whoever has left by the clock be late in truth.
func (s *store) needs(at sallyport.Instant, n int64) []int {
	if s.length == 0 {
		return nil
	}
	room := int64(s.length+s.gap) - n
	if i := s.used.find(at); i >= 0 {
		room -= s.used.steps[i].n
	}
	var moves []int
	sum := int64(0)
	for _, g := range slices.Backward(s.gone) {
		if g.end > at {
			continue
		}
		if sum += g.room; sum > room {
			moves = append(moves, g.move)
		}
	}
	return moves
}

// usedAt returns what stands there at a moment.
func (s *store) usedAt(at sallyport.Instant) int64 {
	if i := s.used.find(at); i >= 0 {
		return s.used.steps[i].n
	}
	return 0
}

func (t *timetable) spot(id sallyport.SpotID) *store {
	s := t.spots[id]
	if s == nil {
		s = &store{}
		if spot := t.ix.Spot(id); spot != nil {
			s.length, s.gap = spot.Length, spot.Gap
		}
		t.spots[id] = s
	}
	return s
}

const whyAside = "a place to wait aside"

// spotLimits keeps room at the spot that j goes to, and names it when that is
// left open: the first that serves the zone and has room soonest.
func (t *timetable) spotLimits(j *job) {
	m := j.m
	if m.From.Kind == sallyport.InSpot && m.From.ID == "" && j.clock.pos.Kind == sallyport.InSpot {
		m.From.ID = j.clock.pos.ID
	}
	if m.To.Kind != sallyport.InSpot || m.To == m.From {
		return
	}
	choice := []sallyport.SpotID{sallyport.SpotID(m.To.ID)}
	if m.To.ID == "" {
		choice = t.asideChoice(m)
	}
	if len(choice) == 0 {
		j.broken = append(j.broken, whyAside)
		return
	}
	j.limit(whyAside, func(s sallyport.Instant) sallyport.Instant {
		best := never
		for _, id := range choice {
			if at := t.spot(id).earliest(s, t.spot(id).share(j.u)); at < best {
				best, m.To.ID = at, string(id)
			}
		}
		if best == never {
			m.To.ID = string(choice[0])
		}
		return best
	})
}

// asideChoice returns where the unit of m may wait.
func (t *timetable) asideChoice(m *sallyport.Move) []sallyport.SpotID {
	zone := t.ix.ZoneOf(m.From)
	if m.From.Kind != sallyport.InLane {
		zone = t.ix.ZoneOf(t.unit(m.Unit).pos)
	}
	var list []sallyport.SpotID
	for _, s := range t.ix.AsideSpots(zone) {
		list = append(list, s.ID)
	}
	return list
}

// spotMoved records who came to a spot and who left one.
func (t *timetable) spotMoved(j *job) {
	m := j.m
	switch {
	case m.Kind == sallyport.MovePart:
		s := t.spot(sallyport.SpotID(m.To.ID))
		s.take(m.Ends(), j.u, j.i)
		for _, p := range j.u.Parts {
			s.put(m.Start, t.ix.Unit(p))
		}
		return
	case m.Kind == sallyport.MoveCouple:
		s := t.spot(sallyport.SpotID(m.To.ID))
		for _, p := range j.u.Parts {
			s.take(m.Ends(), t.ix.Unit(p), j.i)
		}
		s.put(m.Start, j.u)
		return
	}
	if m.To.Kind == sallyport.InSpot {
		s := t.spot(sallyport.SpotID(m.To.ID))
		for _, k := range s.needs(m.Start, s.share(j.u)) {
			t.wait(j, k)
		}
		s.put(m.Start, j.u)
	}
	if m.From.Kind == sallyport.InSpot {
		t.spot(sallyport.SpotID(m.From.ID)).take(m.Ends(), j.u, j.i)
	}
}
