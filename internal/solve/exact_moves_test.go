package solve

import (
	"slices"

	"sallyport"
)

// How whole parks follow from one another: what the exhaustive search can do
// at a moment, by rules of its own.

// night reports whether a morning lies between a group and the next.
func (x *exact) night(g int32) bool {
	for d := range x.p.show.Days {
		if m := x.p.index.Morning(d + 1); x.p.groups[g].at < m && m <= x.p.groups[g+1].at {
			return true
		}
	}
	return false
}

func (x *exact) gap(ln *lane, near, deep parked) int32 {
	a, b := x.p.units[near.unit].Unit, x.p.units[deep.unit].Unit
	return int32(sallyport.GapBetween(sallyport.Centimetres(ln.gap), a, near.nose, b, deep.nose))
}

// behindOf is where k stands that comes up behind place i.
func (x *exact) behindOf(ln *lane, list []parked, i int, k parked) int32 {
	if i < 0 {
		return 0
	}
	return list[i].from + x.p.units[list[i].unit].length + x.gap(ln, list[i], k)
}

// pack sets the start layout right and reports whether it fits.
func (x *exact) pack(l int, list []parked) bool {
	ln := &x.p.lanes[l]
	if ln.kind == sallyport.DeadEnd {
		for i := len(list) - 1; i >= 0; i-- {
			list[i].from = ln.length - x.p.units[list[i].unit].length
			if i+1 < len(list) {
				list[i].from = list[i+1].from - x.gap(ln, list[i], list[i+1]) - x.p.units[list[i].unit].length
			}
		}
		return len(list) == 0 || list[0].from >= 0
	}
	for i := range list {
		list[i].from = x.behindOf(ln, list, i-1, list[i])
	}
	n := len(list)
	return n == 0 || list[n-1].from+x.p.units[list[n-1].unit].length <= ln.length
}

// comeIn lets a unit begin its next stay.
func (x *exact) comeIn(at int32, s *exactPark, gr *group, u int, cost int64) {
	e := x.due(s, u)
	if e == none || x.p.events[e].out || x.p.events[e].group > s.group || !x.inTurn(s, e) {
		return
	}
	st := &x.p.stays[x.p.events[e].stay]
	own := &x.p.groups[x.p.events[e].group]
	m := sallyport.Move{Unit: x.p.units[u].ID, Start: gr.at, Kind: sallyport.MoveReturn}
	switch own.kind {
	case groupStart:
		m.Kind = ""
	case groupArrive:
		m.Kind, m.From = sallyport.MoveArrive, sallyport.Pos{Kind: sallyport.InAway}
	case groupRelieve:
		m.Kind, m.From = sallyport.MoveRelieve, sallyport.Pos{Kind: sallyport.InDuty}
		m.Duty = x.p.show.Duties[x.p.absences[st.before].duty].ID
	default:
		es := x.p.absences[st.before].entries
		sr := x.p.serial(es[len(es)-1])
		m.From, m.Serial, m.Entry = sallyport.AtLine(sr.HomeLine), sr.ID, x.p.entry(es[len(es)-1]).ID
		if gr != own && gr.at > sr.Back() {
			m.Nominal = gr.at
			cost += int64(x.p.prices.Idle(sallyport.Seconds(gr.at - sr.Back())))
		}
	}
	change := own.kind == groupHome || own.kind == groupRelieve
	for l := range x.p.lanes {
		x.enter(at, s, u, l, cost, m, change, true)
	}
}

// enter drives a unit into a lane in every way there is.
func (x *exact) enter(at int32, s *exactPark, u, l int, cost int64, m sallyport.Move, change, begins bool) {
	un, ln := &x.p.units[u], &x.p.lanes[l]
	list := s.lanes[l]
	if !x.p.mayStandIn(un, int32(l)) || int32(len(list)) >= ln.deep || !x.mayShare(un, list) {
		return
	}
	if change && s.left[u] >= 0 && int(s.left[u]) != l {
		cost += int64(x.p.weights.Change)
	}
	if un.told && un.home != int32(l) && (begins || m.Kind == sallyport.MoveReset || int(s.left[u]) != l) {
		cost += int64(x.p.weights.Told)
	}
	flags := []bool{false, true}
	for _, tail := range flags {
		if tail && ln.kind == sallyport.DeadEnd || !tail && ln.kind == sallyport.Through || m.Kind == "" && ln.kind != sallyport.DeadEnd && !tail {
			continue
		}
		for _, back := range flags {
			if back && ln.in == sallyport.InNose || !back && ln.in == sallyport.InReversed {
				if !m.ByHand && !(m.Kind == "" && (x.wide || ln.kind == sallyport.Open)) {
					continue // a start layout may have it otherwise: nobody drives in
				}
			}
			for _, out := range flags {
				if out && ln.kind != sallyport.Open {
					continue
				}
				x.enterAs(at, s, u, l, cost, m, parked{unit: int8(u), nose: tail == back, tail: out}, tail, begins)
			}
		}
	}
}

