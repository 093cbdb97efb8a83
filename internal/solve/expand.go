package solve

import (
	"cmp"
	"slices"

	"sallyport"
)

// expansion writes a board out as a start layout and moves in order. Moves
// have their nominal moment as start and take no time; Lay gives them their
// real times, spots and drivers.
type expansion struct {
	b      *board
	p      *problem
	evals  []*laneEval // by lane: what stands there as the moves go on
	start  []sallyport.LaneLayout
	moves  []sallyport.Move
	steps  []laneStep
	served map[entryAt]bool
	across map[int32][]acrossMove     // by serial: who still has to go on from its line
	spots  map[int32]sallyport.Pos    // by stay: where its unit waits aside
	taken  map[sallyport.SpotID]int32 // length that stands there

	cleared map[sallyport.UnitID]sallyport.Pos // where who has cleared a lane waits
}

// acrossMove is a move across with its place in the order of its line.
type acrossMove struct {
	order int32
	move  sallyport.Move
}

// laneStep is a recorded step with its lane.
type laneStep struct {
	lane int32
	step
}

// moment is something that happens at one time: a group, or a column.
type moment struct {
	at     sallyport.Instant
	rank   int // among those of one time
	group  int32
	serial int32 // of a column; none for a group
	home   bool
}

// expand returns the start layout and the moves of a board on which every
// unit has places for all its stays or for none.
func expand(b *board) ([]sallyport.LaneLayout, []sallyport.Move) {
	x := &expansion{b: b, p: b.p, served: make(map[entryAt]bool), across: make(map[int32][]acrossMove), spots: make(map[int32]sallyport.Pos), taken: make(map[sallyport.SpotID]int32)}
	unsorted := make([]uint64, len(b.p.lanes)) // reset writes how lanes are put in order
	for l := range b.p.lanes {
		e := &laneEval{p: b.p, sorted: unsorted}
		e.begin(int32(l))
		e.lenient = b.eval.lenient
		e.rec = func(s step) { x.steps = append(x.steps, laneStep{int32(l), s}) }
		x.evals = append(x.evals, e)
	}
	for a := range b.p.absences {
		if x.placed(b.p.absences[a].unit) {
			for _, e := range b.p.absences[a].entries {
				x.served[e] = true
			}
		}
	}
	if x.p.begin != nil {
		x.resume()
	}
	for _, m := range x.moments() {
		switch {
		case m.serial == none:
			x.group(m.group)
		case m.home:
			x.columnHome(m.serial)
		default:
			x.columnOut(m.serial)
		}
	}
	return x.start, x.moves
}

// placed reports whether the unit has places.
func (x *expansion) placed(u int32) bool { return x.b.choice[x.p.units[u].firstStay] != none }

// moments returns groups and columns in order of time. A column leaves before
// others move at that moment, and is back before its vehicles go home.
func (x *expansion) moments() []moment {
	var list []moment
	for g := range x.p.groups {
		list = append(list, moment{at: x.p.groups[g].at, rank: 1, group: int32(g), serial: none})
	}
	for i := range x.p.show.Serials {
		s := &x.p.show.Serials[i]
		out, home := moment{at: s.Leave(), group: none, serial: int32(i)}, moment{at: s.ArenaOut, group: none, serial: int32(i), home: true}
		if b := x.p.begin; b != nil {
			home.at = max(home.at, b.at)
			if b.home[s.ID] || s.Leave() <= b.at && !b.out[s.ID] {
				continue
			}
			if b.out[s.ID] {
				list = append(list, home)
				continue
			}
		}
		list = append(list, out, home)
	}
	slices.SortStableFunc(list, func(a, b moment) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.rank, b.rank)) })
	return list
}

