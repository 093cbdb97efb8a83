package solve

import (
	"cmp"
	"slices"

	"sallyport"
)

// chain is the choice of home columns on every morning at once. In one lane a
// column follows the other; between two mornings each unit that is in one of
// them and not in the other pays half a change of lane. So a history of a lane
// is a column for each morning, and each unit is to be in one column on each
// morning on which it surely stands in a lane.
//
// Proof. Each day's columns cost what the units pay on that day (days), but
// without the change from a morning's lane to the next one's (anchor.linked).
// A unit that stands in different lanes on two mornings has changed its lane in
// between, or was lifted in a reset window that touches the time between: the
// columns count no more than half of a lift, and the other half stands for the
// change. When a unit was away and at home again it has left home and come back,
// and if it is elsewhere in the end it has left once more: in all, two changes
// for each time at home again, and one. Where units may be lifted, coming home
// again may be the only change of the two, so it counts once. The unit is
// missing in the column of the lane that it has left, and new in that of the
// lane to which it came: half is counted in each.
//
// For any duals, a plan costs at least their sum and, for every lane, the least
// that a history of it costs above the duals of its units.
type chain struct {
	p      *problem
	nights []*chainNight
	links  []*chainLink // between each night and the next
	lanes  []chainLane
	steps  int64
	least  []int64   // scratch, by set of a link
	tails  [][]int64 // by night and column: the least of it and all that follows
}

// chainNight is one morning with its columns, by group and need.
type chainNight struct {
	m     *master
	cols  []chainColumn
	first []int   // by group, and one more: its columns
	rc    []int64 // by column: what it costs above its duals
	pos   []int32 // by unit: its place in the master, or none
	left  []int64 // by lane: what columns that are not listed cost at least above their duals
}

type chainColumn struct {
	units      []int16
	cost, need int64
}

// chainLink is what changing lanes between two mornings costs.
type chainLink struct {
	half  []int64 // by unit: half the price; 0: nothing is known
	joint []int64 // by set of units that columns of both mornings have: twice its half prices
	sides [2]chainSide
}

// chainSide is, for the columns of one morning, the sets of the link that they
// contain, and the half prices of all their units.
type chainSide struct {
	first []int32
	sets  []int32
	all   []int64
}

// chainLane is what a lane may hold.
type chainLane struct {
	lane   int32
	class  int
	length int32
	groups []int // by night
	ends   []int // by night: end of its columns in the night's
}

// chainSets is the most sets that one link may have.
const chainSets = 2_000_000

// newChain joins the masters of mornings; nil when there are too many sets.
func newChain(p *problem, anchors []*anchor, masters []*master, free freedom) *chain {
	c := &chain{p: p}
	for _, m := range masters {
		n := &chainNight{m: m, pos: slices.Repeat([]int32{none}, len(p.units)), left: slices.Repeat([]int64{impossible}, len(p.lanes))}
		for i, u := range m.units {
			n.pos[u] = int32(i)
		}
		for g := range m.groups {
			n.first = append(n.first, len(n.cols))
			for _, col := range m.groups[g].cols {
				n.cols = append(n.cols, chainColumn{col.units, col.cost, int64(col.need)})
			}
		}
		n.first = append(n.first, len(n.cols))
		n.rc = make([]int64, len(n.cols))
		c.nights = append(c.nights, n)
		c.tails = append(c.tails, make([]int64, len(n.cols)))
	}
	for k := range len(c.nights) - 1 {
		l := c.link(k, anchors[k].at, anchors[k+1].at, free)
		if l == nil {
			return nil
		}
		c.links = append(c.links, l)
		c.least = slices.Grow(c.least, len(l.joint))
	}
	c.addLanes()
	return c
}

// link finds the sets of units that columns of two mornings share.
func (c *chain) link(k int, from, to sallyport.Instant, free freedom) *chainLink {
	a, b := c.nights[k], c.nights[k+1]
	l := &chainLink{half: make([]int64, len(c.p.units))}
	for u := range l.half {
		if a.pos[u] != none && b.pos[u] != none {
			l.half[u] = c.p.changeLeast(&c.p.units[u], from, to, free) * dualScale / 2
		}
	}
	known := make(map[[mostAtHome]int16]int32)
	var ok bool
	if l.sides[1], ok = c.side(l, b, b, known, true); !ok {
		return nil
	}
	l.sides[0], _ = c.side(l, a, b, known, false)
	return l
}

