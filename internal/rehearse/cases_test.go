package rehearse_test

import (
	"context"
	"slices"
	"strings"
	"testing"

	sp "sallyport"
	"sallyport/internal/rehearse"
)

func at(h, m int) sp.Instant { return sp.At(1, h, m) }

func chance(c sp.Chance) *sp.Chance { return &c }

// twoDeep is a show of a day with one lane in which Dunlin stands before Knot,
// and a recovery lane. Both go in the opening, Knot in a second serial too.
func twoDeep(change func(s *sp.Show)) (*sp.Show, *sp.Plan) {
	none := sp.Seconds(0)
	vehicle := func(id sp.UnitID, name string) sp.Vehicle {
		return sp.Vehicle{ID: id, Name: name, Class: "light wheeled", Length: 400, Mass: 2000, WarmUp: &none, StartChance: chance(9000)}
	}
	s := &sp.Show{
		Format: sp.FormatShow, Name: "Two deep", Days: []sp.Day{{Name: "Saturday"}},
		Park: sp.Park{
			Lanes: []sp.Lane{{ID: "A1", Length: 1200}, {ID: "R1", Length: 900}, {ID: "B1", Length: 500}},
			Lines: []sp.Line{{ID: "N", Name: "North Road", Out: sp.OutStrict, Home: sp.HomeInOrder}},
			Spots: []sp.Spot{{ID: "verge", Name: "the Verge", Use: sp.SpotAside}, {ID: "bay", Name: "the Bay", Use: sp.SpotBreakdown}},
		},
		Vehicles: []sp.Vehicle{vehicle("dunlin", "Dunlin"), vehicle("knot", "Knot"), vehicle("heron", "Heron"), vehicle("ruff", "Ruff")},
		Serials: []sp.Serial{
			{
				ID: "1", Name: "Opening", Line: "N", FormFrom: at(9, 0), FormUp: at(10, 0), ArenaIn: at(10, 30), ArenaOut: at(10, 50), HomeBy: at(11, 30), Travel: 300,
				Entries: []sp.Entry{{ID: "1a", Unit: "dunlin"}, {ID: "1b", Unit: "knot"}},
			},
			{
				ID: "2", Name: "Farewell", Line: "N", FormFrom: at(13, 0), FormUp: at(14, 0), ArenaIn: at(14, 30), ArenaOut: at(14, 50), HomeBy: at(15, 30), Travel: 300,
				Entries: []sp.Entry{{ID: "2b", Unit: "knot"}, {ID: "2a", Unit: "dunlin"}},
			},
		},
	}
	if change != nil {
		change(s)
	}
	lane, line, arena := sp.AtLane("A1", sp.Mouth), sp.AtLine("N"), sp.Pos{Kind: sp.InArena}
	plan := &sp.Plan{
		Format: sp.FormatPlan, Show: s.Name,
		Start: []sp.LaneLayout{{Lane: "A1", Units: []sp.UnitID{"dunlin", "knot"}}, {Lane: "R1", Units: []sp.UnitID{"heron"}}, {Lane: "B1", Units: []sp.UnitID{"ruff"}}},
	}
	// Who goes first comes home first and stands deep, so the order changes
	// from serial to serial.
	serial := func(id string, h int, order ...sp.UnitID) {
		serial := sp.SerialID(id)
		move := func(n string, kind sp.MoveKind, from, to sp.Pos, start sp.Instant, takes sp.Seconds) sp.Move {
			return sp.Move{ID: sp.MoveID(id + n), Kind: kind, From: from, To: to, Serial: serial, Start: start, Takes: takes}
		}
		for i, u := range order {
			m := move("out-"+string(u), sp.MovePullOut, lane, line, at(h, 30+10*i), 180)
			m.Unit, m.Marshals = u, 1
			plan.Moves = append(plan.Moves, m)
		}
		out, home := move("out", sp.MoveOut, line, arena, at(h+1, 25), 300), move("home", sp.MoveHome, arena, line, at(h+1, 50), 300)
		out.Units, home.Units = order, order
		plan.Moves = append(plan.Moves, out, home)
		for i, u := range order {
			m := move("back-"+string(u), sp.MoveReturn, line, lane, at(h+2, 10*i), 180)
			m.Unit, m.Reverse, m.Marshals = u, true, 1
			plan.Moves = append(plan.Moves, m)
		}
	}
	serial("1", 9, "dunlin", "knot")
	serial("2", 13, "knot", "dunlin")
	return sp.Complete(s), plan
}