// group plays one group in all lanes and writes its moves: in the group's
// order, each lane's steps before a vehicle's own with it, and what is put
// back when the last of a lane has gone.
func (x *expansion) group(g int32) {
	gr := &x.p.groups[g]
	byLane := make(map[int32][]int32)
	var order []int32
	for e := gr.first; e < gr.end; e++ {
		l := x.b.laneOf(x.p.events[e].stay)
		if l == none {
			continue
		}
		if byLane[l] == nil {
			order = append(order, l)
		}
		byLane[l] = append(byLane[l], e)
	}
	steps := make(map[int32][]laneStep, len(order))
	for _, l := range order {
		x.steps = nil
		x.evals[l].group(l, g, byLane[l], x.b.choice)
		steps[l] = x.steps
	}
	switch gr.kind {
	case groupStart:
		if x.p.begin == nil {
			x.layout(order)
		}
		return
	case groupReset:
		x.reset(g)
		return
	}
	for e := gr.first; e < gr.end; e++ {
		ev := x.p.events[e]
		l := x.b.laneOf(ev.stay)
		if l == none {
			continue
		}
		if gr.kind == groupHome {
			a := x.p.absences[x.p.stays[ev.stay].before]
			x.goAcross(gr.serial, x.p.homeOrder(a.entries[len(a.entries)-1]))
		}
		own := slices.IndexFunc(steps[l], func(s laneStep) bool { return s.stay == ev.stay && (s.kind == stepOut || s.kind == stepIn) })
		for own >= 0 && own+1 < len(steps[l]) && steps[l][own+1].kind == stepBack {
			own++
		}
		for _, s := range steps[l][:own+1] {
			x.write(g, s)
		}
		steps[l] = steps[l][own+1:]
	}
	// Behind the last vehicle of a lane others may still close up and go back.
	for _, l := range order {
		for _, s := range steps[l] {
			x.write(g, s)
		}
	}
	if gr.kind == groupHome {
		x.goAcross(gr.serial, unlimited)
	}
}

// reset writes how lanes are put in order in a reset window.
func (x *expansion) reset(g int32) {
	i := slices.Index(x.p.resets, g)
	for l := range x.evals {
		if i >= 0 && x.b.sorted[l]>>i&1 != 0 {
			x.steps = nil
			x.evals[l].putInOrder(int32(l), g)
			for _, s := range x.steps {
				x.write(g, s)
			}
		}
	}
}

// goAcross writes the moves across of a serial that come before order.
func (x *expansion) goAcross(serial, order int32) {
	list := x.across[serial]
	for len(list) > 0 && list[0].order < order {
		x.moves = append(x.moves, list[0].move)
		list = list[1:]
	}
	x.across[serial] = list
}

// layout writes the start layout.
func (x *expansion) layout(lanes []int32) {
	lanes = slices.Clone(lanes)
	slices.Sort(lanes)
	for _, l := range lanes {
		layout := sallyport.LaneLayout{Lane: x.p.lanes[l].id}
		for _, s := range x.evals[l].list {
			id := x.p.units[x.p.stays[s.stay].unit].ID
			layout.Units = append(layout.Units, id)
			if s.nose {
				layout.NoseIn = append(layout.NoseIn, id)
			}
		}
		x.start = append(x.start, layout)
	}
}

// write turns one step into its move or moves.
func (x *expansion) write(g int32, s laneStep) {
	gr := &x.p.groups[g]
	st := &x.p.stays[s.stay]
	un := &x.p.units[st.unit]
	where := sallyport.AtLane(x.p.lanes[s.lane].id, sallyport.Mouth)
	if s.tail {
		where.End = sallyport.Tail
	}
	m := sallyport.Move{Unit: un.ID, Start: gr.at, Reverse: s.back, ByHand: s.hand}
	if gr.serial != none {
		m.Serial = x.p.show.Serials[gr.serial].ID
	}
	switch s.kind {
	case stepOut:
		m.From = where
		if s.waits {
			m.From, m.Reverse = x.leaveSpot(s.stay), false
		}
		x.leaves(gr, st, m)
		return
	case stepIn:
		m.To = where
		x.comes(gr, st, m)
		return
	case stepAside:
		m.Kind, m.From, m.To = sallyport.MoveAside, where, x.takeSpot(s.lane, s.stay)
	case stepBack:
		m.Kind, m.From, m.To = sallyport.MoveBack, x.leaveSpot(s.stay), where
	case stepLift:
		m.Kind, m.From, m.To = sallyport.MoveReset, where, x.takeSpot(s.lane, s.stay)
		m.Window = x.p.show.Resets[gr.window].ID
	case stepSet:
		m.Kind, m.From, m.To = sallyport.MoveReset, x.leaveSpot(s.stay), where
		m.Window = x.p.show.Resets[gr.window].ID
	case stepClose:
		m.Kind, m.From, m.To = sallyport.MoveCloseUp, where, where
	}
	x.moves = append(x.moves, m)
}

