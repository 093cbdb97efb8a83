package web

import (
	"context"
	"errors"
	"fmt"
	"time"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/solve"
	"sallyport/internal/store"
)

// jobInput is what a job works from.
type jobInput struct {
	ask    JobAsk
	draft  store.Draft
	author string
}

// jobKind is a sort of long work. begin checks what is asked for and returns
// the work.
type jobKind struct {
	name  string
	says  string
	roles []Role
	saves bool // its result is kept in the draft
	begin func(s *Server, in jobInput) (work, error)
}

// jobKinds are all kinds of job. Adding one means adding a line.
var jobKinds = []jobKind{
	{"plan", "looks for the best plan, from the present one, and keeps it in the draft", planners, true, (*Server).planJob},
	{"variants", "looks for two or three balanced plans to choose from", planners, false, (*Server).variantsJob},
	{"advise", "looks for the smallest changes to the order of events or the park that spare most", planners, false, (*Server).adviseJob},
	{"failures", "plays every failure of the plan", planners, false, (*Server).failuresJob},
	{"explain", "says why the plan costs what it costs, and what would spare it", planners, false, (*Server).explainJob},
	{"replan", "goes on from a moment after what the log says", marshals, false, (*Server).replanJob},
}

// options returns how to plan.
func (s *Server) options(in jobInput) desk.PlanOptions {
	seed := in.ask.Seed
	if seed == 0 {
		seed = 1
	}
	return desk.PlanOptions{Seed: seed, Steps: in.ask.Steps, Limit: in.ask.limit(), Workers: s.Workers, Stand: in.ask.Stand, Now: s.Now}
}

// prepared returns the completed show of a draft.
func prepared(in jobInput) (*sallyport.Show, error) {
	show, _, err := desk.Prepare(in.draft.Content.Show, nil)
	return show, err
}

// planned returns the completed show of a draft and its plan, judged.
func planned(ctx context.Context, in jobInput) (*sallyport.Show, *desk.Answer, error) {
	show, err := prepared(in)
	if err != nil {
		return nil, nil, err
	}
	if in.draft.Plan == nil {
		return nil, nil, sallyport.Errorf(sallyport.CodeInput, "plan it first", "%s has no plan yet", show.Name)
	}
	a, err := desk.Check(ctx, show, in.draft.Plan)
	return show, a, err
}

// following returns what moves a job with a search.
func following(change func(func(*Job)), opt desk.PlanOptions) func(solve.Progress) {
	return func(p solve.Progress) {
		change(func(j *Job) {
			cost := p.Cost
			j.Phase, j.Steps, j.Cost, j.Bound, j.Workable = p.Phase, p.Steps, &cost, p.Bound, p.Workable
			if opt.Limit > 0 {
				j.Done, j.All = int(min(p.Elapsed, opt.Limit).Milliseconds()), int(opt.Limit.Milliseconds())
			} else {
				j.Done, j.All = int(min(p.Steps, opt.Budget())), int(opt.Budget())
			}
		})
	}
}

// counting returns what moves a job whose parts can be counted.
func counting(change func(func(*Job)), phase string) func(done, all int) {
	return func(done, all int) { change(func(j *Job) { j.Phase, j.Done, j.All = phase, done, all }) }
}

// limited ends the work after the time asked for, which is no interruption.
func limited(ctx context.Context, ask JobAsk) (context.Context, context.CancelFunc) {
	if ask.limit() == 0 {
		return context.WithCancel(ctx)
	}
	return context.WithTimeout(ctx, ask.limit())
}

// enough takes away the error of work that only came to the end of its time.
func enough(ctx context.Context, err error) error {
	var known *sallyport.Error
	if errors.As(err, &known) && known.Code == sallyport.CodeInterrupted && ctx.Err() == nil {
		return nil
	}
	return err
}

// keep keeps a plan in the draft from which the work began, or beside it when
// somebody has changed the draft meanwhile.
func (s *Server) keep(ctx context.Context, in jobInput, plan *sallyport.Plan, what string, change func(func(*Job))) error {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), 15*time.Second)
	defer cancel()
	id, content := in.draft.Show, store.Content{Show: in.draft.Content.Show, Plan: plan}
	saved, err := s.Store.SaveDraft(ctx, id, in.draft.Version, content, in.author, what)
	var conflict *store.Conflict
	if !errors.As(err, &conflict) {
		if err == nil {
			change(func(j *Job) { j.Saved = saved.Version })
			s.hub.tell(id, "draft", draftEvent{saved.Version, saved.Author, saved.What})
		}
		return err
	}
	kept, err := s.Store.KeepCopy(ctx, id, in.draft.Version, content, in.author,
		fmt.Sprintf("%s, made from version %d, which had been changed meanwhile", what, in.draft.Version))
	if err == nil {
		change(func(j *Job) { j.Kept = kept.Number })
	}
	return err
}

