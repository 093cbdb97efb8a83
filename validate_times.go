package sallyport

import (
	"cmp"
	"fmt"
	"slices"
)

// windows reports spans of time that end before they begin.
func (v *validator) windows() {
	check := func(t thing, field string, w Window) {
		if w.From != 0 && w.To != 0 && w.To < w.From {
			v.stop(t, field, w.From.String()+" to "+w.To.String(), "give the earlier time first", "%s of %s ends at %s, before it begins at %s", field, t.subject(), w.To, w.From)
		}
	}
	for i := range v.raw.Vehicles {
		x := &v.raw.Vehicles[i]
		t := vehicleThing(x)
		check(t, "arrival", x.Arrive)
		check(t, "departure", x.Depart)
		check(t, "time off the road", x.OffRoad)
		if x.Depart.To != 0 && x.Arrive.From != 0 && x.Depart.To <= x.Arrive.From {
			v.stop(t, "departure", x.Depart.To.String(), "correct one of the two", "%s leaves by %s but comes only at %s", t.name, x.Depart.To, x.Arrive.From)
		}
	}
	for i := range v.raw.Park.Lanes {
		for _, w := range v.raw.Park.Lanes[i].Closed {
			check(laneThing(&v.raw.Park.Lanes[i]), "closed", w)
		}
	}
	for i := range v.raw.Resets {
		x := &v.raw.Resets[i]
		if x.From >= x.To {
			v.stop(resetThing(x), "times", x.From.String()+" to "+x.To.String(), "give when it begins and its latest end", "reset window %s runs from %s to %s", x.ID, x.From, x.To)
			continue
		}
		d := v.ix.Day(x.From.Day())
		if d != nil && (d.EngineFrom != 0 && x.From < d.EngineFrom || d.EngineTo != 0 && x.To > d.EngineTo) {
			v.note(resetThing(x), "times", x.From.String()+" to "+x.To.String(), "move the window, or allow engines longer", "reset window %s (%s to %s) lies partly outside the engine hours of %s", x.ID, x.From, x.To, d.Name)
		}
	}
	for i := range v.show.Duties {
		x := &v.show.Duties[i]
		if x.From == 0 || x.To <= x.From {
			v.stop(dutyThing(x), "times", x.From.String()+" to "+x.To.String(), "give when it begins and ends", "the duty %s of %s runs from %q to %q", x.What, v.ix.UnitName(x.Unit), x.From, x.To)
		}
	}
}

// days reports days whose hours cannot be, serials outside all days, and
// notes show days on which nothing happens.
func (v *validator) days() {
	used := map[int]bool{}
	for _, s := range v.ix.SerialsInTime {
		if t := s.when(); t != 0 {
			used[t.Day()] = true
			if n := t.Day(); n < 1 || n > len(v.show.Days) {
				v.stop(serialThing(s), "day", t.String(), "correct the day, or add days to the show", "%s is on day %d, but the show has %d days", serialThing(s).subject(), n, len(v.show.Days))
			}
		}
	}
	for i := range v.raw.Days {
		d := &v.raw.Days[i]
		t := dayThing(i+1, d)
		for _, h := range []struct {
			field    string
			from, to Instant
		}{{"public hours", d.PublicFrom, d.PublicTo}, {"engine hours", d.EngineFrom, d.EngineTo}} {
			switch {
			case h.from != 0 && h.to != 0 && h.to <= h.from:
				v.stop(t, h.field, h.from.String()+" to "+h.to.String(), "give the earlier time first", "the %s of %s end at %s, not after %s", h.field, t.name, h.to, h.from)
			case h.from != 0 && h.from.Day() != i+1 || h.to != 0 && h.to != At(i+2, 0, 0) && h.to.Day() != i+1:
				v.stop(t, h.field, h.from.String()+" to "+h.to.String(), fmt.Sprintf("give times on day %d", i+1), "the %s of %s, which is day %d, run from %s to %s", h.field, t.name, i+1, h.from, h.to)
			}
		}
		if !used[i+1] && v.show.Days[i].Kind == ShowDay {
			v.note(t, "serials", "", "add its serials, or call it a build-up or break-down day", "there are no serials on %s", t.name)
		}
	}
}