// takeSpot finds the spot where the unit of stay s waits aside: the first that
// serves its lane's zone and has room, else the first.
func (x *expansion) takeSpot(l, s int32) sallyport.Pos {
	length := x.p.units[x.p.stays[s].unit].length
	var pick sallyport.SpotID
	for _, spot := range x.p.index.AsideSpots(x.p.lanes[l].zone) {
		if pick == "" {
			pick = spot.ID
		}
		if spot.Length == 0 || sallyport.Centimetres(x.taken[spot.ID]+length) <= spot.Length {
			pick = spot.ID
			break
		}
	}
	x.taken[pick] += length
	x.spots[s] = sallyport.AtSpot(pick)
	return x.spots[s]
}

// leaveSpot returns the spot where the unit of stay s waits, from now on free.
func (x *expansion) leaveSpot(s int32) sallyport.Pos {
	at := x.spots[s]
	x.taken[sallyport.SpotID(at.ID)] -= x.p.units[x.p.stays[s].unit].length
	delete(x.spots, s)
	return at
}

// leaves writes how a stay ends; m has unit, origin and serial.
func (x *expansion) leaves(gr *group, st *stay, m sallyport.Move) {
	switch un := x.p.units[st.unit].Unit; {
	case gr.kind == groupClear:
		if x.cleared == nil {
			x.cleared = make(map[sallyport.UnitID]sallyport.Pos)
		}
		m.Kind, m.To = sallyport.MoveAside, x.takeSpot(x.b.laneOf(x.p.units[st.unit].firstStay), x.p.units[st.unit].firstStay)
		x.cleared[un.ID] = x.leaveSpot(x.p.units[st.unit].firstStay)
		x.moves = append(x.moves, m)
		return
	case gr.kind == groupTow:
		x.moves = append(x.moves, x.p.towAway(un, m.From)...)
		return
	case gr.kind == groupDepart && x.p.begin != nil && un.OffRoadAt(gr.at) && un.OffRoad.To == 0:
		x.moves = append(x.moves, x.p.towOff(un, m.From))
		return
	case gr.kind == groupDepart:
		m.Kind, m.To = sallyport.MoveDepart, sallyport.Pos{Kind: sallyport.InAway}
		x.moves = append(x.moves, m)
		return
	}
	a := &x.p.absences[st.after]
	to, kind := sallyport.Pos{Kind: sallyport.InDuty}, sallyport.MoveDuty
	if a.duty == none {
		s := x.p.serial(a.entries[0])
		m.Entry, to, kind = x.p.entry(a.entries[0]).ID, sallyport.AtLine(s.Line), sallyport.MovePullOut
		m.Nominal = st.early
	} else {
		m.Duty = x.p.show.Duties[a.duty].ID
	}
	if a.part != "" {
		m = x.parted(a, m)
	}
	m.Kind, m.To = kind, to
	x.moves = append(x.moves, m)
}

// parted writes how a combination goes to its coupling spot and is parted
// there, and returns the move of the part that goes on.
func (x *expansion) parted(a *absence, m sallyport.Move) sallyport.Move {
	spot := sallyport.AtSpot(x.p.units[a.unit].CoupleAt)
	shift := m
	shift.Kind, shift.To, shift.Entry, shift.Duty = sallyport.MoveShift, spot, "", ""
	part := sallyport.Move{Kind: sallyport.MovePart, Unit: m.Unit, From: spot, To: spot, Serial: m.Serial, Start: m.Start}
	x.moves = append(x.moves, shift, part)
	m.Unit, m.From, m.Reverse = a.part, spot, false
	return m
}

