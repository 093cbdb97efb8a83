package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	sp "sallyport"
	"sallyport/bench/plant"
	"sallyport/internal/solve"
)

// measured is what one planted show gave.
type measured struct {
	seed    uint64
	first   time.Duration // first workable plan; never: no plan
	nobody  time.Duration // first plan in which nobody is moved aside; never: none
	at      []*sp.Cost    // best cost at each moment; nil: no plan yet
	bound   sp.Amount
	planted sp.Cost // of the planted plan, by the judge
	judged  sp.Cost // of the last plan, by the judge
	faults  int     // of the last plan, by the judge; 0: workable
}

// never stands for what did not happen within the time.
const never = time.Duration(math.MaxInt64)

// measure plants one show and plans it until the last moment of the settings.
func measure(ctx context.Context, opt plant.Options, s settings) (measured, error) {
	m := measured{seed: opt.Seed, first: never, nobody: never, at: make([]*sp.Cost, len(s.at))}
	p, err := plant.Plant(opt)
	if err != nil {
		return m, err
	}
	show := sp.Complete(p.Show)
	var wrong int
	if m.planted, wrong = judge(show, p.Plan); wrong > 0 {
		return m, errors.New("the planted plan is not workable")
	}

	start := s.clock.now()
	limited, cancel := s.clock.limit(ctx, s.at[len(s.at)-1])
	defer cancel()
	result, err := solve.Solve(limited, show, solve.Options{
		Seed: opt.Seed, Steps: math.MaxInt64, Workers: s.workers, Now: time.Now,
	}, func(now solve.Progress) { m.note(now, s.clock.now()-start, s.at) })
	if err != nil {
		return m, err
	}
	if err := ctx.Err(); err != nil {
		return m, err
	}
	m.bound, m.judged, m.faults = result.Bound, result.Report.Cost, len(result.Report.Faults)
	return m, nil
}

// judge returns what a plan costs and how many rules it breaks by the clock.
func judge(show *sp.Show, plan *sp.Plan) (sp.Cost, int) {
	start, faults := sp.StartState(show, plan)
	_, more := sp.Play(show, start, plan.Moves)
	return sp.Evaluate(show, plan), len(faults) + len(more)
}

// note takes down one report of the planner. At the last moment the planner is
// told to stop; what it says after that it had found before.
func (m *measured) note(p solve.Progress, elapsed time.Duration, at []time.Duration) {
	if !p.Workable {
		return
	}
	m.first = min(m.first, elapsed)
	if p.Cost.Term(sp.TermAside).Count == 0 {
		m.nobody = min(m.nobody, elapsed)
	}
	cost := p.Cost
	for i, limit := range at {
		if (elapsed <= limit || i == len(at)-1) && (m.at[i] == nil || cost.Less(*m.at[i])) {
			m.at[i] = &cost
		}
	}
}

// last returns the best cost at the last moment; nil without a plan.
func (m *measured) last() *sp.Cost { return m.at[len(m.at)-1] }

// line returns the measurement in one line, for the log.
func (m *measured) line() string {
	if m.last() == nil {
		return "no plan"
	}
	return fmt.Sprintf("workable after %s s, nobody aside after %s s, cost %d, judged %d, planted %d, bound %d, %d faults",
		seconds(m.first), seconds(m.nobody), m.last().Total, m.judged.Total, m.planted.Total, m.bound, m.faults)
}
