package sallyport_test

import (
	"testing"

	"sallyport"
)

// tiny returns a complete show with one dead-end lane for two cars, a spare
// lane, a line and one serial with the deeper car in it.
func tiny() *sallyport.Show {
	zero := sallyport.Seconds(0)
	sure := sallyport.Chance(9000)
	car := func(id sallyport.UnitID) sallyport.Vehicle {
		return sallyport.Vehicle{
			ID: id, Name: string(id), Length: 500, Gear: sallyport.Wheeled, Reverse: sallyport.ReverseYes, Start: sallyport.StartSelf,
			WarmUp: &zero, WarmWhere: sallyport.WarmInLane, LongestIdle: &zero, HotRest: &zero, CoolDown: &zero, StartChance: &sure, FailChance: &zero2,
		}
	}
	return &sallyport.Show{
		Days: []sallyport.Day{{Name: "Day 1"}},
		Park: sallyport.Park{
			Lanes: []sallyport.Lane{
				{ID: "A", Kind: sallyport.DeadEnd, Length: 1050, Gap: 50, In: sallyport.InReversed},
				{ID: "B", Kind: sallyport.DeadEnd, Length: 500, Gap: 50, In: sallyport.InReversed},
			},
			Lines: []sallyport.Line{{ID: "N", Out: sallyport.OutFree, Home: sallyport.HomeAnyOrder}},
			Spots: []sallyport.Spot{{ID: "S", Use: sallyport.SpotAside}},
			Paces: []sallyport.Pace{{Takes: 60}},
		},
		Vehicles: []sallyport.Vehicle{car("avocet"), car("bittern")},
		Serials: []sallyport.Serial{{
			ID: "1", Line: "N", HomeLine: "N", FormFrom: sallyport.At(1, 10, 0), FormUp: sallyport.At(1, 10, 20), ArenaIn: sallyport.At(1, 10, 30),
			ArenaOut: sallyport.At(1, 10, 45), HomeBy: sallyport.At(1, 11, 0), Travel: 300, Entries: []sallyport.Entry{{ID: "1a", Unit: "avocet"}},
		}},
		Weights: sallyport.DefaultWeights(),
	}
}

var zero2 sallyport.Chance

// moveAside returns a plan in which Bittern is moved out of Avocet's way.
func moveAside() *sallyport.Plan {
	at := func(h, m int) sallyport.Instant { return sallyport.At(1, h, m) }
	return &sallyport.Plan{
		Start: []sallyport.LaneLayout{{Lane: "A", Units: []sallyport.UnitID{"bittern", "avocet"}}},
		Moves: []sallyport.Move{
			{ID: "m1", Kind: sallyport.MoveAside, Unit: "bittern", From: sallyport.AtLane("A", ""), To: sallyport.AtSpot("S"), Serial: "1", Start: at(10, 0), Takes: 60},
			{ID: "m2", Kind: sallyport.MovePullOut, Unit: "avocet", From: sallyport.AtLane("A", ""), To: sallyport.AtLine("N"), Serial: "1", Entry: "1a", Start: at(10, 1), Takes: 60, After: []sallyport.Wait{{Move: "m1"}}},
			{ID: "m3", Kind: sallyport.MoveBack, Unit: "bittern", From: sallyport.AtSpot("S"), To: sallyport.AtLane("A", ""), Reverse: true, Serial: "1", Start: at(10, 2), Takes: 60, After: []sallyport.Wait{{Move: "m2"}}},
			{ID: "m4", Kind: sallyport.MoveOut, Units: []sallyport.UnitID{"avocet"}, From: sallyport.AtLine("N"), To: sallyport.Pos{Kind: sallyport.InArena}, Serial: "1", Start: at(10, 25), Takes: 300},
			{ID: "m5", Kind: sallyport.MoveHome, Units: []sallyport.UnitID{"avocet"}, From: sallyport.Pos{Kind: sallyport.InArena}, To: sallyport.AtLine("N"), Serial: "1", Start: at(10, 45), Takes: 300},
			{ID: "m6", Kind: sallyport.MoveReturn, Unit: "avocet", From: sallyport.AtLine("N"), To: sallyport.AtLane("B", ""), Reverse: true, Serial: "1", Start: at(10, 50), Takes: 60},
		},
	}
}

