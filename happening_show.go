package sallyport

import (
	"fmt"
	"slices"
)

// startsLate has a unit off the road until it can start.
func (a *applying) startsLate(h *Happening) {
	if h.Until == 0 {
		a.wrong(h, "until", "", "give the moment from which it can start", "it is not said when %s can start", a.ix.UnitName(h.Unit))
		return
	}
	if h.Until <= h.At {
		a.wrong(h, "until", h.Until.String(), "give the moment from which it can start", "%s cannot start only at %s, which is not after %s", a.ix.UnitName(h.Unit), a.show.When(h.Until), a.show.When(h.At))
		return
	}
	a.offRoad(h)
}

// breaksDown has a unit off the road from now on, until it is mended.
func (a *applying) breaksDown(h *Happening) {
	switch {
	case !slices.Contains(FailureKinds, h.fails()):
		a.wrong(h, "where", string(h.Where), fmt.Sprintf("write one of %q", FailureKinds), "nothing fails %q", h.Where)
	case h.Until != 0 && h.Until <= h.At:
		a.wrong(h, "until", h.Until.String(), "give a later moment, or none", "%s is mended at %s, which is not after %s", a.ix.UnitName(h.Unit), a.show.When(h.Until), a.show.When(h.At))
	case h.Where == FailLate && h.Until == 0:
		a.wrong(h, "until", "", "give the moment from which it can start", "it is not said when %s can start", a.ix.UnitName(h.Unit))
	default:
		a.offRoad(h)
	}
}

// offRoad has the vehicle off the road from the happening until Until. A unit
// has one time off the road: one that touches it is made longer, one that is
// over is forgotten.
func (a *applying) offRoad(h *Happening) {
	u := a.unit(h, h.Unit)
	if u == nil {
		return
	}
	id := u.ID
	if u.Combination && len(u.Parts) > 0 {
		id = u.Parts[0]
	}
	i := slices.IndexFunc(a.show.Vehicles, func(v Vehicle) bool { return v.ID == id })
	if i < 0 {
		return
	}
	was, now := a.show.Vehicles[i].OffRoad, Window{From: h.At, To: h.Until}
	touches := was != (Window{}) && (was.To == 0 || was.To >= now.From) && (now.To == 0 || now.To >= was.From)
	switch {
	case touches:
		now.From = min(now.From, was.From)
		if was.To == 0 || now.To != 0 && was.To > now.To {
			now.To = was.To
		}
	case was != (Window{}) && was.From > h.At:
		a.wrong(h, "until", h.Until.String(), "say that it is off the road until then", "%s is off the road again from %s on, and two times off the road cannot be kept apart", u.Name, a.show.When(was.From))
		return
	}
	a.show.Vehicles[i].OffRoad = now
}

// limited sets what a unit may still do.
func (a *applying) limited(h *Happening) {
	u := a.unit(h, h.Unit)
	switch {
	case u == nil:
		return
	case !h.NoReverse && h.MaxRuns == 0:
		a.wrong(h, "limits", "", "say that it may not reverse, or how often it may run", "no limit is given for %s", u.Name)
		return
	case h.MaxRuns < 0:
		a.wrong(h, "max_runs", fmt.Sprint(h.MaxRuns), "give 1 or more, or do not move", "%s cannot run %d times", u.Name, h.MaxRuns)
		return
	}
	for i := range a.show.Vehicles {
		v := &a.show.Vehicles[i]
		if v.ID != u.ID && !(u.Combination && len(u.Parts) > 0 && u.Parts[0] == v.ID) {
			continue
		}
		if h.NoReverse {
			v.Reverse = ReverseNever
		}
		if h.MaxRuns > 0 && (v.MaxRuns == 0 || h.MaxRuns < v.MaxRuns) {
			v.MaxRuns = h.MaxRuns
		}
	}
	for i := range a.show.Combinations {
		if c := &a.show.Combinations[i]; h.NoReverse && c.ID == u.ID {
			c.Reverse = ReverseNever
		}
	}
}

// cancelled leaves the serial in the order of events without entries: who is
// on its line already goes home at once, within the time the others would
// have had.
func (a *applying) cancelled(h *Happening) {
	s := a.serial(h, h.Serial, true)
	if s == nil {
		return
	}
	s.Entries, s.Leaving = nil, nil
	if s.FormFrom <= h.At {
		home := max(Seconds(s.HomeBy-s.Back()), Minutes(30))
		s.ArenaOut = h.At - Instant(s.Travel)
		s.HomeBy = h.At + Instant(home)
	}
}

// delayed moves what of a serial is still to come.
func (a *applying) delayed(h *Happening) {
	s := a.serial(h, h.Serial, false)
	switch {
	case s == nil:
		return
	case h.By <= 0:
		a.wrong(h, "by", h.By.Words(), "give minutes to come", "%s cannot be delayed by %s", a.ix.SerialName(h.Serial), h.By.Words())
		return
	case s.Back() <= h.At:
		a.wrong(h, "serial", string(h.Serial), "name one that is still to come", "%s was back from the arena at %s", a.ix.SerialName(h.Serial), a.show.When(s.Back()))
		return
	}
	s.postpone(h.By, h.At)
}

