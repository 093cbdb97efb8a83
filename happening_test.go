package sallyport_test

import (
	"reflect"
	"strings"
	"testing"

	sp "sallyport"
)

// onTheDay is a show and a state at 10:00 on its first day: Avocet before
// Bittern in lane A, Curlew on the line for S1, Dunlin in the arena with S0.
func onTheDay() (*sp.Show, sp.State) {
	show := sp.Complete(&sp.Show{
		Name: "On the day", Days: []sp.Day{{Name: "Friday", Teams: 2}, {Name: "Saturday", Teams: 1}},
		Park: sp.Park{
			Lanes: []sp.Lane{{ID: "A", Length: 2000}, {ID: "B", Length: 2000}, {ID: "T", Length: 2000, Kind: sp.Through}},
			Lines: []sp.Line{{ID: "north"}},
		},
		Vehicles: []sp.Vehicle{
			{ID: "avocet", Name: "Avocet", Length: 400},
			{ID: "bittern", Name: "Bittern", Length: 500},
			{ID: "curlew", Name: "Curlew", Length: 600},
			{ID: "dunlin", Name: "Dunlin", Length: 600},
			{ID: "egret", Name: "Egret", Length: 600, OffRoad: sp.Window{From: sp.At(2, 8, 0), To: sp.At(2, 12, 0)}},
		},
		Serials: []sp.Serial{
			{ID: "S0", ArenaIn: sp.At(1, 9, 50), ArenaOut: sp.At(1, 10, 10), Entries: []sp.Entry{{ID: "e0", Unit: "dunlin"}}},
			{ID: "S1", ArenaIn: sp.At(1, 10, 20), ArenaOut: sp.At(1, 10, 50), Entries: []sp.Entry{{ID: "e1", Unit: "curlew"}, {ID: "e2", Unit: "avocet", Reserves: []sp.UnitID{"bittern"}}}},
			{ID: "S2", ArenaIn: sp.At(1, 11, 0), ArenaOut: sp.At(1, 11, 20), Entries: []sp.Entry{{ID: "e3", Unit: "bittern"}}},
			{ID: "S3", ArenaIn: sp.At(2, 14, 0), ArenaOut: sp.At(2, 14, 20), Entries: []sp.Entry{{ID: "e4", Unit: "dunlin"}}},
		},
	})
	return show, sp.State{
		At:    sp.At(1, 10, 0),
		Lanes: map[sp.LaneID][]sp.Standing{"A": {{Unit: "avocet", From: 1050}, {Unit: "bittern", From: 1500}}, "B": {{Unit: "egret", From: 1400}}},
		Lines: map[sp.LineID][]sp.UnitID{"north": {"curlew"}}, Arena: []sp.UnitID{"dunlin"},
		Busy: map[sp.UnitID]sp.UnderWay{"curlew": {Until: sp.At(1, 10, 1), From: sp.AtLane("B", "")}},
	}
}

