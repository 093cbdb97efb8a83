package sallyport

import "slices"

// enterLine puts a unit on a forming-up line: at its tail, or on a free line
// among those of its own serial in the serial's order.
func (p *Player) enterLine(m *Move, u *Unit, id LineID) {
	line := p.ix.Line(id)
	place := p.ix.PosName(m.To)
	list := p.lines[id]
	p.noteServes(m, u.ID)
	rankOf := p.ranks(m.Serial)
	rank := rankOf(u.ID)
	at := len(list)
	if line.Out == OutStrict {
		if i := slices.IndexFunc(list, func(o UnitID) bool { return rank >= 0 && rankOf(o) > rank }); i >= 0 {
			p.fault(RuleLineOrder, place, []UnitID{u.ID, list[i]}, "%s comes onto %s behind %s, but stands before it in %s", u.Name, place, p.ix.UnitName(list[i]), p.ix.SerialName(m.Serial))
		}
	} else {
		for at > 0 && rank >= 0 && rankOf(list[at-1]) > rank {
			at--
		}
	}
	p.lines[id] = slices.Concat(list[:at], []UnitID{u.ID}, list[at:])
	p.where[u.ID] = Pos{Kind: InLine, ID: string(id)}
	p.since[u.ID] = m.Ends()
	p.lineRoom(line, place, u)
	if serial := p.ix.Serial(m.Serial); serial != nil && m.Kind != MoveRelieve {
		if want := serial.Line; want != id {
			p.fault(RuleMove, place, []UnitID{u.ID}, "%s goes to %s, but %s forms up on %s", u.Name, place, p.ix.SerialName(m.Serial), p.ix.PosName(AtLine(want)))
		}
		if m.Ends() > serial.FormUp {
			p.fault(RuleLate, place, []UnitID{u.ID}, "%s is on %s at %s, but %s is to be formed up by %s", u.Name, place, m.Ends(), p.ix.SerialName(m.Serial), serial.FormUp)
		}
	}
}

// part is a unit's part in a serial.
type part struct {
	serial SerialID
	unit   UnitID
}

// noteServes notes for which entry a move takes a unit.
func (p *Player) noteServes(m *Move, u UnitID) {
	if !m.names() {
		return
	}
	p.serves[part{m.Serial, u}] = m.Entry
	if s := p.ix.Serial(m.Serial); s != nil {
		i, own := p.ix.rolls[m.Serial].own[u]
		p.standIns = p.standIns || !own || s.Entries[i].ID != m.Entry
	}
}

// names reports whether m says for which entry its unit goes.
func (m *Move) names() bool {
	return m.Entry != "" && (m.Kind == MovePullOut || m.Kind == MoveAcross)
}

// place returns the number of the entry that a unit serves: the named one
// when it may, else its own, else the first it is a reserve for; -1 when it
// has none.
func (s *Serial) place(u UnitID, named EntryID) int {
	if i := slices.IndexFunc(s.Entries, func(e Entry) bool { return e.ID == named && (e.Unit == u || slices.Contains(e.Reserves, u)) }); i >= 0 {
		return i
	}
	if i := slices.IndexFunc(s.Entries, func(e Entry) bool { return e.Unit == u }); i >= 0 {
		return i
	}
	return slices.IndexFunc(s.Entries, func(e Entry) bool { return slices.Contains(e.Reserves, u) })
}

// placeIn is s.place for a serial of the show.
func (ix *Index) placeIn(s *Serial, u UnitID, named EntryID) int {
	roll := ix.rolls[s.ID]
	return roll.place(s, u, named)
}

// place is s.place for the serial of the roll. Nearly everybody serves his own
// entry or has none; that needs no search.
func (roll *roll) place(s *Serial, u UnitID, named EntryID) int {
	i, own := roll.own[u]
	switch {
	case own && (named == "" || s.Entries[i].ID == named):
		return i
	case !own && !roll.reserves[u]:
		return -1
	}
	return s.place(u, named)
}

