package solve

import (
	"cmp"
	"math"
	"slices"

	"sallyport"
)

// crossing is two stays of units that can only stand in one lane, of which one
// bars the way of the other unless something is done about one of the two.
type crossing struct {
	a, b   int32
	shared int64 // cheapest push by hand or reset of either; impossible: there is none
	own    int64 // cheapest of all else
}

// charge is what the pair costs at least when part of sharedWhole of the
// shared prices may be counted.
func (c crossing) charge(part int64) int64 { return min(c.own, c.shared*part/sharedWhole) }

// sureTimes is when a stay begins and ends for certain, unless somebody is held
// back or pulled out early.
type sureTimes struct {
	stay                     int32
	inLo, inHi, outLo, outHi sallyport.Instant
}

// Moments before and after all others.
const (
	noEnd   sallyport.Instant = math.MaxInt64 / 4
	noStart                   = -noEnd
)

// matched adds up crossings of which no two have a stay in common. Proof that
// this is a bound: each pair costs at least its charge for something done
// about one of its two stays (below), a price belongs to the stay within which
// or at whose end the thing is done, and no stay is in two pairs, so nothing
// is counted twice.
func matched(list []crossing, part int64) int64 {
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(x, y crossing) int {
		return cmp.Or(cmp.Compare(y.charge(part), x.charge(part)), cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b))
	})
	used := make(map[int32]bool)
	var sum int64
	for _, c := range list {
		if !used[c.a] && !used[c.b] {
			used[c.a], used[c.b] = true, true
			sum += c.charge(part)
		}
	}
	return sum
}

// crossings returns the pairs of stays that surely disturb each other: of
// units that may stand in one lane only, a dead end or a through lane.
//
// Proof of the charge. In a dead-end lane let a come before b, b before a
// leaves, and a leave before b, all by sure times that do not touch. If neither
// unit leaves the lane within its stay, and all four moments lie within their
// times, b stands nearer the mouth than a when a leaves, and a is blocked. So
// one of the two is moved aside or lifted (its price), or a moment lies outside
// its sure times: a return held back, or a pull-out that is early, and then by at
// least the time between the two, which is paid by the second. In a
// through lane the same holds of a that comes first and leaves last. Arrivals,
// departures and the start layout keep to their windows. Other units can only
// be in the way: none of this becomes cheaper by their being there.
func (p *problem) crossings() []crossing {
	byLane := make([][]sureTimes, len(p.lanes))
	for u := range p.units {
		un := &p.units[u]
		if len(un.places) != 1 || un.OffRoad != (sallyport.Window{}) {
			continue
		}
		if l := p.places[un.places[0]].lane; p.lanes[l].kind != sallyport.Open {
			for s := un.firstStay; s < un.endStay; s++ {
				byLane[l] = append(byLane[l], p.sureTimes(s))
			}
		}
	}
	var list []crossing
	for l, times := range byLane {
		if len(times) > mostTimes {
			continue // a lane never holds so many; quick is better
		}
		for i := range times {
			for j := range times {
				a, b := &times[i], &times[j]
				if p.stays[a.stay].unit == p.stays[b.stay].unit {
					continue
				}
				if wait := p.disturb(&p.lanes[l], a, b); wait > 0 {
					list = append(list, p.crossing(a.stay, b.stay, wait))
				}
			}
		}
	}
	return list
}

// mostTimes is the most stays of one lane that are compared pair by pair.
const mostTimes = 2000

// sureTimes returns when stay s begins and ends. Where the rules leave a moment
// open it may be any.
func (p *problem) sureTimes(s int32) sureTimes {
	st := &p.stays[s]
	un := &p.units[st.unit]
	sp := sureTimes{stay: s, inLo: noStart, inHi: noStart, outLo: noEnd, outHi: noEnd}
	switch {
	case st.before == none && un.Arrive != (sallyport.Window{}):
		sp.inLo, sp.inHi = un.Arrive.From, orNoEnd(un.Arrive.To)
	case st.before == none:
	case p.absences[st.before].duty != none:
		sp.inLo, sp.inHi = p.absences[st.before].back, noEnd
	default:
		es := p.absences[st.before].entries
		last := p.serial(es[len(es)-1])
		sp.inLo, sp.inHi = last.Back(), orNoEnd(last.HomeBy)
	}
	switch {
	case st.after == none && un.Depart != (sallyport.Window{}):
		sp.outLo, sp.outHi = un.Depart.From, orNoEnd(un.Depart.To)
	case st.after == none:
	case p.absences[st.after].duty != none:
		sp.outLo, sp.outHi = noStart, p.show.Duties[p.absences[st.after].duty].From
	default:
		first := p.serial(p.absences[st.after].entries[0])
		sp.outLo, sp.outHi = first.FormFrom, first.FormUp
	}
	return sp
}

func orNoEnd(t sallyport.Instant) sallyport.Instant {
	if t == 0 {
		return noEnd
	}
	return t
}

// disturb returns by how many seconds at least a hold or an early pull-out
// would have to move one of the moments for a and b not to disturb each other;
// 0 or less when they need not.
func (p *problem) disturb(ln *lane, a, b *sureTimes) sallyport.Instant {
	wait := min(b.inLo-a.inHi, a.outLo-b.inHi)
	if ln.kind == sallyport.Through {
		return min(b.inLo-a.inHi, a.outLo-b.outHi)
	}
	return min(wait, b.outLo-a.outHi)
}

// crossing returns the pair with its prices.
func (p *problem) crossing(a, b int32, wait sallyport.Instant) crossing {
	c := crossing{a: a, b: b, shared: impossible, own: impossible}
	if wait < noEnd/2 {
		c.own = int64(p.prices.Idle(sallyport.Seconds(wait)))
	}
	for _, s := range []int32{a, b} {
		un := &p.units[p.stays[s].unit]
		c.own = min(c.own, un.price.aside)
		c.shared = min(c.shared, p.liftPrice(un, noStart, noEnd))
	}
	c.shared = min(c.shared, impossible/sharedWhole)
	return c
}

// liftPrice is the least price of taking a unit out of its lane without its
// engine, or in a reset window that touches the time from one moment to
// another; impossible when there is no way.
func (p *problem) liftPrice(un *unit, from, to sallyport.Instant) int64 {
	best := impossible
	if un.price.asideHand >= 0 {
		best = un.price.asideHand
	}
	if un.OwnerOnly {
		return best
	}
	for i := range p.show.Resets {
		if w := &p.show.Resets[i]; w.From <= to && (w.To == 0 || w.To >= from) {
			best = min(best, int64(p.prices.Reset(un.Unit, w)))
		}
	}
	return best
}
