package solve

import "sallyport"

// owed returns what will be paid at least, whatever comes in later, for how
// those in the lane stand now: moves aside of those who stand before others
// that leave earlier, and the risk that they shut in who is still there when
// they go. Nothing is foreseen for lanes that are put in order in a reset
// window.
func (e *laneEval) owed() int64 {
	if len(e.list) < 2 || e.sorted[e.lane] != 0 {
		return 0
	}
	p := e.p
	var cost int64
	for i := range e.list {
		st := &p.stays[e.list[i].stay]
		var value int64
		day := int32(0)
		leaves := st.after != none
		if leaves {
			day = p.groups[st.outGroup].day
		}
		asides := 0
		for j := range e.list {
			if j == i || !e.passes(i, j) {
				continue
			}
			o := &p.stays[e.list[j].stay]
			switch {
			case o.outGroup != none && (st.outGroup == none || o.outGroup < st.outGroup):
				asides++
			case leaves && o.outGroup != st.outGroup && o.lossDay == day:
				value += o.loss
			}
		}
		un := e.unit(i)
		if asides > 0 {
			cost += un.leastAside()
		}
		if asides > 0 && p.lanes[e.lane].kind != sallyport.DeadEnd {
			continue // it may stand elsewhere in the lane by then
		}
		if value > 0 && un.price.risk > 0 {
			cost += un.price.risk * value / int64(sallyport.Certain)
		}
	}
	return cost
}

// leastAside is the least that moving the unit aside and putting it back can
// cost.
func (u *unit) leastAside() int64 {
	c := u.price.aside + u.price.back
	if u.price.asideHand >= 0 {
		c = min(c, u.price.asideHand+u.price.backHand)
	}
	return c
}
