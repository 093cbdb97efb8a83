package solve

import (
	"cmp"
	"context"
	"slices"

	"sallyport"
)

// goer is a unit that stands in a lane on the morning of a day and has an
// absence on it.
type goer struct {
	unit  int32
	until sallyport.Instant // when it must be out for the first time
	value int64             // of its entries from then on, that day
	lift  int64             // cheapest way to take it out of a lane without a scenario; impossible: none
}

// boundShutIn is what shutting in costs at least, summed over the days. part,
// of sharedWhole, is how much of a push by hand or a reset may be counted.
//
// Proof, for one day. Take the state on its morning: all n goers stand in
// lanes, for a line, spot or arena is no place for the night, and none of them
// goes out before. In each lane look at the goers only, in the order in which
// they first leave it that day by one end. A dead-end or through lane has one
// such order, an open lane one for each end. Call two that follow one another
// in it at distance one, with one between them distance two, and so on. Every
// goer has one ahead of it at distance k, or has one of the k places nearest a
// lane end, of a lane in which it may stand.
// Let u be ahead of v. When u first leaves the lane, v is still behind it. If
// u leaves by its own engine for an absence, aside or to be parted, Evaluate
// books a scenario: the price of u's risk for the value of all behind it that
// day, v with all its entries. That price is a whole number rounded down, so a
// sum of values costs at least the sum of its prices: each v behind u is paid
// apart. If u leaves in any other way it is pushed or lifted, and pays that
// once; as u has one v at each distance, each distance may count its share.
// At one distance every u has one v behind it, every v one u ahead or one of
// those places, and every place one goer. So this is a matching of all goers to
// goers and places, and costs no less than the cheapest one. Distances beyond
// 1 at which there are places for all are left out. A goer's first way out is never its departure, for it
// has an absence before; the tow of one that is ever off the road is free. Goers that can share no lane are never paired, and what holds of all
// goers holds of each group of them that shares no lane with the others.
// Scenarios, pushes and resets of different days are different.
func (p *problem) boundShutIn(ctx context.Context, part int64) int64 {
	var sum int64
	for d := 1; d <= len(p.show.Days); d++ {
		for _, g := range p.shareLanes(p.goers(d)) {
			if ctx.Err() != nil {
				return sum
			}
			sum += p.shutIn(g, part)
		}
	}
	return sum
}

// goers returns the units that surely stand in a lane on the morning of a day
// and go out on it.
func (p *problem) goers(day int) []goer {
	var list []goer
	morning := p.index.Morning(day)
	for u := range p.units {
		un := &p.units[u]
		if len(un.places) == 0 {
			continue
		}
		for s := un.firstStay; s < un.endStay; s++ {
			until, ok := p.goesOut(s, day, morning)
			if !ok {
				continue
			}
			g := goer{unit: int32(u), until: until, value: int64(p.index.ValueLater(un.ID, until)), lift: p.liftPrice(un, morning, sallyport.At(day+1, 0, 0))}
			if un.OffRoad != (sallyport.Window{}) {
				g.lift = 0
			}
			list = append(list, g)
			break
		}
	}
	return list
}

// goesOut reports whether stay s surely includes the morning and ends with an
// absence on that day, and the latest moment at which the unit goes out.
func (p *problem) goesOut(s int32, day int, morning sallyport.Instant) (until sallyport.Instant, ok bool) {
	st := &p.stays[s]
	if st.after == none {
		return 0, false
	}
	if a := &p.absences[st.after]; a.duty != none {
		// A duty may be left for at any time: only one that is out at night
		// could have gone before the morning.
		return 0, false
	} else if first := p.serial(a.entries[0]); first.FormUp < morning || first.Leave() <= morning || first.FormUp.Day() != day {
		return 0, false
	} else {
		until = first.FormUp
	}
	un := &p.units[st.unit]
	switch {
	case st.before == none && un.Arrive == (sallyport.Window{}):
	case st.before == none:
		return until, un.Arrive.To != 0 && un.Arrive.To < morning
	case p.absences[st.before].duty != none:
		return until, p.absences[st.before].back+sallyport.Instant(sallyport.Minutes(60)) < morning
	default:
		return until, p.absences[st.before].back < morning
	}
	return until, true
}

