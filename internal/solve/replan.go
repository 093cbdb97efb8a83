package solve

import (
	"cmp"
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"sallyport"
)

// Moment is where a show is replanned from: what stands where, and what has
// happened, both as sallyport.Apply has them, and how the last issue went on.
type Moment struct {
	Show     *sallyport.Show // complete, with what has happened
	State    sallyport.State // likewise
	Happened []sallyport.Happening
	Issued   *sallyport.Plan  // the last issue
	Past     []sallyport.Move // its moves made by now
	Rest     []sallyport.Move // and those it still had to come
}

// Continuation is a plan that goes on from a moment, with its judgement.
type Continuation struct {
	Plan    *sallyport.Plan
	Report  sallyport.Report // its cost has the changes from the last issue in it
	Show    *sallyport.Show  // as happened, with the reserves that take entries
	Why     []string         // who or what cannot be served, and why
	Carried bool             // the moves of the last issue, save those of who has dropped out
	Steps   int64
	Elapsed time.Duration
}

// Workable reports whether the continuation breaks no rule but that entries
// and duties are lost, or reserves shut in, where nobody can help it.
func (c *Continuation) Workable() bool { return c.faults() == 0 }

// helpless are the rules that what has happened may break for good.
var helpless = []sallyport.Rule{sallyport.RuleUnserved, sallyport.RuleDuty, sallyport.RuleReserve}

// Helpless reports whether a fault of a continuation is told, but is none of
// the plan: an entry or duty lost, a reserve shut in.
func Helpless(f sallyport.Fault) bool { return slices.Contains(helpless, f.Rule) }

func (c *Continuation) faults() int {
	n := 0
	for _, f := range c.Report.Faults {
		if !Helpless(f) {
			n++
		}
	}
	return n
}

// broken counts the faults of one rule.
func (c *Continuation) broken(rule sallyport.Rule) int {
	n := 0
	for _, f := range c.Report.Faults {
		if f.Rule == rule {
			n++
		}
	}
	return n
}

// compare orders continuations: whether they are workable, the value of what
// is lost, duties, reserves, faults, then what is left to pay, telling people included.
func (c *Continuation) compare(o *Continuation) int {
	return cmp.Or(
		cmp.Compare(min(c.faults(), 1), min(o.faults(), 1)),
		cmp.Compare(c.Report.Cost.Lost, o.Report.Cost.Lost), cmp.Compare(c.broken(sallyport.RuleDuty), o.broken(sallyport.RuleDuty)),
		cmp.Compare(c.broken(sallyport.RuleReserve), o.broken(sallyport.RuleReserve)),
		cmp.Compare(c.faults(), o.faults()), cmp.Compare(c.Report.Cost.Total, o.Report.Cost.Total))
}

// DefaultReplanSteps is the budget of Replan when Options gives none; with
// fewer than none there is no search, only what comes before it.
const DefaultReplanSteps int64 = 20_000_000

// Replan looks for the cheapest continuation from a moment, the cost of
// telling people included: first the moves of the last issue carried on
// without who has dropped out, then the same lanes as far as they can be kept,
// then a search from there. report, which may be nil, is given the first
// continuation and every better one, without what delays would do to it. What
// is no better than the last issue
// never takes its place. Of Options it uses Seed, Steps, Workers, NoResets,
// NoHolds and Now.
//
// When ctx ends it returns the best so far; there is always one.
func Replan(ctx context.Context, m Moment, opt Options, report func(*Continuation)) *Continuation {
	r := &replanner{ctx: ctx, m: m, opt: opt, report: report, index: sallyport.NewIndex(m.Show)}
	if opt.Now != nil {
		r.began = opt.Now()
	}
	r.begin = newBeginning(r.index, m.State, m.Issued, m.Past, m.Rest)
	p := compileFrom(m.Show, r.index, r.begin)
	r.offer(r.carriedOn(p))
	best := r.settled(p, nil)
	if r.best == nil || !r.best.Workable() || r.best.Report.Cost.Lost > 0 || !r.best.Carried {
		r.offer(r.laid(best))
	}
	best = r.save(best)
	r.tellBest()
	if ctx.Err() == nil && opt.Steps >= 0 {
		r.improve(best)
	}
	return r.checked(r.best)
}

// replanner is one run of Replan.
type replanner struct {
	ctx    context.Context
	m      Moment
	opt    Options
	report func(*Continuation)
	index  *sallyport.Index
	begin  *beginning
	took   []sallyport.Happening // reserves that take entries
	best   *Continuation
	told   bool // the best has been reported
	steps  int64
	began  time.Time
}

