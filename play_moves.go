package sallyport

import "slices"

// moveSpec says what a kind of move is: the sorts of position it goes from
// and to, what it must name, and, where it is more than leaving one place for
// another, how it is played.
type moveSpec struct {
	From, To []PosKind
	Column   bool // takes Units, not one Unit
	Serial   bool // must name a serial
	Duty     bool // must name a duty
	Window   bool // must name a reset window
	Engine   bool // by the unit's own engine, unless by hand
	Public   bool // takes place in the park, where the public may be
	play     func(p *Player)
}

var (
	fromLane = []PosKind{InLane}
	fromLine = []PosKind{InLine}
	fromSpot = []PosKind{InSpot}
	anyPlace = []PosKind{InAway, InLane, InLine, InArena, InSpot, InDuty}
)

// moveSpecs holds all kinds of move. Adding a kind means adding a line here,
// its pace and its price. It is filled in init because playing refers to it.
var moveSpecs map[MoveKind]moveSpec

func init() {
	moveSpecs = map[MoveKind]moveSpec{
		MoveArrive:  {From: []PosKind{InAway}, To: []PosKind{InLane}, Engine: true, Public: true},
		MovePullOut: {From: []PosKind{InLane, InSpot}, To: fromLine, Serial: true, Engine: true, Public: true},
		MoveOut:     {From: fromLine, To: []PosKind{InArena}, Column: true, Serial: true, Engine: true, play: (*Player).columnOut},
		MoveHome:    {From: []PosKind{InArena}, To: fromLine, Column: true, Serial: true, Engine: true, play: (*Player).columnHome},
		MoveReturn:  {From: fromLine, To: []PosKind{InLane, InSpot}, Serial: true, Engine: true, Public: true},
		MoveAcross:  {From: fromLine, To: fromLine, Serial: true, Engine: true, Public: true},
		MoveAside:   {From: fromLane, To: fromSpot, Engine: true, Public: true},
		MoveBack:    {From: fromSpot, To: fromLane, Engine: true, Public: true},
		MoveCloseUp: {From: fromLane, To: fromLane, Engine: true, Public: true, play: (*Player).closeUp},
		MoveReset:   {From: []PosKind{InLane, InSpot}, To: []PosKind{InLane, InSpot}, Window: true, Engine: true, Public: true},
		MoveDuty:    {From: []PosKind{InLane, InLine, InSpot}, To: []PosKind{InDuty}, Duty: true, Engine: true, Public: true},
		MoveRelieve: {From: []PosKind{InDuty}, To: []PosKind{InLane, InLine}, Duty: true, Engine: true, Public: true},
		MoveDepart:  {From: []PosKind{InLane, InLine, InSpot, InDuty}, To: []PosKind{InAway}, Engine: true, Public: true},
		MoveCouple:  {From: fromSpot, To: fromSpot, play: (*Player).couple},
		MovePart:    {From: fromSpot, To: fromSpot, play: (*Player).part},
		MoveTow:     {From: anyPlace, To: anyPlace, Public: true},
		MoveShift:   {From: []PosKind{InLane, InSpot}, To: []PosKind{InLane, InSpot}, Engine: true, Public: true},
	}
}

// byEngine reports whether the unit moves by its own engine.
func (m *Move) byEngine() bool { return moveSpecs[m.Kind].Engine && !m.ByHand }

// leave takes the unit of m from where the move says it is.
func (p *Player) leave(m *Move, u *Unit) {
	at, here := p.where[u.ID]
	if !here {
		at = Pos{Kind: InAway}
	}
	if at.Kind != m.From.Kind || at.ID != m.From.ID && (at.Kind == InLane || at.Kind == InLine || at.Kind == InSpot) {
		p.fault(RuleNotThere, p.ix.PosName(at), []UnitID{u.ID}, "%s is to leave %s, but it is at %s", u.Name, p.ix.PosName(m.From), p.ix.PosName(at))
		p.take(u.ID)
		return
	}
	if c := p.ix.CombinationOf(u.ID); c != "" && !p.parted[c] {
		p.fault(RuleCombination, p.ix.PosName(at), []UnitID{u.ID, c}, "%s is to move alone, but it is coupled in %s", u.Name, p.ix.UnitName(c))
	}
	p.canMove(m, u)
	// Lines are as they are when the move starts, with the unit still there.
	if to := p.ix.Lane(LaneID(m.To.ID)); m.To.Kind == InLane {
		p.fouled(m, u, to, exit(to, m.To.End, false))
	}
	switch at.Kind {
	case InLane:
		p.leaveLane(m, u, LaneID(at.ID))
	case InLine:
		p.leaveLine(m, u, LineID(at.ID))
	}
	p.take(u.ID)
}