// shareLanes splits goers into groups no two of which have a lane in common.
func (p *problem) shareLanes(all []goer) [][]goer {
	root := make([]int32, len(p.lanes))
	for l := range root {
		root[l] = int32(l)
	}
	find := func(l int32) int32 {
		for root[l] != l {
			root[l] = root[root[l]]
			l = root[l]
		}
		return l
	}
	lane := func(g goer, i int) int32 { return p.places[p.units[g.unit].places[i]].lane }
	for _, g := range all {
		for i := range p.units[g.unit].places {
			root[find(lane(g, i))] = find(lane(g, 0))
		}
	}
	at := make(map[int32]int)
	var groups [][]goer
	for _, g := range all {
		r := find(lane(g, 0))
		if _, ok := at[r]; !ok {
			at[r] = len(groups)
			groups = append(groups, nil)
		}
		groups[at[r]] = append(groups[at[r]], g)
	}
	return groups
}

// endsOf returns the lanes in which goers may stand, open ones twice: each is
// a lane end by which they can leave.
func (p *problem) endsOf(list []goer) []int32 {
	seen := make([]bool, len(p.lanes))
	var ends []int32
	for _, g := range list {
		for _, pl := range p.units[g.unit].places {
			l := p.places[pl].lane
			if seen[l] {
				continue
			}
			seen[l] = true
			ends = append(ends, l)
			if p.lanes[l].kind == sallyport.Open {
				ends = append(ends, l)
			}
		}
	}
	return ends
}

// mostGoers and mostWidth are the most goers, and the most goers and lane ends
// together, that are matched exactly.
const (
	mostGoers = 250
	mostWidth = 1500
)

// shutIn is the bound of one group of goers on one day.
func (p *problem) shutIn(list []goer, part int64) int64 {
	ends := len(p.endsOf(list))
	levels := 1
	for len(list) > (levels+1)*ends {
		levels++
	}
	lift := func(u goer) int64 {
		if u.lift >= impossible {
			return impossible
		}
		return u.lift * part / sharedWhole / int64(levels)
	}
	var sum int64
	if len(list) > mostGoers || len(list)+levels*ends > mostWidth {
		for k := 1; k <= levels; k++ {
			sum += p.looseShutIn(list, max(0, len(list)-k*ends), lift)
		}
		return sum
	}
	ahead := make([][]int64, len(list))
	for j, v := range list {
		ahead[j] = make([]int64, len(list))
		for i, u := range list {
			ahead[j][i] = impossible
			if i != j && p.mayFollow(u.unit, v.unit) {
				ahead[j][i] = min(lift(u), p.riskOf(u, v.value))
			}
		}
	}
	for k := 1; k <= levels; k++ {
		sum += p.cheapestBehind(list, ahead, k)
	}
	return sum
}

// cheapestBehind returns the least cost of giving each goer either a goer at
// distance k ahead of it, at a price, or one of the k places nearest a lane
// end, for nothing.
func (p *problem) cheapestBehind(list []goer, ahead [][]int64, k int) int64 {
	slots := p.endsOf(list)
	width := len(list) + k*len(slots)
	cost := make([][]int64, len(list))
	for j, v := range list {
		cost[j] = append(make([]int64, 0, width), ahead[j]...)
		for range k {
			for _, l := range slots {
				c := impossible
				if p.mayStandIn(&p.units[v.unit], l) {
					c = 0
				}
				cost[j] = append(cost[j], c)
			}
		}
	}
	return cheapestMatching(cost)
}

func (p *problem) riskOf(u goer, value int64) int64 {
	return int64(p.prices.Risk(p.units[u.unit].Unit, int(value)))
}

// looseShutIn prices pairs when there are too many goers to match: the so many
// smallest of what each v costs behind the surest starter of all.
func (p *problem) looseShutIn(list []goer, pairs int, lift func(goer) int64) int64 {
	surest, least := list[0], impossible
	for _, u := range list {
		if p.units[u.unit].price.risk < p.units[surest.unit].price.risk {
			surest = u
		}
		least = min(least, lift(u))
	}
	costs := make([]int64, len(list))
	for i, v := range list {
		costs[i] = min(least, p.riskOf(surest, v.value))
	}
	slices.SortFunc(costs, func(a, b int64) int { return cmp.Compare(a, b) })
	var sum int64
	for _, c := range costs[:pairs] {
		sum += c
	}
	return sum
}

// mayFollow reports whether v could ever stand behind u in a lane.
func (p *problem) mayFollow(u, v int32) bool {
	a, b := &p.units[u], &p.units[v]
	if a.StandsAlone || b.StandsAlone || slices.Contains(a.apart, v) {
		return false
	}
	i, j := 0, 0
	for i < len(a.places) && j < len(b.places) {
		switch {
		case a.places[i] < b.places[j]:
			i++
		case a.places[i] > b.places[j]:
			j++
		default:
			ln := &p.lanes[p.places[a.places[i]].lane]
			if ln.deep > 1 && a.length+ln.gap+b.length <= ln.length {
				return true
			}
			i, j = i+1, j+1
		}
	}
	return false
}
