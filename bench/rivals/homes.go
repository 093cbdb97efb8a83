package main

import "slices"

// homes tells what a home costs: a lane that is shared by some vehicles over
// the chosen night.
type homes struct {
	t         *task
	night     int
	in, out   [][]int // by vehicle and moment: the stay that begins or ends then; none
	here      [][]int // the stay in which it is in the park just before then; none
	now, next []homeState
}

// homeState is the cheapest way so far in which certain vehicles have spent
// their last stay at home and the others theirs elsewhere.
type homeState struct {
	cost int64
	from int // the set of vehicles at home before
}

func newHomes(t *task, night int) *homes {
	h := &homes{t: t, night: night}
	for _, v := range t.vehicles {
		in, out, here := slices.Repeat([]int{none}, t.moments), slices.Repeat([]int{none}, t.moments), slices.Repeat([]int{none}, t.moments)
		for s := v.first; s < v.end; s++ {
			x := t.stays[s]
			in[x.in] = s
			if x.out != forever {
				out[x.out] = s
			}
			for m := x.in + 1; m < t.moments && m <= x.out; m++ {
				here[m] = s
			}
		}
		h.in, h.out, h.here = append(h.in, in), append(h.out, out), append(h.here, here)
	}
	return h
}

// sets returns all sets of vehicles that fit some lane as a home that costs
// less than cap, and whether no set that fits costs more. A home never costs
// less with one more vehicle, so what costs too much is not added to.
func (h *homes) sets(cap int64) (list []column, all bool) {
	all = true
	longest := int64(0)
	for _, l := range h.t.lanes {
		longest = max(longest, l.room)
	}
	cheap := make([][]bool, len(h.t.vehicles)) // pairs
	for a := range cheap {
		cheap[a] = make([]bool, len(h.t.vehicles))
		for b := range a {
			if h.t.vehicles[a].takes+h.t.vehicles[b].takes <= longest {
				cheap[a][b] = h.cost([]int{b, a}) < cap
				all = all && cheap[a][b]
			}
		}
	}
	var grow func(set []int, takes int64)
	grow = func(set []int, takes int64) {
		from := 0
		if len(set) > 0 {
			from = set[len(set)-1] + 1
		}
		for u := from; u < len(h.t.vehicles); u++ {
			room := takes + h.t.vehicles[u].takes
			if room > longest || slices.ContainsFunc(set, func(v int) bool { return !cheap[u][v] }) {
				continue
			}
			with := append(slices.Clone(set), u)
			cost := h.cost(with)
			if cost >= cap {
				all = false
				continue
			}
			list = append(list, column{vehicles: with, takes: room, cost: cost})
			grow(with, room)
		}
	}
	grow(nil, 0)
	return list, all
}

// cost is the least that a home of the vehicles costs.
func (h *homes) cost(set []int) int64 { return h.play(set, nil) }

// kept returns the stays that are spent at home in a cheapest way.
func (h *homes) kept(set []int) []int {
	var tables [][]homeState
	cost := h.play(set, func(table []homeState) { tables = append(tables, slices.Clone(table)) })
	last := len(tables) - 1
	home := slices.IndexFunc(tables[last], func(s homeState) bool { return s.cost == cost })
	var stays []int
	for m := last; m >= 0; m-- {
		for k, v := range set {
			if s := h.in[v][m]; s != none && home&(1<<k) != 0 {
				stays = append(stays, s)
			}
		}
		home = tables[m][home].from
	}
	return stays
}

// play goes through all moments and keeps, for every set of vehicles that have
// spent their last stay at home, the cheapest way there; see shows the table
// of each moment. It returns the least cost.
func (h *homes) play(set []int, see func([]homeState)) int64 {
	size := 1 << len(set)
	h.now = append(h.now[:0], make([]homeState, size)...)
	for m := range h.t.moments {
		if coming, going := h.turn(set, m); coming|going != 0 || see != nil {
			h.next = h.next[:0]
			for range size {
				h.next = append(h.next, homeState{cost: forever})
			}
			for home, s := range h.now {
				if s.cost < forever {
					h.step(set, m, home, coming, s.cost+h.asides(set, m, home, going))
				}
			}
			h.now, h.next = h.next, h.now
		}
		if see != nil {
			see(h.now)
		}
	}
	least := h.now[0].cost
	for _, s := range h.now {
		least = min(least, s.cost)
	}
	return least
}

// turn returns which of the set come and which go at moment m, as bits.
func (h *homes) turn(set []int, m int) (coming, going int) {
	for k, v := range set {
		if h.in[v][m] != none {
			coming |= 1 << k
		}
		if h.out[v][m] != none {
			going |= 1 << k
		}
	}
	return coming, going
}

// asides prices the moves aside at home that let those out who go.
func (h *homes) asides(set []int, m, home, going int) int64 {
	if going&home == 0 {
		return 0
	}
	var cost int64
	for k, v := range set {
		b := h.here[v][m]
		if b == none || home&(1<<k) == 0 {
			continue
		}
		for j, w := range set {
			if going&home&(1<<j) != 0 && h.t.blocks(b, h.out[w][m]) {
				cost += h.t.aside
				break
			}
		}
	}
	return cost
}

// step enters into next what can follow a state: each of those who come does
// so to the home or elsewhere, at the price of a change if that is not where
// it was before. Who comes for the chosen night comes to the home.
func (h *homes) step(set []int, m, home, coming int, cost int64) {
	must := 0
	for k, v := range set {
		if s := h.in[v][m]; s != none && h.overNight(s) {
			must |= 1 << k
		}
	}
	for choice := coming; ; choice = (choice - 1) & coming {
		if choice&must == must {
			to, c := home&^coming|choice, cost
			for k := range set {
				if m > 0 && (home^to)&(1<<k) != 0 {
					c += h.t.change
				}
			}
			if c < h.next[to].cost {
				h.next[to] = homeState{c, home}
			}
		}
		if choice == 0 {
			return
		}
	}
}

// overNight reports whether the stay goes over the chosen night.
func (h *homes) overNight(s int) bool {
	return h.t.stays[s].in <= h.night && h.night < h.t.stays[s].out
}
