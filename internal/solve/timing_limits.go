package solve

import (
	"slices"

	"sallyport"
)

// partLimits has the parts of a combination wait for it, and it for them.
func (t *timetable) partLimits(j *job) {
	if j.m.Kind != sallyport.MoveCouple {
		return
	}
	for _, p := range j.u.Parts {
		j.notBefore("its parts", t.unit(p).free)
		t.wait(j, t.unit(p).last())
	}
}

// laneLimits keeps the order in lanes: a move that touches a lane waits for
// the last one that did.
func (t *timetable) laneLimits(j *job) {
	for _, id := range lanesOf(j.m) {
		l := t.lane(id)
		j.notBefore("lane "+string(id), max(l.end, l.seen))
		t.wait(j, l.last)
	}
	if j.from != nil && j.warm > 0 {
		if at, ok := t.lane(j.from.lane.ID).pushed[j.from.end]; ok {
			j.notBefore("its warm-up", at+sallyport.Instant(j.warm))
		}
	}
	// Nobody may come while the lane is closed.
	if j.to != nil {
		for _, w := range j.to.lane.Closed {
			j.limit("lane "+string(j.to.lane.ID)+", which is closed,", func(s sallyport.Instant) sallyport.Instant {
				if s >= w.From && s < w.To {
					return w.To
				}
				return s
			})
		}
	}
}

// lanesOf returns the lanes that a move touches, each once.
func lanesOf(m *sallyport.Move) []sallyport.LaneID {
	var list []sallyport.LaneID
	for _, p := range []sallyport.Pos{m.From, m.To} {
		if id := sallyport.LaneID(p.ID); p.Kind == sallyport.InLane && !slices.Contains(list, id) {
			list = append(list, id)
		}
	}
	return list
}

// serialLimits keeps what a serial needs of its last pull-out: it is the last
// in time too, and it sees its reserves' lanes as the order of moves has them.
func (t *timetable) serialLimits(j *job) {
	if !t.isLastPull(j.i) {
		return
	}
	lanes := t.reserveLanes(j.m.Serial)
	if len(lanes) == 0 {
		return
	}
	j.notBefore("the serial's other vehicles", t.out[j.m.Serial])
	for _, id := range lanes {
		l := t.lane(id)
		j.notBefore("lane "+string(id), l.end)
		t.wait(j, l.last)
	}
}

// reserveLanes returns where the reserves of a serial stand.
func (t *timetable) reserveLanes(id sallyport.SerialID) []sallyport.LaneID {
	s := t.ix.Serial(id)
	if s == nil {
		return nil
	}
	var lanes []sallyport.LaneID
	for i := range s.Entries {
		for _, r := range s.Entries[i].Reserves {
			if u := t.units[r]; u != nil && u.pos.Kind == sallyport.InLane && !slices.Contains(lanes, sallyport.LaneID(u.pos.ID)) {
				lanes = append(lanes, sallyport.LaneID(u.pos.ID))
			}
		}
	}
	return lanes
}

// stretchLimits keeps everything else out of a stretch while one reverses.
func (t *timetable) stretchLimits(j *job) {
	for _, p := range []*passage{j.from, j.to} {
		if p == nil || p.stretch == "" {
			continue
		}
		s := t.stretch(p.stretch)
		others := &s.reversing
		if p.reverse {
			others = &s.all
		}
		j.limit("the frontage of "+t.stretchName(p.stretch), func(at sallyport.Instant) sallyport.Instant { return others.earliest(at, j.takes, 1, 1) })
	}
}

func (t *timetable) stretchName(id sallyport.StretchID) string {
	if s := t.ix.Stretch(id); s != nil && s.Name != "" {
		return s.Name
	}
	return string(id)
}

const whyTeams = "a marshal team"

// teamLimits keeps as many moves at once as there are marshal teams.
func (t *timetable) teamLimits(j *job) {
	if !t.ix.TeamsGiven() {
		return
	}
	need := int64(j.m.Marshals)
	j.limit(whyTeams, func(at sallyport.Instant) sallyport.Instant {
		have := int64(t.ix.TeamsOn(at.Day()))
		if have == 0 || need > have {
			return at
		}
		return t.teams.earliest(at, j.takes, need, have)
	})
}

// publicLimits keeps moves and engines out of zones with the public inside.
func (t *timetable) publicLimits(j *job) {
	zones := [2]sallyport.ZoneID{t.ix.ZoneOf(j.m.From), t.ix.ZoneOf(j.m.To)}
	for side, zone := range zones {
		inside := t.ix.PublicInside(zone)
		if zone == "" || len(inside) == 0 {
			continue
		}
		warm, rest := j.warm, j.takes
		if side == 1 {
			warm, rest = 0, j.takes+j.cool
		}
		if side == 1 && zone == zones[0] {
			warm = j.warm
		}
		j.softLimit("the public in zone "+t.ix.ZoneName(zone), func(at sallyport.Instant) sallyport.Instant {
			for _, w := range inside {
				if w.From < at+sallyport.Instant(rest) && at-sallyport.Instant(warm) < w.To {
					at = w.To + sallyport.Instant(warm)
				}
			}
			return at
		})
	}
}

// hourLimits keeps engines within the hours of the day.
func (t *timetable) hourLimits(j *job) {
	j.softLimit("the engine hours", func(at sallyport.Instant) sallyport.Instant {
		d := t.ix.Day(at.Day())
		if d == nil {
			return at
		}
		if d.EngineFrom != 0 {
			at = max(at, d.EngineFrom+sallyport.Instant(j.warm))
		}
		if d.EngineTo == 0 || at+sallyport.Instant(j.takes+j.cool) <= d.EngineTo {
			return at
		}
		// On the next day, when that is not too late anyway.
		next := t.ix.Day(at.Day() + 1)
		if next == nil {
			return never
		}
		return max(sallyport.At(at.Day()+1, 0, 0), next.EngineFrom+sallyport.Instant(j.warm))
	})
}

// idleLimits keeps engines from idling on a line longer than they may and too
// short to be stopped and started again.
func (t *timetable) idleLimits(j *job) {
	idle, rest := sallyport.Instant(j.u.LongestIdle), sallyport.Instant(j.u.HotRest)
	if idle == 0 {
		return
	}
	if j.m.From.Kind == sallyport.InLine {
		since := j.clock.since
		j.limit("the rest of its engine", func(s sallyport.Instant) sallyport.Instant {
			if wait := s - since; wait > idle && wait < rest {
				return since + rest
			}
			return s
		})
	}
	s := t.ix.Serial(j.m.Serial)
	if s == nil || j.m.To.Kind != sallyport.InLine || j.m.Kind != sallyport.MovePullOut && j.m.Kind != sallyport.MoveAcross {
		return
	}
	j.softLimit("idling on the line", func(at sallyport.Instant) sallyport.Instant {
		if wait := s.Leave() - at - sallyport.Instant(j.takes); wait > idle && wait < rest {
			return s.Leave() - sallyport.Instant(j.takes) - idle
		}
		return at
	})
}
