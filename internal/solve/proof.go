package solve

import (
	"cmp"
	"slices"
)

// dualScale is the fineness of duals: costs times it are whole numbers.
const dualScale int64 = 1 << 10

// node is a part of the master that is left when some columns are chosen.
// Its duals are whole numbers, and value prices every column that is left with
// them, so that it is a bound whatever the duals are:
//
//	cost ≥ chosen + Σ dual(unit) + Σ over free lanes of min(0, min (cost − Σ dual)).
//
// A column that is not listed costs more than the master's cut, and its duals
// are no more than the largest of so many units as the lane has room for; a
// plan within the limit has few of them.
type node struct {
	m      *master
	open   []bool    // by unit: not yet in a chosen column
	left   int       // how many are
	cols   [][]int32 // by group: columns left, by need
	taken  [][]bool  // by group: lanes of chosen columns
	chosen []choice
	cost   int64   // of the chosen, times dualScale
	duals  []int64 // by unit, times dualScale
	steps  int64

	tops   []int64 // sums of the largest duals
	offers []unlisted
	rank   []int32 // open units, the largest dual first
	count  []int32 // by unit: columns it is in, of those left
	best   [][]pick
}

// choice is a column chosen for a lane of a group.
type choice struct{ group, lane, col int32 }

// unlisted is a lane for which a column that is not listed may be better by
// gain: one of so many units.
type unlisted struct {
	group, lane, most int32
	gain              int64
}

// pick is the best column for a lane: none for none.
type pick struct {
	col  int32
	cost int64 // reduced
}

func newNode(m *master) *node {
	n := &node{m: m, open: make([]bool, len(m.units)), left: len(m.units), duals: make([]int64, len(m.units)), count: make([]int32, len(m.units))}
	for i := range n.open {
		n.open[i] = true
	}
	for _, g := range m.groups {
		cols := make([]int32, len(g.cols))
		for j := range cols {
			cols[j] = int32(j)
		}
		n.cols = append(n.cols, cols)
		n.taken = append(n.taken, make([]bool, len(g.lanes)))
		n.best = append(n.best, make([]pick, len(g.lanes)))
	}
	return n
}

// value returns the bound that the duals give, times dualScale, and notes the
// best column of each lane.
func (n *node) value(duals []int64) int64 {
	sum := n.cost
	for i, open := range n.open {
		if open {
			sum += duals[i]
		}
	}
	n.sumTops(duals)
	n.offers = n.offers[:0]
	for g := range n.m.groups {
		gr := &n.m.groups[g]
		at := pick{col: none}
		k := 0
		for l, length := range gr.lengths {
			for ; k < len(n.cols[g]); k++ {
				c := &gr.cols[n.cols[g][k]]
				if c.need > length {
					break
				}
				rc := c.cost * dualScale
				for _, i := range c.units {
					rc -= duals[i]
				}
				if rc < at.cost {
					at = pick{n.cols[g][k], rc}
				}
			}
			n.best[g][l] = at
			if n.taken[g][l] {
				continue
			}
			n.offer(g, l, gr.most[l], at.cost)
			sum += at.cost
		}
		n.steps += int64(3*len(n.cols[g]) + len(gr.lanes))
	}
	return sum + n.leftOut()
}

// offer notes that a column that is not listed may be better for a lane than
// the best one that is.
func (n *node) offer(g, l, most int, cost int64) {
	if n.m.cut >= impossible {
		return
	}
	most = min(most, len(n.tops)-1)
	if gain := (n.m.cut+n.m.unit)*dualScale - n.tops[most] - cost; gain < 0 {
		n.offers = append(n.offers, unlisted{int32(g), int32(l), int32(most), gain})
	}
}

// leftOut returns by how much columns that are not listed may lower the
// bound, in so many lanes as their cost leaves within the limit.
func (n *node) leftOut() int64 {
	if len(n.offers) == 0 {
		return 0
	}
	slices.SortFunc(n.offers, func(a, b unlisted) int {
		return cmp.Or(cmp.Compare(a.gain, b.gain), cmp.Compare(a.group, b.group), cmp.Compare(a.lane, b.lane))
	})
	most := max(0, n.m.limit-n.cost/dualScale) / (n.m.cut + n.m.unit)
	var sum int64
	for _, o := range n.offers[:min(len(n.offers), int(most))] {
		sum += o.gain
	}
	return sum
}

// spent returns the steps made since it was last asked.
func (n *node) spent() int64 {
	s := n.steps
	n.steps = 0
	return s
}

// sumTops notes the sums of the largest duals, from none on.
func (n *node) sumTops(duals []int64) {
	n.tops, n.rank = append(n.tops[:0], 0), n.rank[:0]
	if n.m.cut >= impossible {
		return
	}
	for i, open := range n.open {
		if open && duals[i] > 0 {
			n.rank = append(n.rank, int32(i))
		}
	}
	slices.SortFunc(n.rank, func(a, b int32) int { return cmp.Or(cmp.Compare(duals[b], duals[a]), cmp.Compare(a, b)) })
	for i, u := range n.rank {
		n.tops = append(n.tops, n.tops[i]+duals[u])
	}
}
