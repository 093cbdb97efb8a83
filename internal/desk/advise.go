package desk

import (
	"context"
	"slices"
	"time"

	"sallyport"
	"sallyport/internal/solve"
)

// AdviseOptions says what to look for and how long.
type AdviseOptions struct {
	Plan PlanOptions // seed, workers, and steps or a limit of time for all work together

	Most int      // most changes at once: 1, 2 or 3; 0: none is looked for
	Top  int      // sets told of each size; 0: 3
	Only []string // kinds of change, by name; none: all
	Keep []string // ids of vehicles, entries, serials, lanes and lines that are left alone
	Also []Variant
}

// Variant is a show that somebody has changed by hand, to be planned beside
// the others.
type Variant struct {
	Name string
	Show *sallyport.Show // as given
}

// Advice is a set of changes with the plan that follows from it.
type Advice struct {
	Changes []Change        `json:"changes"`
	Heavy   bool            `json:"asks_much"` // the public misses something, or there must be more ground
	Answer  *Answer         `json:"-"`         // planned again with them
	Show    *sallyport.Show `json:"-"`         // as given, with the changes
	Saves   int64           `json:"saves"`
	Mends   int             `json:"mends"` // faults fewer, of a plan that is not workable
	Terms   []TermChange    `json:"terms"` // in which terms of the cost
	Stays   int             `json:"stays"` // spent in another lane than before
	Row     Row             `json:"row"`
}

// TermChange is what a term of the cost is without and with a set of changes.
type TermChange struct {
	Term   string `json:"term"`
	Before int64  `json:"before"`
	After  int64  `json:"after"`
}

// Advised is what Advise has found.
type Advised struct {
	Present Row      `json:"present"` // the plan as it was
	Base    *Answer  `json:"-"`       // the best plan found of the show as it is: what savings are counted from
	BaseRow Row      `json:"base"`
	Sets    []Advice `json:"sets"`    // fewest changes first, of as many those that save most; what asks much last
	Also    []Row    `json:"also"`    // variants made by hand
	Looked  int      `json:"looked"`  // sets of changes looked at
	Planned int      `json:"planned"` // of these planned to the end
	LeftOut int      `json:"left_out"`
	// NotTried are kinds of change that were not looked for.
	NotTried    []string `json:"not_tried"`
	Interrupted bool     `json:"interrupted,omitempty"`

	made []Planned // the variants made by hand
}

// How many sets are looked at and planned when nothing is said of the budget.
// A budget of steps makes each plan longer or shorter; a limit of time lets
// there be as many times as many as usualLimit goes into it.
const (
	mostLooks   = 400 // single changes
	mostSingles = 8   // of the order of events, and as many of the park
	mostHeavy   = 4   // of the kinds that ask much
	mostPairs   = 8
	mostTriples = 4
	partners    = 8 // best singles of which pairs are made
	underLimit  = 5 // at most

	usualLimit = 20 * time.Second
)

// stages are by when, in percent of a limit of time, each part of the work is
// over.
var stages = [...]int64{atBase: 15, atLooks: 50, atSingles: 75, 2: 90, 3: 100}

// The parts of the work before sets of two and of three are made.
const (
	atBase    = 0
	atLooks   = 1
	atSingles = 4
)

// adviser is one run of Advise.
type adviser struct {
	h       *history
	given   *sallyport.Show
	opt     AdviseOptions
	planner *Planner
	more    int // times as many plans as usual
	base    *Answer
	best    []candidate // planned to the end, better than the base
	out     *Advised
	report  func(Working)
}

// Working is a sign of life of Advise.
type Working struct {
	Doing     string
	Done, All int
	Best      sallyport.Amount // most saved so far, as far as lanes decide it
}

// candidate is a set of changes on its way.
type candidate struct {
	changes []Change
	heavy   bool // asks much
	events  bool // of single changes: of the order of events
	given   *sallyport.Show
	show    *sallyport.Show // complete
	look    *solve.Outlook
	answer  *Answer
}