// side finds the sets of the link in the columns of one of its mornings, n;
// those that are new are added where grow says so, else left out. Units are
// named by their places in b, the later morning. ok is false when there are too
// many sets.
func (c *chain) side(l *chainLink, n, b *chainNight, known map[[mostAtHome]int16]int32, grow bool) (side chainSide, ok bool) {
	side.all = make([]int64, len(n.cols))
	for j := range n.cols {
		side.first = append(side.first, int32(len(side.sets)))
		var linked [mostAtHome]int16
		size := 0
		for _, x := range n.cols[j].units {
			if u := n.m.units[x]; l.half[u] > 0 {
				linked[size] = int16(b.pos[u])
				size++
				side.all[j] += l.half[u]
			}
		}
		for bits := range 1 << size {
			var key [mostAtHome]int16
			at, sum := 0, int64(0)
			for x := range size {
				if bits>>x&1 != 0 {
					key[at] = linked[x] + 1
					at++
					sum += 2 * l.half[b.m.units[linked[x]]]
				}
			}
			id, is := known[key]
			if !is && grow {
				if len(l.joint) == chainSets {
					return side, false
				}
				id, is = int32(len(l.joint)), true
				known[key] = id
				l.joint = append(l.joint, sum)
			}
			if is {
				side.sets = append(side.sets, id)
			}
		}
	}
	side.first = append(side.first, int32(len(side.sets)))
	return side, true
}

// changeLeast is the least that a unit pays for standing in another lane at a
// moment than at an earlier one: a change of lane, or half a lift in a reset
// window that touches the time between.
func (p *problem) changeLeast(un *unit, from, to sallyport.Instant, free freedom) int64 {
	if un.OffRoad != (sallyport.Window{}) {
		return 0
	}
	least := int64(p.weights.Change)
	if un.OwnerOnly || !free.resets {
		return least
	}
	for i := range p.show.Resets {
		if w := &p.show.Resets[i]; w.From <= to && (w.To == 0 || w.To >= from) {
			least = min(least, int64(p.prices.Reset(un.Unit, w))/2)
		}
	}
	return least
}

// addLanes fills lanes; those of one class are of one group on every morning.
func (c *chain) addLanes() {
	for l := range c.p.lanes {
		ln := chainLane{lane: int32(l), length: c.p.lanes[l].length}
		for _, n := range c.nights {
			for g := range n.m.groups {
				gr := &n.m.groups[g]
				i := slices.Index(gr.lanes, int32(l))
				if i < 0 {
					continue
				}
				end := n.first[g]
				for end < n.first[g+1] && n.cols[end].need <= int64(gr.lengths[i]) {
					end++
				}
				ln.groups, ln.ends = append(ln.groups, g), append(ln.ends, end)
			}
		}
		c.lanes = append(c.lanes, ln)
	}
	slices.SortStableFunc(c.lanes, func(a, b chainLane) int {
		return cmp.Or(slices.Compare(a.groups, b.groups), cmp.Compare(c.p.lanes[a.lane].length, c.p.lanes[b.lane].length))
	})
	for i := range c.lanes {
		switch {
		case i == 0:
			c.lanes[i].class = 0
		case slices.Equal(c.lanes[i].groups, c.lanes[i-1].groups):
			c.lanes[i].class = c.lanes[i-1].class
		default:
			c.lanes[i].class = c.lanes[i-1].class + 1
		}
	}
}

// value returns the bound that duals, by night and place in the master, give,
// times dualScale, and the best history of each lane.
func (c *chain) value(duals [][]int64) (sum int64, paths [][]int32) {
	for k, n := range c.nights {
		n.price(duals[k])
		c.steps += int64(3 * len(n.cols))
		for _, d := range duals[k] {
			sum += d
		}
	}
	paths = make([][]int32, len(c.lanes))
	var cost int64
	for i := range c.lanes {
		if i == 0 || !c.lanes[i].same(&c.lanes[i-1]) {
			cost, paths[i] = c.best(&c.lanes[i])
		} else {
			paths[i] = paths[i-1]
		}
		sum += cost
	}
	return sum, paths
}

func (a *chainLane) same(b *chainLane) bool {
	return a.class == b.class && a.length == b.length
}

func (n *chainNight) price(duals []int64) {
	for j := range n.cols {
		col := &n.cols[j]
		rc := col.cost * dualScale
		for _, i := range col.units {
			rc -= duals[i]
		}
		n.rc[j] = rc
	}
}

