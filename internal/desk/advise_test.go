package desk

import (
	"context"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/fenmoor"
)

// oneLane returns a show in which Dunlin comes home in front of Knot before
// Knot is due, with one lane for both, and nothing else to park in.
func oneLane() *sallyport.Show {
	at := func(h, m int) sallyport.Instant { return sallyport.At(1, h, m) }
	serial := func(id, name string, h int, units ...sallyport.UnitID) sallyport.Serial {
		s := sallyport.Serial{
			ID: sallyport.SerialID(id), Name: name, FormFrom: at(h, 0), FormUp: at(h, 30), ArenaIn: at(h, 45), ArenaOut: at(h+1, 0), HomeBy: at(h+1, 40), Travel: 300,
		}
		for _, u := range units {
			s.Entries = append(s.Entries, sallyport.Entry{Unit: u})
		}
		return s
	}
	return &sallyport.Show{
		Name: "One lane", Days: []sallyport.Day{{Name: "Saturday", Kind: sallyport.ShowDay}},
		Park: sallyport.Park{
			Lanes: []sallyport.Lane{{ID: "A1", Length: 1200}}, Lines: []sallyport.Line{{ID: "N", Name: "North Road"}},
			Spots: []sallyport.Spot{{ID: "corner", Use: sallyport.SpotAside}},
		},
		Vehicles: []sallyport.Vehicle{
			{ID: "dunlin", Name: "Dunlin", Class: "light wheeled", Length: 400, StartChance: chance()},
			{ID: "knot", Name: "Knot", Class: "light wheeled", Length: 450, StartChance: chance()},
		},
		Serials: []sallyport.Serial{
			serial("1", "Opening", 9, "dunlin"), serial("2", "Wheels", 12, "knot"), serial("3", "Finale", 15, "dunlin", "knot"),
		},
	}
}

