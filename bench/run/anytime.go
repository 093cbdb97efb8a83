package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	sp "sallyport"
	"sallyport/bench/plant"
	"sallyport/internal/fenmoor"
	"sallyport/internal/solve"
)

// anytime is a table of what the planner has reached by some moments.
type anytime struct {
	name, what string
	plain      bool // only moves aside and changes cost anything
	spareless  bool // the show has the spare room that it has
	// show returns the show of a spare room and seed, completed, and its
	// planted plan; nil: there is none.
	show func(spare int, seed uint64) (*sp.Show, *sp.Plan, error)
	// usual returns the same show with every term at its usual weight; nil:
	// the show itself is.
	usual func(spare int, seed uint64) (*sp.Show, error)
}

var planTable = planted("plan", "planted so that nobody is moved aside, with four exchanges of lanes; only moves aside and changes cost anything",
	plant.Options{NobodyAside: true, Exchanges: 4, Plain: true}, 3, 10, 60)

var freeTable = planted("free", "serials drawn from anywhere in the planted packing; only moves aside and changes cost anything",
	plant.Options{Plain: true}, 3, 10, 60)

var fullTable = planted("full", "planted so that nobody is moved aside, with four exchanges of lanes; every term at its usual weight",
	plant.Options{NobodyAside: true, Exchanges: 4}, 1, 10, 60)

var demoTable = table{
	name: "demo", what: "the demonstration show, seed after seed of the planner; every term at its usual weight",
	at: secondsOf(1, 10, 60),
	run: anytime{
		name: "demo", what: "the demonstration show, one run of the planner for each seed; every term at its usual weight", spareless: true,
		show: func(int, uint64) (*sp.Show, *sp.Plan, error) { return sp.Complete(fenmoor.Show()), nil, nil },
	}.run,
}

// planted returns a table of planted shows.
func planted(name, what string, opt plant.Options, at ...int) table {
	show := func(spare int, seed uint64, plain bool) (*sp.Show, *sp.Plan, error) {
		o := opt
		o.Spare, o.Seed, o.Plain = spare, seed, plain
		p, err := plant.Plant(o)
		if err != nil {
			return nil, nil, err
		}
		return sp.Complete(p.Show), p.Plan, nil
	}
	a := anytime{
		name: name, what: what, plain: opt.Plain,
		show: func(spare int, seed uint64) (*sp.Show, *sp.Plan, error) { return show(spare, seed, opt.Plain) },
	}
	if opt.Plain {
		a.usual = func(spare int, seed uint64) (*sp.Show, error) {
			s, _, err := show(spare, seed, false)
			return s, err
		}
	}
	return table{name: name, what: what, at: secondsOf(at...), spares: []int{5, 15, 25}, run: a.run}
}

// group is all runs of one spare room.
type group struct {
	spare int
	runs  []measured
}

// run measures all shows of the table and writes it.
func (a anytime) run(ctx context.Context, s settings, out, log io.Writer) error {
	if a.spareless {
		s.spares = []int{0}
	}
	r := &report{table: a, settings: s}
	for _, spare := range s.spares {
		g := group{spare: spare}
		for seed := uint64(1); seed <= uint64(s.seeds); seed++ {
			name := fmt.Sprintf("%s-spare%d-seed%d", a.name, spare, seed)
			m, ok, err := kept(ctx, s, name, s.how(), func() (measured, error) { return a.measure(ctx, spare, seed, s) })
			if err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			if !ok {
				r.missing++
				continue
			}
			g.runs = append(g.runs, m)
			fmt.Fprintf(log, "%s: %s\n", name, m.line())
		}
		r.groups = append(r.groups, g)
	}
	return r.write(out)
}

// how is what a result depends on beside its case.
type how struct {
	Version string
	At      []string
	Workers int
	CPU     bool
}

func (s settings) how() how {
	h := how{Version: solve.Version, Workers: s.workers, CPU: s.cpu}
	for _, at := range s.at {
		h.At = append(h.At, seconds(at))
	}
	return h
}

// measure plans one show.
func (a anytime) measure(ctx context.Context, spare int, seed uint64, s settings) (measured, error) {
	show, known, err := a.show(spare, seed)
	if err != nil {
		return measured{}, err
	}
	var planted *sp.Cost
	if known != nil {
		r := sp.Check(show, known)
		if len(r.Faults) > 0 {
			return measured{}, errors.New("the planted plan is not workable")
		}
		cost := bare(r.Cost)
		planted = &cost
	}
	m, found, err := plan(ctx, show, seed, s)
	if err != nil {
		return m, err
	}
	m.Planted = planted
	usual := show
	if a.usual != nil {
		if usual, err = a.usual(spare, seed); err != nil {
			return m, err
		}
	}
	m.Risk = sp.Evaluate(usual, found).Term(sp.TermRisk).Amount
	return m, nil
}

// line returns the measurement in one line, for the log.
func (m measured) line() string {
	last := m.last()
	if last.Cost == nil {
		return "no plan"
	}
	return fmt.Sprintf("workable after %s s, nobody aside after %s s, cost %d, bound %d, judged %d, %d faults",
		seconds(m.First), seconds(m.Nobody), last.Cost.Total, last.Bound, m.Judged.Total, m.Faults)
}