// TestHappeningsThatCannotBe names what is wrong with each, and nothing is
// changed by them.
func TestHappeningsThatCannotBe(t *testing.T) {
	for _, c := range []struct {
		h    sp.Happening
		says string
	}{
		{sp.Happening{Kind: "rain"}, "nothing of the kind"},
		{sp.Happening{Kind: sp.HappenLate, Unit: "ibis", Until: sp.At(1, 11, 0)}, `no vehicle "ibis"`},
		{sp.Happening{Kind: sp.HappenLate, Unit: "avocet", Until: sp.At(1, 9, 0)}, "not after"},
		{sp.Happening{Kind: sp.HappenFailed}, "no vehicle is named"},
		{sp.Happening{Kind: sp.HappenCancelled}, "no serial is named"},
		{sp.Happening{Kind: sp.HappenLate, Unit: "avocet"}, "not said when Avocet can start"},
		{sp.Happening{Kind: sp.HappenLate, Unit: "curlew", Until: sp.At(1, 11, 0)}, "not in a lane"},
		{sp.Happening{Kind: sp.HappenFailed, Unit: "curlew"}, "not in a lane"},
		{sp.Happening{Kind: sp.HappenFailed, Unit: "avocet", Where: "somewhere"}, "nothing fails"},
		{sp.Happening{Kind: sp.HappenFailed, Unit: "avocet", Where: sp.FailOnLine}, "cannot have failed on the line"},
		{sp.Happening{Kind: sp.HappenFailed, Unit: "avocet", Where: sp.FailInArena}, "cannot have failed in the arena"},
		{sp.Happening{Kind: sp.HappenFailed, Unit: "bittern", Where: sp.FailInMouth}, "Avocet stands nearer"},
		{sp.Happening{Kind: sp.HappenFailed, Unit: "dunlin", Where: sp.FailReversing}, "cannot have failed"},
		{sp.Happening{Kind: sp.HappenFailed, Unit: "egret", Until: sp.At(1, 12, 0)}, "off the road again"},
		{sp.Happening{Kind: sp.HappenLimits, Unit: "avocet"}, "no limit"},
		{sp.Happening{Kind: sp.HappenElsewhere, Unit: "avocet", Lane: "Z"}, `no lane "Z"`},
		{sp.Happening{Kind: sp.HappenElsewhere, Unit: "avocet", Lane: "B", Place: 3}, "cannot be number 3"},
		{sp.Happening{Kind: sp.HappenCancelled, Serial: "S0"}, "left for the arena"},
		{sp.Happening{Kind: sp.HappenCancelled, Serial: "S9"}, "no serial"},
		{sp.Happening{Kind: sp.HappenDelayed, Serial: "S1"}, "cannot be delayed"},
		{sp.Happening{Kind: sp.HappenSwapped, Serial: "S1", Other: "S1"}, "with itself"},
		{sp.Happening{Kind: sp.HappenSwapped, Serial: "S1", Other: "S3"}, "serial S1 is on Friday and serial S3 on Saturday"},
		{sp.Happening{Kind: sp.HappenReserve, Serial: "S1", Unit: "bittern", Reserve: "egret"}, "no entry"},
		{sp.Happening{Kind: sp.HappenReserve, Serial: "S1", Unit: "avocet", Reserve: "curlew"}, "already"},
		{sp.Happening{Kind: sp.HappenLane, Lane: "A", From: sp.At(1, 12, 0), To: sp.At(1, 11, 0)}, "cannot be closed"},
		{sp.Happening{Kind: sp.HappenTeam, At: sp.At(2, 9, 0)}, "only marshal team"},
	} {
		show, state := onTheDay()
		before, stood := *show, state
		_, _, _, problems := sp.Apply(show, state, []sp.Happening{c.h, {Kind: sp.HappenHere, Unit: "nobody"}})
		if len(problems) != 2 || !strings.Contains(problems[0].Message, c.says) {
			t.Errorf("%+v: %v, want %q and one more", c.h, problems, c.says)
		}
		if fresh, again := onTheDay(); !reflect.DeepEqual(before, *fresh) || !reflect.DeepEqual(stood, again) {
			t.Errorf("%+v changes what it is applied to", c.h)
		}
	}
}

// TestHappeningsThatDoNotGoTogether are refused, and those that do are not.
func TestHappeningsThatDoNotGoTogether(t *testing.T) {
	failed, late := sp.Happening{Kind: sp.HappenFailed, Unit: "avocet"}, sp.Happening{Kind: sp.HappenLate, Unit: "avocet", Until: sp.At(1, 11, 0)}
	limits := sp.Happening{Kind: sp.HappenLimits, Unit: "avocet", NoReverse: true}
	cancelled, delayed := sp.Happening{Kind: sp.HappenCancelled, Serial: "S1"}, sp.Happening{Kind: sp.HappenDelayed, Serial: "S1", By: 300}
	for _, c := range []struct {
		list []sp.Happening
		says string // empty: they go together
	}{
		{[]sp.Happening{failed, failed}, "said twice that Avocet has failed in lane"},
		{[]sp.Happening{failed, late}, "Avocet has failed in lane and that Avocet starts only at Friday 11:00"},
		{[]sp.Happening{late, {Kind: sp.HappenDoNotMove, Unit: "avocet"}}, "Avocet is not to be moved"},
		{[]sp.Happening{{Kind: sp.HappenElsewhere, Unit: "avocet", Lane: "A"}, {Kind: sp.HappenElsewhere, Unit: "avocet", Lane: "B"}}, "Avocet stands in lane A and that Avocet stands in lane B"},
		{[]sp.Happening{cancelled, delayed}, "serial S1 is cancelled and that serial S1 is 5 min late"},
		{[]sp.Happening{delayed, delayed}, "said twice"},
		{[]sp.Happening{failed, limits, delayed, {Kind: sp.HappenFailed, Unit: "bittern"}, {Kind: sp.HappenDelayed, Serial: "S2", By: 300}}, ""},
	} {
		show, state := onTheDay()
		_, _, _, problems := sp.Apply(show, state, c.list)
		if found := len(problems) > 0 && strings.Contains(problems[0].Message, c.says); found != (c.says != "") {
			t.Errorf("%v: %v, want %q", c.list, problems, c.says)
		}
	}
}

