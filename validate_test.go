package sallyport_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
	. "sallyport"
)

// sound is a small show with nothing wrong in it.
func sound() *Show {
	return &Show{
		Days: []Day{
			{Name: "Friday", Kind: ShowDay, PublicFrom: At(1, 9, 0), PublicTo: At(1, 17, 0), EngineFrom: At(1, 7, 0), EngineTo: At(1, 20, 0)},
			{Name: "Saturday", Kind: ShowDay, PublicFrom: At(2, 9, 0), PublicTo: At(2, 17, 0), EngineFrom: At(2, 7, 0), EngineTo: At(2, 20, 0)},
		},
		Park: Park{
			Zones:     []Zone{{ID: "yard", Name: "Yard"}, {ID: "green", Name: "Green", Public: true}},
			Stretches: []Stretch{{ID: "front", Depth: 900}},
			Lanes: []Lane{
				{ID: "A", Zone: "yard", Kind: DeadEnd, Length: 1500, Width: 300, MaxMass: 20000, MaxDeep: 3, Gap: 50, Mouth: "front"},
				{ID: "B", Zone: "yard", Kind: Open, Length: 1200, MaxDeep: 3, Gap: 50},
				{ID: "G", Zone: "green", Kind: Through, Length: 1000, MaxDeep: 2, Gap: 50},
			},
			Lines: []Line{{ID: "north", Length: 3000, Gap: 100, Fouls: []Foul{{From: 0, To: 500, Lanes: []LaneID{"A"}}}}, {ID: "south", Length: 2000}},
			Spots: []Spot{{ID: "patch", Use: SpotAside, Zones: []ZoneID{"yard"}}, {ID: "pit", Use: SpotCoupling}},
		},
		Vehicles: []Vehicle{
			{ID: "teal", Name: "Teal", Class: "light wheeled", Length: 350, Zones: []ZoneID{"yard"}, MaxRuns: 3, UsualDriver: "ann"},
			{ID: "knot", Name: "Knot", Class: "light wheeled", Length: 380, Home: Home{Lane: "B", Binding: Fixed}},
			{ID: "ruff", Name: "Ruff", Class: "heavy wheeled", Length: 600, Width: 240, Mass: 8000},
			{ID: "smew", Name: "Smew gun", Class: "towed", Length: 300},
			{ID: "coot", Name: "Coot", Class: "tracked carrier", Length: 400, Zones: []ZoneID{"green"}, Arrive: Window{From: At(1, 7, 30), To: At(1, 8, 30)}, Depart: Window{From: At(2, 17, 30)}},
		},
		Combinations: []Combination{{ID: "team", Name: "Ruff and gun", Tower: "ruff", Towed: []UnitID{"smew"}, CoupleAt: "pit", Reverse: ReverseYes}},
		Serials: []Serial{
			{ID: "s1", Name: "Opening", Line: "north", ArenaIn: At(1, 11, 0), ArenaOut: At(1, 11, 20), Entries: []Entry{{ID: "s1/teal", Unit: "teal", Driver: "ann"}, {ID: "s1/coot", Unit: "coot", Reserves: []UnitID{"knot"}}}},
			{ID: "s2", Name: "Second", Line: "south", ArenaIn: At(1, 13, 0), ArenaOut: At(1, 13, 20), Entries: []Entry{{ID: "s2/teal", Unit: "teal", Driver: "ann"}, {ID: "s2/team", Unit: "team", Driver: "bob"}}},
			{ID: "s3", Name: "Third", Line: "north", ArenaIn: At(2, 11, 0), ArenaOut: At(2, 11, 20), Entries: []Entry{{ID: "s3/knot", Unit: "knot"}}},
		},
		Duties:   []Duty{{ID: "fuel", Unit: "knot", What: "fuel", From: At(1, 15, 0), To: At(1, 15, 20)}},
		People:   []Person{{ID: "ann", Name: "Ann"}, {ID: "bob", Name: "Bob"}},
		Closings: []Closing{{Zone: "green", Closed: At(1, 9, 30), ToClear: Minutes(10), Reopened: At(1, 12, 30)}},
		Resets:   []ResetWindow{{ID: "eve", From: At(1, 18, 0), To: At(1, 19, 0)}},
	}
}

func TestASoundShowHasNoProblems(t *testing.T) {
	for _, show := range []*Show{sound(), Complete(sound())} {
		for _, p := range Validate(show) {
			t.Errorf("%s: %s", p.Severity, p)
		}
	}
}

