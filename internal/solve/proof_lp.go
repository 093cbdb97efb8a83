package solve

import (
	"cmp"
	"math"
	"slices"
)

// simplex solves the choice of columns that are left at a node, with fractions
// of columns allowed, by the revised simplex method on a dense inverse. Its
// numbers are not exact: what they are good for is duals, which node.value
// prices exactly in whole numbers.
//
// Rows are the open units, each in one column, and for each group of lanes one
// row for each length: columns that are too long for shorter lanes are no more
// than the lanes from that length on. That is enough for each to find a lane.
// Right-hand sides are a little more than they should be, each by another
// amount, so that pivots make progress.
//
// Products are converted on their own, so that no machine rounds a product and
// a sum at once: the duals are the same everywhere.
type simplex struct {
	n       *node
	rows    int
	unitRow []int32   // by unit
	laneRow [][]int32 // by group and free lane: its last row
	first   []int32   // by group: its first row
	cols    []lpColumn
	inverse []float64
	basis   []int32 // by row: its column, or none
	x       []float64
	y       []float64
	entry   []float64
	sums    [][]float64 // by group and free lane: sum of the duals of its rows
}

type lpColumn struct{ group, col, fit int32 }

const (
	lpPivots = 6000
	lpEnough = 1e-7
)

func newSimplex(n *node) *simplex {
	s := &simplex{n: n, unitRow: make([]int32, len(n.open))}
	for i, open := range n.open {
		if open {
			s.unitRow[i] = int32(s.rows)
			s.rows++
		}
	}
	units := s.rows
	var right []float64
	for i := range units {
		right = append(right, 1+1e-5*float64(1+i*7919%97))
	}
	dear := 1.0
	for g := range n.m.groups {
		gr := &n.m.groups[g]
		s.first = append(s.first, int32(s.rows))
		var free []int
		for l := range gr.lanes {
			if !n.taken[g][l] {
				free = append(free, l)
			}
		}
		last := make([]int32, len(free))
		for k, l := range free {
			if k == 0 || gr.lengths[l] > gr.lengths[free[k-1]] {
				right = append(right, float64(len(free)-k)+1e-4*float64(1+s.rows*31%89))
				s.rows++
			}
			last[k] = int32(s.rows - 1)
		}
		s.laneRow = append(s.laneRow, last)
		s.sums = append(s.sums, make([]float64, len(free)))
		k := 0
		for _, j := range n.cols[g] {
			c := &gr.cols[j]
			for k < len(free) && gr.lengths[free[k]] < c.need {
				k++
			}
			if k == len(free) {
				break
			}
			s.cols = append(s.cols, lpColumn{int32(g), j, int32(k)})
			dear = max(dear, float64(c.cost))
		}
	}
	m := s.rows
	s.inverse, s.basis, s.x, s.y, s.entry = make([]float64, m*m), make([]int32, m), right, make([]float64, m), make([]float64, m)
	for r := range m {
		s.inverse[r*m+r], s.basis[r] = 1, none
		if r < units {
			s.y[r] = 2*dear + 100
		}
	}
	return s
}

// run pivots until nothing is gained and returns the duals of the units, times
// dualScale, in duals. It reports false when tick says to stop.
func (s *simplex) run(duals []int64, tick func(int64) bool) bool {
	for range lpPivots {
		e, rc := s.price()
		if !tick(int64(len(s.cols)*4 + s.rows*s.rows)) {
			return false
		}
		if rc >= -lpEnough || !s.pivot(e, rc) {
			break
		}
	}
	for i, open := range s.n.open {
		if open {
			duals[i] = int64(math.Round(float64(s.y[s.unitRow[i]] * float64(dualScale))))
		}
	}
	return true
}

// partition returns the columns that are chosen whole, each for the shortest
// lane left for it, when they are a partition of the open units; nil when they
// are not.
func (s *simplex) partition() []choice {
	n := s.n
	seen := make([]bool, len(n.open))
	left := n.left
	var list []choice
	for r, j := range s.basis {
		if j == none || s.x[r] < 0.5 {
			continue
		}
		c := s.cols[j]
		list = append(list, choice{group: c.group, col: c.col})
		for _, i := range n.m.groups[c.group].cols[c.col].units {
			if seen[i] {
				return nil
			}
			seen[i] = true
			left--
		}
	}
	if left > 0 || !n.giveLanes(list) {
		return nil
	}
	return list
}

// giveLanes gives each column the shortest free lane, the longest columns
// last; it reports whether there are enough.
func (n *node) giveLanes(list []choice) bool {
	slices.SortFunc(list, func(a, b choice) int { return cmp.Or(cmp.Compare(a.group, b.group), cmp.Compare(a.col, b.col)) })
	at := 0
	for i := range list {
		c := &list[i]
		gr := &n.m.groups[c.group]
		if i == 0 || list[i-1].group != c.group {
			at = 0
		}
		for at < len(gr.lanes) && (n.taken[c.group][at] || gr.lengths[at] < gr.cols[c.col].need) {
			at++
		}
		if at == len(gr.lanes) {
			return false
		}
		c.lane = int32(at)
		at++
	}
	return true
}

// price returns the column with the least reduced cost, and that cost. What
// the row r of lanes has left over is column -1-r.
func (s *simplex) price() (best int, least float64) {
	for g, last := range s.laneRow {
		sum, r := 0.0, s.first[g]
		for k := range last {
			for ; r <= last[k]; r++ {
				sum += s.y[r]
			}
			s.sums[g][k] = sum
		}
	}
	for r := int(s.first[0]); r < s.rows; r++ {
		if -s.y[r] < least {
			best, least = -1-r, -s.y[r]
		}
	}
	for j := range s.cols {
		c := &s.cols[j]
		col := &s.n.m.groups[c.group].cols[c.col]
		rc := float64(col.cost) - s.sums[c.group][c.fit]
		for _, i := range col.units {
			rc -= s.y[s.unitRow[i]]
		}
		if rc < least {
			best, least = j, rc
		}
	}
	return best, least
}

// pivot brings column e into the basis.
func (s *simplex) pivot(e int, rc float64) bool {
	var units []int16
	from, to := int32(-1-e), int32(-1-e)
	if e >= 0 {
		c := &s.cols[e]
		units = s.n.m.groups[c.group].cols[c.col].units
		from, to = s.first[c.group], s.laneRow[c.group][c.fit]
	}
	out := exchange(s.inverse, s.x, s.y, s.entry, rc, func(row []float64) float64 {
		d := 0.0
		for _, i := range units {
			d += row[s.unitRow[i]]
		}
		for k := from; k <= to; k++ {
			d += row[k]
		}
		return d
	})
	if out < 0 {
		return false
	}
	s.basis[out] = none
	if e >= 0 {
		s.basis[out] = int32(e)
	}
	return true
}
