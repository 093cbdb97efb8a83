package solve

import (
	"context"
	"testing"

	"pgregory.net/rapid"

	"sallyport"
)

// oneLane is a show with one dead-end lane of any length for the vehicles
// named. Those of home come back at 10:52 from the first serial; those of away
// are to form up for the second from 11:00 on.
func oneLane(home, away []sallyport.UnitID) *sallyport.Show {
	rest, warm, sure := sallyport.Seconds(0), sallyport.Seconds(300), sallyport.Certain
	show := &sallyport.Show{
		Name: "one lane", Days: []sallyport.Day{{Name: "1", Kind: sallyport.ShowDay}},
		Park: sallyport.Park{
			Lanes: []sallyport.Lane{{ID: "L1", Length: 3000}},
			Lines: []sallyport.Line{{ID: "north", Out: sallyport.OutFree, Home: sallyport.HomeAnyOrder}, {ID: "south", Out: sallyport.OutFree, Home: sallyport.HomeAnyOrder}},
			Spots: []sallyport.Spot{{ID: "corner", Use: sallyport.SpotAside}},
		},
		Serials: []sallyport.Serial{
			{ID: "first", Line: "north", HomeLine: "north", FormFrom: sallyport.At(1, 9, 40), FormUp: sallyport.At(1, 10, 10), ArenaIn: sallyport.At(1, 10, 20), ArenaOut: sallyport.At(1, 10, 47), Travel: 300, HomeBy: sallyport.At(1, 11, 20)},
			{ID: "second", Line: "south", HomeLine: "south", FormFrom: sallyport.At(1, 11, 0), FormUp: sallyport.At(1, 11, 30), ArenaIn: sallyport.At(1, 11, 40), ArenaOut: sallyport.At(1, 12, 0), Travel: 300, HomeBy: sallyport.At(1, 12, 40)},
		},
	}
	for i, list := range [][]sallyport.UnitID{home, away} {
		for _, id := range list {
			show.Vehicles = append(show.Vehicles, sallyport.Vehicle{ID: id, Name: string(id), Length: 400, Mass: 1500, Class: "light wheeled", WarmUp: &warm, CoolDown: &rest, StartChance: &sure})
			show.Serials[i].Entries = append(show.Serials[i].Entries, sallyport.Entry{Unit: id})
		}
	}
	return show
}

// Eight minutes on the line cost less than a move aside: one vehicle that would
// bar two is held back; one that would be barred by two is pulled out early.
// Both are the best that there is.
func TestEightMinutesSaveAMoveAside(t *testing.T) {
	for _, e := range []struct {
		term       string
		home, away []sallyport.UnitID
	}{
		{sallyport.TermHold, []sallyport.UnitID{"avocet"}, []sallyport.UnitID{"bittern", "curlew"}},
		{sallyport.TermEarly, []sallyport.UnitID{"avocet", "bittern"}, []sallyport.UnitID{"curlew"}},
	} {
		show := oneLane(e.home, e.away)
		best, _, found, _ := exactOf(compile(sallyport.Complete(show)), true, mostStates)
		if !found || best != 480 {
			t.Fatalf("%s: the optimum costs %d (found %t), want 480", e.term, best, found)
		}
		r, err := Solve(t.Context(), show, Options{Steps: 400_000, Workers: 1}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if c := r.Report.Cost; !r.Report.Workable() || c.Total != 480 || c.Term(e.term).Amount != 480 {
			t.Errorf("%s: %s%d faults, want 480 of it alone", e.term, shown(c), len(r.Report.Faults))
		}
		r, err = Solve(t.Context(), show, Options{Steps: 400_000, Workers: 1, NoHolds: true}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if c := r.Report.Cost; c.Total != c.Term(sallyport.TermAside).Amount || c.Total <= 480 {
			t.Errorf("%s, switched off: %s, want moves aside only, above 480", e.term, shown(c))
		}
	}
}

// Where nobody can wait aside, eight minutes on the line make a plan workable
// that is not without.
func TestHoldingBackMakesWorkable(t *testing.T) {
	show := oneLane([]sallyport.UnitID{"avocet"}, []sallyport.UnitID{"bittern", "curlew"})
	show.Park.Spots[0].Length = 100
	for _, off := range []bool{true, false} {
		r, err := Solve(t.Context(), show, Options{Steps: 400_000, Workers: 1, NoHolds: off}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if r.Report.Workable() == off {
			t.Errorf("switched off %t: workable %t", off, r.Report.Workable())
		}
		if c := r.Report.Cost; !off && (c.Total != 480 || c.Lost > 0) {
			t.Errorf("%slost %d, want 480 for one held back", shown(c), c.Lost)
		}
	}
}

// Whoever is held back or pulled out early, the judge finds the cost that the
// search counts; the bound, which knows of no shift, is no higher; and without
// the shifts the tables are as they were.
func TestCostIsTheJudgesWithShifts(t *testing.T) {
	shifts := 0
	rapid.Check(t, func(t *rapid.T) {
		p := compile(sallyport.Complete(someShow(t)))
		s := newSearch(context.Background(), p, Options{Seed: rapid.Uint64().Draw(t, "seed")}, nil)
		st := s.streams[0]
		st.construct(context.Background())
		b := st.best
		var list []shift
		for range 40 {
			more := b.someShift(s.holds.rnd)
			if more == nil {
				continue
			}
			if c := s.tryShifts(b, withShifts(list, more), more, rapid.Bool().Draw(t, "share")); c != nil && c.total < anyWorkable {
				b, list = c, withShifts(list, more)
			}
		}
		shifts += len(list)
		cost := sallyport.Evaluate(p.show, b.p.plan(b))
		if b.total >= anyWorkable || len(list) == 0 || hasOpen(p) && cost.Term(sallyport.TermAside).Count > 0 {
			t.Skip("not comparable")
		}
		if int64(cost.Total) != b.total || cost.Lost != 0 {
			t.Fatalf("with %v the search counts %d, the judge %d (lost %d)", list, b.total, cost.Total, cost.Lost)
		}
		if n := cost.Term(sallyport.TermHold).Count + cost.Term(sallyport.TermEarly).Count; n != len(list) {
			t.Fatalf("%d are shifted, the judge finds %d", len(list), n)
		}
		if bound := lowerBound(context.Background(), p); bound.total > cost.Total {
			t.Fatalf("the bound is %d, above %d", bound.total, cost.Total)
		}
		if back, ok := b.carried(p); !ok || back.total != plainCost(back) {
			t.Fatalf("carried back it costs %d, anew %d", back.total, plainCost(back))
		}
	})
	if shifts == 0 {
		t.Error("nobody is ever shifted")
	}
}

func hasOpen(p *problem) bool {
	for l := range p.lanes {
		if p.lanes[l].kind == sallyport.Open {
			return true
		}
	}
	return false
}

// plainCost counts a board's places on a fresh board of its problem.
func plainCost(b *board) int64 {
	fresh := newBoard(b.p)
	copy(fresh.sorted, b.sorted)
	for u := range b.p.units {
		fresh.set(int32(u), b.choice[b.p.units[u].firstStay:b.p.units[u].endStay])
	}
	return fresh.total
}
