package solve

import (
	"cmp"
	"slices"

	"sallyport"
)

// entriesByUnit returns, for each unit, its entries in order of time.
func (p *problem) entriesByUnit(unitAt map[sallyport.UnitID]int32) [][]entryAt {
	list := make([][]entryAt, len(p.units))
	for i, s := range p.show.Serials {
		for j, e := range s.Entries {
			if u, ok := unitAt[e.Unit]; ok {
				list[u] = append(list[u], entryAt{int32(i), int32(j)})
			}
		}
	}
	for _, es := range list {
		slices.SortStableFunc(es, func(a, b entryAt) int { return cmp.Compare(p.serial(a).ArenaIn, p.serial(b).ArenaIn) })
	}
	return list
}

func (p *problem) serial(e entryAt) *sallyport.Serial { return &p.show.Serials[e.serial] }
func (p *problem) entry(e entryAt) *sallyport.Entry {
	return &p.show.Serials[e.serial].Entries[e.entry]
}

// entryValue is what the entry is worth; not given counts 1.
func (p *problem) entryValue(e entryAt) int64 { return int64(p.entry(e).Worth()) }

// addAbsences fills absences, unit by unit in order of time, with what no
// choice of lanes can serve left out and listed in lost; then the stays
// between them.
func (p *problem) addAbsences(unitAt map[sallyport.UnitID]int32) {
	entries := p.entriesByUnit(unitAt)
	duties := make([][]int32, len(p.units))
	for i, d := range p.show.Duties {
		if u, ok := unitAt[d.Unit]; ok {
			duties[u] = append(duties[u], int32(i))
		}
	}
	for u := range p.units {
		un := &p.units[u]
		list := p.chains(int32(u), entries[u])
		for _, d := range duties[u] {
			list = append(list, p.dutyAbsence(int32(u), d))
		}
		slices.SortStableFunc(list, func(a, b absence) int { return cmp.Compare(a.back, b.back) })
		home := un.Arrive.From
		if p.begin != nil {
			list, home = p.remaining(int32(u), list), max(home, p.begin.at-1)
		}
		first := len(p.absences)
		for _, a := range list {
			un.value += a.value
			if why := p.whyLost(un, &a, home); why != "" && !a.under {
				for _, e := range a.entries {
					p.lost = append(p.lost, lostEntry{e, why})
				}
				continue
			}
			a.out = max(a.out, home+1)
			if off := un.OffRoad; p.begin != nil && off.To != 0 && a.out >= off.From {
				a.out = max(a.out, off.To)
			}
			home = a.back + sallyport.Instant(p.index.Pace(sallyport.MoveReturn, un.Gear))
			p.absences = append(p.absences, a)
		}
		un.value = max(1, un.value)
		p.addStays(int32(u), first)
	}
	if p.begin != nil {
		p.absentees(unitAt)
	}
}

// chains joins the entries of a unit into absences.
func (p *problem) chains(u int32, entries []entryAt) []absence {
	var list []absence
	open := false
	for _, e := range entries {
		s := p.serial(e)
		if !open {
			list = append(list, absence{unit: u, duty: none, out: min(s.FormFrom, s.FormUp)})
			if id := p.entry(e).Unit; id != p.units[u].ID {
				list[len(list)-1].part = id
			}
		}
		a := &list[len(list)-1]
		a.entries = append(a.entries, e)
		a.value += p.entryValue(e)
		a.back = s.Back()
		open = p.entry(e).Join != sallyport.JoinNone
	}
	return list
}

func (p *problem) dutyAbsence(u, d int32) absence {
	duty := &p.show.Duties[d]
	a := absence{unit: u, duty: d, out: duty.From - sallyport.Instant(p.index.Pace(sallyport.MoveDuty, p.units[u].Gear)), back: duty.To}
	if duty.Unit != p.units[u].ID {
		a.part = duty.Unit
	}
	return a
}