// TestHappenings holds what each kind does to the show and to what stands
// where.
func TestHappenings(t *testing.T) {
	for _, c := range []struct {
		name string
		h    sp.Happening
		got  func(show *sp.Show, state sp.State) any
		want any
	}{
		{"late", sp.Happening{Kind: sp.HappenLate, Unit: "avocet", Until: sp.At(1, 11, 0)}, func(s *sp.Show, _ sp.State) any { return s.Vehicles[0].OffRoad }, sp.Window{From: sp.At(1, 10, 0), To: sp.At(1, 11, 0)}},
		{"failed for good touches a time off the road", sp.Happening{Kind: sp.HappenFailed, Unit: "egret"}, func(s *sp.Show, _ sp.State) any { return s.Vehicles[4].OffRoad }, sp.Window{From: sp.At(1, 10, 0)}},
		{"in the mouth", sp.Happening{Kind: sp.HappenFailed, Unit: "avocet", Where: sp.FailInMouth}, func(_ *sp.Show, s sp.State) any { return s.Lanes["A"][0] }, sp.Standing{Unit: "avocet", From: -200}},
		{"in the mouth of the lane it comes from", sp.Happening{Kind: sp.HappenFailed, Unit: "curlew", Where: sp.FailInMouth}, func(_ *sp.Show, s sp.State) any { return []any{s.Lanes["B"][0].Unit, len(s.Lines["north"])} }, []any{sp.UnitID("curlew"), 0}},
		{"reversing into a lane", sp.Happening{Kind: sp.HappenFailed, Unit: "dunlin", Where: sp.FailReversing, Lane: "B"}, func(_ *sp.Show, s sp.State) any { return []any{s.Lanes["B"][0].Unit, len(s.Arena)} }, []any{sp.UnitID("dunlin"), 0}},
		{"no reverse", sp.Happening{Kind: sp.HappenLimits, Unit: "avocet", NoReverse: true, MaxRuns: 2}, func(s *sp.Show, _ sp.State) any { return []any{s.Vehicles[0].Reverse, s.Vehicles[0].MaxRuns} }, []any{sp.ReverseNever, 2}},
		{"elsewhere, deepest", sp.Happening{Kind: sp.HappenElsewhere, Unit: "avocet", Lane: "B", Place: 2}, func(_ *sp.Show, s sp.State) any { return []any{s.Lanes["B"], len(s.Lanes["A"])} }, []any{[]sp.Standing{{Unit: "egret", From: 950}, {Unit: "avocet", From: 1600}}, 1}},
		{"cancelled", sp.Happening{Kind: sp.HappenCancelled, Serial: "S1"}, func(s *sp.Show, _ sp.State) any { return []any{len(s.Serials[1].Entries), s.Serials[1].Back()} }, []any{0, sp.At(1, 10, 0)}},
		{"delayed while in the arena", sp.Happening{Kind: sp.HappenDelayed, Serial: "S0", By: 600}, func(s *sp.Show, _ sp.State) any { return []any{s.Serials[0].ArenaIn, s.Serials[0].ArenaOut} }, []any{sp.At(1, 9, 50), sp.At(1, 10, 20)}},
		{"swapped", sp.Happening{Kind: sp.HappenSwapped, Serial: "S2", Other: "S1"}, func(s *sp.Show, _ sp.State) any {
			return []any{s.Serials[2].ArenaIn, s.Serials[1].ArenaIn, s.Serials[1].ArenaOut}
		}, []any{sp.At(1, 10, 20), sp.At(1, 10, 50), sp.At(1, 11, 20)}},
		{"swapped with one of another day, as is said", sp.Happening{Kind: sp.HappenSwapped, Serial: "S2", Other: "S3", OtherDay: true}, func(s *sp.Show, _ sp.State) any {
			return []any{s.Serials[3].ArenaIn, s.Serials[2].ArenaOut}
		}, []any{sp.At(1, 11, 0), sp.At(2, 14, 20)}},
		{"reserve", sp.Happening{Kind: sp.HappenReserve, Serial: "S1", Unit: "avocet", Reserve: "bittern"}, func(s *sp.Show, _ sp.State) any { return s.Serials[1].Entries[1].Unit }, sp.UnitID("bittern")},
		{"closed at once, with one in it", sp.Happening{Kind: sp.HappenLane, Lane: "B", To: sp.At(1, 12, 0)}, func(s *sp.Show, _ sp.State) any { return s.Park.Lanes[1].Closed }, []sp.Window{{From: sp.At(1, 10, 10), To: sp.At(1, 12, 0)}}},
		{"a team lost", sp.Happening{Kind: sp.HappenTeam}, func(s *sp.Show, _ sp.State) any { return []any{s.Days[0].Teams, s.Days[1].Teams} }, []any{1, 1}},
	} {
		show, state := onTheDay()
		now, after, done, problems := sp.Apply(show, state, []sp.Happening{c.h})
		if len(problems) > 0 {
			t.Errorf("%s: %v", c.name, problems)
			continue
		}
		if got := c.got(now, after); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
		again, problems := sp.ShowWith(show, done)
		if len(problems) > 0 || !reflect.DeepEqual(again.Vehicles, now.Vehicles) || !reflect.DeepEqual(again.Serials, now.Serials) || !reflect.DeepEqual(again.Park, now.Park) || !reflect.DeepEqual(again.Days, now.Days) {
			t.Errorf("%s: the show is another when it is made again (%v)", c.name, problems)
		}
		if words := done[0].Says(sp.NewIndex(show)); words == "" || strings.Contains(words, "no known kind") {
			t.Errorf("%s: %q", c.name, words)
		}
	}
}

