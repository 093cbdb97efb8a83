package sallyport

import "slices"

// GapBetween returns the gap that must lie between two neighbours in a lane:
// the largest of the lane's own and of the two that face each other.
func GapBetween(lane Centimetres, nearer *Unit, nearerNoseIn bool, deeper *Unit, deeperNoseIn bool) Centimetres {
	a, b := nearer.GapBehind, deeper.GapAhead
	if nearerNoseIn {
		a = nearer.GapAhead
	}
	if deeperNoseIn {
		b = deeper.GapBehind
	}
	return max(lane, a, b)
}

// exit returns the end by which m leaves or enters lane, "" when it cannot.
func exit(lane *Lane, given End, leaving bool) End {
	switch lane.Kind {
	case DeadEnd:
		if given == Tail {
			return ""
		}
		return Mouth
	case Through:
		want := Tail
		if leaving {
			want = Mouth
		}
		if given != "" && given != want {
			return ""
		}
		return want
	}
	if given == "" {
		return Mouth
	}
	return given
}

// enterLane drives a unit into a lane as far as it goes.
func (p *Player) enterLane(m *Move, u *Unit, id LaneID) {
	lane := p.ix.Lane(id)
	place := p.ix.PosName(m.To)
	end := exit(lane, m.To.End, false)
	if end == "" {
		p.fault(RuleMove, place, []UnitID{u.ID}, "%s cannot be entered by its %s", place, m.To.End)
		end = exit(lane, "", false)
	}
	noseIn := (end == Mouth) != m.Reverse
	p.throughEnd(m, u, laneEnd{id, end}, false, m.Reverse)
	list := p.lanes[id]
	s := Standing{Unit: u.ID, NoseIn: noseIn}
	switch {
	case end == Mouth && len(list) == 0:
		s.From = lane.Length - u.Length
	case end == Mouth:
		next := list[0]
		s.From = next.From - GapBetween(lane.Gap, u, noseIn, p.ix.Unit(next.Unit), next.NoseIn) - u.Length
	case len(list) > 0:
		last := list[len(list)-1]
		l := p.ix.Unit(last.Unit)
		s.From = last.From + l.Length + GapBetween(lane.Gap, l, last.NoseIn, u, noseIn)
	}
	if end == Mouth {
		list = slices.Insert(slices.Clone(list), 0, s)
	} else {
		list = append(slices.Clone(list), s)
	}
	p.lanes[id] = list
	p.where[u.ID] = Pos{Kind: InLane, ID: string(id)}
	p.since[u.ID] = m.Ends()
	p.open[u.ID] = laneStay{unit: u.ID, lane: id, from: m.Start}
	p.room(lane, place, list, s, u)
	p.fits(lane, place, list, u)
	p.drivesIn(m, u, lane, place)
	if m.Reverse && !m.ByHand && m.Kind != MoveTow {
		p.mayReverse(u, place, reach(lane, s, u, end))
	}
}

// reach returns how deep a unit stands in its lane, from an end to its
// farther edge: how far it reverses to get in or out by that end.
func reach(lane *Lane, s Standing, u *Unit, end End) Centimetres {
	if end == Tail {
		return lane.Length - s.From
	}
	return s.From + u.Length
}

// room reports a unit that sticks out of the lane after coming in.
func (p *Player) room(lane *Lane, place string, list []Standing, s Standing, u *Unit) {
	over := max(-s.From, s.From+u.Length-lane.Length)
	if over <= 0 {
		return
	}
	units := []UnitID{u.ID}
	for _, other := range list {
		if other.Unit != u.ID {
			units = append(units, other.Unit)
		}
	}
	p.fault(RuleOverfull, place, units, "%s has no room in %s: it is %s long and %s is short by %s", u.Name, place, u.Length.Metres(), place, over.Metres())
}

// fits reports whatever else bars a unit from a lane.
func (p *Player) fits(lane *Lane, place string, list []Standing, u *Unit) {
	say := func(units []UnitID, format string, args ...any) { p.fault(RuleFit, place, units, format, args...) }
	if lane.Width > 0 && u.Width > lane.Width {
		say([]UnitID{u.ID}, "%s is %s wide, %s only %s", u.Name, u.Width.Metres(), place, lane.Width.Metres())
	}
	if lane.MaxMass > 0 && u.Heaviest > lane.MaxMass {
		say([]UnitID{u.ID}, "%s weighs %d kg, %s bears %d kg", u.Name, u.Heaviest, place, lane.MaxMass)
	}
	if len(u.Zones) > 0 && !slices.Contains(u.Zones, lane.Zone) {
		say([]UnitID{u.ID}, "%s may not stand in zone %s, where %s is", u.Name, p.ix.ZoneName(lane.Zone), place)
	}
	if lane.MaxDeep > 0 && len(list) > lane.MaxDeep {
		say([]UnitID{u.ID}, "%s would be number %d in %s, which may be %d deep", u.Name, len(list), place, lane.MaxDeep)
	}
	for _, s := range list {
		if s.Unit == u.ID {
			continue
		}
		o := p.ix.Unit(s.Unit)
		switch {
		case u.StandsAlone || o.StandsAlone:
			alone := u
			if !u.StandsAlone {
				alone = o
			}
			say([]UnitID{u.ID, o.ID}, "%s would share %s with %s, but %s stands alone", u.Name, place, o.Name, alone.Name)
		case slices.Contains(u.KeepApart, o.ID) || slices.Contains(o.KeepApart, u.ID):
			say([]UnitID{u.ID, o.ID}, "%s and %s are to be kept apart but would share %s", u.Name, o.Name, place)
		}
	}
	if u.Home.Binding == Fixed && u.Home.Lane != lane.ID {
		p.fault(RuleHome, place, []UnitID{u.ID}, "%s is fixed in lane %s but would stand in %s", u.Name, u.Home.Lane, place)
	}
}