func (x *exact) mayShare(un *unit, list []parked) bool {
	for _, k := range list {
		o := &x.p.units[k.unit]
		if un.StandsAlone || o.StandsAlone || slices.Contains(un.apart, int32(k.unit)) {
			return false
		}
	}
	return true
}

func (x *exact) enterAs(at int32, s *exactPark, u, l int, cost int64, m sallyport.Move, k parked, tail, begins bool) {
	un, ln := &x.p.units[u], &x.p.lanes[l]
	list := s.lanes[l]
	back := k.nose == tail
	c := s.clone()
	n := len(list)
	switch {
	case m.Kind == "":
	case tail:
		k.from = x.behindOf(ln, list, n-1, k)
	case n == 0:
		k.from = ln.length - un.length
	default:
		k.from = list[0].from - x.gap(ln, k, list[0]) - un.length
	}
	if k.from < 0 || k.from+un.length > ln.length {
		return
	}
	if back && m.Kind != "" && !m.ByHand {
		far := k.from + un.length
		if tail {
			far = ln.length - k.from
		}
		if !un.mayReverse(far) {
			return
		}
		cost += int64(x.p.prices.Reverse(un.Unit, sallyport.Centimetres(far)))
	}
	if tail {
		c.lanes[l] = append(slices.Clone(list), k)
	} else {
		c.lanes[l] = append([]parked{k}, list...)
	}
	if !x.standbysOut(l, c.lanes[l]) {
		return
	}
	c.where[u] = exactIn
	if begins {
		c.next[u]++
	}
	var moves []sallyport.Move
	if m.Kind != "" {
		m.To, m.Reverse = sallyport.AtLane(ln.id, endOf(tail)), back
		moves = []sallyport.Move{m}
	}
	x.push(c, cost, at, moves)
}

func endOf(tail bool) sallyport.End {
	if tail {
		return sallyport.Tail
	}
	return sallyport.Mouth
}

func (x *exact) standbysOut(l int, list []parked) bool {
	for i, k := range list {
		if x.p.units[k.unit].Standby && i > 0 && (i < len(list)-1 || x.p.lanes[l].kind != sallyport.Open) {
			return false
		}
	}
	return true
}

// leave takes the unit at place i out of lane l by the end it means to leave
// by; ok is false when somebody bars it or it cannot.
func (x *exact) leave(s *exactPark, l, i int, byHand bool) (c exactPark, cost int64, from sallyport.Pos, back, ok bool) {
	list, ln := s.lanes[l], &x.p.lanes[l]
	k := list[i]
	if k.tail && i < len(list)-1 || !k.tail && i > 0 {
		return c, 0, from, false, false
	}
	un := &x.p.units[k.unit]
	back = k.tail != k.nose
	if back && !byHand {
		far := k.from + un.length
		if k.tail {
			far = ln.length - k.from
		}
		if !un.mayReverse(far) {
			return c, 0, from, false, false
		}
		cost = int64(x.p.prices.Reverse(un.Unit, sallyport.Centimetres(far)))
	}
	c = s.clone()
	c.lanes[l] = append(slices.Clone(list[:i]), list[i+1:]...)
	return c, cost, sallyport.AtLane(ln.id, endOf(k.tail)), back, true
}

// risk is what it costs that the unit at place i may not start.
func (x *exact) risk(s *exactPark, l, i int, t sallyport.Instant) int64 {
	list := s.lanes[l]
	value := 0
	for j, k := range list {
		if j != i && (x.p.lanes[l].kind != sallyport.Open && j > i || x.p.lanes[l].kind == sallyport.Open && (j > i) == !k.tail) {
			value += x.p.index.ValueLater(x.p.units[k.unit].ID, t)
		}
	}
	return int64(x.p.prices.Risk(x.p.units[list[i].unit].Unit, value))
}

func (s *exactPark) find(u int) (l, i int) {
	for l, list := range s.lanes {
		for i, k := range list {
			if int(k.unit) == u {
				return l, i
			}
		}
	}
	return -1, -1
}

