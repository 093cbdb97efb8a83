package solve

import (
	"slices"

	"sallyport"
)

// save tries what could win back entries that are lost from a board: tow who
// has broken down out of the way, let reserves take entries, take back what
// was given up. What serves more by value is kept.
func (r *replanner) save(x shiftedBoard) shiftedBoard {
	for _, try := range []func(shiftedBoard) shiftedBoard{r.towOut, r.reserves, r.takeBack} {
		if r.ctx.Err() != nil || x.lostValue() == 0 {
			break
		}
		x = try(x)
	}
	return r.delay(x)
}

// delay lets serials go later that cannot go in time, by whole five minutes,
// when that mends what is late.
func (r *replanner) delay(x shiftedBoard) shiftedBoard {
	if r.best != nil && r.best.Workable() {
		return x
	}
	for range delayTries {
		c := r.laid(x)
		if c.faults() == 0 || r.ctx.Err() != nil {
			return x
		}
		late := delaysOf(x.b.p.index, c)
		if len(late) == 0 {
			return x
		}
		show, problems := sallyport.ShowWith(x.b.p.show, late)
		if len(problems) > 0 {
			return x
		}
		took, begin := r.took, *x.b.p.begin
		r.took = append(slices.Clip(took), late...)
		y := r.settled(compileFrom(show, sallyport.NewIndex(show), &begin), x.b)
		d := r.laid(y)
		if d.faults() >= c.faults() || y.lostValue() > x.lostValue() {
			r.took = took
			return x
		}
		r.offer(d)
		x = y
	}
	return x
}

// delayTries is how often serials are delayed, each time by what is then late.
const delayTries = 3

// delaysOf returns the delays by which the columns and pull-outs of a
// continuation that are late would be in time.
func delaysOf(index *sallyport.Index, c *Continuation) []sallyport.Happening {
	const step = 5 * 60
	by := make(map[sallyport.SerialID]sallyport.Seconds)
	for i := range c.Plan.Moves {
		m := &c.Plan.Moves[i]
		s := index.Serial(m.Serial)
		switch {
		case s == nil || s.Leave() <= c.Plan.From.At:
		case m.Kind == sallyport.MoveOut:
			by[s.ID] = max(by[s.ID], sallyport.Seconds(m.Ends()-s.ArenaIn))
		case m.Kind == sallyport.MovePullOut:
			by[s.ID] = max(by[s.ID], sallyport.Seconds(m.Ends()-s.FormUp))
		}
	}
	var list []sallyport.Happening
	for _, s := range index.SerialsInTime {
		if n := by[s.ID]; n > 0 && n <= mostDelay {
			list = append(list, sallyport.Happening{Kind: sallyport.HappenDelayed, At: c.Plan.From.At, Serial: s.ID, By: (n + step - 1) / step * step})
		}
	}
	return list
}

// mostDelay is the longest delay that is proposed.
const mostDelay = 30 * 60

// lostValue is what the entries that a board cannot serve are worth.
func (x shiftedBoard) lostValue() int64 {
	p := x.b.p
	var sum int64
	for _, l := range p.lost {
		sum += p.entryValue(l.entry)
	}
	for u := range p.units {
		if x.b.homeless(int32(u)) != none {
			sum += p.units[u].value
		}
	}
	return sum
}

// better offers a board that serves more than x, and returns the better one.
func (r *replanner) better(x, y shiftedBoard) shiftedBoard {
	if y.b.total >= lostUnit || y.lostValue() >= x.lostValue() {
		return x
	}
	c := r.laid(y)
	if !c.Workable() && r.best != nil && r.best.Workable() {
		return x
	}
	r.offer(c)
	return y
}

// towOut has broken-down vehicles that stand in front of others towed out of
// their lanes, one after the other.
func (r *replanner) towOut(x shiftedBoard) shiftedBoard {
	for _, id := range r.index.UnitIDs {
		u := r.index.Unit(id)
		_, stands := x.b.p.begin.stood[id]
		if !stands || r.ctx.Err() != nil || !x.b.p.mayTowOut(u) {
			continue
		}
		begin := *x.b.p.begin
		begin.tow = map[sallyport.UnitID]bool{id: true}
		for k := range x.b.p.begin.tow {
			begin.tow[k] = true
		}
		begin.given = nil
		x = r.better(x, r.settled(compileFrom(x.b.p.show, x.b.p.index, &begin), nil))
	}
	return x
}

// reserves lets the first reserve that can take each lost entry.
func (r *replanner) reserves(x shiftedBoard) shiftedBoard {
	for _, l := range slices.Clone(x.b.p.lost) {
		s, e := x.b.p.serial(l.entry), x.b.p.entry(l.entry)
		for _, id := range e.Reserves {
			if r.ctx.Err() != nil {
				return x
			}
			take := sallyport.Happening{Kind: sallyport.HappenReserve, At: r.m.State.At, Unit: e.Unit, Serial: s.ID, Reserve: id}
			show, problems := sallyport.ShowWith(x.b.p.show, []sallyport.Happening{take})
			if len(problems) > 0 {
				continue
			}
			index := sallyport.NewIndex(show)
			took, before := r.took, x.b
			r.took = append(slices.Clip(r.took), take)
			for _, begin := range r.clearings(x.b.p, id) {
				if x = r.better(x, r.settled(compileFrom(show, index, begin), before)); x.b != before {
					break
				}
			}
			if x.b != before {
				break
			}
			r.took = took
		}
	}
	return x
}

// clearings returns a beginning as it is, and, when a unit is shut in by
// broken-down vehicles, as it is once they are towed out of its lane.
func (r *replanner) clearings(p *problem, id sallyport.UnitID) []*beginning {
	b := p.begin
	list := []*beginning{b}
	w, stands := b.stood[id]
	if !stands {
		return list
	}
	cleared := *b
	cleared.tow = make(map[sallyport.UnitID]bool)
	for u := range b.tow {
		cleared.tow[u] = true
	}
	for _, s := range b.state.Lanes[w.lane] {
		if u := r.index.Unit(s.Unit); s.Unit != id && !b.tow[s.Unit] && p.mayTowOut(u) {
			cleared.tow[s.Unit] = true
		}
	}
	if len(cleared.tow) > len(b.tow) {
		cleared.given = nil
		list = append(list, &cleared)
	}
	return list
}

// takeBack takes back absences that were given up, the most valuable first, as
// far as they can be served now.
func (r *replanner) takeBack(x shiftedBoard) shiftedBoard {
	keys := make([]absenceKey, 0, len(x.b.p.begin.given))
	for i := range x.b.p.show.Serials {
		s := &x.b.p.show.Serials[i]
		for _, e := range s.Entries {
			if key := (absenceKey{unit: x.b.p.index.Standing(e.Unit), serial: s.ID}); x.b.p.begin.given[key] != "" {
				keys = append(keys, key)
			}
		}
	}
	for _, key := range keys {
		if r.ctx.Err() != nil {
			break
		}
		begin := *x.b.p.begin
		begin.given = map[absenceKey]string{}
		for k, why := range x.b.p.begin.given {
			if k != key {
				begin.given[k] = why
			}
		}
		p := compileFrom(x.b.p.show, x.b.p.index, &begin)
		y := r.keepLanes(p, x.b)
		if give, _ := r.toGiveUp(y.b.clone()); len(give) == 0 {
			x = r.better(x, y)
		}
	}
	return x
}
