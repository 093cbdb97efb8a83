package solve

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
	"sallyport"
)

// tiny is a yard with two lanes and one serial of two vehicles at 11:00.
func tiny() *sallyport.Show {
	return &sallyport.Show{
		Days: []sallyport.Day{{Name: "Friday", EngineFrom: sallyport.At(1, 7, 0), EngineTo: sallyport.At(1, 20, 0)}},
		Park: sallyport.Park{
			Zones:     []sallyport.Zone{{ID: "yard"}},
			Stretches: []sallyport.Stretch{{ID: "front", Depth: 1000}},
			Lanes:     []sallyport.Lane{{ID: "A", Zone: "yard", Length: 1500, Mouth: "front"}, {ID: "B", Zone: "yard", Length: 1500, Mouth: "front"}},
			Lines:     []sallyport.Line{{ID: "north"}},
			Spots:     []sallyport.Spot{{ID: "patch", Use: sallyport.SpotAside, Length: 900}},
			Paces:     []sallyport.Pace{{Takes: 120}},
		},
		Vehicles: []sallyport.Vehicle{
			{ID: "teal", Name: "Teal", Class: "light wheeled", Length: 400},
			{ID: "knot", Name: "Knot", Class: "light wheeled", Length: 400},
			{ID: "ruff", Name: "Ruff", Class: "light wheeled", Length: 400},
		},
		Serials: []sallyport.Serial{{
			ID: "s", FormFrom: sallyport.At(1, 10, 20), FormUp: sallyport.At(1, 10, 50), ArenaIn: sallyport.At(1, 11, 0), ArenaOut: sallyport.At(1, 11, 20), HomeBy: sallyport.At(1, 11, 55),
			Entries: []sallyport.Entry{{ID: "e1", Unit: "teal"}, {ID: "e2", Unit: "knot"}},
		}},
	}
}

// tinyMoves are those of tiny's serial with Teal and Knot in different lanes.
func tinyMoves() []sallyport.Move {
	arena, line := sallyport.Pos{Kind: sallyport.InArena}, sallyport.AtLine("north")
	return []sallyport.Move{
		{Kind: sallyport.MovePullOut, Unit: "teal", From: sallyport.AtLane("A", ""), To: line, Serial: "s", Entry: "e1"},
		{Kind: sallyport.MovePullOut, Unit: "knot", From: sallyport.AtLane("B", ""), To: line, Serial: "s", Entry: "e2"},
		{Kind: sallyport.MoveOut, Units: []sallyport.UnitID{"teal", "knot"}, From: line, To: arena, Serial: "s"},
		{Kind: sallyport.MoveHome, Units: []sallyport.UnitID{"teal", "knot"}, From: arena, To: line, Serial: "s"},
		{Kind: sallyport.MoveReturn, Unit: "teal", From: line, To: sallyport.AtLane("A", ""), Reverse: true, Serial: "s", Entry: "e1"},
		{Kind: sallyport.MoveReturn, Unit: "knot", From: line, To: sallyport.AtLane("B", ""), Reverse: true, Serial: "s", Entry: "e2"},
	}
}

// layTiny lays moves from Teal in A, Knot in B, and Ruff before Knot when it
// is asked for.
func layTiny(t *testing.T, show *sallyport.Show, ruff bool, moves []sallyport.Move) ([]sallyport.Move, []string, []sallyport.Fault) {
	t.Helper()
	show = sallyport.Complete(show)
	b := []sallyport.UnitID{"knot"}
	if ruff {
		b = []sallyport.UnitID{"ruff", "knot"}
	} else {
		show.Vehicles = show.Vehicles[:2]
	}
	plan := &sallyport.Plan{Start: []sallyport.LaneLayout{{Lane: "A", Units: []sallyport.UnitID{"teal"}}, {Lane: "B", Units: b}}}
	start, _ := sallyport.StartState(show, plan)
	var problems []string
	plan.Moves, problems = Lay(show, start, moves)
	return plan.Moves, problems, sallyport.Check(show, plan).Faults
}