func TestContradictions(t *testing.T) {
	cases := []struct {
		name     string
		severity Severity
		field    string
		says     string // part of the message
		spoil    func(s *Show)
	}{
		{"no vehicles", Stop, "vehicles", "no vehicles", func(s *Show) { s.Vehicles, s.Serials, s.Combinations, s.Duties = nil, nil, nil, nil }},
		{"no lanes", Stop, "lanes", "no lanes", func(s *Show) { s.Park.Lanes = nil }},
		{"no serials", Note, "serials", "no serials", func(s *Show) { s.Serials = nil }},
		{"doubled vehicle", Stop, "id", `"teal" is given twice`, func(s *Show) { s.Vehicles[1].ID = "teal" }},
		{"vehicle and combination with one id", Stop, "id", `"team" is given twice`, func(s *Show) { s.Vehicles[1].ID = "team" }},
		{"doubled lane", Stop, "id", `"A" is given twice`, func(s *Show) { s.Park.Lanes[1].ID = "A" }},
		{"doubled serial", Stop, "id", `"s1" is given twice`, func(s *Show) { s.Serials[1].ID = "s1" }},
		{"doubled entry", Stop, "id", `"s1/teal" is given twice`, func(s *Show) { s.Serials[1].Entries[0].ID = "s1/teal" }},
		{"empty name", Stop, "name", "has no name", func(s *Show) { s.Vehicles[0].Name = "" }},
		{"empty lane id", Stop, "id", "a lane has no id", func(s *Show) { s.Park.Lanes[2].ID = "" }},
		{"length below zero", Stop, "length", "length of vehicle Teal is -350", func(s *Show) { s.Vehicles[0].Length = -350 }},
		{"lane without length", Stop, "length", "lane B has no length", func(s *Show) { s.Park.Lanes[1].Length = 0 }},
		{"length beyond measure", Stop, "length", "cannot be meant", func(s *Show) { s.Vehicles[0].Length = 9e15 }},
		{"chance above certain", Stop, "start chance", "10001", func(s *Show) { c := Chance(10001); s.Vehicles[0].StartChance = &c }},
		{"unknown lane kind", Stop, "kind", `"loop"`, func(s *Show) { s.Park.Lanes[0].Kind = "loop" }},
		{"unknown class", Note, "class", `"zeppelin"`, func(s *Show) { s.Vehicles[0].Class = "zeppelin" }},
		{"unknown start word", Note, "start chance", `"sulks"`, func(s *Show) { s.Vehicles[0].StartWord = "sulks" }},
		{"told without a lane", Stop, "home", "no lane is named", func(s *Show) { s.Vehicles[0].Home.Binding = Told }},
		{"unknown zone of a lane", Stop, "zone", `"gren"`, func(s *Show) { s.Park.Lanes[2].Zone = "gren" }},
		{"unknown stretch", Stop, "stretch of the mouth", `"back"`, func(s *Show) { s.Park.Lanes[0].Mouth = "back" }},
		{"unknown lane fouled", Stop, "lanes fouled", `"Z"`, func(s *Show) { s.Park.Lines[0].Fouls[0].Lanes[0] = "Z" }},
		{"unknown home", Stop, "home", `"Z9"`, func(s *Show) { s.Vehicles[0].Home = Home{Lane: "Z9"} }},
		{"unknown vehicle entered", Stop, "entries", `"teel"`, func(s *Show) { s.Serials[0].Entries[0].Unit = "teel" }},
		{"unknown line", Stop, "line", `"west"`, func(s *Show) { s.Serials[0].Line = "west" }},
		{"unknown reserve", Stop, "reserves", `"x"`, func(s *Show) { s.Serials[0].Entries[0].Reserves = []UnitID{"x"} }},
		{"unknown vehicle on duty", Stop, "vehicle", `"x"`, func(s *Show) { s.Duties[0].Unit = "x" }},
		{"unknown zone closed", Stop, "zone", `"x"`, func(s *Show) { s.Closings[0].Zone = "x" }},
		{"unknown person", Note, "driver", `"cid"`, func(s *Show) { s.Serials[0].Entries[0].Driver = "cid" }},
		{"order of leaving too short", Stop, "order of leaving", "1 of its 2", func(s *Show) { s.Serials[0].Leaving = []EntryID{"s1/teal"} }},
		{"order of leaving names one twice", Stop, "order of leaving", "twice", func(s *Show) { s.Serials[0].Leaving = []EntryID{"s1/teal", "s1/teal"} }},
		{"towed item enters alone", Stop, "vehicle", "no engine", func(s *Show) { s.Serials[1].Entries[1].Unit = "smew" }},
		{"gun tows", Stop, "tower", "no engine", func(s *Show) { s.Combinations[0].Tower, s.Combinations[0].Towed[0] = "smew", "ruff" }},
		{"coupled twice", Stop, "parts", "part of combination", func(s *Show) {
			s.Combinations = append(s.Combinations, Combination{ID: "t2", Name: "Other", Tower: "ruff", Towed: []UnitID{"smew"}, Reverse: ReverseYes})
		}},
		{"longer than every lane", Stop, "length", "19.00 m long, longer than every lane it may use; the longest is 15.00 m", func(s *Show) { s.Vehicles[0].Length = 1900 }},
		{"no lane suits", Stop, "lanes", "no lane suits Teal", func(s *Show) {
			s.Vehicles[0].Reverse = ReverseNever
			s.Park.Lanes[1].MaxMass = 1
			s.Vehicles[0].Mass = 900
		}},
		{"too many for the park", Note, "room", "too little", func(s *Show) {
			for i := range 9 {
				s.Vehicles = append(s.Vehicles, Vehicle{ID: UnitID("x" + string(rune('a'+i))), Name: "X", Length: 400})
			}
		}},
		{"too many for a zone", Note, "room", "zone Green", func(s *Show) {
			for i := range 3 {
				s.Vehicles = append(s.Vehicles, Vehicle{ID: UnitID("x" + string(rune('a'+i))), Name: "X", Length: 300, Zones: []ZoneID{"green"}})
			}
		}},
		{"too many long ones", Note, "room", "6.00 m or more", func(s *Show) {
			s.Vehicles = append(s.Vehicles[:1], s.Vehicles[2:]...)
			s.Serials, s.Duties = s.Serials[:2], nil
			s.Vehicles = append(s.Vehicles, Vehicle{ID: "x", Name: "X", Length: 620}, Vehicle{ID: "y", Name: "Y", Length: 600}, Vehicle{ID: "z", Name: "Z", Length: 610})
			s.Park.Lanes[0].Length, s.Park.Lanes[1].Length, s.Park.Lanes[2].Length = 1249, 1249, 1249
			s.Serials[0].Entries[1].Reserves = nil
		}},
		{"fixed home too short", Stop, "length", "fixed in it and need 14.30 m", func(s *Show) {
			s.Vehicles[0].Length, s.Vehicles[0].Home = 1000, Home{Lane: "B", Binding: Fixed}
		}},
		{"kept apart but fixed together", Stop, "keep apart", "both are fixed in lane B", func(s *Show) {
			s.Vehicles[0].Home, s.Vehicles[0].KeepApart = Home{Lane: "B", Binding: Fixed}, []UnitID{"knot"}
		}},
		{"alone but fixed together", Stop, "home", "stands alone", func(s *Show) {
			s.Vehicles[0].Home, s.Vehicles[0].StandsAlone = Home{Lane: "B", Binding: Fixed}, true
		}},
		{"kept apart from itself", Stop, "keep apart", "itself", func(s *Show) { s.Vehicles[0].KeepApart = []UnitID{"teal"} }},
		{"kept apart but coupled", Stop, "keep apart", "coupled", func(s *Show) { s.Vehicles[2].KeepApart = []UnitID{"smew"} }},
		{"standby deep", Stop, "standby", "lane A", func(s *Show) {
			for i := range 2 {
				s.Vehicles[i].Standby, s.Vehicles[i].Home = true, Home{Lane: "A", Binding: Fixed}
			}
		}},
		{"times out of order", Stop, "arena out", "arena in is Friday 11:00, arena out is Friday 10:20", func(s *Show) { s.Serials[0].ArenaOut = At(1, 10, 20) }},
		{"form-up after leaving", Stop, "leaving the line", "form-up is Friday 10:58", func(s *Show) { s.Serials[0].FormUp, s.Serials[0].Travel = At(1, 10, 58), Minutes(5) }},
		{"home before it is back", Stop, "home by", "home by", func(s *Show) { s.Serials[0].HomeBy = At(1, 11, 10) }},
		{"serial without a time", Stop, "time", "has no time", func(s *Show) { s.Serials[0].ArenaIn, s.Serials[0].ArenaOut = 0, 0 }},
		{"serial on no day", Stop, "day", "day 3, but the show has 2 days", func(s *Show) { s.Serials[2].ArenaIn, s.Serials[2].ArenaOut = At(3, 11, 0), At(3, 11, 20) }},
		{"outside engine hours", Stop, "times", "engines may run", func(s *Show) { s.Days[0].EngineFrom = At(1, 12, 0) }},
		{"day without serials", Note, "serials", "no serials on Saturday", func(s *Show) { s.Serials = s.Serials[:2] }},
		{"engine hours reversed", Stop, "engine hours", "not after", func(s *Show) { s.Days[0].EngineTo = At(1, 6, 0) }},
		{"public hours of another day", Stop, "public hours", "day 2", func(s *Show) { s.Days[1].PublicFrom = At(1, 9, 0) }},
		{"two serials in the arena", Note, "arena in", "while Opening is in it", func(s *Show) {
			s.Serials[1].ArenaIn, s.Serials[1].ArenaOut = At(1, 11, 10), At(1, 11, 40)
			s.Serials[1].Entries = s.Serials[1].Entries[1:]
		}},
		{"twice in a serial", Stop, "entries", "Teal is in serial Opening twice", func(s *Show) { s.Serials[0].Entries[1].Unit = "teal" }},
		{"twice as a part", Stop, "entries", "Ruff is in serial Second twice, as Ruff and as Ruff and gun", func(s *Show) { s.Serials[1].Entries[0].Unit = "ruff" }},
		{"two places at once", Stop, "entries", "two places at once", func(s *Show) {
			s.Duties[0].Unit, s.Duties[0].From, s.Duties[0].To = "teal", At(1, 11, 0), At(1, 11, 10)
		}},
		{"a long duty over two serials", Stop, "entries", "two places at once", func(s *Show) { s.Duties[0].Unit, s.Duties[0].From, s.Duties[0].To = "teal", At(1, 10, 0), At(1, 16, 0) }},
		{"no time to turn round", Stop, "entries", "no time to turn round", func(s *Show) { s.Serials[1].ArenaIn, s.Serials[1].ArenaOut = At(1, 11, 37), At(1, 11, 50) }},
		{"joined but too late", Stop, "entries", "goes straight", func(s *Show) {
			s.Serials[0].Entries[0].Join = JoinLine
			s.Serials[1].ArenaIn, s.Serials[1].ArenaOut = At(1, 11, 25), At(1, 11, 50)
		}},
		{"due before it comes", Stop, "entries", "comes only at", func(s *Show) { s.Vehicles[4].Arrive = Window{From: At(1, 12, 0), To: At(1, 13, 0)} }},
		{"due after it leaves", Stop, "entries", "leaves by", func(s *Show) { s.Vehicles[1].Depart = Window{From: At(2, 8, 0), To: At(2, 10, 0)} }},
		{"off the road", Note, "entries", "off the road", func(s *Show) { s.Vehicles[0].OffRoad = Window{From: At(1, 8, 0)} }},
		{"arrival reversed", Stop, "arrival", "before it begins", func(s *Show) { s.Vehicles[4].Arrive = Window{From: At(1, 8, 0), To: At(1, 7, 0)} }},
		{"too many runs", Stop, "most runs", "2 entries and duties on day 1, but may have 1", func(s *Show) { s.Vehicles[0].MaxRuns = 1 }},
		{"too long in the arena", Stop, "most running time", "40 min", func(s *Show) { s.Vehicles[0].MaxRunning = Minutes(30) }},
		{"one person twice in a serial", Stop, "driver", "Ann is named for Teal", func(s *Show) { s.Serials[0].Entries[1].Driver = "ann" }},
		{"one person in two serials", Stop, "driver", "Ann is named for Teal", func(s *Show) {
			s.Duties[0].Driver, s.Duties[0].From, s.Duties[0].To = "ann", At(1, 11, 5), At(1, 12, 0)
		}},
		{"column longer than its line", Stop, "line", "need 13.00 m", func(s *Show) { s.Park.Lines[1].Length = 1200; s.Combinations[0].Length = 850 }},
		{"line on an emergency route", Stop, "line", "emergency route", func(s *Show) { s.Park.Lines[0].Route = true }},
		{"mark beyond the line", Stop, "mark that fouls lanes", "no part of the line", func(s *Show) { s.Park.Lines[0].Fouls[0] = Foul{From: 4000, To: 5000} }},
		{"clear before closed", Stop, "clear", "before it is closed", func(s *Show) { s.Closings[0].Clear = At(1, 9, 0) }},
		{"reopened before clear", Stop, "reopened", "not after it is clear", func(s *Show) { s.Closings[0].Reopened = At(1, 9, 35) }},
		{"clear sooner than it can be", Note, "clear", "takes 10 min to clear", func(s *Show) { s.Closings[0].Clear = At(1, 9, 35) }},
		{"closings overlap", Note, "closed", "still closed", func(s *Show) {
			s.Closings = append(s.Closings, Closing{Zone: "green", Closed: At(1, 12, 0), Reopened: At(1, 14, 0)})
		}},
		{"closing where nobody walks", Note, "zone", "never walks", func(s *Show) { s.Closings[0].Zone = "yard" }},
		{"reset reversed", Stop, "times", "reset window eve", func(s *Show) { s.Resets[0].To = At(1, 17, 0) }},
		{"reset outside engine hours", Note, "times", "outside the engine hours", func(s *Show) { s.Resets[0].To = At(1, 21, 0) }},
		{"duty reversed", Stop, "times", "the duty fuel of Knot", func(s *Show) { s.Duties[0].To = At(1, 14, 0) }},
		{"reserve is in the serial itself", Note, "reserves", "itself in", func(s *Show) { s.Serials[0].Entries[1].Reserves[0] = "teal" }},
	}
	names := map[string]bool{}
	for _, c := range cases {
		if names[c.name] {
			t.Errorf("two cases are called %q", c.name)
		}
		names[c.name] = true
		t.Run(c.name, func(t *testing.T) {
			show := sound()
			c.spoil(show)
			problems := Validate(show)
			found := slices.ContainsFunc(problems, func(p Problem) bool {
				return p.Severity == c.severity && p.Field == c.field && strings.Contains(p.Message, c.says) && p.Advice != "" && p.Subject != ""
			})
			if !found {
				t.Errorf("no %s about %q that says %q; got:", c.severity, c.field, c.says)
				for _, p := range problems {
					t.Logf("  %s [%s / %s]: %s", p.Severity, p.Subject, p.Field, p)
				}
			}
			if c.severity == Note && len(Stops(problems)) > 0 {
				t.Errorf("planning is stopped: %s", Stops(problems)[0])
			}
		})
	}
}

