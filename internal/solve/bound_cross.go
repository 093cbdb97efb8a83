package solve

import (
	"cmp"
	"math"
	"slices"

	"sallyport"
)

// sureTimes is when a stay begins and ends for certain, unless somebody is held
// back or pulled out early, with its place in an ordered return or pull-out.
type sureTimes struct {
	stay                     int32
	inLo, inHi, outLo, outHi sallyport.Instant
	home, out                int32 // serial with an ordered return or pull-out; none: not ordered
	homeAt, outAt            int32 // place in it
}

// Moments before and after all others.
const (
	noEnd   sallyport.Instant = math.MaxInt64 / 4
	noStart                   = -noEnd
)

// clash is stays that all disturb each other in any one lane, and more of them
// than there are lanes for them: about so many of them something must be done.
type clash struct {
	stays  []int32
	most   int     // that may be left as they are
	shared []int64 // by stay: cheapest push by hand or reset; impossible: there is none
	own    []int64 // by stay: cheapest of all else
}

// charge is what a clash costs at least when part of sharedWhole of the shared
// prices may be counted.
func (c *clash) charge(part int64) int64 {
	costs := make([]int64, len(c.stays))
	for i := range costs {
		costs[i] = min(c.own[i], c.shared[i]*part/sharedWhole)
	}
	slices.Sort(costs)
	var sum int64
	for _, x := range costs[:len(costs)-c.most] {
		sum += x
	}
	return sum
}

// clashes returns clashes of which no two have a stay in common, so that what
// they cost adds up.
//
// Proof of the charge. Let units have only the m lanes of a set, all dead
// ends, and let their stays come in surely in one order, leave surely in the
// same order, and the last surely come before the first leaves. Take the stays
// during which the unit never leaves its lane and that begin and end within
// their sure times. Of two of these in one lane the later stands nearer the
// mouth when the earlier leaves, and blocks it. So they stand in different
// lanes, and there are m at most. Each of the others has been moved aside or
// lifted, which has its price, or begins or ends outside its sure times, by a
// return held back or an early pull-out, and by so much that the order of two
// stays is another than the sure one: that is paid by the second for at least
// the time between their sure times. Order within one strict pull-out or one
// return in order cannot be had otherwise. In through lanes the same holds of
// stays that leave in the opposite order. Arrivals, departures and the start
// layout keep to their windows. Each price belongs to one stay. Other units
// can only be in the way.
func (p *problem) clashes() []clash {
	var list []clash
	used := make([]bool, len(p.stays))
	for _, set := range p.laneSets() {
		kind := p.lanes[set[0]].kind
		in := make([]bool, len(p.lanes))
		for _, l := range set {
			in[l] = true
		}
		var pool []sureTimes
		for u := range p.units {
			if un := &p.units[u]; un.OffRoad == (sallyport.Window{}) && len(un.places) <= len(set) && p.standsOnlyIn(un, in) {
				for s := un.firstStay; s < un.endStay; s++ {
					pool = append(pool, p.sureTimes(s))
				}
			}
		}
		if len(pool) > mostSure {
			continue
		}
		for {
			pool = slices.DeleteFunc(pool, func(x sureTimes) bool { return used[x.stay] })
			c := p.worstClash(pool, len(set), kind)
			if c.stays == nil {
				break
			}
			for _, s := range c.stays {
				used[s] = true
			}
			list = append(list, c)
		}
	}
	return list
}

// mostInSet is the most lanes in a set, and mostSets the most sets that are
// looked at.
const mostInSet, mostSets = 16, 100

// mostSure is the most stays of one set of lanes that are compared pair by
// pair; more are left alone, for the bound is to be quick.
const mostSure = 500

// laneSets returns the different sets of lanes to which some unit is bound,
// each all dead ends or all through lanes, smaller ones first; large ones are
// left out.
func (p *problem) laneSets() [][]int32 {
	var sets [][]int32
	for u := range p.units {
		if len(p.units[u].places) > mostInSet || len(sets) == mostSets {
			continue
		}
		var set []int32
		mixed := false
		for _, pl := range p.units[u].places {
			l := p.places[pl].lane
			mixed = mixed || p.lanes[l].kind == sallyport.Open || len(set) > 0 && p.lanes[l].kind != p.lanes[set[0]].kind
			set = append(set, l)
		}
		if len(set) > 0 && !mixed && !slices.ContainsFunc(sets, func(x []int32) bool { return slices.Equal(x, set) }) {
			sets = append(sets, set)
		}
	}
	slices.SortStableFunc(sets, func(a, b []int32) int { return cmp.Compare(len(a), len(b)) })
	return sets
}

func (p *problem) standsOnlyIn(un *unit, in []bool) bool {
	for _, pl := range un.places {
		if !in[p.places[pl].lane] {
			return false
		}
	}
	return len(un.places) > 0
}

