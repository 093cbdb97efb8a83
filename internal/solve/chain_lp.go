package solve

import (
	"math"
)

// covering is a linear programme whose columns are found one after the other:
// each of its first rows is to be covered once, each of the others at most so
// often. The dual of a row that is to be covered stays within reach of a centre,
// for the row may be covered too seldom or too often at a price. It is solved
// by the revised simplex method on a dense inverse, as simplex is, and its
// numbers are as little exact.
type covering struct {
	rows, once int
	cols       []coverColumn
	low, high  []float64 // by row to be covered: bounds of its dual
	inverse    []float64
	basis      []int32 // by row: its column; those below 0 see costOf
	x, y       []float64
	entry      []float64
}

type coverColumn struct {
	rows []int32
	cost float64
}

// newCovering returns a programme without columns: once rows that are to be
// covered, then a row for each of most.
func newCovering(once int, most []int) *covering {
	s := &covering{rows: once + len(most), once: once, low: make([]float64, once), high: make([]float64, once)}
	m := s.rows
	s.inverse, s.basis, s.x, s.y, s.entry = make([]float64, m*m), make([]int32, m), make([]float64, m), make([]float64, m), make([]float64, m)
	for r := range m {
		s.inverse[r*m+r], s.basis[r] = 1, int32(-1-r)
		if r < once {
			s.x[r] = 1 + 1e-5*float64(1+r*7919%97)
		} else {
			s.x[r] = float64(most[r-once]) + 1e-4*float64(1+r*31%89)
		}
	}
	return s
}

// costOf is the cost of column e. Column -1-r covers row r alone; column
// -1-rows-r takes back that it is covered.
func (s *covering) costOf(e int32) float64 {
	switch r := int(-1 - e); {
	case e >= 0:
		return s.cols[e].cost
	case r < s.once:
		return s.high[r]
	case r < s.rows:
		return 0
	default:
		return -s.low[r-s.rows]
	}
}

// around moves the centre and finds the duals of the present basis anew.
func (s *covering) around(duals [][]int64, reach int64) {
	r := 0
	for _, list := range duals {
		for _, d := range list {
			s.low[r], s.high[r] = float64(d-reach)/float64(dualScale), float64(d+reach)/float64(dualScale)
			r++
		}
	}
	clear(s.y)
	for r, e := range s.basis {
		if cost := s.costOf(e); cost != 0 {
			for k, v := range s.inverse[r*s.rows : (r+1)*s.rows] {
				s.y[k] += float64(cost * v)
			}
		}
	}
}

// worth is what the programme comes to.
func (s *covering) worth() float64 {
	sum := 0.0
	for r, e := range s.basis {
		sum += float64(s.x[r] * s.costOf(e))
	}
	return sum
}

// run pivots until nothing is gained; false: tick says to stop.
func (s *covering) run(tick func(int64) bool) bool {
	for range lpPivots {
		e, rc := s.price()
		if !tick(int64(len(s.cols) + s.rows*s.rows/8)) {
			return false
		}
		if rc >= -lpEnough || !s.pivot(e, rc) {
			break
		}
	}
	return true
}

func (s *covering) price() (best int32, least float64) {
	for r, y := range s.y {
		if rc := s.costOf(int32(-1-r)) - y; rc < least {
			best, least = int32(-1-r), rc
		}
		if r < s.once && y-s.low[r] < least {
			best, least = int32(-1-s.rows-r), y-s.low[r]
		}
	}
	for j := range s.cols {
		rc := s.cols[j].cost
		for _, r := range s.cols[j].rows {
			rc -= s.y[r]
		}
		if rc < least {
			best, least = int32(j), rc
		}
	}
	return best, least
}

// pivot brings column e into the basis.
func (s *covering) pivot(e int32, rc float64) bool {
	m := s.rows
	rows, sign := []int32{-1 - e}, 1.0
	switch {
	case e >= 0:
		rows = s.cols[e].rows
	case int(-1-e) >= m:
		rows[0], sign = rows[0]-int32(m), -1
	}
	out := exchange(s.inverse, s.x, s.y, s.entry, rc, func(row []float64) float64 {
		d := 0.0
		for _, i := range rows {
			d += row[i]
		}
		return d * sign
	})
	if out < 0 {
		return false
	}
	s.basis[out] = e
	return true
}

// chainRows is which rows of the programme the units and lanes of a chain have.
type chainRows struct {
	unit  []int32 // by night: row of its first unit
	last  []int32 // by lane: its last row
	first []int32 // by lane: its first
	most  []int   // by row of lanes: how many
	once  int
}

