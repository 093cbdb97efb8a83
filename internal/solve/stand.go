package solve

import "sallyport"

// A plan that is to stand any one failure to start pays, before everything
// else but lost entries, for every entry that would stay behind: that of a
// unit which stands behind one that is about to go, when that one does not
// start and cannot be got out of the way in time. It is the shut-in risk with
// another price, so it adds up over lane histories like that.
//
// It is a search's view: moments are nominal, towing is left to vehicles that
// stand by, and where a vehicle goes meanwhile is not looked at. What a plan
// really stands is for the judge's play of each failure to say. Bounds know
// nothing of this price; it only adds to what a board costs, so they hold.

// standUnit is the price of one entry of value 1 that stays behind. It is
// above all other costs of a show of some hundreds of vehicles, and so far
// below hardUnit that four thousand of them are still workable.
const standUnit int64 = 1 << 20

// standPace is how long one pull-out after another of a serial comes.
const standPace sallyport.Instant = 120

// standVersion is added to the version in the key of such a plan, so that one
// key never stands for two plans.
const standVersion = "+stand"

// standSpare is how much longer it may take until a vehicle comes that does
// not stand by, in seconds.
const standSpare int32 = 1200

// standAny makes the problem ask for plans that stand any one failure to start.
func (p *problem) standAny() {
	p.stand = true
	for u := range p.units {
		p.units[u].clears = p.clearsIn(p.units[u].Unit)
	}
}

// clearsIn returns after how many seconds a unit that does not start is out of
// the way, pushed by hand or towed by a vehicle that stands by; none when
// neither can be.
func (p *problem) clearsIn(u *sallyport.Unit) int32 {
	best := none
	if u.MayPush() {
		best = int32(sallyport.UsualGather + p.index.Pace(sallyport.MoveAside, u.Gear))
	}
	tow := int32(sallyport.UsualFetch + p.index.Pace(sallyport.MoveCouple, u.Gear) + p.index.Pace(sallyport.MoveTow, u.Gear))
	for _, id := range p.index.UnitIDs {
		h := p.index.Unit(id)
		may, known := sallyport.MayTow(h, u, p.index.Show.Park.TowPercent)
		if id == u.ID || !may || !known || !h.HasEngine() || h.Combination {
			continue
		}
		takes := tow
		if !h.Standby {
			takes += standSpare
		}
		if best == none || takes < best {
			best = takes
		}
	}
	return best
}

// staysBehind is the price of the entries that stay behind in the lane when
// the unit at place i does not start in group gr.
func (e *laneEval) staysBehind(gr *group, i int, un *unit) int64 {
	p := e.p
	clear := gr.at + sallyport.Instant(un.clears)
	nth := gr.end - gr.first // who is moved aside for others goes before the last of them
	if s := &p.stays[e.list[i].stay]; s.out >= gr.first && s.out < gr.end {
		nth = s.out - gr.first
	}
	clear += standPace * sallyport.Instant(nth)
	var value int64
	for j := range e.list {
		st := &p.stays[e.list[j].stay]
		if j == i || !e.passes(i, j) || st.lossDay != gr.day {
			continue
		}
		switch {
		case un.clears == none:
			value += st.loss
		case st.after != none && len(p.absences[st.after].entries) > 0:
			a := &p.absences[st.after]
			pull := sallyport.Instant(p.index.Pace(sallyport.MovePullOut, e.unit(j).Gear))
			if clear+pull > p.serial(a.entries[0]).Leave() {
				value += a.value
			}
		}
	}
	return value * standUnit
}
