package solve

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"

	"sallyport"
)

// settled returns a board with the lanes of the last issue, or of another
// board, as far as they can be kept. Absences that cannot be served from what stands where are given up
// one by one until everybody has a place.
func (r *replanner) settled(p *problem, from *board) shiftedBoard {
	for {
		x := r.keepLanes(p, from)
		give, why := r.toGiveUp(x.b)
		give = slices.DeleteFunc(give, func(k absenceKey) bool { return p.begin.given[k] != "" })
		if len(give) == 0 {
			return x
		}
		given := make(map[absenceKey]string, len(p.begin.given)+1)
		for k, v := range p.begin.given {
			given[k] = v
		}
		for _, key := range give {
			given[key] = why
		}
		begin := *p.begin
		begin.given = given
		p, from = compileFrom(p.show, p.index, &begin), x.b
	}
}

// keepLanes returns the board of the last issue's lanes, or those of another
// board; who finds no place there goes where it costs least, and if there is
// none is looked for for a while.
func (r *replanner) keepLanes(p *problem, from *board) shiftedBoard {
	rest := &sallyport.Plan{Moves: r.m.Rest}
	list := p.shiftsOf(rest)
	q, ok := p.shifted(list)
	if !ok {
		q, list = p.mostShifts(list)
	}
	st := &stream{p: q, b: newBoard(q), rnd: rand.New(rand.NewPCG(r.opt.Seed, 0))}
	st.b.wishes = r.wishes(q)
	q.sortedIn(rest, st.b.sorted)
	w := newWhereabouts(rest)
	wanted := func(u int32) []int32 { return q.carriedPlaces(w, u) }
	if from != nil {
		spent := from.spent()
		wanted = func(u int32) []int32 { return q.placesOf(spent, w, u) }
	}
	for u := range q.units {
		if places := wanted(int32(u)); q.mayAll(int32(u), places) {
			for i, pl := range places {
				st.b.put(q.units[u].firstStay+int32(i), pl)
			}
		}
	}
	off := st.b.countAll(st.b.clearCarried)
	slices.SortStableFunc(off, func(a, b int32) int { return cmp.Compare(q.placingOrder(a), q.placingOrder(b)) })
	var late []int32
	for _, u := range off {
		places := wanted(u)
		st.route.wish = func(s int32) int32 { return q.laneAt(places[s-q.units[u].firstStay]) }
		st.reroute([]int32{u})
		if st.b.homeless(u) != none {
			st.b.take(u)
			st.route.wish = nil
			st.reroute([]int32{u})
			if st.b.homeless(u) != none {
				late = append(late, u)
			}
		}
	}
	st.route.wish = nil
	for _, u := range late {
		st.b.take(u)
	}
	st.reroute(late)
	if st.b.total >= lostUnit {
		st = r.lookFor(st)
	}
	r.steps += st.b.steps
	return shiftedBoard{b: st.b, list: list}
}

// lookFor searches a while for places for those who have none.
func (r *replanner) lookFor(st *stream) *stream {
	better := newStream(st.p, r.opt, 0)
	better.b, better.best = st.b, st.b.clone()
	better.floor = anyWorkable
	for n := 0; n < lookTries && better.b.total >= lostUnit && r.ctx.Err() == nil; n++ {
		better.units = better.aroundHomeless(better.units[:0])
		better.attempt()
	}
	return better
}

// lookTries is how often a few vehicles are put elsewhere to find a place for
// one who has none.
const lookTries = 150

// stayKey names a stay by its unit and what it comes from.
type stayKey struct {
	unit   sallyport.UnitID
	before absenceKey
}

func (p *problem) stayKeyOf(s int32) stayKey {
	st := &p.stays[s]
	k := stayKey{unit: p.units[st.unit].ID}
	if st.before != none {
		k.before = p.keyOf(&p.absences[st.before])
	}
	return k
}

// spent returns where stays are spent on a board.
func (b *board) spent() map[stayKey]int32 {
	m := make(map[stayKey]int32, len(b.choice))
	for s, pl := range b.choice {
		if pl != none {
			m[b.p.stayKeyOf(int32(s))] = pl
		}
	}
	return m
}

