package web

import (
	"context"
	"slices"
	"time"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/rehearse"
	"sallyport/internal/store"
)

func (s *Server) failuresJob(in jobInput) (work, error) {
	if _, err := prepared(in); err != nil {
		return nil, err
	}
	return func(all context.Context, change func(func(*Job))) (any, error) {
		ctx, cancel := limited(all, in.ask)
		defer cancel()
		show, present, err := planned(ctx, in)
		if err != nil {
			return nil, err
		}
		f, err := desk.FailuresOf(ctx, show, present.Plan, rehearse.Options{}, counting(change, "playing failures"))
		if f == nil {
			return nil, err
		}
		return failuresResult{f, present}, enough(all, err)
	}, nil
}

// reasonsEach is how many reasons of each term are explained unless more are
// asked for.
const reasonsEach = 3

func (s *Server) explainJob(in jobInput) (work, error) {
	if _, err := prepared(in); err != nil {
		return nil, err
	}
	each := in.ask.Most
	if each == 0 {
		each = reasonsEach
	}
	opt := desk.ExplainOptions{PerTerm: each, Cures: true, Planner: desk.NewPlanner(s.options(in))}
	return func(all context.Context, change func(func(*Job))) (any, error) {
		ctx, cancel := limited(all, in.ask)
		defer cancel()
		show, present, err := planned(ctx, in)
		if err != nil {
			return nil, err
		}
		x, err := desk.Explain(ctx, show, present.Plan, opt, counting(change, "planning with changes"))
		if x == nil {
			return nil, err
		}
		return explainResult{x, err != nil, present}, enough(all, err)
	}, nil
}

// replanTime is how long a better continuation is looked for when nothing else
// is said: a marshal is waiting.
const replanTime = 4 * time.Second

// replanJob goes on from the newest issue, because that is what people were
// told; when nothing is published yet, from the draft.
func (s *Server) replanJob(in jobInput) (work, error) {
	if in.ask.At == 0 {
		return nil, sallyport.Errorf(sallyport.CodeInput, "give the day and the time, like D2 10:40", "at says from when to go on")
	}
	plan := s.options(in)
	opt := desk.ReplanOptions{At: in.ask.At, Seed: plan.Seed, Steps: plan.Steps, Limit: plan.Limit, Workers: plan.Workers, Now: plan.Now}
	if opt.Limit == 0 && opt.Steps == 0 {
		opt.Limit = replanTime
	}
	return func(ctx context.Context, change func(func(*Job))) (any, error) {
		told, happened, err := s.told(ctx, in.draft)
		if err != nil {
			return nil, err
		}
		show, _, err := desk.Prepare(told.Show, nil)
		if err != nil {
			return nil, err
		}
		r, err := desk.ReplanFrom(ctx, show, told.Plan, happened, opt, func(r *desk.Replanned) {
			change(func(j *Job) {
				j.Phase, j.Cost, j.Workable = r.First(), terms(r.Report.Cost), r.Workable()
				j.soFar = replanResult{told.Show, r}
				j.Done, j.All = int(r.Elapsed.Milliseconds()), int(opt.Limit.Milliseconds())
			})
		})
		if err != nil {
			return nil, err
		}
		return replanResult{told.Show, r}, nil
	}, nil
}

// told returns what people were told last, and what has happened since by the
// log; what was said anew counts once.
func (s *Server) told(ctx context.Context, d store.Draft) (store.Content, []sallyport.Happening, error) {
	told, err := s.toldContent(ctx, d)
	if err != nil {
		return store.Content{}, nil, err
	}
	if told.Plan == nil {
		return store.Content{}, nil, sallyport.Errorf(sallyport.CodeInput, "plan it first", "%s has no plan to go on from", told.Show.Name)
	}
	log, err := s.Store.Log(ctx, d.Show, 0)
	if err != nil {
		return store.Content{}, nil, err
	}
	return told, sallyport.LastSaid(since(log, told.Plan.Happened)), nil
}

// toldContent returns the newest issue, or when nothing is published yet the
// draft.
func (s *Server) toldContent(ctx context.Context, d store.Draft) (store.Content, error) {
	show, err := s.Store.Show(ctx, d.Show)
	if err != nil || show.Issues == 0 {
		return d.Content, err
	}
	i, err := s.Store.Issue(ctx, d.Show, show.Issues)
	return i.Content, err
}

// since returns what the log has beyond what a plan has taken in. A plan fills
// in the moments of what was said without one.
func since(log []store.LogEntry, taken []sallyport.Happening) []sallyport.Happening {
	rest := slices.Clone(taken)
	var list []sallyport.Happening
	for _, e := range log {
		at := slices.IndexFunc(rest, func(h sallyport.Happening) bool {
			said := e.Happening
			if said.At == 0 {
				said.At = h.At
			}
			if said.From == 0 {
				said.From = h.From
			}
			return said == h
		})
		if at >= 0 {
			rest = slices.Delete(rest, at, at+1)
			continue
		}
		list = append(list, e.Happening)
	}
	return list
}
