package desk

import (
	"context"
	"runtime"
	"sync"

	"sallyport"
	"sallyport/internal/solve"
	"sallyport/internal/together"
)

// Planner plans changed shows, going on from a plan of the show as it was.
// Look says quickly what that would cost about, Plan plans to the end and has
// the plan judged. Both may be called from several goroutines.
type Planner struct {
	Look    func(ctx context.Context, show *sallyport.Show, from *sallyport.Plan, seed uint64) (*solve.Outlook, error)
	Plan    func(ctx context.Context, show *sallyport.Show, from *sallyport.Plan, seed uint64) (*Answer, error)
	Seed    uint64
	Workers int
}

// Steps of one look and of one plan, and about what all plans of one question
// take together, when nothing is said of the budget.
const (
	lookSteps  int64 = 100_000
	planSteps  int64 = 2_000_000
	usualSteps int64 = 100_000_000
)

// NewPlanner returns a planner. The steps of the options are for all its plans
// together, about: each is made as much shorter or longer. A limit of time is
// the caller's to keep, by ending the context.
func NewPlanner(opt PlanOptions) *Planner {
	look, plan := lookSteps, planSteps
	if s := opt.Steps; s > 0 {
		look, plan = scaled(look, s, 10_000), scaled(plan, s, 50_000)
	}
	return &Planner{
		Seed: opt.Seed, Workers: opt.Workers,
		Look: func(ctx context.Context, show *sallyport.Show, from *sallyport.Plan, seed uint64) (*solve.Outlook, error) {
			return solve.Look(ctx, show, solve.Options{Seed: seed, Steps: look, Warm: from})
		},
		Plan: func(ctx context.Context, show *sallyport.Show, from *sallyport.Plan, seed uint64) (*Answer, error) {
			r, err := solve.Solve(ctx, show, solve.Options{Seed: seed, Steps: plan, Workers: 1, Warm: from}, nil)
			if err != nil {
				return nil, err
			}
			r.Plan.Key = sallyport.Key{} // the show and seed alone do not give this plan
			return answer(ctx, show, r), nil
		},
	}
}

// scaled returns a part of a budget that is usually usualSteps in all.
func scaled(part, all, least int64) int64 {
	return max(least, all/usualSteps*part+all%usualSteps*part/usualSteps)
}

// inParallel calls do for 0 to n-1 on so many goroutines, 0 for one for each
// processor, until ctx ends. What do writes must belong to its number alone;
// then the result does not depend on the workers.
func inParallel(ctx context.Context, n, workers int, do func(i int)) {
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var mu sync.Mutex
	next := 0
	var parts together.Parts
	for range min(workers, n) {
		parts.Go(func() {
			for {
				mu.Lock()
				i := next
				next++
				mu.Unlock()
				if i >= n || ctx.Err() != nil {
					return
				}
				do(i)
			}
		})
	}
	parts.Wait()
}
