package solve

import (
	"slices"

	"sallyport"
)

// job is one move while it is laid.
type job struct {
	i     int
	m     *sallyport.Move
	u     *sallyport.Unit
	clock *unitClock
	takes sallyport.Seconds
	warm  sallyport.Seconds // its engine runs in the lane so long before
	cool  sallyport.Seconds // and so long after
	from  *passage          // out of a lane
	to    *passage          // into a lane

	limits []limit
	held   string   // what held it up last
	broken []string // limits that cannot be kept
}

// passage is a way through one end of a lane.
type passage struct {
	lane    *sallyport.Lane
	end     sallyport.End
	stretch sallyport.StretchID
	reverse bool
}

// limit is one thing that a move may have to wait for: from a moment on, when
// it can start at the earliest, never if at no moment. A soft limit is given
// up when it would make the move late; the judge then names the rule.
type limit struct {
	why      string
	soft     bool
	earliest func(s sallyport.Instant) sallyport.Instant
	off      bool
}

func (j *job) limit(why string, earliest func(s sallyport.Instant) sallyport.Instant) {
	j.limits = append(j.limits, limit{why: why, earliest: earliest})
}

func (j *job) softLimit(why string, earliest func(s sallyport.Instant) sallyport.Instant) {
	j.limits = append(j.limits, limit{why: why, earliest: earliest, soft: true})
}

// notBefore is a limit that is one moment.
func (j *job) notBefore(why string, at sallyport.Instant) {
	j.limit(why, func(s sallyport.Instant) sallyport.Instant { return max(s, at) })
}

// fit returns the first moment from s on that keeps all limits of j. A limit
// that can never be kept is given up.
func (t *timetable) fit(j *job, s sallyport.Instant) sallyport.Instant {
	for again := true; again; {
		again = false
		for k := range j.limits {
			l := &j.limits[k]
			if l.off {
				continue
			}
			next := l.earliest(s)
			switch {
			case next >= never:
				l.off = true
				j.broken = append(j.broken, l.why)
			case next > s:
				s, j.held, again = next, l.why, true
			}
		}
	}
	return s
}

// fitInTime is fit, but gives soft limits up rather than be late.
func (t *timetable) fitInTime(j *job, s sallyport.Instant) sallyport.Instant {
	at := t.fit(j, s)
	due := t.deadlines[j.i]
	if due == 0 || at+sallyport.Instant(j.takes) <= due {
		return at
	}
	held := j.held
	soft := false
	for k := range j.limits {
		if l := &j.limits[k]; l.soft && !l.off {
			l.off, soft = true, true
		}
	}
	if !soft {
		return at
	}
	if without := t.fit(j, s); without < at {
		j.held, j.broken = held, append(j.broken, held)
		return without
	}
	return at
}

// single lays the move of one unit.
func (t *timetable) single(i int) {
	m := &t.moves[i]
	j := &job{i: i, m: m, u: t.ix.Unit(m.Unit), clock: t.unit(m.Unit), takes: m.Takes}
	if j.u == nil {
		m.Start = max(t.at, m.Start)
		return
	}
	t.passages(j)
	engine := !m.ByHand && m.Kind != sallyport.MoveTow && m.Kind != sallyport.MoveCouple && m.Kind != sallyport.MovePart
	if engine {
		if j.from != nil && j.u.WarmWhere == sallyport.WarmInLane && (m.Kind == sallyport.MovePullOut || m.Kind == sallyport.MoveDuty || m.Kind == sallyport.MoveDepart) {
			j.warm = j.u.WarmUp
		}
		if m.Kind == sallyport.MoveReturn || m.Kind == sallyport.MoveRelieve {
			j.cool = j.u.CoolDown
		}
	}
	j.notBefore("its last move", j.clock.free)
	t.afterOwn(i, m.Unit)
	t.partLimits(j)
	t.laneLimits(j)
	if line, home := t.lineOf(m); line != nil {
		t.lineLimits(j, line, home)
	}
	t.foulLimits(j)
	t.serialLimits(j)
	t.peopleLimits(j)
	if t.inPark(m) {
		m.Marshals = max(1, m.Marshals)
		t.stretchLimits(j)
		t.teamLimits(j)
		t.publicLimits(j)
	}
	if engine {
		t.hourLimits(j)
	}
	t.idleLimits(j)
	t.spotLimits(j)
	m.Start = t.fitInTime(j, t.release(i))
	t.done(j)
}

// inPark reports whether a move takes a marshal team.
func (t *timetable) inPark(m *sallyport.Move) bool {
	return m.Kind != sallyport.MoveCouple && m.Kind != sallyport.MovePart
}

