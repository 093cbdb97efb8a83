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
	t.towLimit(j)
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
		if off := j.u.OffRoad; off.To != 0 {
			j.limit("the time "+j.u.Name+" is off the road", func(s sallyport.Instant) sallyport.Instant {
				if s >= off.From && s < off.To {
					return off.To
				}
				return s
			})
		}
	}
	t.idleLimits(j)
	t.spotLimits(j)
	m.Start = t.fitInTime(j, t.release(i))
	t.done(j)
}

// towLimit has one tow wait for the one before by the same vehicle.
func (t *timetable) towLimit(j *job) {
	if j.m.Kind != sallyport.MoveTow || j.m.Helper == "" {
		return
	}
	if k := t.towed[j.m.Helper] - 1; k >= 0 {
		j.notBefore("the tow before by "+t.ix.UnitName(j.m.Helper), t.moves[k].Ends())
		t.wait(j, k)
	}
	t.towed[j.m.Helper] = j.i + 1
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

// last returns the number of the unit's last move, -1 when it has had none.
func (u *unitClock) last() int { return u.moved - 1 }

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
