package desk

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"sallyport"
	"sallyport/internal/solve"
)

// ReplanOptions says how to go on with a plan.
type ReplanOptions struct {
	At      sallyport.Instant
	Seed    uint64
	Steps   int64         // step budget; 0: the planner's, none with Limit
	Limit   time.Duration // time limit; 0: none. What it gives cannot be repeated exactly
	Workers int
	Now     func() time.Time
}

// Replanned is how a plan goes on from a moment.
type Replanned struct {
	*Answer  // of the continuation; its show is as it is now
	At       sallyport.Instant
	Happened []sallyport.Happening
	Proposed int      // how many of these, the last ones, this answer itself proposes
	Changes  []Notice // what is to be told, in order of time
	Carried  bool     // the last issue goes on, save for who has dropped out
	Elapsed  time.Duration
}

// Code returns what kind of failure it is, "" when it is none: entries that
// nobody can serve any more are told, but are no failure of the plan.
func (r *Replanned) Code() sallyport.Code {
	switch {
	case r.Interrupted:
		return sallyport.CodeInterrupted
	case !r.Workable():
		return sallyport.CodeNotWorkable
	}
	return ""
}

// besides returns duties that are lost and reserves that are shut in.
func (a *Answer) besides() []sallyport.Fault {
	return slices.DeleteFunc(slices.Clone(a.Report.Faults), func(f sallyport.Fault) bool { return f.Rule != sallyport.RuleDuty && f.Rule != sallyport.RuleReserve })
}

// ReplanFrom plans on from a moment of a plan after what has happened. The
// show must be complete and be the one that the plan was first made for: what
// has happened before, by the plan, is put on it here. report, which may be
// nil, is given the first continuation at once and then every better one. The
// error lists all that is wrong with what happened.
func ReplanFrom(ctx context.Context, show *sallyport.Show, plan *sallyport.Plan, happened []sallyport.Happening, opt ReplanOptions, report func(*Replanned)) (*Replanned, error) {
	if err := SameShow(plan, show.Name); err != nil {
		return nil, err
	}
	show, problems := sallyport.ShowWith(show, plan.Happened)
	if len(problems) == 0 && plan.From != nil && opt.At < plan.From.At {
		return nil, sallyport.Errorf(sallyport.CodeInput, "give a later moment, or the issue before it", "the plan begins at %s and cannot be gone on with from %s", show.When(plan.From.At), show.When(opt.At))
	}
	state, past, rest := sallyport.StateAt(show, plan, opt.At)
	now, state, done, wrong := sallyport.Apply(show, state, happened)
	if err := problemsError(append(problems, wrong...)); err != nil {
		return nil, err
	}
	o := solve.Options{Seed: opt.Seed, Steps: opt.Steps, Workers: opt.Workers, Now: opt.Now}
	search := ctx
	if opt.Limit > 0 {
		limited, cancel := context.WithTimeout(ctx, opt.Limit)
		defer cancel()
		search = limited
		if o.Steps == 0 {
			o.Steps = PlanOptions{Limit: opt.Limit}.Budget()
		}
	}
	m := solve.Moment{Show: now, State: state, Happened: done, Issued: plan, Past: past, Rest: rest}
	var told func(*solve.Continuation)
	if report != nil {
		told = func(c *solve.Continuation) { report(replanned(m, c)) }
	}
	r := replanned(m, solve.Replan(search, m, o, told))
	r.Interrupted = ctx.Err() != nil
	return r, nil
}

func replanned(m solve.Moment, c *solve.Continuation) *Replanned {
	r := &Replanned{
		Answer: &Answer{Show: c.Show, Plan: c.Plan, Report: c.Report, Why: c.Why},
		At:     m.State.At, Happened: c.Plan.Happened[len(m.Issued.Happened):], Carried: c.Carried, Elapsed: c.Elapsed,
	}
	r.Proposed = len(r.Happened) - len(m.Happened)
	r.Changes = notices(c.Show, m.Issued, c.Plan, r.Happened, c.Why)
	return r
}

// problemsError returns an error that lists problems, nil when there are none.
func problemsError(problems []sallyport.Problem) error {
	switch len(problems) {
	case 0:
		return nil
	case 1:
		return sallyport.Errorf(sallyport.CodeInput, problems[0].Advice, "%s", problems[0].Message)
	}
	lines := make([]string, len(problems))
	for i, p := range problems {
		lines[i] = p.String()
	}
	return sallyport.Errorf(sallyport.CodeInput, "", "%d things cannot have happened so; put them right first\n  %s", len(problems), strings.Join(lines, "\n  "))
}

// Summary says in sentences what has happened, what changes for whom in order
// of time, what it comes to, what was not checked and what was assumed.
func (r *Replanned) Summary() []string {
	ix := sallyport.NewIndex(r.Show)
	lines := []string{fmt.Sprintf("%s, from %s on:", r.Show.Name, r.Show.When(r.At))}
	given := len(r.Happened) - r.Proposed
	for _, h := range r.Happened[:given] {
		lines = append(lines, "  "+h.Says(ix)+".")
	}
	if r.Proposed > 0 {
		lines = append(lines, "Proposed, and reckoned with below:")
	}
	for _, h := range r.Happened[given:] {
		lines = append(lines, "  "+h.Says(ix)+".")
	}
	lines = append(lines, "")
	switch {
	case len(r.Changes) == 0:
		lines = append(lines, "Nothing changes: the plan goes on as it was told.")
	default:
		lines = append(lines, "What changes, in order of time:")
		for _, c := range r.Changes {
			lines = append(lines, "  "+c.Line(r.Show))
		}
	}
	lines = append(lines, "")
	lines = append(lines, r.totals(ix)...)
	return append(lines, r.footing()...)
}

