package main

import (
	"cmp"
	"slices"
)

// plain is the plain model of a task: which lane each stay is spent in.
//
//	x[s][l]  stay s is spent in lane l
//	stays[s] stay s is spent in the lane of the stay before it, and
//	both[s][l] in lane l both times
//	y[b, m]  stay b is moved aside for the pull-outs of moment m
//	due …    see countAside
//
// Room is kept at every moment at which somebody comes in.
type plain struct {
	*program
	t    *task
	told bool    // lanes that are alike are told apart
	x    [][]int // none where it does not fit
	both [][]int // empty for first stays
	stay []int   // none for first stays
	y    map[asideMove]int
	due  []dueIn
}

// dueIn holds the variables due of one lane and one moment.
type dueIn struct {
	lane   int
	ending []int
	vars   []int
}

// newPlain builds the model. Without aside nobody may be moved aside: an
// easier model, whose bound holds only among such plans.
func newPlain(t *task, aside bool) *plain {
	p := &plain{program: &program{}, t: t, y: map[asideMove]int{}}
	p.assign()
	p.keepRoom()
	p.countChanges()
	if aside {
		p.countAside()
	} else {
		p.forbidCrossing()
	}
	return p
}

// assign gives each stay exactly one lane that is long enough.
func (p *plain) assign() {
	for s := range p.t.stays {
		var vars []int
		x := make([]int, len(p.t.lanes))
		for l := range x {
			x[l] = none
			if p.t.takes(s) <= p.t.lanes[l].room {
				x[l] = p.add(0)
				vars = append(vars, x[l])
			}
		}
		p.x = append(p.x, x)
		p.Exactly = append(p.Exactly, vars)
	}
}

// keepRoom adds a row for each lane and each moment at which somebody comes in.
func (p *plain) keepRoom() {
	for _, m := range p.t.arrivals() {
		there := p.t.present(m)
		for l := range p.t.lanes {
			r := row{Most: p.t.lanes[l].room}
			for _, s := range there {
				if p.x[s][l] != none {
					r.Vars = append(r.Vars, p.x[s][l])
					r.Coefs = append(r.Coefs, p.t.takes(s))
				}
			}
			p.Rows = append(p.Rows, r)
		}
	}
}

// countChanges prices every stay in another lane than the one before: it is
// in the same lane only if for some lane it is there both times. This is the
// form with the tightest relaxation.
func (p *plain) countChanges() {
	p.both = make([][]int, len(p.t.stays))
	p.stay = make([]int, len(p.t.stays))
	for s := range p.t.stays {
		p.stay[s] = none
		before, ok := p.t.previous(s)
		if !ok {
			continue
		}
		change := p.add(p.t.change)
		p.stay[s] = change
		vars := []int{change}
		both := make([]int, len(p.t.lanes))
		for l := range both {
			both[l] = none
			if p.x[s][l] == none {
				continue
			}
			both[l] = p.add(0)
			p.clause(^both[l], p.x[s][l])
			p.clause(^both[l], p.x[before][l])
			vars = append(vars, both[l])
		}
		p.both[s] = both
		p.Exactly = append(p.Exactly, vars)
	}
}

// countAside prices every move aside. For each moment of pull-outs the stays
// that end then are taken in the order in which they began: due[i] in a lane
// says that one of the first i+1 of them is spent there. A stay that began
// after that one, ends later and is in that lane is moved aside.
func (p *plain) countAside() {
	for m := range p.t.moments {
		ending := p.t.ending(m)
		for l := range p.t.lanes {
			p.countAsideIn(l, m, ending)
		}
	}
}

func (p *plain) countAsideIn(l, m int, ending []int) {
	due := make([]int, len(ending))
	for i, a := range ending {
		due[i] = p.add(0)
		if i > 0 {
			p.clause(^due[i-1], due[i])
		}
		if p.x[a][l] != none {
			p.clause(^p.x[a][l], due[i])
		}
	}
	for b := range p.t.stays {
		last := none // of ending, in whose way b stands
		for i, a := range ending {
			if p.t.blocks(b, a) {
				last = i
			}
		}
		if last == none || p.x[b][l] == none {
			continue
		}
		key := asideMove{b, m}
		y, ok := p.y[key]
		if !ok {
			y = p.add(p.t.aside)
			p.y[key] = y
		}
		p.clause(^p.x[b][l], ^due[last], y)
	}
	p.due = append(p.due, dueIn{lane: l, ending: ending, vars: due})
}

// ending returns the stays that end at moment m, in the order in which they
// began.
func (t *task) ending(m int) []int {
	var list []int
	for s := range t.stays {
		if t.stays[s].out == m {
			list = append(list, s)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(t.stays[a].in, t.stays[b].in) })
	return list
}

