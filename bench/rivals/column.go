package main

import (
	"cmp"
	"slices"
)

// column is a set of vehicles that spend the chosen night in one lane, their
// home, with the least that this lane can cost over the whole show: every
// other stay of theirs is spent there too or somewhere else, which changes
// lanes on the way; who crosses there is moved aside. What they meet elsewhere
// and who else comes into the lane is left out, so the sum over all lanes is a
// lower bound.
type column struct {
	vehicles []int
	takes    int64
	cost     int64
}

// columns is the column model of a task: every vehicle is in exactly one
// column, and no more columns than lanes are too long for the lanes that are
// left.
type columns struct {
	*program
	homes *homes
	list  []column
	cap   int64 // columns that cost so much are left out: a plan with one costs no less
}

// mostColumns limits how many columns there may be; the limit on their cost is
// as high as that allows.
const mostColumns = 10_000

// newColumns builds the model for the night before moment night+1.
func newColumns(t *task, night int) *columns {
	c := &columns{program: &program{}, homes: newHomes(t, night)}
	for cap := t.change; ; cap += t.change {
		list, all := c.homes.sets(cap)
		if len(list) > mostColumns && c.list != nil {
			break
		}
		if c.list, c.cap = list, cap; all {
			c.cap = forever
			break
		}
	}
	of := make([][]int, len(t.vehicles))
	for _, col := range c.list {
		v := c.add(col.cost)
		for _, u := range col.vehicles {
			of[u] = append(of[u], v)
		}
	}
	c.Exactly = of
	c.fitLanes()
	return c
}

// fitLanes lets no more columns need more room than a lane has than there are
// longer lanes. Columns for which that holds can be given a lane each: the
// longest the longest.
func (c *columns) fitLanes() {
	rooms := []int64{0}
	for _, l := range c.homes.t.lanes {
		rooms = append(rooms, l.room)
	}
	slices.Sort(rooms)
	for _, room := range slices.Compact(rooms) {
		r := row{}
		for i, col := range c.list {
			if col.takes > room {
				r.Vars = append(r.Vars, i)
				r.Coefs = append(r.Coefs, 1)
			}
		}
		for _, l := range c.homes.t.lanes {
			if l.room > room {
				r.Most++
			}
		}
		if len(r.Vars) > 0 {
			c.Rows = append(c.Rows, r)
		}
	}
}

// suggest hints the homes of a lane for each stay, as far as they are columns.
func (c *columns) suggest(lanes []int) {
	values := make([]bool, len(c.Costs))
	for _, set := range c.homes.sharing(lanes) {
		if i := slices.IndexFunc(c.list, func(col column) bool { return slices.Equal(col.vehicles, set) }); i >= 0 {
			values[i] = true
		}
	}
	if c.broken(values) == 0 {
		c.hint(values)
		return
	}
	c.Hint = nil
	for v, is := range values {
		if is {
			c.Hint = append(c.Hint, v)
		}
	}
}

// sharing returns who shares each lane over the night; nil for no one.
func (h *homes) sharing(lanes []int) [][]int {
	at := make([][]int, len(h.t.lanes))
	for s, x := range h.t.stays {
		if h.overNight(s) && lanes[s] != none {
			at[lanes[s]] = append(at[lanes[s]], x.vehicle)
		}
	}
	return at
}

// settle reads a solution: the lane of each stay that its column spends at
// home, none for the others. Columns are given lanes by length, the longest
// first; where they are all homes in the lanes of like, which may be nil, they
// are given these.
func (c *columns) settle(values []bool, like []int) []int {
	var chosen []column
	for i, is := range values {
		if is {
			chosen = append(chosen, c.list[i])
		}
	}
	at := c.placeLike(chosen, like)
	if at == nil {
		at = c.place(chosen)
	}
	lanes := slices.Repeat([]int{none}, len(c.homes.t.stays))
	for i, col := range chosen {
		for _, s := range c.homes.kept(col.vehicles) {
			lanes[s] = at[i]
		}
	}
	return lanes
}

// placeLike gives every column the lane in which the same vehicles spend the
// night in like; nil when that cannot be done for all.
func (c *columns) placeLike(chosen []column, like []int) []int {
	if like == nil {
		return nil
	}
	sharing := c.homes.sharing(like)
	at := make([]int, len(chosen))
	for i, col := range chosen {
		at[i] = slices.IndexFunc(sharing, func(set []int) bool { return slices.Equal(set, col.vehicles) })
		if at[i] < 0 {
			return nil
		}
	}
	return at
}

// place gives the longest column the longest lane, and so on.
func (c *columns) place(chosen []column) []int {
	t := c.homes.t
	order, lanes, at := make([]int, len(chosen)), make([]int, len(t.lanes)), make([]int, len(chosen))
	for i := range order {
		order[i] = i
	}
	for l := range lanes {
		lanes[l] = l
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(chosen[b].takes, chosen[a].takes) })
	slices.SortStableFunc(lanes, func(a, b int) int { return cmp.Compare(t.lanes[b].room, t.lanes[a].room) })
	for i, col := range order {
		at[col] = lanes[i]
	}
	return at
}