// rowsOf numbers the rows: every unit of every morning, then for each class
// of lanes one for each length.
func (c *chain) rowsOf() *chainRows {
	x := &chainRows{}
	for _, n := range c.nights {
		x.unit = append(x.unit, int32(x.once))
		x.once += len(n.m.units)
	}
	row, first := int32(x.once-1), int32(x.once)
	for i := range c.lanes {
		switch {
		case i == 0 || c.lanes[i].class != c.lanes[i-1].class:
			row++
			first = row
			x.most = append(x.most, c.classFrom(i))
		case !c.lanes[i].same(&c.lanes[i-1]):
			row++
			x.most = append(x.most, c.classFrom(i))
		}
		x.first, x.last = append(x.first, first), append(x.last, row)
	}
	return x
}

// classFrom counts the lanes of the class of lane i from i on.
func (c *chain) classFrom(i int) int {
	n := 0
	for _, ln := range c.lanes[i:] {
		if ln.class == c.lanes[i].class {
			n++
		}
	}
	return n
}

// rise looks for better duals than those given, tells what each are worth when
// that rises, and returns the best. It ends when no history is missing or values hardly rise, or when step says to stop.
func (c *chain) rise(duals [][]int64, lp *covering, known map[string]bool, raise func(int64), step func(int64) bool) (best [][]int64, ok bool) {
	x := c.rowsOf()
	value := int64(math.MinInt64)
	try := duals
	for range chainRounds {
		v, paths := c.value(try)
		if !step(c.spent()) {
			return best, false
		}
		c.addPaths(lp, x, paths, known)
		better := v > value
		if better {
			best, value = try, v
			raise(value)
			lp.around(best, max(1, int64(c.p.weights.Change))*dualScale/chainReach)
		}
		if !lp.run(step) {
			return best, false
		}
		if !better && lp.worth()*float64(dualScale)-float64(value) < float64(max(dualScale*chainEnough, value/chainShare)) {
			break
		}
		try = c.between(best, lp, x)
	}
	return best, true
}

// Duals are found anew no more than chainRounds times, and no more when the
// programme promises less than chainEnough, or than one in chainShare.
const (
	chainReach  = 8 // duals move by this part of a change of lane at a time
	chainRounds = 200
	chainEnough = 20
	chainShare  = 100
)

// spent returns the steps made since it was last asked.
func (c *chain) spent() int64 {
	n := c.steps
	c.steps = 0
	return n
}

// addPaths adds the histories that are new, each for the shortest lane of the
// class that it fits.
func (c *chain) addPaths(lp *covering, x *chainRows, paths [][]int32, known map[string]bool) {
	for i, path := range paths {
		if path == nil {
			continue
		}
		col := coverColumn{cost: float64(c.costOf(path)) / float64(dualScale)}
		need := int64(0)
		for k, j := range path {
			if j < 0 {
				continue
			}
			need = max(need, c.nights[k].cols[j].need)
			for _, u := range c.nights[k].cols[j].units {
				col.rows = append(col.rows, x.unit[k]+int32(u))
			}
		}
		fit := i
		for fit > 0 && c.lanes[fit-1].class == c.lanes[i].class && int64(c.p.lanes[c.lanes[fit-1].lane].length) >= need {
			fit--
		}
		for r := x.first[fit]; r <= x.last[fit]; r++ {
			col.rows = append(col.rows, r)
		}
		key := make([]byte, 0, 4*len(col.rows))
		for _, r := range col.rows {
			key = append(key, byte(r), byte(r>>8), byte(r>>16))
		}
		if len(col.rows) == 0 || known[string(key)] {
			continue
		}
		known[string(key)] = true
		lp.cols = append(lp.cols, col)
	}
}

// between returns the duals half-way between the best ones and those of the
// programme, which by themselves swing widely.
func (c *chain) between(best [][]int64, lp *covering, x *chainRows) [][]int64 {
	out := make([][]int64, len(best))
	for k := range best {
		out[k] = make([]int64, len(best[k]))
		for i := range best[k] {
			y := int64(math.Round(float64(lp.y[int(x.unit[k])+i] * float64(dualScale))))
			out[k][i] = (best[k][i] + y) / 2
		}
	}
	return out
}

// programme returns the programme of the chain, without histories.
func (c *chain) programme() *covering {
	x := c.rowsOf()
	return newCovering(x.once, x.most)
}
