package sallyport

import (
	"maps"
	"slices"
)

// Branch returns a player that goes on from where everything stands now, by
// order only: who stands where, without clocks. Neither changes the other.
func (p *Player) Branch() *Player {
	// Lists are never changed in place, so both may hold them.
	return &Player{
		ix: p.ix, now: p.now, structure: true,
		where: maps.Clone(p.where), lanes: maps.Clone(p.lanes), lines: maps.Clone(p.lines), spots: maps.Clone(p.spots),
		arena: p.arena, duty: p.duty, off: maps.Clone(p.off), parted: maps.Clone(p.parted), serves: maps.Clone(p.serves), standIns: p.standIns, stuck: maps.Clone(p.stuck),
		free: map[UnitID]Instant{}, ends: map[laneEnd][]through{}, since: map[UnitID]Instant{}, open: map[UnitID]laneStay{}, pushed: map[laneEnd][]pushedOut{},
	}
}

// Where returns where a unit is now; away when it is nowhere on site.
func (p *Player) Where(id UnitID) Pos { return p.whereIs(id) }

// Lane returns who stands in a lane now, mouth first. The list must not be
// changed.
func (p *Player) Lane(id LaneID) []Standing { return p.lanes[id] }

// Line returns who stands on a line now, head first. The list must not be
// changed.
func (p *Player) Line(id LineID) []UnitID { return p.lines[id] }

// Break marks a unit as off the road from now on.
func (p *Player) Break(id UnitID) { p.off[id] = true }

// Remove takes a unit out of the park: it is away.
func (p *Player) Remove(id UnitID) {
	if p.move == nil {
		p.move = &Move{}
	}
	p.take(id)
}

// Obstruct puts a unit, from wherever it is, across an end of a lane, half in
// and half out, where a vehicle stops that fails on its way through it. Who
// uses that end is blocked by it.
func (p *Player) Obstruct(id UnitID, laneID LaneID, end End) {
	p.Remove(id)
	lane, u := p.ix.Lane(laneID), p.ix.Unit(id)
	s := Standing{Unit: id, From: -u.Length / 2}
	list := slices.Clone(p.lanes[laneID])
	if end == Tail {
		s.From = lane.Length - u.Length/2
		list = append(list, s)
	} else {
		list = slices.Insert(list, 0, s)
	}
	p.lanes[laneID] = list
	p.where[id] = Pos{Kind: InLane, ID: string(laneID)}
}

// Exit returns the end by which a unit that stands in a lane would leave it
// when the plan names an end, and whether it reverses to do so. The end is
// empty when the lane cannot be left so, or the unit stands in none.
func (p *Player) Exit(id UnitID, given End) (end End, reverse bool) {
	at := p.whereIs(id)
	if at.Kind != InLane {
		return "", false
	}
	lane := p.ix.Lane(LaneID(at.ID))
	end = exit(lane, given, true)
	for _, s := range p.lanes[lane.ID] {
		if s.Unit == id {
			return end, (end == Mouth) == s.NoseIn
		}
	}
	return end, false
}

// InTheWay returns who stands between a unit in a lane and an end of it.
func (p *Player) InTheWay(id UnitID, end End) []UnitID {
	list := p.lanes[LaneID(p.whereIs(id).ID)]
	i := slices.IndexFunc(list, func(s Standing) bool { return s.Unit == id })
	if i < 0 {
		return nil
	}
	return inTheWay(list, i, end)
}

// Try plays a move unless it meets a fault that harms. Then nothing moves,
// and the faults that harm are returned.
func (p *Player) Try(m *Move, harms func(Fault) bool) []Fault {
	before, faults := p.keep(m), len(p.faults)
	var bad []Fault
	for _, f := range p.Do(m) {
		if harms(f) {
			bad = append(bad, f)
		}
	}
	p.faults = p.faults[:faults]
	if len(bad) > 0 {
		before.putBack(p)
	}
	return bad
}

// kept is what a move can change of who stands where. Lists are never changed
// in place, so it holds them as they are.
type kept struct {
	units       []UnitID
	where       []Pos
	here        []bool
	places      []Pos
	standing    [][]Standing // by place, where it is a lane
	listed      [][]UnitID   // by place, where it is a line or a spot
	arena, duty []UnitID
	parted      bool
	served      EntryID
	serves      bool
	stuck       []bool
}

// keep notes what m can change.
func (p *Player) keep(m *Move) kept {
	k := kept{units: m.who(), arena: p.arena, duty: p.duty, parted: p.parted[m.Unit]}
	if u := p.ix.Unit(m.Unit); u != nil && (m.Kind == MoveCouple || m.Kind == MovePart) {
		k.units = append(slices.Clone(k.units), u.Parts...)
	}
	k.served, k.serves = p.serves[part{m.Serial, m.Unit}]
	for _, u := range k.units {
		at, here := p.where[u]
		k.where, k.here = append(k.where, at), append(k.here, here)
	}
	k.place(p, m.From)
	k.place(p, m.To)
	for _, at := range k.where {
		k.place(p, at)
	}
	for _, u := range p.ix.StandbyIDs {
		k.stuck = append(k.stuck, p.stuck[u])
	}
	return k
}

// place notes who stands at a lane, line or spot.
func (k *kept) place(p *Player, at Pos) {
	at.End = ""
	if at.Kind != InLane && at.Kind != InLine && at.Kind != InSpot || slices.Contains(k.places, at) {
		return
	}
	var standing []Standing
	var listed []UnitID
	switch at.Kind {
	case InLane:
		standing = p.lanes[LaneID(at.ID)]
	case InLine:
		listed = p.lines[LineID(at.ID)]
	case InSpot:
		listed = p.spots[SpotID(at.ID)]
	}
	k.places, k.standing, k.listed = append(k.places, at), append(k.standing, standing), append(k.listed, listed)
}

// putBack makes everything stand as it did.
func (k kept) putBack(p *Player) {
	for i, u := range k.units {
		if k.here[i] {
			p.where[u] = k.where[i]
		} else {
			delete(p.where, u)
		}
	}
	for i, at := range k.places {
		switch at.Kind {
		case InLane:
			p.lanes[LaneID(at.ID)] = k.standing[i]
		case InLine:
			p.lines[LineID(at.ID)] = k.listed[i]
		case InSpot:
			p.spots[SpotID(at.ID)] = k.listed[i]
		}
	}
	p.arena, p.duty = k.arena, k.duty
	if p.move.Unit != "" {
		p.parted[p.move.Unit] = k.parted
		key := part{p.move.Serial, p.move.Unit}
		if k.serves {
			p.serves[key] = k.served
		} else {
			delete(p.serves, key)
		}
	}
	for i, u := range p.ix.StandbyIDs {
		p.stuck[u] = k.stuck[i]
	}
}
