package solve

import (
	"cmp"
	"fmt"
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

// clearing returns when a unit has to be out of the lane in which it stands,
// because that is closed later.
func (p *problem) clearing(un *unit) (sallyport.Instant, bool) {
	w, stands := p.begin.stood[un.ID]
	if !stands || un.OffRoadAt(p.begin.at) {
		return 0, false
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
				p.lost = append(p.lost, lostEntry{entryAt{int32(i), int32(j)}, p.index.UnitName(e.Unit) + " is not in the park any more"})
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

// tows returns the tows of who has broken down outside the lanes.
func (p *problem) tows() []sallyport.Move {
	var moves []sallyport.Move
	for _, id := range p.index.UnitIDs {
		if p.index.CombinationOf(id) != "" {
			continue
		}
		u := p.index.Unit(id)
		at, _ := p.begin.where(u)
		switch {
		case p.begin.stranded(u) && !p.isBay(at):
			moves = append(moves, p.towAway(u, at)...)
		case p.begin.stranded(u) && u.Depart != (sallyport.Window{}):
			moves = append(moves, p.towOff(u, at))
		}
	}
	return moves
}

// resume writes what has to be done at once: broken-down vehicles outside the
// lanes are towed away, and who is between two places goes on as published.
func (x *expansion) resume() {
	b := x.p.begin
	x.moves = x.p.tows()
	for s := range x.p.stays {
		st := &x.p.stays[s]
		un := &x.p.units[st.unit]
		if st.before == none || !x.p.absences[st.before].under || x.b.choice[s] == none {
			continue
		}
		if at := b.pos[un.ID]; x.p.absences[st.before].stray && at.Kind == sallyport.InSpot {
			x.spots[int32(s)] = at
			x.taken[sallyport.SpotID(at.ID)] += un.length
		}
		x.goOn(&x.p.absences[st.before])
	}
	for i := range x.p.show.Serials {
		if id := x.p.show.Serials[i].ID; b.home[id] {
			x.columnGoesOn(int32(i))
		}
	}
}

// goOn writes the published moves by which the unit of an absence under way
// still comes from where it is onto its line.
func (x *expansion) goOn(a *absence) {
	b := x.p.begin
	un := x.p.units[a.unit].Unit
	at, _ := b.where(un)
	if a.stray || at.Kind != sallyport.InSpot || len(a.entries) == 0 || b.out[x.p.serial(a.entries[0]).ID] {
		return
	}
	for _, m := range b.rest {
		if x.p.index.Standing(m.Unit) == un.ID && m.Serial == x.p.serial(a.entries[0]).ID {
			m.After = nil
			x.moves = append(x.moves, m)
			if m.To.Kind == sallyport.InLine {
				return
			}
		}
	}
}

// columnGoesOn writes who still goes across from the line of a serial whose
// column is home.
func (x *expansion) columnGoesOn(i int32) {
	s := &x.p.show.Serials[i]
	var across []acrossMove
	for _, j := range x.homeward(i) {
		e := &s.Entries[j]
		next, ok := x.joinedTo(e)
		if !ok || !x.served[entryAt{i, j}] {
			continue
		}
		t := x.p.serial(next)
		if x.p.begin.begun[absenceKey{unit: x.p.index.Standing(e.Unit), serial: t.ID}] {
			continue
		}
		across = append(across, acrossMove{x.p.homeOrder(entryAt{i, j}), sallyport.Move{
			Kind: sallyport.MoveAcross, Unit: e.Unit, From: sallyport.AtLine(s.HomeLine), To: sallyport.AtLine(t.Line),
			Serial: t.ID, Entry: x.p.entry(next).ID, Start: max(s.Back(), x.p.begin.at),
		}})
	}
	slices.SortStableFunc(across, func(a, b acrossMove) int { return cmp.Compare(a.order, b.order) })
	x.across[i] = across
	if ordered, _ := x.p.inOrder(i); !ordered || !x.goesHome(i) {
		x.goAcross(i, unlimited)
	}
}

// straysHome writes how a unit that is out for nothing comes into a lane; m
// has unit and lane.
func (x *expansion) straysHome(m sallyport.Move) {
	m.From = x.p.begin.pos[m.Unit]
	if m.From.Kind == sallyport.InLane {
		m.From = x.cleared[m.Unit]
	}
	m.Kind = sallyport.MoveBack
	if m.From.Kind == sallyport.InLine {
		m.Kind, m.Serial = sallyport.MoveReturn, x.p.begin.last[m.Unit].serial
	}
	x.moves = append(x.moves, m)
}

// isBay reports whether a spot is a breakdown bay.
func (p *problem) isBay(at sallyport.Pos) bool {
	s := p.index.Spot(sallyport.SpotID(at.ID))
	return at.Kind == sallyport.InSpot && s != nil && s.Use == sallyport.SpotBreakdown
}

// towAway returns the tow of a broken-down vehicle from where it stands to the
// first breakdown bay that is long enough, or off the site when there is none;
// who is to leave the show is towed from the bay when his time comes.
func (p *problem) towAway(u *sallyport.Unit, from sallyport.Pos) []sallyport.Move {
	m := p.towOff(u, from)
	m.Start = p.begin.at
	for i := range p.show.Park.Spots {
		s := &p.show.Park.Spots[i]
		used := sallyport.Centimetres(0)
		for _, o := range p.begin.state.Spots[s.ID] {
			used += p.index.Unit(o).Length + s.Gap
		}
		if s.Use != sallyport.SpotBreakdown || s.Length != 0 && used+u.Length > s.Length {
			continue
		}
		m.To = sallyport.AtSpot(s.ID)
		if u.Depart != (sallyport.Window{}) {
			return []sallyport.Move{m, p.towOff(u, m.To)}
		}
		break
	}
	return []sallyport.Move{m}
}

// towOff returns the tow of a broken-down vehicle off the site, at its time to
// leave.
func (p *problem) towOff(u *sallyport.Unit, from sallyport.Pos) sallyport.Move {
	return sallyport.Move{
		Kind: sallyport.MoveTow, Unit: u.ID, From: from, To: sallyport.Pos{Kind: sallyport.InAway},
		Start: max(p.begin.at, u.Depart.From), Helper: p.tower(u),
	}
}

// tower returns who tows u: a standby vehicle first, else the heaviest that is
// heavy enough as far as masses are given; one that stands in its lane with
// nobody in its way, or waits on a line of its own accord, comes before others.
func (p *problem) tower(u *sallyport.Unit) sallyport.UnitID {
	best, rank := sallyport.UnitID(""), -1
	for _, id := range p.index.UnitIDs {
		o := p.index.Unit(id)
		at, here := p.begin.pos[id]
		if !here || id == u.ID || !o.HasEngine() || o.Combination || o.OffRoadAt(p.begin.at) || slices.Contains(p.begin.state.OffRoad, id) || at.Kind != sallyport.InLane {
			continue
		}
		if w, in := p.begin.stood[u.ID]; in && w.lane == p.begin.stood[id].lane && p.begin.stood[id].order > w.order {
			continue // it is shut in itself
		}
		r := 0
		may, known := sallyport.MayTow(o, u, sallyport.UsualTowPercent)
		if o.Standby {
			r += 8
		}
		if may || !known {
			r += 4
		}
		if p.begin.stood[id].order == 0 {
			r += 2
		}
		if best == "" || r > rank || r == rank && o.Mass > p.index.Unit(best).Mass {
			best, rank = id, r
		}
	}
	return best
}

// recoupled returns how many of the three steps are done by which a
// combination comes home: its part is back at the spot, and coupled.
func (b *beginning) recoupled(unit, part sallyport.UnitID) int {
	switch {
	case b.pos[unit].Kind == sallyport.InSpot && b.home[b.last[unit].serial]:
		return 2
	case b.pos[part].Kind == sallyport.InSpot && b.home[b.last[unit].serial]:
		return 1
	}
	return 0
}

// carry makes a plan one that goes on from the beginning. Moves that the
// published plan has too keep their names, and their times where those can be
// kept; the others get new names.
func (p *problem) carry(plan *sallyport.Plan) {
	b := p.begin
	state := b.state
	plan.Start, plan.From, plan.Past = b.start, &state, b.past
	was := make(map[moveKey][]*sallyport.Move, len(b.rest))
	for i := range b.rest {
		k := keyOfMove(&b.rest[i])
		was[k] = append(was[k], &b.rest[i])
	}
	taken := 0
	for i := range plan.Moves {
		m := &plan.Moves[i]
		k := keyOfMove(m)
		if list := was[k]; len(list) > 0 {
			m.ID = list[0].ID
			if t := list[0].Start; t > m.Start && p.inTurnAt(m, t) {
				m.Start = t
			}
			was[k] = list[1:]
			continue
		}
		for m.ID == "" || b.ids[m.ID] {
			taken++
			m.ID = sallyport.MoveID(fmt.Sprintf("n%03d", taken))
		}
	}
}

// inTurnAt reports whether a move may still begin at t by the times of its
// serial.
func (p *problem) inTurnAt(m *sallyport.Move, t sallyport.Instant) bool {
	s := p.index.Serial(m.Serial)
	switch {
	case s == nil || m.Kind == sallyport.MoveOut || m.Kind == sallyport.MoveHome:
		return true
	case m.Kind == sallyport.MoveReturn || m.Kind == sallyport.MoveBack:
		return s.HomeBy == 0 || t < s.HomeBy
	}
	return t < s.FormUp
}

// moveKey is what makes a move the same in two plans.
type moveKey struct {
	kind     sallyport.MoveKind
	unit     sallyport.UnitID
	from, to sallyport.Pos
	serial   sallyport.SerialID
	duty     sallyport.DutyID
	window   sallyport.WindowID
}

func keyOfMove(m *sallyport.Move) moveKey {
	k := moveKey{m.Kind, m.Unit, m.From, m.To, m.Serial, m.Duty, m.Window}
	k.from.End, k.to.End = "", ""
	if k.from.Kind == sallyport.InSpot {
		k.from.ID = ""
	}
	if k.to.Kind == sallyport.InSpot {
		k.to.ID = ""
	}
	return k
}