// fromTheStart returns the completed show of a draft that may be planned from
// its start: not while the plan goes on from a moment of the day, for then what
// has happened would be forgotten.
func fromTheStart(in jobInput) (*sallyport.Show, error) {
	show, err := prepared(in)
	if err == nil && in.draft.Plan != nil && in.draft.Plan.From != nil {
		err = sallyport.Errorf(sallyport.CodeInput, "replan, or put back an issue from before", "the plan goes on from %s: a plan of the whole show would forget what has happened", show.When(in.draft.Plan.From.At))
	}
	return show, err
}

func (s *Server) planJob(in jobInput) (work, error) {
	show, err := fromTheStart(in)
	if err != nil {
		return nil, err
	}
	opt := s.options(in)
	if p := in.draft.Plan; p != nil {
		opt.From = sallyport.SketchOf(p)
	}
	return func(ctx context.Context, change func(func(*Job))) (any, error) {
		report := following(change, opt)
		what := "planned"
		var a *desk.Answer
		var says []string
		if in.ask.Stand {
			what = "planned to stand any one failure to start"
			x, err := desk.Stand(ctx, show, opt, report)
			if err != nil {
				return nil, err
			}
			a, says = x.With, x.Sentences()
		} else {
			x, err := desk.Plan(ctx, show, opt, report)
			if err != nil {
				return nil, err
			}
			a = x
		}
		if ctx.Err() != nil {
			what += ", stopped early"
		}
		desk.KeepBound(a)
		if !in.ask.Stand && better(ctx, show, in.draft.Plan, a) {
			change(func(j *Job) { j.Phase = "nothing better than the present plan was found; it stays" })
			return planResult{a, says}, nil
		}
		if err := s.keep(ctx, in, a.Plan, what, change); err != nil {
			return planResult{a, says}, err // which can be read all the same
		}
		change(func(j *Job) {
			j.Cost, j.Bound, j.Workable, j.Phase = terms(a.Report.Cost), a.Bound, a.Report.Workable(), ""
		})
		return planResult{a, says}, nil
	}, nil
}

// better reports whether the present plan is better than what was found, or as
// good: then it stays.
func better(ctx context.Context, show *sallyport.Show, present *sallyport.Plan, found *desk.Answer) bool {
	if present == nil {
		return false
	}
	old, err := desk.Check(context.WithoutCancel(ctx), show, present)
	if err != nil || !old.Report.Workable() {
		return false
	}
	return !found.Report.Workable() || !found.Report.Cost.Less(old.Report.Cost)
}

// terms returns a cost without the items of its terms.
func terms(c sallyport.Cost) *sallyport.Cost {
	out := c
	out.Terms = make([]sallyport.CostTerm, len(c.Terms))
	for i, t := range c.Terms {
		t.Items = nil
		out.Terms[i] = t
	}
	return &out
}

func (s *Server) variantsJob(in jobInput) (work, error) {
	show, err := fromTheStart(in)
	if err != nil {
		return nil, err
	}
	opt := s.options(in)
	return func(ctx context.Context, change func(func(*Job))) (any, error) {
		answers, err := desk.Variants(ctx, show, opt, following(change, opt))
		if err != nil {
			return nil, err
		}
		return variantsResult{in.draft.Content.Show, answers}, nil
	}, nil
}

func (s *Server) adviseJob(in jobInput) (work, error) {
	if _, err := prepared(in); err != nil {
		return nil, err
	}
	ask := desk.AdviseOptions{Plan: s.options(in), Most: in.ask.Most, Only: in.ask.Only, Keep: in.ask.Keep}
	if ask.Most == 0 {
		ask.Most = 3
	}
	if ask.Most > 3 {
		return nil, sallyport.Errorf(sallyport.CodeInput, "give 1 to 3", "%d is no number of changes at once", ask.Most)
	}
	return func(ctx context.Context, change func(func(*Job))) (any, error) {
		show, present, err := planned(ctx, in)
		if err != nil {
			return nil, err
		}
		x, err := desk.Advise(ctx, in.draft.Content.Show, show, present, ask, func(w desk.Working) {
			change(func(j *Job) { j.Phase, j.Done, j.All = w.Doing, w.Done, w.All })
		})
		if err != nil {
			return nil, err
		}
		return adviseResult{in.draft.Content.Show, x}, nil
	}, nil
}