// First says in one sentence what a continuation comes to, for who waits.
func (r *Replanned) First() string {
	if len(r.Changes) == 0 {
		return "the plan goes on as it was told."
	}
	return fmt.Sprintf("%s %s, the first: %s", r.headline(sallyport.NewIndex(r.Show)), count(len(r.Changes), "change", "changes"), r.Changes[0].Line(r.Show))
}

// totals says what the continuation comes to.
func (r *Replanned) totals(ix *sallyport.Index) []string {
	lines := []string{r.headline(ix)}
	lines = append(lines, faultLines(r.Show, r.breaks(), faultsSaid)...)
	lines = append(lines, r.laterHome()...)
	lines = append(lines, r.notCleared(ix)...)
	lines = append(lines, r.whyLines()...)
	lines = append(lines, r.tooLight(ix)...)
	if list := r.besides(); len(list) > 0 {
		lines = append(lines, "Duties that are lost, and reserves that cannot come:")
		lines = append(lines, faultLines(r.Show, list, faultsSaid)...)
	}
	issue := r.Report.Cost.Term(sallyport.TermIssue)
	lines = append(lines, fmt.Sprintf("%s to be told, to %s. What is left costs %s, of which telling %s.",
		count(len(r.Changes), "change is", "changes are"), count(len(toldTo(r.Changes)), "person or crew", "people or crews"), r.Report.Cost.Total, issue.Amount))
	if len(r.Changes) == 0 {
		lines = lines[:len(lines)-1]
		lines = append(lines, fmt.Sprintf("What is left costs %s.", r.Report.Cost.Total))
	}
	if len(r.Report.OrderAlone) > 0 {
		lines = append(lines, r.orderAlone()+":")
		lines = append(lines, faultLines(r.Show, r.Report.OrderAlone, swapsSaid)...)
	}
	return lines
}

func (r *Replanned) headline(ix *sallyport.Index) string {
	var lost []string
	for _, id := range r.lost() {
		lost = append(lost, ix.UnitName(ix.Entry(id).Unit)+" in "+ix.SerialName(ix.SerialOf(id).ID))
	}
	if len(lost) > mostLostNamed {
		lost = []string{count(len(lost), "entry", "entries") + ", named below"}
	}
	text := "Workable: everybody who is still fit goes where he should."
	switch {
	case !r.Workable():
		text = "Not workable."
	case len(lost) > 0:
		text = "Workable, without " + strings.Join(lost, ", ") + "."
	}
	if !r.Workable() && len(lost) > 0 {
		text += " Lost besides: " + strings.Join(lost, ", ") + "."
	}
	return text
}

// lost returns the entries still to come that nobody serves.
func (r *Replanned) lost() []sallyport.EntryID {
	var list []sallyport.EntryID
	for _, f := range r.Report.Faults {
		if (f.Rule == sallyport.RuleUnserved || f.Rule == sallyport.RuleMissing) && f.Entry != "" {
			list = append(list, f.Entry)
		}
	}
	return list
}

// footing adds to what every report ends with what a continuation takes for
// granted.
func (r *Replanned) footing() []string {
	report := r.Report
	report.NotChecked = r.NotChecked()
	care := slices.ContainsFunc(r.Plan.Moves, func(m sallyport.Move) bool { return m.Kind == sallyport.MoveTow || m.ByHand })
	lines := Footing(report)
	lines = append(lines, "  a move that has begun by "+r.Show.When(r.At)+" is carried through",
		fmt.Sprintf("  who begins less than %s earlier or later than told need not be told", sallyport.TellFrom.Words()))
	if care {
		lines = append(lines, "Take care: nobody stands between vehicles, behind a tow or downhill of one that is pushed; one banksman commands; the public is kept clear. Local rules and licensed practice come first.")
	}
	return lines
}

// NotChecked returns what the judge did not look at, and neither did the
// planner of a continuation.
func (r *Replanned) NotChecked() []string {
	ix := sallyport.NewIndex(r.Show)
	list := slices.Clone(r.Report.NotChecked)
	for i := range r.Plan.Moves {
		if m := &r.Plan.Moves[i]; m.Kind == sallyport.MoveTow {
			who := "nobody is free to tow it"
			if m.Helper != "" {
				who = "whether " + ix.UnitName(m.Helper) + " is strong enough and can reach it, its hitch, brakes and the ground"
			}
			list = append(list, "the tow of "+ix.UnitName(m.Unit)+": "+who)
		}
	}
	return append(list, "how long a broken-down vehicle blocks a road or gate outside the park")
}

// tooLight names the tows for which the towing vehicle is too light by the
// show's rule, as far as masses are given.
func (r *Replanned) tooLight(ix *sallyport.Index) []string {
	var lines []string
	for i := range r.Plan.Moves {
		m := &r.Plan.Moves[i]
		helper, towed := ix.Unit(m.Helper), ix.Unit(m.Unit)
		if m.Kind != sallyport.MoveTow || helper == nil || towed == nil {
			continue
		}
		if may, known := sallyport.MayTow(helper, towed, r.Show.Park.TowPercent); known && !may {
			lines = append(lines, fmt.Sprintf("%s, %s kg, is too light to tow %s, %s kg, under a rule of %d %%: ask the recovery people before you count on it.",
				helper.Name, sallyport.Amount(helper.Mass), towed.Name, sallyport.Amount(towed.Mass), r.Show.Park.TowPercent))
		}
	}
	return lines
}
