package fenmoor

import (
	"testing"

	sp "sallyport"
)

// stay is a time in which a unit stands in the park, from one homecoming to
// the next pull-out.
type stay struct{ from, to sp.Instant }

// stays returns when each unit of a zone stands there, pulled out at the first
// moment and home as soon as it can be.
func stays(show *sp.Show, zone sp.ZoneID) map[sp.UnitID][]stay {
	all := map[sp.UnitID][]stay{}
	for _, v := range show.Vehicles {
		if v.Zones[0] == zone {
			all[v.ID] = []stay{{from: v.Arrive.From, to: sp.At(6, 0, 0)}}
		}
	}
	for _, s := range show.Serials {
		for _, e := range s.Entries {
			if list := all[e.Unit]; list != nil {
				list[len(list)-1].to = s.FormFrom
				all[e.Unit] = append(list, stay{from: s.Back(), to: sp.At(6, 0, 0)})
			}
		}
	}
	return all
}

// crosses reports whether b, which came later, blocks a in a dead-end lane;
// nests whether a, which came first, blocks b in a through lane.
func crosses(a, b stay) bool { return a.from < b.from && b.from < a.to && a.to < b.to }
func nests(a, b stay) bool   { return a.from < b.from && b.to < a.to }

// together reports whether all units can share a lane for the whole show with
// nobody in anybody's way.
func together(list [][]stay, blocks func(a, b stay) bool) bool {
	for i, one := range list {
		for _, other := range list[i+1:] {
			for _, a := range one {
				for _, b := range other {
					if blocks(a, b) || blocks(b, a) {
						return false
					}
				}
			}
		}
	}
	return true
}

// TestFixedPlacesNeedMovesAside proves by trying every way that the camp's ten
// vehicles cannot each keep one lane for the whole show, three deep at most,
// without somebody standing in somebody's way.
func TestFixedPlacesNeedMovesAside(t *testing.T) {
	show := Show()
	all := stays(show, camp)
	var units []sp.UnitID
	for _, v := range show.Vehicles {
		if all[v.ID] != nil {
			units = append(units, v.ID)
		}
	}
	type lane struct {
		blocks func(a, b stay) bool
		in     [][]stay
	}
	var lanes []lane
	for _, l := range show.Park.Lanes {
		if l.Zone != camp {
			continue
		}
		rule := map[sp.LaneKind]func(a, b stay) bool{sp.DeadEnd: crosses, sp.Through: nests}[l.Kind]
		if rule == nil {
			t.Fatalf("lane %s is %s: the proof knows dead-end and through lanes", l.ID, l.Kind)
		}
		lanes = append(lanes, lane{blocks: rule})
	}
	if len(units) != 10 || len(lanes) != 4 {
		t.Fatalf("%d units in %d lanes, want 10 in 4", len(units), len(lanes))
	}
	var place func(n int) bool
	place = func(n int) bool {
		if n == len(units) {
			return true
		}
		for i := range lanes {
			l := &lanes[i]
			l.in = append(l.in, all[units[n]])
			if len(l.in) <= 3 && together(l.in, l.blocks) && place(n+1) {
				return true
			}
			l.in = l.in[:len(l.in)-1]
		}
		return false
	}
	if place(0) {
		t.Error("the camp's vehicles can keep their lanes with nobody in the way: the show is too easy")
	}
}