func TestAllProblemsAtOnce(t *testing.T) {
	show := sound()
	show.Vehicles[0].Length, show.Park.Lanes[1].Length = -1, 0
	show.Serials[0].ArenaOut = At(1, 10, 0)
	show.Closings[0].Zone = "x"
	show.Serials[1].Entries[0].Unit = "nobody"
	if got := len(Stops(Validate(show))); got < 5 {
		t.Errorf("%d problems told, want at least 5", got)
	}
}

func TestNoShowMakesValidateFail(t *testing.T) {
	shows := rapid.Make[Show]()
	rapid.Check(t, func(t *rapid.T) {
		show := shows.Draw(t, "show")
		show.Assumed = nil
		first, second := Validate(&show), Validate(&show)
		if !slices.Equal(first, second) {
			t.Fatalf("two validations differ")
		}
		NewIndex(&show).Names(NewIndex(&show).UnitIDs)
	})
}

func TestValidateOfALargeShowIsQuick(t *testing.T) {
	show := sound()
	for i := range 5000 {
		id := UnitID("v" + strings.Repeat("x", i%7) + string(rune('a'+i%26)) + Instant(i*61).Clock() + At(1+i%9, 0, 0).String())
		show.Vehicles = append(show.Vehicles, Vehicle{ID: id, Name: string(id), Length: Centimetres(300 + i%600)})
		show.Park.Lanes = append(show.Park.Lanes, Lane{ID: LaneID(id), Length: 1000, Zone: "yard"})
		show.Serials[i%3].Entries = append(show.Serials[i%3].Entries, Entry{Unit: id})
	}
	if len(Validate(show)) == 0 {
		t.Error("lines are far too short for these columns, but nothing is told")
	}
}
