package solve

import (
	"cmp"
	"slices"

	"sallyport"
)

// personClock is when a person is on which unit.
type personClock struct {
	busy []spell
	out  []*away // absences that are not over yet
}

// spell is a time on one unit.
type spell struct {
	from, to sallyport.Instant
	unit     sallyport.UnitID
}

// away is one absence of a unit, from its pull-out until it is home.
type away struct {
	spell
	moves  []int // pull-out, moves across, return; or to and from duty
	people []sallyport.PersonID
}

func (t *timetable) person(id sallyport.PersonID) *personClock {
	p := t.people[id]
	if p == nil {
		p = &personClock{}
		t.people[id] = p
	}
	return p
}

// elsewhere reports whether a person is on another unit at some time of a
// span.
func (p *personClock) elsewhere(unit sallyport.UnitID, from, to sallyport.Instant) bool {
	return slices.ContainsFunc(p.out, func(a *away) bool { return a.unit != unit && a.from < to }) ||
		slices.ContainsFunc(p.busy, func(s spell) bool { return s.unit != unit && s.from < to && from < s.to })
}

// earliest returns from when on a person can be on a unit for so long.
func (p *personClock) earliest(unit sallyport.UnitID, s sallyport.Instant, takes sallyport.Seconds) sallyport.Instant {
	for _, a := range p.out {
		if a.unit != unit {
			return never
		}
	}
	for again := true; again; {
		again = false
		for _, b := range p.busy {
			if b.unit != unit && b.from < s+sallyport.Instant(takes) && s < b.to {
				s, again = b.to, true
			}
		}
	}
	return s
}

// aboard returns who is named for the entry or duty of m, the driver first.
func (t *timetable) aboard(m *sallyport.Move) []sallyport.PersonID {
	var people []sallyport.PersonID
	add := func(ids ...sallyport.PersonID) {
		for _, id := range ids {
			if id != "" && !slices.Contains(people, id) {
				people = append(people, id)
			}
		}
	}
	add(m.Driver)
	if e := t.ix.Entry(m.Entry); e != nil {
		if m.Driver == "" {
			add(e.Driver)
		}
		add(e.Crew...)
	} else if d := t.ix.Duty(m.Duty); d != nil && m.Driver == "" {
		add(d.Driver)
	}
	return people
}

// isExtra reports whether m is a move for which one of the unit's own drivers
// has to be found.
func (t *timetable) isExtra(j *job) bool {
	switch j.m.Kind {
	case sallyport.MoveAside, sallyport.MoveBack, sallyport.MoveReset:
		return !j.m.ByHand && len(j.u.AllDrivers) > 0
	}
	return false
}

// leavesHome reports whether an absence begins with m.
func leavesHome(m *sallyport.Move) bool {
	return m.Kind == sallyport.MovePullOut || m.Kind == sallyport.MoveDuty
}

// peopleLimits has a move wait for the people it needs.
func (t *timetable) peopleLimits(j *job) {
	m := j.m
	switch {
	case t.isExtra(j):
		who := j.u.AllDrivers
		if m.Driver != "" {
			who = []sallyport.PersonID{m.Driver}
		}
		j.softLimit("a driver", func(s sallyport.Instant) sallyport.Instant {
			best := never
			for _, id := range who {
				if at := t.person(id).earliest(m.Unit, s, j.takes); at < best {
					best, m.Driver = at, id
				}
			}
			return best
		})
	case leavesHome(m):
		t.earlyDriver(j)
		for _, id := range t.aboard(m) {
			p := t.person(id)
			j.softLimit(t.ix.PersonName(id), func(s sallyport.Instant) sallyport.Instant {
				return p.earliest(m.Unit, s, sallyport.Seconds(never))
			})
		}
	}
}

