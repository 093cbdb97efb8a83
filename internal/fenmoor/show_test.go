package fenmoor

import (
	"reflect"
	"sort"
	"testing"

	sp "sallyport"
)

func TestCounts(t *testing.T) {
	show := Show()
	kinds := map[sp.LaneKind]int{}
	for _, l := range show.Park.Lanes {
		kind := l.Kind
		if kind == "" {
			kind = sp.DeadEnd
		}
		kinds[kind]++
	}
	classes := map[string]int{}
	contingents := map[string]int{}
	standby, never, slave := 0, 0, 0
	for _, v := range show.Vehicles {
		classes[v.Class]++
		contingents[v.Contingent]++
		if v.Standby {
			standby++
		}
		if v.Reverse == sp.ReverseNever {
			never++
		}
		if v.Start == sp.StartSlave {
			slave++
		}
	}
	perDay := map[int]int{}
	entries := 0
	for _, s := range show.Serials {
		perDay[s.ArenaIn.Day()]++
		entries += len(s.Entries)
	}
	for _, c := range []struct {
		what      string
		got, want int
	}{
		{"days", len(show.Days), 5},
		{"vehicles", len(show.Vehicles), 58},
		{"combinations", len(show.Combinations), 1},
		{"lanes", len(show.Park.Lanes), 24},
		{"dead-end lanes", kinds[sp.DeadEnd], 18},
		{"through lanes", kinds[sp.Through], 3},
		{"open lanes", kinds[sp.Open], 3},
		{"forming-up lines", len(show.Park.Lines), 2},
		{"serials on Friday", perDay[fri], 8},
		{"serials on Saturday", perDay[sat], 8},
		{"serials on Sunday", perDay[sun], 8},
		{"guests", contingents[guests], 10},
		{"regiment", contingents[regiment], 10},
		{"steam", classes[steam], 1},
		{"standby vehicles", standby, 2},
		{"vehicles that never reverse", never, 1},
		{"slave leads", slave, 1},
	} {
		if c.got != c.want {
			t.Errorf("%s: %d, want %d", c.what, c.got, c.want)
		}
	}
	if entries < 190 || entries > 220 {
		t.Errorf("%d entries, want about 200", entries)
	}
	for _, class := range []string{light, heavy, half, carrier, tracks, towed} {
		if classes[class] == 0 {
			t.Errorf("no vehicle of class %s", class)
		}
	}
}

func TestEqualEveryTime(t *testing.T) {
	a, b := Show(), Show()
	if !reflect.DeepEqual(a, b) {
		t.Fatal("two calls of Show differ")
	}
	a.Serials[0].Entries[0].Unit = "changed"
	a.Vehicles[0].Zones[0] = "changed"
	if !reflect.DeepEqual(b, Show()) {
		t.Fatal("changing one show changes another")
	}
}

// absence is a time in which a unit cannot be anywhere else.
type absence struct {
	what          string
	latestOut, to sp.Instant // gone by, home by
	from          sp.Instant // may be gone from
	joined        bool       // goes on to the next absence without a stay
}

// absences returns each unit's absences in order of time.
func absences(show *sp.Show) map[sp.UnitID][]absence {
	all := map[sp.UnitID][]absence{}
	for _, s := range show.Serials {
		for _, e := range s.Entries {
			all[e.Unit] = append(all[e.Unit], absence{string(s.ID), s.FormUp, s.HomeBy, s.FormFrom, e.Join != sp.JoinNone})
		}
	}
	around := sp.Instant(sp.Minutes(12))
	for _, d := range show.Duties {
		all[d.Unit] = append(all[d.Unit], absence{string(d.ID), d.From, d.To + around, d.From - around, false})
	}
	for _, list := range all {
		sort.Slice(list, func(i, j int) bool { return list[i].latestOut < list[j].latestOut })
	}
	return all
}

func TestEveryAbsenceIsPossibleByTheClock(t *testing.T) {
	for unit, list := range absences(Show()) {
		for i := 1; i < len(list); i++ {
			a, b := list[i-1], list[i]
			if a.joined {
				if b.latestOut < a.from {
					t.Errorf("%s: %s is joined to %s, which is earlier", unit, a.what, b.what)
				}
				continue
			}
			// twenty minutes to stand, cool and warm up again
			if b.latestOut < a.to+sp.Instant(sp.Minutes(20)) {
				t.Errorf("%s: home from %s by %s, on the line for %s by %s", unit, a.what, a.to, b.what, b.latestOut)
			}
		}
	}
}