// placesOf is where unit u spends its stays by another board of the same park,
// and where that says nothing by the last issue.
func (p *problem) placesOf(spent map[stayKey]int32, w *whereabouts, u int32) []int32 {
	places := p.carriedPlaces(w, u)
	for i := range places {
		s := p.units[u].firstStay + int32(i)
		if pl, ok := spent[p.stayKeyOf(s)]; ok && slices.Contains(p.stays[s].places, pl) {
			places[i] = pl
		}
	}
	return places
}

// clearCarried takes units off a lane until it can be played. Who comes into
// it is taken off before who stands there, and who only stands there last; of
// equals the last to come.
func (b *board) clearCarried(l int32) {
	for firmest := range 3 {
		for i := len(b.events[l]) - 1; i >= 0 && b.lanes[l] >= impossible; i = min(i, len(b.events[l])) - 1 {
			if u := b.p.stays[b.p.events[b.events[l][i]].stay].unit; b.p.firm(u, l) <= firmest {
				b.take(u)
			}
		}
	}
}

// firm is how firmly unit u belongs to lane l when the plan begins: 0 when it
// stands elsewhere, 2 when it stands there and goes nowhere any more.
func (p *problem) firm(u, l int32) int {
	w, ok := p.begins(p.units[u].firstStay)
	switch {
	case !ok || w.lane != p.lanes[l].id:
		return 0
	case p.units[u].endStay-p.units[u].firstStay > 1:
		return 1
	}
	return 2
}

// placingOrder is in what order units are put on a board: who stands in a lane
// before who comes, the nearest to the mouth first, so that who is shut in is
// the one that finds no place.
func (p *problem) placingOrder(u int32) int32 {
	if w, ok := p.begins(p.units[u].firstStay); ok {
		return w.order
	}
	return unlimited
}

// carriedPlaces is where unit u spends its stays by the last issue.
func (p *problem) carriedPlaces(w *whereabouts, u int32) []int32 {
	places := w.places(p, u)
	un := &p.units[u]
	first := un.firstStay
	switch at, ok := p.begins(first); {
	case ok:
		open := p.stays[first].places
		if len(open) > 0 && !slices.Contains(open, places[0]) {
			places[0] = open[0]
			out, left := w.out[p.turn(un, p.stays[first].after, false)]
			for _, pl := range open {
				if left && p.places[pl].outTail == (out.End == sallyport.Tail) {
					places[0] = pl
				}
			}
		}
		for i := 1; i < len(places) && p.lanes[p.places[places[0]].lane].id == at.lane; i++ {
			if places[i] == none {
				places[i] = p.placeWith(p.places[places[0]].lane, false, false)
			}
		}
	case p.stays[first].before != none && p.absences[p.stays[first].before].stray:
		places[0] = none
		for _, m := range p.begin.rest {
			if m.Unit == un.ID && m.To.Kind == sallyport.InLane {
				l := slices.IndexFunc(p.lanes, func(l lane) bool { return string(l.id) == m.To.ID })
				places[0] = p.placeWith(int32(l), m.To.End == sallyport.Tail, false)
				break
			}
		}
	}
	for i := range places {
		if places[i] == none && i > 0 {
			places[i] = places[i-1]
		}
	}
	return places
}

// wishes prices stays in other lanes than the last issue said.
func (r *replanner) wishes(p *problem) *wishes {
	w := &wishes{lanes: p.sketched(sallyport.SketchOf(r.m.Issued)), amount: int64(p.weights.Issue), told: true}
	for s := range w.lanes {
		st := &p.stays[s]
		if st.before == none || p.absences[st.before].stray {
			w.lanes[s] = none
		}
	}
	return w
}