// closings reports closings whose times are out of order and notes what looks
// like a slip.
func (v *validator) closings() {
	last := map[ZoneID]*Closing{}
	list := make([]*Closing, len(v.show.Closings))
	for i := range v.show.Closings {
		list[i] = &v.show.Closings[i]
	}
	slices.SortStableFunc(list, func(a, b *Closing) int { return cmp.Compare(a.Closed, b.Closed) })
	for _, x := range list {
		t := closingThing(x)
		switch {
		case x.Closed == 0 && x.Clear == 0:
			v.stop(t, "closed", "", "give the time at which the public is sent out", "a closing of zone %s has no time", x.Zone)
		case x.Clear < x.Closed:
			v.stop(t, "clear", x.Clear.String(), "give a later time", "zone %s is declared clear at %s, before it is closed at %s", x.Zone, x.Clear, x.Closed)
		case x.Reopened <= x.Clear:
			v.stop(t, "reopened", x.Reopened.String(), "give a later time", "zone %s is reopened at %s, not after it is clear at %s", x.Zone, x.Reopened, x.Clear)
		case x.Closed != 0 && x.Clear < x.Closed+Instant(x.ToClear):
			v.note(t, "clear", x.Clear.String(), "check whether it can be done", "zone %s takes %s to clear, but is to be clear at %s, %s after it is closed", x.Zone, x.ToClear.Words(), x.Clear, Seconds(x.Clear-x.Closed).Words())
		}
		if z := v.ix.Zone(x.Zone); z != nil && !z.Public {
			v.note(t, "zone", string(x.Zone), "mark the zone as public, or strike the closing", "zone %s is closed at %s, but the public never walks there", x.Zone, x.Closed)
		}
		if o := last[x.Zone]; o != nil && x.Closed < o.Reopened {
			v.note(t, "closed", x.Closed.String(), "join the two closings", "zone %s is closed at %s, while it is still closed until %s", x.Zone, x.Closed, o.Reopened)
		}
		last[x.Zone] = x
	}
}

// step is a named moment in the course of a serial.
type step struct {
	name string
	at   Instant
}

// serialTimes reports serials whose times are out of order, lie outside
// engine hours, or share the arena.
func (v *validator) serialTimes() {
	var before *Serial
	for _, s := range v.ix.SerialsInTime {
		t := serialThing(s)
		if s.when() == 0 {
			v.stop(t, "time", "", "give when it enters the arena, or when it is to be formed up", "%s has no time", t.subject())
			continue
		}
		course := []step{{"pull-outs from", s.FormFrom}, {"form-up", s.FormUp}, {"leaving the line", s.Leave()}, {"arena in", s.ArenaIn}, {"arena out", s.ArenaOut}, {"back on the line", s.Back()}, {"home by", s.HomeBy}}
		ok := true
		for i := range course[1:] {
			a, b := course[i], course[i+1]
			if b.at < a.at || b.at == a.at && b.name == "arena out" {
				ok = false
				v.stop(t, b.name, b.at.String(), fmt.Sprintf("put %s after %s", b.name, a.name), "times of %s out of order: %s is %s, %s is %s", t.subject(), a.name, a.at, b.name, b.at)
			}
		}
		if !ok {
			continue
		}
		if d := v.ix.Day(s.ArenaIn.Day()); d != nil && (d.EngineFrom != 0 && s.FormUp < d.EngineFrom || d.EngineTo != 0 && s.Back() > d.EngineTo) {
			v.stop(t, "times", s.FormUp.String()+" to "+s.Back().String(), "move the serial, or allow engines longer", "%s runs from %s to %s, but engines may run from %s to %s only", t.subject(), s.FormUp.Clock(), s.Back().Clock(), d.EngineFrom.Clock(), d.EngineTo.Clock())
		}
		if before != nil && s.ArenaIn < before.ArenaOut {
			v.note(t, "arena in", s.ArenaIn.String(), "check the times", "%s enters the arena at %s, while %s is in it until %s", t.subject(), s.ArenaIn, v.ix.SerialName(before.ID), before.ArenaOut)
		}
		before = s
	}
}

// vehiclesOf returns the single vehicles that a unit consists of.
func (v *validator) vehiclesOf(id UnitID) []UnitID {
	if u := v.ix.Unit(id); u != nil && u.Combination {
		return u.Parts
	}
	return []UnitID{id}
}

