package solve

import (
	"cmp"
	"context"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
	"sallyport"
)

// clockRules are the rules that may be broken when time, teams or drivers are
// short.
var clockRules = []sallyport.Rule{
	sallyport.RuleLate, sallyport.RuleHomeLate, sallyport.RuleNotClear, sallyport.RuleReopened, sallyport.RuleWindow, sallyport.RuleEngineHours,
	sallyport.RuleNoDriver, sallyport.RulePerson, sallyport.RuleIdle, sallyport.RuleMissing,
}

// laid draws a random show, plans it naively and lays the plan.
func laid(rt *rapid.T) (*sallyport.Show, *sallyport.Plan, []string) {
	rnd := rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "seed"), 1))
	show := looseShow(rnd)
	plan, ok := makePlan(show, rnd)
	if !ok {
		rt.Skip("somebody finds no room")
	}
	start, _ := sallyport.StartState(show, plan)
	untimed := slices.Clone(plan.Moves)
	var problems []string
	plan.Moves, problems = Lay(show, start, plan.Moves)
	if again, _ := Lay(show, start, untimed); !reflect.DeepEqual(again, plan.Moves) {
		rt.Fatalf("two times laid, two results")
	}
	return show, plan, problems
}

func TestLaidPlansKeepTheClockOrSayWhyNot(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		show, plan, problems := laid(rt)
		ends := map[sallyport.MoveID]sallyport.Instant{}
		for _, m := range plan.Moves {
			for _, w := range m.After {
				if end, ok := ends[w.Move]; w.Move != "" && (!ok || end > m.Start) {
					rt.Fatalf("%s of %s at %s waits for %s, which is over at %s", m.Kind, m.Unit, m.Start, w.Move, end)
				}
			}
			if ends[m.ID] = m.Ends(); m.ID == "" {
				rt.Fatalf("%s of %s has no id", m.Kind, m.Unit)
			}
		}
		report := sallyport.Check(show, plan)
		for _, f := range report.Faults {
			if len(problems) == 0 {
				rt.Fatalf("%s: %s; and Lay says nothing of it", f.Rule, f.Sentence)
			}
			if !slices.Contains(clockRules, f.Rule) {
				rt.Fatalf("%s: %s", f.Rule, f.Sentence)
			}
		}
		for _, f := range report.OrderAlone {
			rt.Fatalf("by order alone: %s: %s", f.Rule, f.Sentence)
		}
		if len(report.Faults) == 0 && len(problems) > 0 {
			rt.Fatalf("nothing is wrong, but Lay says %q", problems)
		}
		if stops := sallyport.Stops(sallyport.Validate(show)); len(report.Faults) == 0 && len(stops) > 0 {
			rt.Fatalf("the plan is workable, but the show is said to contradict itself: %s", stops[0])
		}
	})
}

// Whatever order delays make of the moves, as long as each waits for what it
// is linked to and for its own vehicles' last move, nobody is ever blocked.
func TestLinksAloneAreSafe(t *testing.T) {
	structural := []sallyport.Rule{
		sallyport.RuleBlocked, sallyport.RuleOverfull, sallyport.RuleNotThere, sallyport.RuleLineFull, sallyport.RuleAside,
		sallyport.RuleFacing, sallyport.RuleCombination, sallyport.RuleMissing, sallyport.RuleFouled, sallyport.RuleLineOrder, sallyport.RuleLate,
	}
	rapid.Check(t, func(rt *rapid.T) {
		show, plan, problems := laid(rt)
		if len(problems) > 0 {
			rt.Skip("time is short")
		}
		moves := shuffled(show, plan.Moves, rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "delays"), 2)))
		start, _ := sallyport.StartState(show, plan)
		_, faults := sallyport.Play(show, start, moves)
		for _, f := range faults {
			if f.Rule == sallyport.RuleLate && !strings.Contains(f.Sentence, "is not on") {
				continue // by the clock
			}
			if slices.Contains(structural, f.Rule) {
				for _, m := range moves {
					rt.Logf("%s %s %s %v %s→%s %s after %v", m.ID, m.Kind, m.Unit, m.Units, m.From.ID, m.To.ID, m.Serial, m.After)
				}
				rt.Fatalf("%s: %s", f.Rule, f.Sentence)
			}
		}
	})
}

