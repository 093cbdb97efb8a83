package solve

import (
	"context"

	"sallyport"
)

// bound is what no plan can cost less than. It holds for every plan of the
// planner's kind that breaks no rule and serves every entry that can be served:
//
//   - each stay of the problem is spent in lanes, from a return, relief,
//     arrival or the start layout to a pull-out, duty or departure, save for
//     the time for which its unit is moved aside, or lifted in a reset window;
//   - units go to their absences and come home from them by their own engine,
//     from a lane and into a lane (a combination that is parted: by way of its
//     coupling spot); one that was moved aside may go on from there;
//   - what is lifted in one reset window is lifted at one moment, though it takes
//     a while: nobody is lifted in it who goes out or comes home in between;
//   - a return that is held back starts no later after its new moment than an
//     ordinary one could after the column is back.
//
// Within this, lanes, ends, facing, order, moves aside driven or by hand, to
// whichever lane they are put back, resets, holding back and early pull-outs
// are all free. Entries that are served by nobody (lost) are not in total.
type bound struct {
	lost  int64 // value of entries that nobody can serve
	total sallyport.Amount
	terms []boundTerm // they sum up to total
}

// boundTerm is a share of a bound with the terms of the cost in which it must
// appear: it may be spread over them in any way.
type boundTerm struct {
	names  []string
	amount sallyport.Amount
}

// sharedParts are the ways in which the price of a push by hand or of a reset
// is shared out between the two arguments that may both rely on it, in parts
// of sharedWhole: so much to shutting in, the rest to crossing. Each way gives
// a bound; the best of them counts.
var sharedParts = []int64{sharedWhole, 0, sharedWhole / 2}

const sharedWhole int64 = 2

// lowerBound returns a bound of the problem. It is quick: about n² · log n for
// the n vehicles that go out on one day while these are few hundred, and about
// n · log n beyond. When ctx ends it returns what it has, which is valid.
//
// Terms add up because each argument charges other prices: told lanes and
// reversing charge terms of their own; shutting in charges the risk itself,
// crossing charges moves aside by engine, holds and early pull-outs; what both
// may charge, pushes by hand and resets, is shared out (sharedParts).
func lowerBound(ctx context.Context, p *problem) bound {
	b := bound{lost: p.surelyLost()}
	b.add(p.boundTold(), sallyport.TermHome)
	b.add(p.boundReverse(), sallyport.TermReverse)
	var shut, cross int64
	clashes := p.clashes()
	for i, part := range sharedParts {
		if ctx.Err() != nil || i > 0 && len(clashes) == 0 {
			break
		}
		s, c := p.boundShutIn(ctx, part), int64(0)
		for k := range clashes {
			c += clashes[k].charge(sharedWhole - part)
		}
		if s+c > shut+cross {
			shut, cross = s, c
		}
	}
	b.add(shut, sallyport.TermRisk, sallyport.TermAside, sallyport.TermReset)
	b.add(cross, sallyport.TermAside, sallyport.TermReset, sallyport.TermHold, sallyport.TermEarly)
	return b
}

func (b *bound) add(amount int64, names ...string) {
	if amount > 0 {
		b.total += sallyport.Amount(amount)
		b.terms = append(b.terms, boundTerm{names: names, amount: sallyport.Amount(amount)})
	}
}

// surelyLost is the value of entries that their unit cannot be in and that
// nobody is named to take.
func (p *problem) surelyLost() int64 {
	var sum int64
	for _, l := range p.lost {
		if len(p.entry(l.entry).Reserves) == 0 {
			sum += p.entryValue(l.entry)
		}
	}
	for a := range p.absences {
		if len(p.units[p.absences[a].unit].places) > 0 {
			continue
		}
		for _, e := range p.absences[a].entries {
			if len(p.entry(e).Reserves) == 0 {
				sum += p.entryValue(e)
			}
		}
	}
	return sum
}

// boundTold is what stays away from told lanes cost at least. Proof: a unit
// that may never stand in its told lane (it is too long, too wide, too heavy
// or not of the zone) begins every stay in another, and Evaluate books each
// such beginning once: start, arrival, return, relief, or shift from the
// coupling spot.
func (p *problem) boundTold() int64 {
	var sum int64
	for u := range p.units {
		un := &p.units[u]
		if un.told && len(un.places) > 0 && !p.mayStandIn(un, un.home) {
			sum += int64(un.endStay-un.firstStay) * int64(p.weights.Told)
		}
	}
	return sum
}

func (p *problem) mayStandIn(un *unit, l int32) bool {
	for _, pl := range un.places {
		if p.places[pl].lane == l {
			return true
		}
	}
	return false
}

// boundReverse is what heavy units pay for reversing at least. Proof: take a
// stay that begins with a move into a lane, of a unit that can be neither
// pushed nor towed. Its first lane is entered by engine and, if the stay ends,
// left by engine, whatever for. Where lanes are entered in reverse the entry
// is paid. A dead-end lane is entered and left by the same end, so one of the
// two is in reverse. The distance is at least the unit's own length, and the
// whole lane where the unit stands by itself. The first lanes of different
// stays are left and entered by different moves.
func (p *problem) boundReverse() int64 {
	var sum int64
	for u := range p.units {
		un := &p.units[u]
		if un.price.heavy == 0 || un.price.asideHand >= 0 || un.OffRoad != (sallyport.Window{}) || len(un.places) == 0 {
			continue
		}
		leaves := p.leastReverse(un, true)
		for s := un.firstStay; s < un.endStay; s++ {
			switch {
			case p.groups[p.stays[s].inGroup].kind == groupStart:
			case p.stays[s].outGroup != none:
				sum += leaves
			default:
				sum += p.leastReverse(un, false)
			}
		}
	}
	return sum
}

// leastReverse is the cheapest stay of a unit that is driven in, and out again
// when leaves is set.
func (p *problem) leastReverse(un *unit, leaves bool) int64 {
	best := impossible
	for _, pl := range un.places {
		ln := &p.lanes[p.places[pl].lane]
		far := un.length
		if ln.deep == 1 || un.StandsAlone {
			far = ln.length
		}
		cost := int64(0)
		if ln.in == sallyport.InReversed || ln.kind == sallyport.DeadEnd && leaves {
			cost = un.price.heavy * int64(far/100)
		}
		best = min(best, cost)
	}
	return best
}