// twiceInSerial reports a vehicle that is in one serial twice, by itself or
// as part of a combination, and odd reserves.
func (v *validator) twiceInSerial() {
	for i := range v.show.Serials {
		s := &v.show.Serials[i]
		t := serialThing(s)
		if len(s.Entries) == 0 {
			v.note(t, "entries", "", "add its entries", "%s has no entries", t.subject())
		}
		first := map[UnitID]*Entry{}
		for j := range s.Entries {
			e := &s.Entries[j]
			for _, id := range v.vehiclesOf(e.Unit) {
				if o := first[id]; o != nil && id != "" {
					how := ""
					if e.Unit != o.Unit {
						how = fmt.Sprintf(", as %s and as %s", v.ix.UnitName(o.Unit), v.ix.UnitName(e.Unit))
					}
					v.stop(t, "entries", string(e.Unit), "strike one of the two entries, or name another vehicle", "%s is in %s twice%s", v.ix.UnitName(id), t.subject(), how)
					continue
				}
				first[id] = e
			}
		}
		for j := range s.Entries {
			for _, r := range s.Entries[j].Reserves {
				if o := first[r]; o != nil {
					v.note(t, "reserves", string(r), "name a vehicle that is not in the serial", "%s is named as a reserve for %s, but is itself in %s", v.ix.UnitName(r), v.ix.UnitName(s.Entries[j].Unit), t.subject())
				}
			}
		}
	}
}

// engaged is a time in which a vehicle cannot be anywhere else.
type engaged struct {
	from, to Instant
	serial   *Serial
	entry    *Entry
	duty     *Duty
}

func (v *validator) what(e engaged) string {
	if e.serial != nil {
		return v.ix.SerialName(e.serial.ID)
	}
	return e.duty.What
}

// thing returns what the engagement is, for reporting.
func (e engaged) thing() thing {
	if e.serial != nil {
		return serialThing(e.serial)
	}
	return dutyThing(e.duty)
}

// engagements returns each vehicle's entries (from form-up until the column
// is back) and duties in order of time. Those whose own times are out of
// order are left out; they are reported elsewhere.
func (v *validator) engagements() ([]UnitID, map[UnitID][]engaged) {
	all := map[UnitID][]engaged{}
	var order []UnitID
	add := func(unit UnitID, e engaged) {
		for _, id := range v.vehiclesOf(unit) {
			if e.from == 0 || e.to < e.from || v.ix.Unit(id) == nil {
				continue
			}
			if all[id] == nil {
				order = append(order, id)
			}
			all[id] = append(all[id], e)
		}
	}
	for _, s := range v.ix.SerialsInTime {
		for j := range s.Entries {
			add(s.Entries[j].Unit, engaged{from: s.FormUp, to: s.Back(), serial: s, entry: &s.Entries[j]})
		}
	}
	for i := range v.show.Duties {
		d := &v.show.Duties[i]
		add(d.Unit, engaged{from: d.From, to: d.To, duty: d})
	}
	for _, list := range all {
		slices.SortStableFunc(list, func(a, b engaged) int { return cmp.Compare(a.from, b.from) })
	}
	return order, all
}

// twoPlaces reports vehicles that are due at two places at once, and those
// that have no time to be parked and pulled out again in between.
func (v *validator) twoPlaces() {
	order, all := v.engagements()
	for _, id := range order {
		u := v.ix.Unit(id)
		list := all[id]
		longest := list[0]
		for i := range list[1:] {
			a, b := list[i], list[i+1]
			if longest.to > a.to {
				a = longest
			} else {
				longest = a
			}
			if a.serial != nil && a.serial == b.serial {
				continue // twice in one serial
			}
			joined := a.entry != nil && b.entry != nil && a.entry.Join != JoinNone
			need := Instant(v.ix.Pace(MoveReturn, u.Gear) + v.ix.Pace(MovePullOut, u.Gear))
			switch {
			case joined && a.entry.Join == JoinArena:
				if b.serial.ArenaIn < a.serial.ArenaOut {
					v.stop(b.thing(), "entries", string(id), "move one of the two serials", "%s stays in the arena from %s to %s, but the first lasts until %s and the other begins at %s", u.Name, v.what(a), v.what(b), a.serial.ArenaOut, b.serial.ArenaIn)
				}
			case joined:
				if across := Instant(v.ix.Pace(MoveAcross, u.Gear)); b.serial.Line != a.serial.HomeLine && a.to+across > b.serial.Leave() || a.to > b.serial.Leave() {
					v.stop(b.thing(), "entries", string(id), "move one of the two serials", "%s goes straight from %s to %s, but is back at %s and the other column leaves at %s", u.Name, v.what(a), v.what(b), a.to, b.serial.Leave())
				}
			case b.from < a.to:
				v.stop(b.thing(), "entries", string(id), "move one of the two, join the entries, or name another vehicle", "%s is due in two places at once: %s lasts until %s, %s begins at %s", u.Name, v.what(a), a.to, v.what(b), b.from)
			case b.from < a.to+need && a.serial != nil && b.serial != nil:
				v.stop(b.thing(), "entries", string(id), "join the two entries, or give more time between them", "%s has no time to turn round: back from %s at %s, due on the line for %s at %s, and it takes %s to park and pull out", u.Name, v.what(a), a.to, v.what(b), b.from, Seconds(need).Words())
			case b.from < a.to+need:
				v.note(b.thing(), "times", string(id), "give more time between them", "%s has little time between %s (until %s) and %s (from %s)", u.Name, v.what(a), a.to, v.what(b), b.from)
			}
		}
	}
}

