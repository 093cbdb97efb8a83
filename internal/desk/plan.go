package desk

import (
	"context"
	"math"
	"time"

	"sallyport"
	"sallyport/internal/solve"
)

// PlanOptions says how to plan.
type PlanOptions struct {
	Seed       uint64
	Steps      int64         // step budget: the same show, seed and steps give the same plan; 0: the planner's, none with Limit
	Limit      time.Duration // time limit; 0: none. What it gives cannot be repeated exactly
	Workers    int           // 0: one for every core
	From       []sallyport.Placement
	MaxChanges int  // most stays that may stand elsewhere than in From; 0: any number
	Stand      bool // before all other costs, the plan is to stand any one failure to start
	Now        func() time.Time
}

// Plan looks for the best plan of a complete show. It stops at the step
// budget, at the time limit, or when ctx ends: then the answer is the best
// plan until then and is marked as interrupted. An answer is returned even
// when no complete plan was found; the error says that none was found at all.
func Plan(ctx context.Context, show *sallyport.Show, opt PlanOptions, report func(solve.Progress)) (*Answer, error) {
	r, err := search(ctx, show, opt.solver(), opt.Limit, report)
	if err != nil {
		return nil, err
	}
	return answer(ctx, show, r), nil
}

// search runs the planner, under a time limit when one is given.
func search(ctx context.Context, show *sallyport.Show, opt solve.Options, limit time.Duration, report func(solve.Progress)) (*solve.Result, error) {
	if limit > 0 {
		limited, cancel := context.WithTimeout(ctx, limit)
		defer cancel()
		ctx = limited
	}
	return solve.Solve(ctx, show, opt, report)
}

// CheckSketch judges a plan made by hand: the moves that follow from it are
// worked out, and nothing is improved. The show must be complete.
func CheckSketch(ctx context.Context, show *sallyport.Show, sketch []sallyport.Placement) (*Answer, error) {
	r, err := solve.FromSketch(ctx, show, sketch, solve.Options{})
	if err != nil {
		return nil, err
	}
	a := answer(ctx, show, r)
	a.Bound = 0 // of the best plan, not of this one
	return a, nil
}

// Budget returns the number of steps after which the search ends.
func (o PlanOptions) Budget() int64 {
	switch {
	case o.Steps > 0:
		return o.Steps
	case o.Limit > 0:
		return math.MaxInt64
	}
	return solve.DefaultSteps
}

func (o PlanOptions) solver() solve.Options {
	return solve.Options{Seed: o.Seed, Steps: o.Budget(), Workers: o.Workers, Sketch: o.From, MaxChanges: o.MaxChanges, Stand: o.Stand, Now: o.Now}
}

// answer makes an answer of a result; ctx is the user's.
func answer(ctx context.Context, show *sallyport.Show, r *solve.Result) *Answer {
	return &Answer{Show: show, Plan: r.Plan, Report: r.Report, Bound: r.Bound, Why: r.Why, Interrupted: ctx.Err() != nil}
}