// rank returns the place of a unit in a serial's order, -1 when it has none.
func (p *Player) rank(serial SerialID, u UnitID) int { return p.ranks(serial)(u) }

// ranks returns rank for one serial, for lists of units.
func (p *Player) ranks(serial SerialID) func(UnitID) int {
	s := p.ix.Serial(serial)
	if s == nil {
		return func(UnitID) int { return -1 }
	}
	roll := p.ix.rolls[serial]
	return func(u UnitID) int { return p.rankIn(s, &roll, u) }
}

// rankIn is rank for a serial of the show with its roll.
func (p *Player) rankIn(s *Serial, roll *roll, u UnitID) int {
	// Where everybody serves his own entry it need not be asked who serves which.
	named := EntryID("")
	if p.standIns {
		named = p.serves[part{s.ID, u}]
	}
	return roll.place(s, u, named)
}

// lineRoom reports a line that is too short for who stands on it.
func (p *Player) lineRoom(line *Line, place string, u *Unit) {
	list := p.lines[line.ID]
	if line.Length > 0 {
		if need := p.length(list, line.Gap); need > line.Length {
			p.fault(RuleLineFull, place, append([]UnitID{u.ID}, others(list, u.ID)...), "%s is %s long, but with %s the vehicles on it need %s", place, line.Length.Metres(), u.Name, need.Metres())
		}
	}
	if line.Route {
		p.fault(RuleRoute, place, []UnitID{u.ID}, "%s would stand on an emergency route at %s", u.Name, place)
	}
}

func others(list []UnitID, u UnitID) []UnitID {
	return slices.DeleteFunc(slices.Clone(list), func(v UnitID) bool { return v == u })
}

// leaveLine checks that a unit can leave a line for the park.
func (p *Player) leaveLine(m *Move, u *Unit, id LineID) {
	line := p.ix.Line(id)
	place := p.ix.PosName(m.From)
	list := p.lines[id]
	i := slices.Index(list, u.ID)
	if line.Home == HomeInOrder && m.Kind != MoveTow {
		before := list[:i]
		if line.TailLeads {
			before = list[i+1:]
		}
		if len(before) > 0 {
			p.fault(RuleLineOrder, place, append([]UnitID{u.ID}, before...), "%s cannot leave %s before %s", u.Name, place, p.ix.Names(before))
		}
	}
	if serial := p.ix.Serial(m.Serial); serial != nil && m.Kind == MoveReturn {
		// Who is held back has as long from then on as the others from coming home.
		by := serial.HomeBy + max(0, m.Nominal-serial.Back())
		if m.Ends() > by {
			p.fault(RuleHomeLate, p.ix.PosName(m.To), []UnitID{u.ID}, "%s is parked at %s, but %s is to be home by %s", u.Name, m.Ends(), p.ix.SerialName(m.Serial), by)
		}
	}
	if m.Nominal != 0 && m.Kind == MoveReturn && m.Start < m.Nominal {
		p.fault(RuleTimes, place, []UnitID{u.ID}, "%s is held back until %s, but starts at %s", u.Name, m.Nominal, m.Start)
	}
	p.idle(u, place, p.since[u.ID], m.Start)
}

// idle reports an engine that idles too long while a unit waits on a line:
// longer than it may, and not long enough to be stopped and started again.
func (p *Player) idle(u *Unit, place string, from, to Instant) {
	wait := Seconds(to - from)
	if p.structure || u.LongestIdle == 0 || wait <= u.LongestIdle || wait >= u.HotRest {
		return
	}
	p.fault(RuleIdle, place, []UnitID{u.ID}, "%s waits %s on %s; it may idle %s, and stopped it must rest %s", u.Name, wait.Words(), place, u.LongestIdle.Words(), u.HotRest.Words())
}

