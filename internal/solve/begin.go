package solve

import (
	"slices"

	"sallyport"
)

// beginning is the moment of a show from which it is planned on: what stands
// where, what has been done, and how the published plan went on.
type beginning struct {
	at    sallyport.Instant
	state sallyport.State
	start []sallyport.LaneLayout
	past  []sallyport.Move
	rest  []sallyport.Move

	given map[absenceKey]string     // absences given up, and why
	tow   map[sallyport.UnitID]bool // broken down in their lanes, taken out of them at once
	stay  map[sallyport.UnitID]bool // not to be moved: nobody tows them either
	pos   map[sallyport.UnitID]sallyport.Pos
	stood map[sallyport.UnitID]stood
	begun map[absenceKey]bool
	over  map[absenceKey]bool
	last  map[sallyport.UnitID]absenceKey // for which a unit left its lane last
	left  map[sallyport.UnitID]bool       // departed, or towed off the site
	came  map[sallyport.UnitID]bool
	ids   map[sallyport.MoveID]bool   // taken
	out   map[sallyport.SerialID]bool // whose column has left, or is home
	home  map[sallyport.SerialID]bool
}

// stood is where a unit stands in a lane when the plan begins.
type stood struct {
	lane  sallyport.LaneID
	order int32 // from the mouth
	from  int32
	nose  bool
}

// absenceKey names an absence by the serial of its first entry, or its duty.
type absenceKey struct {
	unit   sallyport.UnitID
	serial sallyport.SerialID
	duty   sallyport.DutyID
}

// newBeginning reads a state and the moves before and after it.
func newBeginning(ix *sallyport.Index, state sallyport.State, plan *sallyport.Plan, past, rest []sallyport.Move) *beginning {
	b := &beginning{
		at: state.At, state: state, start: plan.Start, past: past, rest: rest,
		given: map[absenceKey]string{}, tow: map[sallyport.UnitID]bool{}, pos: map[sallyport.UnitID]sallyport.Pos{},
		stood: map[sallyport.UnitID]stood{}, begun: map[absenceKey]bool{}, over: map[absenceKey]bool{}, last: map[sallyport.UnitID]absenceKey{},
		left: map[sallyport.UnitID]bool{}, came: map[sallyport.UnitID]bool{}, ids: map[sallyport.MoveID]bool{},
		out: map[sallyport.SerialID]bool{}, home: map[sallyport.SerialID]bool{},
	}
	for lane, list := range state.Lanes {
		for i, s := range list {
			b.pos[s.Unit] = sallyport.AtLane(lane, "")
			b.stood[s.Unit] = stood{lane, int32(i), int32(s.From), s.NoseIn}
		}
	}
	for line, list := range state.Lines {
		for _, u := range list {
			b.pos[u] = sallyport.AtLine(line)
		}
	}
	for spot, list := range state.Spots {
		for _, u := range list {
			b.pos[u] = sallyport.AtSpot(spot)
		}
	}
	for _, u := range state.Arena {
		b.pos[u] = sallyport.Pos{Kind: sallyport.InArena}
	}
	for _, u := range state.Duty {
		b.pos[u] = sallyport.Pos{Kind: sallyport.InDuty}
	}
	for i := range past {
		b.note(ix, &past[i])
	}
	for _, m := range slices.Concat(past, rest) {
		b.ids[m.ID] = true
	}
	return b
}

// note remembers what a move made before says about the rest.
func (b *beginning) note(ix *sallyport.Index, m *sallyport.Move) {
	unit := ix.Standing(m.Unit)
	switch m.Kind {
	case sallyport.MovePullOut, sallyport.MoveDuty, sallyport.MoveAcross:
		key := absenceKey{unit: unit, serial: m.Serial, duty: m.Duty}
		b.begun[key] = true
		if m.Kind != sallyport.MoveAcross {
			b.last[unit] = key
		}
	case sallyport.MoveShift:
		if m.From.Kind == sallyport.InLane {
			key := absenceKey{unit: unit, serial: m.Serial}
			b.begun[key], b.last[unit] = true, key
		} else {
			b.over[b.last[unit]] = true
		}
	case sallyport.MoveReturn, sallyport.MoveRelieve:
		if m.To.Kind == sallyport.InLane {
			b.over[b.last[unit]] = true
		}
	case sallyport.MoveOut:
		b.out[m.Serial] = true
	case sallyport.MoveHome:
		b.home[m.Serial] = true
	case sallyport.MoveArrive:
		b.came[unit] = true
	case sallyport.MoveDepart, sallyport.MoveTow:
		if m.To.Kind == sallyport.InAway {
			b.left[unit] = true
		}
	}
}