func TestPublicZonesAreClosedForEveryAbsence(t *testing.T) {
	show := Show()
	zone := map[sp.UnitID]sp.ZoneID{}
	arrive := map[sp.UnitID]sp.Window{}
	depart := map[sp.UnitID]sp.Window{}
	for _, v := range show.Vehicles {
		zone[v.ID], arrive[v.ID], depart[v.ID] = v.Zones[0], v.Arrive, v.Depart
	}
	for _, c := range show.Combinations {
		zone[c.ID] = zone[c.Tower]
	}
	closed := func(zone sp.ZoneID, from, to sp.Instant) bool {
		day := show.Days[from.Day()-1]
		if zone == yard || day.PublicFrom == 0 || to <= day.PublicFrom || from >= day.PublicTo {
			return true
		}
		for _, c := range show.Closings {
			clear := c.Clear
			if clear == 0 {
				clear = c.Closed + sp.Instant(c.ToClear)
			}
			if c.Zone == zone && clear <= from && (to <= c.Reopened || c.Reopened >= day.PublicTo) {
				return true
			}
		}
		return false
	}
	warm, cool := sp.Instant(sp.Minutes(15)), sp.Instant(sp.Minutes(10))
	for unit, list := range absences(show) {
		for _, a := range list {
			if !closed(zone[unit], a.from-warm, a.latestOut) {
				t.Errorf("%s cannot leave %s for %s: the public is inside", unit, zone[unit], a.what)
			}
			if !closed(zone[unit], a.to-cool, a.to+cool) {
				t.Errorf("%s cannot come home to %s from %s: the public is inside", unit, zone[unit], a.what)
			}
			if w := arrive[unit]; w.To > a.from {
				t.Errorf("%s arrives by %s, but is due for %s", unit, w.To, a.what)
			}
			if w := depart[unit]; w.From != 0 && w.From < a.to {
				t.Errorf("%s may leave from %s, but is home from %s by %s", unit, w.From, a.what, a.to)
			}
		}
		if w := depart[unit]; w.From != 0 && !closed(zone[unit], w.From-warm, w.To) {
			t.Errorf("%s cannot depart in its window: the public is inside", unit)
		}
	}
}

func TestNobodyDrivesTwoAtOnce(t *testing.T) {
	show := Show()
	known := map[sp.PersonID]bool{}
	for _, p := range show.People {
		if known[p.ID] {
			t.Errorf("person %s is there twice", p.ID)
		}
		known[p.ID] = true
	}
	all := absences(show)
	by := map[sp.PersonID][]sp.Vehicle{}
	for _, v := range show.Vehicles {
		if v.UsualDriver == "" {
			continue
		}
		if !known[v.UsualDriver] {
			t.Errorf("%s: driver %s is not among the people", v.ID, v.UsualDriver)
		}
		for _, w := range by[v.UsualDriver] {
			for _, a := range all[v.ID] {
				for _, b := range all[w.ID] {
					if a.from < b.to && b.from < a.to {
						t.Errorf("%s drives %s in %s and %s in %s", v.UsualDriver, v.ID, a.what, w.ID, b.what)
					}
				}
			}
		}
		by[v.UsualDriver] = append(by[v.UsualDriver], v)
	}
}

func TestColumnsFitTheirLinesAndSomeFoulALane(t *testing.T) {
	show := Show()
	length := map[sp.UnitID]sp.Centimetres{}
	for _, v := range show.Vehicles {
		length[v.ID] = max(v.Length, 400) // a little more than nothing where none is given
	}
	for _, c := range show.Combinations {
		length[c.ID] = length[c.Tower] + length[c.Towed[0]] + 50
	}
	fouling := 0
	for _, s := range show.Serials {
		for _, line := range show.Park.Lines {
			if line.ID != s.Line {
				continue
			}
			need := -line.Gap
			for _, e := range s.Entries {
				need += length[e.Unit] + line.Gap
			}
			if need > line.Length {
				t.Errorf("%s needs %s of %s, which has %s", s.ID, need.Metres(), line.Name, line.Length.Metres())
			}
			for _, f := range line.Fouls {
				if need > f.From {
					fouling++
				}
			}
		}
	}
	if fouling == 0 {
		t.Error("no column is long enough to stand before C1")
	}
}

// TestSpareRoom counts the room that is free when everybody is parked, with a
// gap between any two neighbours.
func TestSpareRoom(t *testing.T) {
	show := sp.Complete(Show())
	inside := map[sp.UnitID]bool{}
	for _, c := range show.Combinations {
		for _, part := range append([]sp.UnitID{c.Tower}, c.Towed...) {
			inside[part] = true
		}
	}
	room, need := map[sp.ZoneID]sp.Centimetres{}, map[sp.ZoneID]sp.Centimetres{}
	for _, l := range show.Park.Lanes {
		room[l.Zone] += l.Length
		need[l.Zone] -= l.Gap // none behind the last
	}
	const least = 50 // the gap of every lane
	for _, v := range show.Vehicles {
		if !inside[v.ID] {
			need[v.Zones[0]] += v.Length + least
		}
	}
	for _, c := range show.Combinations {
		need[yard] += c.Length + least
	}
	for zone, r := range room {
		if spare := (r - need[zone]) * 100 / r; spare < 11 || spare > 15 {
			t.Errorf("spare room in %s: %d %%, want 12 to 15", zone, spare)
		}
	}
}

func TestSomeFiguresAreLeftOut(t *testing.T) {
	subjects := map[string]bool{}
	for _, a := range sp.Complete(Show()).Assumed {
		subjects[a.Subject+" "+a.Field] = true
	}
	for _, want := range []string{"vehicle Knot length", "vehicle Wagtail length", "the show weights", "lanes Y10 and Y11 kind"} {
		if !subjects[want] {
			t.Errorf("nothing is assumed about %s", want)
		}
	}
}

func TestNothingContradictsItself(t *testing.T) {
	for _, p := range sp.Validate(Show()) {
		t.Errorf("%v", p)
	}
}
