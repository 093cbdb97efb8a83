package desk_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/fenmoor"
)

func TestTheDemonstrationHasNoClashes(t *testing.T) {
	if list := desk.Clashes(fenmoor.Show()); len(list) > 0 {
		t.Errorf("%d, the first: %+v", len(list), list[0])
	}
}

// TestClashesOfADayPastedOver: serials that are there many times are told of
// as far as somebody can read, and that there are more.
func TestClashesOfADayPastedOver(t *testing.T) {
	show := *fenmoor.Show()
	first := show.Serials[0]
	for n := range 500 {
		first.ID = sallyport.SerialID(fmt.Sprint("again ", n))
		show.Serials = append(show.Serials, first)
	}
	said, more := 0, 0
	for _, c := range desk.Clashes(&show) {
		switch {
		case c.Rule != string(sallyport.RuleLineFull):
		case strings.HasPrefix(c.Sentence, "More serials than the 300"):
			more++
		default:
			said++
		}
	}
	if said != 300 || more != 1 {
		t.Errorf("%d pairs are told of, and %d times that there are more", said, more)
	}
}

// TestClashes changes the order of events of a small show, one thing at a time.
func TestClashes(t *testing.T) {
	minutes := func(n int64) *sallyport.Seconds { s := sallyport.Minutes(n); return &s }
	tests := []struct {
		name   string
		change func(*sallyport.Show)
		rule   string
		serial sallyport.SerialID
		unit   sallyport.UnitID
		says   []string
	}{
		{
			"still out", func(s *sallyport.Show) {
				s.Serials[1].Entries[0].Unit = "avocet"
				s.Serials[1].ArenaIn, s.Serials[1].ArenaOut = sallyport.At(1, 10, 22), sallyport.At(1, 10, 40)
			}, sallyport.ClashTurn, "2", "avocet", []string{"two places at once"},
		},
		{
			"no time to turn round", func(s *sallyport.Show) {
				s.Serials[1].Entries[0].Unit = "avocet"
				s.Serials[1].ArenaIn, s.Serials[1].ArenaOut = sallyport.At(1, 10, 45), sallyport.At(1, 11, 0)
				s.Serials[1].FormUp = sallyport.At(1, 10, 28)
			}, sallyport.ClashTurn, "2", "avocet", []string{"no time to turn round"},
		},
		{
			"too little rest", func(s *sallyport.Show) {
				s.Vehicles[0].HotRest, s.Vehicles[0].WarmUp = minutes(90), minutes(20)
				s.Serials[1].Entries[0].Unit = "avocet"
			}, sallyport.ClashTurn, "2", "avocet", []string{"a rest of 1 h 30 min", "20 min of warming up"},
		},
		{
			"engine hours", func(s *sallyport.Show) {
				s.Days[0].EngineFrom = sallyport.At(1, 9, 30)
				s.Vehicles[0].WarmUp = minutes(60)
			}, string(sallyport.RuleEngineHours), "1", "avocet", []string{"engines may run from 09:30 only"},
		},
		{
			"home after engine hours", func(s *sallyport.Show) {
				s.Days[0].EngineTo = sallyport.At(1, 14, 30)
				s.Vehicles[2].CoolDown = minutes(30)
			}, string(sallyport.RuleEngineHours), "3", "crake", []string{"engines may run until 14:30 only"},
		},
		{
			"the public is inside", func(s *sallyport.Show) {
				s.Park.Zones = []sallyport.Zone{{ID: "green", Name: "Green", Public: true}}
				s.Park.Lanes[0].Zone, s.Park.Lanes[1].Zone = "green", "green"
				s.Days[0].PublicFrom, s.Days[0].PublicTo = sallyport.At(1, 11, 0), sallyport.At(1, 13, 0)
			}, string(sallyport.RuleNotClear), "2", "bittern", []string{"no time to pull out", "inside Green"},
		},
		{
			"home among the public", func(s *sallyport.Show) {
				s.Park.Zones = []sallyport.Zone{{ID: "green", Name: "Green", Public: true}}
				s.Park.Lanes[0].Zone, s.Park.Lanes[1].Zone = "green", "green"
				s.Days[0].PublicFrom, s.Days[0].PublicTo = sallyport.At(1, 14, 10), sallyport.At(1, 18, 0)
			}, string(sallyport.RuleReopened), "3", "crake", []string{"no time to come home"},
		},
		{
			"a usual driver of two", func(s *sallyport.Show) {
				s.People = []sallyport.Person{{ID: "orla", Name: "Orla"}}
				s.Vehicles[0].UsualDriver, s.Vehicles[1].UsualDriver = "orla", "orla"
				s.Serials[0].Entries = append(s.Serials[0].Entries, sallyport.Entry{ID: "1/bittern", Unit: "bittern"})
			}, string(sallyport.RulePerson), "1", "avocet", []string{"Orla usually drives Avocet", "Bittern"},
		},
		{
			"a driver named twice", func(s *sallyport.Show) {
				s.People = []sallyport.Person{{ID: "orla", Name: "Orla"}}
				s.Serials[0].Entries = append(s.Serials[0].Entries, sallyport.Entry{ID: "1/bittern", Unit: "bittern", Driver: "orla"})
				s.Serials[0].Entries[0].Driver = "orla"
			}, string(sallyport.RulePerson), "1", "", []string{"Orla is named for Avocet"},
		},
		{
			"too many runs", func(s *sallyport.Show) {
				s.Vehicles[0].MaxRuns = 1
				s.Serials[2].Entries[0].Unit = "avocet"
			}, string(sallyport.RuleRuns), "", "avocet", []string{"may have 1"},
		},
		{
			"not there yet", func(s *sallyport.Show) { s.Vehicles[1].Arrive.From = sallyport.At(1, 13, 0) },
			sallyport.ClashAbsent, "2", "bittern",
			[]string{"comes only at"},
		},
		{
			"off the road", func(s *sallyport.Show) { s.Vehicles[1].OffRoad.From = sallyport.At(1, 6, 0) },
			sallyport.ClashAbsent, "2", "bittern",
			[]string{"off the road"},
		},
		{
			"too long for the line", func(s *sallyport.Show) { s.Park.Lines[0].Length = 300 },
			string(sallyport.RuleLineFull), "1", "",
			[]string{"3.00 m long"},
		},
		{
			"two serials on one line", func(s *sallyport.Show) {
				s.Park.Lines[0].Length = 700
				x := &s.Serials[1]
				x.FormUp, x.ArenaIn, x.ArenaOut = sallyport.At(1, 9, 40), sallyport.At(1, 10, 30), sallyport.At(1, 10, 50)
			}, string(sallyport.RuleLineFull), "2", "", []string{"both formed up"},
		},
		{
			"a reserve in the serial", func(s *sallyport.Show) {
				s.Serials[0].Entries = append(s.Serials[0].Entries, sallyport.Entry{ID: "1/bittern", Unit: "bittern", Reserves: []sallyport.UnitID{"avocet"}})
			}, sallyport.ClashTwice, "1", "avocet", []string{"reserve"},
		},
		{
			"times out of order", func(s *sallyport.Show) { s.Serials[0].ArenaOut = sallyport.At(1, 9, 50) },
			sallyport.ClashTimes, "1", "",
			[]string{"out of order"},
		},
	}
	if list := desk.Clashes(alley()); len(list) > 0 {
		t.Fatalf("before any change: %+v", list)
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			show := alley()
			test.change(show)
			list := desk.Clashes(show)
			found := slices.ContainsFunc(list, func(c desk.Clash) bool {
				fits := c.Rule == test.rule && c.Serial == test.serial && (test.unit == "" || slices.Contains(c.Units, test.unit))
				for _, part := range test.says {
					fits = fits && strings.Contains(c.Sentence, part)
				}
				return fits
			})
			if !found {
				t.Errorf("clashes: %+v", list)
			}
			if !slices.IsSortedFunc(list, func(a, b desk.Clash) int { return int(a.At - b.At) }) {
				t.Error("not in order of time")
			}
		})
	}
}
