package sallyport_test

import sp "sallyport"

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
	{
		sp.RuleUnknown, "vehicle", func(s *sp.Show, p *sp.Plan) { with(p, aside(sp.At(1, 12, 0), "harrier", "A")) },
		[]string{"harrier"},
		func(s *sp.Show, p *sp.Plan) {
			with(p, aside(sp.At(1, 12, 0), "avocet", "A"), back(sp.At(1, 12, 5), "avocet", "A"))
		},
	},
	{
		sp.RuleUnknown, "lane", func(s *sp.Show, p *sp.Plan) { p.Start = append(p.Start, sp.LaneLayout{Lane: "D"}) },
		[]string{`"D"`},
		func(s *sp.Show, p *sp.Plan) { p.Start = append(p.Start, sp.LaneLayout{Lane: "C"}) },
	},
	{
		sp.RuleMove, "through lane left by its tail", func(s *sp.Show, p *sp.Plan) { moveIn(p, "out-b").From.End = sp.Tail },
		[]string{"lane B", "tail"},
		func(s *sp.Show, p *sp.Plan) { moveIn(p, "out-b").From.End = sp.Mouth },
	},
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
	}, []string{"Bittern", "Friday 10:21:59", "Friday 10:22"}, func(s *sp.Show, p *sp.Plan) { moveIn(p, "home-b").Start = moveIn(p, "home-a").Start }},
	{sp.RuleTimes, "before its last move is over", func(s *sp.Show, p *sp.Plan) {
		m := aside(sp.At(1, 10, 22)+59, "avocet", "A")
		with(p, m, back(sp.At(1, 10, 30), "avocet", "A"))
		moveIn(p, "home-a").To = sp.AtLane("B", "")
		moveIn(p, "home-a").Reverse = false
		moveIn(p, "aside-avocet").From = sp.AtLane("B", "")
	}, []string{"Avocet", "Friday 10:23"}, func(s *sp.Show, p *sp.Plan) {
		with(p, aside(sp.At(1, 10, 23), "avocet", "A"), back(sp.At(1, 10, 30), "avocet", "A"))
	}},
	{
		sp.RulePace, "quicker than its kind", func(s *sp.Show, p *sp.Plan) { moveIn(p, "home-b").Takes = 59 },
		[]string{"Bittern", "59 s", "1 min"},
		func(s *sp.Show, p *sp.Plan) { moveIn(p, "home-b").Takes = 60 },
	},
	{
		sp.RuleBlocked, "another in the way", func(s *sp.Show, p *sp.Plan) {
			with(p, aside(sp.At(1, 12, 0), "curlew", "A"), back(sp.At(1, 12, 5), "curlew", "C"))
		},
		[]string{"Curlew", "Avocet", "lane A"},
		func(s *sp.Show, p *sp.Plan) {
			with(p, aside(sp.At(1, 10, 0), "curlew", "A"), back(sp.At(1, 10, 5), "curlew", "A"))
		},
	},
	{
		sp.RuleOverfull, "by a centimetre", func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[0].Length = 1599 },
		[]string{"Avocet", "lane A", "0.01 m"},
		func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[0].Length = 1600 },
	},
	{
		sp.RuleOverfull, "by its own gap behind", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "avocet").GapBehind = 51 },
		[]string{"Avocet", "0.01 m"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "avocet").GapAhead = 51 },
	},
	{
		sp.RuleFit, "too wide", func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[1].Width, vehicleIn(s, "bittern").Width = 250, 251 },
		[]string{"2.51 m", "2.50 m"},
		func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[1].Width, vehicleIn(s, "bittern").Width = 250, 250 },
	},
	{
		sp.RuleFit, "too heavy", func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[1].MaxMass, vehicleIn(s, "bittern").Mass = 9000, 9001 },
		[]string{"9001 kg", "9000 kg"},
		func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[1].MaxMass, vehicleIn(s, "bittern").Mass = 9000, 0 },
	},
	{
		sp.RuleFit, "zone not allowed", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").Zones = []sp.ZoneID{"camp"} },
		[]string{"Bittern", "field"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").Zones = []sp.ZoneID{"camp", "field"} },
	},
	{
		sp.RuleFit, "too deep", func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[0].MaxDeep = 2 },
		[]string{"3", "2"},
		func(s *sp.Show, p *sp.Plan) { s.Park.Lanes[0].MaxDeep = 3 },
	},
	{
		sp.RuleFit, "stands alone", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "dunlin").StandsAlone = true },
		[]string{"Dunlin", "alone"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").StandsAlone = true },
	},
	{
		sp.RuleFit, "kept apart", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "dunlin").KeepApart = []sp.UnitID{"avocet"} },
		[]string{"Dunlin", "Avocet", "apart"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "dunlin").KeepApart = []sp.UnitID{"bittern"} },
	},
	{
		sp.RuleFit, "lane closed", func(s *sp.Show, p *sp.Plan) {
			s.Park.Lanes[1].Closed = []sp.Window{{From: sp.At(1, 10, 0), To: sp.At(1, 10, 24) + 1}}
		},
		[]string{"lane B", "Friday 10:24:01"},
		func(s *sp.Show, p *sp.Plan) {
			s.Park.Lanes[1].Closed = []sp.Window{{From: sp.At(1, 9, 2), To: sp.At(1, 10, 24)}}
		},
	},
	{
		sp.RuleNotThere, "in another lane", func(s *sp.Show, p *sp.Plan) {
			with(p, aside(sp.At(1, 12, 0), "bittern", "C"), back(sp.At(1, 12, 5), "bittern", "B"))
		},
		[]string{"Bittern", "lane C", "lane B"},
		func(s *sp.Show, p *sp.Plan) {
			with(p, aside(sp.At(1, 12, 0), "bittern", "B"), back(sp.At(1, 12, 5), "bittern", "B"))
		},
	},
	{
		sp.RuleReverse, "never", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "avocet").Reverse = sp.ReverseNever },
		[]string{"Avocet", "lane A"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").Reverse = sp.ReverseNever },
	},
	{sp.RuleReverse, "not so far", func(s *sp.Show, p *sp.Plan) {
		v := vehicleIn(s, "avocet")
		v.Reverse, v.ReverseLimit = sp.ReverseShort, 499
	}, []string{"5.00 m", "4.99 m"}, func(s *sp.Show, p *sp.Plan) {
		v := vehicleIn(s, "avocet")
		v.Reverse, v.ReverseLimit = sp.ReverseShort, 500
	}},
	{
		sp.RuleFacing, "driven in nose first", func(s *sp.Show, p *sp.Plan) { moveIn(p, "home-a").Reverse = false },
		[]string{"Avocet", "lane A", "reversed"},
		func(s *sp.Show, p *sp.Plan) { moveIn(p, "home-a").Reverse = false; s.Park.Lanes[0].In = sp.InEither },
	},
	{
		sp.RuleFacing, "leaves forwards though nose in", func(s *sp.Show, p *sp.Plan) { p.Start[1].NoseIn = []sp.UnitID{"bittern"} },
		[]string{"Bittern", "lane B", "reverse"},
		func(s *sp.Show, p *sp.Plan) {
			p.Start[1].NoseIn = []sp.UnitID{"bittern"}
			moveIn(p, "out-b").Reverse = true
		},
	},
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
	{
		sp.RuleStart, "not by hand", func(s *sp.Show, p *sp.Plan) {
			moveIn(p, "home-b").ByHand = true
			vehicleIn(s, "bittern").HandPeople = 0
		},
		[]string{"Bittern", "by hand"},
		func(s *sp.Show, p *sp.Plan) {
			moveIn(p, "home-b").ByHand = true
			vehicleIn(s, "bittern").HandPeople = 1
		},
	},
	{
		sp.RuleOffRoad, "broken down", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").OffRoad = sp.Window{From: sp.At(1, 10, 24)} },
		[]string{"Bittern", "Friday 10:24"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").OffRoad = sp.Window{From: sp.At(1, 10, 24) + 1} },
	},
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
	{
		sp.RuleLineOrder, "pulled out in the wrong order", func(s *sp.Show, p *sp.Plan) { moveIn(p, "out-a").Start = sp.At(1, 9, 4); with(p) },
		[]string{"Avocet", "Bittern", "north"},
		func(s *sp.Show, p *sp.Plan) {
			moveIn(p, "out-a").Start = sp.At(1, 9, 4)
			with(p)
			s.Park.Lines[0].Out = sp.OutFree
		},
	},
	{
		sp.RuleLineOrder, "home out of order", func(s *sp.Show, p *sp.Plan) { moveIn(p, "home-a").Start = sp.At(1, 10, 26); with(p) },
		[]string{"Bittern", "Avocet"},
		func(s *sp.Show, p *sp.Plan) {
			moveIn(p, "home-a").Start = sp.At(1, 10, 26)
			with(p)
			s.Park.Lines[0].Home = sp.HomeAnyOrder
		},
	},
	{
		sp.RuleLineOrder, "the tail leads home", func(s *sp.Show, p *sp.Plan) { s.Park.Lines[0].TailLeads = true },
		[]string{"Avocet", "Bittern"},
		func(s *sp.Show, p *sp.Plan) {
			moveIn(p, "home-a").Start = sp.At(1, 10, 26)
			with(p)
			s.Park.Lines[0].TailLeads = true
		},
	},
	{
		sp.RuleLineFull, "by a centimetre", func(s *sp.Show, p *sp.Plan) { s.Park.Lines[0].Length = 1049 },
		[]string{"10.49 m", "10.50 m"},
		func(s *sp.Show, p *sp.Plan) { s.Park.Lines[0].Length = 1050 },
	},
	{
		sp.RuleFouled, "first of the line before a mouth", func(s *sp.Show, p *sp.Plan) {
			s.Park.Lines[0].Fouls = []sp.Foul{{From: 499, To: 550, Lanes: []sp.LaneID{"B"}}}
		},
		[]string{"Avocet", "lane B", "Bittern"},
		func(s *sp.Show, p *sp.Plan) {
			s.Park.Lines[0].Fouls = []sp.Foul{{From: 500, To: 550, Lanes: []sp.LaneID{"B"}}}
		},
	},
	{
		sp.RuleFrontage, "one reverses", func(s *sp.Show, p *sp.Plan) {
			s.Park.Lanes[0].Mouth, s.Park.Lanes[1].Tail = "front", "front"
			moveIn(p, "home-b").Start = sp.At(1, 10, 23) - 1
		},
		[]string{"front", "Avocet", "Bittern"},
		func(s *sp.Show, p *sp.Plan) {
			s.Park.Lanes[0].Mouth, s.Park.Lanes[1].Tail = "front", "front"
			moveIn(p, "home-b").Start = sp.At(1, 10, 23)
		},
	},
	{sp.RuleLaneEnd, "two in by one tail", func(s *sp.Show, p *sp.Plan) {
		moveIn(p, "home-a").To, moveIn(p, "home-a").Reverse, moveIn(p, "home-b").Start = sp.AtLane("B", ""), false, sp.At(1, 10, 23)-1
	}, []string{"lane B", "tail", "Friday 10:23"}, func(s *sp.Show, p *sp.Plan) {
		moveIn(p, "home-a").To, moveIn(p, "home-a").Reverse, moveIn(p, "home-b").Start = sp.AtLane("B", ""), false, sp.At(1, 10, 23)
	}},
	{
		sp.RuleAside, "spot too short", func(s *sp.Show, p *sp.Plan) {
			s.Park.Spots[0].Length = 499
			with(p, aside(sp.At(1, 12, 0), "avocet", "A"), back(sp.At(1, 12, 5), "avocet", "A"))
		},
		[]string{"4.99 m", "5.00 m"},
		func(s *sp.Show, p *sp.Plan) {
			s.Park.Spots[0].Length = 500
			with(p, aside(sp.At(1, 12, 0), "avocet", "A"), back(sp.At(1, 12, 5), "avocet", "A"))
		},
	},
	{
		sp.RuleAside, "spot of another zone", func(s *sp.Show, p *sp.Plan) {
			s.Park.Spots[0].Zones = []sp.ZoneID{"camp"}
			with(p, aside(sp.At(1, 12, 0), "avocet", "A"), back(sp.At(1, 12, 5), "avocet", "A"))
		},
		[]string{"lane A", "Avocet"},
		func(s *sp.Show, p *sp.Plan) {
			s.Park.Spots[0].Zones = []sp.ZoneID{"field"}
			with(p, aside(sp.At(1, 12, 0), "avocet", "A"), back(sp.At(1, 12, 5), "avocet", "A"))
		},
	},
	{
		sp.RuleTeams, "one team for two", func(s *sp.Show, p *sp.Plan) { s.Park.Teams = 1; moveIn(p, "home-b").Start = sp.At(1, 10, 23) - 1 },
		[]string{"2", "there are 1"},
		func(s *sp.Show, p *sp.Plan) { s.Park.Teams = 1; moveIn(p, "home-b").Start = sp.At(1, 10, 23) },
	},
	{
		sp.RulePerson, "drives both", func(s *sp.Show, p *sp.Plan) { drivers(s, "kim", "kim") },
		[]string{"Kim", "Avocet", "Bittern"},
		func(s *sp.Show, p *sp.Plan) { drivers(s, "kim", "lee") },
	},
	{sp.RuleNoDriver, "the only driver is out", func(s *sp.Show, p *sp.Plan) {
		drivers(s, "kim", "lee")
		vehicleIn(s, "curlew").UsualDriver = "kim"
		with(p, aside(sp.At(1, 10, 0), "curlew", "A"), back(sp.At(1, 12, 5), "curlew", "C"))
	}, []string{"Curlew", "Friday 10:00"}, func(s *sp.Show, p *sp.Plan) {
		drivers(s, "kim", "lee")
		vehicleIn(s, "curlew").UsualDriver = "kim"
		vehicleIn(s, "curlew").Drivers = []sp.PersonID{"ash"}
		with(p, aside(sp.At(1, 10, 0), "curlew", "A"), back(sp.At(1, 12, 5), "curlew", "C"))
	}},
	{sp.RuleNoDriver, "the only driver is out, and the move goes from lane to lane", func(s *sp.Show, p *sp.Plan) {
		drivers(s, "kim", "lee")
		vehicleIn(s, "curlew").UsualDriver = "kim"
		with(p, shift(sp.At(1, 10, 0), "curlew", "A", "C"))
	}, []string{"Curlew", "Friday 10:00"}, func(s *sp.Show, p *sp.Plan) {
		drivers(s, "kim", "lee")
		vehicleIn(s, "curlew").UsualDriver = "kim"
		vehicleIn(s, "curlew").Drivers = []sp.PersonID{"ash"}
		with(p, shift(sp.At(1, 10, 0), "curlew", "A", "C"))
	}},
	{
		sp.RuleWarmUp, "warmed up behind one pushed away later", func(s *sp.Show, p *sp.Plan) { pushedFor(s, p, sp.At(1, 11, 50)+1) },
		[]string{"Curlew", "Avocet", "Friday 11:50"},
		func(s *sp.Show, p *sp.Plan) { pushedFor(s, p, sp.At(1, 11, 50)) },
	},
	{sp.RuleIdle, "neither idling nor cold", func(s *sp.Show, p *sp.Plan) {
		vehicleIn(s, "avocet").LongestIdle, vehicleIn(s, "avocet").HotRest = span(600), span(3421)
	}, []string{"57 min", "10 min"}, func(s *sp.Show, p *sp.Plan) {
		vehicleIn(s, "avocet").LongestIdle, vehicleIn(s, "avocet").HotRest = span(600), span(3420)
	}},
	{
		sp.RuleNotClear, "moves a second too soon", func(s *sp.Show, p *sp.Plan) { publicField(s, sp.At(1, 9, 0)+1, sp.At(1, 12, 0)) },
		[]string{"Avocet", "field", "Friday 09:00:01"},
		func(s *sp.Show, p *sp.Plan) { publicField(s, sp.At(1, 9, 0), sp.At(1, 12, 0)) },
	},
	{sp.RuleNotClear, "warms up too soon", func(s *sp.Show, p *sp.Plan) {
		publicField(s, sp.At(1, 9, 0), sp.At(1, 12, 0))
		vehicleIn(s, "avocet").WarmUp, vehicleIn(s, "avocet").WarmWhere = span(1), sp.WarmInLane
	}, []string{"Avocet", "Friday 08:59:59"}, func(s *sp.Show, p *sp.Plan) {
		publicField(s, sp.At(1, 9, 0)-1, sp.At(1, 12, 0))
		vehicleIn(s, "avocet").WarmUp, vehicleIn(s, "avocet").WarmWhere = span(1), sp.WarmInLane
	}},
	{
		sp.RuleReopened, "still cooling", func(s *sp.Show, p *sp.Plan) {
			publicField(s, sp.At(1, 9, 0), sp.At(1, 10, 26))
			vehicleIn(s, "bittern").CoolDown = span(61)
		},
		[]string{"Bittern", "Friday 10:26:01", "Friday 10:26"},
		func(s *sp.Show, p *sp.Plan) {
			publicField(s, sp.At(1, 9, 0), sp.At(1, 10, 26))
			vehicleIn(s, "bittern").CoolDown = span(60)
		},
	},
	{
		sp.RuleEngineHours, "too late", func(s *sp.Show, p *sp.Plan) { s.Days[0].EngineTo = sp.At(1, 10, 25) - 1 },
		[]string{"Bittern", "10:24:59"},
		func(s *sp.Show, p *sp.Plan) { s.Days[0].EngineTo = sp.At(1, 10, 25) },
	},
	{
		sp.RuleMissing, "no moves", func(s *sp.Show, p *sp.Plan) { withoutBittern(p) },
		[]string{"Bittern"},
		func(s *sp.Show, p *sp.Plan) { withoutBittern(p); s.Serials[0].Entries = s.Serials[0].Entries[:1] },
	},
	{
		sp.RuleUnserved, "given up", func(s *sp.Show, p *sp.Plan) { withoutBittern(p); p.Unserved = []sp.EntryID{"S-2"} },
		[]string{"Bittern", "given up"},
		func(s *sp.Show, p *sp.Plan) { withoutBittern(p); s.Serials[0].Entries = s.Serials[0].Entries[:1] },
	},
	{
		sp.RuleWrongUnit, "another entry", func(s *sp.Show, p *sp.Plan) { moveIn(p, "out-a").Entry = "S-2" },
		[]string{"Avocet", "Bittern"},
		func(s *sp.Show, p *sp.Plan) { moveIn(p, "out-a").Entry = "S-1" },
	},
	{
		sp.RuleLate, "formed up late", func(s *sp.Show, p *sp.Plan) { s.Serials[0].FormUp = sp.At(1, 9, 3) - 1 },
		[]string{"Bittern", "Friday 09:03", "Friday 09:02:59"},
		func(s *sp.Show, p *sp.Plan) { s.Serials[0].FormUp = sp.At(1, 9, 3) },
	},
	{
		sp.RuleLate, "warms up on the line too short", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").WarmUp = span(3301) },
		[]string{"Bittern", "55 min"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "bittern").WarmUp = span(3300) },
	},
	{
		sp.RuleHomeLate, "by a second", func(s *sp.Show, p *sp.Plan) { s.Serials[0].HomeBy = sp.At(1, 10, 25) - 1 },
		[]string{"Bittern", "Friday 10:25", "Friday 10:24:59"},
		func(s *sp.Show, p *sp.Plan) { s.Serials[0].HomeBy = sp.At(1, 10, 25) },
	},
	{
		sp.RuleHomeLate, "not when held back", func(s *sp.Show, p *sp.Plan) { moveIn(p, "home-b").Start = sp.At(1, 11, 0) },
		[]string{"Bittern", "Friday 11:01"},
		func(s *sp.Show, p *sp.Plan) {
			moveIn(p, "home-b").Start, moveIn(p, "home-b").Nominal = sp.At(1, 11, 0), sp.At(1, 11, 0)
		},
	},
	{
		sp.RuleRoute, "line on the emergency route", func(s *sp.Show, p *sp.Plan) { s.Park.Lines[0].Route = true },
		[]string{"emergency route", "north"},
		func(s *sp.Show, p *sp.Plan) { s.Park.Spots[0].Route = true },
	},
	{
		sp.RuleStandby, "shut in", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "curlew").Standby = true },
		[]string{"Curlew", "Avocet", "lane A"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "avocet").Standby = true },
	},
	{
		sp.RuleReserve, "behind another", func(s *sp.Show, p *sp.Plan) { s.Serials[0].Entries[0].Reserves = []sp.UnitID{"dunlin"} },
		[]string{"Dunlin", "Curlew", "Avocet"},
		func(s *sp.Show, p *sp.Plan) { s.Serials[0].Entries[0].Reserves = []sp.UnitID{"curlew"} },
	},
	{
		sp.RuleRuns, "too many runs", func(s *sp.Show, p *sp.Plan) { runTwice(s, p); vehicleIn(s, "avocet").MaxRuns = 1 },
		[]string{"Avocet", "2", "1"},
		func(s *sp.Show, p *sp.Plan) { runTwice(s, p); vehicleIn(s, "avocet").MaxRuns = 2 },
	},
	{
		sp.RuleRuns, "too long in the arena", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "avocet").MaxRunning = 1199 },
		[]string{"Avocet", "20 min"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "avocet").MaxRunning = 1200 },
	},
	{
		sp.RuleMorning, "left on the verge overnight", func(s *sp.Show, p *sp.Plan) { with(p, aside(sp.At(1, 12, 0), "avocet", "A")) },
		[]string{"Avocet", "verge", "Saturday 06:00"},
		func(s *sp.Show, p *sp.Plan) {
			with(p, aside(sp.At(1, 12, 0), "avocet", "A"), back(sp.At(1, 12, 5), "avocet", "A"))
		},
	},
	{
		sp.RuleHome, "fixed elsewhere", func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "curlew").Home = sp.Home{Lane: "B", Binding: sp.Fixed} },
		[]string{"Curlew", "lane B", "lane A"},
		func(s *sp.Show, p *sp.Plan) { vehicleIn(s, "curlew").Home = sp.Home{Lane: "B", Binding: sp.Told} },
	},
	{
		sp.RuleWindow, "reset too early", func(s *sp.Show, p *sp.Plan) { with(p, reset(sp.At(1, 19, 0)-1, "avocet", "A", "C")) },
		[]string{"Avocet", "Friday 18:59:59"},
		func(s *sp.Show, p *sp.Plan) { with(p, reset(sp.At(1, 19, 0), "avocet", "A", "C")) },
	},
	{
		sp.RuleWindow, "reset too late", func(s *sp.Show, p *sp.Plan) { with(p, reset(sp.At(1, 19, 59)+1, "avocet", "A", "C")) },
		[]string{"Avocet", "Friday 20:00:01"},
		func(s *sp.Show, p *sp.Plan) { with(p, reset(sp.At(1, 19, 59), "avocet", "A", "C")) },
	},
	{
		sp.RuleOwner, "in a reset", func(s *sp.Show, p *sp.Plan) {
			vehicleIn(s, "avocet").OwnerOnly = true
			with(p, reset(sp.At(1, 19, 0), "avocet", "A", "C"))
		},
		[]string{"Avocet", "owner"},
		func(s *sp.Show, p *sp.Plan) {
			vehicleIn(s, "curlew").OwnerOnly = true
			with(p, reset(sp.At(1, 19, 0), "avocet", "A", "C"))
		},
	},
	{
		sp.RuleNotPlaced, "nowhere", func(s *sp.Show, p *sp.Plan) { p.Start[0].Units = []sp.UnitID{"avocet", "curlew"} },
		[]string{"Dunlin"},
		func(s *sp.Show, p *sp.Plan) {
			p.Start[0].Units = []sp.UnitID{"avocet", "curlew"}
			vehicleIn(s, "dunlin").Arrive = sp.Window{From: sp.At(1, 8, 0), To: sp.At(1, 8, 30)}
			with(p, sp.Move{ID: "in", Kind: sp.MoveArrive, Unit: "dunlin", From: sp.Pos{Kind: sp.InAway}, To: sp.AtLane("C", ""), Start: sp.At(1, 8, 30), Takes: 60})
		},
	},
	{
		sp.RuleDuty, "no move", func(s *sp.Show, p *sp.Plan) { d, _, _ := duty("avocet", "A"); s.Duties = []sp.Duty{d} },
		[]string{"Avocet", "fuel", "Friday 12:01"},
		func(s *sp.Show, p *sp.Plan) { runTwice(s, p) },
	},
}
