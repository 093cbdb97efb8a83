package desk_test

import (
	"context"
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/rehearse"
)

// What a person is told of a plan in which Dunlin stands before Knot.
func TestFailuresSummary(t *testing.T) {
	show, plan := small()
	show.Vehicles[0].StartChance = nil
	show.Vehicles[0].StartsTried, show.Vehicles[0].StartsFail = 10, 1
	show = sallyport.Complete(show)
	f, err := desk.FailuresOf(context.Background(), show, plan, rehearse.Options{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(f.Summary(40), "\n")
	for _, want := range []string{
		"does not stand any one failure to start: 1 entry stays behind",
		"when Dunlin does not start on Saturday 09:30: Knot (Opening)",
		"Dunlin fails in lane: lane A1, Saturday 09:30 (Opening)",
		"shut in: Knot",
		"Dunlin starts late: lane A1",
		"wait until the cut-off: 09:54 at the latest, 24 min after its time",
		"lost: 2 entries",
		"whether anybody can tow Dunlin is not checked: no mass is given",
		"Dunlin: 9 of 10; 86.4 % (66.9 % to 98.2 %)",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the summary does not say %q:\n%s", want, text)
		}
	}
}

// Asked to stand any one failure, a show that can gets a plan that does, and
// what it costs is told; one that stands anyway costs nothing more.
func TestStand(t *testing.T) {
	for _, c := range []struct {
		name      string
		change    func(s *sallyport.Show)
		uncovered int
	}{
		{"there is a lane for each", func(s *sallyport.Show) { s.Park.Lanes = append(s.Park.Lanes, sallyport.Lane{ID: "A2", Length: 900}) }, 0},
		{"one lane for both", func(*sallyport.Show) {}, 1},
		{"one lane, but both can be pushed", func(s *sallyport.Show) { s.Vehicles[0].HandPeople, s.Vehicles[1].HandPeople = 3, 3 }, 0},
	} {
		show, _ := small()
		c.change(show)
		s, err := desk.Stand(context.Background(), sallyport.Complete(show), desk.PlanOptions{Seed: 1, Steps: 20_000}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Uncovered) != c.uncovered || !s.With.Report.Workable() {
			t.Errorf("%s: %v stay behind, want %d; workable %v", c.name, s.Uncovered, c.uncovered, s.With.Report.Workable())
		}
		if c.uncovered == 0 && !strings.Contains(s.Sentences()[0], "stands any one failure") {
			t.Errorf("%s: %q", c.name, s.Sentences()[0])
		}
	}
}
