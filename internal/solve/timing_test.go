package solve

import (
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
		report := sallyport.Check(show, plan)
		for _, f := range report.Faults {
			if len(problems) == 0 {
				rt.Fatalf("%s: %s; and Lay says nothing of it", f.Rule, f.Sentence)
			}
			if !slices.Contains(clockRules, f.Rule) {
				rt.Fatalf("%s: %s", f.Rule, f.Sentence)
			}
		}
		// In haste vehicles follow close on a line, without a link; no more.
		for _, f := range report.OrderAlone {
			if f.Rule != sallyport.RuleLineOrder {
				rt.Fatalf("by order alone: %s: %s", f.Rule, f.Sentence)
			}
		}
		if len(report.Faults) == 0 && len(problems) > 0 {
			rt.Fatalf("nothing is wrong, but Lay says %q", problems)
		}
	})
}

// Whatever order delays make of the moves, as long as each waits for what it
// is linked to and for its own vehicles' last move, and vehicles follow one
// another on their line as they stand on it, nobody is ever blocked.
func TestLinksAloneAreSafe(t *testing.T) {
	structural := []sallyport.Rule{
		sallyport.RuleBlocked, sallyport.RuleOverfull, sallyport.RuleNotThere, sallyport.RuleLineFull, sallyport.RuleAside,
		sallyport.RuleFacing, sallyport.RuleCombination, sallyport.RuleMissing, sallyport.RuleFouled, sallyport.RuleLineOrder, sallyport.RuleLate,
	}
	rapid.Check(t, func(rt *rapid.T) {
		show, plan, problems := laid(rt)
		if len(problems) > 0 || len(sallyport.Check(show, plan).OrderAlone) > 0 {
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
	lastOnLine := map[sallyport.Pos]int{}
	for i, m := range moves {
		for _, w := range m.After {
			if w.Move != "" {
				waits[i] = append(waits[i], byID[w.Move])
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
			// Who stands in front on a line in order leaves before.
			if l := sallyport.NewIndex(show).Line(sallyport.LineID(m.From.ID)); l.Home == sallyport.HomeInOrder && m.Kind == sallyport.MoveReturn {
				if k, ok := lastOnLine[m.From]; ok && moves[k].Serial == m.Serial {
					waits[i] = append(waits[i], k)
				}
				lastOnLine[m.From] = i
			}
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