// whyLost returns why the unit cannot be away then, in words; "" if it can.
// home is the first moment at which it is parked after what comes before.
func (p *problem) whyLost(u *unit, a *absence, home sallyport.Instant) string {
	latest := p.latest(a)
	off := u.OffRoad != sallyport.Window{} && a.back >= u.OffRoad.From && (u.OffRoad.To == 0 || latest < u.OffRoad.To)
	switch {
	case off:
		return u.Name + " is off the road then"
	case home > latest:
		return u.Name + " is not back in the park by " + latest.String()
	case u.Depart.To != 0 && a.back > u.Depart.To:
		return u.Name + " has to leave by " + u.Depart.To.String()
	}
	return ""
}

// addStays fills the stays of unit u between its absences, which begin at
// index first.
func (p *problem) addStays(u int32, first int) {
	un := &p.units[u]
	un.firstStay = int32(len(p.stays))
	before := none
	if first < len(p.absences) && p.absences[first].under {
		before, first = int32(first), first+1
	}
	for i := first; i < len(p.absences); i++ {
		p.stays = append(p.stays, stay{unit: u, in: none, out: none, before: before, after: int32(i)})
		before = int32(i)
	}
	p.stays = append(p.stays, stay{unit: u, in: none, out: none, before: before, after: none})
	un.endStay = int32(len(p.stays))
}

// happening is an event before it has its place in the order.
type happening struct {
	stay  int32
	out   bool
	kind  groupKind
	at    sallyport.Instant
	cause int32 // serial, or what else keeps events of one kind apart
	order int32 // place within its serial
}

// addEvents fills groups and events and numbers the stays' beginnings and ends.
func (p *problem) addEvents() {
	list := p.happenings()
	p.holdStrictOrder(list)
	slices.SortStableFunc(list, func(a, b happening) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(rankAtOnce(a.kind), rankAtOnce(b.kind)), cmp.Compare(a.kind, b.kind), cmp.Compare(a.cause, b.cause))
	})
	windows := p.resetOrder()
	groupOf := make([]int32, len(list))
	for i, h := range list {
		for len(windows) > 0 && p.show.Resets[windows[0]].From <= h.at {
			p.addReset(windows[0])
			windows = windows[1:]
		}
		if n := len(p.groups); i == 0 || n == 0 || !p.groups[n-1].holds(h, list[i-1]) {
			p.groups = append(p.groups, p.newGroup(h))
		}
		groupOf[i] = int32(len(p.groups) - 1)
		s := &p.stays[h.stay]
		if h.out {
			s.outGroup = groupOf[i]
		} else {
			s.inGroup = groupOf[i]
		}
	}
	for _, w := range windows {
		p.addReset(w)
	}
	for i := 0; i < len(list); {
		j := i
		for j < len(list) && groupOf[j] == groupOf[i] {
			j++
		}
		p.numberGroup(groupOf[i], list[i:j])
		i = j
	}
}

// rankAtOnce orders groups of one moment: who is there already, then who
// leaves, then who comes.
func rankAtOnce(k groupKind) int {
	switch k {
	case groupStart:
		return 0
	case groupOut, groupDuty, groupDepart, groupTow, groupClear:
		return 1
	}
	return 2
}

// holds reports whether h continues the group of the happening before it.
func (g *group) holds(h, before happening) bool {
	return g.kind == h.kind && g.at == h.at && before.cause == h.cause
}

func (p *problem) newGroup(h happening) group {
	g := group{kind: h.kind, at: h.at, day: int32(h.at.Day()), serial: none, window: none}
	switch h.kind {
	case groupStart:
		g.ordered = p.begin != nil
	case groupOut:
		g.serial = h.cause
		g.ordered = p.strict(h.cause)
	case groupHome:
		g.serial = h.cause
		g.ordered, _ = p.inOrder(h.cause)
	}
	return g
}

func (p *problem) addReset(w int32) {
	at := p.show.Resets[w].From
	n := int32(0)
	if len(p.groups) > 0 {
		n = p.groups[len(p.groups)-1].end
	}
	if len(p.resets) < 64 {
		p.resets = append(p.resets, int32(len(p.groups)))
	}
	p.groups = append(p.groups, group{kind: groupReset, at: at, day: int32(at.Day()), serial: none, window: w, first: n, end: n})
}

func (p *problem) resetOrder() []int32 {
	list := make([]int32, len(p.show.Resets))
	for i := range list {
		list[i] = int32(i)
	}
	slices.SortStableFunc(list, func(a, b int32) int { return cmp.Compare(p.show.Resets[a].From, p.show.Resets[b].From) })
	if p.begin != nil { // a window that has opened is left to who works in it
		list = slices.DeleteFunc(list, func(w int32) bool { return p.show.Resets[w].From <= p.begin.at })
	}
	return list
}

