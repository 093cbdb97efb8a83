package desk

import (
	"cmp"
	"fmt"
	"slices"

	"sallyport"
)

// Clash is something in an order of events that does not go together.
type Clash struct {
	Rule     string               `json:"rule"`
	Serial   sallyport.SerialID   `json:"serial,omitempty"`
	Entry    sallyport.EntryID    `json:"entry,omitempty"`
	Duty     sallyport.DutyID     `json:"duty,omitempty"`
	Units    []sallyport.UnitID   `json:"units,omitempty"`
	People   []sallyport.PersonID `json:"people,omitempty"`
	At       sallyport.Instant    `json:"at,omitzero"`
	Sentence string               `json:"sentence"`
	Hint     string               `json:"hint,omitempty"`
}

// Clashes says what does not go together in the order of events of a show as
// given, without a plan, in order of time: what Validate finds there, and what
// follows for each vehicle from its rest, its warming up, the hours of engines,
// the closings of the zones in which it may stand, and its usual driver.
func Clashes(show *sallyport.Show) []Clash {
	complete := sallyport.Complete(show)
	c := clashing{show: complete, ix: sallyport.NewIndex(complete), list: []Clash{}}
	for _, x := range sallyport.Clashes(c.ix) {
		c.known(x)
	}
	for _, rule := range clashRules {
		rule(&c)
	}
	slices.SortStableFunc(c.list, func(a, b Clash) int { return cmp.Compare(a.At, b.At) })
	return c.list
}

// clashRules are the rules that Validate does not have.
var clashRules = []func(*clashing){(*clashing).turnRound, (*clashing).engineHours, (*clashing).zonesShut, (*clashing).usualDrivers, (*clashing).sharedLines}

// clashing collects clashes of a complete show.
type clashing struct {
	show *sallyport.Show
	ix   *sallyport.Index
	list []Clash
}

// known takes over a finding of Validate.
func (c *clashing) known(x sallyport.Clash) {
	k := Clash{Rule: x.Rule, Sentence: x.Message + ".", Hint: x.Advice}
	if u := sallyport.UnitID(x.Value); c.ix.Unit(u) != nil {
		k.Units = []sallyport.UnitID{u}
	} else if u := sallyport.UnitID(x.ID); x.Kind == "vehicle" && c.ix.Unit(u) != nil {
		k.Units = []sallyport.UnitID{u}
	}
	if x.Rule == string(sallyport.RulePerson) {
		k.People = []sallyport.PersonID{sallyport.PersonID(x.Value)}
	}
	switch x.Kind {
	case "serial":
		k.Serial = sallyport.SerialID(x.ID)
	case "duty":
		k.Duty = sallyport.DutyID(x.ID)
		if d := c.ix.Duty(k.Duty); d != nil {
			k.At = d.From
		}
	}
	if s := c.ix.Serial(k.Serial); s != nil {
		k.At = s.FormUp
		for _, e := range s.Entries {
			if len(k.Units) > 0 && e.Unit == k.Units[0] || len(k.People) > 0 && (e.Driver == k.People[0] || slices.Contains(e.Crew, k.People[0])) {
				k.Entry = e.ID
				if len(k.Units) == 0 {
					k.Units = []sallyport.UnitID{e.Unit}
				}
				break
			}
		}
	}
	c.list = append(c.list, k)
}

func (c *clashing) add(rule string, ref sallyport.EntryRef, hint, format string, args ...any) *Clash {
	c.list = append(c.list, Clash{
		Rule: rule, Serial: ref.Serial.ID, Entry: ref.Entry.ID, Units: []sallyport.UnitID{ref.Entry.Unit}, At: ref.Serial.FormUp,
		Sentence: fmt.Sprintf(format, args...), Hint: hint,
	})
	return &c.list[len(c.list)-1]
}

// turnRound finds vehicles that get home and out again, but not with the rest
// that a hot engine needs and the time for warming up.
func (c *clashing) turnRound() {
	for _, id := range c.ix.UnitIDs {
		u := c.ix.Unit(id)
		list := c.ix.EntriesOf(id)
		for i := range max(0, len(list)-1) {
			a, b := list[i], list[i+1]
			if a.Entry.Join != sallyport.JoinNone || a.Serial == b.Serial || u.LongestIdle == 0 && u.HotRest == 0 {
				continue
			}
			home := a.Serial.Back() + sallyport.Instant(c.ix.Pace(sallyport.MoveReturn, u.Gear))
			pull := sallyport.Instant(c.ix.Pace(sallyport.MovePullOut, u.Gear))
			if b.Serial.FormUp < home+pull {
				continue // Validate says so
			}
			free := sallyport.Seconds(b.Serial.FormUp - home - pull)
			if need := u.HotRest + u.WarmUp; free < need {
				c.add(sallyport.ClashTurn, b, "give more time between the two, or name another vehicle",
					"%s is parked after %s at %s at the earliest and must be on the line for %s at %s: %s for a rest of %s and %s of warming up.",
					u.Name, c.ix.SerialName(a.Serial.ID), home.Clock(), c.ix.SerialName(b.Serial.ID), b.Serial.FormUp.Clock(), free.Words(), u.HotRest.Words(), u.WarmUp.Words())
			}
		}
	}
}

