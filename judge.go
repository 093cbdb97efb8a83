package sallyport

import (
	"maps"
	"slices"
)

// use is one move's use of a frontage stretch.
type use struct {
	stretch StretchID
	reverse bool
	move    *Move
}

// judgeMoves checks what depends on several moves at one time.
func (p *Player) judgeMoves(moves []Move) {
	busy := peopleBusy(p.ix, moves)
	for _, rule := range overlapRules {
		p.faults = append(p.faults, rule(p, moves, busy)...)
	}
}

// overlapRules are the rules about moves at the same time.
var overlapRules = []func(p *Player, moves []Move, busy map[PersonID][]spell) []Fault{
	frontages, teams, doubleBooked, noDriver,
}

func (p *Player) faultOf(rule Rule, m *Move, place string, units []UnitID, format string, args ...any) Fault {
	return Fault{Rule: rule, Place: place, At: m.Start, Units: units, Serial: m.Serial, Entry: m.Entry, Move: m.ID, Sentence: p.ix.Show.words(format, args...)}
}

// frontages reports moves that share a stretch while one of them reverses.
func frontages(p *Player, _ []Move, _ map[PersonID][]spell) []Fault {
	var faults []Fault
	active := map[StretchID][]use{}
	for _, now := range p.uses {
		list := slices.DeleteFunc(active[now.stretch], func(u use) bool { return u.move.Ends() <= now.move.Start })
		for _, u := range list {
			if u.move != now.move && (u.reverse || now.reverse) && now.move.Ends() > now.move.Start {
				faults = append(faults, p.faultOf(RuleFrontage, now.move, "stretch "+string(now.stretch), []UnitID{now.move.Unit, u.move.Unit},
					"%s moves in stretch %s at %s, where %s moves until %s; one of them reverses", p.ix.UnitName(now.move.Unit), now.stretch, now.move.Start, p.ix.UnitName(u.move.Unit), u.move.Ends()))
			}
		}
		active[now.stretch] = append(list, now)
	}
	return faults
}

// teams reports a move for which no marshal team is left.
func teams(p *Player, moves []Move, _ map[PersonID][]spell) []Fault {
	var faults []Fault
	var active []*Move
	for i := range moves {
		m := &moves[i]
		if !moveSpecs[m.Kind].Public {
			continue
		}
		have := p.ix.TeamsOn(m.Start.Day())
		if have == 0 {
			continue
		}
		active = append(slices.DeleteFunc(active, func(o *Move) bool { return o.Ends() <= m.Start }), m)
		need := 0
		var units []UnitID
		for _, o := range slices.Backward(active) {
			need += max(1, o.Marshals)
			units = append(units, o.Unit)
		}
		if need > have {
			faults = append(faults, p.faultOf(RuleTeams, m, "", units, "%d marshal teams are needed at %s, for %s; there are %d", need, m.Start, p.ix.Names(units), have))
		}
	}
	return faults
}

// spell is a time in which a person is on a unit.
type spell struct {
	from, to Instant
	unit     UnitID
	move     *Move
}

