package sallyport

import "slices"

// at returns where a unit stands in the state.
func (s *State) at(u UnitID) Pos {
	for lane, list := range s.Lanes {
		if slices.ContainsFunc(list, func(x Standing) bool { return x.Unit == u }) {
			return Pos{Kind: InLane, ID: string(lane)}
		}
	}
	for line, list := range s.Lines {
		if slices.Contains(list, u) {
			return AtLine(line)
		}
	}
	for spot, list := range s.Spots {
		if slices.Contains(list, u) {
			return AtSpot(spot)
		}
	}
	switch {
	case slices.Contains(s.Arena, u):
		return Pos{Kind: InArena}
	case slices.Contains(s.Duty, u):
		return Pos{Kind: InDuty}
	}
	return Pos{Kind: InAway}
}

// take removes a unit from wherever it stands.
func (s *State) take(u UnitID) {
	without := func(list []UnitID) []UnitID { return slices.DeleteFunc(list, func(v UnitID) bool { return v == u }) }
	for k, list := range s.Lanes {
		s.Lanes[k] = slices.DeleteFunc(list, func(x Standing) bool { return x.Unit == u })
	}
	for k, list := range s.Lines {
		s.Lines[k] = without(list)
	}
	for k, list := range s.Spots {
		s.Spots[k] = without(list)
	}
	s.Arena, s.Duty = without(s.Arena), without(s.Duty)
}

// standing returns the unit as it stands now: the combination for its parts
// while it is coupled.
func (a *applying) standing(id UnitID) UnitID {
	if c := a.ix.CombinationOf(id); c != "" && !slices.Contains(a.state.Parted, c) {
		return c
	}
	return id
}

// standsInLane reports a unit that is in no lane.
func (a *applying) standsInLane(h *Happening) {
	if at := a.state.at(a.standing(h.Unit)); at.Kind != InLane {
		a.wrong(h, "unit", string(h.Unit), "say where it has failed", "%s is at %s, not in a lane", a.ix.UnitName(h.Unit), a.ix.PosName(at))
	}
}

// failsWhere puts a unit where it has broken down and reports one that cannot
// be there.
func (a *applying) failsWhere(h *Happening) {
	id := a.standing(h.Unit)
	at, under := a.state.at(id), a.state.Busy[id]
	bad := func(advice string) {
		a.wrong(h, "where", string(h.Where), advice, "%s cannot have failed %s: it is at %s", a.ix.UnitName(id), h.fails(), a.ix.PosName(at))
	}
	switch h.fails() {
	case FailLate, FailInLane:
		a.standsInLane(h)
	case FailInMouth:
		lane := h.Lane
		switch {
		case lane != "":
		case at.Kind == InLane:
			lane = LaneID(at.ID)
		case under.From.Kind == InLane:
			lane = LaneID(under.From.ID)
		}
		a.inMouth(h, id, lane, bad)
	case FailReversing:
		lane := h.Lane
		if lane == "" && at.Kind == InLane {
			lane = LaneID(at.ID)
		}
		a.inMouth(h, id, lane, bad)
	case FailOnLine:
		if at.Kind != InLine {
			bad("give the moment at which it was there")
		}
	case FailOnRoad:
		if at.Kind != InArena && !(at.Kind == InLine && under.Until != 0) {
			bad("give the moment at which it was under way to the arena or back")
		}
	case FailInArena:
		if at.Kind != InArena {
			bad("give the moment at which it was there")
		}
	}
}

// inMouth has a unit stand half out of a lane, before all others there.
func (a *applying) inMouth(h *Happening, id UnitID, laneID LaneID, bad func(advice string)) {
	lane, u := a.ix.Lane(laneID), a.ix.Unit(id)
	if lane == nil {
		bad("name the lane too, like in the mouth of C4")
		return
	}
	list := a.state.Lanes[laneID]
	if i := slices.IndexFunc(list, func(x Standing) bool { return x.Unit == id }); i > 0 {
		a.wrong(h, "where", string(h.Where), "name the one that stands in the mouth", "%s cannot stand in the mouth of lane %s: %s stands nearer to it", u.Name, laneID, a.ix.UnitName(list[0].Unit))
		return
	}
	noseIn := false
	if i := slices.IndexFunc(list, func(x Standing) bool { return x.Unit == id }); i == 0 {
		noseIn = list[0].NoseIn
	} else if lane.In == InNose {
		noseIn = lane.Kind == DeadEnd
	}
	a.state.take(id)
	delete(a.state.Busy, id)
	a.state.Lanes[laneID] = slices.Insert(a.state.Lanes[laneID], 0, Standing{Unit: id, From: -u.Length / 2, NoseIn: noseIn})
}