// where returns where a unit is; a parted combination is where its parts are
// that are out.
func (b *beginning) where(u *sallyport.Unit) (sallyport.Pos, bool) {
	if at, ok := b.pos[u.ID]; ok {
		return at, true
	}
	for _, part := range u.Parts {
		if at, ok := b.pos[part]; ok {
			return at, true
		}
	}
	return sallyport.Pos{}, false
}

// plans reports whether the unit still has anything to do in the lanes: it is
// there, or comes back to them, or has yet to arrive.
func (b *beginning) plans(u *sallyport.Unit) bool {
	at, here := b.where(u)
	if !here {
		return u.Arrive != (sallyport.Window{}) && !b.came[u.ID] && !b.left[u.ID]
	}
	return at.Kind == sallyport.InLane || !b.stranded(u)
}

// stranded reports whether the unit has broken down outside the lanes for the
// rest of the day: it is towed away from where it stands.
func (b *beginning) stranded(u *sallyport.Unit) bool {
	at, here := b.where(u)
	return here && at.Kind != sallyport.InLane && b.forToday(u)
}

// forToday reports whether the unit is off the road for the rest of the day.
func (b *beginning) forToday(u *sallyport.Unit) bool {
	return u.OffRoadAt(b.at) && (u.OffRoad.To == 0 || u.OffRoad.To.Day() > b.at.Day())
}

// mayTow reports whether the unit is off the road for the rest of the day, and
// may be towed out of its lane.
func (b *beginning) mayTow(u *sallyport.Unit) bool { return b.forToday(u) && !b.stay[u.ID] }

// notToBeMoved returns who is not to be moved at a moment.
func notToBeMoved(ix *sallyport.Index, at sallyport.Instant, happened []sallyport.Happening) map[sallyport.UnitID]bool {
	stay := map[sallyport.UnitID]bool{}
	for _, h := range happened {
		if h.Kind == sallyport.HappenDoNotMove && (h.Until == 0 || h.Until > at) {
			stay[ix.Standing(h.Unit)] = true
		}
	}
	return stay
}

// keyOf names an absence.
func (p *problem) keyOf(a *absence) absenceKey {
	key := absenceKey{unit: p.units[a.unit].ID}
	switch {
	case a.duty != none:
		key.duty = p.show.Duties[a.duty].ID
	case len(a.entries) > 0:
		key.serial = p.serial(a.entries[0]).ID
	}
	return key
}

// latest is the last moment at which the unit can still leave for a.
func (p *problem) latest(a *absence) sallyport.Instant {
	if len(a.entries) > 0 {
		return p.serial(a.entries[0]).FormUp
	}
	return a.out
}

// remaining returns those absences of unit u, which are in order of time, that
// are not over: the one that it is in first. A unit that is out for nothing,
// moved aside or sent home, is in a stray absence.
func (p *problem) remaining(u int32, list []absence) []absence {
	b, un := p.begin, &p.units[u]
	at, here := b.where(un.Unit)
	inLane := here && at.Kind == sallyport.InLane
	var kept []absence
	if at, ok := p.clearing(un); ok && b.given[absenceKey{unit: un.ID}] == "" {
		kept = append(kept, absence{unit: u, duty: none, stray: true, out: at, back: at + 1})
	}
	if here && !inLane {
		kept = append(kept, absence{unit: u, duty: none, under: true, stray: true, back: max(b.at, un.OffRoad.To)})
	}
	for _, a := range list {
		key := p.keyOf(&a)
		switch {
		case b.begun[key] && here && !inLane && key == b.last[un.ID] && !b.over[key]:
			a.under, a.out, a.back = true, b.at, max(a.back, b.at)
			kept[0] = a
		case !here && b.came[un.ID], b.begun[key]:
			if inLane && !b.over[key] {
				p.brokenOff(un, &a)
			}
		case here && !inLane && p.goesOn(un.ID, key):
			a.under, a.out, a.back = true, b.at, max(a.back, b.at)
			kept[0] = a
		case p.latest(&a) <= b.at:
		case b.given[key] != "":
			for _, e := range a.entries {
				p.lost = append(p.lost, lostEntry{e, b.given[key]})
			}
		default:
			kept = append(kept, a)
		}
	}
	if len(kept) > 1 && kept[0].stray && !kept[0].under && kept[1].out <= kept[0].out {
		kept = kept[1:] // it leaves in time anyway
	}
	return kept
}