// matrix returns the matrix of a show and plan.
func matrix(t *testing.T, show *sp.Show, plan *sp.Plan, opt rehearse.Options) *sp.FailureMatrix {
	t.Helper()
	m, err := rehearse.Matrix(context.Background(), show, plan, opt, nil)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func cellOf(t *testing.T, m *sp.FailureMatrix, entry sp.EntryID, kind sp.FailureKind) *sp.FailureCell {
	t.Helper()
	for i := range m.Rows {
		if m.Rows[i].Entry == entry {
			if c := m.Rows[i].Cell(kind); c != nil {
				return c
			}
		}
	}
	t.Fatalf("no cell for entry %s, %s", entry, kind)
	return nil
}

// freeLine makes the line one on which everybody finds his own way.
func freeLine(s *sp.Show) { s.Park.Lines[0].Out, s.Park.Lines[0].Home = sp.OutFree, sp.HomeAnyOrder }

func pushable(s *sp.Show) { s.Vehicles[0].HandPeople = 4 }

func heavyHeron(s *sp.Show) { s.Vehicles[2].Mass = 10_000 }

func TestCases(t *testing.T) {
	all := []sp.EntryID{"1a", "1b", "2b", "2a"}
	own := []sp.EntryID{"1a", "2a"}
	for _, c := range []struct {
		name   string
		change func(s *sp.Show)
		kind   sp.FailureKind
		lost   []sp.EntryID // of Dunlin's failure in the opening, nothing done
		shutIn []sp.UnitID
		left   []sp.EntryID
		cures  []sp.CureKind
	}{
		{"nobody can help", nil, sp.FailInLane, all, []sp.UnitID{"knot"}, all, nil},
		{"pushed by hand", pushable, sp.FailInLane, all, []sp.UnitID{"knot"}, own, []sp.CureKind{sp.CurePush}},
		{"towed", heavyHeron, sp.FailInLane, all, []sp.UnitID{"knot"}, own, []sp.CureKind{sp.CureTow}},
		{"pushing goes before towing", both(pushable, heavyHeron), sp.FailInLane, all, []sp.UnitID{"knot"}, own, []sp.CureKind{sp.CurePush}},
		{"a reserve takes its place", both(pushable, func(s *sp.Show) { s.Serials[0].Entries[0].Reserves = []sp.UnitID{"ruff"} }), sp.FailInLane, all, []sp.UnitID{"knot"}, []sp.EntryID{"2a"}, []sp.CureKind{sp.CurePush, sp.CureReserve}},
		{"no place to push it to", both(pushable, func(s *sp.Show) { s.Park.Spots[0].Length = 300 }), sp.FailInLane, all, []sp.UnitID{"knot"}, all, nil},
		{"in the mouth", nil, sp.FailInMouth, all, []sp.UnitID{"knot"}, all, nil},
		{"in the mouth, pushed", pushable, sp.FailInMouth, all, []sp.UnitID{"knot"}, own, []sp.CureKind{sp.CurePush}},
		{"on a strict line", nil, sp.FailOnLine, all, nil, all, nil},
		{"on a free line", freeLine, sp.FailOnLine, own, nil, own, nil},
		{"on the road", nil, sp.FailOnRoad, all, nil, all, nil},
		{"on the road, pushed aside", pushable, sp.FailOnRoad, all, nil, own, []sp.CureKind{sp.CureWait, sp.CurePush}},
		{"in the arena", nil, sp.FailInArena, []sp.EntryID{"2a"}, nil, []sp.EntryID{"2a"}, nil},
		{"while reversing in", nil, sp.FailReversing, []sp.EntryID{"2a"}, nil, []sp.EntryID{"2a"}, nil},
	} {
		show, plan := twoDeep(c.change)
		if r := sp.Check(show, plan); !r.Workable() {
			t.Fatalf("%s: the plan itself is not workable: %v", c.name, r.Faults)
		}
		cell := cellOf(t, matrix(t, show, plan, rehearse.Options{}), "1a", c.kind)
		var cures []sp.CureKind
		for _, x := range cell.Cures {
			cures = append(cures, x.Kind)
		}
		if !slices.Equal(cell.Lost, c.lost) || !slices.Equal(cell.ShutIn, c.shutIn) || !slices.Equal(cell.Left, c.left) || !slices.Equal(cures, c.cures) {
			t.Errorf("%s: lost %v, shut in %v, left %v, cures %v; want %v, %v, %v, %v", c.name, cell.Lost, cell.ShutIn, cell.Left, cures, c.lost, c.shutIn, c.left, c.cures)
		}
	}
}

func both(a, b func(s *sp.Show)) func(s *sp.Show) {
	return func(s *sp.Show) { a(s); b(s) }
}

// A vehicle that stops half into its lane bars it: who comes home behind it
// finds no way in.
func TestReversingStrandsOthers(t *testing.T) {
	show, plan := twoDeep(freeLine)
	c := cellOf(t, matrix(t, show, plan, rehearse.Options{}), "1a", sp.FailReversing)
	if !slices.Equal(c.Stranded, []sp.UnitID{"knot"}) {
		t.Errorf("stranded %v, want knot", c.Stranded)
	}
}

// Towing needs masses: where one is missing it is not checked, and said so.
func TestMassIsNeverAssumed(t *testing.T) {
	show, plan := twoDeep(both(heavyHeron, func(s *sp.Show) { s.Vehicles[0].Mass = 0 }))
	m := matrix(t, show, plan, rehearse.Options{})
	c := cellOf(t, m, "1a", sp.FailInLane)
	if len(c.Cures) > 0 || !strings.Contains(c.NoTow, "not checked") {
		t.Errorf("cures %v, %q", c.Cures, c.NoTow)
	}
	if !slices.ContainsFunc(m.NotChecked, func(s string) bool { return strings.Contains(s, "Dunlin") }) {
		t.Errorf("not checked: %v", m.NotChecked)
	}
}

// The rule for towing can be changed: 2,000 kg are 100 % of 2,000 kg.
func TestTowPercent(t *testing.T) {
	show, plan := twoDeep(nil)
	c := cellOf(t, matrix(t, show, plan, rehearse.Options{TowPercent: 100}), "1a", sp.FailInLane)
	if len(c.Cures) != 1 || c.Cures[0].By != "heron" || c.Cures[0].To != sp.AtSpot("bay") || c.Cures[0].Care == "" {
		t.Errorf("cures %+v, want a tow by Heron to the bay, with what to take care of", c.Cures)
	}
}

// Who tows must be able to leave its own lane.
func TestTowerMustGetOut(t *testing.T) {
	show, plan := twoDeep(heavyHeron)
	plan.Start[1].Units = []sp.UnitID{"ruff", "heron"}
	plan.Start = plan.Start[:2]
	c := cellOf(t, matrix(t, show, plan, rehearse.Options{}), "1a", sp.FailInLane)
	if len(c.Cures) > 0 {
		t.Errorf("Heron stands behind Ruff, but: %+v", c.Cures)
	}
}

// Dunlin is to be on the line by 10:00 and starts at 9:30; Knot waits behind
// it. Both take three minutes, one after the other, so Dunlin may start up to
// 9:54; and when the column leaves at 10:25 Knot must be there, behind it.
func TestLateStart(t *testing.T) {
	show, plan := twoDeep(nil)
	c := cellOf(t, matrix(t, show, plan, rehearse.Options{}), "1a", sp.FailLate)
	if c.Takes != sp.Minutes(24) {
		t.Errorf("it may be %s late, want 24 min", c.Takes.Words())
	}
	k := slices.IndexFunc(c.Cures, func(x sp.Cure) bool { return x.Kind == sp.CureTail })
	if k < 0 || c.Cures[k].Takes != sp.Minutes(49) {
		t.Errorf("cures %+v, want the tail until 49 minutes late", c.Cures)
	}
}

// The matrix says that a plan stands any one failure to start when everybody
// can be pushed.
func TestStands(t *testing.T) {
	show, plan := twoDeep(func(s *sp.Show) {
		for i := range s.Vehicles {
			s.Vehicles[i].HandPeople = 3
		}
	})
	if m := matrix(t, show, plan, rehearse.Options{}); !m.Stands() {
		t.Errorf("uncovered: %v", m.Uncovered)
	}
	show, plan = twoDeep(nil)
	if m := matrix(t, show, plan, rehearse.Options{}); !slices.Equal(m.Uncovered, []sp.EntryID{"1b", "2b", "2a"}) {
		t.Errorf("uncovered %v, want 1b, 2b and 2a", m.Uncovered)
	}
}

// While Dunlin waits in its lane for a tow nobody is put before it: Ruff, which
// comes home to that lane six minutes later, waits, and Knot behind gets out.
func TestNobodyIsPutBeforeWhoWaitsForATow(t *testing.T) {
	none := sp.Seconds(0)
	vehicle := func(id sp.UnitID, mass sp.Kilograms) sp.Vehicle {
		return sp.Vehicle{ID: id, Name: string(id), Class: "light wheeled", Length: 400, Mass: mass, WarmUp: &none}
	}
	serial := func(id sp.SerialID, h int, unit sp.UnitID) sp.Serial {
		return sp.Serial{
			ID: id, Line: "N", FormFrom: at(h, 0), FormUp: at(h+1, 0), ArenaIn: at(h+1, 30), ArenaOut: at(h+1, 50), HomeBy: at(h+2, 30), Travel: 300,
			Entries: []sp.Entry{{ID: sp.EntryID(string(id) + "/" + string(unit)), Unit: unit}},
		}
	}
	show := sp.Complete(&sp.Show{
		Format: sp.FormatShow, Name: "Waiting", Days: []sp.Day{{Name: "Saturday"}},
		Park: sp.Park{
			Lanes: []sp.Lane{{ID: "A1", Length: 1200}, {ID: "B1", Length: 500}, {ID: "R1", Length: 500}, {ID: "C1", Length: 500}},
			Lines: []sp.Line{{ID: "N"}}, Spots: []sp.Spot{{ID: "bay", Use: sp.SpotBreakdown}},
		},
		Vehicles: []sp.Vehicle{vehicle("dunlin", 2000), vehicle("knot", 2000), vehicle("ruff", 2000), vehicle("heron", 10_000)},
		Serials:  []sp.Serial{serial("1", 9, "dunlin"), serial("2", 13, "knot")},
		Duties: []sp.Duty{
			{ID: "early", Unit: "ruff", What: "fuel", From: at(8, 40), To: at(9, 36)},
			{ID: "noon", Unit: "ruff", What: "rides", From: at(12, 0), To: at(16, 0)},
		},
	})
	lane := func(id sp.LaneID) sp.Pos { return sp.AtLane(id, sp.Mouth) }
	line, arena, away := sp.AtLine("N"), sp.Pos{Kind: sp.InArena}, sp.Pos{Kind: sp.InDuty}
	plan := &sp.Plan{
		Format: sp.FormatPlan, Show: show.Name,
		Start: []sp.LaneLayout{{Lane: "A1", Units: []sp.UnitID{"dunlin", "knot"}}, {Lane: "B1", Units: []sp.UnitID{"ruff"}}, {Lane: "R1", Units: []sp.UnitID{"heron"}}},
		Moves: []sp.Move{
			{ID: "1", Kind: sp.MoveDuty, Unit: "ruff", From: lane("B1"), To: away, Duty: "early", Start: at(8, 30), Takes: 180, Marshals: 1},
			{ID: "2", Kind: sp.MovePullOut, Unit: "dunlin", From: lane("A1"), To: line, Serial: "1", Start: at(9, 30), Takes: 180, Marshals: 1},
			{ID: "3", Kind: sp.MoveRelieve, Unit: "ruff", From: away, To: lane("A1"), Duty: "early", Reverse: true, Start: at(9, 36), Takes: 180, Marshals: 1},
			{ID: "4", Kind: sp.MoveOut, Units: []sp.UnitID{"dunlin"}, From: line, To: arena, Serial: "1", Start: at(10, 25), Takes: 300},
			{ID: "5", Kind: sp.MoveHome, Units: []sp.UnitID{"dunlin"}, From: arena, To: line, Serial: "1", Start: at(10, 50), Takes: 300},
			{ID: "6", Kind: sp.MoveReturn, Unit: "dunlin", From: line, To: lane("B1"), Serial: "1", Reverse: true, Start: at(11, 0), Takes: 180, Marshals: 1},
			{ID: "7", Kind: sp.MoveDuty, Unit: "ruff", From: lane("A1"), To: away, Duty: "noon", Start: at(11, 50), Takes: 180, Marshals: 1},
			{ID: "8", Kind: sp.MovePullOut, Unit: "knot", From: lane("A1"), To: line, Serial: "2", Start: at(13, 30), Takes: 180, Marshals: 1},
			{ID: "9", Kind: sp.MoveOut, Units: []sp.UnitID{"knot"}, From: line, To: arena, Serial: "2", Start: at(14, 25), Takes: 300},
			{ID: "10", Kind: sp.MoveHome, Units: []sp.UnitID{"knot"}, From: arena, To: line, Serial: "2", Start: at(14, 50), Takes: 300},
			{ID: "11", Kind: sp.MoveReturn, Unit: "knot", From: line, To: lane("A1"), Serial: "2", Reverse: true, Start: at(15, 0), Takes: 180, Marshals: 1},
			{ID: "12", Kind: sp.MoveRelieve, Unit: "ruff", From: away, To: lane("C1"), Duty: "noon", Reverse: true, Start: at(16, 0), Takes: 180, Marshals: 1},
		},
	}
	if r := sp.Check(show, plan); !r.Workable() {
		t.Fatalf("the plan itself is not workable: %v", r.Faults)
	}
	c := cellOf(t, matrix(t, show, plan, rehearse.Options{}), "1/dunlin", sp.FailInLane)
	if !slices.Equal(c.Lost, []sp.EntryID{"1/dunlin", "2/knot"}) || !slices.Equal(c.Left, []sp.EntryID{"1/dunlin"}) || len(c.Cures) != 1 || c.Cures[0].By != "heron" {
		t.Errorf("lost %v, left %v, cures %+v; want a tow by Heron that leaves Dunlin's own entry lost", c.Lost, c.Left, c.Cures)
	}
}

// Dunlin stays in the arena for the second serial, in which Knot joins it: both
// entries have a row, and when Dunlin does not start both are lost.
func TestJoinedInTheArena(t *testing.T) {
	none := sp.Seconds(0)
	vehicle := func(id sp.UnitID) sp.Vehicle {
		return sp.Vehicle{ID: id, Name: string(id), Class: "light wheeled", Length: 400, WarmUp: &none}
	}
	serial := func(id sp.SerialID, in sp.Instant, entries ...sp.Entry) sp.Serial {
		return sp.Serial{
			ID: id, Line: "N", FormFrom: at(9, 0), FormUp: at(10, 0), ArenaIn: in, ArenaOut: in + 1200, HomeBy: in + 4800, Travel: 300, Entries: entries,
		}
	}
	show := sp.Complete(&sp.Show{
		Format: sp.FormatShow, Name: "Joined", Days: []sp.Day{{Name: "Saturday"}},
		Park:     sp.Park{Lanes: []sp.Lane{{ID: "A1", Length: 500}, {ID: "B1", Length: 500}}, Lines: []sp.Line{{ID: "N"}}},
		Vehicles: []sp.Vehicle{vehicle("dunlin"), vehicle("knot")},
		Serials: []sp.Serial{
			serial("1", at(10, 30), sp.Entry{ID: "1a", Unit: "dunlin", Join: sp.JoinArena}),
			serial("2", at(10, 55), sp.Entry{ID: "2a", Unit: "dunlin"}, sp.Entry{ID: "2b", Unit: "knot"}),
		},
	})
	lane := func(id sp.LaneID) sp.Pos { return sp.AtLane(id, sp.Mouth) }
	line, arena := sp.AtLine("N"), sp.Pos{Kind: sp.InArena}
	plan := &sp.Plan{
		Format: sp.FormatPlan, Show: show.Name,
		Start: []sp.LaneLayout{{Lane: "A1", Units: []sp.UnitID{"dunlin"}}, {Lane: "B1", Units: []sp.UnitID{"knot"}}},
		Moves: []sp.Move{
			{ID: "1", Kind: sp.MovePullOut, Unit: "dunlin", From: lane("A1"), To: line, Serial: "1", Start: at(9, 30), Takes: 180, Marshals: 1},
			{ID: "2", Kind: sp.MovePullOut, Unit: "knot", From: lane("B1"), To: line, Serial: "2", Start: at(9, 40), Takes: 180, Marshals: 1},
			{ID: "3", Kind: sp.MoveOut, Units: []sp.UnitID{"dunlin"}, From: line, To: arena, Serial: "1", Start: at(10, 25), Takes: 300},
			{ID: "4", Kind: sp.MoveOut, Units: []sp.UnitID{"knot"}, From: line, To: arena, Serial: "2", Start: at(10, 50), Takes: 300},
			{ID: "5", Kind: sp.MoveHome, Units: []sp.UnitID{"dunlin", "knot"}, From: arena, To: line, Serial: "2", Start: at(11, 15), Takes: 300},
			{ID: "6", Kind: sp.MoveReturn, Unit: "dunlin", From: line, To: lane("A1"), Serial: "2", Reverse: true, Start: at(11, 25), Takes: 180, Marshals: 1},
			{ID: "7", Kind: sp.MoveReturn, Unit: "knot", From: line, To: lane("B1"), Serial: "2", Reverse: true, Start: at(11, 35), Takes: 180, Marshals: 1},
		},
	}
	if r := sp.Check(show, plan); !r.Workable() {
		t.Fatalf("the plan itself is not workable: %v", r.Faults)
	}
	m := matrix(t, show, plan, rehearse.Options{})
	for _, c := range []struct {
		entry sp.EntryID
		kind  sp.FailureKind
		lost  []sp.EntryID
	}{
		{"1a", sp.FailInLane, []sp.EntryID{"1a", "2a"}},
		{"1a", sp.FailInArena, []sp.EntryID{"2a"}},
		{"2a", sp.FailInArena, nil},
		{"2b", sp.FailInLane, []sp.EntryID{"2b"}},
	} {
		if cell := cellOf(t, m, c.entry, c.kind); !slices.Equal(cell.Lost, c.lost) {
			t.Errorf("%s %s: lost %v, want %v", c.entry, c.kind, cell.Lost, c.lost)
		}
	}
}
