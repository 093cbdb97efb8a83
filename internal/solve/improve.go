package solve

import (
	"context"
	"math"
	"slices"
)

// construct puts one unit after the other where it adds least, the longest
// first with some chance mixed in.
func (st *stream) construct(ctx context.Context) {
	order := make([]int32, len(st.p.units))
	key := make([]int32, len(order))
	for i := range order {
		order[i] = int32(i)
		key[i] = st.p.units[i].length + int32(st.rnd.IntN(200))
		if st.p.units[i].fixed {
			key[i] += unlimited
		}
	}
	slices.SortStableFunc(order, func(a, b int32) int { return int(key[b] - key[a]) })
	for _, u := range order {
		if ctx.Err() != nil {
			break
		}
		st.reroute([]int32{u})
	}
	st.best.copyFrom(st.b)
}

// improve makes steps steps of taking a few units off the board and putting
// them back one by one, each by its best route; what is not worse is kept.
func (st *stream) improve(ctx context.Context, steps int64) {
	st.start = st.b.steps
	for n := 0; st.b.steps-st.start < steps; n++ {
		if n%16 == 0 && ctx.Err() != nil {
			return
		}
		if st.rnd.IntN(1000) < shareOften {
			st.shareOut()
		} else {
			st.units = st.neighboursInLanes(st.units[:0])
			st.attempt()
		}
		if st.b.total < st.best.total {
			st.best.copyFrom(st.b)
		}
		if st.b.total == 0 {
			return
		}
	}
}

// attempt takes st.units off the board and puts them back; if the board is
// worse then, it is put as it was.
func (st *stream) attempt() {
	before := st.b.total
	st.save()
	st.b.take(st.units...)
	st.rnd.Shuffle(len(st.units), func(i, j int) { st.units[i], st.units[j] = st.units[j], st.units[i] })
	st.reroute(st.units)
	if st.b.total > before {
		st.restore()
	}
}

// save keeps the places of st.units, which it sorts.
func (st *stream) save() {
	slices.Sort(st.units)
	st.old = st.old[:0]
	for _, u := range st.units {
		un := &st.p.units[u]
		st.old = append(st.old, st.b.choice[un.firstStay:un.endStay]...)
	}
}

// restore undoes what has been done to st.units since save.
func (st *stream) restore() {
	slices.Sort(st.units)
	st.b.take(st.units...)
	old := st.old
	for _, u := range st.units {
		n := st.p.units[u].endStay - st.p.units[u].firstStay
		st.b.set(u, old[:n])
		old = old[n:]
	}
}

// reroute puts units, which are off the board, at their best places one after
// the other. A route that cannot be played after all, because its stays
// disturb each other, leaves its unit without a place.
func (st *stream) reroute(units []int32) {
	for _, u := range units {
		st.route.find(st.b, u, st.rnd)
		st.b.set(u, st.route.pick)
		if st.b.total >= impossible {
			st.b.take(u)
		}
	}
}

// mostUnits is the most units that are moved together.
const mostUnits = 8

// How lanes are shared out: in so many of a thousand attempts, two lanes or
// three, with so many states kept.
const (
	shareOften = 500
	shareLanes = 3
	shareWidth = 60
)

// shareOut shares the stays of a few lanes out anew.
func (st *stream) shareOut() {
	k := 2 + st.rnd.IntN(shareLanes-1)
	st.lanes = st.pickLanes(st.lanes[:0], k)
	before := st.b.total
	stays, places, ok := st.dp.solve(st.b, st.lanes, 0, math.MaxInt32, shareWidth, st.rnd)
	st.b.steps += st.dp.steps
	if !ok {
		return
	}
	st.old = st.old[:0]
	for _, s := range stays {
		st.old = append(st.old, st.b.choice[s])
	}
	st.b.move(stays, places)
	if st.b.total > before {
		st.b.move(stays, st.old)
	}
}

// pickLanes takes a lane at random and others that its vehicles have been in
// or could be in.
func (st *stream) pickLanes(lanes []int32, k int) []int32 {
	lanes = append(lanes, int32(st.rnd.IntN(len(st.p.lanes))))
	for tries := 0; len(lanes) < k && tries < 20; tries++ {
		list := st.b.events[lanes[st.rnd.IntN(len(lanes))]]
		if len(list) == 0 {
			continue
		}
		s := st.p.events[list[st.rnd.IntN(len(list))]].stay
		un := &st.p.units[st.p.stays[s].unit]
		l := none
		if st.rnd.IntN(2) == 0 {
			l = st.b.laneOf(un.firstStay + int32(st.rnd.IntN(int(un.endStay-un.firstStay))))
		} else if pls := st.p.stays[s].places; len(pls) > 0 {
			l = st.p.places[pls[st.rnd.IntN(len(pls))]].lane
		}
		if l != none && !slices.Contains(lanes, l) {
			lanes = append(lanes, l)
		}
	}
	return lanes
}

// neighboursInLanes takes a unit at random and others that share a lane with
// one of those taken, now and then a stranger.
func (st *stream) neighboursInLanes(units []int32) []int32 {
	k := 1 + st.rnd.IntN(mostUnits)
	units = append(units, int32(st.rnd.IntN(len(st.p.units))))
	for tries := 0; len(units) < k && tries < 20; tries++ {
		un := &st.p.units[units[st.rnd.IntN(len(units))]]
		s := un.firstStay + int32(st.rnd.IntN(int(un.endStay-un.firstStay)))
		l := st.b.laneOf(s)
		if l == none || st.rnd.IntN(3) == 0 {
			l = int32(st.rnd.IntN(len(st.p.lanes)))
		}
		if list := st.b.events[l]; len(list) > 0 {
			u := st.p.stays[st.p.events[list[st.rnd.IntN(len(list))]].stay].unit
			if !slices.Contains(units, u) {
				units = append(units, u)
			}
		}
	}
	return units
}