// outMove returns the move by which a unit's stay ends now and what its being
// early costs; ok is false when it may not end now.
func (x *exact) outMove(s *exactPark, gr *group, u int) (m sallyport.Move, early int64, ok bool) {
	e := x.due(s, u)
	if e == none || !x.p.events[e].out || !x.inTurn(s, e) {
		return m, 0, false
	}
	own := &x.p.groups[x.p.events[e].group]
	m = sallyport.Move{Unit: x.p.units[u].ID, Start: gr.at, Kind: sallyport.MovePullOut}
	st := &x.p.stays[x.p.events[e].stay]
	switch own.kind {
	case groupDepart:
		m.Kind, m.To = sallyport.MoveDepart, sallyport.Pos{Kind: sallyport.InAway}
	case groupDuty:
		m.Kind, m.To, m.Duty = sallyport.MoveDuty, sallyport.Pos{Kind: sallyport.InDuty}, x.p.show.Duties[x.p.absences[st.after].duty].ID
	default:
		sr := x.p.serial(x.p.absences[st.after].entries[0])
		m.To, m.Serial, m.Entry = sallyport.AtLine(sr.Line), sr.ID, x.p.entry(x.p.absences[st.after].entries[0]).ID
		if gr.at < sr.FormFrom {
			early = int64(x.p.prices.Idle(sallyport.Seconds(sr.FormFrom - gr.at)))
			m.Nominal = gr.at
		}
	}
	if g := x.p.events[e].group; g != s.group {
		morning := x.p.index.Morning(int(own.day))
		if !x.wide || g < s.group || own.kind != groupOut || gr.day != own.day || gr.at < morning || gr.kind == groupStart {
			return m, 0, false
		}
	}
	return m, early, true
}

func (x *exact) goOut(at int32, s *exactPark, gr *group, u int, cost int64) {
	m, early, ok := x.outMove(s, gr, u)
	if !ok {
		return
	}
	l, i := s.find(u)
	c, out, from, back, ok := x.leave(s, l, i, false)
	if !ok {
		return
	}
	cost += early + out
	if m.Kind != sallyport.MoveDepart {
		cost += x.risk(s, l, i, gr.at)
		c.left[u] = int8(l)
	}
	m.From, m.Reverse = from, back
	c.where[u] = exactAway
	c.next[u]++
	x.push(c, cost, at, []sallyport.Move{m})
}

func (x *exact) outFromAside(at int32, s *exactPark, gr *group, u int, cost int64) {
	m, early, ok := x.outMove(s, gr, u)
	if !ok {
		return
	}
	c := s.clone()
	c.where[u] = exactAway
	c.next[u]++
	m.From = sallyport.AtSpot(x.spot())
	x.push(c, cost+early, at, []sallyport.Move{m})
}

// spot is where vehicles wait aside.
func (x *exact) spot() sallyport.SpotID {
	for _, s := range x.p.show.Park.Spots {
		if s.Use == sallyport.SpotAside {
			return s.ID
		}
	}
	return ""
}

// aside moves the unit at place i out of the way of somebody who is due in
// this group; wide, of anybody at any time.
func (x *exact) aside(at int32, s *exactPark, gr *group, l, i int, cost int64) {
	un := &x.p.units[s.lanes[l][i].unit]
	if x.spot() == "" || len(s.lanes[l]) < 2 || gr.kind == groupReset || !x.wide && !x.somebodyDue(s, l, i) {
		return
	}
	for _, hand := range []bool{false, true} {
		if hand && un.price.asideHand < 0 {
			continue
		}
		c, out, from, back, ok := x.leave(s, l, i, hand)
		if !ok {
			continue
		}
		u := s.lanes[l][i].unit
		c.where[u], c.left[u] = exactAside, int8(l)
		price := out + int64(x.p.prices.Aside(un.Unit, hand))
		if !hand {
			price += x.risk(s, l, i, gr.at)
		}
		x.push(c, cost+price, at, []sallyport.Move{{Kind: sallyport.MoveAside, Unit: un.ID, From: from, To: sallyport.AtSpot(x.spot()), Start: gr.at, Reverse: back, ByHand: hand}})
	}
}

// somebodyDue reports whether somebody else in the lane is due in this group.
func (x *exact) somebodyDue(s *exactPark, l, i int) bool {
	for j, k := range s.lanes[l] {
		e := x.due(s, int(k.unit))
		if j != i && e != none && x.p.events[e].out && x.p.events[e].group == s.group {
			return true
		}
	}
	return false
}

func (x *exact) putBack(at int32, s *exactPark, gr *group, u int, cost int64) {
	un := &x.p.units[u]
	for _, hand := range []bool{false, true} {
		if hand && un.price.backHand < 0 {
			continue
		}
		m := sallyport.Move{Kind: sallyport.MoveBack, Unit: un.ID, From: sallyport.AtSpot(x.spot()), Start: gr.at, ByHand: hand}
		price := cost + int64(x.p.prices.Drive(sallyport.MoveBack, un.Unit, hand))
		for l := range x.p.lanes {
			if x.wide || int(s.left[u]) == l {
				x.enter(at, s, u, l, price, m, true, false)
			}
		}
	}
}