// columnOut takes a serial from its line to the arena.
func (p *Player) columnOut() {
	m := p.move
	id := LineID(m.From.ID)
	line, serial := p.ix.Line(id), p.ix.Serial(m.Serial)
	place := p.ix.PosName(m.From)
	p.columnOrder(m, serial, false)
	if m.Ends() > serial.ArenaIn && !p.structure {
		p.fault(RuleLate, place, m.Units, "%s reaches the arena at %s, but is due at %s", p.ix.SerialName(m.Serial), m.Ends(), serial.ArenaIn)
	}
	last := -1
	for _, id2 := range m.Units {
		u := p.ix.Unit(id2)
		list := p.lines[id]
		i := slices.Index(list, id2)
		if i < 0 {
			p.fault(RuleLate, place, []UnitID{id2}, "%s is not on %s when %s leaves at %s; it is at %s", u.Name, place, p.ix.SerialName(m.Serial), m.Start, p.ix.PosName(p.whereIs(id2)))
			continue
		}
		last = max(last, i)
		p.inColumn(u)
		if !p.structure {
			p.ready(m, u, place)
		}
	}
	if line.Out == OutStrict && last >= 0 {
		p.columnClear(m, place, p.lines[id][:last+1])
	}
	from := Pos{Kind: InLine, ID: m.From.ID}
	var gone []UnitID
	for _, u := range m.Units {
		if p.where[u] == from {
			gone = append(gone, u)
			p.where[u], p.since[u], p.free[u] = Pos{Kind: InArena}, m.Ends(), m.Ends()
		}
	}
	p.lines[id] = p.without(p.lines[id], from)
	p.arena = slices.Concat(p.arena, gone)
}

// without returns a new list of those of a place's units that still are there.
func (p *Player) without(list []UnitID, place Pos) []UnitID {
	return slices.DeleteFunc(slices.Clone(list), func(u UnitID) bool {
		at := p.where[u]
		return at.Kind != place.Kind || at.Kind == InLine && at.ID != place.ID
	})
}

// inColumn reports a unit off the road in a column.
func (p *Player) inColumn(u *Unit) {
	if m := p.move; p.off[u.ID] || u.OffRoadAt(m.Start) {
		p.fault(RuleOffRoad, "", []UnitID{u.ID}, "%s is off the road at %s and cannot go with %s", u.Name, m.Start, p.ix.SerialName(m.Serial))
	}
}

// ready checks that a unit on the line has its engine as it should be when
// the column leaves.
func (p *Player) ready(m *Move, u *Unit, place string) {
	if t := p.free[u.ID]; t > m.Start {
		p.fault(RuleLate, place, []UnitID{u.ID}, "%s comes to %s only at %s, but %s leaves at %s", u.Name, place, t, p.ix.SerialName(m.Serial), m.Start)
		return
	}
	since := p.since[u.ID]
	if wait := Seconds(m.Start - since); u.WarmWhere == WarmOnLine && wait < u.WarmUp {
		p.fault(RuleLate, place, []UnitID{u.ID}, "%s warms up on the line for %s, but has only %s before %s leaves", u.Name, u.WarmUp.Words(), wait.Words(), p.ix.SerialName(m.Serial))
	}
	p.idle(u, place, since, m.Start)
}

// columnClear reports who of others stands in a column's way on a strict
// line, and members in the wrong order.
func (p *Player) columnClear(m *Move, place string, ahead []UnitID) {
	var inWay []UnitID
	next := 0
	for _, u := range ahead {
		i := slices.Index(m.Units, u)
		switch {
		case i < 0:
			inWay = append(inWay, u)
		case i < next:
			p.fault(RuleLineOrder, place, []UnitID{u, m.Units[next-1]}, "%s stands on %s behind %s, but goes before it in %s", p.ix.UnitName(u), place, p.ix.UnitName(m.Units[next-1]), p.ix.SerialName(m.Serial))
		default:
			next = i + 1
		}
	}
	if len(inWay) > 0 {
		p.fault(RuleLineOrder, place, append(slices.Clone(m.Units[:1]), inWay...), "%s cannot leave %s: %s stands among or ahead of it", p.ix.SerialName(m.Serial), place, p.ix.Names(inWay))
	}
}

