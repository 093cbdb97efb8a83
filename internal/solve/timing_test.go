package solve

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
	"sallyport"
)

func TestLaidPlansKeepTheClock(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
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
		report := sallyport.Check(show, plan)
		if len(report.Faults) > 0 && len(problems) == 0 {
			for _, f := range report.Faults {
				rt.Logf("%s: %s", f.Rule, f.Sentence)
			}
			rt.Fatalf("the laid plan has %d faults, and Lay says nothing of it", len(report.Faults))
		}
		for _, f := range report.Faults {
			if !slices.Contains(clockRules, f.Rule) {
				rt.Fatalf("%s: %s", f.Rule, f.Sentence)
			}
		}
		for _, f := range report.OrderAlone {
			rt.Fatalf("by order alone: %s: %s", f.Rule, f.Sentence)
		}
		again, _ := Lay(show, start, untimed)
		if !reflect.DeepEqual(again, plan.Moves) {
			rt.Fatalf("two times laid, two results")
		}
	})
}

// clockRules are the rules that may be broken when time or teams are short.
var clockRules = []sallyport.Rule{
	sallyport.RuleLate, sallyport.RuleHomeLate, sallyport.RuleNotClear, sallyport.RuleReopened, sallyport.RuleWindow, sallyport.RuleEngineHours,
	sallyport.RuleNoDriver, sallyport.RulePerson, sallyport.RuleIdle,
}
