package desk

import (
	"context"
	"slices"
	"sync"

	"sallyport"
	"sallyport/internal/solve"
)

// cureTries is how many changes are planned to the end for one reason, the
// most promising first, until one spares it.
const cureTries = 3

// proposal is a change that might be a cure.
type proposal struct {
	Change
	heavy bool // asks much: only when nothing else helps
	show  *sallyport.Show
	look  *solve.Outlook
	plan  *Answer
}

// findCures looks at every proposed change once, in parallel, and plans for
// every reason the most promising to the end: it gets the cheapest that
// spares it.
func findCures(ctx context.Context, h *history, x *Explanation, planner *Planner, report func(done, all int)) error {
	list, wanted := h.proposed(x)
	var mu sync.Mutex
	done := 0
	errs := make([]error, len(list))
	inParallel(ctx, len(list), planner.Workers, func(i int) {
		if show, ok := changed(h.show, []Change{list[i].Change}); ok {
			list[i].show = sallyport.Complete(show)
			look, err := planner.Look(ctx, list[i].show, h.plan, planner.Seed)
			if errs[i] = err; err == nil && ctx.Err() == nil {
				list[i].look = look
			}
		}
		mu.Lock()
		defer mu.Unlock()
		if done++; report != nil {
			report(done, len(list))
		}
	})
	for r := range wanted {
		for _, k := range wanted[r] {
			if list[k].look != nil {
				x.Reasons[r].Tried++
			}
		}
	}
	if err := firstOf(errs); err != nil {
		return err
	}
	if err := x.again(ctx, h, planner); err != nil {
		return err
	}
	for round := 0; round < cureTries && ctx.Err() == nil; round++ {
		if err := x.tryCures(ctx, h, list, wanted, planner); err != nil {
			return err
		}
	}
	if ctx.Err() != nil {
		return sallyport.Errorf(sallyport.CodeInterrupted, "the reasons stand, cures were not all tried", "stopped after looking at %d of %d changes", done, len(list))
	}
	return nil
}

// again plans the show as it is once more, so that nothing is put down to a
// change that a longer search finds without it.
func (x *Explanation) again(ctx context.Context, h *history, planner *Planner) error {
	x.Base = x.Cost.Total
	a, err := planner.Plan(ctx, h.show, h.plan, planner.Seed)
	if err != nil || ctx.Err() != nil {
		return err
	}
	if a.Report.Cost.Lost <= x.Cost.Lost && (a.Report.Workable() || !x.workable) {
		x.Base = min(x.Base, a.Report.Cost.Total)
	}
	return nil
}

// proposed lists the changes that might spare the reasons, each once, and for
// every reason which of them might.
func (h *history) proposed(x *Explanation) (list []proposal, wanted [][]int) {
	at := map[string]int{}
	wanted = make([][]int, len(x.Reasons))
	for r := range x.Reasons {
		for _, kind := range ChangeKinds {
			for _, c := range kind.propose(h, x.Reasons[r].Item) {
				k, ok := at[c.What]
				if !ok {
					k = len(list)
					at[c.What] = k
					c.Kind = kind.Name
					list = append(list, proposal{Change: c, heavy: kind.Heavy})
				}
				if !slices.Contains(wanted[r], k) {
					wanted[r] = append(wanted[r], k)
				}
			}
		}
	}
	return list, wanted
}

// tryCures plans, for every reason that has no cure yet, the change to the end
// that looks cheapest of those that spare it and are not planned yet.
func (x *Explanation) tryCures(ctx context.Context, h *history, list []proposal, wanted [][]int, planner *Planner) error {
	var next []int
	for r := range x.Reasons {
		if x.Reasons[r].Cure != nil {
			continue
		}
		best := -1
		for _, k := range wanted[r] {
			p := &list[k]
			if p.look != nil && p.plan == nil && x.spares(&x.Reasons[r], p.look.Cost) && (best < 0 || p.before(&list[best])) {
				best = k
			}
		}
		if best >= 0 && !slices.Contains(next, best) {
			next = append(next, best)
		}
	}
	errs := make([]error, len(next))
	inParallel(ctx, len(next), planner.Workers, func(i int) {
		p := &list[next[i]]
		a, err := planner.Plan(ctx, p.show, p.look.Plan, planner.Seed)
		if errs[i] = err; err == nil && ctx.Err() == nil {
			p.plan = a
		}
	})
	for r := range x.Reasons {
		for _, k := range wanted[r] {
			if p := &list[k]; p.plan != nil && (p.plan.Report.Workable() || !x.workable) {
				x.Reasons[r].take(x, p)
			}
		}
	}
	return firstOf(errs)
}

// before reports whether p is to be tried before o.
func (p *proposal) before(o *proposal) bool {
	if p.heavy != o.heavy {
		return o.heavy
	}
	return compareLooks(p.look, o.look) < 0
}

// spares reports whether a reason is gone at this cost.
func (x *Explanation) spares(r *Reason, after sallyport.Cost) bool {
	return after.Lost <= x.Cost.Lost && after.Term(r.Term).Amount+r.Item.Amount <= x.Cost.Term(r.Term).Amount
}

// take keeps a planned change as the reason's cure when it spares the item and
// is cheaper than what was kept before.
func (r *Reason) take(x *Explanation, p *proposal) {
	after := p.plan.Report.Cost
	if !x.spares(r, after) || r.Cure != nil && !after.Less(r.Cure.After) {
		return
	}
	r.Cure = &Cure{
		Change: p.What, People: p.People, After: after, Lost: after.Lost, Total: int64(after.Total),
		Saves: int64(x.Base - after.Total), Term: int64(after.Term(r.Term).Amount),
	}
}

func firstOf(errs []error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
