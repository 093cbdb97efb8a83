package solve

import (
	"cmp"
	"slices"

	"sallyport"
)

// master is the choice of home columns at one anchor: each unit that surely
// stands in a lane is in one of them, and each lane takes one at most. What
// the cheapest choice costs is a lower bound for the part of a plan's cost
// that counts at the anchor.
type master struct {
	units  []int32
	groups []laneGroup
	unit   int64 // every plan's cost is a multiple of it
	cut    int64 // columns that are not listed cost more
	limit  int64 // the bound is for plans that cost no more
}

// laneGroup is lanes that differ in nothing but their length.
type laneGroup struct {
	lanes   []int32 // the shortest first
	lengths []int32
	most    []int    // by lane: units it has room for
	cols    []column // by need
}

// column is a set of units at home in one lane.
type column struct {
	units []int16 // places in master.units, ascending
	cost  int64
	need  int32 // length of the shortest lane for it, gaps included
}

// mostColumns is how many columns one anchor may have, mostAtHome how many
// units a column.
const (
	mostColumns = 60_000
	mostAtHome  = 6
	mostMaster  = 400 // units
	mostPriced  = 300_000
	mostListed  = 25_000 // are listed whatever they cost
)

// newMaster lists the columns of an anchor that cost cut at most; nil when
// there are too many. It counts its steps with step, and stops with nil when
// that says so. With the master come the lists that its columns are from.
func newMaster(p *problem, a *anchor, free freedom, cut, unit int64, step func(int64) bool) (*master, []*enumeration) {
	m := masterOf(a)
	if len(m.units) == 0 || len(m.units) > mostMaster {
		return nil, nil
	}
	var lists []*enumeration
	if a.linked {
		unit = 1 // half of a lift may be counted elsewhere
	}
	if cut < impossible {
		cut = cut / unit * unit // the next dearer cost is cut + unit
	}
	m.cut, m.unit = cut, unit
	costs := make(map[sallyport.LaneKind]*columns)
	total := 0
	for _, lanes := range m.alike(p) {
		kind := p.lanes[lanes[0]].kind
		if costs[kind] == nil {
			costs[kind] = newColumns(p, a, kind, free)
		}
		g := laneGroup{lanes: lanes}
		for _, l := range lanes {
			g.lengths = append(g.lengths, p.lanes[l].length)
			g.most = append(g.most, m.roomFor(p, l))
		}
		e := newEnumeration(p, m, lanes[len(lanes)-1])
		e.step, e.costs, e.most, e.tries = step, costs[kind], mostColumns-total, mostPriced
		if !e.run() {
			return nil, nil
		}
		lists = append(lists, e)
		g.cols = e.cols
		total += len(g.cols)
		slices.SortStableFunc(g.cols, byNeed)
		m.groups = append(m.groups, g)
	}
	return m, lists
}

func byNeed(a, b column) int { return cmp.Compare(a.need, b.need) }

func masterOf(a *anchor) *master {
	m := &master{}
	for u, s := range a.fixed {
		if s != none {
			m.units = append(m.units, int32(u))
		}
	}
	return m
}

// fewColumns reports whether an anchor has no more than most columns, so that
// all can be listed at once.
func fewColumns(p *problem, a *anchor, most int) bool {
	m := masterOf(a)
	if len(m.units) > mostMaster {
		return false
	}
	left := most
	for _, lanes := range m.alike(p) {
		e := newEnumeration(p, m, lanes[len(lanes)-1])
		e.tries, e.most = left, most
		if !e.run() {
			return false
		}
		left = e.tries
	}
	return true
}

// alike returns the lanes in groups that differ only in length.
func (m *master) alike(p *problem) [][]int32 {
	type key struct {
		kind sallyport.LaneKind
		gap  int32
		deep int32
		may  string
	}
	at := make(map[key]int)
	var groups [][]int32
	for l := range p.lanes {
		ln := &p.lanes[l]
		may := make([]byte, len(m.units))
		for i, u := range m.units {
			un := &p.units[u]
			if p.mayBesideLength(un, int32(l)) {
				may[i] |= 1
			}
			if un.told && un.home == int32(l) {
				may[i] |= 2
			}
		}
		k := key{ln.kind, ln.gap, ln.deep, string(may)}
		i, ok := at[k]
		if !ok {
			i = len(groups)
			at[k] = i
			groups = append(groups, nil)
		}
		groups[i] = append(groups[i], int32(l))
	}
	for _, g := range groups {
		slices.SortStableFunc(g, func(a, b int32) int { return cmp.Compare(p.lanes[a].length, p.lanes[b].length) })
	}
	return groups
}

// mayBesideLength reports whether the unit might use the lane if it were long
// enough.
func (p *problem) mayBesideLength(un *unit, l int32) bool {
	why := p.whyNot(un, l)
	if why != "too long" {
		return why == ""
	}
	short := *un
	short.length = 0
	return p.whyNot(&short, l) == ""
}

