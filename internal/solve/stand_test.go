package solve

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"sallyport"
	"sallyport/bench/plant"
	"sallyport/internal/rehearse"
)

// What stands behind costs comes on top, in whole units: beneath them the
// search's cost is the judge's, to the last unit.
func TestStandCostsComeOnTop(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := compile(sallyport.Complete(someShow(t)))
		p.standAny()
		st := newSearch(context.Background(), p, Options{Seed: 1}, nil).streams[0]
		st.construct(context.Background())
		st.improve(context.Background(), 5_000)
		b := st.best
		cost := sallyport.Evaluate(p.show, p.plan(b))
		open := slices.ContainsFunc(p.lanes, func(l lane) bool { return l.kind == sallyport.Open })
		if b.total >= anyWorkable || open && cost.Term(sallyport.TermAside).Count > 0 {
			t.Skip("not comparable")
		}
		if on := b.total - int64(cost.Total); on < 0 || on%standUnit != 0 {
			t.Fatalf("the board costs %d, the judge says %d", b.total, cost.Total)
		}
	})
}

// The board's running total is the true one with that price too.
func TestStandDeltasAreTrue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := compile(sallyport.Complete(someShow(t)))
		p.standAny()
		rnd := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		st := &stream{p: p, b: newBoard(p), best: newBoard(p), rnd: rnd, dp: newLanesDP(p, newLaneEval(p))}
		for u := range p.units {
			st.reroute([]int32{int32(u)})
		}
		for range 10 {
			if rnd.IntN(2) == 0 {
				st.units = st.neighboursInLanes(st.units[:0])
				st.attempt()
			} else {
				st.shareOut()
			}
		}
		fresh := newBoard(p)
		var stays, places []int32
		for i, c := range st.b.choice {
			if c != none {
				stays, places = append(stays, int32(i)), append(places, c)
			}
		}
		fresh.move(stays, places)
		if fresh.total != st.b.total {
			t.Fatalf("running total %d, counted anew %d", st.b.total, fresh.total)
		}
	})
}

// Both have been told lane A1, where Avocet, which nobody can push, stands
// before Knot and goes first. Asked to stand any one failure, one of them
// stands in the other lane although that costs.
func TestStandPutsOthersElsewhere(t *testing.T) {
	certain := sallyport.Certain
	at := func(h, m int) sallyport.Instant { return sallyport.At(1, h, m) }
	told := sallyport.Home{Lane: "A1", Binding: sallyport.Told}
	show := sallyport.Complete(&sallyport.Show{
		Name: "Told", Days: []sallyport.Day{{Name: "Saturday"}},
		Park: sallyport.Park{Lanes: []sallyport.Lane{{ID: "A1", Length: 1500}, {ID: "A2", Length: 900}}},
		Vehicles: []sallyport.Vehicle{
			{ID: "avocet", Name: "Avocet", Length: 400, StartChance: &certain, Home: told},
			{ID: "knot", Name: "Knot", Length: 400, StartChance: &certain, Home: told},
		},
		Serials: []sallyport.Serial{{
			ID: "1", FormUp: at(9, 0), ArenaIn: at(9, 30), ArenaOut: at(9, 50),
			Entries: []sallyport.Entry{{ID: "1a", Unit: "avocet"}, {ID: "1b", Unit: "knot"}},
		}},
	})
	for _, stand := range []bool{false, true} {
		r, err := Solve(context.Background(), show, Options{Seed: 1, Steps: 20_000, Stand: stand}, nil)
		if err != nil {
			t.Fatal(err)
		}
		m, err := rehearse.Matrix(context.Background(), show, r.Plan, rehearse.Options{}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if cost := r.Report.Cost.Total; !r.Report.Workable() || m.Stands() != stand || (cost > 0) != stand {
			t.Errorf("asked %v: workable %v, stands %v, cost %d", stand, r.Report.Workable(), m.Stands(), cost)
		}
		if r.Bound > r.Report.Cost.Total {
			t.Errorf("asked %v: the bound %d is above the cost %d", stand, r.Bound, r.Report.Cost.Total)
		}
	}
}

// On planted shows a plan that is asked to stand leaves no more behind than one
// that is not, by the play of every failure, and its key says that it was asked.
func TestStandLeavesFewerBehind(t *testing.T) {
	with, without := 0, 0
	for seed := range uint64(3) {
		p, err := plant.Plant(plant.Options{Seed: seed, Vehicles: 16, Lanes: 6, Days: 1, Serials: 5, Entries: 4, Spare: 20, NobodyAside: true})
		if err != nil {
			t.Fatal(err)
		}
		for i := range p.Show.Vehicles {
			if i%2 == 0 {
				p.Show.Vehicles[i].HandPeople = 4
			}
		}
		show := sallyport.Complete(p.Show)
		for _, stand := range []bool{false, true} {
			r, err := Solve(context.Background(), show, Options{Seed: 1, Steps: 200_000, Stand: stand}, nil)
			if err != nil {
				t.Fatal(err)
			}
			if r.Plan.Key.Version == Version == stand {
				t.Errorf("asked %v: the key says %q", stand, r.Plan.Key.Version)
			}
			m, err := rehearse.Matrix(context.Background(), show, r.Plan, rehearse.Options{Only: []sallyport.FailureKind{sallyport.FailInLane}}, nil)
			if err != nil {
				t.Fatal(err)
			}
			if stand {
				with += len(m.Uncovered)
			} else {
				without += len(m.Uncovered)
			}
		}
	}
	if with >= without {
		t.Errorf("%d entries stay behind when asked to stand, %d when not", with, without)
	}
}