// earlyDriver names a driver for a pull-out made early, which needs one.
func (t *timetable) earlyDriver(j *job) {
	s := t.ix.Serial(j.m.Serial)
	from := t.release(j.i)
	if j.m.Kind != sallyport.MovePullOut || s == nil || from >= s.FormFrom || j.m.Driver != "" {
		return
	}
	if e := t.ix.Entry(j.m.Entry); e != nil && e.Driver != "" {
		j.m.Driver = e.Driver
		return
	}
	for _, id := range j.u.AllDrivers {
		if !t.person(id).elsewhere(j.m.Unit, from, never) {
			j.m.Driver = id
			return
		}
	}
}

// peopleMoved records who is on which unit because of a move.
func (t *timetable) peopleMoved(j *job) {
	m, c := j.m, j.clock
	switch {
	case leavesHome(m) || m.Kind == sallyport.MoveAcross:
		if c.away == nil {
			c.away = &away{spell: spell{from: m.Start, to: never, unit: m.Unit}}
			t.absences = append(t.absences, c.away)
		}
		c.away.moves = append(c.away.moves, j.i)
		for _, id := range t.aboard(m) {
			if !slices.Contains(c.away.people, id) {
				c.away.people = append(c.away.people, id)
				t.person(id).out = append(t.person(id).out, c.away)
			}
		}
	case m.Kind == sallyport.MoveReturn || m.Kind == sallyport.MoveRelieve || m.Kind == sallyport.MoveDepart:
		if c.away == nil {
			t.busy(m.Driver, spell{m.Start, m.Ends(), m.Unit})
			return
		}
		a := c.away
		c.away = nil
		a.to = m.Ends()
		a.moves = append(a.moves, j.i)
		for _, id := range a.people {
			p := t.person(id)
			p.out = slices.DeleteFunc(p.out, func(o *away) bool { return o == a })
			t.busy(id, a.spell)
		}
	default:
		if t.isExtra(j) && m.Driver != "" && t.person(m.Driver).elsewhere(m.Unit, m.Start, m.Ends()) {
			m.Driver = ""
		}
		t.busy(m.Driver, spell{m.Start, m.Ends(), m.Unit})
	}
}

func (t *timetable) busy(who sallyport.PersonID, s spell) {
	if who != "" {
		p := t.person(who)
		p.busy = append(p.busy, s)
	}
}

// nameDrivers names, now that all times are known, the driver of each absence
// on all its moves: the one of the entry or duty, else the usual one when he
// is on no other unit in that time.
func (t *timetable) nameDrivers() {
	order := slices.Clone(t.absences)
	slices.SortStableFunc(order, func(a, b *away) int { return cmp.Compare(a.from, b.from) })
	for _, a := range order {
		first := &t.moves[a.moves[0]]
		driver := first.Driver
		if e := t.ix.Entry(first.Entry); driver == "" && e != nil {
			driver = e.Driver
		}
		if d := t.ix.Duty(first.Duty); driver == "" && d != nil {
			driver = d.Driver
		}
		u := t.ix.Unit(a.unit)
		if driver == "" && u.UsualDriver != "" && !t.person(u.UsualDriver).elsewhere(a.unit, a.from, a.to) {
			driver = u.UsualDriver
			t.busy(driver, a.spell)
		}
		for _, k := range a.moves {
			m := &t.moves[k]
			if e := t.ix.Entry(m.Entry); m.Driver == "" && e != nil {
				m.Driver = e.Driver
			}
			if m.Driver == "" {
				m.Driver = driver
			}
		}
	}
}

// helper names who starts a unit that needs a slave lead: a standby vehicle
// that stands in a lane then.
func (t *timetable) helper(j *job) {
	m := j.m
	if j.u.Start != sallyport.StartSlave || m.ByHand || m.Helper != "" || m.From.Kind != sallyport.InLane {
		return
	}
	for _, id := range t.ix.StandbyIDs {
		c, u := t.units[id], t.ix.Unit(id)
		if id != m.Unit && c != nil && c.pos.Kind == sallyport.InLane && c.free <= m.Start && u.Start == sallyport.StartSelf && !u.OffRoadAt(m.Start) {
			m.Helper = id
			return
		}
	}
}