// Advise looks for the smallest sets of changes to the order of events or the
// park with which a plan costs less. given is the show as it was given, show
// the same completed, present its plan. Candidates come from what forces the
// plan's costs; each is looked at by a short search that goes on from the
// present plan, the best are planned to the end and judged. The show as it is
// gets searches as long, from its own plan and from those of the changed
// shows, so that nothing is put down to a change that only a longer search has
// found. Seed and steps decide the result; a limit of time promises nothing of
// the kind. When ctx ends, what there is by then is returned as interrupted.
func Advise(ctx context.Context, given, show *sallyport.Show, present *Answer, opt AdviseOptions, report func(Working)) (*Advised, error) {
	kinds, err := kindsNamed(opt.Only)
	if err != nil {
		return nil, err
	}
	if present.Plan.From != nil {
		return nil, sallyport.Errorf(sallyport.CodeInput, "give a plan of the whole show", "the plan goes on from %s only", show.When(present.Plan.From.At))
	}
	if opt.Top == 0 {
		opt.Top = 3
	}
	a := &adviser{
		h: newHistory(show, present.Plan), given: withEntryIDs(given, show), opt: opt, more: 1, report: report,
		out: &Advised{Present: RowOf(present, "as it is"), NotTried: notTried, Sets: []Advice{}, Also: []Row{}},
	}
	if opt.Plan.Limit > 0 {
		a.more = int(min(underLimit, max(1, opt.Plan.Limit/usualLimit)))
	}
	a.planner = NewPlanner(opt.Plan)
	limited := a.limits(ctx)
	defer func() {
		for _, l := range limited {
			l.cancel()
		}
	}()
	if err := a.rebase(limited[atBase].ctx, present); err != nil {
		return nil, err
	}
	if err := a.also(limited[atSingles].ctx); err != nil {
		return nil, err
	}
	if opt.Most > 0 {
		events, park, heavy := a.lookAtSingles(limited[atLooks].ctx, kinds)
		list := append(a.promising(events, mostSingles), a.promising(park, mostSingles)...)
		slices.SortStableFunc(list, func(x, y candidate) int { return compareLooks(x.look, y.look) })
		a.refine(limited[atSingles].ctx, append(list, a.promising(heavy, mostHeavy)...), "planning the best single changes")
	}
	for n := 2; n <= opt.Most; n++ {
		a.combine(limited[n].ctx, n)
	}
	a.out.BaseRow = RowOf(a.base, "as it is")
	if a.base != present {
		a.out.BaseRow.Variant = "as it is, planned again"
	}
	a.finish(present)
	a.out.Interrupted = ctx.Err() != nil
	return a.out, nil
}

type limit struct {
	ctx    context.Context
	cancel context.CancelFunc
}

// limits returns a context for each stage.
func (a *adviser) limits(ctx context.Context) []limit {
	var list []limit
	for _, percent := range stages {
		l := limit{ctx, func() {}}
		if a.opt.Plan.Limit > 0 {
			l.ctx, l.cancel = context.WithTimeout(ctx, a.opt.Plan.Limit*time.Duration(percent)/100)
		}
		list = append(list, l)
	}
	return list
}

// withEntryIDs returns a copy of the show as given in which entries have the
// ids that the complete show gives them, so that they can change serials.
func withEntryIDs(given, show *sallyport.Show) *sallyport.Show {
	c := copyShow(given)
	for i := range c.Serials {
		for j := range c.Serials[i].Entries {
			c.Serials[i].Entries[j].ID = show.Serials[i].Entries[j].ID
		}
	}
	return c
}

// rebase plans the show as it is again, from its present plan with several
// seeds; the best of these plans is what savings are counted from.
func (a *adviser) rebase(ctx context.Context, present *Answer) error {
	a.base = present
	const seeds = 3
	answers := make([]*Answer, seeds)
	errs := make([]error, seeds)
	a.say("planning the show as it is", 0, 1)
	inParallel(ctx, seeds, a.opt.Plan.Workers, func(i int) {
		answers[i], errs[i] = a.planner.Plan(ctx, a.h.show, present.Plan, a.opt.Plan.Seed+uint64(i))
	})
	for i, x := range answers {
		if errs[i] != nil {
			return errs[i]
		}
		if x != nil && ctx.Err() == nil {
			a.rebased(x)
		}
	}
	return nil
}

