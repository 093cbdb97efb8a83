package main

import (
	"context"
	"math"
	"time"

	sp "sallyport"
	"sallyport/internal/solve"
)

// ours is what Sallyport makes of a show, on the same terms.
type ours struct {
	Points []point `json:"points"` // every better workable plan
	Judged verdict `json:"judged"` // of the last plan
	Bound  int64   `json:"bound"`
	Starts []start `json:"starts"`
}

// start is one of our plans from which a rival may start.
type start struct {
	Name   string         `json:"name"`
	Sketch []sp.Placement `json:"sketch,omitempty"` // nil: from scratch
	Cost   int64          `json:"cost"`
	Took   float64        `json:"took"` // seconds
}

// startNames lists what a rival may start from.
var startNames = []string{"scratch", "first plan", "1 s plan"}

// terms are the options of a search on the terms that the rivals are given:
// nobody is held back or out early, no lane is put in order outside the
// serials.
func terms(seed uint64, workers int) solve.Options {
	return solve.Options{Seed: seed, Steps: math.MaxInt64, Workers: workers, NoHolds: true, NoResets: true, Now: time.Now}
}

// plan runs Sallyport for so many seconds and makes the plans to start from.
func plan(ctx context.Context, show *sp.Show, seed uint64, workers int, seconds float64) (*ours, error) {
	o := &ours{Starts: []start{{Name: startNames[0]}}}
	first, err := firstPlan(ctx, show, seed, workers)
	if err != nil {
		return nil, err
	}
	o.Starts = append(o.Starts, first)
	second, _, err := timed(ctx, show, terms(seed, workers), 1)
	if err != nil {
		return nil, err
	}
	o.Starts = append(o.Starts, start{Name: startNames[2], Sketch: sp.SketchOf(second.Plan), Cost: verdictOf(second).Cost, Took: 1})
	last, points, err := timed(ctx, show, terms(seed, workers), seconds)
	if err != nil {
		return nil, err
	}
	o.Points, o.Judged, o.Bound = points, verdictOf(last), int64(last.Bound)
	return o, ctx.Err()
}

// timed searches for so many seconds and notes when which cost was reached.
func timed(ctx context.Context, show *sp.Show, opt solve.Options, seconds float64) (*solve.Result, []point, error) {
	ctx, cancel := context.WithTimeout(ctx, time.Duration(seconds*float64(time.Second)))
	defer cancel()
	var points []point
	r, err := solve.Solve(ctx, show, opt, func(p solve.Progress) {
		if p.Workable {
			points = append(points, point{p.Elapsed.Seconds(), int64(p.Cost.Total)})
		}
	})
	return r, merged(points), err
}

// firstPlan is the plan with which a search begins, or if that is not workable
// the first that is, with ten times the steps each try.
func firstPlan(ctx context.Context, show *sp.Show, seed uint64, workers int) (start, error) {
	opt := terms(seed, workers)
	began := time.Now()
	for opt.Steps = 1; ; opt.Steps *= 10 {
		r, err := solve.Solve(ctx, show, opt, nil)
		if err != nil || ctx.Err() != nil {
			return start{}, err
		}
		if v := verdictOf(r); v.Faults == 0 || opt.Steps >= solve.DefaultSteps {
			return start{Name: startNames[1], Sketch: sp.SketchOf(r.Plan), Cost: v.Cost, Took: time.Since(began).Seconds()}, nil
		}
	}
}
