package sallyport

import "fmt"

// refer reports a name that nothing has. Empty names are gaps.
func refer[K ~string](v *validator, t thing, field, sort string, id K, known bool) {
	if id == "" || known {
		return
	}
	v.stop(t, field, string(id), fmt.Sprintf("correct the name, or add the %s", sort), "%s names the %s %q, which the show does not have", t.subject(), sort, string(id))
}

func (v *validator) parkReferences() {
	p := &v.raw.Park
	for i := range p.Lanes {
		x := &p.Lanes[i]
		refer(v, laneThing(x), "zone", "zone", x.Zone, v.ix.Zone(x.Zone) != nil)
		if len(p.Stretches) > 0 {
			refer(v, laneThing(x), "stretch of the mouth", "stretch", x.Mouth, v.ix.Stretch(x.Mouth) != nil)
			refer(v, laneThing(x), "stretch of the tail", "stretch", x.Tail, v.ix.Stretch(x.Tail) != nil)
		}
	}
	for i := range p.Lines {
		x := &p.Lines[i]
		refer(v, lineThing(x), "zone", "zone", x.Zone, v.ix.Zone(x.Zone) != nil)
		for _, f := range x.Fouls {
			for _, l := range f.Lanes {
				refer(v, lineThing(x), "lanes fouled", "lane", l, v.ix.Lane(l) != nil)
			}
		}
	}
	for i := range p.Spots {
		for _, z := range p.Spots[i].Zones {
			refer(v, spotThing(&p.Spots[i]), "zones", "zone", z, v.ix.Zone(z) != nil)
		}
	}
	for i := range v.raw.Closings {
		x := &v.raw.Closings[i]
		refer(v, closingThing(x), "zone", "zone", x.Zone, v.ix.Zone(x.Zone) != nil)
		if x.Zone == "" {
			v.stop(closingThing(x), "zone", "", "say which zone is closed", "the closing at %s names no zone", x.Closed)
		}
	}
}

func (v *validator) unitReferences() {
	for i := range v.raw.Vehicles {
		x := &v.raw.Vehicles[i]
		t := vehicleThing(x)
		for _, z := range x.Zones {
			refer(v, t, "zones", "zone", z, v.ix.Zone(z) != nil)
		}
		refer(v, t, "home", "lane", x.Home.Lane, v.ix.Lane(x.Home.Lane) != nil)
		for _, u := range x.KeepTogether {
			refer(v, t, "keep together", "vehicle", u, v.ix.Unit(u) != nil)
		}
		for _, u := range x.KeepApart {
			refer(v, t, "keep apart", "vehicle", u, v.ix.Unit(u) != nil)
		}
	}
	for i := range v.raw.Combinations {
		x := &v.raw.Combinations[i]
		t := combinationThing(x)
		refer(v, t, "tower", "vehicle", x.Tower, v.ix.Unit(x.Tower) != nil)
		for _, u := range x.Towed {
			refer(v, t, "towed", "vehicle", u, v.ix.Unit(u) != nil)
		}
		refer(v, t, "coupled at", "spot", x.CoupleAt, v.ix.Spot(x.CoupleAt) != nil)
		refer(v, t, "home", "lane", x.Home.Lane, v.ix.Lane(x.Home.Lane) != nil)
	}
}