func find(t *testing.T, moves []sallyport.Move, kind sallyport.MoveKind, unit sallyport.UnitID) sallyport.Move {
	t.Helper()
	i := slices.IndexFunc(moves, func(m sallyport.Move) bool { return m.Kind == kind && m.Unit == unit })
	if i < 0 {
		t.Fatalf("no %s of %q", kind, unit)
	}
	return moves[i]
}

// withAside puts Ruff out of Knot's way and back.
func withAside() []sallyport.Move {
	moves := tinyMoves()
	aside := sallyport.Move{Kind: sallyport.MoveAside, Unit: "ruff", From: sallyport.AtLane("B", ""), To: sallyport.AtSpot(""), Serial: "s"}
	back := sallyport.Move{Kind: sallyport.MoveBack, Unit: "ruff", From: sallyport.AtSpot(""), To: sallyport.AtLane("B", ""), Reverse: true, Serial: "s"}
	return slices.Concat(moves[:1], []sallyport.Move{aside}, moves[1:2], []sallyport.Move{back}, moves[2:])
}

func TestColumnsLeaveAndComeWhenTheSerialSays(t *testing.T) {
	moves, problems, faults := layTiny(t, tiny(), false, tinyMoves())
	if len(problems)+len(faults) > 0 {
		t.Fatalf("%v %v", problems, faults)
	}
	out, home := find(t, moves, sallyport.MoveOut, ""), find(t, moves, sallyport.MoveHome, "")
	if out.Start != sallyport.At(1, 10, 55) || out.Takes != 300 || home.Start != sallyport.At(1, 11, 20) || home.Ends() != sallyport.At(1, 11, 25) {
		t.Errorf("out %s, home %s to %s", out.Start, home.Start, home.Ends())
	}
	for _, u := range []sallyport.UnitID{"teal", "knot"} {
		if m := find(t, moves, sallyport.MovePullOut, u); m.Start != sallyport.At(1, 10, 20) || m.Takes != 120 || m.Marshals != 1 {
			t.Errorf("pull-out %+v", m)
		}
	}
	// Both reverse into one frontage: one after the other, the second linked.
	first, second := find(t, moves, sallyport.MoveReturn, "teal"), find(t, moves, sallyport.MoveReturn, "knot")
	if first.Start != sallyport.At(1, 11, 25) || second.Start != first.Ends() || !slices.Contains(second.After, sallyport.Wait{Move: first.ID}) {
		t.Errorf("returns at %s and %s after %v", first.Start, second.Start, second.After)
	}
}

func TestOneTeamMovesOneVehicle(t *testing.T) {
	show := tiny()
	show.Park.Teams = 1
	moves, problems, faults := layTiny(t, show, false, tinyMoves())
	if len(problems)+len(faults) > 0 {
		t.Fatalf("%v %v", problems, faults)
	}
	if m := find(t, moves, sallyport.MovePullOut, "knot"); m.Start != sallyport.At(1, 10, 22) {
		t.Errorf("the second pull-out starts at %s", m.Start)
	}
}

func TestTooLittleTimeIsSaid(t *testing.T) {
	show := tiny()
	show.Park.Teams = 1
	show.Serials[0].FormFrom, show.Serials[0].FormUp = sallyport.At(1, 10, 50), sallyport.At(1, 10, 53)
	// The engines may not run early enough to be hurried.
	show.Days[0].EngineFrom = sallyport.At(1, 10, 45)
	_, problems, faults := layTiny(t, show, false, tinyMoves())
	if len(faults) == 0 || len(problems) != 1 {
		t.Fatalf("problems %q, faults %v", problems, faults)
	}
	for _, want := range []string{"pull out of", "missing", "Knot", "1 marshal teams are on duty", "about 2 would be needed"} {
		if !strings.Contains(problems[0], want) {
			t.Errorf("%q does not say %q", problems[0], want)
		}
	}
}

