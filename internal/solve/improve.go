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
	st.route.near.wide = true
	for _, u := range order {
		if ctx.Err() != nil {
			break
		}
		st.reroute([]int32{u})
	}
	st.route.near.wide = false
	st.best.copyFrom(st.b)
	if st.b.total < anyWorkable || ctx.Err() != nil {
		return
	}
	// The park is too tight for that: homes for all, if there are any.
	if st.pack(); st.b.total < st.best.total {
		st.best.copyFrom(st.b)
	} else {
		st.b.copyFrom(st.best)
	}
}

// improve makes steps steps of taking a few units off the board and putting
// them back one by one, each by its best route; what is not worse is kept.
func (st *stream) improve(ctx context.Context, steps int64) {
	st.start = st.b.steps
	for n := 0; st.b.steps-st.start < steps; n++ {
		if n%16 == 0 && ctx.Err() != nil {
			return
		}
		switch {
		case st.resets && st.rnd.IntN(8) == 0:
			st.tidy()
		case st.b.total >= lostUnit && st.rnd.IntN(8) > 0:
			st.units = st.aroundHomeless(st.units[:0])
			st.attempt()
		case st.rnd.IntN(1000) < shareOften:
			st.unsettle()
			st.shareOut()
		default:
			st.units = st.neighboursInLanes(st.units[:0])
			st.attempt()
		}
		if st.b.worth() < st.best.worth() && st.b.allowed(st.best.differ()) {
			st.best.follow(st.b)
			st.better = st.b.steps
		}
		if st.b.worth() <= st.floor {
			return
		}
	}
}

// attempt takes st.units off the board and puts them back; if the board is
// worse then, it is put as it was.
func (st *stream) attempt() {
	before, differ := st.b.total, st.b.differ()
	st.save()
	st.b.take(st.units...)
	st.rnd.Shuffle(len(st.units), func(i, j int) { st.units[i], st.units[j] = st.units[j], st.units[i] })
	if before >= lostUnit && st.rnd.IntN(2) == 0 {
		slices.SortStableFunc(st.units, func(a, b int32) int { return int(st.p.units[b].length - st.p.units[a].length) })
	}
	st.reroute(st.units)
	if st.b.total > before || !st.b.allowed(differ) {
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
	st.route.near.keep(st.old)
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
	shareOften = 900
	shareMost  = 3
	shareWidth = 100
)

// shareOut shares the stays of a few lanes out anew.
func (st *stream) shareOut() {
	k := 2 + st.rnd.IntN(shareMost-1)
	st.lanes = st.pickLanes(st.lanes[:0], k)
	before, differ := st.b.total, st.b.differ()
	stays, places, ok := st.dp.solve(st.b, st.lanes, 0, math.MaxInt32, shareWidth, st.temp, st.rnd)
	st.b.steps += st.dp.steps
	if !ok {
		return
	}
	st.old = st.old[:0]
	for _, s := range stays {
		st.old = append(st.old, st.b.choice[s])
	}
	st.b.move(stays, places)
	if st.b.total > before+int64(slackOf*st.temp) || !st.b.allowed(differ) {
		st.b.move(stays, st.old)
	}
}

// pickLanes takes a lane, at random or one where something is to be gained,
// and others that its vehicles have been in or could be in.
func (st *stream) pickLanes(lanes []int32, k int) []int32 {
	lanes = st.dearLanes(lanes)
	if len(lanes) == 0 {
		lanes = append(lanes, int32(st.rnd.IntN(len(st.p.lanes))))
	}
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

// aroundHomeless takes a unit that has no place for some stay, and others from
// lanes that it may use.
func (st *stream) aroundHomeless(units []int32) []int32 {
	u := st.b.costly.homeless.any(st.rnd)
	if u == none || len(st.p.units[u].places) == 0 {
		return st.neighboursInLanes(units)
	}
	units = append(units, u)
	places := st.p.units[u].places
	k := 1 + st.rnd.IntN(mostUnits)
	for tries := 0; len(units) < k && tries < 20; tries++ {
		l := st.p.places[places[st.rnd.IntN(len(places))]].lane
		if list := st.b.events[l]; len(list) > 0 {
			if o := st.p.stays[st.p.events[list[st.rnd.IntN(len(list))]].stay].unit; !slices.Contains(units, o) {
				units = append(units, o)
			}
		}
	}
	return units
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