// numberGroup gives the happenings of one group their event numbers. In a
// free group who leaves next first, or is standby, is last to come in, and the surest starter
// is first to go out.
func (p *problem) numberGroup(g int32, list []happening) {
	gr := &p.groups[g]
	slices.SortStableFunc(list, func(a, b happening) int {
		if gr.ordered {
			return cmp.Compare(a.order, b.order)
		}
		sa, sb := &p.stays[a.stay], &p.stays[b.stay]
		if a.out {
			return cmp.Or(cmp.Compare(p.units[sa.unit].price.risk, p.units[sb.unit].price.risk), cmp.Compare(sa.unit, sb.unit))
		}
		return cmp.Or(cmp.Compare(p.urgency(b.stay), p.urgency(a.stay)), cmp.Compare(p.outOrder(b.stay), p.outOrder(a.stay)),
			cmp.Compare(p.units[sb.unit].price.risk, p.units[sa.unit].price.risk), cmp.Compare(sa.unit, sb.unit))
	})
	gr.first = int32(len(p.events))
	for _, h := range list {
		e := int32(len(p.events))
		p.events = append(p.events, event{stay: h.stay, group: g, out: h.out})
		if h.out {
			p.stays[h.stay].out = e
		} else {
			p.stays[h.stay].in = e
		}
	}
	gr.end = int32(len(p.events))
}

// leaving is the group in which the stay ends; one past all groups for a stay
// to the end.
func (p *problem) leaving(s int32) int32 {
	if g := p.stays[s].outGroup; g != none {
		return g
	}
	return int32(len(p.groups))
}

// urgency is leaving, but a standby unit must be free to go at any time: it
// comes before all others.
func (p *problem) urgency(s int32) int32 {
	if p.units[p.stays[s].unit].Standby {
		return none
	}
	return p.leaving(s)
}

// outOrder is the place in its serial of the entry that ends the stay.
func (p *problem) outOrder(s int32) int32 {
	if a := p.stays[s].after; a != none && len(p.absences[a].entries) > 0 {
		if e := p.absences[a].entries[0]; p.strict(e.serial) {
			return e.entry
		}
	}
	return 0
}

// happenings lists the beginnings and ends of all stays at their nominal
// moments.
func (p *problem) happenings() []happening {
	var list []happening
	for i := range p.stays {
		s := &p.stays[i]
		s.inGroup, s.outGroup = none, none
		list = append(list, p.beginning(int32(i)))
		if h, ok := p.ending(int32(i)); ok {
			list = append(list, h)
		}
	}
	if p.begin != nil {
		for i := range list {
			list[i].at = max(list[i].at, p.begin.at)
		}
	}
	return list
}

func (p *problem) beginning(i int32) happening {
	s := &p.stays[i]
	h := happening{stay: i}
	arrive := p.units[s.unit].Arrive
	w, stands := p.begins(i)
	switch {
	case stands:
		h.kind, h.order = groupStart, -w.order
	case s.before == none && arrive == sallyport.Window{}:
		h.kind = groupStart
	case s.before == none:
		h.kind, h.at, h.cause = groupArrive, arrive.From, int32(arrive.To)
	case p.absences[s.before].duty != none:
		h.kind, h.at = groupRelieve, p.absences[s.before].back
	case p.absences[s.before].stray:
		h.kind, h.at = groupBack, p.absences[s.before].back
	default:
		a := &p.absences[s.before]
		e := a.entries[len(a.entries)-1]
		h.kind, h.at, h.cause, h.order = groupHome, max(a.back, s.held), e.serial, p.homeOrder(e)
	}
	return h
}

// homeOrder is the entry's place in the order in which a column leaves its
// line on the way home.
func (p *problem) homeOrder(e entryAt) int32 {
	s := p.serial(e)
	n := e.entry
	if i := slices.Index(s.Leaving, s.Entries[e.entry].ID); i >= 0 {
		n = int32(i)
	}
	if _, tail := p.inOrder(e.serial); tail {
		return -n
	}
	return n
}