func TestCheckWorkablePlan(t *testing.T) {
	report := sallyport.Check(tiny(), moveAside())
	for _, f := range append(report.Faults, report.OrderAlone...) {
		t.Errorf("%s: %s", f.Rule, f.Sentence)
	}
	want := map[string]sallyport.Amount{
		sallyport.TermAside:  60*2 + 60*2,          // aside and back, two people each
		sallyport.TermChange: 120,                  // Avocet comes home to another lane
		sallyport.TermRisk:   6000 * 1000 / 10_000, // Bittern may not start when it is to make way
	}
	for _, term := range report.Cost.Terms {
		if term.Amount != want[term.Name] {
			t.Errorf("%s costs %d, want %d", term.Name, term.Amount, want[term.Name])
		}
	}
}

func TestCheckFindsWhoStandsInTheWay(t *testing.T) {
	plan := moveAside()
	plan.Moves = append([]sallyport.Move{}, plan.Moves[1:]...)
	plan.Moves = append(plan.Moves[:1], plan.Moves[2:]...)
	plan.Moves[0].After = nil
	report := sallyport.Check(tiny(), plan)
	if len(report.Faults) != 1 || report.Faults[0].Rule != sallyport.RuleBlocked {
		t.Fatalf("faults %+v, want one: blocked", report.Faults)
	}
	if got := report.Faults[0].Units; len(got) != 2 || got[0] != "avocet" || got[1] != "bittern" {
		t.Errorf("units %v, want avocet, bittern", got)
	}
}

func TestOrderAloneFindsAMissingLink(t *testing.T) {
	plan := moveAside()
	plan.Moves[1].After = nil // nothing now says that Avocet waits for Bittern
	report := sallyport.Check(tiny(), plan)
	if len(report.Faults) != 0 {
		t.Fatalf("faults %+v, want none", report.Faults)
	}
	if len(report.OrderAlone) != 1 || report.OrderAlone[0].Rule != sallyport.RuleBlocked {
		t.Fatalf("by order alone %+v, want one: blocked", report.OrderAlone)
	}
}

func TestCheckComparesTimesWithWaits(t *testing.T) {
	for _, c := range []struct {
		name string
		wait sallyport.Wait
		rule sallyport.Rule // empty: no fault
	}{
		{"over by then", sallyport.Wait{Move: "m1"}, ""},
		{"begun by then", sallyport.Wait{Begun: "m2"}, ""},
		{"not over by then", sallyport.Wait{Move: "m2"}, sallyport.RuleTimes},
		{"no such move", sallyport.Wait{Move: "m9"}, sallyport.RuleUnknown},
		{"a later move", sallyport.Wait{Begun: "m4"}, sallyport.RuleUnknown},
	} {
		plan := moveAside()
		plan.Moves[1].Takes = 60
		plan.Moves[2].After = append(plan.Moves[2].After, c.wait)
		if c.name == "not over by then" {
			plan.Moves[1].Takes = 90
		}
		var got sallyport.Rule
		for _, f := range sallyport.Check(tiny(), plan).Faults {
			if f.Rule == sallyport.RuleTimes || f.Rule == sallyport.RuleUnknown {
				got = f.Rule
			}
		}
		if got != c.rule {
			t.Errorf("%s: fault %q, want %q", c.name, got, c.rule)
		}
	}
}

// A move that takes a unit out of a lane and back into it does not stand in
// its own way.
func TestOutAndInByTheSameEnd(t *testing.T) {
	show := tiny()
	show.Park.Lanes[0].Kind, show.Park.Lanes[0].In = sallyport.Open, sallyport.InEither
	show.Resets = []sallyport.ResetWindow{{ID: "evening", From: sallyport.At(1, 19, 0), To: sallyport.At(1, 20, 0), Awkward: 100}}
	plan := moveAside()
	plan.Moves = append(plan.Moves, sallyport.Move{
		ID: "m7", Kind: sallyport.MoveReset, Unit: "bittern", From: sallyport.AtLane("A", sallyport.Tail), To: sallyport.AtLane("A", sallyport.Tail),
		Window: "evening", Start: sallyport.At(1, 19, 0), Takes: 60,
	})
	for _, f := range sallyport.Check(show, plan).Faults {
		t.Errorf("%s: %s", f.Rule, f.Sentence)
	}
}
