package rehearse

import (
	"slices"

	sp "sallyport"
)

// columnOut takes along who is on the line and can leave it, and lets reserves
// take the places of the others.
func (r *replay) columnOut(m *sp.Move) {
	s := r.ix.Serial(m.Serial)
	if s == nil {
		return
	}
	line := sp.Pos{Kind: sp.InLine, ID: m.From.ID}
	strict := r.ix.Line(sp.LineID(m.From.ID)).Out == sp.OutStrict
	var goes, last []sp.UnitID
	behind := false // the failed unit, on the road
	var delayed []sp.UnitID
	for _, u := range m.Units {
		switch {
		case r.failed(u) && r.kind == sp.FailOnRoad && r.trip.row.Serial == s.ID:
			behind = true
		case r.failed(u) || r.p.Where(u) != line:
			if e := r.entryIn(s.ID, u); r.reserves && r.by[e] == u {
				if v := r.reserve(m, r.ix.Entry(e)); v != "" && strict {
					last = append(last, v)
				} else if v != "" {
					goes = append(goes, v)
				}
			}
		case strict && r.tail[stand{unit: u, entry: sp.EntryID(s.ID)}]:
			last = append(last, u)
		default:
			goes = append(goes, u)
			if behind {
				delayed = append(delayed, u)
			}
		}
	}
	goes = append(goes, last...)
	all := goes
	goes = r.leaveLine(m, goes)
	r.gone[s.ID] = true
	for _, u := range all[len(goes):] {
		r.leftBehind(u, s.ID)
	}
	r.unstick(line)
	if r.road(m) && !behind {
		delayed = goes
	}
	for _, u := range goes {
		e := r.serves(s.ID, u)
		switch {
		case e == "":
		case slices.Contains(delayed, u) && r.tooLate(s, m.Start):
		case slices.Contains(delayed, u) || r.tail[stand{unit: u, entry: sp.EntryID(s.ID)}] && r.by[e] == u:
			r.served[e] = true
			r.out.late = append(r.out.late, e)
		default:
			r.served[e] = true
		}
	}
}

// serves returns the entry that a unit serves in a column, as a reserve too.
func (r *replay) serves(serial sp.SerialID, u sp.UnitID) sp.EntryID {
	for _, x := range r.out.reserves {
		if x.unit == u && r.ix.SerialOf(x.entry).ID == serial {
			return x.entry
		}
	}
	return r.entryIn(serial, u)
}

// entryIn returns the entry that a unit serves in a column of the plan.
func (r *rehearsal) entryIn(serial sp.SerialID, u sp.UnitID) sp.EntryID {
	for _, i := range r.of[u] {
		if m := &r.moves[i]; m.Serial == serial && (m.Kind == sp.MovePullOut || m.Kind == sp.MoveAcross) {
			return r.entryOf(serial, u, m.Entry)
		}
	}
	return r.entryOf(serial, u, "")
}

// leaveLine lets the column leave its line with as many as can, the first of
// them, and returns who goes.
func (r *replay) leaveLine(m *sp.Move, goes []sp.UnitID) []sp.UnitID {
	for len(goes) > 0 {
		c := *m
		c.Units = goes
		if len(r.p.Try(&c, r.harms)) == 0 {
			break
		}
		goes = goes[:len(goes)-1]
	}
	return goes
}

// road reports whether a column must use the road on which the failed unit
// stands now: that from its line.
func (r *replay) road(m *sp.Move) bool {
	return r.kind == sp.FailOnRoad && !r.out.cleared && m.From.ID == r.moves[r.trip.col].From.ID
}

// tooLate reports whether a column that leaves its line at start, and has to
// wait on the road, comes to the arena when its serial is over.
func (r *replay) tooLate(s *sp.Serial, start sp.Instant) bool {
	return r.when == 0 && !r.seeks || r.when != 0 && max(start, r.when)+sp.Instant(s.Travel) >= s.ArenaOut
}