// columnOrder checks that a column's list follows the serial's order.
func (p *Player) columnOrder(m *Move, serial *Serial, home bool) {
	rank := func(u UnitID) int { return p.rank(serial.ID, u) }
	if home && len(serial.Leaving) > 0 {
		rank = func(u UnitID) int {
			i := p.rank(serial.ID, u)
			if i < 0 {
				return i
			}
			return slices.Index(serial.Leaving, serial.Entries[i].ID)
		}
	}
	var last UnitID // so far, in the serial's order
	for _, u := range m.Units {
		if p.rank(serial.ID, u) < 0 {
			p.fault(RuleWrongUnit, "", []UnitID{u}, "%s is in the column of %s but has no entry in it", p.ix.UnitName(u), p.ix.SerialName(serial.ID))
		} else if last != "" && rank(u) < rank(last) {
			p.fault(RuleLineOrder, "", []UnitID{u, last}, "%s is listed behind %s in the column of %s, but goes before it", p.ix.UnitName(u), p.ix.UnitName(last), p.ix.SerialName(serial.ID))
		} else {
			last = u
		}
	}
}

// columnHome brings a serial from the arena back to a line.
func (p *Player) columnHome() {
	m := p.move
	id := LineID(m.To.ID)
	line, serial := p.ix.Line(id), p.ix.Serial(m.Serial)
	place := p.ix.PosName(m.To)
	p.columnOrder(m, serial, true)
	if serial.HomeLine != id {
		p.fault(RuleMove, place, m.Units, "%s comes home to %s, but its line on the way home is %s", p.ix.SerialName(m.Serial), place, p.ix.PosName(AtLine(serial.HomeLine)))
	}
	if m.Start < serial.ArenaOut && !p.structure {
		p.fault(RuleTimes, place, m.Units, "%s leaves the arena at %s, but is in it until %s", p.ix.SerialName(m.Serial), m.Start, serial.ArenaOut)
	}
	list := slices.Clone(p.lines[id])
	for _, u := range m.Units {
		if t := p.free[u]; t > m.Start && !p.structure {
			p.fault(RuleTimes, place, []UnitID{u}, "%s leaves the arena at %s, before its last move is over at %s", p.ix.UnitName(u), m.Start, t)
		}
		if at := p.whereIs(u); at.Kind != InArena {
			p.fault(RuleNotThere, p.ix.PosName(at), []UnitID{u}, "%s is to come home with %s, but is at %s", p.ix.UnitName(u), p.ix.SerialName(m.Serial), p.ix.PosName(at))
			continue
		}
		p.inColumn(p.ix.Unit(u))
		list = append(list, u)
		p.lines[id] = list
		p.where[u], p.since[u], p.free[u] = AtLine(id), m.Ends(), m.Ends()
		p.lineRoom(line, place, p.ix.Unit(u))
	}
	p.arena = p.without(p.arena, Pos{Kind: InArena})
}

// whereIs returns where a unit is; away when nowhere on site.
func (p *Player) whereIs(u UnitID) Pos {
	if at, ok := p.where[u]; ok {
		return at
	}
	return Pos{Kind: InAway}
}

// fouled reports a move through a mouth that a vehicle on a line bars.
func (p *Player) fouled(m *Move, u *Unit, lane *Lane, end End) {
	if end != Mouth {
		return
	}
	for _, ref := range p.ix.FoulsOf(lane.ID) {
		line := p.ix.Line(ref.Line)
		var head Centimetres
		list := p.lines[ref.Line]
		for i, id := range list {
			o := p.ix.Unit(id)
			if i > 0 {
				head += max(line.Gap, p.ix.Unit(list[i-1]).GapBehind, o.GapAhead)
			}
			// The unit itself, coming from the line, does not bar its own way.
			if id != u.ID && head < ref.To && ref.From < head+o.Length {
				p.fault(RuleFouled, p.ix.PosName(AtLane(lane.ID, "")), []UnitID{u.ID, id}, "%s stands on %s across the mouth of lane %s, through which %s is to go", o.Name, p.ix.PosName(AtLine(ref.Line)), lane.ID, u.Name)
			}
			head += o.Length
		}
	}
}