// drivesIn reports a way of driving in that the lane does not allow.
func (p *Player) drivesIn(m *Move, u *Unit, lane *Lane, place string) {
	if m.ByHand || m.Kind == MoveTow {
		return
	}
	if lane.In == InReversed && !m.Reverse || lane.In == InNose && m.Reverse {
		p.fault(RuleFacing, place, []UnitID{u.ID}, "%s would enter %s %s, but vehicles drive in %s there", u.Name, place, map[bool]string{true: "in reverse", false: "nose first"}[m.Reverse], lane.In)
	}
}

// canReverse reports whether a unit can drive backwards so far.
func (u *Unit) canReverse(far Centimetres) bool {
	return u.Reverse != ReverseNever && (u.Reverse != ReverseShort || far <= u.ReverseLimit)
}

// mayReverse reports a unit that cannot reverse as far as it must.
func (p *Player) mayReverse(u *Unit, place string, far Centimetres) {
	switch {
	case u.canReverse(far):
	case u.Reverse == ReverseNever:
		p.fault(RuleReverse, place, []UnitID{u.ID}, "%s cannot reverse, as it would have to at %s", u.Name, place)
	default:
		p.fault(RuleReverse, place, []UnitID{u.ID}, "%s would have to reverse %s at %s, but can do %s", u.Name, far.Metres(), place, u.ReverseLimit.Metres())
	}
}

// leaveLane checks that a unit can drive out of its lane as m says.
func (p *Player) leaveLane(m *Move, u *Unit, id LaneID) {
	lane := p.ix.Lane(id)
	place := p.ix.PosName(m.From)
	end := exit(lane, m.From.End, true)
	if end == "" {
		p.fault(RuleMove, place, []UnitID{u.ID}, "%s cannot be left by its %s", place, m.From.End)
		end = exit(lane, "", true)
	}
	list := p.lanes[id]
	i := slices.IndexFunc(list, func(s Standing) bool { return s.Unit == u.ID })
	s := list[i]
	inWay := inTheWay(list, i, end)
	if len(inWay) > 0 {
		p.fault(RuleBlocked, place, append([]UnitID{u.ID}, inWay...), "%s cannot leave %s: %s stands in its way", u.Name, place, p.ix.Names(inWay))
	}
	reverse := (end == Mouth) == s.NoseIn
	p.throughEnd(m, u, laneEnd{id, end}, true, reverse)
	p.fouled(m, u, lane, end)
	// From lane to lane, Reverse says how the unit comes in; how it goes out
	// follows from how it stands.
	switch {
	case m.ByHand || m.Kind == MoveTow:
	case reverse != m.Reverse && m.To.Kind != InLane:
		p.fault(RuleFacing, place, []UnitID{u.ID}, "%s stands with its nose to the %s, so it leaves %s by the %s %s", u.Name, noseTo(s), place, end, driven(reverse))
	case reverse:
		p.mayReverse(u, place, reach(lane, s, u, end))
	}
	if m.byEngine() {
		p.starts(u, lane, list, i)
		p.warmsUp(m, u, id, end)
	}
}

func noseTo(s Standing) End {
	if s.NoseIn {
		return Tail
	}
	return Mouth
}

func driven(reverse bool) string {
	if reverse {
		return "in reverse"
	}
	return "forwards"
}

// inTheWay returns who stands between place i and an end.
func inTheWay(list []Standing, i int, end End) []UnitID {
	between := list[:i]
	if end == Tail {
		between = list[i+1:]
	}
	var units []UnitID
	for _, s := range between {
		units = append(units, s.Unit)
	}
	return units
}

// starts checks that an engine can be started where the unit stands.
func (p *Player) starts(u *Unit, lane *Lane, list []Standing, i int) {
	if u.Start != StartTow && u.Start != StartSlave {
		return
	}
	s := list[i]
	place := p.ix.PosName(AtLane(lane.ID, ""))
	ahead := inTheWay(list, i, noseTo(s))
	if u.Start == StartSlave {
		if len(ahead) > 0 && !lane.Beside {
			p.fault(RuleStart, place, append([]UnitID{u.ID}, ahead...), "%s needs a slave lead, but %s stands in front of it and there is no room beside %s", u.Name, p.ix.Names(ahead), place)
		}
		return
	}
	clear := p.clearAhead(lane, list, i, u)
	if clear < u.StartClear {
		p.fault(RuleStart, place, append([]UnitID{u.ID}, ahead...), "%s is started by tow and needs %s clear ahead, but has %s in %s", u.Name, u.StartClear.Metres(), clear.Metres(), place)
	}
}

