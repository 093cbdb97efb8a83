package desk

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"sync"

	"sallyport"
	"sallyport/internal/solve"
)

// lookAtSingles looks at single changes: of every kind in turn those that
// most of the cost speaks for. What looks cheapest comes first in a.singles.
func (a *adviser) lookAtSingles(ctx context.Context, kinds []ChangeKind) {
	changes := a.proposals(kinds)
	most := mostLooks * a.more
	if len(changes) > most {
		a.out.LeftOut = len(changes) - most
		changes = changes[:most]
	}
	list := make([]candidate, len(changes))
	for i, c := range changes {
		list[i].changes = []Change{c}
	}
	a.singles = a.lookAt(ctx, list, a.base.Plan, "looking at single changes")
}

// proposals lists the changes that the kinds propose for the items of the
// base's cost, save those that touch what is to be left alone: in turn of each
// kind the one for which the dearest items speak.
func (a *adviser) proposals(kinds []ChangeKind) []Change {
	h := newHistory(a.h.show, a.base.Plan)
	a.h = h
	byKind := make([][]weighed, len(kinds))
	for _, t := range a.base.Report.Cost.Terms {
		for _, item := range t.Items {
			for k, kind := range kinds {
				for _, c := range kind.propose(h, item) {
					c.Kind = kind.Name
					byKind[k] = weigh(byKind[k], c, item.Amount)
				}
			}
		}
	}
	longest := 0
	for k := range byKind {
		byKind[k] = slices.DeleteFunc(byKind[k], func(w weighed) bool {
			return slices.ContainsFunc(w.about, func(id string) bool { return id != "" && slices.Contains(a.opt.Keep, id) })
		})
		slices.SortStableFunc(byKind[k], func(x, y weighed) int { return cmp.Compare(y.weight, x.weight) })
		longest = max(longest, len(byKind[k]))
	}
	var list []Change
	for i := range longest {
		for k := range byKind {
			if i < len(byKind[k]) {
				list = append(list, byKind[k][i].Change)
			}
		}
	}
	return list
}

// weighed is a change with the sum of the costs that speak for it.
type weighed struct {
	Change
	weight sallyport.Amount
}

func weigh(list []weighed, c Change, amount sallyport.Amount) []weighed {
	i := slices.IndexFunc(list, func(w weighed) bool { return w.What == c.What })
	if i < 0 {
		return append(list, weighed{c, amount})
	}
	list[i].weight += amount
	return list
}

// lookAt returns those of the candidates that do not contradict themselves and
// were looked at before ctx ended, the cheapest first.
func (a *adviser) lookAt(ctx context.Context, list []candidate, from *sallyport.Plan, doing string) []candidate {
	var mu sync.Mutex
	done := 0
	inParallel(ctx, len(list), a.opt.Plan.Workers, func(i int) {
		c := &list[i]
		given, ok := changed(a.given, c.changes)
		if ok {
			c.given, c.show = given, sallyport.Complete(given)
			start := from
			if c.look != nil {
				start = c.look.Plan
			}
			look, err := a.planner.Look(ctx, c.show, start)
			if err == nil && ctx.Err() == nil {
				c.look = look
			} else {
				c.show = nil
			}
		}
		mu.Lock()
		done++
		a.say(doing, done, len(list))
		mu.Unlock()
	})
	list = slices.DeleteFunc(list, func(c candidate) bool { return c.show == nil || c.look == nil })
	a.out.Looked += len(list)
	slices.SortStableFunc(list, func(x, y candidate) int { return compareLooks(x.look, y.look) })
	return list
}

// compareLooks orders outlooks: what breaks no rule first, then by cost.
func compareLooks(x, y *solve.Outlook) int {
	switch {
	case x.Workable != y.Workable && x.Workable:
		return -1
	case x.Workable != y.Workable:
		return 1
	case x.Cost.Less(y.Cost):
		return -1
	case y.Cost.Less(x.Cost):
		return 1
	}
	return 0
}

