package sallyport

import "slices"

// movesInTime checks when a unit moves and its engine runs: public, engine
// hours, and the windows of its kind of move.
func (p *Player) movesInTime(m *Move, u *Unit) {
	if p.structure {
		return
	}
	from, to := m.Start, m.Ends()
	if m.byEngine() {
		from -= Instant(p.warmUp(m, u))
		if m.Kind == MoveReturn || m.Kind == MoveRelieve {
			to += Instant(u.CoolDown)
		}
		p.engineHours(m, u, from, to)
	}
	if moveSpecs[m.Kind].Public {
		from1, to1 := m.Start, m.Ends()
		if zone := p.ix.ZoneOf(m.From); zone != "" {
			p.public(m, u, zone, from, to1)
		}
		if zone := p.ix.ZoneOf(m.To); zone != "" {
			p.public(m, u, zone, from1, to)
		}
	}
	for _, rule := range windowRules {
		rule(p, m, u)
	}
}

// warmUp returns how long before m the unit's engine starts in its lane.
func (p *Player) warmUp(m *Move, u *Unit) Seconds {
	if m.From.Kind != InLane || u.WarmWhere != WarmInLane || !m.byEngine() {
		return 0
	}
	if m.Kind == MovePullOut || m.Kind == MoveDuty || m.Kind == MoveDepart {
		return u.WarmUp
	}
	return 0
}

// engineHours reports an engine that runs outside the day's hours.
func (p *Player) engineHours(m *Move, u *Unit, from, to Instant) {
	day := p.ix.Day(m.Start.Day())
	if day == nil {
		return
	}
	if day.EngineFrom != 0 && from < day.EngineFrom || day.EngineTo != 0 && to > day.EngineTo {
		p.fault(RuleEngineHours, "", []UnitID{u.ID}, "the engine of %s runs from %s to %s, but engines may run from %s to %s only", u.Name, from, to, day.EngineFrom.Clock(), day.EngineTo.Clock())
	}
}

// public reports a move or running engine in a zone while the public is in it.
func (p *Player) public(m *Move, u *Unit, zone ZoneID, from, to Instant) {
	for _, w := range p.ix.PublicInside(zone) {
		if w.From >= to || from >= w.To {
			continue
		}
		place := p.ix.ZoneName(zone)
		if w.From > from {
			p.fault(RuleReopened, place, []UnitID{u.ID}, "%s is parked and cooled in zone %s only at %s, but the public is let in at %s", u.Name, place, to, w.From)
		} else {
			p.fault(RuleNotClear, place, []UnitID{u.ID}, "%s moves or runs its engine in zone %s from %s, but the public is inside until %s", u.Name, place, from, w.To)
		}
		return
	}
}

// windowRules check that a move lies in the time set for its kind.
var windowRules = []func(p *Player, m *Move, u *Unit){
	func(p *Player, m *Move, u *Unit) {
		if m.Kind != MoveReset {
			return
		}
		w := p.ix.Reset(m.Window)
		if m.Start < w.From || m.Ends() > w.To {
			p.fault(RuleWindow, "", []UnitID{u.ID}, "%s is put right from %s to %s, outside the reset window from %s to %s", u.Name, m.Start, m.Ends(), w.From, w.To)
		}
		if u.OwnerOnly {
			p.fault(RuleOwner, "", []UnitID{u.ID}, "%s may not be moved without its owner, so not in a reset", u.Name)
		}
	},
	func(p *Player, m *Move, u *Unit) {
		w := u.Arrive
		if m.Kind == MoveArrive && (w.From != 0 && m.Start < w.From || w.To != 0 && m.Start > w.To) {
			p.fault(RuleWindow, "", []UnitID{u.ID}, "%s comes at %s, but its arrival is set from %s to %s", u.Name, m.Start, w.From, w.To)
		}
	},
	func(p *Player, m *Move, u *Unit) {
		w := u.Depart
		if m.Kind == MoveDepart && (w.From != 0 && m.Start < w.From || w.To != 0 && m.Ends() > w.To) {
			p.fault(RuleWindow, "", []UnitID{u.ID}, "%s is gone at %s, but is to leave between %s and %s", u.Name, m.Ends(), w.From, w.To)
		}
	},
	func(p *Player, m *Move, u *Unit) {
		if m.Kind == MoveDuty && m.Ends() > p.ix.Duty(m.Duty).From {
			p.fault(RuleLate, "", []UnitID{u.ID}, "%s is at %s at %s, but is due at %s", u.Name, p.ix.Duty(m.Duty).What, m.Ends(), p.ix.Duty(m.Duty).From)
		}
		if m.Kind == MoveRelieve && m.Start < p.ix.Duty(m.Duty).To {
			p.fault(RuleWindow, "", []UnitID{u.ID}, "%s leaves %s at %s, but is on duty until %s", u.Name, p.ix.Duty(m.Duty).What, m.Start, p.ix.Duty(m.Duty).To)
		}
	},
	func(p *Player, m *Move, u *Unit) {
		if m.Kind == MovePullOut && m.Nominal != 0 && m.Start < m.Nominal {
			p.fault(RuleTimes, "", []UnitID{u.ID}, "%s is to be pulled out early at %s, but starts at %s", u.Name, m.Nominal, m.Start)
		}
	},
}