// sureTimes returns when stay s begins and ends. Where the rules leave a
// moment open it may be any.
func (p *problem) sureTimes(s int32) sureTimes {
	st := &p.stays[s]
	un := &p.units[st.unit]
	t := sureTimes{stay: s, inLo: noStart, inHi: noStart, outLo: noEnd, outHi: noEnd, home: none, out: none}
	switch {
	case st.before == none && un.Arrive != (sallyport.Window{}):
		t.inLo, t.inHi = un.Arrive.From, orNoEnd(un.Arrive.To)
	case st.before == none:
	case p.absences[st.before].duty != none:
		t.inLo, t.inHi = p.absences[st.before].back, noEnd
	case p.absences[st.before].part != "":
		t.inHi = noEnd // by way of the coupling spot
	default:
		es := p.absences[st.before].entries
		e := es[len(es)-1]
		t.inLo, t.inHi = p.serial(e).Back(), orNoEnd(p.serial(e).HomeBy)
		if ordered, _ := p.inOrder(e.serial); ordered {
			t.home, t.homeAt = e.serial, p.homeOrder(e)
		}
	}
	switch {
	case st.after == none && un.Depart != (sallyport.Window{}):
		t.outLo, t.outHi = un.Depart.From, orNoEnd(un.Depart.To)
	case st.after == none:
	case p.absences[st.after].duty != none:
		t.outLo, t.outHi = noStart, p.show.Duties[p.absences[st.after].duty].From
	case p.absences[st.after].part != "":
		t.outLo = noStart // by way of the coupling spot
	default:
		e := p.absences[st.after].entries[0]
		t.outLo, t.outHi = p.serial(e).FormFrom, p.serial(e).FormUp
		if p.strict(e.serial) {
			t.out, t.outAt = e.serial, e.entry
		}
	}
	return t
}

func orNoEnd(t sallyport.Instant) sallyport.Instant {
	if t == 0 {
		return noEnd
	}
	return t
}

// comesBefore returns by how much a surely comes in before b; 0 or less: it
// may not.
func comesBefore(a, b *sureTimes) sallyport.Instant {
	if a.home != none && a.home == b.home {
		if a.homeAt < b.homeAt {
			return noEnd
		}
		return 0
	}
	return b.inLo - a.inHi
}

// leavesBefore returns by how much a surely leaves before b.
func leavesBefore(a, b *sureTimes) sallyport.Instant {
	if a.out != none && a.out == b.out {
		if a.outAt < b.outAt {
			return noEnd
		}
		return 0
	}
	return b.outLo - a.outHi
}

// disturbs returns by how much at least one of two stays would have to be
// shifted so that a does not come before b and bars it, or is barred by it;
// 0 or less: it need not. Both must be there at one moment.
func disturbs(kind sallyport.LaneKind, a, b *sureTimes) sallyport.Instant {
	if kind == sallyport.Through {
		return min(comesBefore(a, b), leavesBefore(b, a))
	}
	return min(comesBefore(a, b), leavesBefore(a, b))
}

// worstClash returns the longest list of stays of the pool that clash in m
// lanes; none when there is nothing to be gained.
func (p *problem) worstClash(pool []sureTimes, m int, kind sallyport.LaneKind) clash {
	slices.SortStableFunc(pool, func(a, b sureTimes) int {
		return cmp.Or(cmp.Compare(a.inLo, b.inLo), cmp.Compare(a.homeAt, b.homeAt), cmp.Compare(a.outHi, b.outHi), cmp.Compare(a.outAt, b.outAt), cmp.Compare(a.stay, b.stay))
	})
	var best []sureTimes
	for i := range pool {
		cut := pool[i].inHi
		if cut <= noStart || cut >= noEnd || i > 0 && pool[i-1].inHi == cut {
			continue
		}
		var there []sureTimes
		for _, t := range pool {
			if t.inHi <= cut && t.outLo > cut {
				there = append(there, t)
			}
		}
		if len(there) <= max(m, len(best)) {
			continue
		}
		if c := longestChain(there, kind); len(c) > len(best) {
			best = c
		}
	}
	if len(best) <= m {
		return clash{}
	}
	return p.priced(best, m, kind)
}

// longestChain returns a longest list of stays each of which disturbs all
// that follow. Coming before is transitive, as is leaving before, so that
// neighbours decide.
func longestChain(list []sureTimes, kind sallyport.LaneKind) []sureTimes {
	length, from := make([]int, len(list)), make([]int, len(list))
	best := -1
	for i := range list {
		length[i], from[i] = 1, -1
		for j := range i {
			if length[j]+1 > length[i] && disturbs(kind, &list[j], &list[i]) > 0 {
				length[i], from[i] = length[j]+1, j
			}
		}
		if best < 0 || length[i] > length[best] {
			best = i
		}
	}
	var chain []sureTimes
	for i := best; i >= 0; i = from[i] {
		chain = append(chain, list[i])
	}
	slices.Reverse(chain)
	// Order within a serial and order by time need not agree on a chain of
	// three, so what does not disturb all others is dropped.
	for i := 1; i < len(chain); i++ {
		for j := range i {
			if disturbs(kind, &chain[j], &chain[i]) <= 0 {
				chain = slices.Delete(chain, i, i+1)
				i--
				break
			}
		}
	}
	return chain
}

// priced returns the clash of a chain.
func (p *problem) priced(chain []sureTimes, m int, kind sallyport.LaneKind) clash {
	c := clash{most: m}
	for i := range chain {
		un := &p.units[p.stays[chain[i].stay].unit]
		wait := noEnd
		for j := range chain {
			if j != i {
				a, b := &chain[min(i, j)], &chain[max(i, j)]
				wait = min(wait, disturbs(kind, a, b), a.outLo-b.inHi, b.outLo-a.inHi)
			}
		}
		own := un.price.aside
		if wait < noEnd/2 {
			own = min(own, int64(p.prices.Idle(sallyport.Seconds(wait))))
		}
		c.stays = append(c.stays, chain[i].stay)
		c.own = append(c.own, own)
		c.shared = append(c.shared, min(p.liftPrice(un, noStart, noEnd), impossible/sharedWhole))
	}
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
