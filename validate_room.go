package sallyport

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// columns reports lines that a serial's column does not fit on, and lines on
// which nothing may stand.
func (v *validator) columns() {
	for _, s := range v.ix.SerialsInTime {
		lines := []LineID{s.Line}
		if s.HomeLine != s.Line {
			lines = append(lines, s.HomeLine)
		}
		for _, id := range lines {
			line := v.ix.Line(id)
			if line == nil {
				continue
			}
			t := serialThing(s)
			if line.Route {
				v.stop(t, "line", string(id), "name another line", "%s uses line %s, which lies on an emergency route where nothing may stand", t.subject(), named(line.Name, id))
			}
			need, n := v.columnLength(s, line.Gap)
			if line.Length > 0 && need > line.Length {
				v.stop(t, "line", string(id), "use a longer line, or shorten the serial", "line %s is %s long, but the %d vehicles of %s need %s", named(line.Name, id), line.Length.Metres(), n, t.subject(), need.Metres())
			}
		}
	}
}

// columnLength returns what a serial's units need nose to tail on a line.
func (v *validator) columnLength(s *Serial, gap Centimetres) (need Centimetres, n int) {
	var last *Unit
	for i := range s.Entries {
		u := v.ix.Unit(s.Entries[i].Unit)
		if u == nil || u.Length < 0 {
			continue
		}
		if last != nil {
			need += max(gap, last.GapBehind, u.GapAhead)
		}
		need += u.Length
		last = u
		n++
	}
	return need, n
}

// unsuitable says why a unit cannot stand in a lane; "" when it can. Only
// what the show says for certain counts.
func unsuitable(u *Unit, l *Lane) string {
	reversed, nose := l.In != InNose, l.In != InReversed
	mustReverse := l.Kind == DeadEnd || !nose && reversed
	switch {
	case u.Home.Binding == Fixed && u.Home.Lane != "" && u.Home.Lane != l.ID:
		return "it is fixed in lane " + string(u.Home.Lane)
	case len(u.Zones) > 0 && !slices.Contains(u.Zones, l.Zone):
		return "it may not stand in that zone"
	case u.Length > l.Length:
		return "it is longer than the lane"
	case l.Width > 0 && u.Width > l.Width:
		return "it is wider than the lane"
	case l.MaxMass > 0 && u.Heaviest > l.MaxMass:
		return "it is too heavy for the lane"
	case u.Reverse == ReverseNever && mustReverse:
		return "it cannot reverse, as it would have to there"
	case u.Reverse == ReverseShort && mustReverse && u.ReverseLimit < u.Length:
		return "it cannot reverse far enough there"
	}
	return ""
}

// lanesForAll reports units that no lane suits, with the reasons.
func (v *validator) lanesForAll() {
	lanes := v.show.Park.Lanes
	if len(lanes) == 0 {
		return
	}
	for _, id := range v.ix.UnitIDs {
		u := v.ix.Unit(id)
		if v.ix.CombinationOf(id) != "" {
			continue
		}
		why := map[string][]string{}
		var order []string
		fits, tooShort, longest := false, true, Centimetres(0)
		for i := range lanes {
			reason := unsuitable(u, &lanes[i])
			if reason == "" {
				fits = true
				break
			}
			if len(why[reason]) == 0 {
				order = append(order, reason)
			}
			why[reason] = append(why[reason], string(lanes[i].ID))
			elsewhere := len(u.Zones) > 0 && !slices.Contains(u.Zones, lanes[i].Zone) || u.Home.Binding == Fixed && u.Home.Lane != lanes[i].ID
			if !elsewhere {
				tooShort = tooShort && lanes[i].Length < u.Length
				longest = max(longest, lanes[i].Length)
			}
		}
		switch {
		case fits:
		case tooShort && longest > 0:
			v.stop(unitThing(u), "length", u.Length.Metres(), "measure it again, or give a longer lane it may use", "%s is %s long, longer than every lane it may use; the longest is %s", u.Name, u.Length.Metres(), longest.Metres())
		default:
			var reasons []string
			for _, r := range order {
				reasons = append(reasons, fmt.Sprintf("%s (%s)", r, some(why[r])))
			}
			v.stop(unitThing(u), "lanes", "", "change one of these, or add a lane for it", "no lane suits %s: %s", u.Name, strings.Join(reasons, "; "))
		}
	}
}

// some lists names, the first few when there are many.
func some(names []string) string {
	const most = 4
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
}

// fixedIn returns the units that have each lane as a fixed home.
func (v *validator) fixedIn() ([]LaneID, map[LaneID][]*Unit) {
	all := map[LaneID][]*Unit{}
	var order []LaneID
	for _, id := range v.ix.UnitIDs {
		u := v.ix.Unit(id)
		if u.Home.Binding != Fixed || v.ix.Lane(u.Home.Lane) == nil || v.ix.CombinationOf(id) != "" {
			continue
		}
		if all[u.Home.Lane] == nil {
			order = append(order, u.Home.Lane)
		}
		all[u.Home.Lane] = append(all[u.Home.Lane], u)
	}
	return order, all
}

