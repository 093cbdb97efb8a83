package sallyport_test

import (
	"slices"
	"strings"
	"testing"

	sp "sallyport"
)

// meadow is a small workable show with one serial: Avocet stands before
// Curlew and Dunlin in a dead-end lane, Bittern in a through lane; a third
// lane is open and empty.
func meadow() (*sp.Show, *sp.Plan) {
	s := &sp.Show{
		Format: sp.FormatShow, Name: "Meadow", Weights: sp.DefaultWeights(),
		Days: []sp.Day{{Name: "Friday", Kind: sp.ShowDay}, {Name: "Saturday", Kind: sp.ShowDay}},
		Park: sp.Park{
			Zones:     []sp.Zone{{ID: "field"}, {ID: "camp"}},
			Stretches: []sp.Stretch{{ID: "front", Depth: 900}},
			Lanes: []sp.Lane{
				{ID: "A", Zone: "field", Kind: sp.DeadEnd, Length: 1600, Gap: 50, In: sp.InReversed},
				{ID: "B", Zone: "field", Kind: sp.Through, Length: 1600, Gap: 50, In: sp.InNose},
				{ID: "C", Zone: "field", Kind: sp.Open, Length: 1600, Gap: 50, In: sp.InEither},
			},
			Lines: []sp.Line{{ID: "north", Length: 3000, Gap: 50, Out: sp.OutStrict, Home: sp.HomeInOrder}},
			Spots: []sp.Spot{{ID: "verge", Use: sp.SpotAside}, {ID: "copse", Use: sp.SpotCoupling}},
			Paces: paces(),
		},
		Serials: []sp.Serial{{
			ID: "S", Line: "north", HomeLine: "north", FormFrom: sp.At(1, 9, 0), FormUp: sp.At(1, 9, 30), Travel: 120,
			ArenaIn: sp.At(1, 10, 0), ArenaOut: sp.At(1, 10, 20), HomeBy: sp.At(1, 11, 0),
			Entries: []sp.Entry{{ID: "S-1", Unit: "avocet"}, {ID: "S-2", Unit: "bittern"}},
		}},
		Resets: []sp.ResetWindow{{ID: "evening", From: sp.At(1, 19, 0), To: sp.At(1, 20, 0), Awkward: 100}},
	}
	for _, id := range birds[:4] {
		s.Vehicles = append(s.Vehicles, quiet(id))
	}
	arena := sp.Pos{Kind: sp.InArena}
	both := []sp.UnitID{"avocet", "bittern"}
	p := &sp.Plan{
		Format: sp.FormatPlan, Show: "Meadow",
		Start: []sp.LaneLayout{{Lane: "A", Units: []sp.UnitID{"avocet", "curlew", "dunlin"}}, {Lane: "B", Units: []sp.UnitID{"bittern"}}},
		Moves: []sp.Move{
			{ID: "out-a", Kind: sp.MovePullOut, Unit: "avocet", From: sp.AtLane("A", ""), To: sp.AtLine("north"), Serial: "S", Entry: "S-1", Start: sp.At(1, 9, 0), Takes: 60},
			{ID: "out-b", Kind: sp.MovePullOut, Unit: "bittern", From: sp.AtLane("B", ""), To: sp.AtLine("north"), Serial: "S", Entry: "S-2", Start: sp.At(1, 9, 2), Takes: 60},
			{ID: "column-out", Kind: sp.MoveOut, Units: both, From: sp.AtLine("north"), To: arena, Serial: "S", Start: sp.At(1, 9, 58), Takes: 120},
			{ID: "column-home", Kind: sp.MoveHome, Units: both, From: arena, To: sp.AtLine("north"), Serial: "S", Start: sp.At(1, 10, 20), Takes: 120},
			{ID: "home-a", Kind: sp.MoveReturn, Unit: "avocet", From: sp.AtLine("north"), To: sp.AtLane("A", ""), Serial: "S", Entry: "S-1", Reverse: true, Start: sp.At(1, 10, 22), Takes: 60},
			{ID: "home-b", Kind: sp.MoveReturn, Unit: "bittern", From: sp.AtLine("north"), To: sp.AtLane("B", ""), Serial: "S", Entry: "S-2", Start: sp.At(1, 10, 24), Takes: 60},
		},
	}
	return s, p
}