func (v *validator) programmeReferences() {
	for i := range v.show.Serials {
		x := &v.show.Serials[i]
		t := serialThing(x)
		refer(v, t, "line", "line", x.Line, v.ix.Line(x.Line) != nil)
		if x.HomeLine != x.Line {
			refer(v, t, "line on the way home", "line", x.HomeLine, v.ix.Line(x.HomeLine) != nil)
		}
		own := map[EntryID]int{}
		for j := range x.Entries {
			e := &x.Entries[j]
			own[e.ID] = 1
			if e.Unit == "" {
				v.stop(t, "entries", "", "name the vehicle, or strike the entry", "an entry of %s names no vehicle", t.subject())
			}
			refer(v, t, "entries", "vehicle", e.Unit, v.ix.Unit(e.Unit) != nil)
			for _, r := range e.Reserves {
				refer(v, t, "reserves", "vehicle", r, v.ix.Unit(r) != nil)
			}
		}
		for _, id := range x.Leaving {
			switch own[id] {
			case 0:
				refer(v, t, "order of leaving", "entry", id, false)
			case 2:
				v.stop(t, "order of leaving", string(id), "name each entry once", "the order of leaving of %s names %s twice", t.subject(), id)
			default:
				own[id] = 2
			}
		}
		if n := len(x.Leaving); n > 0 && n != len(x.Entries) {
			v.stop(t, "order of leaving", fmt.Sprint(n), "name all entries, or leave the order of leaving out", "the order of leaving of %s names %d of its %d entries", t.subject(), n, len(x.Entries))
		}
	}
	for i := range v.show.Duties {
		x := &v.show.Duties[i]
		if x.Unit == "" {
			v.stop(dutyThing(x), "vehicle", "", "name the vehicle", "a duty (%s) names no vehicle", x.What)
		}
		refer(v, dutyThing(x), "vehicle", "vehicle", x.Unit, v.ix.Unit(x.Unit) != nil)
	}
}

// peopleReferences notes people who are named but not in the list of people.
// Without such a list anybody may be named.
func (v *validator) peopleReferences() {
	if len(v.raw.People) == 0 {
		return
	}
	check := func(t thing, field string, ids ...PersonID) {
		for _, id := range ids {
			if id != "" && v.ix.Person(id) == nil {
				v.note(t, field, string(id), "correct the name, or add the person", "%s names %q, who is not in the list of people", t.subject(), id)
			}
		}
	}
	for i := range v.raw.Vehicles {
		x := &v.raw.Vehicles[i]
		check(vehicleThing(x), "usual driver", x.UsualDriver)
		check(vehicleThing(x), "drivers", x.Drivers...)
	}
	for i := range v.show.Serials {
		for j := range v.show.Serials[i].Entries {
			x := &v.show.Serials[i].Entries[j]
			check(entryThing(x), "driver", x.Driver)
			check(entryThing(x), "crew", x.Crew...)
		}
	}
	for i := range v.show.Duties {
		check(dutyThing(&v.show.Duties[i]), "driver", v.show.Duties[i].Driver)
	}
}

// combinations reports combinations that cannot be.
func (v *validator) combinations() {
	in := map[UnitID]*Combination{}
	for i := range v.raw.Combinations {
		x := &v.raw.Combinations[i]
		t := combinationThing(x)
		if x.Tower == "" {
			v.stop(t, "tower", "", "name the vehicle that tows", "combination %s has no towing vehicle", t.name)
		}
		if len(x.Towed) == 0 {
			v.stop(t, "towed", "", "name what is towed", "combination %s tows nothing", t.name)
		}
		for j, id := range append([]UnitID{x.Tower}, x.Towed...) {
			u := v.ix.Unit(id)
			if u == nil {
				continue
			}
			if u.Combination {
				v.stop(t, "parts", string(id), "name single vehicles", "combination %s has the combination %s as a part", t.name, u.Name)
			}
			if j == 0 && u.Gear == TowedItem {
				v.stop(t, "tower", string(id), "name the vehicle with the engine first", "%s has no engine and cannot tow combination %s", u.Name, t.name)
			}
			if other := in[id]; other != nil {
				v.stop(t, "parts", string(id), "couple each vehicle once", "%s is part of combination %s and of combination %s", u.Name, named(other.Name, other.ID), t.name)
			}
			in[id] = x
		}
	}
	for i := range v.show.Serials {
		s := &v.show.Serials[i]
		for j := range s.Entries {
			if u := v.ix.Unit(s.Entries[j].Unit); u != nil && u.Gear == TowedItem && !u.Combination {
				v.stop(entryThing(&s.Entries[j]), "vehicle", string(u.ID), "enter the combination that tows it", "%s has an entry in %s but no engine", u.Name, v.ix.SerialName(s.ID))
			}
		}
	}
}
