package sallyport

import "slices"

// WhyLost says, as a clause, which of what has happened keeps a plan that goes
// on from a moment from serving an entry: the unit or one of its reserves is
// concerned itself, its serial is, who stands before it in its lane, on its line
// or at its spot at the moment or when it is due, or a lane or team that is missing. It is ""
// when nothing that has happened has to do with it: then giving the entry up
// is the plan's own doing. ix is the index of the show with what has happened.
func WhyLost(ix *Index, plan *Plan, id EntryID) string {
	e, s := ix.Entry(id), ix.SerialOf(id)
	if e == nil || s == nil || plan.From == nil {
		return ""
	}
	for _, concerns := range whyLost(ix, plan, e, s) {
		for i := range plan.Happened {
			if h := &plan.Happened[i]; h.Kind != HappenHere && concerns(h) {
				return h.Says(ix)
			}
		}
	}
	return ""
}

// whyLost are the ways in which something that has happened can keep an entry
// from being served, the most direct first.
func whyLost(ix *Index, plan *Plan, e *Entry, s *Serial) []func(h *Happening) bool {
	same := func(a, b UnitID) bool {
		return a != "" && (a == b || ix.CombinationOf(a) == b || ix.CombinationOf(b) == a)
	}
	var near []UnitID
	var lanes []LaneID
	looked := false
	look := func() {
		if looked {
			return
		}
		looked = true
		due, _, _ := StateAt(ix.Show, plan, s.FormUp)
		for _, state := range []*State{plan.From, &due} {
			at := state.at(e.Unit)
			if c := ix.CombinationOf(e.Unit); at.Kind == InAway && c != "" {
				at = state.at(c)
			}
			near = append(near, state.before(ix, e.Unit, at)...)
			if at.Kind == InLane {
				lanes = append(lanes, LaneID(at.ID))
			}
		}
		near = append(near, due.Lines[s.Line]...)
	}
	return []func(h *Happening) bool{
		func(h *Happening) bool { return same(h.Unit, e.Unit) && (h.Kind != HappenReserve || h.Serial == s.ID) },
		func(h *Happening) bool { return h.Kind == HappenReserve && same(h.Reserve, e.Unit) },
		func(h *Happening) bool { return h.Serial == s.ID || h.Other == s.ID },
		func(h *Happening) bool {
			look()
			return h.Kind != HappenReserve && slices.ContainsFunc(near, func(u UnitID) bool { return same(h.Unit, u) })
		},
		func(h *Happening) bool { look(); return h.Kind == HappenLane && slices.Contains(lanes, h.Lane) },
		func(h *Happening) bool { return h.Kind == HappenLane && (h.To == 0 || h.To > s.FormFrom) },
		func(h *Happening) bool { return h.Kind == HappenTeam && h.At.Day() == s.FormUp.Day() },
	}
}

// before returns who can stand in the way of a unit at a position: those
// nearer to the mouth of its lane, all in an open one, on its line or at its
// spot.
func (s *State) before(ix *Index, u UnitID, at Pos) []UnitID {
	switch at.Kind {
	case InLane:
		lane := ix.Lane(LaneID(at.ID))
		var list []UnitID
		for _, x := range s.Lanes[LaneID(at.ID)] {
			if x.Unit == u && lane != nil && lane.Kind != Open {
				break
			}
			list = append(list, x.Unit)
		}
		return list
	case InLine:
		return slices.Clone(s.Lines[LineID(at.ID)])
	case InSpot:
		return slices.Clone(s.Spots[SpotID(at.ID)])
	}
	return nil
}