// comes writes how a stay begins; m has unit, lane and serial.
func (x *expansion) comes(gr *group, st *stay, m sallyport.Move) {
	if gr.kind == groupArrive {
		m.Kind, m.From = sallyport.MoveArrive, sallyport.Pos{Kind: sallyport.InAway}
		x.moves = append(x.moves, m)
		return
	}
	a := &x.p.absences[st.before]
	if a.stray {
		x.straysHome(m)
		return
	}
	home := m
	home.Kind, home.From = sallyport.MoveRelieve, sallyport.Pos{Kind: sallyport.InDuty}
	if a.duty == none {
		e := a.entries[len(a.entries)-1]
		home.Kind, home.From, home.Entry = sallyport.MoveReturn, sallyport.AtLine(x.p.serial(e).HomeLine), x.p.entry(e).ID
		home.Nominal = st.held
	} else {
		home.Duty = x.p.show.Duties[a.duty].ID
	}
	if a.part == "" {
		x.moves = append(x.moves, home)
		return
	}
	spot := sallyport.AtSpot(x.p.units[a.unit].CoupleAt)
	home.Unit, home.To, home.Reverse = a.part, spot, false
	couple := sallyport.Move{Kind: sallyport.MoveCouple, Unit: m.Unit, From: spot, To: spot, Serial: m.Serial, Start: m.Start}
	m.Kind, m.From = sallyport.MoveShift, spot
	moves := []sallyport.Move{home, couple, m}
	if a.under {
		moves = moves[x.p.begin.recoupled(m.Unit, a.part):]
	}
	x.moves = append(x.moves, moves...)
}

// columnOut writes how a serial's column leaves for the arena.
func (x *expansion) columnOut(i int32) {
	s := &x.p.show.Serials[i]
	m := sallyport.Move{Kind: sallyport.MoveOut, Serial: s.ID, From: sallyport.AtLine(s.Line), To: sallyport.Pos{Kind: sallyport.InArena}, Start: s.Leave()}
	for j, e := range s.Entries {
		before := x.p.index.JoinedBefore(e.ID)
		if x.served[entryAt{i, int32(j)}] && (before == nil || before.Join != sallyport.JoinArena) {
			m.Units = append(m.Units, e.Unit)
		}
	}
	if len(m.Units) > 0 {
		x.moves = append(x.moves, m)
	}
}

// columnHome writes how a serial's column comes back to its line, and who goes
// on from there to its next line.
func (x *expansion) columnHome(i int32) {
	s := &x.p.show.Serials[i]
	m := sallyport.Move{Kind: sallyport.MoveHome, Serial: s.ID, From: sallyport.Pos{Kind: sallyport.InArena}, To: sallyport.AtLine(s.HomeLine), Start: s.ArenaOut}
	var across []acrossMove
	for _, j := range x.homeward(i) {
		e := &s.Entries[j]
		if !x.served[entryAt{i, j}] || e.Join == sallyport.JoinArena {
			continue
		}
		m.Units = append(m.Units, e.Unit)
		if next, ok := x.joinedTo(e); ok {
			t := x.p.serial(next)
			across = append(across, acrossMove{x.p.homeOrder(entryAt{i, j}), sallyport.Move{
				Kind: sallyport.MoveAcross, Unit: e.Unit, From: m.To, To: sallyport.AtLine(t.Line),
				Serial: t.ID, Entry: x.p.entry(next).ID, Start: s.Back(),
			}})
		}
	}
	if len(m.Units) > 0 {
		x.moves = append(x.moves, m)
	}
	slices.SortStableFunc(across, func(a, b acrossMove) int { return cmp.Compare(a.order, b.order) })
	x.across[i] = across
	if ordered, _ := x.p.inOrder(i); !ordered || !x.goesHome(i) {
		x.goAcross(i, unlimited)
	}
}

// goesHome reports whether anybody of a serial goes from its line to a lane.
func (x *expansion) goesHome(serial int32) bool {
	return slices.ContainsFunc(x.p.groups, func(g group) bool { return g.kind == groupHome && g.serial == serial })
}

// homeward returns a serial's entries in the order of its column on the way
// home, head first.
func (x *expansion) homeward(i int32) []int32 {
	s := &x.p.show.Serials[i]
	order := make([]int32, len(s.Entries))
	for j := range order {
		order[j] = int32(j)
	}
	place := func(j int32) int {
		if n := slices.Index(s.Leaving, s.Entries[j].ID); n >= 0 {
			return n
		}
		return int(j)
	}
	slices.SortStableFunc(order, func(a, b int32) int { return cmp.Compare(place(a), place(b)) })
	return order
}

// joinedTo returns the entry to which e goes from line to line.
func (x *expansion) joinedTo(e *sallyport.Entry) (entryAt, bool) {
	if e.Join != sallyport.JoinLine {
		return entryAt{}, false
	}
	for a := range x.p.absences {
		es := x.p.absences[a].entries
		for k := range es[:max(0, len(es)-1)] {
			if x.p.entry(es[k]) == e {
				return es[k+1], true
			}
		}
	}
	return entryAt{}, false
}