// peopleBusy returns when each person is on which unit: for a whole absence
// from pull-out to return, and during every other move they are named for.
func peopleBusy(ix *Index, moves []Move) map[PersonID][]spell {
	busy := map[PersonID][]spell{}
	add := func(who PersonID, s spell) {
		if who != "" {
			busy[who] = append(busy[who], s)
		}
	}
	type absence struct {
		spell
		people []PersonID
	}
	open := map[UnitID]*absence{}
	var order []UnitID
	end := func(u UnitID, to Instant) {
		a := open[u]
		if a == nil {
			return
		}
		a.to = max(to, a.from)
		for _, who := range a.people {
			add(who, a.spell)
		}
		delete(open, u)
	}
	for i := range moves {
		m := &moves[i]
		switch m.Kind {
		case MovePullOut, MoveDuty, MoveAcross:
			a := open[m.Unit]
			if a == nil {
				a = &absence{spell: spell{from: m.Start, unit: m.Unit, move: m}}
				open[m.Unit] = a
				order = append(order, m.Unit)
			}
			for _, who := range ix.aboard(m) {
				if !slices.Contains(a.people, who) {
					a.people = append(a.people, who)
				}
			}
		case MoveReturn, MoveRelieve, MoveDepart:
			if open[m.Unit] == nil {
				add(m.Driver, spell{m.Start, m.Ends(), m.Unit, m})
			}
			end(m.Unit, m.Ends())
		default:
			add(m.Driver, spell{m.Start, m.Ends(), m.Unit, m})
		}
	}
	last := Instant(0)
	if len(moves) > 0 {
		last = moves[len(moves)-1].Ends()
	}
	for _, u := range order {
		end(u, last)
	}
	for who := range busy {
		slices.SortStableFunc(busy[who], func(a, b spell) int { return int(a.from - b.from) })
	}
	return busy
}

// aboard returns who is on the unit for the entry or duty of m: the driver
// named for the move, else the entry's, and the crew.
func (ix *Index) aboard(m *Move) []PersonID {
	var people []PersonID
	driver := m.Driver
	if e := ix.Entry(m.Entry); e != nil {
		if driver == "" {
			driver = e.Driver
		}
		people = append(people, e.Crew...)
	} else if d := ix.Duty(m.Duty); d != nil && driver == "" {
		driver = d.Driver
	}
	if driver != "" {
		people = append([]PersonID{driver}, people...)
	}
	return people
}

// doubleBooked reports people who are on two units at one time.
func doubleBooked(p *Player, _ []Move, busy map[PersonID][]spell) []Fault {
	var faults []Fault
	for _, who := range slices.Sorted(maps.Keys(busy)) {
		var active []spell
		for _, s := range busy[who] {
			active = slices.DeleteFunc(active, func(o spell) bool { return o.to <= s.from })
			for _, o := range active {
				if o.unit != s.unit && s.to > s.from {
					faults = append(faults, p.faultOf(RulePerson, s.move, "", []UnitID{s.unit, o.unit}, "%s is on %s until %s but is needed on %s from %s", p.ix.PersonName(who), p.ix.UnitName(o.unit), o.to, p.ix.UnitName(s.unit), s.from))
					break
				}
			}
			active = append(active, s)
		}
	}
	return faults
}

// noDriver reports moves beyond the order of events for which none of a
// unit's own drivers is free.
func noDriver(p *Player, moves []Move, busy map[PersonID][]spell) []Fault {
	var faults []Fault
	for i := range moves {
		m := &moves[i]
		u := p.ix.Unit(m.Unit)
		if u == nil || !m.byEngine() || len(u.AllDrivers) == 0 || !p.extra(m) {
			continue
		}
		who := u.AllDrivers
		if m.Driver != "" {
			who = []PersonID{m.Driver}
		}
		free := slices.ContainsFunc(who, func(d PersonID) bool {
			return !slices.ContainsFunc(busy[d], func(s spell) bool {
				return s.unit != m.Unit && s.from < m.Ends() && m.Start < s.to
			})
		})
		if !free {
			faults = append(faults, p.faultOf(RuleNoDriver, m, "", []UnitID{m.Unit}, "nobody is free to drive %s for its %s at %s", u.Name, m.Kind, m.Start))
		}
	}
	return faults
}

// extra reports whether m is a move for which a driver has to be found: a
// move aside or back, from lane to lane, a reset, or an early pull-out.
func (p *Player) extra(m *Move) bool {
	switch m.Kind {
	case MoveAside, MoveBack, MoveReset:
		return true
	case MoveShift:
		return m.From.Kind == InLane && m.To.Kind == InLane
	case MovePullOut:
		s := p.ix.Serial(m.Serial)
		return s != nil && m.Start < s.FormFrom
	}
	return false
}
