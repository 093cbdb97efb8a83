package solve

import (
	"context"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"sallyport"
)

// TestStrikingAnEntryCanCostMore is the golden case: in one dead-end lane a is
// out while b arrives, so that it comes home in front of b and leaves first.
// Without its first entry it stands behind b when it has to leave.
func TestStrikingAnEntryCanCostMore(t *testing.T) {
	rest, sure := sallyport.Seconds(0), sallyport.Certain
	vehicle := func(id sallyport.UnitID) sallyport.Vehicle {
		return sallyport.Vehicle{ID: id, Name: string(id), Length: 400, Mass: 1500, Class: "light wheeled", WarmUp: &rest, CoolDown: &rest, StartChance: &sure}
	}
	serial := func(id sallyport.SerialID, hour int) sallyport.Serial {
		in := sallyport.At(1, hour, 0)
		return sallyport.Serial{ID: id, FormFrom: in - 2400, FormUp: in - 300, ArenaIn: in, ArenaOut: in + 900, HomeBy: in + 3000, Entries: []sallyport.Entry{{Unit: "avocet"}}}
	}
	make := func(serials ...sallyport.Serial) *problem {
		a, b := vehicle("avocet"), vehicle("bittern")
		a.Depart = sallyport.Window{From: sallyport.At(1, 14, 0), To: sallyport.At(1, 15, 0)}
		b.Arrive = sallyport.Window{From: sallyport.At(1, 9, 40), To: sallyport.At(1, 9, 50)}
		b.Depart = sallyport.Window{From: sallyport.At(1, 18, 0), To: sallyport.At(1, 19, 0)}
		return compile(sallyport.Complete(&sallyport.Show{
			Name: "strike", Days: []sallyport.Day{{Name: "1", Kind: sallyport.ShowDay}}, Vehicles: []sallyport.Vehicle{a, b}, Serials: serials,
			Park: sallyport.Park{Lanes: []sallyport.Lane{{ID: "L1", Length: 1500}}, Lines: []sallyport.Line{{ID: "line"}}, Spots: []sallyport.Spot{{ID: "corner", Use: sallyport.SpotAside}}},
		}))
	}
	both, struck := make(serial("s1", 10)), make()
	before, _, found, _ := exactOf(both, true, mostStates)
	if !found || before != 0 {
		t.Fatalf("with both entries the optimum costs %d (found %t), want 0", before, found)
	}
	after, plan, found, _ := exactOf(struck, true, mostStates)
	if !found || after <= 0 {
		t.Fatalf("without the first entry the optimum costs %d (found %t), want more than 0", after, found)
	}
	if c := sallyport.Evaluate(struck.show, plan); c.Term(sallyport.TermAside).Amount != sallyport.Amount(after) {
		t.Errorf("the optimum costs %d, want it all for moves aside: %s", after, shown(c))
	}
	if b := lowerBound(context.Background(), struck); int64(b.total) <= 0 || int64(b.total) > after {
		t.Errorf("the bound is %d, want more than 0 and at most %d", b.total, after)
	}
}

// beside joins two small shows into one whose parks share nothing: each keeps
// its zone, lines and spot.
func beside(a, b *sallyport.Show) *sallyport.Show {
	for i, s := range []*sallyport.Show{a, b} {
		zone := sallyport.ZoneID([]string{"east", "west"}[i])
		if i == 1 {
			walk(reflect.ValueOf(s).Elem(), func(v reflect.Value) {
				switch v.Interface().(type) {
				case sallyport.UnitID, sallyport.LaneID, sallyport.LineID, sallyport.SpotID, sallyport.SerialID, sallyport.EntryID, sallyport.DutyID, sallyport.WindowID:
					if v.String() != "" {
						v.SetString("west-" + v.String())
					}
				}
			})
		}
		s.Park.Zones = []sallyport.Zone{{ID: zone}}
		for j := range s.Park.Lanes {
			s.Park.Lanes[j].Zone = zone
		}
		for j := range s.Park.Spots {
			s.Park.Spots[j].Zones = []sallyport.ZoneID{zone}
		}
		for j := range s.Vehicles {
			s.Vehicles[j].Zones = []sallyport.ZoneID{zone}
		}
	}
	both := *a
	both.Park.Zones = append(slices.Clone(a.Park.Zones), b.Park.Zones...)
	both.Park.Lanes = append(slices.Clone(a.Park.Lanes), b.Park.Lanes...)
	both.Park.Lines = append(slices.Clone(a.Park.Lines), b.Park.Lines...)
	both.Park.Spots = append(slices.Clone(a.Park.Spots), b.Park.Spots...)
	both.Vehicles = append(slices.Clone(a.Vehicles), b.Vehicles...)
	both.Serials = append(slices.Clone(a.Serials), b.Serials...)
	both.Duties = append(slices.Clone(a.Duties), b.Duties...)
	return sallyport.Complete(&both)
}