// take removes a unit from wherever it is.
func (p *Player) take(u UnitID) {
	at, here := p.where[u]
	if !here {
		return
	}
	without := func(list []UnitID) []UnitID {
		i := slices.Index(list, u)
		if i < 0 {
			return list
		}
		return slices.Concat(list[:i], list[i+1:])
	}
	switch at.Kind {
	case InLane:
		lane := LaneID(at.ID)
		list := p.lanes[lane]
		if i := slices.IndexFunc(list, func(s Standing) bool { return s.Unit == u }); i >= 0 {
			p.lanes[lane] = slices.Concat(list[:i], list[i+1:])
		}
		s := p.open[u]
		delete(p.open, u)
		s.to = p.move.Start
		p.endStay(s)
	case InLine:
		p.lines[LineID(at.ID)] = without(p.lines[LineID(at.ID)])
	case InSpot:
		p.spots[SpotID(at.ID)] = without(p.spots[SpotID(at.ID)])
	case InArena:
		p.arena = without(p.arena)
	case InDuty:
		p.duty = without(p.duty)
	}
	delete(p.where, u)
}

// put sets a unit down outside the lanes.
func (p *Player) put(u UnitID, at Pos) {
	switch at.Kind {
	case InLine:
		p.lines[LineID(at.ID)] = append(slices.Clone(p.lines[LineID(at.ID)]), u)
	case InSpot:
		p.spots[SpotID(at.ID)] = append(slices.Clone(p.spots[SpotID(at.ID)]), u)
	case InArena:
		p.arena = append(slices.Clone(p.arena), u)
	case InDuty:
		p.duty = append(slices.Clone(p.duty), u)
	case InAway:
		return
	}
	p.where[u] = Pos{Kind: at.Kind, ID: at.ID}
	p.since[u] = p.move.Ends()
}

// enter puts the unit of m where the move says it goes.
func (p *Player) enter(m *Move, u *Unit) {
	switch m.To.Kind {
	case InLane:
		p.enterLane(m, u, LaneID(m.To.ID))
	case InLine:
		p.enterLine(m, u, LineID(m.To.ID))
	case InSpot:
		p.enterSpot(m, u, SpotID(m.To.ID))
	default:
		p.put(u.ID, m.To)
	}
	p.movesInTime(m, u)
}

// canMove checks that a unit can be moved at all in the way m says.
func (p *Player) canMove(m *Move, u *Unit) {
	units := []UnitID{u.ID}
	off := p.off[u.ID] || u.OffRoadAt(m.Start)
	switch {
	case m.Kind == MoveTow:
		p.canTow(m, u)
	case m.ByHand && u.Combination:
		p.fault(RuleCombination, "", units, "%s is a combination and cannot be pushed by hand", u.Name)
	case m.ByHand && u.HandPeople == 0:
		p.fault(RuleStart, "", units, "%s cannot be moved by hand", u.Name)
	case !m.ByHand && off && moveSpecs[m.Kind].Engine:
		p.fault(RuleOffRoad, "", units, "%s is off the road at %s and cannot make its %s by itself", u.Name, m.Start, m.Kind)
	}
}

// canTow checks the towing vehicle as far as the park knows it; weights,
// brakes and ground are not checked.
func (p *Player) canTow(m *Move, u *Unit) {
	helper := p.ix.Unit(m.Helper)
	switch {
	case m.Helper == "" || helper == nil:
		p.fault(RuleMove, "", []UnitID{u.ID}, "the tow of %s names no vehicle that tows", u.Name)
	case m.Helper == u.ID:
		p.fault(RuleMove, "", []UnitID{u.ID}, "%s cannot tow itself", u.Name)
	case p.off[m.Helper] || helper.OffRoadAt(m.Start):
		p.fault(RuleOffRoad, "", []UnitID{u.ID, m.Helper}, "%s is to tow %s, but is off the road itself", helper.Name, u.Name)
	case m.Reverse && m.To.Kind == InLane:
		p.fault(RuleReverse, p.ix.PosName(m.To), []UnitID{u.ID, m.Helper}, "%s cannot be towed backwards into %s", u.Name, p.ix.PosName(m.To))
	}
}