// foundElsewhere puts a unit in another lane or place than planned. A
// dead-end lane is packed from its closed end again, in others who stands
// nearer the tail makes room.
func (a *applying) foundElsewhere(h *Happening) {
	id := a.standing(h.Unit)
	lane, u := a.ix.Lane(h.Lane), a.ix.Unit(id)
	if lane == nil {
		a.wrong(h, "lane", string(h.Lane), "name a lane of the park", "there is no lane %q", h.Lane)
		return
	}
	noseIn := lane.In == InNose && lane.Kind == DeadEnd
	for _, x := range a.state.Lanes[h.Lane] {
		if x.Unit == id {
			noseIn = x.NoseIn
		}
	}
	before := a.state.at(id)
	a.state.take(id)
	list := a.state.Lanes[h.Lane]
	at := max(0, h.Place-1)
	if h.Place < 0 || at > len(list) {
		a.wrong(h, "place", "", "count from the mouth, 1 is the nearest", "%s cannot be number %d in lane %s, which holds %d besides", u.Name, h.Place, h.Lane, len(list))
		return
	}
	delete(a.state.Busy, id)
	a.state.Lanes[h.Lane] = slices.Insert(list, at, Standing{Unit: id, NoseIn: noseIn})
	a.repack(h.Lane)
	if before.Kind == InLane && before.ID != string(h.Lane) {
		a.repack(LaneID(before.ID))
	}
}

// roomFound reports lanes that cannot hold all who are said to have been found
// there: when one is said to stand elsewhere, so must be who stood there.
func (a *applying) roomFound() {
	said := map[LaneID]bool{}
	for i := range a.done {
		h := &a.done[i]
		if h.Kind != HappenElsewhere || said[h.Lane] {
			continue
		}
		said[h.Lane] = true
		lane, list := a.ix.Lane(h.Lane), a.state.Lanes[h.Lane]
		if slices.ContainsFunc(list, func(s Standing) bool { return a.inTheMouth(s.Unit) }) {
			continue // half out of the lane: how much room that leaves is not known
		}
		var need Centimetres
		var others []UnitID
		for k, s := range list {
			b := a.ix.Unit(s.Unit)
			need += b.Length
			if k > 0 {
				need += GapBetween(lane.Gap, a.ix.Unit(list[k-1].Unit), list[k-1].NoseIn, b, s.NoseIn)
			}
			if s.Unit != a.standing(h.Unit) {
				others = append(others, s.Unit)
			}
		}
		if short := need - lane.Length; short > 0 {
			beside, advice := "", "correct the lane, or the lengths in the workbook"
			if len(others) > 0 {
				beside, advice = " with "+a.ix.Names(others), "say too where those stand that have left it, or name another lane"
			}
			a.n = i + 1
			a.wrong(h, "lane", string(h.Lane), advice, "%s cannot stand in lane %s%s: that takes %s, lane %s is %s long, short by %s", a.ix.UnitName(h.Unit), h.Lane, beside, need.Metres(), h.Lane, lane.Length.Metres(), short.Metres())
		}
	}
}

// inTheMouth reports whether a unit is said to have failed half out of a lane.
func (a *applying) inTheMouth(u UnitID) bool {
	return slices.ContainsFunc(a.done, func(h Happening) bool {
		return h.Kind == HappenFailed && (h.fails() == FailInMouth || h.fails() == FailReversing) && a.standing(h.Unit) == u
	})
}

// laneCleared gives those who stand in a lane that is closed at once ten
// minutes each to leave it.
func (a *applying) laneCleared(h *Happening) {
	least := h.At + Instant(Minutes(10))*Instant(len(a.state.Lanes[h.Lane]))
	if h.From >= least || len(a.state.Lanes[h.Lane]) == 0 {
		return
	}
	h.From = least
	for i := range a.show.Park.Lanes {
		if l := &a.show.Park.Lanes[i]; l.ID == h.Lane {
			l.Closed[len(l.Closed)-1].From = least
		}
	}
}

// repack sets the places of those who stand in a lane found otherwise than
// planned.
func (a *applying) repack(id LaneID) {
	lane, list := a.ix.Lane(id), a.state.Lanes[id]
	if lane.Kind == DeadEnd {
		packed(a.ix, lane, list)
		return
	}
	for i := range list {
		if i == 0 {
			list[i].From = max(0, list[i].From)
			continue
		}
		l := list[i-1]
		b := a.ix.Unit(l.Unit)
		list[i].From = max(list[i].From, l.From+b.Length+GapBetween(lane.Gap, b, l.NoseIn, a.ix.Unit(list[i].Unit), list[i].NoseIn))
	}
}
