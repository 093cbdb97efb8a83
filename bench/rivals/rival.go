package main

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"sync"
	"time"
)

// rival is a solver with what it is told besides the program. It has one core
// for itself and runs twice beside itself, told different things, so that it
// uses both cores; the better result counts.
type rival struct {
	name       string
	what       string
	parameters [2]string
}

// rivals lists all solvers. CP-SAT's full preparation of the program takes
// most of ten seconds in this build; the short one leaves time for the search.
var rivals = []rival{
	{"cp-sat", "CP-SAT of or-tools-wasm 0.9.1", [2]string{
		`{"cpModelProbingLevel":0,"maxPresolveIterations":1}`,
		`{"cpModelProbingLevel":0,"maxPresolveIterations":1,"linearizationLevel":0,"randomSeed":2}`,
	}},
	{"highs", "MIP of HiGHS, npm highs 1.15.3", [2]string{
		`{}`,
		`{"random_seed":2,"mip_heuristic_effort":0.3}`,
	}},
}

// model is a way to write a task as 0-1 programs and to solve it with them.
type model struct {
	name, what string
	bounds     bool // its bound holds for all plans
	solve      func(ctx context.Context, a *attempt) error
}

// models lists all models.
var models = []model{
	{"plain", "which lane for each stay, moves aside and changes priced", true, func(ctx context.Context, a *attempt) error { return a.plain(ctx, true) }},
	{"nobody aside", "the same, moves aside forbidden", false, func(ctx context.Context, a *attempt) error { return a.plain(ctx, false) }},
	{"column", "homes over a night by set partition, then the plain model around them", true, func(ctx context.Context, a *attempt) error { return a.column(ctx) }},
}

// attempt is one of the two runs of a rival with a model.
type attempt struct {
	t       *task
	node    node
	rival   rival
	which   int // of the two
	seconds float64
	start   []int  // lanes of a plan to start from; nil: from scratch
	files   string // where to keep the programs, beginning of the name

	used   float64
	points []point
	lanes  []int // of the best plan; nil: none
	cost   int64
	bound  int64
}

// run gives a program to the solver for at most so many of the seconds left.
func (a *attempt) run(ctx context.Context, name string, p *program, seconds float64, better func(float64, []bool)) (solved, error) {
	began := a.used
	s, err := a.node.solve(ctx, a.rival.name, p, fmt.Sprintf("%s-%s-%d.json", a.files, name, a.which+1), min(seconds, a.left()), a.rival.parameters[a.which],
		func(t float64, values []bool) { better(began+t, values) })
	a.used += s.used
	return s, err
}

// place gives a program for the places of all stays to the solver and keeps
// every better plan, at the price of its lanes: in a solution that is not the
// best the model may count more than they cost.
func (a *attempt) place(ctx context.Context, name string, m *plain, seconds float64) (solved, error) {
	return a.run(ctx, name, m.program, seconds, func(t float64, values []bool) { a.better(t, m.lanesOf(values)) })
}

// better keeps a lane for each stay if that costs less than what was found
// before.
func (a *attempt) better(t float64, lanes []int) {
	if cost := a.t.price(a.t.count(lanes)); a.lanes == nil || cost < a.cost {
		a.lanes, a.cost = lanes, cost
		a.points = append(a.points, point{t, cost})
	}
}

func (a *attempt) left() float64 { return max(0, a.seconds-a.used) }

// took counts what the preparation of a program took.
func (a *attempt) took(since time.Time) { a.used += time.Since(since).Seconds() }

// plain solves the plain model.
func (a *attempt) plain(ctx context.Context, aside bool) error {
	m := newPlain(a.t, aside)
	m.tellApart()
	if a.start != nil {
		m.suggest(a.start)
	}
	s, err := a.place(ctx, "plain", m, a.seconds)
	if aside {
		a.bound = s.bound
	}
	return err
}

// column chooses homes over a night, of each attempt another one, by a set
// partition: that gives a bound. Then it solves the plain model with all stays
// fixed that the columns spend at home, and last, in the time left, with only
// the nights fixed. A plan that costs no more than the partition's bound ends
// the work.
func (a *attempt) column(ctx context.Context) error {
	began := time.Now()
	c := newColumns(a.t, a.t.night(a.which))
	if a.start != nil {
		c.suggest(a.start)
	}
	a.took(began)
	s, err := a.run(ctx, "columns", c.program, a.seconds/2, func(float64, []bool) {})
	if a.bound = min(s.bound, c.cap); err != nil || s.values == nil {
		return err
	}
	began = time.Now()
	home := c.settle(s.values, a.start)
	if !slices.Contains(home, none) { // nobody is ever anywhere else: that is a plan
		a.took(began)
		a.better(a.used, home)
		return nil
	}
	whole := newPlain(a.t, true)
	for i, lane := range home {
		if lane != none {
			whole.clause(whole.x[i][lane])
		}
	}
	whole.suggest(home)
	a.took(began)
	if _, err := a.place(ctx, "whole", whole, a.seconds/4); err != nil {
		return err
	}
	if a.lanes != nil && a.cost <= a.bound || a.left() < 1 {
		return nil
	}
	nights := newPlain(a.t, true)
	for i, lane := range home {
		if lane != none && c.homes.overNight(i) {
			nights.clause(nights.x[i][lane])
		}
	}
	if a.lanes != nil {
		home = a.lanes
	}
	nights.suggest(home)
	_, err = a.place(ctx, "nights", nights, a.left())
	return err
}

// night returns the last moment of one of the days but the last, counted
// backwards; with one day only, of that.
func (t *task) night(back int) int {
	if len(t.evenings) == 1 {
		return t.evenings[0]
	}
	before := t.evenings[:len(t.evenings)-1]
	return before[len(before)-1-back%len(before)]
}

// together runs a rival's two attempts beside each other and returns the
// better plan, all plans that were the best when they were found, and the
// higher bound.
func together(ctx context.Context, n node, t *task, r rival, m model, seconds float64, start []int, files string) (*attempt, error) {
	var two [2]*attempt
	var errs [2]error
	var wait sync.WaitGroup
	for i := range two {
		two[i] = &attempt{t: t, node: n, rival: r, which: i, seconds: seconds, start: start, files: filepath.Clean(files)}
		wait.Go(func() { errs[i] = m.solve(ctx, two[i]) })
	}
	wait.Wait()
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	best := two[0]
	if other := two[1]; other.lanes != nil && (best.lanes == nil || other.cost < best.cost) {
		best = other
	}
	best.points = merged(two[0].points, two[1].points)
	best.bound = max(two[0].bound, two[1].bound)
	return best, nil
}