// change makes a small show and plan a little different.
type change func(s *sp.Show, p *sp.Plan)

func vehicleIn(s *sp.Show, id sp.UnitID) *sp.Vehicle {
	return &s.Vehicles[slices.IndexFunc(s.Vehicles, func(v sp.Vehicle) bool { return v.ID == id })]
}

func moveIn(p *sp.Plan, id sp.MoveID) *sp.Move {
	return &p.Moves[slices.IndexFunc(p.Moves, func(m sp.Move) bool { return m.ID == id })]
}

// with adds moves and keeps the list in order of time.
func with(p *sp.Plan, moves ...sp.Move) {
	p.Moves = append(p.Moves, moves...)
	slices.SortStableFunc(p.Moves, func(a, b sp.Move) int { return int(a.Start - b.Start) })
}

// aside and back move a unit between a lane and the verge; lanes but the
// through one are entered in reverse.
func aside(at sp.Instant, u sp.UnitID, lane sp.LaneID) sp.Move {
	return sp.Move{ID: "aside-" + sp.MoveID(u), Kind: sp.MoveAside, Unit: u, From: sp.AtLane(lane, ""), To: sp.AtSpot("verge"), Start: at, Takes: 60}
}

func back(at sp.Instant, u sp.UnitID, lane sp.LaneID) sp.Move {
	return sp.Move{ID: "back-" + sp.MoveID(u), Kind: sp.MoveBack, Unit: u, From: sp.AtSpot("verge"), To: sp.AtLane(lane, ""), Reverse: lane != "B", Start: at, Takes: 60}
}

func reset(at sp.Instant, u sp.UnitID, from, to sp.LaneID) sp.Move {
	return sp.Move{ID: "reset-" + sp.MoveID(u), Kind: sp.MoveReset, Unit: u, From: sp.AtLane(from, ""), To: sp.AtLane(to, ""), Reverse: to != "B", Window: "evening", Start: at, Takes: 60}
}

func shift(at sp.Instant, u sp.UnitID, from, to sp.LaneID) sp.Move {
	return sp.Move{ID: "shift-" + sp.MoveID(u), Kind: sp.MoveShift, Unit: u, From: sp.AtLane(from, ""), To: sp.AtLane(to, ""), Reverse: to != "B", Start: at, Takes: 60}
}

func duty(u sp.UnitID, lane sp.LaneID) (sp.Duty, sp.Move, sp.Move) {
	d := sp.Duty{ID: "fuel", Unit: u, What: "fuel", From: sp.At(1, 12, 1), To: sp.At(1, 12, 30)}
	at := sp.Pos{Kind: sp.InDuty}
	return d, sp.Move{ID: "to-fuel", Kind: sp.MoveDuty, Unit: u, Duty: "fuel", From: sp.AtLane(lane, ""), To: at, Start: sp.At(1, 12, 0), Takes: 60},
		sp.Move{ID: "from-fuel", Kind: sp.MoveRelieve, Unit: u, Duty: "fuel", From: at, To: sp.AtLane(lane, ""), Reverse: lane != "B", Start: sp.At(1, 12, 30), Takes: 60}
}

// withCombination adds Egret towing a Fulmar gun, standing in lane C.
func withCombination(s *sp.Show, p *sp.Plan) {
	gun := quiet("fulmar")
	gun.Gear = sp.TowedItem
	s.Vehicles = append(s.Vehicles, quiet("egret"), gun)
	s.Combinations = []sp.Combination{{ID: "egret-gun", Name: "Egret and gun", Tower: "egret", Towed: []sp.UnitID{"fulmar"}, Length: 1050, Reverse: sp.ReverseYes, CoupleAt: "copse", Takes: 60}}
	p.Start = append(p.Start, sp.LaneLayout{Lane: "C", Units: []sp.UnitID{"egret-gun"}})
}

