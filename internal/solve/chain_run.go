package solve

import "slices"

// chained raises the bound to what all mornings cost together with the
// changes of lane between them. cut is the most that the columns may cost that
// are listed at first; a negative one leaves it to the prover.
//
// When all duals are settled, the columns are listed that could be in a better
// history than the best ones listed (room); what is left out then costs more
// than the best listed column of its lane and morning by that much.
func (v *prover) chained(anchors []*anchor, cut int64) {
	c := v.mornings(anchors, cut)
	if c == nil || len(c.days) < 2 {
		return
	}
	known := make(map[string]bool)
	var lp *covering
	for range chainTries {
		ch := newChain(v.p, c.days, c.masters(), v.free)
		if ch == nil {
			return
		}
		if lp == nil {
			lp = ch.programme()
		}
		var ok bool
		raise := func(int64) {}
		if !slices.Contains(c.whole, false) {
			raise = v.raise
		}
		if c.duals, ok = ch.rise(c.duals, lp, known, raise, v.step); !ok {
			return
		}
		room := min(ch.room(c.duals), chainRoom*int64(v.p.weights.Change)*dualScale)
		missing, ok := c.list(room, v)
		if !ok || missing == 0 {
			return
		}
	}
}

// chainTries is how often duals are found anew while columns are missing.
const chainTries = 3

// mornings is the mornings of a chain.
type mornings struct {
	days  []*anchor
	roots []*root
	whole []bool // all columns are listed
	duals [][]int64
}

// mornings lists the columns of all mornings, and raises the bound to what
// these cost one by one; nil when there are too many columns.
func (v *prover) mornings(anchors []*anchor, cut int64) *mornings {
	c := &mornings{}
	many := false // columns
	for _, a := range anchors {
		if len(masterOf(a).units) > 0 {
			c.days = append(c.days, a)
		}
	}
	var sum int64
	for _, a := range c.days {
		a.linked = len(c.days) > 1
		var m *master
		var lists []*enumeration
		if cut < 0 {
			m, lists = v.master(a, mostColumns)
		} else if m, lists = newMaster(v.p, a, v.free, cut, v.unit, v.step); m != nil {
			m.limit = v.limit
		}
		if m == nil {
			many = true
			continue
		}
		n := newNode(m)
		b, _, _ := n.relax(v.step)
		sum += max(0, b)
		v.raise(sum)
		c.whole = append(c.whole, m.cut >= impossible)
		m.cut = impossible // of those left out the chain takes care
		c.roots, c.duals = append(c.roots, &root{n: n, lists: lists}), append(c.duals, n.duals)
	}
	if many {
		return nil
	}
	return c
}

func (c *mornings) masters() []*master {
	var list []*master
	for _, r := range c.roots {
		list = append(list, r.n.m)
	}
	return list
}

// list lists the columns that are missing and cost no more than room above the
// best, raises the bound to what the duals are worth with what is still left
// out, and returns how many were missing; ok is false when they are too many.
func (c *mornings) list(room int64, v *prover) (missing int, ok bool) {
	best := make([][][]pick, len(c.roots))
	for k, r := range c.roots {
		if c.whole[k] {
			continue
		}
		n := newNode(r.n.m)
		copy(n.duals, c.duals[k])
		more, ok := r.price(n, room, v.step)
		if !ok {
			return missing, false
		}
		best[k] = n.best
		missing += more
	}
	ch := newChain(v.p, c.days, c.masters(), v.free)
	if ch == nil {
		return missing, false
	}
	for k, r := range c.roots {
		for g := range best[k] {
			for i, l := range r.n.m.groups[g].lanes {
				ch.nights[k].left[l] = best[k][g][i].cost + room
			}
		}
	}
	value, _ := ch.value(c.duals)
	v.raise(value)
	return missing, v.step(ch.spent())
}

// chainRoom is the most room, in changes of lane, for which columns are listed.
const chainRoom = 3

// room is by how much the best history of some lane costs more than the best
// columns of all mornings do by themselves. A history with a column that is not
// listed, and costs that much more than the best, is no better than it.
func (c *chain) room(duals [][]int64) int64 {
	for k, n := range c.nights {
		n.price(duals[k])
	}
	var most int64
	for i := range c.lanes {
		ln := &c.lanes[i]
		cost, _ := c.best(ln)
		for k, n := range c.nights {
			least := int64(0)
			for _, x := range n.rc[n.first[ln.groups[k]]:ln.ends[k]] {
				least = min(least, x)
			}
			cost -= least
		}
		most = max(most, cost)
	}
	return most
}