// shuffled puts moves in a random order that keeps their links, and gives them
// times one after the other.
func shuffled(show *sallyport.Show, moves []sallyport.Move, rnd *rand.Rand) []sallyport.Move {
	waits := make([][]int, len(moves))
	byID, ofUnit, fromLine := map[sallyport.MoveID]int{}, map[sallyport.UnitID]int{}, map[sallyport.LineID][]int{}
	for i, m := range moves {
		for _, w := range m.After {
			if id := cmp.Or(w.Move, w.Begun); id != "" {
				waits[i] = append(waits[i], byID[id])
			}
			if w.Line != "" {
				waits[i] = append(waits[i], fromLine[w.Line]...)
			}
		}
		for _, u := range unitsOf(&m) {
			if k, ok := ofUnit[u]; ok {
				waits[i] = append(waits[i], k)
			}
			ofUnit[u] = i
		}
		if m.From.Kind == sallyport.InLine {
			fromLine[sallyport.LineID(m.From.ID)] = append(fromLine[sallyport.LineID(m.From.ID)], i)
		}
		byID[m.ID] = i
	}
	done := make([]bool, len(moves))
	var list []sallyport.Move
	at := sallyport.At(1, 0, 0)
	for len(list) < len(moves) {
		var ready []int
		for i := range moves {
			if !done[i] && !slices.ContainsFunc(waits[i], func(k int) bool { return !done[k] }) {
				ready = append(ready, i)
			}
		}
		i := ready[rnd.IntN(len(ready))]
		done[i] = true
		m := moves[i]
		m.Start = at
		at = m.Ends()
		list = append(list, m)
	}
	return list
}

// wideShow has n vehicles in lanes of three, and eight serials on each of two
// days in which everybody appears about once a day.
func wideShow(n int) *sallyport.Show {
	show := &sallyport.Show{Name: "wide", Park: sallyport.Park{Teams: max(4, n/15)}}
	for i := range n/2 + 3 {
		show.Park.Lanes = append(show.Park.Lanes, sallyport.Lane{ID: sallyport.LaneID(fmt.Sprintf("L%d", i)), Length: 2000, Mouth: sallyport.StretchID(fmt.Sprintf("F%d", i/12))})
	}
	for i := range 4 + n/60 {
		show.Park.Lines = append(show.Park.Lines, sallyport.Line{ID: sallyport.LineID(fmt.Sprintf("N%d", i))})
	}
	for i := range n {
		id := sallyport.UnitID(fmt.Sprintf("v%d", i))
		show.Vehicles = append(show.Vehicles, sallyport.Vehicle{ID: id, Name: string(id), Class: "light wheeled"})
	}
	for d := 1; d <= 2; d++ {
		show.Days = append(show.Days, sallyport.Day{Name: fmt.Sprint(d)})
		lines := len(show.Park.Lines)
		for k := range 8 * lines {
			in := sallyport.At(d, 8, 30) + sallyport.Instant(k/lines)*80*60
			s := sallyport.Serial{ID: sallyport.SerialID(fmt.Sprintf("s%d-%d", d, k)), Line: show.Park.Lines[k%lines].ID, ArenaIn: in}
			for i := k; i < n; i += 8 * lines {
				s.Entries = append(s.Entries, sallyport.Entry{Unit: sallyport.UnitID(fmt.Sprintf("v%d", i))})
			}
			show.Serials = append(show.Serials, s)
		}
	}
	return sallyport.Complete(show)
}

func BenchmarkLay(b *testing.B) {
	for _, n := range []int{60, 600, 5000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			show := wideShow(n)
			plan, ok := makePlan(show, rand.New(rand.NewPCG(1, 1)))
			if !ok {
				b.Fatal("somebody finds no room")
			}
			start, _ := sallyport.StartState(show, plan)
			b.ReportMetric(float64(len(plan.Moves)), "moves")
			for b.Loop() {
				_, problems := Lay(show, start, plan.Moves)
				if len(problems) > 0 {
					b.Log(problems[0])
				}
			}
		})
	}
}

// What the search writes out is right by order, so that only the clock can
// still break a rule.
func TestSearchedPlansAreLaidInTime(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		rnd := rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "seed"), 3))
		show := looseShow(rnd)
		result, err := Solve(context.Background(), show, Options{Seed: 1, Steps: 1000, Workers: 1}, nil)
		if err != nil {
			rt.Fatal(err)
		}
		if result.Report.Cost.Lost > 0 {
			rt.Skip("not everybody finds room")
		}
		for _, f := range result.Report.Faults {
			if !slices.Contains(clockRules, f.Rule) {
				rt.Fatalf("%s: %s", f.Rule, f.Sentence)
			}
			if len(result.Why) == 0 {
				rt.Fatalf("%s: %s; and nothing is said of it", f.Rule, f.Sentence)
			}
		}
	})
}
