package solve

import (
	"math"
	"slices"

	"sallyport"
)

// trace is a lane's history as it was last played: what stood in the lane
// before each of its groups of events, and what had been paid by then. With it
// one more stay is priced by playing only from its beginning until the lane
// stands again as it would without it.
type trace struct {
	first []int32 // events index at which each group begins
	group []int32
	paid  []int64 // before the group and the check of reserves before it
	ready []int64 // before the group, that check included
	stand []standing
	at    []int32 // where in stand the group's list begins; one more than groups
	total int64
	room  int32 // centimetres free when the lane is fullest, as vehicles come in
}

// played plays lane l with its events and keeps the trace. It returns the
// cost, impossible when the lane cannot be played.
func (t *trace) played(e *laneEval, l int32, events []int32, places []int32) int64 {
	t.first, t.group, t.paid, t.ready = t.first[:0], t.group[:0], t.paid[:0], t.ready[:0]
	t.stand, t.at = t.stand[:0], t.at[:0]
	t.room = e.p.lanes[l].length
	e.begin(l)
	var cost int64
	before := none
	for i := 0; i < len(events); {
		g, j := e.run(events, i)
		t.first, t.group, t.paid = append(t.first, int32(i)), append(t.group, g), append(t.paid, cost)
		t.at = append(t.at, int32(len(t.stand)))
		t.stand = append(t.stand, e.list...)
		cost += e.between(before, g)
		t.ready = append(t.ready, cost)
		if cost >= impossible {
			t.total = impossible
			return impossible
		}
		c := e.group(l, g, events[i:j], places)
		if c >= impossible {
			t.total = impossible
			return impossible
		}
		cost += c
		t.room = min(t.room, e.room(l))
		before = g
		i = j
	}
	t.at = append(t.at, int32(len(t.stand)))
	cost += e.between(before, math.MaxInt32)
	t.total = min(cost, impossible)
	return t.total
}

// room returns how many centimetres are free in lane l now before the first
// vehicle, or behind the last one of a lane that is entered by the tail.
func (e *laneEval) room(l int32) int32 {
	ln := &e.p.lanes[l]
	n := len(e.list)
	switch {
	case n == 0:
		return ln.length
	case ln.kind == sallyport.DeadEnd:
		return e.list[0].from
	}
	return ln.length - e.list[n-1].from - e.unit(n-1).length
}

// list returns what stood in the lane before group i.
func (t *trace) list(i int) []standing { return t.stand[t.at[i]:t.at[i+1]] }

// with returns what the lane costs when stay s is added at the place that
// places gives it, and how many events it played to find out. A lane that
// cannot be played as it is stays impossible.
func (t *trace) with(e *laneEval, l int32, events []int32, s int32, places []int32) (cost int64, played int) {
	if t.total >= impossible {
		return impossible, 0
	}
	st := &e.p.stays[s]
	i, _ := slices.BinarySearch(t.group, st.inGroup)
	e.begin(l)
	before := none
	if i > 0 {
		before = t.group[i-1]
	}
	if i < len(t.group) {
		e.list = append(e.list, t.list(i)...)
		cost = t.paid[i]
	} else if i > 0 {
		// After the last group nothing changes: play that one again.
		i--
		e.list = append(e.list, t.list(i)...)
		cost, before = t.paid[i], none
		if i > 0 {
			before = t.group[i-1]
		}
	}
	in, out := st.in, st.out
	for {
		g := int32(math.MaxInt32)
		if i < len(t.group) {
			g = t.group[i]
		}
		if e.sorted[l] == 0 && in == none && out == none && i < len(t.group) && slices.Equal(e.list, t.list(i)) {
			return cost + e.reserves(before, g) + t.total - t.ready[i], played
		}
		own := none
		switch {
		case in != none:
			own = st.inGroup
		case out != none:
			own = st.outGroup
		}
		if own != none && own < g {
			g = own
		}
		if g == math.MaxInt32 {
			return cost + e.between(before, g), played
		}
		e.merged = e.merged[:0]
		if i < len(t.group) && t.group[i] == g {
			end := len(events)
			if i+1 < len(t.group) {
				end = int(t.first[i+1])
			}
			e.merged = append(e.merged, events[t.first[i]:end]...)
			i++
		}
		if g == own {
			if in != none {
				e.merged, in = with(e.merged, in), none
			} else {
				e.merged, out = with(e.merged, out), none
			}
		}
		cost += e.between(before, g)
		played += len(e.merged)
		c := e.group(l, g, e.merged, places)
		if c >= impossible {
			return impossible, played
		}
		cost += c
		before = g
	}
}