func TestAsideFindsAPlaceAndTheWayBack(t *testing.T) {
	moves, problems, faults := layTiny(t, tiny(), true, withAside())
	if len(problems)+len(faults) > 0 {
		t.Fatalf("%v %v", problems, faults)
	}
	aside, pull, back := find(t, moves, sallyport.MoveAside, "ruff"), find(t, moves, sallyport.MovePullOut, "knot"), find(t, moves, sallyport.MoveBack, "ruff")
	if aside.To.ID != "patch" || back.From.ID != "patch" {
		t.Errorf("aside to %q, back from %q", aside.To.ID, back.From.ID)
	}
	if pull.Start < aside.Ends() || back.Start < pull.Ends() {
		t.Errorf("aside until %s, pull-out from %s to %s, back from %s", aside.Ends(), pull.Start, pull.Ends(), back.Start)
	}
	if !slices.Contains(pull.After, sallyport.Wait{Move: aside.ID}) || !slices.Contains(back.After, sallyport.Wait{Move: pull.ID}) {
		t.Errorf("links %v and %v", pull.After, back.After)
	}
}

func TestNoPlaceToWaitAsideIsSaid(t *testing.T) {
	show := tiny()
	show.Park.Spots[0].Length = 300
	_, problems, faults := layTiny(t, show, true, withAside())
	if len(problems) != 1 || !strings.Contains(problems[0], "a place to wait aside") || !strings.Contains(problems[0], "Ruff") {
		t.Errorf("problems %q", problems)
	}
	if len(faults) != 1 || faults[0].Rule != sallyport.RuleAside {
		t.Errorf("faults %v", faults)
	}
}

func TestEnginesWaitForDeclaredClear(t *testing.T) {
	show := tiny()
	show.Days[0].PublicFrom, show.Days[0].PublicTo = sallyport.At(1, 9, 0), sallyport.At(1, 17, 0)
	show.Park.Zones[0].Public = true
	show.Closings = []sallyport.Closing{{Zone: "yard", Closed: sallyport.At(1, 10, 10), ToClear: sallyport.Minutes(10), Reopened: sallyport.At(1, 12, 0)}}
	moves, problems, faults := layTiny(t, show, false, tinyMoves())
	if len(problems)+len(faults) > 0 {
		t.Fatalf("%v %v", problems, faults)
	}
	m := find(t, moves, sallyport.MovePullOut, "teal")
	// Clear at 10:20, then five minutes of warming up in the lane.
	if m.Start != sallyport.At(1, 10, 25) || !slices.Contains(m.After, sallyport.Wait{Clear: "yard"}) {
		t.Errorf("pull-out at %s after %v", m.Start, m.After)
	}
	// Two returns of two minutes and two of cooling do not fit before reopening.
	show.Closings[0].Reopened = sallyport.At(1, 11, 30)
	if _, problems, _ := layTiny(t, show, false, tinyMoves()); len(problems) != 1 || !strings.Contains(problems[0], "the public in zone yard") {
		t.Errorf("problems %q", problems)
	}
}

func TestHeldBackAndEarlyKeepTheirMoments(t *testing.T) {
	moves := tinyMoves()
	moves[0].Nominal = sallyport.At(1, 9, 40)
	moves[4].Nominal = sallyport.At(1, 12, 15)
	laid, problems, faults := layTiny(t, tiny(), false, moves)
	if len(problems)+len(faults) > 0 {
		t.Fatalf("%v %v", problems, faults)
	}
	if m := find(t, laid, sallyport.MovePullOut, "teal"); m.Start != sallyport.At(1, 9, 40) {
		t.Errorf("early pull-out at %s", m.Start)
	}
	if m := find(t, laid, sallyport.MoveReturn, "teal"); m.Start != sallyport.At(1, 12, 15) {
		t.Errorf("held back until %s", m.Start)
	}
}

func TestNobodyIdlesTooLongOnTheLine(t *testing.T) {
	show := tiny()
	idle, rest := sallyport.Minutes(20), sallyport.Minutes(40)
	show.Vehicles[0].LongestIdle, show.Vehicles[0].HotRest = &idle, &rest
	moves, problems, faults := layTiny(t, show, false, tinyMoves())
	if len(problems)+len(faults) > 0 {
		t.Fatalf("%v %v", problems, faults)
	}
	if m := find(t, moves, sallyport.MovePullOut, "teal"); m.Ends() != sallyport.At(1, 10, 35) {
		t.Errorf("on the line at %s, twenty minutes before 10:55 is 10:35", m.Ends())
	}
}