// presence reports entries and duties of vehicles that have not come yet, are
// gone already, or are off the road.
func (v *validator) presence() {
	order, all := v.engagements()
	for _, id := range order {
		u := v.ix.Unit(id)
		for _, e := range all[id] {
			what := v.what(e)
			switch {
			case u.Arrive.From != 0 && e.from < u.Arrive.From:
				v.stop(e.thing(), "entries", string(id), "let it come earlier, or name another vehicle", "%s is due for %s at %s, but comes only at %s", u.Name, what, e.from, u.Arrive.From)
			case u.Depart.To != 0 && e.to > u.Depart.To:
				v.stop(e.thing(), "entries", string(id), "let it leave later, or name another vehicle", "%s is in %s until %s, but leaves by %s", u.Name, what, e.to, u.Depart.To)
			case u.OffRoadAt(e.from):
				v.note(e.thing(), "entries", string(id), "name another vehicle, or put it back on the road", "%s is due for %s at %s, but is off the road", u.Name, what, e.from)
			case u.Arrive.To != 0 && e.from < u.Arrive.To:
				v.note(e.thing(), "entries", string(id), "see that it comes in time", "%s is due for %s at %s, but may come as late as %s", u.Name, what, e.from, u.Arrive.To)
			}
		}
	}
}

// runs reports vehicles that are wanted more often in a day than they may be.
func (v *validator) runs() {
	order, all := v.engagements()
	for _, id := range order {
		u := v.ix.Unit(id)
		count, spent := map[int]int{}, map[int]Seconds{}
		var days []int
		for _, e := range all[id] {
			day := e.from.Day()
			if count[day] == 0 {
				days = append(days, day)
			}
			count[day]++
			if e.serial != nil {
				spent[day] += Seconds(e.serial.ArenaOut - e.serial.ArenaIn)
			}
		}
		for _, day := range days {
			if u.MaxRuns > 0 && count[day] > u.MaxRuns {
				v.stop(unitThing(u), "most runs", fmt.Sprint(u.MaxRuns), "strike an entry or duty, or name another vehicle", "%s has %d entries and duties on day %d, but may have %d", u.Name, count[day], day, u.MaxRuns)
			}
			if u.MaxRunning > 0 && spent[day] > u.MaxRunning {
				v.stop(unitThing(u), "most running time", u.MaxRunning.Words(), "strike an entry, or name another vehicle", "%s is %s in the arena on day %d, but may run %s", u.Name, spent[day].Words(), day, u.MaxRunning.Words())
			}
		}
	}
}

// bookings reports people who are named for two vehicles at once.
func (v *validator) bookings() {
	type booking struct {
		engaged
		unit UnitID
	}
	all := map[PersonID][]booking{}
	var order []PersonID
	add := func(who PersonID, b booking) {
		if who == "" || b.from == 0 || b.to < b.from {
			return
		}
		if all[who] == nil {
			order = append(order, who)
		}
		all[who] = append(all[who], b)
	}
	for _, s := range v.ix.SerialsInTime {
		for j := range s.Entries {
			e := &s.Entries[j]
			b := booking{engaged{from: s.FormUp, to: s.Back(), serial: s, entry: e}, e.Unit}
			add(e.Driver, b)
			for _, who := range e.Crew {
				add(who, b)
			}
		}
	}
	for i := range v.show.Duties {
		d := &v.show.Duties[i]
		add(d.Driver, booking{engaged{from: d.From, to: d.To, duty: d}, d.Unit})
	}
	for _, who := range order {
		list := all[who]
		slices.SortStableFunc(list, func(a, b booking) int { return cmp.Compare(a.from, b.from) })
		longest := list[0]
		for i := range list[1:] {
			if list[i].to > longest.to {
				longest = list[i]
			}
			if a, b := longest, list[i+1]; b.from < a.to && a.unit != b.unit {
				v.stop(b.thing(), "driver", string(who), "name somebody else for one of them", "%s is named for %s in %s until %s and for %s in %s from %s", v.ix.PersonName(who), v.ix.UnitName(a.unit), v.what(a.engaged), a.to, v.ix.UnitName(b.unit), v.what(b.engaged), b.from)
			}
		}
	}
}
