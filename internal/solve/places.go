package solve

import (
	"slices"

	"sallyport"
)

// fitting returns the places that unit u may use at any time, as far as the
// lane alone decides it: home, zone, length, width and mass.
func (p *problem) fitting(u int32) []int32 {
	un := &p.units[u]
	var list []int32
	for pl := range p.places {
		if p.whyNot(un, p.places[pl].lane) == "" {
			list = append(list, int32(pl))
		}
	}
	return list
}

// whyNot returns what keeps the unit out of the lane whatever else stands
// there; "" for nothing.
func (p *problem) whyNot(un *unit, l int32) string {
	ln := &p.show.Park.Lanes[l]
	switch {
	case un.fixed && un.home != l:
		return "fixed elsewhere"
	case un.length > p.lanes[l].length:
		return "too long"
	case ln.Width > 0 && un.Width > ln.Width:
		return "too wide"
	case ln.MaxMass > 0 && un.Heaviest > ln.MaxMass:
		return "too heavy"
	case len(un.Zones) > 0 && !slices.Contains(un.Zones, ln.Zone):
		return "another zone"
	}
	return ""
}

// backsIn reports whether the unit is driven into the lane backwards: as the
// lane says, and where it leaves the choice, nose to the way out.
func (p *problem) backsIn(un *unit, l int32) bool {
	ln := &p.lanes[l]
	switch ln.in {
	case sallyport.InReversed:
		return true
	case sallyport.InNose:
		return false
	}
	return ln.kind == sallyport.DeadEnd && un.Reverse != sallyport.ReverseNever
}

// stoodIn is backsIn for a unit that is there from the start: where the lane
// does not say how vehicles are driven in, it faces its way out.
func (p *problem) stoodIn(un *unit, pl int32) bool {
	at := &p.places[pl]
	if ln := &p.lanes[at.lane]; ln.kind == sallyport.DeadEnd && ln.in != sallyport.InEither {
		return p.backsIn(un, at.lane)
	}
	return at.tail == at.outTail
}

// drives reports whether the unit can come in at the place (when comes is
// set) and leave the lane again (when leaves is), as far as its reversing rule
// decides it without the distance.
func (p *problem) drives(un *unit, pl int32, comes, leaves bool) bool {
	if un.Reverse != sallyport.ReverseNever {
		return true
	}
	if comes && p.backsIn(un, p.places[pl].lane) {
		return false
	}
	back := p.backsIn(un, p.places[pl].lane)
	if !comes {
		back = p.stoodIn(un, pl)
	}
	return !leaves || p.places[pl].outTail == (p.places[pl].tail == back)
}

// allowPlaces gives every unit the places that fit it, and every stay those
// of them that are open to it at its time: a way in and out, the lane not
// closed, and a time for coming in and going out in which its zone is clear
// of the public. Stays that may use them all share one list.
func (p *problem) allowPlaces() {
	for u := range p.units {
		p.units[u].places = p.fitting(int32(u))
	}
	for i := range p.stays {
		p.allowStay(int32(i))
	}
}

// allowStay gives stay i its places.
func (p *problem) allowStay(i int32) {
	s := &p.stays[i]
	un := &p.units[s.unit]
	ok := func(pl int32) bool {
		comes := p.groups[s.inGroup].kind != groupStart
		return p.drives(un, pl, comes, s.outGroup != none) && p.opens(i, p.places[pl].lane)
	}
	s.places = un.places
	if i := slices.IndexFunc(un.places, func(pl int32) bool { return !ok(pl) }); i >= 0 {
		s.places = slices.Clone(un.places[:i])
		for _, pl := range un.places[i:] {
			if ok(pl) {
				s.places = append(s.places, pl)
			}
		}
	}
}

// opens reports whether stay i could be spent in the lane as far as closed
// lanes and the public decide it.
func (p *problem) opens(i, l int32) bool {
	s := &p.stays[i]
	from, to := p.span(i)
	for _, w := range p.lanes[l].windows {
		if (w.To == 0 || from < w.To) && (to == 0 || to > w.From) {
			return false
		}
	}
	public := p.index.PublicInside(p.lanes[l].zone)
	if len(public) == 0 {
		return true
	}
	un := &p.units[s.unit]
	if s.before != none && !fitsOutside(public, p.homeWindow(s), p.index.Pace(sallyport.MoveReturn, un.Gear), un.CoolDown) {
		return false
	}
	if s.after == none {
		return true
	}
	w := p.outWindow(s)
	warm := sallyport.Seconds(0)
	if un.WarmWhere == sallyport.WarmInLane {
		warm = un.WarmUp
	}
	w.From -= sallyport.Instant(warm)
	return fitsOutside(public, w, warm+p.index.Pace(sallyport.MovePullOut, un.Gear), 0)
}

// span returns the nominal beginning and end of the stay; an end of zero is
// the end of the show.
func (p *problem) span(i int32) (from, to sallyport.Instant) {
	s := &p.stays[i]
	if s.outGroup != none {
		to = p.groups[s.outGroup].at
	}
	return p.groups[s.inGroup].at, to
}

// homeWindow is the time in which the stay may begin after an absence.
func (p *problem) homeWindow(s *stay) sallyport.Window {
	a := &p.absences[s.before]
	if a.duty != none {
		return sallyport.Window{From: a.back, To: a.back + sallyport.Instant(sallyport.Minutes(60))}
	}
	w := sallyport.Window{From: max(a.back, s.held), To: p.serial(a.entries[len(a.entries)-1]).HomeBy}
	if w.To != 0 {
		w.To += w.From - a.back
	}
	return w
}

// outWindow is the time in which the stay may end before an absence.
func (p *problem) outWindow(s *stay) sallyport.Window {
	a := &p.absences[s.after]
	if a.duty != none {
		to := p.show.Duties[a.duty].From
		return sallyport.Window{From: a.out - sallyport.Instant(sallyport.Minutes(60)), To: to}
	}
	from := a.out
	if s.early != 0 {
		from = s.early
	}
	return sallyport.Window{From: from, To: p.serial(a.entries[0]).FormUp}
}

// fitsOutside reports whether takes seconds within w, and rest seconds after
// them, find a time that touches none of the windows, which are in order.
func fitsOutside(windows []sallyport.Window, w sallyport.Window, takes, rest sallyport.Seconds) bool {
	from := w.From
	for _, x := range windows {
		if x.To <= from {
			continue
		}
		if from+sallyport.Instant(takes+rest) <= x.From {
			break
		}
		from = x.To
	}
	return w.To == 0 || from+sallyport.Instant(takes) <= w.To
}