// TestStateAt holds that a move which has begun counts as made and keeps its
// unit busy, and that playing the rest from there ends as playing all does.
func TestStateAt(t *testing.T) {
	show, _ := onTheDay()
	plan := &sp.Plan{
		Start: []sp.LaneLayout{{Lane: "A", Units: []sp.UnitID{"avocet", "bittern"}}},
		Moves: []sp.Move{
			{ID: "m1", Kind: sp.MovePullOut, Unit: "avocet", From: sp.AtLane("A", ""), To: sp.AtLine("north"), Serial: "S1", Start: sp.At(1, 10, 0), Takes: 120},
			{ID: "m2", Kind: sp.MovePullOut, Unit: "bittern", From: sp.AtLane("A", ""), To: sp.AtLine("north"), Serial: "S2", Start: sp.At(1, 10, 30), Takes: 120},
		},
	}
	state, past, rest := sp.StateAt(show, plan, sp.At(1, 10, 1))
	if len(past) != 1 || len(rest) != 1 || !reflect.DeepEqual(state.Lines["north"], []sp.UnitID{"avocet"}) {
		t.Fatalf("%v after %d moves, %d to come", state, len(past), len(rest))
	}
	if want := (sp.UnderWay{Until: sp.At(1, 10, 2), From: sp.AtLane("A", "")}); state.Busy["avocet"] != want {
		t.Errorf("Avocet is busy %v, want %v", state.Busy["avocet"], want)
	}
	start, _ := sp.StartState(show, plan)
	all, _ := sp.Play(show, start, plan.Moves)
	some, _ := sp.Play(show, state, rest)
	if a, b := all[1], some[0]; !reflect.DeepEqual(a.Lines, b.Lines) || !reflect.DeepEqual(a.Lanes, b.Lanes) {
		t.Errorf("the rest ends with %v, all with %v", b, a)
	}
	going := &sp.Plan{Start: plan.Start, Past: past, From: &state, Moves: rest}
	if list := sp.ChangesSince(plan, going); len(list) != 0 {
		t.Errorf("%d changes are told of a plan that goes on", len(list))
	}
	if state, _, _ := sp.StateAt(show, going, sp.At(1, 9, 0)); state.At != sp.At(1, 10, 1) {
		t.Errorf("a plan that goes on begins at %s", state.At)
	}
}

// TestFoundInALaneWithoutRoom holds that who cannot stand where he is said to
// is refused with what is missing, unless the others are said to have gone.
func TestFoundInALaneWithoutRoom(t *testing.T) {
	found := func(u sp.UnitID, lane sp.LaneID) sp.Happening {
		return sp.Happening{Kind: sp.HappenElsewhere, Unit: u, Lane: lane}
	}
	for _, c := range []struct {
		name string
		long sp.Centimetres // of lane B, in which Egret, 6.00 m, stands; the gap is 0.50 m
		list []sp.Happening
		says string
	}{
		{"filled to the centimetre", 1050, []sp.Happening{found("avocet", "B")}, ""},
		{"a centimetre short", 1049, []sp.Happening{found("avocet", "B")}, "Avocet cannot stand in lane B with Egret: that takes 10.50 m, lane B is 10.49 m long, short by 0.01 m"},
		{"the other has gone, said before", 700, []sp.Happening{found("egret", "T"), found("avocet", "B")}, ""},
		{"the other has gone, said after", 700, []sp.Happening{found("avocet", "B"), found("egret", "T")}, ""},
		{"alone too long", 500, []sp.Happening{found("egret", "T"), found("curlew", "B")}, "Curlew cannot stand in lane B: that takes 6.00 m, lane B is 5.00 m long, short by 1.00 m"},
		{"one half out of it", 700, []sp.Happening{{Kind: sp.HappenFailed, Unit: "curlew", Where: sp.FailInMouth}, found("egret", "B")}, ""},
	} {
		show, state := onTheDay()
		show.Park.Lanes[1].Length = c.long
		_, _, _, problems := sp.Apply(show, state, c.list)
		if c.says == "" && len(problems) > 0 || c.says != "" && (len(problems) != 1 || !strings.Contains(problems[0].Message, c.says)) {
			t.Errorf("%s: %v, want %q", c.name, problems, c.says)
		}
	}
}