// toGiveUp returns absences that have to be given up so that a unit which has
// no place for some stay finds one, and why; none when everybody has.
func (r *replanner) toGiveUp(b *board) ([]absenceKey, string) {
	p := b.p
	for u := range p.units {
		if give, why := p.tooOften(int32(u)); len(give) > 0 {
			return give, why
		}
		if b.homeless(int32(u)) == none {
			continue
		}
		if give, why := r.without(b, int32(u)); len(give) > 0 {
			return give, why
		}
	}
	return nil, ""
}

// tooOften returns the absence that a unit gives up which would run more often
// on a day than it may, counted as the judge does: the least valuable of the
// first such day, of equals the last.
func (p *problem) tooOften(u int32) ([]absenceKey, string) {
	un := &p.units[u]
	if un.MaxRuns == 0 {
		return nil, ""
	}
	lost := make(map[sallyport.EntryID]bool)
	for _, l := range p.lost {
		lost[p.entry(l.entry).ID] = true
	}
	runs := make(map[int]int)
	for _, ref := range p.index.EntriesOf(un.ID) {
		if !lost[ref.Entry.ID] {
			runs[ref.Serial.ArenaIn.Day()]++
		}
	}
	for _, d := range p.index.DutiesOf(un.ID) {
		runs[d.From.Day()]++
	}
	pick := none
	for s := un.firstStay; s < un.endStay; s++ {
		a := p.stays[s].after
		if a == none || p.absences[a].duty != none || runs[p.latest(&p.absences[a]).Day()] <= un.MaxRuns {
			continue
		}
		if pick == none || p.absences[a].value <= p.absences[pick].value && p.latest(&p.absences[a]).Day() == p.latest(&p.absences[pick]).Day() {
			pick = a
		}
	}
	if pick == none {
		return nil, ""
	}
	return []absenceKey{p.keyOf(&p.absences[pick])}, fmt.Sprintf("%s may run %s a day at most", un.Name, sallyport.Times(un.MaxRuns))
}

// without returns which absence of a unit is to be given up: the one after the
// first stay that finds no place, else the one before it; of a unit that has
// none left, those of who stand behind it.
func (r *replanner) without(b *board, u int32) ([]absenceKey, string) {
	p := b.p
	un := &p.units[u]
	b.take(u)
	st := &stream{p: p, b: b, rnd: rand.New(rand.NewPCG(r.opt.Seed, 0))}
	st.route.find(b, u, st.rnd)
	for i := range un.endStay - un.firstStay {
		if st.route.pick[i] != none {
			continue
		}
		s := &p.stays[un.firstStay+i]
		if s.after != none {
			return []absenceKey{p.keyOf(&p.absences[s.after])}, r.whyGiven(p, un.firstStay+i)
		}
		if s.before != none && !p.absences[s.before].under {
			return []absenceKey{p.keyOf(&p.absences[s.before])}, un.Name + " finds no room in the lanes afterwards"
		}
		break
	}
	w, ok := p.begins(un.firstStay)
	if !ok {
		return nil, ""
	}
	var give []absenceKey
	for v := range p.units {
		o, in := p.begins(p.units[v].firstStay)
		if !in || o.lane != w.lane || o.order == w.order {
			continue
		}
		for s := p.units[v].firstStay; s < p.units[v].endStay; s++ {
			if a := p.stays[s].after; a != none {
				give = append(give, p.keyOf(&p.absences[a]))
			}
		}
	}
	return give, "it is shut in by " + un.Name
}

// whyGiven says why the absence after stay s is given up.
func (r *replanner) whyGiven(p *problem, s int32) string {
	un := &p.units[p.stays[s].unit]
	w, ok := p.begins(s)
	if !ok {
		return un.Name + " cannot get into a lane and out again in time"
	}
	var before []sallyport.UnitID
	for _, x := range p.begin.state.Lanes[w.lane] {
		if x.Unit == un.ID {
			break
		}
		if o := p.index.Unit(x.Unit); o.OffRoadAt(p.begin.at) {
			before = append(before, x.Unit)
		}
	}
	if len(before) == 0 {
		return un.Name + " cannot get out of lane " + string(w.lane)
	}
	return un.Name + " is shut in by " + p.index.Names(before)
}