// roomFor returns how many of the units a lane can hold at most.
func (m *master) roomFor(p *problem, l int32) int {
	ln := &p.lanes[l]
	var lengths []int32
	for _, u := range m.units {
		if un := &p.units[u]; p.mayBesideLength(un, l) {
			lengths = append(lengths, un.length)
		}
	}
	slices.Sort(lengths)
	n, need := 0, -ln.gap
	for _, x := range lengths {
		if need += ln.gap + x; need > ln.length || n >= int(ln.deep) {
			break
		}
		n++
	}
	return n
}

// enumeration lists the columns of one group of lanes.
type enumeration struct {
	step   func(int64) bool // counts steps; false: stop
	p      *problem
	m      *master
	lane   int32 // the longest
	costs  *columns
	most   int
	tries  int // columns priced, at most
	cols   []column
	may    []bool                     // by place of a unit: it might use the lanes
	listed map[[mostAtHome]int16]bool // all columns listed; nil until it is asked what is missing
	set    []int16
	ids    []int32
	pairs  [][]int64 // by place of two units: cost of their column; none: not known yet
	threes map[[3]int16]int64
	sums   int64 // of pairs of the set
}

func newEnumeration(p *problem, m *master, lane int32) *enumeration {
	e := &enumeration{p: p, m: m, lane: lane}
	for _, u := range m.units {
		e.may = append(e.may, p.mayBesideLength(&p.units[u], lane))
	}
	return e
}

// run reports whether there was room for all columns.
func (e *enumeration) run() bool { return e.extend(0, 0) }

func (e *enumeration) extend(from int, need int32) bool {
	ln := &e.p.lanes[e.lane]
	if int32(len(e.set)) >= ln.deep {
		return true
	}
	for i := from; i < len(e.m.units); i++ {
		u := e.m.units[i]
		un := &e.p.units[u]
		n := need + un.length
		if len(e.set) > 0 {
			n += ln.gap
		}
		if n > ln.length || !e.may[i] || !e.mayJoin(un) {
			continue
		}
		if len(e.cols) >= e.most || len(e.set) == mostAtHome || e.tries == 0 || e.costs != nil && !e.step(e.costs.spent()) {
			return false
		}
		e.tries--
		e.set, e.ids = append(e.set, int16(i)), append(e.ids, u)
		ok, sums := true, e.sums
		if e.costs == nil {
			if ok = e.extend(i+1, n); !ok {
				return false
			}
			e.set, e.ids = e.set[:len(e.set)-1], e.ids[:len(e.ids)-1]
			continue
		}
		for _, j := range e.set[:len(e.set)-1] {
			e.sums += e.pair(i, int(j))
		}
		if k := int64(len(e.set) - 1); k > 1 && e.sums > k*e.m.cut || k > 2 && e.triples() > k*(k-1)/2*e.m.cut {
			// Each unit is in k pairs and k(k−1)/2 triples.
			ok = true
		} else if c := e.costs.of(e.ids, e.lane, e.m.cut); c <= e.m.cut {
			// A larger column costs no less.
			e.cols = append(e.cols, column{units: slices.Clone(e.set), cost: c, need: n})
			ok = e.extend(i+1, n)
		}
		e.sums = sums
		e.set, e.ids = e.set[:len(e.set)-1], e.ids[:len(e.ids)-1]
		if !ok {
			return false
		}
	}
	return true
}

// pair returns what the column of two units costs, cut + 1 at most.
func (e *enumeration) pair(i, j int) int64 {
	if e.pairs == nil {
		e.pairs = make([][]int64, len(e.m.units))
		for k := range e.pairs {
			e.pairs[k] = slices.Repeat([]int64{int64(none)}, k)
		}
	}
	i, j = max(i, j), min(i, j)
	if e.pairs[i][j] < 0 {
		e.pairs[i][j] = min(e.m.cut+1, e.costs.of([]int32{e.m.units[j], e.m.units[i]}, e.lane, e.m.cut))
	}
	return e.pairs[i][j]
}

// triples returns the sum of what the columns of any three units of the set
// cost, each cut + 1 at most.
func (e *enumeration) triples() int64 {
	var sum int64
	n := len(e.set)
	if e.threes == nil {
		e.threes = make(map[[3]int16]int64)
	}
	for a := range n {
		for b := a + 1; b < n; b++ {
			for c := b + 1; c < n; c++ {
				key := [3]int16{e.set[a], e.set[b], e.set[c]}
				cost, ok := e.threes[key]
				if !ok {
					cost = min(e.m.cut+1, e.costs.of([]int32{e.ids[a], e.ids[b], e.ids[c]}, e.lane, e.m.cut))
					e.threes[key] = cost
				}
				sum += cost
			}
		}
	}
	return sum
}

func (e *enumeration) mayJoin(un *unit) bool {
	for _, o := range e.ids {
		if un.StandsAlone || e.p.units[o].StandsAlone || slices.Contains(un.apart, o) {
			return false
		}
	}
	return true
}
