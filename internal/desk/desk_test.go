package desk_test

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/fenmoor"
	"sallyport/internal/paper"
)

// small returns a show of one lane in which Dunlin stands in front of Knot,
// and a plan that brings both into one serial and home again.
func small() (*sallyport.Show, *sallyport.Plan) {
	at := func(h, m int) sallyport.Instant { return sallyport.At(1, h, m) }
	show := &sallyport.Show{
		Format: sallyport.FormatShow, Name: "Small show", Days: []sallyport.Day{{Name: "Saturday", Kind: sallyport.ShowDay}},
		Park:     sallyport.Park{Lanes: []sallyport.Lane{{ID: "A1", Length: 1200}}, Lines: []sallyport.Line{{ID: "N", Name: "North Road"}}},
		Vehicles: []sallyport.Vehicle{{ID: "dunlin", Name: "Dunlin", Length: 400}, {ID: "knot", Name: "Knot", Length: 450}},
		Serials: []sallyport.Serial{{
			ID: "1", Name: "Opening", Line: "N", FormFrom: at(9, 0), FormUp: at(10, 0), ArenaIn: at(10, 30), ArenaOut: at(10, 50), HomeBy: at(11, 30), Travel: 300,
			Entries: []sallyport.Entry{{ID: "1a", Unit: "dunlin"}, {ID: "1b", Unit: "knot"}},
		}},
	}
	lane, line, arena := sallyport.AtLane("A1", sallyport.Mouth), sallyport.AtLine("N"), sallyport.Pos{Kind: sallyport.InArena}
	both := []sallyport.UnitID{"dunlin", "knot"}
	plan := &sallyport.Plan{
		Format: sallyport.FormatPlan, Show: "Small show",
		Start: []sallyport.LaneLayout{{Lane: "A1", Units: both}},
		Moves: []sallyport.Move{
			{ID: "1", Kind: sallyport.MovePullOut, Unit: "dunlin", From: lane, To: line, Serial: "1", Entry: "1a", Start: at(9, 30), Takes: 180, Marshals: 1},
			{ID: "2", Kind: sallyport.MovePullOut, Unit: "knot", From: lane, To: line, Serial: "1", Entry: "1b", Start: at(9, 40), Takes: 180, Marshals: 1},
			{ID: "3", Kind: sallyport.MoveOut, Units: both, From: line, To: arena, Serial: "1", Start: at(10, 25), Takes: 300},
			{ID: "4", Kind: sallyport.MoveHome, Units: both, From: arena, To: line, Serial: "1", Start: at(10, 50), Takes: 300},
			{ID: "5", Kind: sallyport.MoveReturn, Unit: "knot", From: line, To: lane, Serial: "1", Entry: "1b", Reverse: true, Start: at(11, 0), Takes: 300, Marshals: 1},
			{ID: "6", Kind: sallyport.MoveReturn, Unit: "dunlin", From: line, To: lane, Serial: "1", Entry: "1a", Reverse: true, Start: at(11, 10), Takes: 300, Marshals: 1},
		},
	}
	return sallyport.Complete(show), plan
}

func TestCheck(t *testing.T) {
	show, plan := small()
	a, err := desk.Check(t.Context(), show, plan)
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Report.Faults) > 0 || a.Code() != "" {
		t.Fatalf("faults %v, code %q", a.Report.Faults, a.Code())
	}
	lines := a.Summary()
	for _, want := range []string{
		"Workable: every serial can be pulled out, formed up, brought home and put away.", "Nobody is moved aside.",
		"1 serial with 2 entries in 1 day; 2 stand in 1 lane at the start; 4 moves in all.", "Not checked:", "Assumed:",
	} {
		if !slices.Contains(lines, want) {
			t.Errorf("no line %q in\n%s", want, strings.Join(lines, "\n"))
		}
	}

	plan.Show = "Another show"
	var known *sallyport.Error
	if _, err := desk.Check(t.Context(), show, plan); !errors.As(err, &known) || known.Code != sallyport.CodeInput {
		t.Errorf("a plan of another show gives %v", err)
	}
}

func TestSummaryNamesFaults(t *testing.T) {
	show, plan := small()
	plan.Moves[0], plan.Moves[1] = plan.Moves[1], plan.Moves[0]
	plan.Moves[0].Start, plan.Moves[1].Start = plan.Moves[1].Start, plan.Moves[0].Start
	a, err := desk.Check(t.Context(), show, plan)
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(a.Summary(), "\n")
	if a.Code() != sallyport.CodeNotWorkable || !strings.Contains(text, "Not workable: ") || !strings.Contains(text, "Saturday 09:30  Knot cannot leave lane A1") || !strings.Contains(text, "(blocked)") {
		t.Errorf("code %q, summary\n%s", a.Code(), text)
	}
	if strings.Contains(text, "best possible") {
		t.Error("a plan that is not workable is called best possible")
	}
}