// warmsUp reports an engine warmed up behind a vehicle in which nobody sits:
// one that is pushed or towed out of its way while the engine runs.
func (p *Player) warmsUp(m *Move, u *Unit, lane LaneID, end End) {
	warm := p.warmUp(m, u)
	if warm == 0 || p.structure {
		return
	}
	begin := m.Start - Instant(warm)
	var unmanned []UnitID
	for _, g := range p.pushed[laneEnd{lane, end}] {
		if g.start > begin && p.since[u.ID] <= g.start {
			unmanned = append(unmanned, g.unit)
		}
	}
	if len(unmanned) > 0 {
		p.fault(RuleWarmUp, p.ix.PosName(AtLane(lane, "")), append([]UnitID{u.ID}, unmanned...), "%s warms up from %s behind %s, in which nobody sits and which is moved away only later", u.Name, begin, p.ix.Names(unmanned))
	}
}

// pushedOut is a unit moved out of a lane end by hand or tow.
type pushedOut struct {
	unit  UnitID
	start Instant
}

// afterRules look at what stands where after each move.
var afterRules = []func(p *Player){(*Player).standby, (*Player).reserves}

// standby reports units that must be able to leave at any time and cannot;
// once until they can again.
func (p *Player) standby() {
	for _, id := range p.ix.StandbyIDs {
		at, here := p.where[id]
		if !here || at.Kind != InLane {
			p.stuck[id] = false
			continue
		}
		inWay := p.shutBy(id, LaneID(at.ID))
		if len(inWay) > 0 && !p.stuck[id] {
			p.fault(RuleStandby, p.ix.PosName(at), append([]UnitID{id}, inWay...), "%s must be able to leave at any time, but %s stands in its way in %s", p.ix.UnitName(id), p.ix.Names(inWay), p.ix.PosName(at))
		}
		p.stuck[id] = len(inWay) > 0
	}
}

// shutBy returns who bars a unit's best way out of its lane; nobody when one
// of the ends by which it can leave is free. In an open lane the end behind a
// unit counts only when it can reverse out by it.
func (p *Player) shutBy(id UnitID, laneID LaneID) []UnitID {
	list, lane, u := p.lanes[laneID], p.ix.Lane(laneID), p.ix.Unit(id)
	i := slices.IndexFunc(list, func(s Standing) bool { return s.Unit == id })
	if lane.Kind != Open {
		return inTheWay(list, i, Mouth)
	}
	ahead, back := noseTo(list[i]), Tail
	if ahead == Tail {
		back = Mouth
	}
	best := inTheWay(list, i, ahead)
	if behind := inTheWay(list, i, back); len(behind) < len(best) && u.canReverse(reach(lane, list[i], u, back)) {
		best = behind
	}
	return best
}

// reserves checks, when the last pull-out of a serial has been made, that
// its reserves could still come.
func (p *Player) reserves() {
	m := p.move
	if m.Kind != MovePullOut || p.lastPull[m.Serial] != m.ID {
		return
	}
	for _, e := range p.ix.Serial(m.Serial).Entries {
		for _, r := range e.Reserves {
			at, here := p.where[r]
			if !here || at.Kind != InLane {
				continue
			}
			if inWay := p.shutBy(r, LaneID(at.ID)); len(inWay) > 0 {
				p.fault(RuleReserve, p.ix.PosName(at), append([]UnitID{r}, inWay...), "%s is the reserve for %s in %s, but %s stands in its way in %s", p.ix.UnitName(r), p.ix.UnitName(e.Unit), p.ix.SerialName(m.Serial), p.ix.Names(inWay), p.ix.PosName(at))
			}
		}
	}
}

// checkMornings reports, for each morning before t, whatever is not in a lane.
func (p *Player) checkMornings(t Instant) {
	for len(p.mornings) > 0 && p.mornings[0] <= t && !p.structure {
		at := p.mornings[0]
		p.mornings = p.mornings[1:]
		for _, u := range p.ix.UnitIDs {
			pos, here := p.where[u]
			left := here && (pos.Kind == InLine || pos.Kind == InArena || pos.Kind == InSpot && p.ix.Spot(SpotID(pos.ID)).Use != SpotBreakdown)
			if left {
				p.faults = append(p.faults, Fault{
					Rule: RuleMorning, Place: p.ix.PosName(pos), At: at, Units: []UnitID{u},
					Sentence: p.ix.UnitName(u) + " stands at " + p.ix.PosName(pos) + " at " + p.ix.Show.When(at) + ", not in a lane",
				})
			}
		}
	}
}