// fixedHomes reports lanes too short for those fixed in them on some night,
// and units fixed together that must not be.
func (v *validator) fixedHomes() {
	order, all := v.fixedIn()
	for _, id := range order {
		lane, units := v.ix.Lane(id), all[id]
		for _, u := range units {
			for _, o := range units {
				if o == u || !v.together(u, o) {
					continue
				}
				switch {
				case u.StandsAlone && (!o.StandsAlone || u.ID < o.ID):
					v.stop(unitThing(u), "home", string(id), "give one of them another lane", "%s stands alone, but %s is fixed in lane %s with it", u.Name, o.Name, id)
				case slices.Contains(u.KeepApart, o.ID) && (!slices.Contains(o.KeepApart, u.ID) || u.ID < o.ID):
					v.stop(unitThing(u), "keep apart", string(o.ID), "give one of them another lane", "%s and %s are to be kept apart, but both are fixed in lane %s", u.Name, o.Name, id)
				}
			}
		}
		for _, night := range v.nightTimes() {
			var there []*Unit
			for _, u := range units {
				if v.staysOver(u, night) {
					there = append(there, u)
				}
			}
			if need := v.leastRoom(there, lane.Gap, 1); len(there) > 0 && need > lane.Length {
				v.stop(laneThing(lane), "length", lane.Length.Metres(), "fix fewer vehicles there, or free one of them", "lane %s is %s long, but %s are fixed in it and need %s", id, lane.Length.Metres(), v.unitNames(there), need.Metres())
				break
			}
			if lane.MaxDeep > 0 && len(there) > lane.MaxDeep {
				v.stop(laneThing(lane), "number deep", fmt.Sprint(lane.MaxDeep), "fix fewer vehicles there", "lane %s may be %d deep, but %s are fixed in it", id, lane.MaxDeep, v.unitNames(there))
				break
			}
		}
	}
}

func (v *validator) unitNames(units []*Unit) string {
	ids := make([]UnitID, len(units))
	for i, u := range units {
		ids[i] = u.ID
	}
	return v.ix.Names(ids)
}

// together reports whether two units are in the park at one time.
func (v *validator) together(a, b *Unit) bool {
	gone := func(a, b *Unit) bool { return a.Depart.To != 0 && b.Arrive.From >= a.Depart.To }
	return !gone(a, b) && !gone(b, a)
}

// companions reports what is said of keeping vehicles together and apart.
func (v *validator) companions() {
	for i := range v.raw.Vehicles {
		x := &v.raw.Vehicles[i]
		t := vehicleThing(x)
		for _, id := range x.KeepApart {
			u := v.ix.Unit(id)
			if u == nil {
				continue
			}
			switch c := v.ix.CombinationOf(x.ID); {
			case id == x.ID:
				v.stop(t, "keep apart", string(id), "name another vehicle", "%s is to be kept apart from itself", t.name)
			case c != "" && (c == v.ix.CombinationOf(id) || c == id):
				v.stop(t, "keep apart", string(id), "part the combination in the list, or strike the wish", "%s and %s are to be kept apart, but are coupled in %s", t.name, u.Name, v.ix.UnitName(c))
			case slices.Contains(x.KeepTogether, id):
				v.note(t, "keep apart", string(id), "strike one of the two", "%s and %s are to be kept both together and apart; they may share a zone but no lane", t.name, u.Name)
			}
		}
	}
}

// standbys reports more vehicles that must always be able to leave than a
// lane has ways out, where they are fixed in it.
func (v *validator) standbys() {
	order, all := v.fixedIn()
	for _, id := range order {
		lane := v.ix.Lane(id)
		ways := 1
		if lane.Kind == Open {
			ways = 2
		}
		var units []*Unit
		for _, u := range all[id] {
			if u.Standby {
				units = append(units, u)
			}
		}
		if len(units) > ways && v.together(units[0], units[len(units)-1]) {
			v.stop(laneThing(lane), "standby", string(id), "fix one of them in another lane", "%s must all be able to leave at any time, but are fixed in lane %s, a %s lane, which only %d can leave at once", v.unitNames(units), id, lane.Kind, ways)
		}
	}
}

// nightTimes returns a moment of each night of the show, when all who stay
// are parked: 03:00 of each day but the first.
func (v *validator) nightTimes() []Instant {
	var list []Instant
	for d := 2; d <= len(v.show.Days); d++ {
		list = append(list, At(d, 3, 0))
	}
	if len(list) == 0 && len(v.show.Days) == 1 {
		list = append(list, At(1, 3, 0))
	}
	return list
}

// staysOver reports whether a unit is certainly in a lane at t: it has come
// by then, has not left, is not on duty and not off the road.
func (v *validator) staysOver(u *Unit, t Instant) bool {
	if v.ix.CombinationOf(u.ID) != "" || u.OffRoadAt(t) || u.Depart != (Window{}) && u.Depart.From <= t {
		return false
	}
	if u.Arrive != (Window{}) && (u.Arrive.To == 0 || u.Arrive.To > t) {
		return false
	}
	for _, id := range append([]UnitID{u.ID}, u.Parts...) {
		for _, d := range v.ix.DutiesOf(id) {
			if d.From <= t && t < d.To {
				return false
			}
		}
	}
	return true
}

