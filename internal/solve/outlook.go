package solve

import (
	"context"

	"sallyport"
)

// Outlook is what a short search says that a plan of a show would cost: by
// lanes alone, no times are laid and nothing is judged.
type Outlook struct {
	Plan     *sallyport.Plan // moves have their nominal moments and take no time; for Options.Warm
	Cost     sallyport.Cost
	Workable bool // breaks no rule, as far as lanes decide it
}

// Look tells in a few hundredths of a second what a plan of a show would cost
// about: it goes on from opt.Warm, a plan of the same show or of one a little
// different, for opt.Steps steps with one stream. The same show, plan, seed and
// steps give the same outlook. Full plans cost this or more where the
// clock does not do, and less where a longer search finds more.
func Look(ctx context.Context, show *sallyport.Show, opt Options) (*Outlook, error) {
	if show == nil || len(show.Park.Lanes) == 0 {
		return nil, errNoLane()
	}
	p := compile(sallyport.Complete(show))
	first := p.boardOf(opt.Warm)
	st := newStream(first.b.p, opt, 0)
	st.b = first.b
	st.placeHomeless()
	st.best.copyFrom(st.b)
	st.improve(ctx, opt.Steps)
	plan := st.p.plan(st.best)
	return &Outlook{Plan: plan, Cost: sallyport.Evaluate(p.show, plan), Workable: st.best.worth() < anyWorkable}, nil
}

// Bound returns what no plan of a show that serves as much costs less than, as
// far as the prover finds it in so many steps or before ctx ends; see bound for
// the plans it holds for. It looks no further than what tells that a plan of
// this cost is the best: a bound above that cost speaks of other plans.
func Bound(ctx context.Context, show *sallyport.Show, cost sallyport.Amount, steps int64) sallyport.Amount {
	p := compile(sallyport.Complete(show))
	v := newProver(ctx, p, freedom{holds: true, resets: true}, lowerBound(ctx, p))
	defer v.stop()
	v.work(min(int64(cost)+1, noLimit), steps)
	return v.bound.total
}
