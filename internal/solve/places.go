package solve

import (
	"slices"
	"strconv"
	"strings"

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

// size is all that decides which places fit a unit.
type size struct {
	home                int32 // when it is fixed; else none
	length, width, mass int   // how many of the lanes' limits are below its own
	zones               string
}

// limits are the different lengths, widths and masses that lanes allow, each
// list rising.
type limits struct{ lengths, widths, masses []int64 }

func (p *problem) limits() limits {
	var x limits
	for l := range p.show.Park.Lanes {
		ln := &p.show.Park.Lanes[l]
		x.lengths = append(x.lengths, int64(ln.Length))
		x.widths = append(x.widths, int64(ln.Width))
		x.masses = append(x.masses, int64(ln.MaxMass))
	}
	for _, list := range []*[]int64{&x.lengths, &x.widths, &x.masses} {
		slices.Sort(*list)
		*list = slices.Compact(*list)
	}
	return x
}

// of returns the size of a unit: units of one size fit the same places.
func (x *limits) of(un *unit) size {
	below := func(list []int64, value int64) int {
		n, _ := slices.BinarySearch(list, value)
		return n
	}
	z := size{home: none, length: below(x.lengths, int64(un.length)), width: below(x.widths, int64(un.Width)), mass: below(x.masses, int64(un.Heaviest))}
	if un.fixed {
		z.home = un.home
	}
	var zones strings.Builder
	for _, id := range un.Zones {
		zones.WriteString(strconv.Quote(string(id)))
	}
	z.zones = zones.String()
	return z
}

// placeLists keeps one copy of every list of places, so that stays with the
// same places share it however many there are.
type placeLists struct {
	known   map[uint64][][]int32 // by hash; nil: nothing is kept
	scratch []int32
}

// share returns the copy of list, which may be used again afterwards.
func (x *placeLists) share(list []int32) []int32 {
	var h uint64
	for _, pl := range list {
		h = h*0x9e3779b97f4a7c15 + uint64(pl) + 1
	}
	for _, known := range x.known[h] {
		if slices.Equal(known, list) {
			return known
		}
	}
	list = slices.Clone(list)
	if x.known != nil {
		x.known[h] = append(x.known[h], list)
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
// of the public. Units and stays with the same places share one list.
func (p *problem) allowPlaces() {
	x := p.limits()
	ofSize := make(map[size][]int32)
	for u := range p.units {
		z := x.of(&p.units[u])
		list, known := ofSize[z]
		if !known {
			list = p.fitting(int32(u))
			ofSize[z] = list
		}
		p.units[u].places = list
	}
	lists := placeLists{known: make(map[uint64][][]int32)}
	for i := range p.stays {
		p.allowStay(int32(i), &lists)
	}
}

// allowStay gives stay i its places, from lists where they are known.
func (p *problem) allowStay(i int32, lists *placeLists) {
	s := &p.stays[i]
	un := &p.units[s.unit]
	if w, ok := p.begins(i); ok {
		s.places = p.standsAt(i, w)
		return
	}
	s.places = un.places
	if un.Reverse != sallyport.ReverseNever && !p.closes {
		return
	}
	comes, leaves := p.groups[s.inGroup].kind != groupStart, s.outGroup != none
	zone, open := sallyport.ZoneID(""), p.zoneOpens(i, "") // of the lane before
	list := lists.scratch[:0]
	for _, pl := range un.places {
		l := p.places[pl].lane
		if z := p.lanes[l].zone; z != zone {
			zone, open = z, p.zoneOpens(i, z)
		}
		if open && p.drives(un, pl, comes, leaves) && p.laneOpens(i, l) {
			list = append(list, pl)
		}
	}
	if len(list) < len(un.places) {
		s.places = lists.share(list)
	}
	lists.scratch = list
}

// laneOpens reports whether the lane is not closed during stay i.
func (p *problem) laneOpens(i, l int32) bool {
	from, to := p.span(i)
	for _, w := range p.lanes[l].windows {
		if (w.To == 0 || from < w.To) && (to == 0 || to > w.From) {
			return false
		}
	}
	return true
}

// zoneOpens reports whether stay i can begin and end in the zone while the
// public is not inside.
func (p *problem) zoneOpens(i int32, zone sallyport.ZoneID) bool {
	public := p.index.PublicInside(zone)
	if len(public) == 0 {
		return true
	}
	s := &p.stays[i]
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
	if a.stray {
		return sallyport.Window{From: a.back}
	}
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
	if a.stray {
		return sallyport.Window{From: a.out}
	}
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
