package solve

import (
	"cmp"
	"slices"
)

// outcome is what the search for a partition within a limit has come to.
type outcome int

const (
	refuted outcome = iota // there is none
	found                  // there is one
	unknown                // the steps ended, or columns that are not listed might do
)

// within looks for a partition into columns that costs no more than the
// master's limit, branch by branch: each branch gives one unit one of its
// columns. A branch ends when its bound is above the limit. Lanes of a group
// are alike but for their length, so a column takes the shortest free one that
// it fits: whatever is to stand there could change places with it.
func (n *node) within(tick func(int64) bool) outcome {
	limit := n.m.limit * dualScale
	if n.cost > limit {
		return refuted
	}
	if n.left == 0 {
		return found
	}
	bound, partition, ok := n.relax(tick)
	switch {
	case bound > limit:
		return refuted
	case !ok:
		return unknown
	case partition != nil && n.costOf(partition) <= limit:
		n.chosen = append(n.chosen, partition...)
		return found
	case bound+n.leastUnlisted() <= limit:
		return unknown
	}
	n.fix(limit - bound)
	u := n.scarcest()
	if u == none {
		return refuted
	}
	result := refuted
	for _, c := range n.with(u) {
		child := n.choose(c)
		switch child.within(tick) {
		case found:
			n.chosen = child.chosen
			return found
		case unknown:
			result = unknown
		}
		if !tick(0) {
			return unknown
		}
	}
	return result
}

// relax finds duals and returns the bound they give, times dualScale, and a
// partition when it has come across one; ok is false when tick said to stop.
func (n *node) relax(tick func(int64) bool) (bound int64, partition []choice, ok bool) {
	s := newSimplex(n)
	ok = s.run(n.duals, tick)
	return n.value(n.duals), s.partition(), ok && tick(n.spent())
}

// costOf is the cost of the columns chosen and of more, times dualScale.
func (n *node) costOf(list []choice) int64 {
	sum := n.cost
	for _, c := range list {
		sum += n.m.groups[c.group].cols[c.col].cost * dualScale
	}
	return sum
}

// leastUnlisted returns by how much the bound rises at least when some column
// that is not listed is chosen.
func (n *node) leastUnlisted() int64 {
	least := impossible
	if n.m.cut >= impossible || n.m.limit-n.cost/dualScale < n.m.cut+n.m.unit {
		return least
	}
	for g := range n.m.groups {
		for l, most := range n.m.groups[g].most {
			if !n.taken[g][l] {
				tops := n.tops[min(most, len(n.tops)-1)]
				least = min(least, (n.m.cut+n.m.unit)*dualScale-tops-n.best[g][l].cost)
			}
		}
	}
	return least
}

// fix drops all columns that would raise the bound by more than room.
func (n *node) fix(room int64) {
	for g := range n.m.groups {
		gr := &n.m.groups[g]
		kept := n.cols[g][:0:0]
		l := 0
		for _, j := range n.cols[g] {
			c := &gr.cols[j]
			for l < len(gr.lanes) && (n.taken[g][l] || gr.lengths[l] < c.need) {
				l++
			}
			if l < len(gr.lanes) && n.reduced(c)-n.best[g][l].cost <= room {
				kept = append(kept, j)
			}
		}
		n.cols[g] = kept
	}
}

func (n *node) reduced(c *column) int64 {
	rc := c.cost * dualScale
	for _, i := range c.units {
		rc -= n.duals[i]
	}
	return rc
}

// scarcest returns an open unit with the fewest columns; none when one has
// none at all.
func (n *node) scarcest() int32 {
	clear(n.count)
	for g := range n.cols {
		for _, j := range n.cols[g] {
			for _, i := range n.m.groups[g].cols[j].units {
				n.count[i]++
			}
		}
	}
	best := none
	for i, open := range n.open {
		if !open {
			continue
		}
		if n.count[i] == 0 {
			return none
		}
		if best == none || n.count[i] < n.count[best] {
			best = int32(i)
		}
	}
	return best
}

// with returns the columns of a unit that are left, the best first, each with
// the shortest free lane for it.
func (n *node) with(u int32) []choice {
	var list []choice
	for g := range n.cols {
		gr := &n.m.groups[g]
		for _, j := range n.cols[g] {
			if !slices.Contains(gr.cols[j].units, int16(u)) {
				continue
			}
			for l := range gr.lanes {
				if !n.taken[g][l] && gr.lengths[l] >= gr.cols[j].need {
					list = append(list, choice{int32(g), int32(l), j})
					break
				}
			}
		}
	}
	slices.SortStableFunc(list, func(a, b choice) int {
		return cmp.Compare(n.reduced(&n.m.groups[a.group].cols[a.col]), n.reduced(&n.m.groups[b.group].cols[b.col]))
	})
	return list
}

// choose returns the node in which a column is chosen.
func (n *node) choose(c choice) *node {
	x := &node{
		m: n.m, open: slices.Clone(n.open), left: n.left, duals: slices.Clone(n.duals), cost: n.cost,
		count: make([]int32, len(n.count)), chosen: append(slices.Clone(n.chosen), c),
	}
	col := &n.m.groups[c.group].cols[c.col]
	x.cost += col.cost * dualScale
	for _, i := range col.units {
		x.open[i] = false
		x.left--
	}
	for g := range n.cols {
		cols := make([]int32, 0, len(n.cols[g]))
		for _, j := range n.cols[g] {
			if !slices.ContainsFunc(n.m.groups[g].cols[j].units, func(i int16) bool { return !x.open[i] }) {
				cols = append(cols, j)
			}
		}
		x.cols = append(x.cols, cols)
		x.taken = append(x.taken, slices.Clone(n.taken[g]))
		x.best = append(x.best, make([]pick, len(n.best[g])))
	}
	x.taken[c.group][c.lane] = true
	return x
}

// homes returns the home of each of so many units by the chosen columns, none
// for those who are in none.
func (n *node) homes(units int) []int32 {
	list := make([]int32, units)
	for u := range list {
		list[u] = none
	}
	for _, c := range n.chosen {
		g := &n.m.groups[c.group]
		for _, i := range g.cols[c.col].units {
			list[n.m.units[i]] = g.lanes[c.lane]
		}
	}
	return list
}