// publicField lets the public into the zone of all lanes from 07:00 to 20:00.
func publicField(s *sp.Show, clear, reopened sp.Instant) {
	s.Park.Zones[0].Public = true
	s.Days[0].PublicFrom, s.Days[0].PublicTo = sp.At(1, 7, 0), sp.At(1, 20, 0)
	s.Closings = []sp.Closing{{Zone: "field", Closed: sp.At(1, 8, 30), Clear: clear, Reopened: reopened}}
}

// withoutBittern takes Bittern out of the serial's moves.
func withoutBittern(p *sp.Plan) {
	p.Moves = slices.DeleteFunc(p.Moves, func(m sp.Move) bool { return m.Unit == "bittern" })
	moveIn(p, "column-out").Units = []sp.UnitID{"avocet"}
	moveIn(p, "column-home").Units = []sp.UnitID{"avocet"}
}

func drivers(s *sp.Show, a, b sp.PersonID) {
	s.People = []sp.Person{{ID: "kim", Name: "Kim"}, {ID: "lee", Name: "Lee"}, {ID: "ash", Name: "Ash"}}
	s.Serials[0].Entries[0].Driver, s.Serials[0].Entries[1].Driver = a, b
}

// runTwice gives Avocet a duty after its serial.
func runTwice(s *sp.Show, p *sp.Plan) {
	d, out, home := duty("avocet", "A")
	s.Duties = []sp.Duty{d}
	with(p, out, home)
}

// pushedFor gives Curlew a duty at noon, for which Avocet is pushed out of the
// way by hand at the given time; Curlew warms up in its lane for ten minutes.
func pushedFor(s *sp.Show, p *sp.Plan, at sp.Instant) {
	vehicleIn(s, "curlew").WarmUp, vehicleIn(s, "curlew").WarmWhere = span(600), sp.WarmInLane
	d, out, home := duty("curlew", "A")
	s.Duties = []sp.Duty{d}
	push := aside(at, "avocet", "A")
	push.ByHand = true
	with(p, push, out, home, back(sp.At(1, 12, 40), "avocet", "A"))
}

func TestMeadowIsWorkable(t *testing.T) {
	s, p := meadow()
	if r := sp.Check(s, p); !r.Workable() {
		t.Fatalf("faults in the plain case: %v", r.Faults)
	}
}

func TestEveryRule(t *testing.T) {
	for _, v := range ruleCases {
		t.Run(string(v.rule)+"/"+v.name, func(t *testing.T) {
			s, p := meadow()
			title(s)
			v.wrong(s, p)
			title(s)
			faults := sp.Check(s, p).Faults
			if len(faults) == 0 {
				t.Fatalf("no fault, want %q", v.rule)
			}
			for _, f := range faults {
				if f.Rule != v.rule {
					t.Errorf("want %q only, got also %q: %s", v.rule, f.Rule, f.Sentence)
				}
			}
			for _, word := range v.says {
				if !strings.Contains(faults[0].Sentence, word) {
					t.Errorf("sentence %q does not say %q", faults[0].Sentence, word)
				}
			}
			if faults[0].Sentence == "" || len(faults[0].Units) == 0 && v.name != "lane" {
				t.Errorf("fault without sentence or vehicles: %+v", faults[0])
			}
			s, p = meadow()
			v.right(s, p)
			title(s)
			for _, f := range sp.Check(s, p).Faults {
				t.Errorf("the near miss breaks %q: %s", f.Rule, f.Sentence)
			}
		})
	}
}

// title gives vehicles names with a capital, so that sentences can be told
// from ids.
func title(s *sp.Show) {
	for i := range s.Vehicles {
		name := string(s.Vehicles[i].ID)
		s.Vehicles[i].Name = strings.ToUpper(name[:1]) + name[1:]
	}
}

func TestEveryRuleHasACase(t *testing.T) {
	for _, r := range sp.Rules {
		if !slices.ContainsFunc(ruleCases, func(v ruleCase) bool { return v.rule == r }) {
			t.Errorf("no case for rule %q", r)
		}
	}
}