// advised plans a show and asks for advice.
func advised(t *testing.T, given *sallyport.Show, opt AdviseOptions) *Advised {
	t.Helper()
	show, _, err := Prepare(given, nil)
	if err != nil {
		t.Fatal(err)
	}
	present, err := Plan(t.Context(), show, PlanOptions{Seed: 1, Steps: 200_000, Workers: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	x, err := Advise(t.Context(), given, show, present, opt, nil)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// TestAdviseFindsTheOneChange holds that where one vehicle has to be moved
// aside because of one serial, the change that spares it is found, with what
// it saves and for whom.
func TestAdviseFindsTheOneChange(t *testing.T) {
	x := advised(t, oneLane(), AdviseOptions{Most: 1, Only: []string{"serial"}, Plan: PlanOptions{Seed: 1, Steps: 5_000_000}})
	if x.Present.Aside == 0 {
		t.Fatalf("nobody is moved aside as it is: %+v", x.Present)
	}
	if len(x.Sets) == 0 {
		t.Fatalf("no change found:\n%s", strings.Join(x.Words(), "\n"))
	}
	best := x.Sets[0]
	if !strings.Contains(best.Changes[0].What, " goes in ") || best.Row.Aside != 0 || best.Saves != int64(x.Present.Total) {
		t.Errorf("best is %q with %d aside, saves %d of %d", best.Changes[0].What, best.Row.Aside, best.Saves, x.Present.Total)
	}
	if text := strings.Join(x.Words(), "\n"); !strings.Contains(text, "formed up by Saturday") || !strings.Contains(text, "moves aside and back") {
		t.Errorf("it does not say for whom and in which term:\n%s", text)
	}
}

// TestAdviseKeeps holds that what is to be left alone is left alone.
func TestAdviseKeeps(t *testing.T) {
	x := advised(t, oneLane(), AdviseOptions{Most: 1, Keep: []string{"dunlin", "2"}, Plan: PlanOptions{Seed: 1, Steps: 2_000_000}})
	for _, s := range x.Sets {
		for _, c := range s.Changes {
			if slices.Contains(c.about, "dunlin") || slices.Contains(c.about, "2") {
				t.Errorf("%q is proposed", c.What)
			}
		}
	}
	if x.Looked == 0 {
		t.Error("nothing was looked at")
	}
}

// TestAdviseLaws holds on the demonstration show that nothing told costs more
// than the show as it is; that every figure is that of the judge on the
// changed show; that larger sets tell only what is better than smaller ones in
// some figure; and that seed and steps decide the result, not the workers.
func TestAdviseLaws(t *testing.T) {
	if testing.Short() {
		t.Skip("plans the demonstration show many times")
	}
	ask := func(workers int) *Advised {
		return advised(t, fenmoor.Show(), AdviseOptions{Most: 2, Only: []string{"any order", "free line"}, Plan: PlanOptions{Seed: 1, Steps: 1_000_000, Workers: workers}})
	}
	x := ask(1)
	if x.BaseRow.Total > x.Present.Total {
		t.Errorf("the base costs %s, the present plan %s", x.BaseRow.Total, x.Present.Total)
	}
	smaller := []Row{x.BaseRow}
	for i, s := range x.Sets {
		if s.Saves <= 0 || s.Row.Total >= x.BaseRow.Total {
			t.Errorf("set %d saves %d", i+1, s.Saves)
		}
		report := sallyport.Check(sallyport.Complete(s.Show), s.Answer.Plan)
		if report.Cost.Total != s.Row.Total || report.Workable() != s.Row.Workable {
			t.Errorf("set %d: told %s, the judge says %s", i+1, s.Row.Total, report.Cost.Total)
		}
		if len(s.Changes) > 1 && !s.Row.cheapest(smaller) && !s.Row.leads(smaller) {
			t.Errorf("set %d of %d changes is in nothing better than a smaller one", i+1, len(s.Changes))
		}
		if len(s.Changes) == 1 {
			smaller = append(smaller, s.Row)
		}
	}
	if len(x.Sets) == 0 {
		t.Error("no change found")
	}
	a, errA := json.Marshal(x)
	b, errB := json.Marshal(ask(3))
	if errA != nil || errB != nil || string(a) != string(b) {
		t.Errorf("one worker and three give different advice (%v, %v):\n%s\n%s", errA, errB, a, b)
	}
}

// TestAdviseInterrupted holds that work that is stopped at once says what
// there is.
func TestAdviseInterrupted(t *testing.T) {
	show, _, err := Prepare(oneLane(), nil)
	if err != nil {
		t.Fatal(err)
	}
	present, err := Plan(t.Context(), show, PlanOptions{Seed: 1, Steps: 10_000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	x, err := Advise(ctx, oneLane(), show, present, AdviseOptions{Most: 3, Plan: PlanOptions{Seed: 1}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !x.Interrupted || x.BaseRow.Total != present.Report.Cost.Total || !strings.Contains(strings.Join(x.Words(), "\n"), "stopped early") {
		t.Errorf("interrupted %v, base %s: %q", x.Interrupted, x.BaseRow.Total, x.Words())
	}
}

// TestAdviseVariants sets a show changed by hand beside the others.
func TestAdviseVariants(t *testing.T) {
	longer := oneLane()
	longer.Park.Lanes = append(longer.Park.Lanes, sallyport.Lane{ID: "A2", Length: 1200})
	x := advised(t, oneLane(), AdviseOptions{Also: []Variant{{Name: "two lanes", Show: longer}}, Plan: PlanOptions{Seed: 1, Steps: 1_000_000}})
	if len(x.Also) != 1 || x.Also[0].Variant != "two lanes" || !x.Also[0].Workable || x.Also[0].Aside != 0 || x.Also[0].Total >= x.BaseRow.Total {
		t.Errorf("the variant with two lanes: %+v, as it is %+v", x.Also, x.BaseRow)
	}
	if len(x.Sets) > 0 || x.Searched() {
		t.Error("changes were looked for")
	}
	if v := x.Variants(); len(v) != 1 || v[0].Show != longer {
		t.Error("the variant is not among those to be written")
	}
}

// TestAdviseMends holds that of a plan that is not workable the changes are
// told that mend it, whatever it costs then.
func TestAdviseMends(t *testing.T) {
	given := oneLane()
	given.Park.Spots[0].Length = 200 // too short for anybody to wait aside
	x := advised(t, given, AdviseOptions{Most: 1, Only: []string{"serial", "aside"}, Plan: PlanOptions{Seed: 1, Steps: 1_000_000}})
	if x.BaseRow.Workable {
		t.Fatal("it is workable as it is")
	}
	if len(x.Sets) == 0 || !x.Sets[0].Row.Workable || x.Sets[0].Mends == 0 {
		t.Fatalf("nothing mends it:\n%s", strings.Join(x.Words(), "\n"))
	}
	if text := strings.Join(x.Words(), "\n"); !strings.Contains(text, "The plan is not workable: ") || !strings.Contains(text, "makes the plan workable") {
		t.Errorf("it does not say so:\n%s", text)
	}
}

// TestKinds holds on the demonstration show that every kind of change finds
// something, that a change says what it is and for whom, makes the show another
// one and leaves the given one as it was; and that all changes can be made one
// after the other in any show without harm.
func TestKinds(t *testing.T) {
	given := fenmoor.Show()
	// What the demonstration show has no need of.
	given.Vehicles[3].Home = sallyport.Home{Lane: given.Park.Lanes[0].ID, Binding: sallyport.Told}
	show := sallyport.Complete(given)
	plan, err := Plan(t.Context(), show, PlanOptions{Seed: 1, Steps: 100_000, Workers: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	given = withEntryIDs(given, show)
	before := text(t, given)
	h := newHistory(show, plan.Plan)
	all := copyShow(given)
	for _, kind := range ChangeKinds {
		t.Run(kind.Name, func(t *testing.T) {
			seen := map[string]bool{}
			for _, term := range plan.Report.Cost.Terms {
				for _, item := range term.Items {
					for _, c := range kind.propose(h, item) {
						if seen[c.What] {
							continue
						}
						seen[c.What] = true
						if c.What == "" || c.key == "" || len(c.People) == 0 || len(c.about) == 0 {
							t.Errorf("%+v says too little", c)
						}
						x := copyShow(given)
						if c.apply(x); text(t, x) == before {
							t.Errorf("%q changes nothing", c.What)
						}
						c.apply(all)
					}
				}
			}
			if len(seen) == 0 {
				t.Error("no change is proposed")
			}
		})
	}
	if text(t, given) != before {
		t.Error("the given show has changed")
	}
	sallyport.Validate(all)
}

func text(t *testing.T, s *sallyport.Show) string {
	t.Helper()
	data, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// TestKindNames refuses kinds that there are not, all at once.
func TestKindNames(t *testing.T) {
	if kinds, err := kindsNamed([]string{"Serial", " swap"}); err != nil || len(kinds) != 2 {
		t.Errorf("%v, %v", kinds, err)
	}
	if _, err := kindsNamed([]string{"magic", "serial", "luck"}); err == nil || !strings.Contains(err.Error(), "magic, luck") || !strings.Contains(err.Error(), "home-by") {
		t.Errorf("error %v", err)
	}
}

// TestVariantTable holds that columns stand under each other and that no line
// is wider than the sentences are printed.
func TestVariantTable(t *testing.T) {
	lines := VariantTable([]Row{
		{Variant: "as it is", Workable: true, Aside: 3, Changes: 84, HeldMinutes: 1, Risk: 25_860, Total: 41_356, Bound: 8640},
		{Variant: "one more", Faults: 12, Total: 1_234_567, Risk: 1_000_000},
	}, 0)
	if len(lines) != 5 || lines[3] != "  0: as it is" || lines[4] != "  1: one more" {
		t.Fatalf("%q", lines)
	}
	for _, l := range lines[:3] {
		if len(l) > 100 || len(l) != len(lines[0]) {
			t.Errorf("a line of %d columns, the first has %d: %q", len(l), len(lines[0]), l)
		}
	}
	if !strings.Contains(lines[2], "no, 12 faults") || !strings.HasSuffix(lines[2], " -") || !strings.HasSuffix(lines[1], "8,640") {
		t.Errorf("%q", lines)
	}
}

// chance returns that of an engine that always starts.
func chance() *sallyport.Chance {
	c := sallyport.Certain
	return &c
}