// leastRoom returns what units need at least in n lanes: their lengths and
// one gap less than there are units in each lane.
func (v *validator) leastRoom(units []*Unit, gap Centimetres, lanes int) Centimetres {
	need := gap * Centimetres(max(0, len(units)-lanes))
	for _, u := range units {
		need += max(0, u.Length)
	}
	return need
}

// nights reports nights on which more vehicles stay than there is room, in
// the whole park or in the zones that some are tied to.
func (v *validator) nights() {
	groups := v.zoneGroups()
	for _, g := range groups {
		for _, t := range v.nightTimes() {
			if v.night(g, t) {
				break // the same again the next night says nothing new
			}
		}
	}
}

// zoneGroup is a set of zones; nil stands for all lanes.
type zoneGroup []ZoneID

// zoneGroups returns the whole park and each set of zones that some unit is
// tied to.
func (v *validator) zoneGroups() []zoneGroup {
	groups := []zoneGroup{nil}
	seen := map[string]bool{}
	for _, id := range v.ix.UnitIDs {
		zones := slices.Clone(v.ix.Unit(id).Zones)
		slices.Sort(zones)
		zones = slices.Compact(zones)
		key := fmt.Sprintf("%q", zones)
		if len(zones) > 0 && !seen[key] {
			seen[key] = true
			groups = append(groups, zones)
		}
	}
	return groups
}

// night reports one group's lack of room on one night.
func (v *validator) night(g zoneGroup, t Instant) bool {
	in := func(z ZoneID) bool { return g == nil || slices.Contains(g, z) }
	var room Centimetres
	gap := Centimetres(-1)
	lanes, deep, counted := 0, 0, true
	for i := range v.show.Park.Lanes {
		l := &v.show.Park.Lanes[i]
		shut := slices.ContainsFunc(l.Closed, func(w Window) bool { return w.From <= t && (w.To == 0 || t < w.To) })
		if !in(l.Zone) || shut {
			continue
		}
		lanes++
		room += max(0, l.Length)
		deep += l.MaxDeep
		counted = counted && l.MaxDeep > 0
		if gap < 0 || l.Gap < gap {
			gap = l.Gap
		}
	}
	if lanes == 0 {
		return false // each unit is told that no lane suits it
	}
	var units []*Unit
	for _, id := range v.ix.UnitIDs {
		u := v.ix.Unit(id)
		tied := g == nil || len(u.Zones) > 0 && !slices.ContainsFunc(u.Zones, func(z ZoneID) bool { return !in(z) })
		if tied && v.staysOver(u, t) {
			units = append(units, u)
		}
	}
	where := "the park"
	if g != nil {
		names := make([]string, len(g))
		for i, z := range g {
			names[i] = v.ix.ZoneName(z)
		}
		where = "zone " + strings.Join(names, " or ")
	}
	thing := showThing
	if len(g) == 1 {
		thing = zoneThing(&Zone{ID: g[0], Name: v.ix.ZoneName(g[0])})
	}
	when := fmt.Sprintf("the night to day %d", t.Day())
	need := v.leastRoom(units, max(0, gap), lanes)
	switch {
	case need > room:
		v.note(thing, "room", room.Metres(), "add lanes or another zone, or send vehicles home for the night", "in %s, %s stay in %s and need at least %s with their gaps, but its lanes have %s in all: %s too little", when, countVehicles(len(units)), where, need.Metres(), room.Metres(), (need - room).Metres())
	case counted && len(units) > deep:
		v.note(thing, "room", fmt.Sprint(deep), "add lanes, or allow more vehicles in them", "in %s, %s stay in %s, but its lanes may hold %d", when, countVehicles(len(units)), where, deep)
	default:
		return v.tooManyLong(thing, units, when, in)
	}
	return true
}

// tooManyLong reports more vehicles of at least some length than find lanes
// long enough, when each lane holds as many of that length as it can.
func (v *validator) tooManyLong(thing thing, units []*Unit, when string, in func(ZoneID) bool) bool {
	sorted := slices.Clone(units)
	slices.SortStableFunc(sorted, func(a, b *Unit) int { return cmp.Compare(b.Length, a.Length) })
	for i, u := range sorted {
		if i+1 < len(sorted) && sorted[i+1].Length == u.Length || u.Length <= 0 {
			continue
		}
		places := 0
		for j := range v.show.Park.Lanes {
			l := &v.show.Park.Lanes[j]
			if in(l.Zone) && l.Length >= u.Length {
				n := int((l.Length-u.Length)/(u.Length+max(0, l.Gap))) + 1
				if l.MaxDeep > 0 {
					n = min(n, l.MaxDeep)
				}
				places += n
			}
		}
		if i+1 > places {
			v.note(thing, "room", fmt.Sprint(places), "add longer lanes, or send long vehicles home for the night", "in %s, %d vehicles of %s or more stay, but the lanes hold at most %d that long (%s the shortest of them)", when, i+1, u.Length.Metres(), places, u.Name)
			return true
		}
	}
	return false
}
