package sallyport

import (
	"reflect"
	"testing"
)

func minutesOf(n int64) *Seconds { s := Minutes(n); return &s }

func TestPublicInsideIsPublicHoursWithoutClosings(t *testing.T) {
	show := &Show{
		Days: []Day{{Name: "Fri", PublicFrom: At(1, 9, 30), PublicTo: At(1, 17, 0)}, {Name: "Sat"}},
		Park: Park{Zones: []Zone{{ID: "green", Public: true}, {ID: "yard"}, {ID: "camp", Public: true, Engines: true}}},
		Closings: []Closing{
			{Zone: "green", Closed: At(1, 13, 0), ToClear: Minutes(10), Reopened: At(1, 14, 0)},
			{Zone: "green", Closed: At(1, 9, 0), Clear: At(1, 9, 20), Reopened: At(1, 11, 0)},
			{Zone: "green", Closed: At(1, 16, 0), Reopened: At(1, 18, 0)},
			{Zone: "green", Closed: At(1, 10, 0), Reopened: At(1, 11, 30)},
		},
	}
	ix := NewIndex(show)
	want := []Window{{At(1, 11, 30), At(1, 13, 10)}, {At(1, 14, 0), At(1, 16, 0)}}
	if got := ix.PublicInside("green"); !reflect.DeepEqual(got, want) {
		t.Errorf("public inside the green %v, want %v", got, want)
	}
	for _, z := range []ZoneID{"yard", "camp", "nowhere"} {
		if got := ix.PublicInside(z); len(got) != 0 {
			t.Errorf("public inside %s: %v, want never", z, got)
		}
	}
}

func TestCombinationTakesItsPartsTogether(t *testing.T) {
	show := &Show{
		Vehicles: []Vehicle{
			{ID: "crane", Name: "Crane", Length: 600, Width: 240, Mass: 8000, GapBehind: 20, Zones: []ZoneID{"yard", "green"}, UsualDriver: "reed", Drivers: []PersonID{"sluice"}, WarmUp: minutesOf(7)},
			{ID: "smew", Name: "Smew", Length: 400, Width: 250, GapBehind: 80, Zones: []ZoneID{"green"}, StandsAlone: true},
			{ID: "teal", Name: "Teal", Length: 300, KeepApart: []UnitID{"smew"}, KeepTogether: []UnitID{"crane"}},
		},
		Combinations: []Combination{{ID: "team", Name: "Crane and Smew", Tower: "crane", Towed: []UnitID{"smew"}, Reverse: ReverseNever}},
	}
	ix := NewIndex(show)
	u := ix.Unit("team")
	if u.Length != 1050 || u.Width != 250 || u.Mass != 0 || u.GapBehind != 80 || !u.StandsAlone || u.WarmUp != Minutes(7) {
		t.Errorf("combination %+v", u)
	}
	if !reflect.DeepEqual(u.Zones, []ZoneID{"green"}) || !reflect.DeepEqual(u.AllDrivers, []PersonID{"reed", "sluice"}) {
		t.Errorf("zones %v drivers %v", u.Zones, u.AllDrivers)
	}
	if got := ix.Unit("teal").KeepApart; !reflect.DeepEqual(got, []UnitID{"smew", "team"}) {
		t.Errorf("teal is kept apart from %v", got)
	}
	if want := [][2]UnitID{{"teal", "team"}}; !reflect.DeepEqual(ix.TogetherPairs, want) {
		t.Errorf("together %v, want %v", ix.TogetherPairs, want)
	}
	if ix.CombinationOf("smew") != "team" || ix.Standing("teal") != "teal" || !reflect.DeepEqual(ix.UnitIDs, []UnitID{"crane", "smew", "teal", "team"}) {
		t.Errorf("standing units are wrong: %v", ix.UnitIDs)
	}
}