// brokenOff lists the entries still to come of an absence that a unit had begun
// when it failed in the mouth of its lane.
func (p *problem) brokenOff(un *unit, a *absence) {
	for _, e := range a.entries {
		if p.serial(e).Leave() > p.begin.at {
			p.lost = append(p.lost, lostEntry{e, un.Name + " is off the road then"})
		}
	}
}

// clearing returns when a unit has to be out of the lane in which it stands:
// at once when it was found where it may not stand, or because that is closed
// later.
func (p *problem) clearing(un *unit) (sallyport.Instant, bool) {
	w, stands := p.begin.stood[un.ID]
	if !stands || un.OffRoadAt(p.begin.at) {
		return 0, false
	}
	if l := slices.IndexFunc(p.show.Park.Lanes, func(l sallyport.Lane) bool { return l.ID == w.lane }); l >= 0 && p.whyNot(un, int32(l)) != "" {
		return p.begin.at, true
	}
	for _, closed := range p.index.Lane(w.lane).Closed {
		if closed.From > p.begin.at {
			return max(p.begin.at, closed.From-clearAhead), true
		}
	}
	return 0, false
}

// clearAhead is how long before a lane is closed those who stand in it are
// moved.
const clearAhead = 30 * 60

// goesOn reports whether a unit that waits aside is to be pulled out from
// there, by the published plan.
func (p *problem) goesOn(u sallyport.UnitID, key absenceKey) bool {
	if p.begin.pos[u].Kind != sallyport.InSpot {
		return false
	}
	for i := range p.begin.rest {
		if m := &p.begin.rest[i]; m.Unit == u {
			return m.Kind == sallyport.MovePullOut && m.Serial == key.serial && m.From.Kind == sallyport.InSpot
		}
	}
	return false
}

// absentees lists the entries still to come of vehicles that no longer have a
// part in the plan.
func (p *problem) absentees(unitAt map[sallyport.UnitID]int32) {
	for i := range p.show.Serials {
		if p.show.Serials[i].Leave() <= p.begin.at {
			continue
		}
		for j, e := range p.show.Serials[i].Entries {
			if _, ok := unitAt[e.Unit]; !ok && p.index.Unit(e.Unit) != nil {
				why := " is not in the park any more"
				if p.index.Unit(e.Unit).OffRoadAt(p.begin.at) {
					why = " is off the road then"
				}
				p.lost = append(p.lost, lostEntry{entryAt{int32(i), int32(j)}, p.index.UnitName(e.Unit) + why})
			}
		}
	}
}

// stand sets a unit down where it stands when the plan begins; nothing that it
// breaks there is held against the plan.
func (e *laneEval) stand(s, pl int32) {
	w := e.p.begin.stood[e.p.units[e.p.stays[s].unit].ID]
	e.insert(standing{stay: s, from: w.from, nose: w.nose, out: e.p.places[pl].outTail}, false)
}

// standsAt gives the first stay of a unit that stands in a lane its place,
// which is known: in an open lane the end by which it leaves is not.
func (p *problem) standsAt(i int32, w stood) []int32 {
	un := &p.units[p.stays[i].unit]
	for l := range p.lanes {
		ln := &p.lanes[l]
		if ln.id != w.lane {
			continue
		}
		if ln.kind != sallyport.Open {
			return []int32{ln.first}
		}
		if un.Reverse == sallyport.ReverseNever && w.nose {
			return []int32{ln.first + 1}
		}
		if un.Reverse == sallyport.ReverseNever {
			return []int32{ln.first}
		}
		return []int32{ln.first, ln.first + 1}
	}
	return nil
}

// begins reports whether stay i is that of a unit which stands in its lane when
// the plan begins.
func (p *problem) begins(i int32) (stood, bool) {
	if p.begin == nil || p.stays[i].before != none {
		return stood{}, false
	}
	w, ok := p.begin.stood[p.units[p.stays[i].unit].ID]
	return w, ok
}
