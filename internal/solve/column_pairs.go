package solve

import "sallyport"

// prices returns the least price of taking the unit of a stay out of its lane
// for a while, in whatever way, and of pushing it or lifting it in a reset
// window: for a stay over the anchor, between the anchor and latest. Who leaves
// from where it waits aside need not be put back.
func (c *columns) prices(s int32, latest sallyport.Instant) (moved, lifted int64) {
	st := &c.p.stays[s]
	un := &c.p.units[st.unit]
	if un.OffRoad != (sallyport.Window{}) {
		return 0, 0 // a tow costs nothing
	}
	moved, lifted = un.price.aside, impossible
	if st.outGroup == none {
		moved += un.price.back
	}
	if un.price.asideHand >= 0 {
		lifted = un.price.asideHand
		if st.outGroup == none {
			lifted += un.price.backHand
		}
	}
	if un.OwnerOnly || !c.free.resets {
		return min(moved, lifted), lifted
	}
	over := c.fixed[st.unit] == s
	for i := range c.p.show.Resets {
		w := &c.p.show.Resets[i]
		if w.From > c.times[s].outHi || w.To != 0 && w.To < c.times[s].inLo {
			continue
		}
		price := int64(c.p.prices.Reset(un.Unit, w))
		if c.linked {
			price -= price / 2 // the other half may stand for a change of lane
		}
		moved = min(moved, price)
		if !over || w.From <= latest && (w.To == 0 || w.To >= c.at) {
			lifted = min(lifted, price)
		}
	}
	return min(moved, lifted), lifted
}

// pair returns what stays a and b cost each other.
func (c *columns) pair(a, b int32) stayPair {
	if a > b {
		x := c.pair(b, a)
		x.waitA, x.waitB = x.waitB, x.waitA
		return x
	}
	if x, ok := c.pairs[[2]int32{a, b}]; ok {
		return x
	}
	x := c.findPair(&c.times[a], &c.times[b])
	c.pairs[[2]int32{a, b}] = x
	return x
}

func (c *columns) findPair(a, b *sureTimes) stayPair {
	x := stayPair{waitA: impossible, waitB: impossible, loose: c.loose(a, b)}
	if c.kind == sallyport.Open || max(a.inHi, b.inHi) >= min(a.outLo, b.outLo) {
		return x
	}
	x.cost = impossible
	if comesBefore(b, a) <= 0 {
		x.cost = min(x.cost, c.deeper(a, b))
	}
	if comesBefore(a, b) <= 0 {
		x.cost = min(x.cost, c.deeper(b, a))
	}
	if x.cost > 0 && c.free.holds {
		x.waitA, x.waitB = c.waitPrice(a, b), c.waitPrice(b, a)
	}
	return x
}

// deeper is what it costs that the first of two stays in a dead-end lane
// stands deeper than the second; in a through lane first and second change
// places, for there who comes first leaves first.
func (c *columns) deeper(first, second *sureTimes) int64 {
	if c.kind == sallyport.Through {
		first, second = second, first
	}
	if leavesBefore(first, second) > 0 {
		return impossible
	}
	st := &c.p.stays[second.stay]
	if c.later[second.stay] || st.after == none || c.p.absences[st.after].duty != none || second.outLo <= noStart || second.outLo.Day() != second.outHi.Day() {
		return 0
	}
	v := c.p.index.ValueLater(c.p.units[c.p.stays[first.stay].unit].ID, min(second.outHi, first.outHi))
	return int64(c.p.prices.Risk(c.p.units[st.unit].Unit, v))
}

// loose is what two stays over the anchor cost in any case, unless one of them
// is lifted: the cheaper of both orders.
func (c *columns) loose(a, b *sureTimes) int64 {
	if c.kind == sallyport.Open || c.fixed[c.p.stays[a.stay].unit] != a.stay || c.fixed[c.p.stays[b.stay].unit] != b.stay {
		return 0
	}
	return min(c.ahead(a, b), c.ahead(b, a))
}

// ahead is the price of the first of two stays over the anchor not starting
// when it first leaves the lane before the second can.
func (c *columns) ahead(first, second *sureTimes) int64 {
	st := &c.p.stays[first.stay]
	t := min(first.outHi, second.outHi)
	switch {
	case t >= noEnd || t.Day() != c.day:
		return 0
	case st.after == none && st.outGroup != none && first.outLo <= second.outHi:
		return 0 // it departs
	}
	v := c.p.index.ValueLater(c.p.units[c.p.stays[second.stay].unit].ID, t)
	return int64(c.p.prices.Risk(c.p.units[st.unit].Unit, v))
}

// waitPrice is the least price for which stay a is held back or early so that not
// all that is sure about a and b holds. That both are there at one moment can
// be undone by both together, so one of them pays half.
func (c *columns) waitPrice(a, b *sureTimes) int64 {
	st := &c.p.stays[a.stay]
	least := noEnd
	note := func(d sallyport.Instant) {
		if d > 0 {
			least = min(least, d)
		}
	}
	if st.before != none && c.p.absences[st.before].duty == none {
		note(comesBefore(a, b))
		note((b.outLo - a.inHi + 1) / 2)
	}
	if st.after != none && c.p.absences[st.after].duty == none {
		note(leavesBefore(b, a))
		note((a.outLo - b.inHi + 1) / 2)
	}
	if least > noEnd/4 {
		return impossible
	}
	return int64(c.p.prices.Idle(sallyport.Seconds(least)))
}