func TestEntriesInTimeAndJoined(t *testing.T) {
	show := &Show{
		Vehicles: []Vehicle{{ID: "teal", Name: "Teal"}},
		Serials: []Serial{
			{ID: "late", FormUp: At(1, 14, 0), ArenaIn: At(1, 14, 10), Entries: []Entry{{ID: "c", Unit: "teal", Value: 3}}},
			{ID: "early", FormUp: At(1, 10, 0), ArenaIn: At(1, 10, 10), Entries: []Entry{{ID: "a", Unit: "teal", Join: JoinLine}}},
			{ID: "noon", FormUp: At(1, 12, 0), ArenaIn: At(1, 12, 10), Entries: []Entry{{ID: "b", Unit: "teal"}}},
			{ID: "morrow", FormUp: At(2, 12, 0), ArenaIn: At(2, 12, 10), Entries: []Entry{{ID: "d", Unit: "teal"}}},
		},
	}
	ix := NewIndex(show)
	var order []SerialID
	for _, s := range ix.SerialsInTime {
		order = append(order, s.ID)
	}
	if want := []SerialID{"early", "noon", "late", "morrow"}; !reflect.DeepEqual(order, want) {
		t.Errorf("serials %v, want %v", order, want)
	}
	if e := ix.JoinedBefore("b"); e == nil || e.ID != "a" {
		t.Errorf("joined before b: %v", e)
	}
	if ix.JoinedBefore("c") != nil || ix.JoinedBefore("a") != nil {
		t.Error("c and a are joined to nothing")
	}
	for _, c := range []struct {
		at   Instant
		want int
	}{{At(1, 8, 0), 5}, {At(1, 10, 0), 5}, {At(1, 10, 1), 4}, {At(1, 13, 0), 3}, {At(1, 15, 0), 0}, {At(2, 1, 0), 1}} {
		if got := ix.ValueLater("teal", c.at); got != c.want {
			t.Errorf("value from %s on is %d, want %d", c.at, got, c.want)
		}
	}
}

func TestPaceIsTheFirstThatMatches(t *testing.T) {
	ix := NewIndex(&Show{Park: Park{Paces: []Pace{{Kind: MoveReturn, Gear: Tracked, Takes: 9}, {Kind: MoveReturn, Takes: 7}, {Gear: Wheeled, Takes: 5}}}})
	for _, c := range []struct {
		kind MoveKind
		gear Gear
		want Seconds
	}{{MoveReturn, Tracked, 9}, {MoveReturn, Wheeled, 7}, {MoveAside, Wheeled, 5}, {MoveAside, Tracked, 0}} {
		if got := ix.Pace(c.kind, c.gear); got != c.want {
			t.Errorf("pace of %s, %s is %d, want %d", c.kind, c.gear, got, c.want)
		}
	}
}

func TestNamesAndPlaces(t *testing.T) {
	ix := NewIndex(&Show{
		Vehicles: []Vehicle{{ID: "a", Name: "Avocet"}, {ID: "b", Name: "Bittern"}, {ID: "d", Name: "Dunlin"}},
		Park:     Park{Lanes: []Lane{{ID: "C4", Zone: "yard"}}, Lines: []Line{{ID: "n", Name: "North"}}, Spots: []Spot{{ID: "p", Name: "Cinder Patch"}}},
	})
	for units, want := range map[int]string{0: "", 1: "Avocet", 2: "Avocet and Bittern", 3: "Avocet, Bittern and Dunlin"} {
		if got := ix.Names([]UnitID{"a", "b", "d"}[:units]); got != want {
			t.Errorf("names %q, want %q", got, want)
		}
	}
	for _, c := range []struct {
		pos  Pos
		want string
		has  bool
		zone ZoneID
	}{
		{AtLane("C4", Mouth), "lane C4", true, "yard"},
		{AtLine("n"), "line North", true, ""},
		{AtSpot("p"), "Cinder Patch", true, ""},
		{AtLane("C5", ""), "lane C5", false, ""},
		{Pos{Kind: InArena}, "the arena", true, ""},
		{Pos{Kind: "moon"}, "a place of no known kind (moon)", false, ""},
	} {
		if got := ix.PosName(c.pos); got != c.want || ix.HasPos(c.pos) != c.has || ix.ZoneOf(c.pos) != c.zone {
			t.Errorf("%v is %q, known %v, zone %q", c.pos, got, ix.HasPos(c.pos), ix.ZoneOf(c.pos))
		}
	}
}
