package sallyport_test

import (
	"slices"
	"testing"

	sp "sallyport"
)

// judgeCases are plans of the meadow that were once judged wrongly, or easily
// could be: which rules they break, each once, in order of time.
var judgeCases = []struct {
	name   string
	change change
	want   []sp.Rule
}{
	{"a reserve of two entries goes in the place of the one it is pulled out for", func(s *sp.Show, p *sp.Plan) {
		for i := range s.Serials[0].Entries {
			s.Serials[0].Entries[i].Reserves = []sp.UnitID{"curlew"}
		}
		replace(p, "bittern", "curlew")
		moveIn(p, "out-b").From, moveIn(p, "home-b").To = sp.AtLane("A", ""), sp.AtLane("C", "")
	}, nil},
	{"a reserve that has its own entry does not serve two", func(s *sp.Show, p *sp.Plan) {
		s.Serials[0].Entries[1].Reserves = []sp.UnitID{"avocet"}
		withoutBittern(p)
	}, []sp.Rule{sp.RuleMissing}},
	{"a standby vehicle that cannot reverse may leave an open lane only forwards", func(s *sp.Show, p *sp.Plan) {
		openLane(s, p)
		vehicleIn(s, "dunlin").Standby, vehicleIn(s, "dunlin").Reverse = true, sp.ReverseNever
	}, []sp.Rule{sp.RuleStandby}},
	{"one that can reverse leaves by the other end", func(s *sp.Show, p *sp.Plan) {
		openLane(s, p)
		vehicleIn(s, "dunlin").Standby = true
	}, nil},
	{"a vehicle off the road does not go with the column", func(s *sp.Show, p *sp.Plan) {
		vehicleIn(s, "avocet").OffRoad = sp.Window{From: sp.At(1, 9, 30), To: sp.At(1, 10, 22)}
	}, []sp.Rule{sp.RuleOffRoad, sp.RuleOffRoad}},
	{"a slow move bars the lane end for the second after it too", func(s *sp.Show, p *sp.Plan) {
		moveIn(p, "home-a").To, moveIn(p, "home-a").Reverse, moveIn(p, "home-a").Takes = sp.AtLane("B", ""), false, 600
		moveIn(p, "home-b").Takes = 61
		with(p, aside(sp.At(1, 10, 30), "curlew", "A"), back(sp.At(1, 10, 31), "curlew", "B"))
	}, []sp.Rule{sp.RuleLaneEnd, sp.RuleLaneEnd}},
	{"the morning after the last move counts", func(s *sp.Show, p *sp.Plan) {
		p.Moves = slices.DeleteFunc(p.Moves, func(m sp.Move) bool { return m.ID == "home-b" })
	}, []sp.Rule{sp.RuleMorning}},
	{"on a strict line everybody comes before all who go after", func(s *sp.Show, p *sp.Plan) {
		s.Serials[0].Entries = append(s.Serials[0].Entries, sp.Entry{ID: "S-3", Unit: "curlew"})
		third := *moveIn(p, "out-a")
		third.ID, third.Unit, third.Entry, third.Start = "out-c", "curlew", "S-3", sp.At(1, 9, 1)
		home := *moveIn(p, "home-b")
		home.ID, home.Unit, home.Entry, home.To, home.Start = "home-c", "curlew", "S-3", sp.AtLane("C", ""), sp.At(1, 10, 26)
		home.Reverse = true
		moveIn(p, "column-out").Units = []sp.UnitID{"avocet", "bittern", "curlew"}
		moveIn(p, "column-home").Units = []sp.UnitID{"avocet", "bittern", "curlew"}
		with(p, third, home)
	}, []sp.Rule{sp.RuleLineOrder, sp.RuleLineOrder}}, // when Bittern comes, and when the column leaves
	{"who comes home first is not barred by those behind it", func(s *sp.Show, p *sp.Plan) {
		s.Park.Lines[0].Fouls = []sp.Foul{{From: 0, To: 100, Lanes: []sp.LaneID{"A"}}}
		moveIn(p, "out-b").Start = sp.At(1, 9, 2)
	}, nil},
	{"a vehicle on the line bars a mouth, wherever the other comes from", func(s *sp.Show, p *sp.Plan) {
		s.Park.Lines[0].Fouls = []sp.Foul{{From: 600, To: 700, Lanes: []sp.LaneID{"A"}}}
	}, []sp.Rule{sp.RuleFouled}},
	{"an entry joined in the arena needs no column of its own", func(s *sp.Show, p *sp.Plan) { joinedInArena(s, p) }, nil},
	{"an entry joined by the line goes across", func(s *sp.Show, p *sp.Plan) { joinedByLine(s, p) }, nil},
	{"a combination is parted for an entry of its tower and coupled again", partedForTower, nil},
	{"a tower does not drive off with its gun coupled", func(s *sp.Show, p *sp.Plan) {
		partedForTower(s, p)
		p.Moves = slices.DeleteFunc(p.Moves, func(m sp.Move) bool { return m.Kind == sp.MovePart })
	}, []sp.Rule{sp.RuleNotThere, sp.RuleCombination, sp.RuleCombination, sp.RuleMorning}}, // it is coupled when it drives and when it is to be coupled; and then left over
	{"a broken-down vehicle is towed to the bay", towed, nil},
	{"and stays in the way when it is not", func(s *sp.Show, p *sp.Plan) {
		towed(s, p)
		p.Moves = slices.DeleteFunc(p.Moves, func(m sp.Move) bool { return m.Kind == sp.MoveTow })
	}, []sp.Rule{sp.RuleBlocked, sp.RuleStart, sp.RuleOverfull}}, // and no way back in
}

