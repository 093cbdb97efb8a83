package desk_test

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/fenmoor"
)

// demo returns the demonstration show, complete, with a plan that a short
// search finds; both are made once.
var demo = sync.OnceValues(func() (*sallyport.Show, *sallyport.Plan) {
	show := sallyport.Complete(fenmoor.Show())
	a, err := desk.Plan(context.Background(), show, desk.PlanOptions{Steps: 2_000_000}, nil)
	if err != nil {
		panic(err)
	}
	desk.KeepBound(a)
	return show, a.Plan
})

// spent returns the processor time that the program has used so far.
func spent() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// processor reports the processor time of each run of a benchmark.
func processor(b *testing.B, do func(i int)) {
	i, before := 0, spent()
	for b.Loop() {
		do(i)
		i++
	}
	b.ReportMetric(float64((spent()-before).Microseconds())/1000/float64(i), "cpu-ms/op")
}

func BenchmarkTable(b *testing.B) {
	_, plan := demo()
	show := fenmoor.Show()
	processor(b, func(int) {
		text, err := json.Marshal(desk.NewTable(show, plan, desk.TableOptions{}))
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(text)), "B")
	})
	film, err := json.Marshal(desk.NewTable(show, plan, desk.TableOptions{}).Film)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(len(film)), "film-B")
}

func BenchmarkHoldOver(b *testing.B) {
	show, plan := demo()
	hand, err := desk.NewHand(show, plan)
	if err != nil {
		b.Fatal(err)
	}
	stays := desk.NewTable(show, plan, desk.TableOptions{}).Stays
	processor(b, func(i int) {
		s := stays[(i*7)%len(stays)]
		if _, err := hand.Over(desk.Put{Unit: s.Unit, After: s.After, Lane: show.Park.Lanes[i%len(show.Park.Lanes)].ID, Onward: i%2 == 0}); err != nil {
			b.Fatal(err)
		}
	})
}

func BenchmarkNewHand(b *testing.B) {
	show, plan := demo()
	processor(b, func(int) {
		if _, err := desk.NewHand(show, plan); err != nil {
			b.Fatal(err)
		}
	})
}

func BenchmarkPlace(b *testing.B) {
	show, plan := demo()
	stays := desk.NewTable(show, plan, desk.TableOptions{}).Stays
	processor(b, func(i int) {
		s := stays[(i*7)%len(stays)]
		if _, err := desk.Place(b.Context(), show, plan, desk.Put{Unit: s.Unit, After: s.After, Lane: show.Park.Lanes[i%len(show.Park.Lanes)].ID}); err != nil {
			b.Fatal(err)
		}
	})
}

func BenchmarkClashes(b *testing.B) {
	show := fenmoor.Show()
	processor(b, func(int) { desk.Clashes(show) })
}

func TestTable(t *testing.T) {
	_, plan := demo()
	show := fenmoor.Show()
	x := desk.NewTable(show, plan, desk.TableOptions{})
	if !x.Workable || len(x.Problems) > 0 || len(x.Verdict) == 0 || x.Cost == nil || len(x.Stays) == 0 || x.Film == nil {
		t.Fatalf("workable %v, problems %v, verdict %q", x.Workable, x.Problems, x.Verdict)
	}
	if x.Bound != plan.Key.Bound || x.Bound == 0 {
		t.Errorf("bound %d, kept %d", x.Bound, plan.Key.Bound)
	}
	if !slices.Contains(x.NotChecked, "what delays would do to the plan") {
		t.Errorf("not checked: %q", x.NotChecked)
	}
	text, err := json.Marshal(x)
	if err != nil {
		t.Fatal(err)
	}
	for _, field := range []string{`"problems":[]`, `"faults":[]`, `"order_alone":[]`, `"best_possible":`, `"not_checked":[`} {
		if !strings.Contains(string(text), field) {
			t.Errorf("no %s in the table", field)
		}
	}
	film, err := json.Marshal(x.Film)
	if err != nil || len(film) > 300_000 {
		t.Errorf("the film has %d bytes, %v", len(film), err)
	}
	// Of another show the bound is not known.
	show.Park.Lanes[0].Length += 500
	if y := desk.NewTable(show, plan, desk.TableOptions{}); y.Bound != 0 {
		t.Errorf("bound %d of another show", y.Bound)
	}
}