// reserve brings the first reserve of an entry who can come onto the line
// before the column leaves; empty when there is none.
func (r *replay) reserve(out *sp.Move, e *sp.Entry) sp.UnitID {
	for _, v := range e.Reserves {
		u := r.ix.Unit(v)
		if u == nil || v == r.trip.unit.ID || r.p.Where(v).Kind != sp.InLane || r.waits[v] || u.OffRoadAt(out.Start) {
			continue
		}
		lane := r.p.Where(v)
		takes := r.ix.Pace(sp.MovePullOut, u.Gear)
		home := r.ix.Serial(out.Serial).HomeBy
		if r.at+sp.Instant(u.WarmUp+takes) > out.Start || r.busy(v, r.at, home) {
			continue
		}
		m := sp.Move{
			ID: "reserve", Kind: sp.MovePullOut, Unit: v, From: lane, To: out.From, Serial: out.Serial, Entry: e.ID,
			Start: out.Start - sp.Instant(takes), Takes: takes,
		}
		_, m.Reverse = r.p.Exit(v, "")
		key := stand{unit: v, entry: sp.EntryID(out.Serial)}
		r.tail[key] = true
		if len(r.p.Try(&m, r.harms)) > 0 {
			delete(r.tail, key)
			continue
		}
		r.out.reserves = append(r.out.reserves, stand{v, e.ID})
		r.guests[out.Serial] = append(r.guests[out.Serial], m)
		return v
	}
	return ""
}

// busy reports whether the plan has a unit do anything between two moments.
func (r *rehearsal) busy(u sp.UnitID, from, to sp.Instant) bool {
	return slices.ContainsFunc(r.of[u], func(i int) bool {
		return r.moves[i].Start < to && r.moves[i].Ends() > from
	})
}

// columnHome brings home who is in the arena, and reserves straight to where
// they came from.
func (r *replay) columnHome(m *sp.Move) {
	c := *m
	c.Units = nil
	for _, u := range m.Units {
		if !r.failed(u) && r.p.Where(u).Kind == sp.InArena {
			c.Units = append(c.Units, u)
		}
	}
	for _, g := range r.guests[m.Serial] {
		if r.p.Where(g.Unit).Kind == sp.InArena {
			c.Units = append(c.Units, g.Unit)
		}
	}
	if len(c.Units) == 0 {
		return
	}
	r.p.Try(&c, func(sp.Fault) bool { return false })
	for _, g := range r.guests[m.Serial] {
		lane := r.ix.Lane(sp.LaneID(g.From.ID))
		back := sp.Move{
			ID: "reserve home", Kind: sp.MoveReturn, Unit: g.Unit, From: m.To, To: sp.AtLane(lane.ID, ""), Serial: m.Serial,
			Reverse: lane.In == sp.InReversed || lane.In == sp.InEither && lane.Kind == sp.DeadEnd, Start: m.Ends(), Takes: r.ix.Pace(sp.MoveReturn, r.ix.Unit(g.Unit).Gear),
		}
		if len(r.p.Try(&back, func(f sp.Fault) bool { return f.Rule != sp.RuleLineOrder && r.harms(f) })) > 0 {
			r.strand(back)
		}
	}
}

// count adds up what has not been served of the entries that were still to
// come, up to but not with move end.
func (r *replay) count(end int) {
	for _, m := range r.pending {
		switch {
		case m.To.Kind == sp.InLane && r.p.Where(m.Unit).Kind != sp.InLane && !slices.Contains(r.out.stranded, m.Unit) && !r.failed(m.Unit):
			r.out.stranded = append(r.out.stranded, m.Unit)
		case r.leaves(&m) && !r.failed(m.Unit):
			r.shut(&m)
		}
	}
	for i := r.next; i < end; i++ {
		m := &r.moves[i]
		if m.Kind != sp.MoveOut {
			continue
		}
		for _, u := range m.Units {
			e := r.entryIn(m.Serial, u)
			if r.by[e] == u && !r.served[e] && !slices.Contains(r.out.lost, e) {
				r.out.lost = append(r.out.lost, e)
			}
		}
	}
	r.joinedInArena()
	r.out.shutIn = slices.DeleteFunc(r.out.shutIn, func(u sp.UnitID) bool { return u == r.trip.unit.ID })
}

// joinedInArena counts entries of that day that follow another in the arena:
// they go with it, unless the unit has failed there.
func (r *replay) joinedInArena() {
	for _, s := range r.ix.SerialsInTime {
		if s.ArenaIn.Day() != r.at.Day() {
			continue
		}
		for _, e := range s.Entries {
			b := r.ix.JoinedBefore(e.ID)
			if b == nil || b.Join != sp.JoinArena || r.by[e.ID] == "" {
				continue
			}
			follows := slices.Contains(r.out.lost, b.ID)
			broke := r.kind == sp.FailInArena && r.by[e.ID] == r.trip.unit.ID && s.ArenaIn > r.at
			if (follows || broke) && !slices.Contains(r.out.lost, e.ID) {
				r.out.lost = append(r.out.lost, e.ID)
			}
		}
	}
}
