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
// most of the cost speaks for. It returns those of the order of events, of the
// park, and those that ask much, what looks cheapest first. No kind that was
// asked for by name asks much.
func (a *adviser) lookAtSingles(ctx context.Context, kinds []ChangeKind) (events, park, heavy []candidate) {
	changes := a.proposals(kinds)
	most := mostLooks * a.more
	a.out.LeftOut = max(0, len(changes)-most)
	changes = changes[:min(most, len(changes))]
	list := make([]candidate, len(changes))
	for i, c := range changes {
		list[i].changes = []Change{c}
	}
	list = a.lookAt(ctx, list, a.opt.Plan.Seed, "looking at single changes")
	a.out.Looked += len(list)
	if ctx.Err() != nil {
		a.out.LeftOut += len(changes) - len(list)
	}
	for _, c := range list {
		kind := kinds[slices.IndexFunc(kinds, func(k ChangeKind) bool { return k.Name == c.changes[0].Kind })]
		c.heavy, c.events = kind.Heavy && len(a.opt.Only) == 0, kind.Events
		switch {
		case c.heavy:
			heavy = append(heavy, c)
		case c.events:
			events = append(events, c)
		default:
			park = append(park, c)
		}
	}
	return a.lookAgain(ctx, events), a.lookAgain(ctx, park), a.lookAgain(ctx, heavy)
}

// keptLooks is how many of the candidates of one sort are looked at once more,
// in each round: what looks dearer at first may need a longer search.
var keptLooks = []int{40, 20, 12}

// lookAgain looks longer and longer at the best.
func (a *adviser) lookAgain(ctx context.Context, list []candidate) []candidate {
	for round, most := range keptLooks {
		list = a.byPromise(list)
		list = list[:min(len(list), most*a.more)]
		list = a.lookAt(ctx, list, a.opt.Plan.Seed+uint64(round)+1, "looking longer at the best")
	}
	return a.byPromise(list)
}

// byPromise sorts candidates, the cheapest first, so that those which look
// exactly like the base, as if nothing had been changed, come last. Where the
// base is not workable, they keep their order among themselves: what spoils it
// may be the clock, of which a look says nothing.
func (a *adviser) byPromise(list []candidate) []candidate {
	base := a.base.Report
	rank := func(c candidate) int {
		switch {
		case !base.Workable():
			return 0
		case c.look.Cost.Less(base.Cost):
			return 0
		case c.look.Cost.Lost == base.Cost.Lost && c.look.Cost.Total == base.Cost.Total:
			return 2
		}
		return 1
	}
	slices.SortStableFunc(list, func(x, y candidate) int {
		if d := rank(x) - rank(y); d != 0 {
			return d
		}
		return compareLooks(x.look, y.look)
	})
	return list
}

// proposals lists the changes that the kinds propose for the items of the
// base's cost, save those that touch what is to be left alone: in turn of each
// kind the one for which the dearest items speak.
func (a *adviser) proposals(kinds []ChangeKind) []Change {
	h := newHistory(a.h.show, a.base.Plan)
	a.h = h
	byKind := make([][]weighed, len(kinds))
	for _, item := range a.items() {
		for k, kind := range kinds {
			for _, c := range kind.propose(h, item) {
				c.Kind = kind.Name
				byKind[k] = weigh(byKind[k], c, item.Amount)
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

// faultWeighs is what a fault counts beside the items of the cost.
const faultWeighs sallyport.Amount = 10_000

// items lists what speaks for changes: the items of the base's cost, and its
// faults.
func (a *adviser) items() []sallyport.CostItem {
	var list []sallyport.CostItem
	for _, f := range a.base.Report.Faults {
		item := sallyport.CostItem{Amount: faultWeighs, Units: f.Units, Serial: f.Serial, At: f.At}
		if e := a.h.ix.SerialOf(f.Entry); e != nil && item.Serial == "" {
			item.Serial = e.ID
		}
		for _, m := range a.base.Plan.Moves {
			if m.ID == f.Move && f.Move != "" {
				item.Lane = laneOf(m)
			}
		}
		list = append(list, item)
	}
	for _, t := range a.base.Report.Cost.Terms {
		list = append(list, t.Items...)
	}
	return list
}

// laneOf is the lane that a move leaves or enters, "" when none.
func laneOf(m sallyport.Move) sallyport.LaneID {
	for _, at := range []sallyport.Pos{m.From, m.To} {
		if at.Kind == sallyport.InLane {
			return sallyport.LaneID(at.ID)
		}
	}
	return ""
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
// were looked at before ctx ended, the cheapest first. Each look goes on from
// the one before, else from the base.
func (a *adviser) lookAt(ctx context.Context, list []candidate, seed uint64, doing string) []candidate {
	var mu sync.Mutex
	done := 0
	inParallel(ctx, len(list), a.opt.Plan.Workers, func(i int) {
		c := &list[i]
		given, ok := changed(a.given, c.changes)
		if ok {
			c.given, c.show = given, sallyport.Complete(given)
			start := a.base.Plan
			if c.look != nil {
				start = c.look.Plan
			}
			look, err := a.planner.Look(ctx, c.show, start, seed)
			if err == nil && ctx.Err() == nil {
				c.look = look
			} else if c.look == nil || c.look.Cost.Terms == nil { // a plan to go on from is no look
				c.show = nil
			}
		}
		mu.Lock()
		defer mu.Unlock()
		done++
		a.say(doing, done, len(list))
	})
	list = slices.DeleteFunc(list, func(c candidate) bool { return c.show == nil || c.look == nil })
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

// refine plans candidates to the end and keeps those that
// are better than the show as it is. Each of their plans is also tried on the
// show as it is: what that saves there is not the change's doing.
func (a *adviser) refine(ctx context.Context, list []candidate, doing string) {
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
		defer mu.Unlock()
		done++
		a.say(doing, done, len(list))
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

// nearly is by how much, in percent of the base, a candidate may look dearer
// than it: a longer search often makes that good.
const nearly = 2

// promising returns the candidates, cheapest first, that look better than the
// base or nearly so, at most so many (more under a limit of time), and of those
// that exclude each other at most two.
func (a *adviser) promising(list []candidate, most int) []candidate {
	var picked []candidate
	keys := map[string]int{}
	base := a.base.Report
	for _, c := range list {
		cost := c.look.Cost
		cost.Total -= base.Cost.Total * nearly / 100
		if base.Workable() && (!c.look.Workable || !cost.Less(base.Cost)) || len(picked) == most*a.more {
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
	look, err := a.planner.Look(ctx, a.h.show, x.Plan, a.opt.Plan.Seed)
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
	list = a.lookAt(ctx, list, a.opt.Plan.Seed, "looking at "+words)
	a.out.Looked += len(list)
	most := map[int]int{2: mostPairs, 3: mostTriples}[n]
	a.refine(ctx, a.promising(list, most), "planning "+words)
}

// ofSize returns the planned sets of n changes that do not ask much, the
// cheapest first.
func (a *adviser) ofSize(n int) []candidate {
	var list []candidate
	for _, c := range a.best {
		if len(c.changes) == n && !c.heavy {
			list = append(list, c)
		}
	}
	return list
}

func (c candidate) excludes(x Change) bool {
	return slices.ContainsFunc(c.changes, func(o Change) bool { return o.key == x.key })
}