// passages finds the lane ends that a move goes through and whether backwards.
func (t *timetable) passages(j *job) {
	m := j.m
	if m.Kind == sallyport.MoveCloseUp {
		return
	}
	if l := t.ix.Lane(sallyport.LaneID(m.From.ID)); m.From.Kind == sallyport.InLane && l != nil {
		end := m.From.End
		if l.Kind != sallyport.Open || end == "" {
			end = sallyport.Mouth
		}
		j.from = &passage{lane: l, end: end, reverse: (end == sallyport.Mouth) == j.clock.noseIn}
	}
	if l := t.ix.Lane(sallyport.LaneID(m.To.ID)); m.To.Kind == sallyport.InLane && l != nil {
		end := m.To.End
		switch {
		case l.Kind == sallyport.DeadEnd || l.Kind == sallyport.Open && end == "":
			end = sallyport.Mouth
		case l.Kind == sallyport.Through:
			end = sallyport.Tail
		}
		j.to = &passage{lane: l, end: end, reverse: m.Reverse}
	}
	for _, p := range []*passage{j.from, j.to} {
		if p != nil {
			p.stretch = p.lane.Mouth
			if p.end == sallyport.Tail {
				p.stretch = p.lane.Tail
			}
		}
	}
}

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

// last returns the number of the unit's last move, -1 when it has had none.
func (u *unitClock) last() int { return u.moved - 1 }

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

// done records a move that has its time.
func (t *timetable) done(j *job) {
	m, end := j.m, j.m.Ends()
	// What only makes way is told by those it makes late.
	own := m.Kind != sallyport.MoveAside && m.Kind != sallyport.MoveShift && m.Kind != sallyport.MovePart && m.Kind != sallyport.MoveCouple && m.Kind != sallyport.MoveCloseUp
	if due := t.deadlines[j.i]; own && due != 0 && end > due {
		t.late = append(t.late, lateness{move: j.i, by: sallyport.Seconds(end - due), why: j.held})
	}
	for _, why := range j.broken {
		t.late = append(t.late, lateness{move: j.i, why: why})
	}
	t.passed(j)
	for _, id := range lanesOf(m) {
		l := t.lane(id)
		l.last, l.end = j.i, max(l.end, end)
		if j.from != nil && j.from.lane.ID == id && (m.ByHand || m.Kind == sallyport.MoveTow) {
			l.pushed[j.from.end] = m.Start
		}
	}
	if line, home := t.lineOf(m); line != nil {
		t.lineMoved(j, line, home, []sallyport.UnitID{m.Unit})
	}
	t.fouled(j)
	if m.Kind == sallyport.MovePullOut {
		t.out[m.Serial] = max(t.out[m.Serial], m.Start)
		if t.isLastPull(j.i) {
			for _, id := range t.reserveLanes(m.Serial) {
				t.lane(id).seen = max(t.lane(id).seen, m.Start)
			}
		}
	}
	t.spotMoved(j)
	t.peopleMoved(j)
	t.helper(j)
	if t.inPark(m) && m.Takes > 0 {
		t.teams.add(m.Start, end, int64(m.Marshals))
	}
	t.clearLinks(j)
	c := j.clock
	c.free, c.since, c.pos, c.moved = end, end, sallyport.Pos{Kind: m.To.Kind, ID: m.To.ID}, j.i+1
	if j.to != nil {
		c.noseIn = (j.to.end == sallyport.Mouth) != m.Reverse
	}
	if m.Kind == sallyport.MovePart || m.Kind == sallyport.MoveCouple {
		for _, p := range j.u.Parts {
			part := t.unit(p)
			part.free, part.since, part.pos, part.moved = end, end, c.pos, j.i+1
		}
	}
}

// passed books the frontage and links the move to whom it had to let pass.
func (t *timetable) passed(j *job) {
	for _, p := range []*passage{j.from, j.to} {
		if p == nil || p.stretch == "" {
			continue
		}
		s := t.stretch(p.stretch)
		s.all.add(j.m.Start, j.m.Ends(), 1)
		if p.reverse {
			s.reversing.add(j.m.Start, j.m.Ends(), 1)
		}
		// Who was there last, of those that could not have been there together.
		last := -1
		for k := len(s.ends) - 1; k >= 0; k-- {
			o := s.ends[k]
			if o.move != j.i && (o.reverse || p.reverse) && o.end <= j.m.Start && (last < 0 || o.end > s.ends[last].end) {
				last = k
			}
			if len(s.ends)-k > 12 {
				break
			}
		}
		if last >= 0 {
			t.wait(j, s.ends[last].move)
		}
		s.ends = append(s.ends, stretchUse{j.i, j.m.Ends(), p.reverse})
	}
}

// clearLinks has a move wait until the zones it needs are declared clear.
func (t *timetable) clearLinks(j *job) {
	if !t.inPark(j.m) {
		return
	}
	seen := sallyport.ZoneID("")
	for _, pos := range []sallyport.Pos{j.m.From, j.m.To} {
		zone := t.ix.ZoneOf(pos)
		if zone == "" || zone == seen {
			continue
		}
		seen = zone
		for _, w := range t.ix.PublicInside(zone) {
			if w.To <= j.m.Start && w.To.Day() == j.m.Start.Day() && t.isCleared(zone, w.To) {
				t.after[j.i] = append(t.after[j.i], sallyport.Wait{Clear: zone})
				break
			}
		}
	}
}

// isCleared reports whether the zone is declared clear at that moment; the
// public may also just have gone home.
func (t *timetable) isCleared(zone sallyport.ZoneID, at sallyport.Instant) bool {
	return slices.ContainsFunc(t.show.Closings, func(c sallyport.Closing) bool { return c.Zone == zone && c.ClearFrom() == at })
}