// engineHours finds vehicles whose engine has to run before or after the hours
// in which engines may: warming up before the serial, or going home from it.
func (c *clashing) engineHours() {
	for _, s := range c.ix.SerialsInTime {
		day := c.ix.Day(s.FormUp.Day())
		if day == nil || s.FormUp == 0 {
			continue
		}
		for i := range s.Entries {
			e := sallyport.EntryRef{Serial: s, Entry: &s.Entries[i]}
			u := c.ix.Unit(e.Entry.Unit)
			if u == nil || !u.HasEngine() {
				continue
			}
			begin := s.FormUp - sallyport.Instant(u.WarmUp+c.ix.Pace(sallyport.MovePullOut, u.Gear))
			if day.EngineFrom != 0 && s.FormUp >= day.EngineFrom && begin < day.EngineFrom && c.ix.JoinedBefore(e.Entry.ID) == nil {
				c.add(string(sallyport.RuleEngineHours), e, "move the serial, or allow engines earlier",
					"%s has to start its engine at %s to be on the line for %s at %s, but engines may run from %s only.",
					u.Name, begin.Clock(), c.ix.SerialName(s.ID), s.FormUp.Clock(), day.EngineFrom.Clock())
			}
			end := s.Back() + sallyport.Instant(c.ix.Pace(sallyport.MoveReturn, u.Gear)+u.CoolDown)
			if day.EngineTo != 0 && s.Back() <= day.EngineTo && end > day.EngineTo && e.Entry.Join == sallyport.JoinNone {
				c.add(string(sallyport.RuleEngineHours), e, "move the serial, or allow engines longer",
					"%s is parked and cooled after %s at %s at the earliest, but engines may run until %s only.",
					u.Name, c.ix.SerialName(s.ID), end.Clock(), day.EngineTo.Clock())
			}
		}
	}
}

// zonesShut finds vehicles that cannot leave for a serial, or cannot come home
// from it in time, in any zone in which they may stand, because the public is
// inside.
func (c *clashing) zonesShut() {
	for _, s := range c.ix.SerialsInTime {
		if s.FormUp == 0 {
			continue
		}
		for i := range s.Entries {
			e := sallyport.EntryRef{Serial: s, Entry: &s.Entries[i]}
			u := c.ix.Unit(c.ix.Standing(e.Entry.Unit))
			if u == nil {
				continue
			}
			zones := c.zonesOf(u)
			warm := sallyport.Seconds(0)
			if u.WarmWhere == sallyport.WarmInLane {
				warm = u.WarmUp
			}
			out := sallyport.Window{From: min(s.FormFrom, s.FormUp) - sallyport.Instant(warm), To: s.FormUp}
			if c.shutAll(zones, out, warm+c.ix.Pace(sallyport.MovePullOut, u.Gear), 0) && c.ix.JoinedBefore(e.Entry.ID) == nil {
				c.add(string(sallyport.RuleNotClear), e, "close the zone earlier, or move the serial",
					"%s has no time to pull out for %s by %s: the public is inside %s.", u.Name, c.ix.SerialName(s.ID), s.FormUp.Clock(), c.zoneNames(zones))
			}
			home := sallyport.Window{From: s.Back(), To: s.HomeBy}
			if c.shutAll(zones, home, c.ix.Pace(sallyport.MoveReturn, u.Gear), u.CoolDown) && e.Entry.Join == sallyport.JoinNone {
				c.add(string(sallyport.RuleReopened), e, "reopen the zone later, or move the serial",
					"%s has no time to come home from %s between %s and %s, and to cool down: the public is inside %s.",
					u.Name, c.ix.SerialName(s.ID), s.Back().Clock(), s.HomeBy.Clock(), c.zoneNames(zones))
			}
		}
	}
}

// zonesOf returns the zones of the lanes in which a unit may stand.
func (c *clashing) zonesOf(u *sallyport.Unit) []sallyport.ZoneID {
	if l := c.ix.Lane(u.Home.Lane); l != nil && u.Home.Binding == sallyport.Fixed {
		return []sallyport.ZoneID{l.Zone}
	}
	var zones []sallyport.ZoneID
	for i := range c.show.Park.Lanes {
		if z := c.show.Park.Lanes[i].Zone; !slices.Contains(zones, z) && (len(u.Zones) == 0 || slices.Contains(u.Zones, z)) {
			zones = append(zones, z)
		}
	}
	return zones
}

// shutAll reports whether no zone has, within w, so long a time in a piece
// without the public, with rest seconds after it.
func (c *clashing) shutAll(zones []sallyport.ZoneID, w sallyport.Window, takes, rest sallyport.Seconds) bool {
	for _, z := range zones {
		from := w.From
		for _, x := range c.ix.PublicInside(z) {
			if x.To <= from {
				continue
			}
			if from+sallyport.Instant(takes+rest) <= x.From {
				break
			}
			from = x.To
		}
		if w.To == 0 || from+sallyport.Instant(takes) <= w.To {
			return false
		}
	}
	return len(zones) > 0
}