func TestDriversAreNamedAndNotTakenTwice(t *testing.T) {
	show := tiny()
	show.Serials[0].Entries[0].Driver = "ann"
	show.Vehicles[0].UsualDriver, show.Vehicles[1].UsualDriver = "bob", "ann"
	show.Vehicles[1].Drivers = []sallyport.PersonID{"cid"}
	show.Vehicles[2].UsualDriver, show.Vehicles[2].Drivers = "ann", []sallyport.PersonID{"dot"}
	moves, problems, faults := layTiny(t, show, true, withAside())
	if len(problems)+len(faults) > 0 {
		t.Fatalf("%v %v", problems, faults)
	}
	for _, c := range []struct {
		kind sallyport.MoveKind
		unit sallyport.UnitID
		want sallyport.PersonID
	}{
		{sallyport.MovePullOut, "teal", "ann"}, {sallyport.MoveReturn, "teal", "ann"}, // the entry's
		{sallyport.MovePullOut, "knot", ""}, // the usual one is on Teal
		{sallyport.MoveAside, "ruff", "dot"}, {sallyport.MoveBack, "ruff", "dot"},
	} {
		if m := find(t, moves, c.kind, c.unit); m.Driver != c.want {
			t.Errorf("%s of %s: driver %q, want %q", c.kind, c.unit, m.Driver, c.want)
		}
	}
}

func TestAStandbyVehicleGivesTheSlaveLead(t *testing.T) {
	show := tiny()
	show.Vehicles[1].Start = sallyport.StartSlave
	show.Vehicles[0].Standby = true
	moves := tinyMoves()
	laid, _, _ := layTiny(t, show, false, slices.Concat(moves[1:2], moves[:1]))
	if m := find(t, laid, sallyport.MovePullOut, "knot"); m.Helper != "teal" {
		t.Errorf("helper %q", m.Helper)
	}
}

// TestOneTowingVehicleTowsOneAtATime holds that the second of two tows by one
// vehicle begins when the first is over, and waits for it.
func TestOneTowingVehicleTowsOneAtATime(t *testing.T) {
	show := tiny()
	away := sallyport.Pos{Kind: sallyport.InAway}
	moves, _, _ := layTiny(t, show, true, []sallyport.Move{
		{Kind: sallyport.MoveTow, Unit: "ruff", From: sallyport.AtLane("B", ""), To: away, Helper: "knot", Takes: 300, Start: sallyport.At(1, 9, 0)},
		{Kind: sallyport.MoveTow, Unit: "teal", From: sallyport.AtLane("A", ""), To: away, Helper: "knot", Takes: 300, Start: sallyport.At(1, 9, 0)},
	})
	first, second := find(t, moves, sallyport.MoveTow, "ruff"), find(t, moves, sallyport.MoveTow, "teal")
	if second.Start < first.Ends() || !slices.Contains(second.After, sallyport.Wait{Move: first.ID}) {
		t.Errorf("Knot tows Ruff until %s and Teal from %s, after %v", first.Ends(), second.Start, second.After)
	}
}