// rebased takes a plan of the show as it is over as the base if it is better.
func (a *adviser) rebased(x *Answer) {
	bound := max(a.base.Bound, x.Bound)
	if better(x, a.base) < 0 {
		a.base = x
	}
	if a.base.Report.Cost.Lost == x.Report.Cost.Lost {
		a.base.Bound = bound
	}
}

// also plans the variants that were made by hand, as long as the base.
func (a *adviser) also(ctx context.Context) error {
	for _, v := range a.opt.Also {
		show := sallyport.Complete(v.Show)
		x, err := a.planner.Plan(ctx, show, a.base.Plan, a.opt.Plan.Seed)
		if err != nil {
			return err
		}
		x.Title = v.Name
		a.out.made = append(a.out.made, Planned{v.Show, x})
		a.out.Also = append(a.out.Also, RowOf(x, v.Name))
	}
	return nil
}

func (a *adviser) say(doing string, done, all int) {
	if a.report == nil {
		return
	}
	w := Working{Doing: doing, Done: done, All: all}
	for _, c := range a.best {
		w.Best = max(w.Best, a.saves(c))
	}
	a.report(w)
}

// saves is what a planned candidate costs less than the base.
func (a *adviser) saves(c candidate) sallyport.Amount {
	return a.base.Report.Cost.Total - c.answer.Report.Cost.Total
}

// finish puts the sets together that are worth telling: of each size those
// that save most, and those that leave fewest moves aside, resets, changes of
// lane, least waiting or risk; of larger sets only what is better so than every
// smaller one. What asks much comes last.
func (a *adviser) finish(present *Answer) {
	a.best = slices.DeleteFunc(a.best, func(c candidate) bool { return !a.worth(c) })
	slices.SortStableFunc(a.best, func(x, y candidate) int { return better(x.answer, y.answer) })
	var told []Row
	for _, family := range families {
		smaller, n := told, 0
		for _, c := range a.best {
			if !family(c) {
				continue
			}
			x := a.advice(c, present)
			leads := x.Row.leads(append(slices.Clone(told), a.out.BaseRow))
			if n < a.opt.Top && (len(c.changes) == 1 || x.Row.cheapest(smaller)) || n >= a.opt.Top && n < 2*a.opt.Top && leads {
				n++
				a.out.Sets = append(a.out.Sets, x)
				told = append(told, x.Row)
			}
		}
	}
	a.out.Base = a.base
}

// families are the sorts of set in the order in which they are told.
var families = []func(c candidate) bool{
	func(c candidate) bool { return len(c.changes) == 1 && c.events && !c.heavy },
	func(c candidate) bool { return len(c.changes) == 1 && !c.events && !c.heavy },
	func(c candidate) bool { return len(c.changes) == 2 },
	func(c candidate) bool { return len(c.changes) == 3 },
	func(c candidate) bool { return c.heavy },
}

// worth reports whether a planned candidate may be told: it is no worse to
// work with than the show as it is, serves as much, and costs less.
func (a *adviser) worth(c candidate) bool {
	base, r := a.base.Report, c.answer.Report
	switch {
	case !r.Workable():
		return !base.Workable() && len(r.Faults) < len(base.Faults) && r.Cost.Lost <= base.Cost.Lost
	case !base.Workable():
		return true
	}
	return r.Cost.Less(base.Cost)
}

// advice describes a planned candidate beside the base.
func (a *adviser) advice(c candidate, present *Answer) Advice {
	cost := c.answer.Report.Cost
	x := Advice{Changes: c.changes, Heavy: c.heavy, Answer: c.answer, Show: c.given, Saves: int64(a.saves(c)), Row: RowOf(c.answer, count(len(c.changes), "change", "changes"))}
	x.Mends = len(a.base.Report.Faults) - len(c.answer.Report.Faults)
	for _, t := range cost.Terms {
		if before := a.base.Report.Cost.Term(t.Name).Amount; before != t.Amount {
			x.Terms = append(x.Terms, TermChange{t.Name, int64(before), int64(t.Amount)})
		}
	}
	x.Stays = len(MovedSince(c.answer.Plan, present.Plan))
	c.answer.Title = titleOf(c.changes)
	return x
}
