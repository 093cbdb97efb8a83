package solve

import (
	"cmp"
	"context"
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
	r.begin.stay = notToBeMoved(r.index, m.State.At, slices.Concat(m.Issued.Happened, m.Happened))
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
	towing := make(map[sallyport.UnitID]*sallyport.Move)
	for _, m := range p.tows() {
		if slices.ContainsFunc(r.m.Rest, func(o sallyport.Move) bool { return o.Kind == m.Kind && o.Unit == m.Unit && o.To.Kind == m.To.Kind }) {
			continue // it was told
		}
		m.ID, m.Takes, m.Marshals = r.begin.newID("tow", m.Unit, len(plan.Moves)+1), r.index.Pace(m.Kind, r.index.Unit(m.Unit).Gear), 1
		if last := towing[m.Helper]; last != nil && m.Helper != "" {
			m.Start, m.After = max(m.Start, last.Ends()), []sallyport.Wait{{Move: last.ID}}
		}
		towing[m.Helper] = &m
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
