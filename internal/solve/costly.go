package solve

import "math/rand/v2"

// numbers is a set of small numbers that are drawn from at random.
type numbers struct {
	list []int32
	at   []int32 // where in list each number is, from 1; 0: it is not there
}

// set puts number i, below of, in or takes it out.
func (n *numbers) set(i int32, of int, in bool) {
	if n.at == nil {
		n.at = make([]int32, of)
	}
	at := n.at[i]
	switch {
	case in && at == 0:
		n.list = append(n.list, i)
		n.at[i] = int32(len(n.list))
	case !in && at != 0:
		last := n.list[len(n.list)-1]
		n.list[at-1], n.at[last] = last, at
		n.list, n.at[i] = n.list[:len(n.list)-1], 0
	}
}

// any draws one of the numbers; none when there are none.
func (n *numbers) any(rnd *rand.Rand) int32 {
	if len(n.list) == 0 {
		return none
	}
	return n.list[rnd.IntN(len(n.list))]
}

// costly is the lanes and units of a board that cost anything, and the units
// without a place for some stay: where something is to be gained. It is kept up
// to date as they are counted, so that it is found without a look at all.
type costly struct{ lanes, units, homeless numbers }

func (c *costly) lane(b *board, l int32) { c.lanes.set(l, len(b.lanes), b.lanes[l] > 0) }

func (c *costly) unit(b *board, u int32) {
	c.units.set(u, len(b.units), b.units[u] > 0)
	c.homeless.set(u, len(b.units), b.units[u] >= lostUnit)
}

// all takes all lanes and units of the board in.
func (c *costly) all(b *board) {
	for l := range b.lanes {
		c.lane(b, int32(l))
	}
	for u := range b.units {
		c.unit(b, int32(u))
	}
}

// dearOften is in how many of a hundred attempts lanes are taken where
// something is to be gained.
const dearOften = 40

// dearLanes takes, now and then, a lane that costs something, or the two lanes
// between which a unit changes; else none.
func (st *stream) dearLanes(lanes []int32) []int32 {
	if st.rnd.IntN(100) >= dearOften {
		return lanes
	}
	if st.rnd.IntN(2) == 0 {
		if l := st.b.costly.lanes.any(st.rnd); l != none {
			lanes = append(lanes, l)
		}
		return lanes
	}
	u := st.b.costly.units.any(st.rnd)
	if u == none {
		return lanes
	}
	un := &st.p.units[u]
	n := un.endStay - un.firstStay - 1
	for i := int32(0); i < n; i++ {
		s := un.firstStay + (i+int32(st.rnd.IntN(int(n))))%n
		a, b := st.b.laneOf(s), st.b.laneOf(s+1)
		if a != none && b != none && a != b {
			return append(lanes, a, b)
		}
	}
	return lanes
}