func TestAMouthBehindAColumnWaitsForIt(t *testing.T) {
	show := tiny()
	show.Park.Lines[0].Fouls = []sallyport.Foul{{From: 450, To: 900, Lanes: []sallyport.LaneID{"A"}}}
	show.Duties = []sallyport.Duty{{ID: "d", Unit: "ruff", What: "rides", From: sallyport.At(1, 9, 0), To: sallyport.At(1, 10, 40)}}
	moves := tinyMoves()
	away := sallyport.Move{Kind: sallyport.MoveDuty, Unit: "ruff", From: sallyport.AtLane("B", ""), To: sallyport.Pos{Kind: sallyport.InDuty}, Duty: "d"}
	home := sallyport.Move{Kind: sallyport.MoveRelieve, Unit: "ruff", From: sallyport.Pos{Kind: sallyport.InDuty}, To: sallyport.AtLane("A", ""), Reverse: true, Duty: "d"}
	back := moves[4]
	back.To = sallyport.AtLane("B", "")
	laid, problems, faults := layTiny(t, show, true, slices.Concat([]sallyport.Move{away}, moves[:2], []sallyport.Move{home}, moves[2:4], []sallyport.Move{back}, moves[5:]))
	if len(problems)+len(faults) > 0 {
		t.Fatalf("%v %v", problems, faults)
	}
	column, m := find(t, laid, sallyport.MoveOut, ""), find(t, laid, sallyport.MoveRelieve, "ruff")
	if m.Start <= column.Start || !slices.Contains(m.After, sallyport.Wait{Begun: column.ID}) && m.Start < column.Ends() {
		t.Errorf("Ruff comes home at %s after %v; the column leaves at %s", m.Start, m.After, column.Start)
	}
}

func TestProfileFindsTheFirstGap(t *testing.T) {
	var p profile
	p.add(10, 20, 1)
	p.add(15, 30, 1)
	p.add(40, 50, 2)
	for _, c := range []struct {
		from  sallyport.Instant
		takes sallyport.Seconds
		most  int64
		want  sallyport.Instant
	}{{0, 10, 1, 0}, {0, 11, 1, 50}, {0, 10, 2, 0}, {0, 15, 2, 0}, {0, 16, 2, 20}, {12, 3, 2, 12}, {12, 4, 2, 20}, {25, 15, 1, 50}, {25, 10, 1, 30}, {60, 5, 1, 60}, {0, 5, 0, never}} {
		if got := p.earliest(c.from, c.takes, 1, c.most); got != c.want {
			t.Errorf("from %d for %d with %d at most: %d, want %d", c.from, c.takes, c.most, got, c.want)
		}
	}
	p.add(60, never, 3)
	if got := p.earliestForGood(0, 1, 4); got != 0 {
		t.Errorf("for good with 4: %d", got)
	}
	if got := p.earliestForGood(0, 2, 4); got != never {
		t.Errorf("for good with 2 more of 4: %d", got)
	}
	p.add(70, never, -3)
	if got := p.earliestForGood(0, 2, 4); got != 70 {
		t.Errorf("for good after some have gone: %d", got)
	}
}

func TestACombinationIsPartedAndCoupledAgain(t *testing.T) {
	show := tiny()
	show.Vehicles = append(show.Vehicles[:2], sallyport.Vehicle{ID: "smew", Name: "Smew gun", Class: "towed", Length: 300})
	show.Combinations = []sallyport.Combination{{ID: "team", Name: "Knot and gun", Tower: "knot", Towed: []sallyport.UnitID{"smew"}, Reverse: sallyport.ReverseYes}}
	show.Park.Spots = append(show.Park.Spots, sallyport.Spot{ID: "pit", Use: sallyport.SpotCoupling, Length: 900})
	show = sallyport.Complete(show)
	pit, laneB := sallyport.AtSpot("pit"), sallyport.AtLane("B", "")
	m := tinyMoves()
	m[1].From, m[5].To, m[5].Reverse = pit, pit, false
	moves := slices.Concat([]sallyport.Move{
		{Kind: sallyport.MoveShift, Unit: "team", From: laneB, To: pit, Serial: "s"},
		{Kind: sallyport.MovePart, Unit: "team", From: pit, To: pit, Serial: "s"},
	}, []sallyport.Move{m[1], m[0], m[2], m[3], m[4], m[5]}, []sallyport.Move{
		{Kind: sallyport.MoveCouple, Unit: "team", From: pit, To: pit, Serial: "s"},
		{Kind: sallyport.MoveShift, Unit: "team", From: pit, To: laneB, Reverse: true, Serial: "s"},
	})
	plan := &sallyport.Plan{Start: []sallyport.LaneLayout{{Lane: "A", Units: []sallyport.UnitID{"teal"}}, {Lane: "B", Units: []sallyport.UnitID{"team"}}}}
	start, _ := sallyport.StartState(show, plan)
	var problems []string
	plan.Moves, problems = Lay(show, start, moves)
	report := sallyport.Check(show, plan)
	if len(problems)+len(report.Faults)+len(report.OrderAlone) > 0 {
		t.Errorf("%v %v %v", problems, report.Faults, report.OrderAlone)
	}
	part, pull := find(t, plan.Moves, sallyport.MovePart, "team"), find(t, plan.Moves, sallyport.MovePullOut, "knot")
	if pull.Start < part.Ends() {
		t.Errorf("Knot pulls out at %s, but is parted until %s", pull.Start, part.Ends())
	}
}