func TestParksThatShareNothingAddUp(t *testing.T) {
	compared := 0
	for seed := range smallShows(t, 100) {
		make := func(stream uint64) *sallyport.Show {
			s := smallShow(rand.New(rand.NewPCG(uint64(seed), stream)))
			s.Weights = sallyport.DefaultWeights()
			return s
		}
		a, b := make(3), make(4)
		if len(a.Vehicles)+len(b.Vehicles) > 5 || len(a.Park.Spots) != len(b.Park.Spots) {
			continue
		}
		one, _, foundOne, doneOne := exactOf(compile(a), false, mostStates)
		other, _, foundOther, doneOther := exactOf(compile(b), false, mostStates)
		if !foundOne || !foundOther || !doneOne || !doneOther {
			continue
		}
		p := compile(beside(a, b))
		both, _, found, done := exactOf(p, false, 4*mostStates)
		if !done {
			continue
		}
		if !found || both != one+other {
			t.Errorf("seed %d: together they cost %d (found %t), apart %d and %d", seed, both, found, one, other)
		}
		if sum := lowerBound(context.Background(), compile(a)).total + lowerBound(context.Background(), compile(b)).total; sum > sallyport.Amount(both) {
			t.Errorf("seed %d: the bounds add up to %d, above %d", seed, sum, both)
		}
		compared++
	}
	t.Logf("%d pairs of parks", compared)
}

// TestPinningTheOptimum fixes every vehicle that keeps one lane in the optimum
// there: the optimum still costs the same.
func TestPinningTheOptimum(t *testing.T) {
	pinned := 0
	for seed := range smallShows(t, 60) {
		show, _ := lawShow(seed)
		cost, plan, found, done := exactOf(compile(show), true, mostStates)
		if !found || !done {
			continue
		}
		lanes := map[sallyport.UnitID][]sallyport.LaneID{}
		for _, l := range plan.Start {
			for _, u := range l.Units {
				lanes[u] = append(lanes[u], l.Lane)
			}
		}
		for _, m := range plan.Moves {
			if id := sallyport.LaneID(m.To.ID); m.To.Kind == sallyport.InLane && !slices.Contains(lanes[m.Unit], id) {
				lanes[m.Unit] = append(lanes[m.Unit], id)
			}
		}
		for i := range show.Vehicles {
			if v := &show.Vehicles[i]; len(lanes[v.ID]) == 1 && v.Home.Binding != sallyport.Told {
				v.Home = sallyport.Home{Lane: lanes[v.ID][0], Binding: sallyport.Fixed}
				pinned++
			}
		}
		again, found, known := optimumOf(show)
		if known && (!found || again != cost) {
			t.Errorf("seed %d: with its own choices pinned the optimum costs %d (found %t), before %d", seed, again, found, cost)
		}
	}
	t.Logf("%d vehicles pinned", pinned)
}

// TestSolveAgainstTheOptimum compares what the search finds in small shows
// with the best there is: never below it, and mostly as good.
func TestSolveAgainstTheOptimum(t *testing.T) {
	compared, equal, none := 0, 0, 0
	for seed := range smallShows(t, 40) {
		p := compile(smallShow(rand.New(rand.NewPCG(uint64(seed), 5))))
		best, _, found, done := exactOf(p, true, mostStates)
		plain, plan, foundPlain, donePlain := exactOf(p, false, mostStates)
		if !done || !donePlain {
			continue
		}
		if foundPlain && (!found || best > plain) {
			t.Fatalf("seed %d: the optimum costs %d (found %t) with all freedom, %d without", seed, best, found, plain)
		}
		r, err := Solve(context.Background(), p.show, Options{Seed: 1, Steps: 30_000, Workers: 1}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if foundPlain {
			laid := *plan
			laid.Moves, _ = Lay(p.show, startState(p.show, &laid), plan.Moves)
			if report := sallyport.Check(p.show, &laid); !report.Workable() {
				none++
			}
		}
		if !r.Report.Workable() || r.Report.Cost.Lost > 0 {
			continue
		}
		cost := int64(r.Report.Cost.Total)
		if !found || cost < best {
			t.Errorf("seed %d: the search found a plan for %d, the optimum costs %d (found %t): %s", seed, cost, best, found, shown(r.Report.Cost))
		}
		if foundPlain {
			compared++
			if cost <= plain {
				equal++
			}
		}
	}
	t.Logf("%d compared, %d as good as the best without resets and holds; %d of the latter break a rule of time", compared, equal, none)
	if compared > 20 && 10*equal < 6*compared {
		t.Errorf("only %d of %d as good as the optimum", equal, compared)
	}
}