// offer takes a continuation over when it is better than the best so far.
func (r *replanner) offer(c *Continuation) {
	if c == nil || r.best != nil && c.compare(r.best) >= 0 {
		return
	}
	r.best = c
	if r.told {
		r.tellBest()
	}
}

// tellBest reports the best continuation, from now on every time there is a
// better one. The first is held until what could win back entries has been
// tried: that takes a few hundredths of a second, and nobody is to be told of
// a loss that is none.
func (r *replanner) tellBest() {
	r.told = true
	r.best.Steps = r.steps
	if r.opt.Now != nil {
		r.best.Elapsed = r.opt.Now().Sub(r.began)
	}
	if r.report != nil {
		r.report(r.best)
	}
}

// judged judges a plan as a continuation.
func (r *replanner) judged(p *problem, plan *sallyport.Plan) *Continuation {
	plan.Happened = slices.Concat(r.m.Issued.Happened, r.m.Happened, r.took)
	return &Continuation{Plan: plan, Show: p.show, Report: sallyport.Report{
		Faults: sallyport.Faults(p.show, plan), Cost: sallyport.EvaluateSince(p.show, plan, r.m.Issued),
		Assumed: p.show.Assumed,
	}}
}

// checked completes the judgement of a continuation with what delays would do
// to it.
func (r *replanner) checked(c *Continuation) *Continuation {
	cost := c.Report.Cost
	c.Report = sallyport.Check(c.Show, c.Plan)
	c.Report.Cost = cost
	return c
}

// carriedOn returns the moves of the last issue without those of absences that
// cannot be any more, with broken-down vehicles towed away; nil when rules
// are broken then.
func (r *replanner) carriedOn(p *problem) *Continuation {
	kept := make(map[absenceKey]bool)
	inSerial := make(map[sallyport.SerialID]map[sallyport.UnitID]bool)
	for i := range p.absences {
		a := &p.absences[i]
		kept[p.keyOf(a)] = true
		for _, e := range a.entries {
			s := p.serial(e)
			if inSerial[s.ID] == nil {
				inSerial[s.ID] = map[sallyport.UnitID]bool{}
			}
			inSerial[s.ID][p.units[a.unit].ID] = true
		}
	}
	dropped := make(map[sallyport.MoveID]bool)
	plan := &sallyport.Plan{Format: sallyport.FormatPlan, Show: p.show.Name, Moves: []sallyport.Move{}}
	for _, m := range p.tows() {
		m.ID, m.Takes, m.Marshals = sallyport.MoveID(fmt.Sprintf("tow%d-%s", len(plan.Moves)+1, m.Unit)), r.index.Pace(m.Kind, r.index.Unit(m.Unit).Gear), 1
		plan.Moves = append(plan.Moves, m)
	}
	for _, m := range r.m.Rest {
		u := r.index.Standing(m.Unit)
		switch m.Kind {
		case sallyport.MoveOut, sallyport.MoveHome:
			units := m.Units
			m.Units = slices.DeleteFunc(slices.Clone(units), func(id sallyport.UnitID) bool { return !inSerial[m.Serial][r.index.Standing(id)] })
			if len(m.Units) == 0 {
				dropped[m.ID] = true
				continue
			}
		case sallyport.MovePullOut, sallyport.MoveReturn, sallyport.MoveAcross, sallyport.MoveShift, sallyport.MovePart, sallyport.MoveCouple:
			if !inSerial[m.Serial][u] {
				dropped[m.ID] = true
				continue
			}
		case sallyport.MoveDuty, sallyport.MoveRelieve:
			if !kept[absenceKey{unit: u, duty: m.Duty}] {
				dropped[m.ID] = true
				continue
			}
		}
		plan.Moves = append(plan.Moves, m)
	}
	if len(dropped) > 0 {
		for i := range plan.Moves {
			plan.Moves[i].After = slices.DeleteFunc(slices.Clone(plan.Moves[i].After), func(w sallyport.Wait) bool { return dropped[w.Move] || dropped[w.Begun] })
		}
	}
	slices.SortStableFunc(plan.Moves, func(a, b sallyport.Move) int { return cmp.Compare(a.Start, b.Start) })
	state := r.m.State
	plan.Key, plan.Start, plan.From, plan.Past = r.m.Issued.Key, r.m.Issued.Start, &state, r.m.Past
	for _, l := range p.lost {
		plan.Unserved = append(plan.Unserved, p.entry(l.entry).ID)
	}
	// What the last issue gives up stays given up: nothing brings it there.
	for _, id := range r.m.Issued.Unserved {
		if r.index.Entry(id) != nil && !slices.Contains(plan.Unserved, id) {
			plan.Unserved = append(plan.Unserved, id)
		}
	}
	c := r.judged(p, plan)
	c.Carried, c.Why = true, p.whyLostEntries()
	if !c.Workable() || !p.allHome(plan) {
		return nil
	}
	return c
}