func TestBoundSentence(t *testing.T) {
	for _, c := range []struct {
		name         string
		total, bound sallyport.Amount
		want         string
	}{
		{"met", 1200, 1200, "It is the best possible for the rules and figures given."},
		{"nothing", 0, 0, "It is the best possible for the rules and figures given."},
		{"unknown", 1200, 0, "How much could still be saved is not known."},
		{"wrong", 1200, 1300, "How much could still be saved is not known."},
		{"gap", 12_000, 9_000, "No plan costs less than 9,000: at most 3,000 (25 %) could still be saved."},
	} {
		if got := desk.BoundSentence(c.total, c.bound); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestPrepare(t *testing.T) {
	show, notes, err := desk.Prepare(fenmoor.Show(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(show.Assumed) == 0 {
		t.Errorf("nothing assumed; notes %q", notes)
	}
	bad := fenmoor.Show()
	bad.Vehicles[1].ID = bad.Vehicles[0].ID
	bad.Park.Lanes[0].Length = -1
	_, _, err = desk.Prepare(bad, func(p sallyport.Problem) string { return "Sheet A" })
	var known *sallyport.Error
	if !errors.As(err, &known) || known.Code != sallyport.CodeInput {
		t.Fatalf("error %v", err)
	}
	if n := strings.Count(known.Message, "Sheet A: "); n < 2 {
		t.Errorf("%d problems with their place in\n%s", n, known.Message)
	}
}

func TestMoment(t *testing.T) {
	show, plan := small()
	for _, c := range []struct {
		name       string
		hour, min  int
		lane, line int
		due, next  int
	}{
		{"morning", 8, 0, 2, 0, 2, 2},
		{"one pulled out", 9, 35, 1, 1, 1, 1},
		{"in the arena", 10, 30, 0, 0, 0, 2},
		{"home again", 11, 5, 1, 1, 0, 1},
		{"night", 20, 0, 2, 0, 0, 0},
	} {
		m := desk.Moment(show, plan, sallyport.At(1, c.hour, c.min))
		if got := len(m.State.Lanes["A1"]); got != c.lane {
			t.Errorf("%s: %d in the lane, want %d", c.name, got, c.lane)
		}
		if got := len(m.State.Lines["N"]); got != c.line {
			t.Errorf("%s: %d on the line, want %d", c.name, got, c.line)
		}
		if len(m.Due) != c.due || len(m.Moves) != c.next {
			t.Errorf("%s: due %v, %d moves next; want %d and %d", c.name, m.Due, len(m.Moves), c.due, c.next)
		}
	}
	if m := desk.Moment(show, nil, sallyport.At(1, 8, 0)); len(m.State.Lanes) != 0 {
		t.Errorf("without a plan somebody stands in %v", m.State.Lanes)
	}
}

// TestInterrupted checks that a search that is stopped at once still answers.
func TestInterrupted(t *testing.T) {
	show, _, err := desk.Prepare(fenmoor.Show(), nil)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	a, err := desk.Plan(ctx, show, desk.PlanOptions{Seed: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if a.Code() != sallyport.CodeInterrupted || !strings.Contains(strings.Join(a.Summary(), "\n"), "stopped early") {
		t.Errorf("code %q, summary %q", a.Code(), a.Summary())
	}
}

func TestVariantsDiffer(t *testing.T) {
	show, _ := small()
	answers, err := desk.Variants(t.Context(), show, desk.PlanOptions{Seed: 1, Steps: 1000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	titles := map[string]bool{}
	for i, a := range answers {
		if titles[a.Title] {
			t.Errorf("two plans are called %q", a.Title)
		}
		titles[a.Title] = true
		if i > 0 && a.Report.Cost.Less(answers[0].Report.Cost) {
			t.Errorf("plan %d is cheaper than the first", i+1)
		}
	}
	if len(answers) == 0 {
		t.Error("no plan")
	}
}

func TestPageHasTitle(t *testing.T) {
	show, plan := small()
	a, err := desk.Check(t.Context(), show, plan)
	if err != nil {
		t.Fatal(err)
	}
	a.Title = "nobody aside"
	var page strings.Builder
	if err := paper.HTML(&page, desk.Page(a, nil)); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(page.String(), "Small show: nobody aside") {
		t.Error("the page does not have the title of its plan")
	}
}
