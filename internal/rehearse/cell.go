package rehearse

import (
	"cmp"
	"slices"

	sp "sallyport"
)

// cell plays a failure with nothing done, then with every cure that can be,
// and keeps what saves most.
func (s *scene) cell() sp.FailureCell {
	if s.kind == sp.FailLate {
		return s.lateCell()
	}
	nothing := s.play(clearing{})
	c := sp.FailureCell{
		Kind: s.kind, At: s.at, Place: s.place, ShutIn: nothing.shutIn, Lost: nothing.lost, LostValue: s.value(nothing.lost),
		Stranded: nothing.stranded, Duties: nothing.duties,
	}
	best := s.answer(clearing{reserves: s.anyReserve(nothing.lost)}, nothing)
	harm := len(s.others(nothing.lost)) + len(nothing.stranded) + len(nothing.duties) + len(nothing.late)
	if harm > 0 {
		for _, cl := range s.clearings() {
			cl.reserves = s.anyReserve(nothing.lost)
			if a := s.answer(cl, nothing); a.better(best) {
				best = a
			}
		}
		c.NoTow = s.noTow()
	}
	c.Cures, c.Left, c.LeftValue, c.Late, c.Takes = s.cures(best), best.lost, s.value(best.lost), best.late, best.takes
	if s.kind == sp.FailInLane {
		c.Try = s.slaveLead()
		c.Uncovered = s.uncovered(nothing, best)
	}
	return c
}

// anyReserve reports whether any of these entries has a reserve.
func (s *scene) anyReserve(lost []sp.EntryID) bool {
	return slices.ContainsFunc(lost, func(e sp.EntryID) bool { return len(s.ix.Entry(e).Reserves) > 0 })
}

// answered is a clearing with what comes of it.
type answered struct {
	*scene
	clearing
	outcome
	takes sp.Seconds
}

// answer plays the scene with a clearing. When that is nothing at all, the
// outcome of nothing is known.
func (s *scene) answer(c clearing, nothing outcome) answered {
	a := answered{scene: s, clearing: c, outcome: nothing}
	if c.cure != "" || c.reserves {
		a.outcome = s.play(c)
	}
	if a.cleared {
		a.takes = sp.Seconds(a.outcome.when - s.at)
	}
	return a
}

// better reports whether a saves more than b: entries by value, then fewer
// late, then duties and units without room, then the sooner cure in the order
// in which cures are tried, then the quicker.
func (a answered) better(b answered) bool {
	if (a.cure == sp.CurePush || a.cure == sp.CureTow) && !a.cleared {
		return false
	}
	return cmp.Or(
		cmp.Compare(a.value(a.lost), b.value(b.lost)), cmp.Compare(len(a.late), len(b.late)),
		cmp.Compare(len(a.outcome.duties)+len(a.stranded), len(b.outcome.duties)+len(b.stranded)),
		cmp.Compare(a.rank(), b.rank()), cmp.Compare(a.takes, b.takes),
	) < 0
}

// rank is the place of the last of the cures among all.
func (a answered) rank() int {
	rank := slices.Index(sp.CureKinds, a.cure)
	if len(a.outcome.reserves) > 0 {
		rank = max(rank, slices.Index(sp.CureKinds, sp.CureReserve))
	}
	return rank
}

// uncovered returns the entries of others that are lost when a unit does not
// start although everything is done that people and towing vehicles can do.
func (s *scene) uncovered(nothing outcome, best answered) []sp.EntryID {
	least := s.others(nothing.lost)
	if len(least) == 0 {
		return nil
	}
	for _, cl := range s.clearings() {
		o := best.outcome
		if cl.cure != best.cure || len(best.outcome.reserves) > 0 {
			o = s.play(cl)
		}
		if left := s.others(o.lost); len(left) < len(least) {
			least = left
		}
	}
	return least
}

// clearings lists how the failed unit can be got out of the way, or others
// past it, in the order in which that is tried. Adding a way means adding a
// line to ways.
func (s *scene) clearings() []clearing {
	var list []clearing
	for _, way := range ways {
		if c, ok := way(s); ok {
			list = append(list, c)
		}
	}
	return list
}

var ways = []func(s *scene) (clearing, bool){(*scene).push, (*scene).otherWay, (*scene).tow}

// push is pushing it by hand to where vehicles wait aside, or off the road.
func (s *scene) push() (clearing, bool) {
	u := s.trip.unit
	if !u.MayPush() {
		return clearing{}, false
	}
	m := sp.Move{ID: "push", Kind: sp.MoveAside, Unit: u.ID, From: s.before.Where(u.ID), ByHand: true, Takes: s.ix.Pace(sp.MoveAside, u.Gear)}
	if m.From.Kind != sp.InLane {
		m.Kind, m.Serial = sp.MoveReturn, s.trip.row.Serial
	}
	var spots []sp.Pos
	if m.From.Kind == sp.InLane || m.From.Kind == sp.InLine {
		spots = s.spotsFor(m, sp.SpotAside)
		if len(spots) == 0 {
			return clearing{}, false
		}
	}
	m.Start = s.at + sp.Instant(s.opt.Gather)
	c := clearing{cure: sp.CurePush, when: m.Ends(), move: m, spots: spots}
	return c, !s.publicInside(s.at, c.when)
}

