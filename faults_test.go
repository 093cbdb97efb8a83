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

// ruleCase is one way to break a rule, and no other; what the sentence must
// say; and a near miss that breaks none.
type ruleCase struct {
	rule  sp.Rule
	name  string
	wrong change
	says  []string
	right change
}

// ruleCases has at least one case for every rule.
var ruleCases = []ruleCase{
	{sp.RuleUnknown, "vehicle", func(s *sp.Show, p *sp.Plan) { with(p, aside(sp.At(1, 12, 0), "harrier", "A")) }, []string{"harrier"},
		func(s *sp.Show, p *sp.Plan) {
			with(p, aside(sp.At(1, 12, 0), "avocet", "A"), back(sp.At(1, 12, 5), "avocet", "A"))
		}},
	{sp.RuleUnknown, "lane", func(s *sp.Show, p *sp.Plan) { p.Start = append(p.Start, sp.LaneLayout{Lane: "D"}) }, []string{`"D"`},
		func(s *sp.Show, p *sp.Plan) { p.Start = append(p.Start, sp.LaneLayout{Lane: "C"}) }},
	{sp.RuleMove, "through lane left by its tail", func(s *sp.Show, p *sp.Plan) { moveIn(p, "out-b").From.End = sp.Tail }, []string{"lane B", "tail"},
		func(s *sp.Show, p *sp.Plan) { moveIn(p, "out-b").From.End = sp.Mouth }},
	{sp.RuleMove, "moved aside out of the arena", func(s *sp.Show, p *sp.Plan) {
		m := aside(sp.At(1, 12, 0), "avocet", "A")
		m.From = sp.Pos{Kind: sp.InArena}
		with(p, m)
	}, []string{"aside", "arena"}, func(s *sp.Show, p *sp.Plan) {
		with(p, aside(sp.At(1, 12, 0), "avocet", "A"), back(sp.At(1, 12, 5), "avocet", "A"))
	}},
	{sp.RuleTimes, "list out of order", func(s *sp.Show, p *sp.Plan) {
		moveIn(p, "home-b").Start = moveIn(p, "home-a").Start - 1
		moveIn(p, "column-home").Takes = 119
	}, []string{"Bittern", "D1 10:21:59", "D1 10:22"}, func(s *sp.Show, p *sp.Plan) { moveIn(p, "home-b").Start = moveIn(p, "home-a").Start }},
	{sp.RuleTimes, "before its last move is over", func(s *sp.Show, p *sp.Plan) {
		m := aside(sp.At(1, 10, 22)+59, "avocet", "A")
		with(p, m, back(sp.At(1, 10, 30), "avocet", "A"))
		moveIn(p, "home-a").To = sp.AtLane("B", "")
		moveIn(p, "home-a").Reverse = false
		moveIn(p, "aside-avocet").From = sp.AtLane("B", "")
	}, []string{"Avocet", "D1 10:23"}, func(s *sp.Show, p *sp.Plan) {
		with(p, aside(sp.At(1, 10, 23), "avocet", "A"), back(sp.At(1, 10, 30), "avocet", "A"))
	}},
	{sp.RulePace, "quicker than its kind", func(s *sp.Show, p *sp.Plan) { moveIn(p, "home-b").Takes = 59 }, []string{"Bittern", "59 s", "1 min"},
		func(s *sp.Show, p *sp.Plan) { moveIn(p, "home-b").Takes = 60 }},
	{sp.RuleBlocked, "another in the way", func(s *sp.Show, p *sp.Plan) {
		with(p, aside(sp.At(1, 12, 0), "curlew", "A"), back(sp.At(1, 12, 5), "curlew", "A"))
	}, []string{"Curlew", "Avocet", "lane A"},
		func(s *sp.Show, p *sp.Plan) {
			with(p, aside(sp.At(1, 10, 0), "curlew", "A"), back(sp.At(1, 10, 5), "curlew", "A"))
		}},
	{sp.RuleOverfull, "by a centimetre", func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[0].Length = 1599 }, []string{"Avocet", "lane A", "0.01 m"},
		func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[0].Length = 1600 }},
	{sp.RuleOverfull, "by its own gap behind", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "avocet").GapBehind = 51 }, []string{"Avocet", "0.01 m"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "avocet").GapAhead = 51 }},
	{sp.RuleFit, "too wide", func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[1].Width, vehicleIn(s, "bittern").Width = 250, 251 }, []string{"2.51 m", "2.50 m"},
		func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[1].Width, vehicleIn(s, "bittern").Width = 250, 250 }},
	{sp.RuleFit, "too heavy", func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[1].MaxMass, vehicleIn(s, "bittern").Mass = 9000, 9001 }, []string{"9001 kg", "9000 kg"},
		func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[1].MaxMass, vehicleIn(s, "bittern").Mass = 9000, 0 }},
	{sp.RuleFit, "zone not allowed", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").Zones = []sp.ZoneID{"camp"} }, []string{"Bittern", "field"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").Zones = []sp.ZoneID{"camp", "field"} }},
	{sp.RuleFit, "too deep", func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[0].MaxDeep = 2 }, []string{"3", "2"},
		func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[0].MaxDeep = 3 }},
	{sp.RuleFit, "stands alone", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "dunlin").StandsAlone = true }, []string{"Dunlin", "alone"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").StandsAlone = true }},
	{sp.RuleFit, "kept apart", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "dunlin").KeepApart = []sp.UnitID{"avocet"} }, []string{"Dunlin", "Avocet", "apart"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "dunlin").KeepApart = []sp.UnitID{"bittern"} }},
	{sp.RuleFit, "lane closed", func(s *sp.Show, p *sp.Plan) {
		s.Park.Lanes[1].Closed = []sp.Window{{From: sp.At(1, 10, 0), To: sp.At(1, 10, 24) + 1}}
	}, []string{"lane B", "D1 10:24:01"},
		func(s *sp.Show, p *sp.Plan) {
			s.Park.Lanes[1].Closed = []sp.Window{{From: sp.At(1, 9, 2), To: sp.At(1, 10, 24)}}
		}},
	{sp.RuleNotThere, "in another lane", func(s *sp.Show, p *sp.Plan) {
		with(p, aside(sp.At(1, 12, 0), "bittern", "C"), back(sp.At(1, 12, 5), "bittern", "B"))
	}, []string{"Bittern", "lane C", "lane B"},
		func(s *sp.Show, p *sp.Plan) {
			with(p, aside(sp.At(1, 12, 0), "bittern", "B"), back(sp.At(1, 12, 5), "bittern", "B"))
		}},
	{sp.RuleReverse, "never", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "avocet").Reverse = sp.ReverseNever }, []string{"Avocet", "lane A"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").Reverse = sp.ReverseNever }},
	{sp.RuleReverse, "not so far", func(s *sp.Show, p *sp.Plan) {
		v := vehicleIn(s, "avocet")
		v.Reverse, v.ReverseLimit = sp.ReverseShort, 499
	}, []string{"5.00 m", "4.99 m"}, func(s *sp.Show, p *sp.Plan) {
		v := vehicleIn(s, "avocet")
		v.Reverse, v.ReverseLimit = sp.ReverseShort, 500
	}},
	{sp.RuleFacing, "driven in nose first", func(s *sp.Show, p *sp.Plan) { moveIn(p, "home-a").Reverse = false }, []string{"Avocet", "lane A", "reversed"},
		func(s *sp.Show, p *sp.Plan) { moveIn(p, "home-a").Reverse = false; s.Park.Lanes[0].In = sp.InEither }},
	{sp.RuleFacing, "leaves forwards though nose in", func(s *sp.Show, p *sp.Plan) { p.Start[1].NoseIn = []sp.UnitID{"bittern"} }, []string{"Bittern", "lane B", "reverse"},
		func(s *sp.Show, p *sp.Plan) {
			p.Start[1].NoseIn = []sp.UnitID{"bittern"}
			moveIn(p, "out-b").Reverse = true
		}},
	{sp.RuleStart, "no room for a tow start", func(s *sp.Show, p *sp.Plan) {
		v := vehicleIn(s, "avocet")
		v.Start, v.StartClear, s.Park.Lanes[0].Mouth = sp.StartTow, 901, "front"
	}, []string{"9.01 m", "9.00 m"}, func(s *sp.Show, p *sp.Plan) {
		v := vehicleIn(s, "avocet")
		v.Start, v.StartClear, s.Park.Lanes[0].Mouth = sp.StartTow, 900, "front"
	}},
	{sp.RuleStart, "no room for a slave lead", func(s *sp.Show, p *sp.Plan) {
		vehicleIn(s, "curlew").Start = sp.StartSlave
		p.Start[0].NoseIn = []sp.UnitID{"curlew"}
		m := aside(sp.At(1, 10, 0), "curlew", "A")
		m.Reverse = true
		with(p, m, back(sp.At(1, 10, 5), "curlew", "A"))
	}, []string{"Curlew", "slave lead", "Dunlin"}, func(s *sp.Show, p *sp.Plan) {
		vehicleIn(s, "curlew").Start = sp.StartSlave
		p.Start[0].NoseIn = []sp.UnitID{"curlew"}
		s.Park.Lanes[0].Beside = true
		m := aside(sp.At(1, 10, 0), "curlew", "A")
		m.Reverse = true
		with(p, m, back(sp.At(1, 10, 5), "curlew", "A"))
	}},
	{sp.RuleStart, "not by hand", func(s *sp.Show, p *sp.Plan) {
		moveIn(p, "home-b").ByHand = true
		vehicleIn(s, "bittern").HandPeople = 0
	}, []string{"Bittern", "by hand"},
		func(s *sp.Show, p *sp.Plan) {
			moveIn(p, "home-b").ByHand = true
			vehicleIn(s, "bittern").HandPeople = 1
		}},
	{sp.RuleOffRoad, "broken down", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").OffRoad = sp.Window{From: sp.At(1, 10, 24)} }, []string{"Bittern", "D1 10:24"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").OffRoad = sp.Window{From: sp.At(1, 10, 24) + 1} }},
	{sp.RuleCombination, "pushed by hand", func(s *sp.Show, p *sp.Plan) {
		withCombination(s, p)
		m := aside(sp.At(1, 12, 0), "egret-gun", "C")
		m.ByHand = true
		with(p, m, back(sp.At(1, 12, 5), "egret-gun", "C"))
	}, []string{"Egret and gun", "by hand"}, func(s *sp.Show, p *sp.Plan) {
		withCombination(s, p)
		with(p, aside(sp.At(1, 12, 0), "egret-gun", "C"), back(sp.At(1, 12, 5), "egret-gun", "C"))
	}},
	{sp.RuleCombination, "coupled at another place", func(s *sp.Show, p *sp.Plan) {
		withCombination(s, p)
		part := sp.Move{ID: "part", Kind: sp.MovePart, Unit: "egret-gun", From: sp.AtSpot("verge"), To: sp.AtSpot("verge"), Start: sp.At(1, 12, 2), Takes: 60}
		couple := part
		couple.ID, couple.Kind, couple.Start = "couple", sp.MoveCouple, sp.At(1, 12, 3)
		with(p, aside(sp.At(1, 12, 0), "egret-gun", "C"), part, couple, back(sp.At(1, 12, 5), "egret-gun", "C"))
	}, []string{"Egret and gun", "copse"}, func(s *sp.Show, p *sp.Plan) {
		withCombination(s, p)
		s.Combinations[0].CoupleAt = "verge"
		part := sp.Move{ID: "part", Kind: sp.MovePart, Unit: "egret-gun", From: sp.AtSpot("verge"), To: sp.AtSpot("verge"), Start: sp.At(1, 12, 2), Takes: 60}
		couple := part
		couple.ID, couple.Kind, couple.Start = "couple", sp.MoveCouple, sp.At(1, 12, 3)
		with(p, aside(sp.At(1, 12, 0), "egret-gun", "C"), part, couple, back(sp.At(1, 12, 5), "egret-gun", "C"))
	}},
	{sp.RuleLineOrder, "pulled out in the wrong order", func(s *sp.Show, p *sp.Plan) { moveIn(p, "out-a").Start = sp.At(1, 9, 4); with(p) }, []string{"Avocet", "Bittern", "north"},
		func(s *sp.Show, p *sp.Plan) {
			moveIn(p, "out-a").Start = sp.At(1, 9, 4)
			with(p)
			s.Park.Lines[0].Out = sp.OutFree
		}},
	{sp.RuleLineOrder, "home out of order", func(s *sp.Show, p *sp.Plan) { moveIn(p, "home-a").Start = sp.At(1, 10, 26); with(p) }, []string{"Bittern", "Avocet"},
		func(s *sp.Show, p *sp.Plan) {
			moveIn(p, "home-a").Start = sp.At(1, 10, 26)
			with(p)
			s.Park.Lines[0].Home = sp.HomeAnyOrder
		}},
	{sp.RuleLineOrder, "the tail leads home", func(s *sp.Show, p *sp.Plan) { s.Park.Lines[0].TailLeads = true }, []string{"Avocet", "Bittern"},
		func(s *sp.Show, p *sp.Plan) {
			moveIn(p, "home-a").Start = sp.At(1, 10, 26)
			with(p)
			s.Park.Lines[0].TailLeads = true
		}},
	{sp.RuleLineFull, "by a centimetre", func(s *sp.Show, p *sp.Plan) { s.Park.Lines[0].Length = 1049 }, []string{"10.49 m", "10.50 m"},
		func(s *sp.Show, p *sp.Plan) { s.Park.Lines[0].Length = 1050 }},
	{sp.RuleFouled, "first of the line before a mouth", func(s *sp.Show, p *sp.Plan) {
		s.Park.Lines[0].Fouls = []sp.Foul{{From: 499, To: 550, Lanes: []sp.LaneID{"B"}}}
	}, []string{"Avocet", "lane B", "Bittern"},
		func(s *sp.Show, p *sp.Plan) {
			s.Park.Lines[0].Fouls = []sp.Foul{{From: 500, To: 550, Lanes: []sp.LaneID{"B"}}}
		}},
	{sp.RuleFrontage, "one reverses", func(s *sp.Show, p *sp.Plan) {
		s.Park.Lanes[0].Mouth, s.Park.Lanes[1].Tail = "front", "front"
		moveIn(p, "home-b").Start = sp.At(1, 10, 23) - 1
	}, []string{"front", "Avocet", "Bittern"},
		func(s *sp.Show, p *sp.Plan) {
			s.Park.Lanes[0].Mouth, s.Park.Lanes[1].Tail = "front", "front"
			moveIn(p, "home-b").Start = sp.At(1, 10, 23)
		}},
	{sp.RuleLaneEnd, "two in by one tail", func(s *sp.Show, p *sp.Plan) {
		moveIn(p, "home-a").To, moveIn(p, "home-a").Reverse, moveIn(p, "home-b").Start = sp.AtLane("B", ""), false, sp.At(1, 10, 23)-1
	}, []string{"lane B", "tail", "D1 10:23"}, func(s *sp.Show, p *sp.Plan) {
		moveIn(p, "home-a").To, moveIn(p, "home-a").Reverse, moveIn(p, "home-b").Start = sp.AtLane("B", ""), false, sp.At(1, 10, 23)
	}},
	{sp.RuleAside, "spot too short", func(s *sp.Show, p *sp.Plan) {
		s.Park.Spots[0].Length = 499
		with(p, aside(sp.At(1, 12, 0), "avocet", "A"), back(sp.At(1, 12, 5), "avocet", "A"))
	}, []string{"4.99 m", "5.00 m"},
		func(s *sp.Show, p *sp.Plan) {
			s.Park.Spots[0].Length = 500
			with(p, aside(sp.At(1, 12, 0), "avocet", "A"), back(sp.At(1, 12, 5), "avocet", "A"))
		}},
	{sp.RuleAside, "spot of another zone", func(s *sp.Show, p *sp.Plan) {
		s.Park.Spots[0].Zones = []sp.ZoneID{"camp"}
		with(p, aside(sp.At(1, 12, 0), "avocet", "A"), back(sp.At(1, 12, 5), "avocet", "A"))
	}, []string{"lane A", "Avocet"},
		func(s *sp.Show, p *sp.Plan) {
			s.Park.Spots[0].Zones = []sp.ZoneID{"field"}
			with(p, aside(sp.At(1, 12, 0), "avocet", "A"), back(sp.At(1, 12, 5), "avocet", "A"))
		}},
	{sp.RuleTeams, "one team for two", func(s *sp.Show, p *sp.Plan) { s.Park.Teams = 1; moveIn(p, "home-b").Start = sp.At(1, 10, 23) - 1 }, []string{"2", "there are 1"},
		func(s *sp.Show, p *sp.Plan) { s.Park.Teams = 1; moveIn(p, "home-b").Start = sp.At(1, 10, 23) }},
	{sp.RulePerson, "drives both", func(s *sp.Show, p *sp.Plan) { drivers(s, "kim", "kim") }, []string{"Kim", "Avocet", "Bittern"},
		func(s *sp.Show, p *sp.Plan) { drivers(s, "kim", "lee") }},
	{sp.RuleNoDriver, "the only driver is out", func(s *sp.Show, p *sp.Plan) {
		drivers(s, "kim", "lee")
		vehicleIn(s, "curlew").UsualDriver = "kim"
		with(p, aside(sp.At(1, 10, 0), "curlew", "A"), back(sp.At(1, 12, 5), "curlew", "C"))
	}, []string{"Curlew", "D1 10:00"}, func(s *sp.Show, p *sp.Plan) {
		drivers(s, "kim", "lee")
		vehicleIn(s, "curlew").UsualDriver = "kim"
		vehicleIn(s, "curlew").Drivers = []sp.PersonID{"ash"}
		with(p, aside(sp.At(1, 10, 0), "curlew", "A"), back(sp.At(1, 12, 5), "curlew", "C"))
	}},
	{sp.RuleWarmUp, "warmed up behind one pushed away later", func(s *sp.Show, p *sp.Plan) { pushedFor(s, p, sp.At(1, 11, 50)+1) }, []string{"Curlew", "Avocet", "D1 11:50"},
		func(s *sp.Show, p *sp.Plan) { pushedFor(s, p, sp.At(1, 11, 50)) }},
	{sp.RuleIdle, "neither idling nor cold", func(s *sp.Show, p *sp.Plan) {
		vehicleIn(s, "avocet").LongestIdle, vehicleIn(s, "avocet").HotRest = span(600), span(3421)
	}, []string{"57 min", "10 min"}, func(s *sp.Show, p *sp.Plan) {
		vehicleIn(s, "avocet").LongestIdle, vehicleIn(s, "avocet").HotRest = span(600), span(3420)
	}},
	{sp.RuleNotClear, "moves a second too soon", func(s *sp.Show, p *sp.Plan) { publicField(s, sp.At(1, 9, 0)+1, sp.At(1, 12, 0)) }, []string{"Avocet", "field", "D1 09:00:01"},
		func(s *sp.Show, p *sp.Plan) { publicField(s, sp.At(1, 9, 0), sp.At(1, 12, 0)) }},
	{sp.RuleNotClear, "warms up too soon", func(s *sp.Show, p *sp.Plan) {
		publicField(s, sp.At(1, 9, 0), sp.At(1, 12, 0))
		vehicleIn(s, "avocet").WarmUp, vehicleIn(s, "avocet").WarmWhere = span(1), sp.WarmInLane
	}, []string{"Avocet", "D1 08:59:59"}, func(s *sp.Show, p *sp.Plan) {
		publicField(s, sp.At(1, 9, 0)-1, sp.At(1, 12, 0))
		vehicleIn(s, "avocet").WarmUp, vehicleIn(s, "avocet").WarmWhere = span(1), sp.WarmInLane
	}},
	{sp.RuleReopened, "still cooling", func(s *sp.Show, p *sp.Plan) {
		publicField(s, sp.At(1, 9, 0), sp.At(1, 10, 26))
		vehicleIn(s, "bittern").CoolDown = span(61)
	}, []string{"Bittern", "D1 10:26:01", "D1 10:26"},
		func(s *sp.Show, p *sp.Plan) {
			publicField(s, sp.At(1, 9, 0), sp.At(1, 10, 26))
			vehicleIn(s, "bittern").CoolDown = span(60)
		}},
	{sp.RuleEngineHours, "too early", func(s *sp.Show, p *sp.Plan) { s.Days[0].EngineFrom = sp.At(1, 9, 0) + 1 }, []string{"Avocet", "09:00:01"},
		func(s *sp.Show, p *sp.Plan) { s.Days[0].EngineFrom = sp.At(1, 9, 0) }},
	{sp.RuleMissing, "no moves", func(s *sp.Show, p *sp.Plan) { withoutBittern(p) }, []string{"Bittern"},
		func(s *sp.Show, p *sp.Plan) { withoutBittern(p); s.Serials[0].Entries = s.Serials[0].Entries[:1] }},
	{sp.RuleUnserved, "given up", func(s *sp.Show, p *sp.Plan) { withoutBittern(p); p.Unserved = []sp.EntryID{"S-2"} }, []string{"Bittern", "given up"},
		func(s *sp.Show, p *sp.Plan) { withoutBittern(p); s.Serials[0].Entries = s.Serials[0].Entries[:1] }},
	{sp.RuleWrongUnit, "another entry", func(s *sp.Show, p *sp.Plan) { moveIn(p, "out-a").Entry = "S-2" }, []string{"Avocet", "Bittern"},
		func(s *sp.Show, p *sp.Plan) { moveIn(p, "out-a").Entry = "S-1" }},
	{sp.RuleLate, "formed up late", func(s *sp.Show, p *sp.Plan) { s.Serials[0].FormUp = sp.At(1, 9, 3) - 1 }, []string{"Bittern", "D1 09:03", "D1 09:02:59"},
		func(s *sp.Show, p *sp.Plan) { s.Serials[0].FormUp = sp.At(1, 9, 3) }},
	{sp.RuleLate, "warms up on the line too short", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").WarmUp = span(3301) }, []string{"Bittern", "55 min"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").WarmUp = span(3300) }},
	{sp.RuleHomeLate, "by a second", func(s *sp.Show, p *sp.Plan) { s.Serials[0].HomeBy = sp.At(1, 10, 25) - 1 }, []string{"Bittern", "D1 10:25", "D1 10:24:59"},
		func(s *sp.Show, p *sp.Plan) { s.Serials[0].HomeBy = sp.At(1, 10, 25) }},
	{sp.RuleHomeLate, "not when held back", func(s *sp.Show, p *sp.Plan) { moveIn(p, "home-b").Start = sp.At(1, 11, 0) }, []string{"Bittern", "D1 11:01"},
		func(s *sp.Show, p *sp.Plan) {
			moveIn(p, "home-b").Start, moveIn(p, "home-b").Nominal = sp.At(1, 11, 0), sp.At(1, 11, 0)
		}},
	{sp.RuleRoute, "line on the emergency route", func(s *sp.Show, p *sp.Plan) { s.Park.Lines[0].Route = true }, []string{"emergency route", "north"},
		func(s *sp.Show, p *sp.Plan) { s.Park.Spots[0].Route = true }},
	{sp.RuleStandby, "shut in", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "curlew").Standby = true }, []string{"Curlew", "Avocet", "lane A"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "avocet").Standby = true }},
	{sp.RuleReserve, "behind another", func(s *sp.Show, p *sp.Plan) { s.Serials[0].Entries[0].Reserves = []sp.UnitID{"dunlin"} }, []string{"Dunlin", "Curlew", "Avocet"},
		func(s *sp.Show, p *sp.Plan) { s.Serials[0].Entries[0].Reserves = []sp.UnitID{"curlew"} }},
	{sp.RuleRuns, "too many runs", func(s *sp.Show, p *sp.Plan) { runTwice(s, p); vehicleIn(s, "avocet").MaxRuns = 1 }, []string{"Avocet", "2", "1"},
		func(s *sp.Show, p *sp.Plan) { runTwice(s, p); vehicleIn(s, "avocet").MaxRuns = 2 }},
	{sp.RuleRuns, "too long in the arena", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "avocet").MaxRunning = 1199 }, []string{"Avocet", "20 min"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "avocet").MaxRunning = 1200 }},
	{sp.RuleMorning, "left on the verge overnight", func(s *sp.Show, p *sp.Plan) { with(p, aside(sp.At(1, 12, 0), "avocet", "A")) }, []string{"Avocet", "verge", "D2 06:00"},
		func(s *sp.Show, p *sp.Plan) {
			with(p, aside(sp.At(1, 12, 0), "avocet", "A"), back(sp.At(1, 12, 5), "avocet", "A"))
		}},
	{sp.RuleHome, "fixed elsewhere", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "curlew").Home = sp.Home{Lane: "B", Binding: sp.Fixed} }, []string{"Curlew", "lane B", "lane A"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "curlew").Home = sp.Home{Lane: "B", Binding: sp.Told} }},
	{sp.RuleWindow, "reset too early", func(s *sp.Show, p *sp.Plan) { with(p, reset(sp.At(1, 19, 0)-1, "avocet", "A", "C")) }, []string{"Avocet", "D1 18:59:59"},
		func(s *sp.Show, p *sp.Plan) { with(p, reset(sp.At(1, 19, 0), "avocet", "A", "C")) }},
	{sp.RuleWindow, "reset too late", func(s *sp.Show, p *sp.Plan) { with(p, reset(sp.At(1, 19, 59)+1, "avocet", "A", "C")) }, []string{"Avocet", "D1 20:00:01"},
		func(s *sp.Show, p *sp.Plan) { with(p, reset(sp.At(1, 19, 59), "avocet", "A", "C")) }},
	{sp.RuleOwner, "in a reset", func(s *sp.Show, p *sp.Plan) {
		vehicleIn(s, "avocet").OwnerOnly = true
		with(p, reset(sp.At(1, 19, 0), "avocet", "A", "C"))
	}, []string{"Avocet", "owner"},
		func(s *sp.Show, p *sp.Plan) {
			vehicleIn(s, "curlew").OwnerOnly = true
			with(p, reset(sp.At(1, 19, 0), "avocet", "A", "C"))
		}},
	{sp.RuleNotPlaced, "nowhere", func(s *sp.Show, p *sp.Plan) { p.Start[0].Units = []sp.UnitID{"avocet", "curlew"} }, []string{"Dunlin"},
		func(s *sp.Show, p *sp.Plan) {
			p.Start[0].Units = []sp.UnitID{"avocet", "curlew"}
			vehicleIn(s, "dunlin").Arrive = sp.Window{From: sp.At(1, 8, 0), To: sp.At(1, 8, 30)}
			with(p, sp.Move{ID: "in", Kind: sp.MoveArrive, Unit: "dunlin", From: sp.Pos{Kind: sp.InAway}, To: sp.AtLane("C", ""), Start: sp.At(1, 8, 30), Takes: 60})
		}},
	{sp.RuleDuty, "no move", func(s *sp.Show, p *sp.Plan) { d, _, _ := duty("avocet", "A"); s.Duties = []sp.Duty{d} }, []string{"Avocet", "fuel", "D1 12:01"},
		func(s *sp.Show, p *sp.Plan) { runTwice(s, p) }},
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
