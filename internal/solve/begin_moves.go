package solve

import (
	"cmp"
	"fmt"
	"slices"

	"sallyport"
)

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

// tower returns who tows u: who is heavy enough before those of whom that is
// not known, and these before who is too light; of these a standby vehicle, then one that stands in its lane
// with nobody in its way, then the heaviest.
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
		may, known := sallyport.MayTow(o, u, p.index.Show.Park.TowPercent)
		switch {
		case may:
			r += 16
		case !known:
			r += 8
		}
		if o.Standby {
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

// mayTowOut reports whether u may be towed out of its lane, and there is
// somebody who is not known to be too light for it.
func (p *problem) mayTowOut(u *sallyport.Unit) bool {
	if !p.begin.mayTow(u) {
		return false
	}
	tower := p.index.Unit(p.tower(u))
	if tower == nil {
		return false
	}
	may, known := sallyport.MayTow(tower, u, p.index.Show.Park.TowPercent)
	return may || !known
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
	driver := b.drivers()
	for i := range plan.Moves {
		m := &plan.Moves[i]
		switch m.Kind {
		case sallyport.MoveReturn, sallyport.MoveRelieve, sallyport.MoveAcross:
			if m.Driver == "" {
				m.Driver = driver[m.Unit]
			}
			delete(driver, m.Unit)
		case sallyport.MovePullOut, sallyport.MoveDuty:
			delete(driver, m.Unit)
		}
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

// drivers returns who drove the units out that are not in a lane now: they
// bring them home.
func (b *beginning) drivers() map[sallyport.UnitID]sallyport.PersonID {
	driver := make(map[sallyport.UnitID]sallyport.PersonID)
	for i := range b.past {
		m := &b.past[i]
		if leavesHome(m) && b.pos[m.Unit].Kind != sallyport.InLane {
			driver[m.Unit] = m.Driver
		}
	}
	return driver
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

// newID returns a name for a move of a unit that no other has, from number n on.
func (b *beginning) newID(what string, u sallyport.UnitID, n int) sallyport.MoveID {
	for {
		if id := sallyport.MoveID(fmt.Sprintf("%s%d-%s", what, n, u)); !b.ids[id] {
			return id
		}
		n++
	}
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