func TestJoinedEntriesGoAcross(t *testing.T) {
	show := tiny()
	show.Park.Lines = append(show.Park.Lines, sallyport.Line{ID: "south"})
	show.Serials[0].Entries[0].Join = sallyport.JoinLine
	show.Serials = append(show.Serials, sallyport.Serial{
		ID: "s2", Line: "south", FormFrom: sallyport.At(1, 11, 20), FormUp: sallyport.At(1, 11, 40), ArenaIn: sallyport.At(1, 11, 50), ArenaOut: sallyport.At(1, 12, 0), HomeBy: sallyport.At(1, 12, 30),
		Entries: []sallyport.Entry{{ID: "e3", Unit: "teal"}},
	})
	m := tinyMoves()
	arena, south := sallyport.Pos{Kind: sallyport.InArena}, sallyport.AtLine("south")
	last := m[4]
	last.Serial, last.Entry, last.From = "s2", "e3", south
	moves := slices.Concat(m[:4], []sallyport.Move{
		{Kind: sallyport.MoveAcross, Unit: "teal", From: sallyport.AtLine("north"), To: south, Serial: "s2", Entry: "e3"},
		m[5],
		{Kind: sallyport.MoveOut, Units: []sallyport.UnitID{"teal"}, From: south, To: arena, Serial: "s2"},
		{Kind: sallyport.MoveHome, Units: []sallyport.UnitID{"teal"}, From: arena, To: south, Serial: "s2"},
		last,
	})
	laid, problems, faults := layTiny(t, show, false, moves)
	if len(problems)+len(faults) > 0 {
		t.Fatalf("%v %v", problems, faults)
	}
	if m := find(t, laid, sallyport.MoveAcross, "teal"); m.Start != sallyport.At(1, 11, 25) {
		t.Errorf("across at %s", m.Start)
	}
}