// refine plans the most promising candidates to the end and keeps those that
// are better than the show as it is. Each of their plans is also tried on the
// show as it is: what that saves there is not the change's doing.
func (a *adviser) refine(ctx context.Context, list []candidate, most int, doing string) {
	list = a.promising(list, most*a.more)
	errs := make([]error, len(list))
	bases := make([]*Answer, len(list))
	var mu sync.Mutex
	done := 0
	inParallel(ctx, len(list), a.opt.Plan.Workers, func(i int) {
		c := &list[i]
		c.answer, errs[i] = a.planner.Plan(ctx, c.show, c.look.Plan, a.opt.Plan.Seed)
		if errs[i] == nil {
			bases[i] = a.withoutChange(ctx, c.answer)
		}
		if errs[i] != nil || ctx.Err() != nil {
			c.answer = nil
		}
		mu.Lock()
		done++
		a.say(doing, done, len(list))
		mu.Unlock()
	})
	for i := range list {
		if list[i].answer == nil {
			continue
		}
		a.out.Planned++
		a.best = append(a.best, list[i])
		if bases[i] != nil {
			a.rebased(bases[i])
		}
	}
	a.best = slices.DeleteFunc(a.best, func(c candidate) bool { return !a.worth(c) })
	slices.SortStableFunc(a.best, func(x, y candidate) int { return better(x.answer, y.answer) })
}

// promising returns the candidates, cheapest first, that look better than the
// base, at most so many, and of those that exclude each other at most two.
func (a *adviser) promising(list []candidate, most int) []candidate {
	var picked []candidate
	keys := map[string]int{}
	for _, c := range list {
		base := a.base.Report
		if base.Workable() && (!c.look.Workable || !c.look.Cost.Less(base.Cost)) || len(picked) == most {
			break
		}
		key := c.key()
		if keys[key]++; keys[key] <= 2 {
			picked = append(picked, c)
		}
	}
	return picked
}

func (c candidate) key() string {
	var keys []string
	for _, x := range c.changes {
		keys = append(keys, x.key)
	}
	slices.Sort(keys)
	return strings.Join(keys, "\n")
}

// withoutChange tries the plan of a changed show on the show as it is, and
// returns the plan that comes of it when it looks better than the base; nil
// when not.
func (a *adviser) withoutChange(ctx context.Context, x *Answer) *Answer {
	look, err := a.planner.Look(ctx, a.h.show, x.Plan)
	if err != nil || ctx.Err() != nil || !look.Workable || !look.Cost.Less(a.base.Report.Cost) {
		return nil
	}
	b, err := a.planner.Plan(ctx, a.h.show, look.Plan, a.opt.Plan.Seed)
	if err != nil || ctx.Err() != nil {
		return nil
	}
	return b
}

// combine makes sets of n changes of the best sets of one less and the best
// single ones, and plans those that look best.
func (a *adviser) combine(ctx context.Context, n int) {
	smaller, singles := a.ofSize(n-1), a.ofSize(1)
	var list []candidate
	seen := map[string]bool{}
	for _, s := range smaller[:min(partners, len(smaller))] {
		for _, one := range singles[:min(partners, len(singles))] {
			c := candidate{changes: append(slices.Clone(s.changes), one.changes...), look: &solve.Outlook{Plan: s.answer.Plan}}
			if key := c.key(); s.excludes(one.changes[0]) || seen[key] {
				continue
			} else {
				seen[key] = true
			}
			list = append(list, c)
		}
	}
	words := map[int]string{2: "pairs of changes", 3: "three changes at once"}[n]
	list = a.lookAt(ctx, list, a.base.Plan, "looking at "+words)
	most := map[int]int{2: mostPairs, 3: mostTriples}[n]
	a.refine(ctx, list, most, "planning "+words)
}

// ofSize returns the planned sets of n changes, the cheapest first.
func (a *adviser) ofSize(n int) []candidate {
	var list []candidate
	for _, c := range a.best {
		if len(c.changes) == n {
			list = append(list, c)
		}
	}
	return list
}

func (c candidate) excludes(x Change) bool {
	return slices.ContainsFunc(c.changes, func(o Change) bool { return o.key == x.key })
}