// best returns the history of a lane that costs least above its duals, and
// that cost.
//
// The columns of a morning are tried with all of the next at once: of those
// that contain a set the best is noted, and whoever shares no more than the set
// pays half for all others on both sides. Who shares more finds a larger set.
func (c *chain) best(ln *chainLane) (int64, []int32) {
	last := len(c.nights) - 1
	empty := make([]int64, last+2) // by night: what follows an empty column
	rest := make([]int64, last+2)  // by night: the least of it and all that follows
	for k := last; k >= 0; k-- {
		n := c.nights[k]
		from, to := n.first[ln.groups[k]], ln.ends[k]
		tail := c.tails[k]
		if k == last {
			copy(tail[from:to], n.rc[from:to])
		} else {
			left := over(c.nights[k+1].left[ln.lane], rest[k+2])
			c.join(k, ln, empty[k+1], left)
			empty[k] = c.afterEmpty(k, ln, empty[k+1], left)
		}
		rest[k] = min(empty[k], over(n.left[ln.lane], rest[k+1]))
		for _, x := range tail[from:to] {
			rest[k] = min(rest[k], x)
		}
		c.steps += int64(to - from)
	}
	return rest[0], c.path(ln, empty, rest[0])
}

// over is a + b, or impossible when a is.
func over(a, b int64) int64 {
	if a >= impossible {
		return impossible
	}
	return a + b
}

// afterEmpty is the least that follows an empty column of night k.
func (c *chain) afterEmpty(k int, ln *chainLane, empty, left int64) int64 {
	best := min(empty, left)
	next := c.nights[k+1]
	side := &c.links[k].sides[1]
	for j := next.first[ln.groups[k+1]]; j < ln.ends[k+1]; j++ {
		best = min(best, c.tails[k+1][j]+side.all[j])
	}
	return best
}

// join fills the tails of night k from those of the next.
func (c *chain) join(k int, ln *chainLane, empty, left int64) {
	l := c.links[k]
	g := c.least[:len(l.joint)]
	c.steps += int64(len(g))
	for i := range g {
		g[i] = impossible
	}
	next := c.nights[k+1]
	side := &l.sides[1]
	for j := next.first[ln.groups[k+1]]; j < ln.ends[k+1]; j++ {
		x := c.tails[k+1][j] + side.all[j]
		c.steps += int64(side.first[j+1] - side.first[j])
		for _, id := range side.sets[side.first[j]:side.first[j+1]] {
			if x < g[id] {
				g[id] = x
			}
		}
	}
	for i, x := range l.joint {
		g[i] -= x
	}
	n := c.nights[k]
	side = &l.sides[0]
	for j := n.first[ln.groups[k]]; j < ln.ends[k]; j++ {
		best := empty
		for _, id := range side.sets[side.first[j]:side.first[j+1]] {
			best = min(best, g[id])
		}
		c.steps += int64(side.first[j+1] - side.first[j])
		c.tails[k][j] = n.rc[j] + min(best+side.all[j], left)
	}
}

// path returns the columns of the best history of a lane, by night; nil when
// one that is not listed is in it. None stands for the empty column.
func (c *chain) path(ln *chainLane, empty []int64, cost int64) []int32 {
	var path []int32
	was := none
	for k, n := range c.nights {
		at, ok := none, empty[k]+c.step(k, was, none) == cost
		if ok {
			cost = empty[k]
		}
		for j := n.first[ln.groups[k]]; j < ln.ends[k] && !ok; j++ {
			if ok = c.tails[k][j]+c.step(k, was, int32(j)) == cost; ok {
				at, cost = int32(j), c.tails[k][j]-n.rc[j]
			}
		}
		if !ok {
			return nil
		}
		path = append(path, at)
		was = at
	}
	return path
}

// step is what changes cost between column i of the night before night k and
// column j of night k.
func (c *chain) step(k int, i, j int32) int64 {
	if k == 0 {
		return 0
	}
	l := c.links[k-1]
	var sum int64
	if i >= 0 {
		sum += l.sides[0].all[i]
	}
	if j >= 0 {
		sum += l.sides[1].all[j]
	}
	if i < 0 || j < 0 {
		return sum
	}
	a, b := c.nights[k-1], c.nights[k]
	for _, x := range a.cols[i].units {
		for _, y := range b.cols[j].units {
			if u := a.m.units[x]; u == b.m.units[y] {
				sum -= 2 * l.half[u]
			}
		}
	}
	return sum
}

// costOf is what a history costs, times dualScale.
func (c *chain) costOf(path []int32) int64 {
	var sum int64
	was := none
	for k, j := range path {
		if j >= 0 {
			sum += c.nights[k].cols[j].cost * dualScale
		}
		sum += c.step(k, was, j)
		was = j
	}
	return sum
}
