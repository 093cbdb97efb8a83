package desk

import (
	"strings"
	"testing"

	"sallyport"
)

// TestNoticesSayWhatIsDifferent holds that what was told and what is told now
// are never the same words: another day is named, and another driver, and that
// what falls away is said as a sentence.
func TestNoticesSayWhatIsDifferent(t *testing.T) {
	show := sallyport.Complete(&sallyport.Show{
		Days:     []sallyport.Day{{Name: "Friday", Kind: sallyport.ShowDay}, {Name: "Saturday", Kind: sallyport.ShowDay}},
		Park:     sallyport.Park{Lanes: []sallyport.Lane{{ID: "A", Length: 700}}},
		Vehicles: []sallyport.Vehicle{{ID: "avocet", Name: "Avocet", Length: 600}},
		People:   []sallyport.Person{{ID: "ned", Name: "Ned Quill"}},
		Serials:  []sallyport.Serial{{ID: "S1", Name: "Opening", ArenaIn: sallyport.At(1, 10, 0), Entries: []sallyport.Entry{{ID: "e1", Unit: "avocet"}}}},
		Duties:   []sallyport.Duty{{ID: "d1", Unit: "avocet", What: "fuel", From: sallyport.At(1, 12, 0), To: sallyport.At(1, 12, 30)}},
	})
	line := show.Park.Lines[0].ID
	pull := sallyport.Move{ID: "m1", Kind: sallyport.MovePullOut, Unit: "avocet", From: sallyport.AtLane("A", ""), To: sallyport.AtLine(line), Serial: "S1", Entry: "e1", Start: sallyport.At(1, 9, 30), Driver: "ned"}
	out := sallyport.Move{ID: "m2", Kind: sallyport.MoveOut, Units: []sallyport.UnitID{"avocet"}, From: sallyport.AtLine(line), To: sallyport.Pos{Kind: sallyport.InArena}, Serial: "S1", Start: sallyport.At(1, 9, 55)}
	fuel := sallyport.Move{ID: "m3", Kind: sallyport.MoveDuty, Unit: "avocet", From: sallyport.AtLane("A", ""), To: sallyport.Pos{Kind: sallyport.InDuty}, Duty: "d1", Start: sallyport.At(1, 11, 58)}
	aside := sallyport.Move{ID: "m4", Kind: sallyport.MoveAside, Unit: "avocet", From: sallyport.AtLane("A", ""), Serial: "S1", Start: sallyport.At(1, 9, 20)}
	later := func(m sallyport.Move) sallyport.Move {
		m.Start += sallyport.Instant(sallyport.At(2, 0, 0))
		return m
	}
	undriven := pull
	undriven.Driver = ""
	for _, c := range []struct {
		name     string
		was, now []sallyport.Move
		says     []string
	}{
		{"another day", []sallyport.Move{pull}, []sallyport.Move{later(pull)}, []string{"at Saturday 09:30, lane A", "told: pull out for Opening at 09:30"}},
		{"a column on another day", []sallyport.Move{later(out)}, []sallyport.Move{out}, []string{"column out at 09:55; told: column out at Saturday 09:55"}},
		{"no driver any more", []sallyport.Move{pull}, []sallyport.Move{undriven}, []string{", no driver is named; told: ", ", driver Ned Quill"}},
		{"no duty", []sallyport.Move{fuel}, nil, []string{"does not go to its duty (fuel); told: to duty (fuel) at 11:58"}},
		{"not moved aside", []sallyport.Move{aside}, nil, []string{"is not moved aside for Opening; told: aside for Opening"}},
	} {
		got := notices(show, &sallyport.Plan{Moves: c.was}, &sallyport.Plan{Moves: c.now}, nil, nil)
		if len(got) != 1 || got[0].Was == got[0].Now {
			t.Errorf("%s: %v is told", c.name, got)
			continue
		}
		for _, want := range c.says {
			if text := got[0].Line(show); !strings.Contains(text, want) {
				t.Errorf("%s: %q does not say %q", c.name, text, want)
			}
		}
	}
}

// TestBeingHereIsNoReason holds that nobody is moved because he was found where
// he should be; who must not run again is said so in good English.
func TestBeingHereIsNoReason(t *testing.T) {
	show := sallyport.Complete(&sallyport.Show{
		Days:     []sallyport.Day{{Name: "Friday", Kind: sallyport.ShowDay}},
		Park:     sallyport.Park{Lanes: []sallyport.Lane{{ID: "A", Length: 700}}},
		Vehicles: []sallyport.Vehicle{{ID: "avocet", Name: "Avocet", Length: 600}},
	})
	was := []sallyport.Move{{ID: "m1", Kind: sallyport.MoveAside, Unit: "avocet", From: sallyport.AtLane("A", ""), Start: sallyport.At(1, 9, 20)}}
	here := sallyport.Happening{Kind: sallyport.HappenHere, Unit: "avocet"}
	limits := sallyport.Happening{Kind: sallyport.HappenLimits, Unit: "avocet", MaxRuns: 1}
	for _, c := range []struct {
		happened []sallyport.Happening
		why      string
	}{
		{[]sallyport.Happening{here}, "follows from the rest"},
		{[]sallyport.Happening{here, limits}, "Avocet may run once a day at most"},
	} {
		got := notices(show, &sallyport.Plan{Moves: was}, &sallyport.Plan{}, c.happened, nil)
		if len(got) != 1 || got[0].Why != c.why {
			t.Errorf("after %v: %+v is told, want the reason %q", c.happened, got, c.why)
		}
	}
}

// TestATowThatIsTooHeavyIsSaid holds that a towing vehicle too light by the
// usual rule is named as such when both masses are given.
func TestATowThatIsTooHeavyIsSaid(t *testing.T) {
	show := sallyport.Complete(&sallyport.Show{
		Days: []sallyport.Day{{Name: "Friday", Kind: sallyport.ShowDay}},
		Park: sallyport.Park{Lanes: []sallyport.Lane{{ID: "A", Length: 700}}},
		Vehicles: []sallyport.Vehicle{
			{ID: "pelican", Name: "Pelican", Length: 600, Mass: 13600},
			{ID: "bittern", Name: "Bittern", Length: 600, Mass: 27000},
			{ID: "knot", Name: "Knot", Length: 400, Mass: 900},
			{ID: "redshank", Name: "Redshank", Length: 600},
		},
	})
	for _, c := range []struct {
		towed sallyport.UnitID
		says  string
	}{
		{"bittern", "Pelican, 13,600 kg, is too light to tow Bittern, 27,000 kg, under a rule of 45 %"}, {"knot", ""}, {"redshank", ""},
	} {
		r := Replanned{Answer: &Answer{Show: show, Plan: &sallyport.Plan{Moves: []sallyport.Move{{Kind: sallyport.MoveTow, Unit: c.towed, Helper: "pelican"}}}}}
		lines := r.tooLight(sallyport.NewIndex(show))
		if said := len(lines) == 1 && strings.HasPrefix(lines[0], c.says); said != (c.says != "") {
			t.Errorf("the tow of %s: %q, want %q", c.towed, lines, c.says)
		}
	}
}
