package sallyport_test

import (
	"reflect"
	"strings"
	"testing"

	. "sallyport"
)

// bare is a show with nothing but what is required.
func bare() *Show {
	return &Show{
		Park:     Park{Lanes: []Lane{{ID: "A", Length: 2000}, {ID: "B", Length: 2000}}},
		Vehicles: []Vehicle{{ID: "teal", Name: "Teal"}, {ID: "knot", Name: "Knot"}, {ID: "ruff", Name: "Ruff"}, {ID: "coot", Name: "Coot"}},
		Serials: []Serial{
			{ID: "s1", ArenaIn: At(1, 11, 0), Entries: []Entry{{Unit: "teal"}, {Unit: "knot"}}},
			{ID: "s2", ArenaIn: At(1, 12, 0), Entries: []Entry{{Unit: "ruff"}, {Unit: "teal"}}},
		},
	}
}

func assumption(show *Show, subject, field string) *Assumption {
	for i, a := range show.Assumed {
		if a.Subject == subject && a.Field == field {
			return &show.Assumed[i]
		}
	}
	return nil
}

func TestCompleteFillsTheBarestShow(t *testing.T) {
	given := bare()
	show := Complete(given)
	if !reflect.DeepEqual(given, bare()) {
		t.Error("the show given was changed")
	}
	for _, v := range show.Vehicles {
		if v.Length != 650 || v.Class != FallbackClass || v.Gear != Wheeled || v.Reverse != ReverseYes || v.Start != StartSelf {
			t.Errorf("%s: %+v", v.Name, v)
		}
		if v.WarmUp == nil || v.WarmWhere == "" || v.LongestIdle == nil || v.HotRest == nil || v.CoolDown == nil || v.StartChance == nil || v.FailChance == nil || v.ParkSpeed == 0 {
			t.Errorf("%s has gaps: %+v", v.Name, v)
		}
		if v.Mass != 0 || v.Width != 0 || v.Height != 0 {
			t.Errorf("%s: mass, width or height was assumed", v.Name)
		}
	}
	for _, l := range show.Park.Lanes {
		if l.Kind != DeadEnd || l.In != InReversed || l.Gap != 50 || l.Zone != "park" {
			t.Errorf("lane %+v", l)
		}
	}
	if len(show.Park.Lines) != 1 || len(show.Park.Spots) != 1 || show.Park.Spots[0].Use != SpotAside || len(show.Park.Zones) != 1 || len(show.Days) != 1 {
		t.Errorf("park %+v, days %v", show.Park, show.Days)
	}
	s := show.Serials[0]
	want := Serial{
		ID: "s1", Line: "line", HomeLine: "line", FormFrom: At(1, 10, 20), FormUp: At(1, 10, 50), ArenaIn: At(1, 11, 0), ArenaOut: At(1, 11, 20),
		HomeBy: At(1, 11, 35), Travel: Minutes(5), Entries: []Entry{{ID: "s1/teal", Unit: "teal", Value: 1}, {ID: "s1/knot", Unit: "knot", Value: 1}},
	}
	if !reflect.DeepEqual(s, want) {
		t.Errorf("serial\n%+v, want\n%+v", s, want)
	}
	if a := assumption(show, "4 vehicles", "length"); a == nil || a.Value != "6.50 m" || !strings.Contains(a.Why, "from memory") || a.Effect == "" {
		t.Errorf("the lengths assumed are told as %+v", a)
	}
}

func TestCompleteTwiceIsCompleteOnce(t *testing.T) {
	shows := map[string]*Show{"bare": bare(), "empty": {}}
	odd := bare()
	odd.Classes = []Class{{Name: "Barge", Length: 900}, {Name: "light wheeled", Length: 350}}
	odd.Vehicles[0].Class, odd.Vehicles[1].Class, odd.Vehicles[2].StartWord = "barge", "zeppelin", "sulks"
	odd.Vehicles[3].Start, odd.Vehicles[3].Reverse = StartTow, ReverseShort
	odd.Combinations = []Combination{{ID: "team", Name: "Team", Tower: "coot", Towed: []UnitID{"ruff"}}}
	odd.Park.Zones = []Zone{{ID: "green", Public: true}, {ID: "yard"}}
	odd.Closings = []Closing{{Zone: "green", Closed: At(1, 10, 0)}}
	odd.Resets = []ResetWindow{{ID: "eve", From: At(1, 18, 0), To: At(1, 20, 0)}}
	odd.Duties = []Duty{{Unit: "knot", From: At(1, 14, 0)}}
	odd.Weights.Told = 7
	odd.Serials[0].FormUp = At(1, 11, 0)
	odd.Park.Paces = []Pace{{Kind: MoveReturn, Takes: 60}}
	shows["odd"] = odd
	for name, show := range shows {
		once := Complete(show)
		twice := Complete(once)
		if !reflect.DeepEqual(once, twice) {
			for i, a := range twice.Assumed {
				if i >= len(once.Assumed) {
					t.Errorf("%s: assumed anew: %+v", name, a)
				}
			}
			t.Errorf("%s: completing twice changes the show", name)
		}
		if again := Complete(show); !reflect.DeepEqual(once, again) {
			t.Errorf("%s: two completions differ", name)
		}
	}
	done := Complete(odd)
	if done.Weights.Told != 7 || done.Weights.Change == 0 {
		t.Errorf("weights %+v", done.Weights)
	}
	if v := done.Vehicles[0]; v.Length != 900 || v.Class != "Barge" {
		t.Errorf("the barge is %+v", v)
	}
	if v := done.Vehicles[1]; v.Class != FallbackClass {
		t.Errorf("an unknown class became %q", v.Class)
	}
	if c := done.Combinations[0]; c.Length != 650+650+50 || c.Reverse != ReverseNever || c.CoupleAt == "" {
		t.Errorf("combination %+v", c)
	}
	if k := done.Closings[0]; k.Clear != At(1, 10, 10) || k.Reopened != At(2, 0, 0) {
		t.Errorf("closing %+v", k)
	}
}

