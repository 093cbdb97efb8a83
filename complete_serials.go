package sallyport

import (
	"cmp"
	"fmt"
	"slices"
)

// What is assumed of a serial of which only the arena time is given.
const (
	defaultTravel   = Seconds(5 * 60)
	defaultFormed   = Seconds(5 * 60)  // all on the line before the column leaves
	defaultForming  = Seconds(30 * 60) // from the first pull-out until all are on the line
	defaultArena    = Seconds(20 * 60)
	defaultHome     = Seconds(30 * 60) // from the column's return until all are parked
	leastHome       = Seconds(10 * 60)
	defaultToClear  = Seconds(10 * 60)
	turnRoundBefore = Seconds(15 * 60) // parked before the unit's next use
)

// serials completes the times of each serial from those given: the road to
// the arena is 5 minutes (less when form-up and arena-in leave less), the
// column is formed up 5 minutes before it leaves, pull-outs begin 30 minutes
// before that, and the arena is left after 20 minutes or when the next serial
// comes in.
func (c *completer) serials() {
	show := c.show
	byTime := make([]*Serial, len(show.Serials))
	for i := range show.Serials {
		byTime[i] = &show.Serials[i]
	}
	slices.SortStableFunc(byTime, func(a, b *Serial) int { return cmp.Compare(a.when(), b.when()) })
	next := map[*Serial]Instant{}
	for i, s := range byTime[:max(0, len(byTime)-1)] {
		next[s] = byTime[i+1].when()
	}
	taken := map[EntryID]bool{}
	for i := range show.Serials {
		for _, e := range show.Serials[i].Entries {
			taken[e.ID] = true
		}
	}
	for i := range show.Serials {
		s := &show.Serials[i]
		name := named(s.Name, s.ID)
		if s.Line == "" && len(show.Park.Lines) > 0 {
			s.Line = show.Park.Lines[0].ID
			if len(show.Park.Lines) > 1 {
				c.assume("serial", name, "line", named(show.Park.Lines[0].Name, s.Line), "the first one", "where it forms up, and who stands in whose way there")
			}
		}
		fill(&s.HomeLine, s.Line)
		c.serialTimes(s, name, next[s])
		for j := range s.Entries {
			e := &s.Entries[j]
			if e.ID == "" {
				e.ID = EntryID(unusedID(string(s.ID)+"/"+string(e.Unit), func(id string) bool { return taken[EntryID(id)] }))
				taken[e.ID] = true
			}
			if fill(&e.Value, 1) {
				c.assume("entry", string(e.ID), "value", "1", "all count the same", "which entry is given up first when not all can be served")
			}
		}
	}
}

func (c *completer) serialTimes(s *Serial, name string, next Instant) {
	if s.ArenaIn == 0 && s.FormUp == 0 {
		return
	}
	travel := defaultTravel
	if s.ArenaIn != 0 && s.FormUp != 0 {
		travel = min(travel, max(0, Seconds(s.ArenaIn-s.FormUp)))
	}
	var m missing
	if fill(&s.Travel, travel) {
		m.add("%s from the line to the arena", travel.Words())
	}
	if fill(&s.ArenaIn, s.FormUp+Instant(defaultFormed+s.Travel)) {
		m.add("in the arena %s after form-up", (defaultFormed + s.Travel).Words())
	}
	if fill(&s.FormUp, max(1, s.Leave()-Instant(defaultFormed))) {
		m.add("formed up %s before the column leaves", defaultFormed.Words())
	}
	if fill(&s.FormFrom, max(1, s.FormUp-Instant(defaultForming))) {
		m.add("pull-outs from %s before that", defaultForming.Words())
	}
	out := s.ArenaIn + Instant(defaultArena)
	if next > s.ArenaIn {
		out = min(out, next)
	}
	if fill(&s.ArenaOut, out) {
		m.add("%s in the arena", Seconds(out-s.ArenaIn).Words())
	}
	if len(m) > 0 {
		c.assume("serial", name, "times", m.text(), fromMemory, "when its vehicles leave and come home, and who stands in whose way")
	}
}

// homeBy sets by when each serial is parked: 30 minutes after the column is
// back, earlier when a vehicle of it is due again, but never less than 10.
func (c *completer) homeBy() {
	next := c.nextUses()
	for i := range c.show.Serials {
		s := &c.show.Serials[i]
		if s.HomeBy != 0 || s.ArenaOut == 0 {
			continue
		}
		by := s.Back() + Instant(defaultHome)
		for _, e := range s.Entries {
			if t := next[unitUse{e.Unit, s}]; t != 0 && e.Join == JoinNone {
				by = min(by, t-Instant(turnRoundBefore))
			}
		}
		s.HomeBy = max(by, s.Back()+Instant(leastHome))
		c.assume("serial", named(s.Name, s.ID), "home by", Seconds(s.HomeBy-s.Back()).Words()+" after the column is back", fromMemory, "when returns must be over")
	}
}

// unitUse is a unit in a serial.
type unitUse struct {
	unit   UnitID
	serial *Serial
}

