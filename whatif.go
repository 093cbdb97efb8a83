package sallyport

import "slices"

// Branch returns a player that goes on from where everything stands now, by
// order only: who stands where, without clocks. Neither changes the other.
func (p *Player) Branch() *Player { return p.branch() }

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
	lanes       [3]LaneID
	standing    [3][]Standing
	lines       [3]LineID
	lined       [3][]UnitID
	spots       [3]SpotID
	spotted     [3][]UnitID
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
	places := [3]Pos{m.From, m.To}
	if len(k.where) > 0 {
		places[2] = k.where[0]
	}
	for i, at := range places {
		switch at.Kind {
		case InLane:
			k.lanes[i], k.standing[i] = LaneID(at.ID), p.lanes[LaneID(at.ID)]
		case InLine:
			k.lines[i], k.lined[i] = LineID(at.ID), p.lines[LineID(at.ID)]
		case InSpot:
			k.spots[i], k.spotted[i] = SpotID(at.ID), p.spots[SpotID(at.ID)]
		}
	}
	for _, u := range p.ix.StandbyIDs {
		k.stuck = append(k.stuck, p.stuck[u])
	}
	return k
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
	for i := range k.lanes {
		if k.lanes[i] != "" {
			p.lanes[k.lanes[i]] = k.standing[i]
		}
		if k.lines[i] != "" {
			p.lines[k.lines[i]] = k.lined[i]
		}
		if k.spots[i] != "" {
			p.spots[k.spots[i]] = k.spotted[i]
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