// forbidCrossing lets at most one stay of every set of stays that all cross
// each other into a lane. The sets cover all crossing pairs, each grown to one
// that nothing can be added to.
func (p *plain) forbidCrossing() {
	for _, set := range p.t.crossingSets() {
		for l := range p.t.lanes {
			r := row{Most: 1}
			for _, s := range set {
				if p.x[s][l] != none {
					r.Vars = append(r.Vars, p.x[s][l])
					r.Coefs = append(r.Coefs, 1)
				}
			}
			if len(r.Vars) > 1 {
				p.Rows = append(p.Rows, r)
			}
		}
	}
}

// crossingSets returns sets of stays that all cross each other and together
// contain every crossing pair.
func (t *task) crossingSets() [][]int {
	cross := func(a, b int) bool { return t.blocks(a, b) || t.blocks(b, a) }
	covered := map[[2]int]bool{}
	var sets [][]int
	for a := range t.stays {
		for b := range t.stays {
			if a >= b || covered[[2]int{a, b}] || !cross(a, b) {
				continue
			}
			set := []int{a, b}
			for c := range t.stays {
				if !slices.ContainsFunc(set, func(s int) bool { return s == c || !cross(s, c) }) {
					set = append(set, c)
				}
			}
			slices.Sort(set)
			for i, x := range set {
				for _, y := range set[i+1:] {
					covered[[2]int{x, y}] = true
				}
			}
			sets = append(sets, set)
		}
	}
	return sets
}

// tellApart breaks the symmetry of lanes with the same room: going through
// the vehicles, one begins in the next of these lanes only if an earlier one
// begins in the one before.
func (p *plain) tellApart() {
	p.told = true
	for _, alike := range p.t.alike() {
		for i, l := range alike[1:] {
			before := alike[i]
			clause := []int{}
			for _, v := range p.t.vehicles {
				if p.x[v.first][l] == none {
					continue
				}
				p.clause(append([]int{^p.x[v.first][l]}, clause...)...)
				clause = append(clause, p.x[v.first][before])
			}
		}
	}
}

// alike returns the lanes that have the same room, in groups of two and more.
func (t *task) alike() [][]int {
	var groups [][]int
	byRoom := map[int64]int{}
	for l := range t.lanes {
		g, ok := byRoom[t.lanes[l].room]
		if !ok {
			g = len(groups)
			byRoom[t.lanes[l].room] = g
			groups = append(groups, nil)
		}
		groups[g] = append(groups[g], l)
	}
	return slices.DeleteFunc(groups, func(g []int) bool { return len(g) < 2 })
}

// ordered exchanges the lanes that are alike so that they are in the order
// that tellApart asks for. Stays without a lane keep none.
func (t *task) ordered(lanes []int) []int {
	to := make([]int, len(t.lanes))
	for l := range to {
		to[l] = l
	}
	for _, alike := range t.alike() {
		next := 0
		seen := map[int]bool{}
		take := func(l int) {
			if slices.Contains(alike, l) && !seen[l] {
				seen[l] = true
				to[l] = alike[next]
				next++
			}
		}
		for _, v := range t.vehicles {
			take(lanes[v.first])
		}
		for _, l := range alike {
			take(l)
		}
	}
	mapped := make([]int, len(lanes))
	for s, l := range lanes {
		mapped[s] = none
		if l != none {
			mapped[s] = to[l]
		}
	}
	return mapped
}

// values are the values of all variables for a lane for each stay; lanes that
// are alike may be exchanged.
func (p *plain) values(lanes []int) []bool {
	if p.told {
		lanes = p.t.ordered(lanes)
	}
	values := make([]bool, len(p.Costs))
	set := func(v int) {
		if v != none {
			values[v] = true
		}
	}
	for s, l := range lanes {
		set(p.x[s][l])
		if before, ok := p.t.previous(s); ok && lanes[before] == l {
			set(p.both[s][l])
		} else if ok {
			set(p.stay[s])
		}
	}
	for _, d := range p.due {
		for i, a := range d.ending {
			values[d.vars[i]] = lanes[a] == d.lane || i > 0 && values[d.vars[i-1]]
		}
	}
	for key, y := range p.y {
		values[y] = slices.ContainsFunc(p.t.ending(key.moment), func(a int) bool {
			return lanes[a] == lanes[key.stay] && p.t.blocks(key.stay, a)
		})
	}
	return values
}

// suggest hints a lane for each stay; where all stays have one and the model
// allows that, the values of all variables.
func (p *plain) suggest(lanes []int) {
	if p.told {
		lanes = p.t.ordered(lanes)
	}
	if !slices.Contains(lanes, none) {
		if values := p.values(lanes); p.broken(values) == 0 {
			p.hint(values)
			return
		}
	}
	p.Hint = nil
	for s, l := range lanes {
		if l != none && p.x[s][l] != none {
			p.Hint = append(p.Hint, p.x[s][l])
		}
	}
}

// lanesOf reads the lane of each stay from the values of a solution.
func (p *plain) lanesOf(values []bool) []int {
	lanes := make([]int, len(p.t.stays))
	for s := range lanes {
		lanes[s] = slices.IndexFunc(p.x[s], func(v int) bool { return v != none && values[v] })
	}
	return lanes
}