// nextUses returns when each unit is due again after each of its serials.
func (c *completer) nextUses() map[unitUse]Instant {
	type due struct {
		at     Instant
		serial *Serial
	}
	dues := map[UnitID][]due{}
	for i := range c.show.Serials {
		s := &c.show.Serials[i]
		for _, e := range s.Entries {
			dues[e.Unit] = append(dues[e.Unit], due{s.FormUp, s})
		}
	}
	for _, d := range c.show.Duties {
		dues[d.Unit] = append(dues[d.Unit], due{d.From, nil})
	}
	next := map[unitUse]Instant{}
	for unit, list := range dues {
		slices.SortStableFunc(list, func(a, b due) int { return cmp.Compare(a.at, b.at) })
		for i := range list[:len(list)-1] {
			if list[i].serial != nil {
				next[unitUse{unit, list[i].serial}] = list[i+1].at
			}
		}
	}
	return next
}

// duties gives duties their ids, and an end when they have none.
func (c *completer) duties() {
	taken := map[DutyID]bool{}
	for _, d := range c.show.Duties {
		taken[d.ID] = true
	}
	for i := range c.show.Duties {
		d := &c.show.Duties[i]
		if d.ID == "" {
			d.ID = DutyID(unusedID("duty/"+string(d.Unit), func(id string) bool { return taken[DutyID(id)] }))
			taken[d.ID] = true
		}
		if d.To == 0 && d.From != 0 {
			d.To = d.From + Instant(Minutes(30))
			c.assume("duty", string(d.ID), "until", "30 min after its start", fromMemory, "when the vehicle comes home from it")
		}
	}
}

// days makes days when none are given and completes those that are.
func (c *completer) days() {
	show := c.show
	if len(show.Days) == 0 {
		last := 1
		for t := range moments(show) {
			last = max(last, t.Day())
		}
		show.Days = make([]Day, min(last, mostDays))
		c.assume("show", "", "days", fmt.Sprint(len(show.Days)), "as many as the order of events needs", "nothing else")
	}
	serials := map[int]bool{}
	for i := range show.Serials {
		serials[show.Serials[i].when().Day()] = true
	}
	public := slices.ContainsFunc(show.Park.Zones, func(z Zone) bool { return z.Public })
	for i := range show.Days {
		d := &show.Days[i]
		fill(&d.Name, fmt.Sprintf("Day %d", i+1))
		if d.Kind == "" {
			d.Kind = BuildUp
			if serials[i+1] {
				d.Kind = ShowDay
			}
		}
		if d.EngineFrom == 0 && d.EngineTo == 0 {
			c.assumeOnce("day", d.Name, "engine hours", "no limit", "no engine hours are given", "engines may run at any time of the day")
		}
		if d.Kind == ShowDay && public && d.PublicFrom == 0 && d.PublicTo == 0 {
			c.assumeOnce("day", d.Name, "public hours", "no public", "no public hours are given", "closings decide nothing on that day")
		}
	}
}

// mostDays bounds a show without days of its own.
const mostDays = 60

// moments yields all moments that the order of events names.
func moments(show *Show) func(yield func(Instant) bool) {
	return func(yield func(Instant) bool) {
		for i := range show.Serials {
			s := &show.Serials[i]
			for _, t := range []Instant{s.FormFrom, s.FormUp, s.ArenaIn, s.ArenaOut, s.HomeBy} {
				if !yield(t) {
					return
				}
			}
		}
		for _, d := range show.Duties {
			if !yield(d.From) || !yield(d.To) {
				return
			}
		}
		for _, v := range show.Vehicles {
			if !yield(v.Arrive.From) || !yield(v.Arrive.To) || !yield(v.Depart.From) || !yield(v.Depart.To) {
				return
			}
		}
	}
}

// closings sets when zones are declared clear and reopened.
func (c *completer) closings() {
	for i := range c.show.Closings {
		k := &c.show.Closings[i]
		name := fmt.Sprintf("of %s at %s", k.Zone, k.Closed)
		if k.Clear == 0 && k.Closed != 0 {
			if fill(&k.ToClear, defaultToClear) {
				c.assume("closing", name, "time to clear", defaultToClear.Words(), fromMemory, "when the first engine may start there")
			}
			k.Clear = k.Closed + Instant(k.ToClear)
		}
		if k.Reopened == 0 && k.Closed != 0 {
			k.Reopened = At(k.Closed.Day()+1, 0, 0)
			if n := k.Closed.Day(); n >= 1 && n <= len(c.show.Days) && c.show.Days[n-1].PublicTo > k.Closed {
				k.Reopened = c.show.Days[n-1].PublicTo
			}
			c.assume("closing", name, "reopened", k.Reopened.String(), "the end of the public's day", "by when all must be parked and cooled there")
		}
	}
}

// resets completes reset windows. None are invented: evenings belong to
// people.
func (c *completer) resets() {
	if len(c.show.Resets) == 0 {
		c.assumeOnce("show", "", "reset windows", "none", "no reset windows are given", "nothing is put right outside the serials")
	}
	for i := range c.show.Resets {
		w := &c.show.Resets[i]
		if fill(&w.Awkward, 100) {
			c.assume("reset window", string(w.ID), "awkwardness", "100 %", "as a move by day", "the price of moves in it")
		}
	}
}