func TestWhatIsGivenIsKept(t *testing.T) {
	warm, chance := Minutes(0), Chance(5000)
	show := bare()
	show.Vehicles[0] = Vehicle{ID: "teal", Name: "Teal", Class: "Light-Wheeled", Length: 333, WarmUp: &warm, StartChance: &chance, StartWord: NeedsCoaxing, Reverse: ReverseNever}
	show.Vehicles[1] = Vehicle{ID: "knot", Name: "Knot", Gear: Tracked, StartWord: NeedsCoaxing}
	show.Park.Lanes[0] = Lane{ID: "A", Length: 2000, Kind: Open, In: InNose, Gap: 20, Zone: "yard"}
	show.Serials[1].ArenaOut = At(1, 12, 5)
	done := Complete(show)
	if v := done.Vehicles[0]; v.Length != 333 || *v.WarmUp != 0 || *v.StartChance != 5000 || v.Reverse != ReverseNever || *v.LongestIdle != Minutes(45) || v.Class != "light wheeled" {
		t.Errorf("teal %+v", v)
	}
	if v := done.Vehicles[1]; v.Class != "heavy tracked" || *v.StartChance != 9500 || v.Length != 800 {
		t.Errorf("knot %+v", v)
	}
	if l := done.Park.Lanes[0]; l.In != InNose || l.Gap != 20 || l.Kind != Open {
		t.Errorf("lane %+v", l)
	}
	if l := done.Park.Lanes[1]; l.Zone != "yard" {
		t.Errorf("lane B lies in %q, not in the only zone", l.Zone)
	}
	if done.Serials[1].ArenaOut != At(1, 12, 5) {
		t.Error("arena-out given was changed")
	}
	if assumption(done, "vehicle Knot", "class") == nil {
		t.Error("that Knot is taken for heavy tracked is not told")
	}
}

func TestSerialTimesFromWhatIsGiven(t *testing.T) {
	for _, c := range []struct {
		name string
		in   Serial
		want [6]Instant // form from, form up, arena in, arena out, home by; travel
	}{
		{"arena in only", Serial{ArenaIn: At(1, 11, 0)}, [6]Instant{At(1, 10, 20), At(1, 10, 50), At(1, 11, 0), At(1, 11, 20), At(1, 11, 55), 300}},
		{"form up only", Serial{FormUp: At(1, 10, 0)}, [6]Instant{At(1, 9, 30), At(1, 10, 0), At(1, 10, 10), At(1, 10, 30), At(1, 11, 5), 300}},
		{"two minutes apart", Serial{FormUp: At(1, 10, 0), ArenaIn: At(1, 10, 2)}, [6]Instant{At(1, 9, 30), At(1, 10, 0), At(1, 10, 2), At(1, 10, 22), At(1, 10, 54), 120}},
		{"travel given", Serial{ArenaIn: At(1, 11, 0), Travel: 600, HomeBy: At(1, 13, 0)}, [6]Instant{At(1, 10, 15), At(1, 10, 45), At(1, 11, 0), At(1, 11, 20), At(1, 13, 0), 600}},
	} {
		c.in.ID = "s"
		s := Complete(&Show{Serials: []Serial{c.in}}).Serials[0]
		got := [6]Instant{s.FormFrom, s.FormUp, s.ArenaIn, s.ArenaOut, s.HomeBy, Instant(s.Travel)}
		if got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestArenaIsLeftWhenTheNextSerialComes(t *testing.T) {
	show := Complete(&Show{Serials: []Serial{{ID: "b", ArenaIn: At(1, 11, 12)}, {ID: "a", ArenaIn: At(1, 11, 0)}}})
	if got := show.Serials[1].ArenaOut; got != At(1, 11, 12) {
		t.Errorf("a leaves the arena at %s, want 11:12", got)
	}
}

func TestDefaultPacesCoverEveryKindAndGear(t *testing.T) {
	ix := NewIndex(Complete(bare()))
	for _, kind := range []MoveKind{MoveArrive, MovePullOut, MoveReturn, MoveAcross, MoveAside, MoveBack, MoveCloseUp, MoveReset, MoveDuty, MoveRelieve, MoveDepart, MoveCouple, MovePart, MoveTow, MoveShift} {
		for _, gear := range []Gear{Wheeled, HalfTracked, Tracked, SteamGear, TowedItem} {
			if ix.Pace(kind, gear) <= 0 {
				t.Errorf("%s of %s has no pace", kind, gear)
			}
		}
	}
}