// Moves that make no sense are the judge's business; Lay only has to end.
func TestLayEndsOnAnyMoves(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		show := sallyport.Complete(looseShow(rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "show"), 1))))
		pos := rapid.Custom(func(rt *rapid.T) sallyport.Pos {
			return sallyport.Pos{
				Kind: rapid.SampledFrom([]sallyport.PosKind{sallyport.InLane, sallyport.InLine, sallyport.InSpot, sallyport.InArena, sallyport.InAway, sallyport.InDuty, "moon"}).Draw(rt, "kind"),
				ID:   rapid.SampledFrom([]string{"L0", "L1", "L2", "north", "south", "corner", "", "x"}).Draw(rt, "id"),
				End:  rapid.SampledFrom([]sallyport.End{"", sallyport.Mouth, sallyport.Tail}).Draw(rt, "end"),
			}
		})
		unit := rapid.SampledFrom([]sallyport.UnitID{"v0", "v1", "v2", "v3", "", "nobody"})
		move := rapid.Custom(func(rt *rapid.T) sallyport.Move {
			return sallyport.Move{
				Kind: rapid.SampledFrom([]sallyport.MoveKind{
					sallyport.MoveArrive, sallyport.MovePullOut, sallyport.MoveOut, sallyport.MoveHome, sallyport.MoveReturn, sallyport.MoveAcross, sallyport.MoveAside, sallyport.MoveBack,
					sallyport.MoveCloseUp, sallyport.MoveReset, sallyport.MoveDuty, sallyport.MoveRelieve, sallyport.MoveDepart, sallyport.MoveCouple, sallyport.MovePart, sallyport.MoveTow, sallyport.MoveShift, "fly",
				}).Draw(rt, "kind"),
				Unit: unit.Draw(rt, "unit"), Units: rapid.SliceOfN(unit, 0, 3).Draw(rt, "units"), From: pos.Draw(rt, "from"), To: pos.Draw(rt, "to"),
				Serial: rapid.SampledFrom([]sallyport.SerialID{"", "s10", "s20", "x"}).Draw(rt, "serial"), Duty: rapid.SampledFrom([]sallyport.DutyID{"", "fuel-v0", "x"}).Draw(rt, "duty"),
				Window: rapid.SampledFrom([]sallyport.WindowID{"", "evening", "x"}).Draw(rt, "window"), Reverse: rapid.Bool().Draw(rt, "reverse"), ByHand: rapid.Bool().Draw(rt, "hand"),
				Start: sallyport.Instant(rapid.Int64Range(-5, 300_000).Draw(rt, "start")), Nominal: sallyport.Instant(rapid.Int64Range(0, 300_000).Draw(rt, "nominal")),
				ID: rapid.SampledFrom([]sallyport.MoveID{"", "", "m1"}).Draw(rt, "id"),
			}
		})
		moves := rapid.SliceOfN(move, 0, 25).Draw(rt, "moves")
		start := sallyport.State{
			Lanes: map[sallyport.LaneID][]sallyport.Standing{"L0": {{Unit: "v0"}, {Unit: "nobody"}}, "x": {{Unit: "v1"}}},
			Lines: map[sallyport.LineID][]sallyport.UnitID{"north": {"v2"}}, Spots: map[sallyport.SpotID][]sallyport.UnitID{"corner": {"v3"}},
		}
		laid, _ := Lay(show, start, moves)
		if len(laid) != len(moves) || !slices.IsSortedFunc(laid, func(a, b sallyport.Move) int { return int(a.Start - b.Start) }) {
			rt.Fatalf("%d moves laid of %d, or not in order of time", len(laid), len(moves))
		}
	})
}

func TestWhoStandsInTheWayOfADutyGoesEarlier(t *testing.T) {
	show := tiny()
	show.Serials[0].Entries[1].Unit = "ruff"
	show.Duties = []sallyport.Duty{{ID: "d", Unit: "knot", What: "rides", From: sallyport.At(1, 10, 22), To: sallyport.At(1, 14, 0)}}
	moves := tinyMoves()
	for i := range moves {
		if moves[i].Unit == "knot" {
			moves[i].Unit = "ruff"
		}
		if len(moves[i].Units) > 0 {
			moves[i].Units = []sallyport.UnitID{"teal", "ruff"}
		}
	}
	out := sallyport.Move{Kind: sallyport.MoveDuty, Unit: "knot", From: sallyport.AtLane("B", ""), To: sallyport.Pos{Kind: sallyport.InDuty}, Duty: "d"}
	home := sallyport.Move{Kind: sallyport.MoveRelieve, Unit: "knot", From: sallyport.Pos{Kind: sallyport.InDuty}, To: sallyport.AtLane("B", ""), Reverse: true, Duty: "d"}
	laid, problems, faults := layTiny(t, show, true, slices.Concat(moves[:2], []sallyport.Move{out}, moves[2:], []sallyport.Move{home}))
	if len(problems)+len(faults) > 0 {
		t.Fatalf("%v %v", problems, faults)
	}
	// Two minutes missing: Ruff goes two minutes before the serial's time.
	if m := find(t, laid, sallyport.MovePullOut, "ruff"); m.Start != sallyport.At(1, 10, 18) {
		t.Errorf("Ruff pulls out at %s", m.Start)
	}
	if m := find(t, laid, sallyport.MovePullOut, "teal"); m.Start != sallyport.At(1, 10, 20) {
		t.Errorf("Teal pulls out at %s", m.Start)
	}
}