func TestTableWithoutPlan(t *testing.T) {
	show := fenmoor.Show()
	x := desk.NewTable(show, nil, desk.TableOptions{})
	if x.Workable || x.Film != nil || x.Cost != nil || !slices.Equal(x.Verdict, []string{"Not planned yet."}) {
		t.Fatalf("%+v", x.Verdict)
	}
	ix := sallyport.NewIndex(x.Complete)
	standing := 0
	for _, id := range ix.UnitIDs {
		if ix.CombinationOf(id) == "" {
			standing++
		}
	}
	for _, s := range x.Stays {
		if s.Lane != "" || s.To != 0 {
			t.Errorf("stay %+v without a plan", s)
		}
	}
	if len(x.Stays) != standing {
		t.Errorf("%d stays of %d units", len(x.Stays), standing)
	}
}

func TestTableOfAShowThatContradictsItself(t *testing.T) {
	_, plan := demo()
	show := fenmoor.Show()
	show.Serials[0].ArenaOut = show.Serials[0].ArenaIn - 60
	show.Vehicles[3].Home = sallyport.Home{Lane: "nowhere", Binding: sallyport.Fixed}
	x := desk.NewTable(show, plan, desk.TableOptions{})
	if len(x.Problems) < 2 || x.Workable || x.Cost != nil || len(x.Stays) == 0 || x.Problems[0].Message == "" {
		t.Fatalf("problems %+v, workable %v", x.Problems, x.Workable)
	}
}

// TestStaysAreWhereThePlanHasThem compares stays with the states of the judge:
// in the middle of a stay the unit stands in its lane.
func TestStaysAreWhereThePlanHasThem(t *testing.T) {
	show, plan := demo()
	ix := sallyport.NewIndex(show)
	x := desk.NewTable(show, plan, desk.TableOptions{})
	seen := map[string]bool{}
	lanes := map[string]sallyport.LaneID{}
	for _, s := range x.Stays {
		if seen[s.ID] || s.ID != string(s.Unit)+"/"+s.After {
			t.Errorf("id %q of %+v", s.ID, s)
		}
		seen[s.ID], lanes[s.ID] = true, s.Lane
		at := s.From
		if s.To != 0 {
			at = (s.From + s.To) / 2
		}
		state, _, _ := sallyport.StateAt(show, plan, at)
		if p := desk.PlacesIn(ix, state)[s.Unit]; p.ID != string(s.Lane) || p.In != string(sallyport.InLane) {
			// It may wait aside just then.
			if p.In != string(sallyport.InSpot) {
				t.Errorf("%s is in %s %s at %s, its stay is in %s", s.Unit, p.In, p.ID, at, s.Lane)
			}
		}
	}
	for _, p := range sallyport.SketchOf(plan) {
		id := string(p.Unit) + "/" + p.After
		if lane, ok := lanes[id]; ok && lane != p.Lane {
			t.Errorf("stay %s is in %s, the sketch has %s", id, lane, p.Lane)
		} else if !ok && show.Serials != nil && slices.ContainsFunc(show.Serials, func(s sallyport.Serial) bool { return string(s.ID) == p.After }) {
			t.Errorf("no stay %s", id)
		}
	}
}

// TestFilmReplays plays the film and compares it with every state of the judge.
func TestFilmReplays(t *testing.T) {
	show, plan := demo()
	ix := sallyport.NewIndex(show)
	film := desk.NewTable(show, plan, desk.TableOptions{}).Film
	start, _ := sallyport.StartState(show, plan)
	states, _ := sallyport.Play(show, start, plan.Moves)
	places := maps.Clone(film.Start)
	same := func(when string, s sallyport.State) {
		for u, want := range desk.PlacesIn(ix, s) {
			if got := places[u]; got != want {
				t.Fatalf("%s: %s is at %+v in the film, at %+v in the state", when, u, got, want)
			}
		}
	}
	same("at the start", start)
	if len(film.Steps) != len(states) {
		t.Fatalf("%d steps, %d states", len(film.Steps), len(states))
	}
	for i, step := range film.Steps {
		if step.Move != plan.Moves[i].ID || len(step.To) == 0 && plan.Moves[i].From != plan.Moves[i].To {
			t.Fatalf("step %d: %+v", i, step)
		}
		maps.Copy(places, step.To)
		same(fmt.Sprint("after ", step.Move), states[i])
	}
}