// clearAhead returns the free length in front of a unit's nose, the frontage
// included when it looks out of the lane over it.
func (p *Player) clearAhead(lane *Lane, list []Standing, i int, u *Unit) Centimetres {
	s := list[i]
	if s.NoseIn {
		if i+1 < len(list) {
			return list[i+1].From - s.From - u.Length
		}
		clear := lane.Length - s.From - u.Length
		if lane.Kind != DeadEnd {
			clear += p.ix.StretchDepth(lane.Tail)
		}
		return clear
	}
	if i > 0 {
		before := list[i-1]
		return s.From - before.From - p.ix.Unit(before.Unit).Length
	}
	return s.From + p.ix.StretchDepth(lane.Mouth)
}

// throughEnd keeps moves through one end of a lane from overlapping in time,
// save that forward pull-outs may follow one another.
func (p *Player) throughEnd(m *Move, u *Unit, at laneEnd, out, reverse bool) {
	if p.structure {
		return
	}
	lane := p.ix.Lane(at.lane)
	stretch := lane.Mouth
	if at.end == Tail {
		stretch = lane.Tail
	}
	if stretch != "" {
		p.uses = append(p.uses, use{stretch: stretch, reverse: reverse, move: m})
	}
	if out && (m.ByHand || m.Kind == MoveTow) {
		p.pushed[at] = append(p.pushed[at], pushedOut{unit: u.ID, start: m.Start})
	}
	now := through{move: m, ends: m.Ends(), forwardOut: out && !reverse}
	under := slices.DeleteFunc(slices.Clone(p.ends[at]), func(t through) bool { return t.ends <= m.Start })
	for _, t := range under {
		if t.move != m && (!t.forwardOut || !now.forwardOut) {
			p.fault(RuleLaneEnd, p.ix.PosName(AtLane(at.lane, "")), []UnitID{u.ID}, "%s starts at %s, while the move before it through the %s of lane %s lasts until %s", p.what(), m.Start, at.end, at.lane, t.ends)
			break
		}
	}
	p.ends[at] = append(under, now)
}

// closeUp moves a unit forward in its lane, towards the mouth.
func (p *Player) closeUp() {
	m := p.move
	u := p.ix.Unit(m.Unit)
	id := LaneID(m.From.ID)
	lane := p.ix.Lane(id)
	place := p.ix.PosName(m.From)
	at := p.where[u.ID]
	switch {
	case at.Kind != InLane || at.ID != m.From.ID:
		p.fault(RuleNotThere, place, []UnitID{u.ID}, "%s is to close up in %s, but is at %s", u.Name, place, p.ix.PosName(at))
		return
	case m.To.ID != m.From.ID:
		p.fault(RuleMove, place, []UnitID{u.ID}, "%s closes up in one lane, not from %s to %s", u.Name, place, p.ix.PosName(m.To))
		return
	case lane.Kind == DeadEnd:
		p.fault(RuleMove, place, []UnitID{u.ID}, "%s cannot close up in %s, which is a dead end", u.Name, place)
		return
	}
	p.canMove(m, u)
	list := slices.Clone(p.lanes[id])
	i := slices.IndexFunc(list, func(s Standing) bool { return s.Unit == u.ID })
	s := list[i]
	var to Centimetres
	if i > 0 {
		before := list[i-1]
		b := p.ix.Unit(before.Unit)
		to = before.From + b.Length + GapBetween(lane.Gap, b, before.NoseIn, u, s.NoseIn)
	}
	if m.byEngine() {
		if s.NoseIn != m.Reverse {
			p.fault(RuleFacing, place, []UnitID{u.ID}, "%s stands with its nose to the %s, so it closes up %s", u.Name, noseTo(s), driven(s.NoseIn))
		} else if m.Reverse {
			p.mayReverse(u, place, s.From-to)
		}
		p.starts(u, lane, list, i)
	}
	list[i].From = min(to, s.From)
	p.lanes[id] = list
	p.movesInTime(m, u)
}

// endStay checks a stay that is over against times at which its lane is
// closed.
func (p *Player) endStay(s laneStay) {
	if p.structure {
		return
	}
	lane := p.ix.Lane(s.lane)
	for _, w := range lane.Closed {
		if s.from < w.To && w.From < s.to {
			p.fault(RuleFit, p.ix.PosName(AtLane(s.lane, "")), []UnitID{s.unit}, "%s stands in lane %s from %s to %s, but the lane is closed from %s to %s", p.ix.UnitName(s.unit), s.lane, s.from, s.to, w.From, w.To)
		}
	}
}