// otherWay is leaving an open lane by its other end.
func (s *scene) otherWay() (clearing, bool) {
	open := s.lane != "" && s.ix.Lane(s.lane).Kind == sp.Open
	return clearing{cure: sp.CureOrder, otherEnd: true}, open
}

// tow is towing it away by the first vehicle that stands by, else by the
// lightest other, that is free to come, can reach it and is heavy enough, as
// soon as there is one: to a breakdown bay, or where vehicles wait aside when
// there is none. Never backwards into a lane.
func (s *scene) tow() (clearing, bool) {
	u := s.trip.unit
	m := sp.Move{ID: "tow", Kind: sp.MoveTow, Unit: u.ID, From: s.before.Where(u.ID), Start: s.at, Takes: s.ix.Pace(sp.MoveTow, u.Gear)}
	able := func(id sp.UnitID) bool {
		m.Helper = id
		return id != u.ID && s.mayTow(s.ix.Unit(id))
	}
	if !slices.ContainsFunc(s.ix.UnitIDs, able) {
		return clearing{}, false
	}
	spots := s.spotsFor(m, sp.SpotBreakdown)
	if len(spots) == 0 {
		spots = s.spotsFor(m, sp.SpotAside)
	}
	return clearing{cure: sp.CureTow, seeks: true, move: m, spots: spots}, len(spots) > 0
}

// mayTow reports whether a vehicle is known to be heavy enough to tow the
// failed one.
func (s *scene) mayTow(h *sp.Unit) bool {
	may, known := sp.MayTow(h, s.trip.unit, s.opt.TowPercent)
	return may && known && h.HasEngine() && !h.Combination
}

// spotsFor returns the spots of a use to which the failed unit can be taken by
// a move as things stand.
func (s *scene) spotsFor(m sp.Move, use sp.SpotUse) []sp.Pos {
	r := &replay{scene: s, p: s.before.Branch()}
	var list []sp.Pos
	for i := range s.ix.Show.Park.Spots {
		spot := &s.ix.Show.Park.Spots[i]
		if spot.Use != use || spot.Route {
			continue
		}
		m.To = sp.AtSpot(spot.ID)
		if len(r.p.Branch().Try(&m, r.harmsClearing)) == 0 {
			list = append(list, m.To)
		}
	}
	return list
}

// helper returns a vehicle that can come at a moment and help until another:
// one that stands by first, then the lightest, then in the show's order. It
// stands in a lane with its way out free, or stands by on a duty, has an engine that is not off the
// road, and the plan asks nothing of it meanwhile.
func (s *scene) helper(p *sp.Player, now, until sp.Instant, fits func(h *sp.Unit) bool) sp.UnitID {
	var best *sp.Unit
	for _, id := range s.ix.UnitIDs {
		h := s.ix.Unit(id)
		if id == s.trip.unit.ID || h.Combination || !h.HasEngine() || h.OffRoadAt(now) || !fits(h) {
			continue
		}
		if best != nil && !(h.Standby && !best.Standby || h.Standby == best.Standby && h.Mass < best.Mass) {
			continue
		}
		if !s.busy(id, now, until+sp.Instant(s.opt.Fetch)) && s.canLeave(p, h, now) {
			best = h
		}
	}
	if best == nil {
		return ""
	}
	return best.ID
}

// canLeave reports whether a unit stands in a lane with a free way out, as the
// judge has it, or on a duty from which it can be called.
func (s *scene) canLeave(p *sp.Player, h *sp.Unit, now sp.Instant) bool {
	at := p.Where(h.ID)
	if at.Kind != sp.InLane {
		return at.Kind == sp.InDuty && h.Standby // who stands by can be called from a duty
	}
	ends := []sp.End{""}
	if s.ix.Lane(sp.LaneID(at.ID)).Kind == sp.Open {
		ends = []sp.End{sp.Mouth, sp.Tail}
	}
	for _, end := range ends {
		out, reverse := p.Exit(h.ID, end)
		if len(p.InTheWay(h.ID, out)) > 0 {
			continue
		}
		m := sp.Move{ID: "help", Kind: sp.MoveDepart, Unit: h.ID, From: sp.AtLane(sp.LaneID(at.ID), end), To: sp.Pos{Kind: sp.InAway}, Start: now, Reverse: reverse}
		if len(p.Branch().Try(&m, func(f sp.Fault) bool { return !tolerated[f.Rule] })) == 0 {
			return true
		}
	}
	return false
}

// publicInside reports whether the public is where the failed unit stands at
// any time between two moments, so that nothing moves there.
func (s *scene) publicInside(from, until sp.Instant) bool {
	zone := s.ix.ZoneOf(sp.AtLane(s.lane, ""))
	return slices.ContainsFunc(s.ix.PublicInside(zone), func(w sp.Window) bool { return w.From < until && from < w.To })
}