func (c *clashing) zoneNames(zones []sallyport.ZoneID) string {
	text := ""
	for i, z := range zones {
		switch {
		case i == 0:
		case i == len(zones)-1:
			text += " and "
		default:
			text += ", "
		}
		text += c.ix.ZoneName(z)
	}
	return text
}

// usualDrivers finds vehicles for which nobody is named, whose usual driver
// and all others who may drive them are on another vehicle then.
func (c *clashing) usualDrivers() {
	type booking struct {
		from, to sallyport.Instant
		unit     sallyport.UnitID
		serial   *sallyport.Serial
	}
	booked := map[sallyport.PersonID][]booking{}
	driverOf := func(e *sallyport.Entry) sallyport.PersonID {
		if u := c.ix.Unit(e.Unit); e.Driver == "" && u != nil {
			return u.UsualDriver
		}
		return e.Driver
	}
	for _, s := range c.ix.SerialsInTime {
		for i := range s.Entries {
			e := &s.Entries[i]
			for _, who := range append([]sallyport.PersonID{driverOf(e)}, e.Crew...) {
				if who != "" && s.FormUp != 0 {
					booked[who] = append(booked[who], booking{s.FormUp, s.Back(), e.Unit, s})
				}
			}
		}
	}
	elsewhere := func(who sallyport.PersonID, e sallyport.EntryRef) *booking {
		for i, b := range booked[who] {
			if b.unit != e.Entry.Unit && b.from < e.Serial.Back() && e.Serial.FormUp < b.to {
				return &booked[who][i]
			}
		}
		return nil
	}
	for _, s := range c.ix.SerialsInTime {
		for i := range s.Entries {
			e := sallyport.EntryRef{Serial: s, Entry: &s.Entries[i]}
			u := c.ix.Unit(e.Entry.Unit)
			if u == nil || e.Entry.Driver != "" || u.UsualDriver == "" || s.FormUp == 0 {
				continue
			}
			b := elsewhere(u.UsualDriver, e)
			if b == nil || slices.ContainsFunc(u.AllDrivers, func(p sallyport.PersonID) bool { return elsewhere(p, e) == nil }) {
				continue
			}
			k := c.add(string(sallyport.RulePerson), e, "name a driver for one of the two",
				"%s usually drives %s, but is with %s in %s from %s to %s, and nobody else is named for it.",
				c.ix.PersonName(u.UsualDriver), u.Name, c.ix.UnitName(b.unit), c.ix.SerialName(b.serial.ID), b.from.Clock(), b.to.Clock())
			k.People = []sallyport.PersonID{u.UsualDriver}
		}
	}
}

// sharedMost is how many pairs of serials on one line are told: a day pasted a
// few times over has millions.
const sharedMost = 300

// sharedLines finds serials that stand complete on one line at the same time
// and are too long for it together.
func (c *clashing) sharedLines() {
	found := 0
	for i, a := range c.ix.SerialsInTime {
		line := c.ix.Line(a.Line)
		if line == nil || line.Length == 0 || a.FormUp == 0 {
			continue
		}
		for _, b := range c.ix.SerialsInTime[i+1:] {
			if b.Line != a.Line || b.FormUp >= a.Leave() || a.FormUp >= b.Leave() || b.FormUp == 0 {
				continue
			}
			if need := c.columnLength(a, line) + line.Gap + c.columnLength(b, line); need > line.Length {
				if found++; found > sharedMost {
					c.list = append(c.list, Clash{
						Rule: string(sallyport.RuleLineFull), Serial: b.ID, At: b.FormUp, Hint: "put those right first",
						Sentence: fmt.Sprintf("More serials than the %d told of here are formed up on one line at the same time and too long for it together.", sharedMost),
					})
					return
				}
				c.list = append(c.list, Clash{
					Rule: string(sallyport.RuleLineFull), Serial: b.ID, At: b.FormUp, Hint: "use another line for one of them, or move it",
					Sentence: fmt.Sprintf("%s and %s are both formed up on %s at %s and need %s together, but it is %s long.",
						c.ix.SerialName(a.ID), c.ix.SerialName(b.ID), c.ix.PosName(sallyport.AtLine(line.ID)), max(a.FormUp, b.FormUp).Clock(), need.Metres(), line.Length.Metres()),
				})
			}
		}
	}
}

// columnLength is what a serial needs nose to tail on a line.
func (c *clashing) columnLength(s *sallyport.Serial, line *sallyport.Line) sallyport.Centimetres {
	var need sallyport.Centimetres
	for i := range s.Entries {
		if u := c.ix.Unit(s.Entries[i].Unit); u != nil {
			if need > 0 {
				need += line.Gap
			}
			need += u.Length
		}
	}
	return need
}