func (p *problem) ending(i int32) (happening, bool) {
	s := &p.stays[i]
	h := happening{stay: i, out: true}
	if s.after == none {
		depart := p.units[s.unit].Depart
		if p.begin != nil && p.begin.tow[p.units[s.unit].ID] {
			h.kind, h.at = groupTow, p.begin.at
			return h, true
		}
		if depart == (sallyport.Window{}) {
			return h, false
		}
		h.kind, h.at, h.cause = groupDepart, depart.From, int32(depart.To)
		if s.before != none {
			h.at = max(h.at, p.absences[s.before].back+1)
		}
		return h, true
	}
	a := &p.absences[s.after]
	h.at = a.out
	if a.stray {
		h.kind = groupClear
		return h, true
	}
	if a.duty != none {
		h.kind = groupDuty
		return h, true
	}
	if s.early != 0 {
		h.at = s.early
	}
	h.kind, h.cause, h.order = groupOut, a.entries[0].serial, a.entries[0].entry
	return h, true
}

// holdStrictOrder moves pull-outs onto strict lines later, until none comes
// before an earlier entry of its serial.
func (p *problem) holdStrictOrder(list []happening) {
	latest := make(map[int32][]*happening)
	var order []int32
	for i := range list {
		h := &list[i]
		if h.kind == groupOut && p.strict(h.cause) {
			if latest[h.cause] == nil {
				order = append(order, h.cause)
			}
			latest[h.cause] = append(latest[h.cause], h)
		}
	}
	for _, s := range order {
		hs := latest[s]
		slices.SortFunc(hs, func(a, b *happening) int { return cmp.Compare(a.order, b.order) })
		var at sallyport.Instant
		for _, h := range hs {
			at = max(at, h.at)
			h.at = at
			p.absences[p.stays[h.stay].after].out = at
		}
	}
}

// strict reports whether the serial forms up on a line that is filled in its
// order.
func (p *problem) strict(s int32) bool {
	l := p.index.Line(p.show.Serials[s].Line)
	return l != nil && l.Out == sallyport.OutStrict
}

// inOrder reports whether the serial's vehicles leave their line one after the
// other on the way home, and whether the last of the column leaves first.
func (p *problem) inOrder(s int32) (ordered, tailLeads bool) {
	l := p.index.Line(p.show.Serials[s].HomeLine)
	return l != nil && l.Home == sallyport.HomeInOrder, l != nil && l.TailLeads
}

// addLosses notes for every stay which entries would be lost if the unit
// could not get out: those of the day of its next entry.
func (p *problem) addLosses() {
	for u := range p.units {
		un := &p.units[u]
		var day int32
		var sum int64
		for s := un.endStay - 1; s >= un.firstStay; s-- {
			if a := p.stays[s].after; a != none {
				es := p.absences[a].entries
				for i := len(es) - 1; i >= 0; i-- {
					if d := int32(p.serial(es[i]).FormUp.Day()); d != day {
						day, sum = d, 0
					}
					sum += p.entryValue(es[i])
				}
			}
			p.stays[s].lossDay, p.stays[s].loss = day, sum
		}
	}
}

// addReserves notes at every stay of a reserve after which pull-outs its unit
// must have a free way out.
func (p *problem) addReserves(unitAt map[sallyport.UnitID]int32) {
	last := make(map[int32]int32)
	for g := range p.groups {
		if p.groups[g].kind == groupOut {
			last[p.groups[g].serial] = int32(g)
		}
	}
	for i := range p.show.Serials {
		g, ok := last[int32(i)]
		if !ok {
			continue
		}
		for _, e := range p.show.Serials[i].Entries {
			for _, r := range e.Reserves {
				if u, known := unitAt[r]; known {
					p.addCheck(u, g)
				}
			}
		}
	}
}

// addCheck adds the check of group g to the stay in which unit u is then.
func (p *problem) addCheck(u, g int32) {
	for s := p.units[u].firstStay; s < p.units[u].endStay; s++ {
		st := &p.stays[s]
		if st.inGroup <= g && (st.outGroup == none || st.outGroup > g) && !slices.Contains(st.checks, g) {
			st.checks = append(st.checks, g)
			slices.Sort(st.checks)
		}
	}
}
