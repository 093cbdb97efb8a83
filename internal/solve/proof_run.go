package solve

import (
	"context"
	"iter"
	"slices"

	"sallyport"
)

// prover looks for ever better bounds, a given number of steps at a time, so
// that it can run beside a search. It starts from the quick bound, and raises
// it by the choice of home columns at one anchor after the other.
type prover struct {
	ctx   context.Context
	p     *problem
	free  freedom
	bound bound
	unit  int64     // every plan's cost is a multiple of it
	limit int64     // a bound above is of no use: a plan that costs so much is known
	homes [][]int32 // partitions found, the cheapest last: by unit its home, or none

	over   bool  // it is to stop
	done   bool  // nothing is left to try
	steps  int64 // made
	budget int64 // until it rests
	rest   func() bool
	next   func() (struct{}, bool)
	stop   func()
}

// noLimit stands for a limit while no plan is known.
const noLimit = anyWorkable

func newProver(ctx context.Context, p *problem, free freedom, quick bound) *prover {
	v := &prover{ctx: ctx, p: p, free: free, unit: p.costUnit(free), limit: noLimit, bound: quick}
	v.next, v.stop = iter.Pull(func(yield func(struct{}) bool) {
		v.rest = func() bool { return yield(struct{}{}) }
		v.run()
	})
	return v
}

// work makes so many steps, or a few more, for plans that cost less than
// limit. It reports whether there is anything left to do.
func (v *prover) work(limit, steps int64) bool {
	v.limit = min(v.limit, limit)
	v.budget = v.steps + steps
	_, more := v.next()
	v.done = !more
	return more
}

// step counts steps and rests when the budget is spent; it reports whether to
// go on.
func (v *prover) step(n int64) bool {
	v.steps += n
	for v.steps >= v.budget && !v.over {
		v.over = v.ctx.Err() != nil || !v.rest()
	}
	return !v.over
}

// run raises the bound until nothing is left to try.
func (v *prover) run() {
	times := v.p.allTimes()
	if v.unit == 1 {
		v.chained(v.p.days(times), -1)
	}
	// Mornings first: at the start and the end of the show more is open.
	anchors := v.p.anchors(times)
	anchors = append(anchors[1:], anchors[0])
	var roots []*root
	for _, a := range anchors {
		r := v.root(a)
		if r == nil {
			continue
		}
		v.settle(r)
		if !v.tree(r, firstTree) {
			roots = append(roots, r)
		}
	}
	for budget := 3 * firstTree; len(roots) > 0 && v.left() > 0 && v.step(0); budget *= 3 {
		roots = slices.DeleteFunc(roots, func(r *root) bool { return v.tree(r, budget) })
	}
}

// root is the choice of columns at one anchor, and the most that its bound
// may still come to.
type root struct {
	n     *node
	lists []*enumeration // by group of lanes
	most  int64
	least int64 // what the listed columns cost at least
}

// left is how much the bound might still rise.
func (v *prover) left() int64 { return v.limit - int64(v.bound.total) }

// root raises the bound to what the choice of columns at one anchor costs at
// least.
func (v *prover) root(a *anchor) *root {
	m, lists := v.master(a, mostListed)
	if m == nil {
		return nil
	}
	n := newNode(m)
	b, _, _ := n.relax(v.step)
	v.raise(b)
	return &root{n, lists, noLimit, b / dualScale}
}

// settleSteps is how many steps a search for homes that cost no more than a
// limit may have.
const settleSteps int64 = 100_000_000

// settle looks for a partition into the listed columns that costs little, for
// the search to begin from. It proves nothing.
func (v *prover) settle(r *root) {
	m := r.n.m
	cut := m.cut
	m.cut = impossible // what is not listed does not matter
	defer func() { m.cut = cut }()
	low := max(0, r.least+v.unit-1) / v.unit * v.unit
	for more := int64(0); low+more < v.limit && !v.over; more = max(2*more, v.unit, low/32) {
		end := v.steps + settleSteps
		m.limit = low + more
		n := newNode(m)
		if n.within(func(k int64) bool { return v.step(k) && v.steps < end }) == found {
			v.homes = append(v.homes, n.homes(len(v.p.units)))
			return
		}
	}
}

// raise raises the bound to b over dualScale and what reversing costs.
func (v *prover) raise(b int64) {
	b = (b + dualScale - 1) / dualScale
	reverse := v.p.boundReverse()
	total := min((b+reverse+v.unit-1)/v.unit*v.unit, v.limit)
	if total <= int64(v.bound.total) {
		return
	}
	raised := bound{lost: v.bound.lost}
	raised.add(reverse, sallyport.TermReverse)
	raised.add(total-reverse, sallyport.TermAside, sallyport.TermReset, sallyport.TermHold, sallyport.TermEarly, sallyport.TermChange, sallyport.TermHome, sallyport.TermRisk)
	v.bound = raised
}

// firstTree is how many steps the first search for a partition may have.
const firstTree int64 = 150_000_000

// tree looks for partitions that cost a little more than the bound, and raises
// the bound when there are none. It reports whether that is settled: else it
// has made as many steps as it may.
func (v *prover) tree(r *root, budget int64) bool {
	reverse := v.p.boundReverse()
	end := v.steps + budget
	tick := func(k int64) bool { return v.step(k) && v.steps < end }
	if v.left() > 0 && !r.complete(v.limit-reverse-v.unit, v.raise, tick) && (v.steps >= end || v.over) {
		return false
	}
	for {
		low, high := int64(v.bound.total)-reverse, min(r.most, v.limit-reverse-v.unit)
		if low > high {
			return true
		}
		try := low
		if v.unit == 1 {
			try += (high - low) / 8
		}
		r.n.m.limit = try
		n := newNode(r.n.m)
		switch n.within(tick) {
		case refuted:
			v.raise((try + v.unit) * dualScale)
		case found:
			r.most = n.costOf(n.chosen)/dualScale - v.unit
			v.homes = append(v.homes, n.homes(len(v.p.units)))
		default:
			if v.steps >= end || v.over {
				return false
			}
			r.most = try - v.unit // columns that are not listed might do
		}
	}
}

// cutTries is how often the cut is lowered until the columns are not too many.
const cutTries = 4

// master lists the columns of an anchor: all, where that is quick, else those
// that cost little, for others can hardly be among the best.
func (v *prover) master(a *anchor, most int) (*master, []*enumeration) {
	cut := max(3*int64(v.p.weights.Change), 2*int64(v.bound.total)/int64(len(v.p.lanes)), v.unit)
	if fewColumns(v.p, a, most) {
		cut = impossible
	}
	for range cutTries {
		if m, lists := newMaster(v.p, a, v.free, cut, v.unit, v.step); m != nil {
			m.limit = v.limit - v.p.boundReverse() - v.unit
			return m, lists
		}
		cut = cut * 2 / 3
	}
	return nil, nil
}