// postpone moves the times of a serial that lie after a moment.
func (s *Serial) postpone(by Seconds, after Instant) {
	left := s.Leave() <= after
	for _, t := range []*Instant{&s.FormFrom, &s.FormUp, &s.ArenaIn, &s.ArenaOut, &s.HomeBy} {
		early := t == &s.FormFrom || t == &s.FormUp || t == &s.ArenaIn
		if *t != 0 && !(early && left) && !(t == &s.FormFrom && *t <= after) {
			*t += Instant(by)
		}
	}
}

// swapped lets two serials change places: the later begins where the earlier
// did, the earlier ends where the later did, so that the order of events keeps
// its length.
func (a *applying) swapped(h *Happening) {
	first, second := a.serial(h, h.Serial, true), a.serial(h, h.Other, true)
	if first == nil || second == nil {
		return
	}
	if first == second {
		a.wrong(h, "other", string(h.Other), "name two serials", "%s cannot change places with itself", a.ix.SerialName(h.Serial))
		return
	}
	if second.ArenaIn < first.ArenaIn {
		first, second = second, first
	}
	if first.ArenaIn.Day() != second.ArenaIn.Day() && !h.OtherDay {
		a.wrong(h, "other", string(h.Other), "swap two of one day; or say that another day is meant: "+string(h.Serial)+"="+string(h.Other)+" on another day",
			"%s is on %s and %s on %s: everybody in both would come on another day", a.ix.SerialName(first.ID), a.ix.dayName(first.ArenaIn), a.ix.SerialName(second.ID), a.ix.dayName(second.ArenaIn))
		return
	}
	forward, back := second.ArenaOut-first.ArenaOut, first.ArenaIn-second.ArenaIn
	first.postpone(Seconds(forward), h.At)
	for _, t := range []*Instant{&second.FormFrom, &second.FormUp, &second.ArenaIn, &second.ArenaOut, &second.HomeBy} {
		if *t != 0 {
			*t += back
		}
	}
	if second.Leave() <= h.At {
		a.wrong(h, "serial", string(second.ID), "swap it with a later one", "%s would have to leave at %s, which is over", a.ix.SerialName(second.ID), a.show.When(second.Leave()))
	}
}

// reserveTakes gives an entry to another unit.
func (a *applying) reserveTakes(h *Happening) {
	u, r, s := a.unit(h, h.Unit), a.unit(h, h.Reserve), a.serial(h, h.Serial, true)
	if u == nil || r == nil || s == nil {
		return
	}
	i := slices.IndexFunc(s.Entries, func(e Entry) bool { return e.Unit == u.ID })
	switch {
	case i < 0:
		a.wrong(h, "unit", string(u.ID), "name one that is in it", "%s has no entry in %s", u.Name, a.ix.SerialName(s.ID))
		return
	case slices.ContainsFunc(s.Entries, func(e Entry) bool { return e.Unit == r.ID }):
		a.wrong(h, "reserve", string(r.ID), "name another", "%s is in %s already", r.Name, a.ix.SerialName(s.ID))
		return
	}
	e := &s.Entries[i]
	if before := a.ix.JoinedBefore(e.ID); before != nil {
		before.Join = JoinNone
	}
	e.Join = JoinNone
	e.Unit, e.Driver, e.Crew = r.ID, "", nil
	e.Reserves = slices.DeleteFunc(slices.Clone(e.Reserves), func(id UnitID) bool { return id == r.ID })
}

// laneClosed closes a lane.
func (a *applying) laneClosed(h *Happening) {
	i := slices.IndexFunc(a.show.Park.Lanes, func(l Lane) bool { return l.ID == h.Lane })
	from := max(h.From, h.At)
	switch {
	case i < 0:
		a.wrong(h, "lane", string(h.Lane), "name a lane of the park", "there is no lane %q", h.Lane)
	case h.To != 0 && h.To <= from:
		a.wrong(h, "to", h.To.String(), "give a later moment, or none", "lane %s cannot be closed from %s to %s", h.Lane, a.show.When(from), a.show.When(h.To))
	default:
		h.From = from
		l := &a.show.Park.Lanes[i]
		to := h.To
		if to == 0 {
			to = At(len(a.show.Days)+2, 0, 0)
		}
		l.Closed = append(slices.Clone(l.Closed), Window{From: from, To: to})
	}
}

// teamLost takes a marshal team away for the rest of the day.
func (a *applying) teamLost(h *Happening) {
	day := h.At.Day()
	d, have := a.ix.Day(day), a.ix.TeamsOn(day)
	switch {
	case d == nil:
		a.wrong(h, "at", h.At.String(), "give a moment of the show", "%s is on no day of the show", h.At)
	case have == 0:
		a.wrong(h, "teams", "0", "give the marshal teams in the workbook first", "the show does not say how many marshal teams there are")
	case have == 1:
		a.wrong(h, "teams", "1", "find another team before anything moves", "the only marshal team on %s is lost, and nothing moves without one", a.ix.dayName(h.At))
	default:
		d.Teams = have - 1
	}
}