// closeUp moves the unit at place i forward as far as it goes.
func (x *exact) closeUp(at int32, s *exactPark, gr *group, l, i int, cost int64) {
	ln := &x.p.lanes[l]
	k := s.lanes[l][i]
	un := &x.p.units[k.unit]
	to := x.behindOf(ln, s.lanes[l], i-1, k)
	if ln.kind == sallyport.DeadEnd || to >= k.from || k.nose && un.Reverse == sallyport.ReverseNever {
		return
	}
	c := s.clone()
	c.lanes[l] = slices.Clone(c.lanes[l])
	c.lanes[l][i].from = to
	where := sallyport.AtLane(ln.id, "")
	x.push(c, cost+un.price.closeUp, at, []sallyport.Move{{Kind: sallyport.MoveCloseUp, Unit: un.ID, From: where, To: where, Start: gr.at, Reverse: k.nose}})
}

// lift takes the unit at place i out of its lane in a reset window.
func (x *exact) lift(at int32, s *exactPark, gr *group, l, i int, cost int64) {
	un := &x.p.units[s.lanes[l][i].unit]
	if !x.wide || gr.kind != groupReset || un.OwnerOnly || x.spot() == "" {
		return
	}
	c, out, from, back, ok := x.leave(s, l, i, false)
	if !ok {
		return
	}
	u := s.lanes[l][i].unit
	w := &x.p.show.Resets[gr.window]
	if c.lift>>u&1 == 0 {
		out += int64(x.p.prices.Reset(un.Unit, w))
	}
	c.lift |= 1 << u
	c.where[u] = exactLifted
	x.push(c, cost+out, at, []sallyport.Move{{Kind: sallyport.MoveReset, Unit: un.ID, From: from, To: sallyport.AtSpot(x.spot()), Start: gr.at, Reverse: back, Window: w.ID}})
}

func (x *exact) setDown(at int32, s *exactPark, gr *group, u int, cost int64) {
	m := sallyport.Move{Kind: sallyport.MoveReset, Unit: x.p.units[u].ID, From: sallyport.AtSpot(x.spot()), Start: gr.at, Window: x.p.show.Resets[gr.window].ID}
	for l := range x.p.lanes {
		x.enter(at, s, u, l, cost, m, false, false)
	}
}

// plan writes out how a state was reached, with the columns in between.
func (x *exact) plan(at int32) *sallyport.Plan {
	var path []int32
	for n := at; n >= 0; n = x.nodes[n].parent {
		path = append(path, n)
	}
	slices.Reverse(path)
	plan := &sallyport.Plan{Format: sallyport.FormatPlan, Show: x.p.show.Name}
	for _, l := range x.p.lost {
		plan.Unserved = append(plan.Unserved, x.p.entry(l.entry).ID)
	}
	started := false
	for i, n := range path {
		nd := &x.nodes[n]
		if !started && (int(nd.park.group) == len(x.p.groups) || x.p.groups[nd.park.group].kind != groupStart) {
			started = true
			x.layout(plan, &nd.park)
		}
		plan.Moves = append(plan.Moves, nd.moves...)
		if i > 0 && nd.park.group != x.nodes[path[i-1]].park.group {
			x.columns(plan, x.nodes[path[i-1]].park.group)
		}
	}
	return plan
}

func (x *exact) layout(plan *sallyport.Plan, s *exactPark) {
	for l, list := range s.lanes {
		ll := sallyport.LaneLayout{Lane: x.p.lanes[l].id}
		for _, k := range list {
			id := x.p.units[k.unit].ID
			ll.Units = append(ll.Units, id)
			if k.nose {
				ll.NoseIn = append(ll.NoseIn, id)
			}
		}
		if len(list) > 0 {
			plan.Start = append(plan.Start, ll)
		}
	}
}

// columns writes the columns that leave or come home between group g and the
// next.
func (x *exact) columns(plan *sallyport.Plan, g int32) {
	from, to := x.p.groups[g].at, noEnd
	if int(g)+1 < len(x.p.groups) {
		to = x.p.groups[g+1].at
	}
	for i := range x.p.show.Serials {
		s := &x.p.show.Serials[i]
		var units []sallyport.UnitID
		for j, e := range s.Entries {
			if !slices.ContainsFunc(x.p.lost, func(l lostEntry) bool { return l.entry == entryAt{int32(i), int32(j)} }) {
				units = append(units, e.Unit)
			}
		}
		out := sallyport.Move{Kind: sallyport.MoveOut, Serial: s.ID, Units: units, From: sallyport.AtLine(s.Line), To: sallyport.Pos{Kind: sallyport.InArena}, Start: s.Leave()}
		home := sallyport.Move{Kind: sallyport.MoveHome, Serial: s.ID, Units: units, From: sallyport.Pos{Kind: sallyport.InArena}, To: sallyport.AtLine(s.HomeLine), Start: s.ArenaOut}
		for _, m := range []sallyport.Move{out, home} {
			if len(units) > 0 && m.Start > from && m.Start <= to {
				plan.Moves = append(plan.Moves, m)
			}
		}
	}
}
