package main

import (
	"context"
	"math"
	"time"

	sp "sallyport"
	"sallyport/internal/solve"
)

// never stands for what did not happen within the time.
const never = time.Duration(math.MaxInt64)

// measured is what was reached by when in one run of the planner.
type measured struct {
	Seed    uint64        `json:"seed"`
	First   time.Duration `json:"first"`  // first workable plan; never: no plan
	Nobody  time.Duration `json:"nobody"` // first plan in which nobody is moved aside; never: none
	Proven  time.Duration `json:"proven"` // when the bound met the cost; never: it did not
	At      []moment      `json:"at"`
	Planted *sp.Cost      `json:"planted,omitempty"` // of the planted plan, by the judge; nil: there is none
	Judged  sp.Cost       `json:"judged"`            // of the last plan, by the judge
	Faults  int           `json:"faults"`            // of the last plan, by the judge; 0: workable
	Risk    sp.Amount     `json:"risk"`              // shut-in risk of the last plan at the usual weights, whatever was searched for
}

// moment is what was known at one moment.
type moment struct {
	Cost  *sp.Cost  `json:"cost"` // of the best workable plan; nil: no plan yet
	Bound sp.Amount `json:"bound"`
}

// proven reports whether the plan is the best possible.
func (m moment) proven() bool { return m.Cost != nil && m.Cost.Lost == 0 && m.Cost.Total == m.Bound }

// agrees reports whether the judge prices the last plan as the planner did.
func (m measured) agrees() bool {
	c := m.last().Cost
	return m.Judged.Total == c.Total && m.Judged.Lost == c.Lost
}

// proven reports whether the plan at a moment is the best possible. The planner
// prices by lanes alone; where the clock made the last plan dearer, none counts.
func (m measured) proven(i int) bool { return m.At[i].proven() && m.agrees() }

// gap is what the cost is above the bound.
func (m moment) gap() sp.Amount { return m.Cost.Total - m.Bound }

// plan plans a completed show until the last moment of the settings and
// returns what was reached, and the plan.
func plan(ctx context.Context, show *sp.Show, seed uint64, s settings) (measured, *sp.Plan, error) {
	m := measured{Seed: seed, First: never, Nobody: never, Proven: never, At: make([]moment, len(s.at))}
	start := s.clock.now()
	limited, cancel := s.clock.limit(ctx, s.at[len(s.at)-1])
	defer cancel()
	result, err := solve.Solve(limited, show, solve.Options{
		NoHolds: show.Weights.IdlePercent == 0, // else waiting would cost nothing
		Seed:    seed, Steps: math.MaxInt64, Workers: s.workers, Now: time.Now,
	}, func(now solve.Progress) { m.note(now, s.clock.now()-start, s.at) })
	if err != nil {
		return m, nil, err
	}
	last := &m.At[len(m.At)-1]
	last.Bound = max(last.Bound, result.Bound)
	if last.proven() {
		m.Proven = min(m.Proven, s.clock.now()-start)
	}
	m.Judged, m.Faults = bare(result.Report.Cost), len(result.Report.Faults)
	return m, result.Plan, nil
}

// note takes down one report of the planner. At the last moment the planner is
// told to stop; what it says after that it had found before.
func (m *measured) note(p solve.Progress, elapsed time.Duration, at []time.Duration) {
	counts := func(i int) bool { return elapsed <= at[i] || i == len(at)-1 }
	for i := range m.At {
		if counts(i) {
			m.At[i].Bound = max(m.At[i].Bound, p.Bound)
		}
	}
	if !p.Workable {
		return
	}
	m.First = min(m.First, elapsed)
	if p.Cost.Term(sp.TermAside).Count == 0 {
		m.Nobody = min(m.Nobody, elapsed)
	}
	if p.Cost.Lost == 0 && p.Cost.Total == p.Bound {
		m.Proven = min(m.Proven, elapsed)
	}
	cost := bare(p.Cost)
	for i := range m.At {
		if counts(i) && (m.At[i].Cost == nil || cost.Less(*m.At[i].Cost)) {
			m.At[i].Cost = &cost
		}
	}
}

// bare returns a cost without the items of its terms.
func bare(c sp.Cost) sp.Cost {
	terms := make([]sp.CostTerm, len(c.Terms))
	for i, t := range c.Terms {
		t.Items = nil
		terms[i] = t
	}
	c.Terms = terms
	return c
}

// last returns what was known at the last moment.
func (m measured) last() moment { return m.At[len(m.At)-1] }