// enterSpot puts a unit on a spot off the lanes.
func (p *Player) enterSpot(m *Move, u *Unit, id SpotID) {
	spot := p.ix.Spot(id)
	p.put(u.ID, m.To)
	if m.From.Kind == InLane && len(spot.Zones) > 0 {
		if zone := p.ix.Lane(LaneID(m.From.ID)).Zone; !slices.Contains(spot.Zones, zone) {
			p.fault(RuleAside, p.ix.PosName(m.To), []UnitID{u.ID}, "%s does not serve the zone of lane %s, where %s comes from", p.ix.PosName(m.To), m.From.ID, u.Name)
		}
	}
	if need := p.length(p.spots[id], spot.Gap); spot.Length > 0 && need > spot.Length {
		p.fault(RuleAside, p.ix.PosName(m.To), append([]UnitID{u.ID}, others(p.spots[id], u.ID)...), "%s is %s long but would have to hold %s", p.ix.PosName(m.To), spot.Length.Metres(), need.Metres())
	}
	if spot.Route {
		p.fault(RuleRoute, p.ix.PosName(m.To), []UnitID{u.ID}, "%s would stand on an emergency route at %s", u.Name, p.ix.PosName(m.To))
	}
}

// length returns what units need nose to tail, with gaps between them only.
func (p *Player) length(list []UnitID, gap Centimetres) Centimetres {
	var sum Centimetres
	for i, id := range list {
		u := p.ix.Unit(id)
		if i > 0 {
			sum += max(gap, p.ix.Unit(list[i-1]).GapBehind, u.GapAhead)
		}
		sum += u.Length
	}
	return sum
}

// couple makes a combination of its parts, which stand together at one spot.
func (p *Player) couple() {
	m := p.move
	c := p.ix.Unit(m.Unit)
	if !p.canCouple(c, true) {
		return
	}
	for _, part := range c.Parts {
		if at := p.where[part]; at.Kind != InSpot || at.ID != m.From.ID {
			p.fault(RuleNotThere, p.ix.PosName(m.From), []UnitID{part, c.ID}, "%s is to be coupled at %s, but %s is at %s", c.Name, p.ix.PosName(m.From), p.ix.UnitName(part), p.ix.PosName(at))
		}
		p.take(part)
	}
	delete(p.parted, c.ID)
	p.put(c.ID, m.To)
}

// part makes separate units of a combination at a spot.
func (p *Player) part() {
	m := p.move
	c := p.ix.Unit(m.Unit)
	if !p.canCouple(c, false) {
		return
	}
	if at := p.where[c.ID]; at.Kind != InSpot || at.ID != m.From.ID {
		p.fault(RuleNotThere, p.ix.PosName(m.From), []UnitID{c.ID}, "%s is to be parted at %s, but is at %s", c.Name, p.ix.PosName(m.From), p.ix.PosName(at))
	}
	p.take(c.ID)
	p.parted[c.ID] = true
	for _, part := range c.Parts {
		p.put(part, m.To)
		p.free[part] = m.Ends()
	}
}

// canCouple checks that a unit is a combination, in the right condition, at
// the place named for it.
func (p *Player) canCouple(c *Unit, wantParted bool) bool {
	m := p.move
	switch {
	case !c.Combination:
		p.fault(RuleMove, "", []UnitID{c.ID}, "%s is not a combination", c.Name)
		return false
	case m.From.ID != m.To.ID:
		p.fault(RuleMove, "", []UnitID{c.ID}, "%s must be coupled and parted without moving", c.Name)
		return false
	case p.parted[c.ID] != wantParted:
		word := map[bool]string{true: "coupled", false: "parted"}[wantParted]
		p.fault(RuleCombination, p.ix.PosName(m.From), []UnitID{c.ID}, "%s is already %s", c.Name, word)
		return false
	}
	if c.CoupleAt != "" && SpotID(m.From.ID) != c.CoupleAt {
		p.fault(RuleCombination, p.ix.PosName(m.From), []UnitID{c.ID}, "%s is coupled and parted at %s only", c.Name, p.ix.PosName(AtSpot(c.CoupleAt)))
	}
	return true
}