// allHome reports whether everybody who is out when the plan begins comes back
// to a lane, and nobody has to clear one that is not cleared.
func (p *problem) allHome(plan *sallyport.Plan) bool {
	home := make(map[sallyport.UnitID]bool)
	for i := range plan.Moves {
		if m := &plan.Moves[i]; m.To.Kind == sallyport.InLane || m.Kind == sallyport.MoveDepart {
			home[p.index.Standing(m.Unit)] = true
		}
	}
	for u := range p.units {
		if st := &p.stays[p.units[u].firstStay]; st.before != none && p.absences[st.before].under && !home[p.units[u].ID] {
			return false
		}
	}
	return true
}

// whyLostEntries says why entries cannot be served, in words.
func (p *problem) whyLostEntries() []string {
	only := &problem{show: p.show, index: p.index, lost: p.lost}
	return only.why(newBoard(only))
}

// laid writes a board out as a continuation.
func (r *replanner) laid(x shiftedBoard) *Continuation {
	p := x.b.p
	plan := p.plan(x.b)
	plan.Key = sallyport.Key{Version: Version, Seed: r.opt.Seed, Steps: r.steps, Show: fingerprint(p.show)}
	moves, missing := Lay(p.show, *plan.From, plan.Moves)
	plan.Moves = moves
	c := r.judged(p, plan)
	if !c.Report.Workable() {
		c.Why = p.why(x.b)
	}
	if c.faults() > 0 {
		c.Why = append(c.Why, missing...)
	}
	return c
}

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
	off := st.b.countCarried()
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

// countCarried counts the whole board, takes units off it whose lanes cannot
// be played, and returns all that have no place then. Who comes into such a
// lane is taken off before who stands there, and who only stands there last;
// of equals the last to come.
func (b *board) countCarried() []int32 {
	for l := range b.events {
		b.countLane(int32(l))
	}
	for u := range b.p.units {
		b.countUnit(int32(u))
	}
	b.countPairs()
	for l := range b.events {
		for firmest := range 3 {
			for i := len(b.events[l]) - 1; i >= 0 && b.lanes[l] >= impossible; i = min(i, len(b.events[l])) - 1 {
				if u := b.p.stays[b.p.events[b.events[l][i]].stay].unit; b.p.firm(u, int32(l)) <= firmest {
					b.take(u)
				}
			}
		}
	}
	var list []int32
	for u := range b.p.units {
		if b.homeless(int32(u)) != none {
			list = append(list, int32(u))
		}
	}
	return list
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
	return []absenceKey{p.keyOf(&p.absences[pick])}, fmt.Sprintf("%s may run %d times a day at most", un.Name, un.MaxRuns)
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

// improve searches on from a board until the budget is spent.
func (r *replanner) improve(x shiftedBoard) {
	opt := r.opt
	if opt.Steps <= 0 {
		opt.Steps = DefaultReplanSteps
	}
	s := newSearch(r.ctx, x.b.p, opt, nil)
	s.streams = s.streams[:min(streams, len(s.streams))]
	s.base = compileFrom(x.b.p.show, x.b.p.index, x.b.p.begin)
	s.adopt(x)
	for _, st := range s.streams {
		st.b.copyFrom(x.b)
		st.best.copyFrom(x.b)
	}
	next := r.steps + judgeSteps
	before := r.steps
	for s.steps < s.budget && r.ctx.Err() == nil && s.best.worth() > 0 {
		s.each(func(st *stream) { st.improve(r.ctx, roundSteps) })
		s.merge("improving")
		if r.steps = before + s.steps; r.steps >= next {
			r.offer(r.laid(shiftedBoard{b: s.best, list: s.shifts}))
			next = r.steps * 3 / 2
		}
		if s.stale == staleRounds-1 && s.holds.rounds == 0 {
			s.shiftRound()
		}
	}
	if s.holds.rounds == 0 {
		s.lastShifts()
	}
	r.offer(r.laid(shiftedBoard{b: s.best, list: s.shifts}))
	s.inTime()
	r.steps = before + s.steps
	r.offer(r.laid(shiftedBoard{b: s.best, list: s.shifts}))
}

// judgeSteps is after how many steps the best board is judged for the first
// time; then whenever half as many more are made.
const judgeSteps = 2 * roundSteps