// replace puts another unit in all moves of one.
func replace(p *sp.Plan, old, now sp.UnitID) {
	for i := range p.Moves {
		if m := &p.Moves[i]; m.Unit == old {
			m.Unit = now
		}
		p.Moves[i].Units = slices.Clone(p.Moves[i].Units)
		for k, u := range p.Moves[i].Units {
			if u == old {
				p.Moves[i].Units[k] = now
			}
		}
	}
}

// openLane puts Curlew and Dunlin into the open lane, Dunlin deeper and both
// facing the mouth.
func openLane(s *sp.Show, p *sp.Plan) {
	p.Start = []sp.LaneLayout{{Lane: "A", Units: []sp.UnitID{"avocet"}}, {Lane: "B", Units: []sp.UnitID{"bittern"}}, {Lane: "C", Units: []sp.UnitID{"curlew", "dunlin"}}}
}

// second adds a serial an hour after the first, with Avocet only.
func second(s *sp.Show) {
	x := s.Serials[0]
	x.ID, x.FormFrom, x.FormUp, x.ArenaIn, x.ArenaOut, x.HomeBy = "T", sp.At(1, 10, 20), sp.At(1, 10, 40), sp.At(1, 11, 0), sp.At(1, 11, 20), sp.At(1, 12, 0)
	x.Entries = []sp.Entry{{ID: "T-1", Unit: "avocet"}}
	s.Serials = append(s.Serials, x)
}

// later makes the moves that bring Avocet home from the second serial.
func later(p *sp.Plan) {
	column := *moveIn(p, "column-home")
	column.ID, column.Serial, column.Units, column.Start = "column-home-2", "T", []sp.UnitID{"avocet"}, sp.At(1, 11, 20)
	home := *moveIn(p, "home-a")
	home.ID, home.Serial, home.Entry, home.Start = "home-a-2", "T", "T-1", sp.At(1, 11, 30)
	p.Moves = slices.DeleteFunc(p.Moves, func(m sp.Move) bool { return m.ID == "home-a" })
	with(p, column, home)
}

func joinedInArena(s *sp.Show, p *sp.Plan) {
	second(s)
	s.Serials[0].Entries[0].Join = sp.JoinArena
	later(p)
	moveIn(p, "column-home").Units = []sp.UnitID{"bittern"}
}

func joinedByLine(s *sp.Show, p *sp.Plan) {
	second(s)
	s.Serials[0].Entries[0].Join = sp.JoinLine
	later(p)
	column := *moveIn(p, "column-out")
	column.ID, column.Serial, column.Units, column.Start = "column-out-2", "T", []sp.UnitID{"avocet"}, sp.At(1, 10, 58)
	with(p, column, sp.Move{ID: "across", Kind: sp.MoveAcross, Unit: "avocet", From: sp.AtLine("north"), To: sp.AtLine("north"), Serial: "T", Entry: "T-1", Start: sp.At(1, 10, 22), Takes: 60})
}

