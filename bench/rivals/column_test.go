package main

import (
	"math/rand/v2"
	"testing"
)

// TestHomesCostWhatTheirBestPatternCosts tries every way to spend stays at
// home or elsewhere, and counts what it costs when elsewhere is a lane of
// one's own.
func TestHomesCostWhatTheirBestPatternCosts(t *testing.T) {
	dear := 0
	for seed := range uint64(12) {
		opt := small
		opt.Seed = seed
		_, _, task := planted(t, opt)
		night := task.night(0)
		h := newHomes(task, night)
		rnd := rand.New(rand.NewPCG(seed, 2))
		for range 6 {
			set := rnd.Perm(len(task.vehicles))[:2]
			if set[0] > set[1] {
				set[0], set[1] = set[1], set[0]
			}
			want := bruteHome(task, h, set)
			if got := h.cost(set); got != want {
				t.Errorf("seed %d: home of %v costs %d, want %d", seed, set, got, want)
			}
			if want > 0 {
				dear++
			}
			if c := costOfKept(task, set, h.kept(set)); c != want {
				t.Errorf("seed %d: the stays kept by %v cost %d, want %d", seed, set, c, want)
			}
		}
	}
	if dear < 10 {
		t.Errorf("only %d homes cost anything: the test says too little", dear)
	}
}

func bruteHome(t *task, h *homes, set []int) int64 {
	var stays []int
	for _, v := range set {
		for s := t.vehicles[v].first; s < t.vehicles[v].end; s++ {
			stays = append(stays, s)
		}
	}
	best := int64(forever)
	for bits := range 1 << len(stays) {
		var kept []int
		ok := true
		for i, s := range stays {
			if bits&(1<<i) != 0 {
				kept = append(kept, s)
			} else if h.overNight(s) {
				ok = false
			}
		}
		if ok {
			best = min(best, costOfKept(t, set, kept))
		}
	}
	return best
}

// costOfKept counts what stays of a set cost that are spent in lane 0, the
// other stays of the set in a lane of their vehicle's own, and those of all
// other vehicles in one lane each.
func costOfKept(t *task, set, kept []int) int64 {
	lanes := make([]int, len(t.stays))
	for s := range lanes {
		lanes[s] = 1 + t.stays[s].vehicle
	}
	for _, s := range kept {
		lanes[s] = 0
	}
	wide := *t
	wide.lanes = make([]lane, len(t.vehicles)+1)
	return wide.price(wide.count(lanes))
}

// TestAllCheapSetsAreColumns counts the sets of a show by hand: all that fit
// and cost less than the limit, and no others.
func TestAllCheapSetsAreColumns(t *testing.T) {
	opt := small
	opt.Seed = 3
	_, _, task := planted(t, opt)
	h := newHomes(task, task.night(0))
	longest := int64(0)
	for _, l := range task.lanes {
		longest = max(longest, l.room)
	}
	for _, cap := range []int64{1, 120, 121, 240, 600, forever} {
		want, all := 0, true
		for bits := 1; bits < 1<<len(task.vehicles); bits++ {
			var set []int
			var takes int64
			for v := range task.vehicles {
				if bits&(1<<v) != 0 {
					set = append(set, v)
					takes += task.vehicles[v].takes
				}
			}
			if takes > longest {
				continue
			}
			if h.cost(set) < cap {
				want++
			} else {
				all = false
			}
		}
		list, complete := h.sets(cap)
		if len(list) != want || complete != all {
			t.Errorf("%d sets cost less than %d, all: %v; want %d, %v", len(list), cap, complete, want, all)
		}
	}
	if c := newColumns(task, task.night(0)); c.cap != forever {
		t.Errorf("the columns of a small show end at a cost of %d", c.cap)
	}
}

// TestColumnsCostNoMoreThanThePlan: the homes of any plan cost no more than
// the plan, and where all are columns the set partition allows them.
func TestColumnsCostNoMoreThanThePlan(t *testing.T) {
	whole := 0
	for seed := range uint64(40) {
		opt := small
		opt.Seed, opt.NobodyAside = seed, seed%2 == 0
		p, _, task := planted(t, opt)
		lanes := anyLanes(p, task, seed, 4)
		c := task.count(lanes)
		if c.overfull > 0 {
			continue
		}
		cols := newColumns(task, task.night(int(seed%2)))
		cols.suggest(lanes)
		var sum int64
		for _, set := range cols.homes.sharing(lanes) {
			if set != nil {
				sum += cols.homes.cost(set)
			}
		}
		if sum > task.price(c) {
			t.Errorf("seed %d: the homes cost %d, the whole plan %d", seed, sum, task.price(c))
		}
		if len(cols.Hint) < len(cols.Costs) {
			continue // not all are columns, or no plan
		}
		whole++
		values := make([]bool, len(cols.Costs))
		for v := range values {
			values[v] = hinted(cols.Hint, v)
		}
		if cols.cost(values) != sum {
			t.Errorf("seed %d: the columns cost %d, their homes %d", seed, cols.cost(values), sum)
		}
		home := cols.settle(values, lanes)
		for s, l := range home {
			if cols.homes.overNight(s) && l != lanes[s] {
				t.Errorf("seed %d: a night in lane %d, want %d", seed, l, lanes[s])
			}
		}
		room := cols.settle(values, nil)
		for l, set := range cols.homes.sharing(room) {
			var takes int64
			for _, v := range set {
				takes += task.vehicles[v].takes
			}
			if takes > task.lanes[l].room {
				t.Errorf("seed %d: lane %d holds %d cm and is given %d", seed, l, task.lanes[l].room, takes)
			}
		}
	}
	if whole < 10 {
		t.Errorf("only %d plans consist of columns: the test says too little", whole)
	}
}

func hinted(hint []int, v int) bool {
	for _, lit := range hint {
		if lit == v {
			return true
		}
	}
	return false
}