// partedForTower gives Egret, which tows a gun, an entry of its own.
func partedForTower(s *sp.Show, p *sp.Plan) {
	withCombination(s, p)
	s.Serials[0].Entries = append(s.Serials[0].Entries, sp.Entry{ID: "S-3", Unit: "egret"})
	copse := sp.AtSpot("copse")
	for _, id := range []sp.MoveID{"column-out", "column-home"} {
		moveIn(p, id).Units = []sp.UnitID{"avocet", "bittern", "egret"}
	}
	with(p,
		sp.Move{ID: "shift", Kind: sp.MoveShift, Unit: "egret-gun", From: sp.AtLane("C", ""), To: copse, Serial: "S", Start: sp.At(1, 9, 3), Takes: 60},
		sp.Move{ID: "part", Kind: sp.MovePart, Unit: "egret-gun", From: copse, To: copse, Serial: "S", Start: sp.At(1, 9, 4), Takes: 60},
		sp.Move{ID: "out-e", Kind: sp.MovePullOut, Unit: "egret", From: copse, To: sp.AtLine("north"), Serial: "S", Entry: "S-3", Start: sp.At(1, 9, 5), Takes: 60},
		sp.Move{ID: "home-e", Kind: sp.MoveReturn, Unit: "egret", From: sp.AtLine("north"), To: copse, Serial: "S", Entry: "S-3", Start: sp.At(1, 10, 26), Takes: 60},
		sp.Move{ID: "couple", Kind: sp.MoveCouple, Unit: "egret-gun", From: copse, To: copse, Serial: "S", Start: sp.At(1, 10, 27), Takes: 60},
		sp.Move{ID: "shift-back", Kind: sp.MoveShift, Unit: "egret-gun", From: copse, To: sp.AtLane("C", ""), Serial: "S", Reverse: true, Start: sp.At(1, 10, 28), Takes: 60})
}

// towed lets Avocet break down after its return and Curlew go to a duty from
// behind it.
func towed(s *sp.Show, p *sp.Plan) {
	s.Park.Spots = append(s.Park.Spots, sp.Spot{ID: "bay", Use: sp.SpotBreakdown})
	vehicleIn(s, "avocet").OffRoad = sp.Window{From: sp.At(1, 11, 0)}
	d, out, home := duty("curlew", "A")
	s.Duties = []sp.Duty{d}
	vehicleIn(s, "curlew").Start, vehicleIn(s, "curlew").StartClear = sp.StartTow, 100
	with(p, out, home, sp.Move{ID: "tow", Kind: sp.MoveTow, Unit: "avocet", Helper: "bittern", From: sp.AtLane("A", ""), To: sp.AtSpot("bay"), Start: sp.At(1, 11, 30), Takes: 60})
}

func TestJudgeCases(t *testing.T) {
	for _, v := range judgeCases {
		t.Run(v.name, func(t *testing.T) {
			s, p := meadow()
			v.change(s, p)
			title(s)
			var got []sp.Rule
			for _, f := range sp.Check(s, p).Faults {
				got = append(got, f.Rule)
			}
			if !slices.Equal(got, v.want) {
				t.Errorf("broken rules %q, want %q", got, v.want)
				for _, f := range sp.Check(s, p).Faults {
					t.Log(f.Sentence)
				}
			}
		})
	}
}

// A reserve counts as a run of the reserve, not of the vehicle it stands for.
func TestRunsAreCountedForWhoRuns(t *testing.T) {
	s, p := meadow()
	judgeCases[0].change(s, p)
	vehicleIn(s, "curlew").MaxRunning = 1199
	vehicleIn(s, "bittern").MaxRunning = 1
	faults := sp.Check(s, p).Faults
	if len(faults) != 1 || faults[0].Rule != sp.RuleRuns || faults[0].Units[0] != "curlew" {
		t.Errorf("faults %v, want one: too many runs of curlew", faults)
	}
}
