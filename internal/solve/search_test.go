package solve

import (
	"context"
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"sallyport"
	"sallyport/bench/plant"
	"sallyport/internal/fenmoor"
)

// searched returns the board that a search of so many steps leaves.
func searched(ctx context.Context, show *sallyport.Show, seed uint64, steps int64) (*problem, *board) {
	s := newSearch(ctx, compile(sallyport.Complete(show)), Options{Seed: seed, Steps: steps, Workers: 1}, nil)
	s.run()
	return s.p, s.best
}

// someShow draws a small show with lanes of all kinds, lines of all kinds,
// units that reverse or not, are awkward, doubtful, heavy, reserves, standbys.
func someShow(t *rapid.T) *sallyport.Show {
	opt := plant.Options{
		Seed: rapid.Uint64Range(1, 1000).Draw(t, "seed"), Vehicles: rapid.IntRange(8, 16).Draw(t, "vehicles"),
		Days: rapid.IntRange(1, 2).Draw(t, "days"), Serials: rapid.IntRange(2, 4).Draw(t, "serials"), Spare: rapid.IntRange(5, 30).Draw(t, "spare"),
	}
	opt.Lanes = (opt.Vehicles + 1) / 2
	opt.Entries = opt.Vehicles / 4
	pl, err := plant.Plant(opt)
	if err != nil {
		t.Fatal(err)
	}
	show := pl.Show
	kinds := []sallyport.LaneKind{sallyport.DeadEnd, sallyport.DeadEnd, sallyport.Through, sallyport.Open}
	for i := range show.Park.Lanes {
		l := &show.Park.Lanes[i]
		l.Kind = rapid.SampledFrom(kinds).Draw(t, "kind")
		l.In = ""
		if l.Kind == sallyport.Open {
			l.In = rapid.SampledFrom([]sallyport.DriveIn{sallyport.InNose, sallyport.InEither, sallyport.InReversed}).Draw(t, "in")
		}
	}
	for d := 1; d < opt.Days; d++ {
		show.Resets = append(show.Resets, sallyport.ResetWindow{
			ID: sallyport.WindowID(rune('a' + d)), From: sallyport.At(d, 20, 0), To: sallyport.At(d, 23, 0),
			Awkward: rapid.SampledFrom([]int{1, 20, 120}).Draw(t, "awkward"),
		})
	}
	for i := range show.Park.Lines {
		l := &show.Park.Lines[i]
		l.Out = rapid.SampledFrom([]sallyport.OutRule{sallyport.OutFree, sallyport.OutStrict}).Draw(t, "out")
		l.Home = rapid.SampledFrom([]sallyport.HomeRule{sallyport.HomeAnyOrder, sallyport.HomeInOrder}).Draw(t, "home")
		l.TailLeads = rapid.Bool().Draw(t, "tail leads")
	}
	for i := range show.Vehicles {
		v := &show.Vehicles[i]
		v.Mass = sallyport.Kilograms(rapid.SampledFrom([]int{0, 2000, 14_000}).Draw(t, "mass"))
		v.StartWord = rapid.SampledFrom([]sallyport.StartWord{sallyport.StartsWell, sallyport.DoubtfulStart}).Draw(t, "starts")
		v.HandPeople = rapid.SampledFrom([]int{0, 0, 3}).Draw(t, "hand")
		if rapid.IntRange(0, 4).Draw(t, "told") == 0 {
			v.Home = sallyport.Home{Lane: rapid.SampledFrom(show.Park.Lanes).Draw(t, "home lane").ID, Binding: sallyport.Told}
		}
	}
	return show
}

// Expand, then Evaluate: the judge finds the cost that the search has counted,
// to the last unit. In open lanes a move aside by another end than planned may
// shut in others than counted, so there only boards without moves aside count.
func TestCostIsTheJudges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := compile(sallyport.Complete(someShow(t)))
		st := newSearch(context.Background(), p, Options{Seed: 1}, nil).streams[0]
		st.construct(context.Background())
		st.improve(context.Background(), 20_000)
		b := st.best
		plan := p.plan(b)
		cost := sallyport.Evaluate(p.show, plan)
		open := slices.ContainsFunc(p.lanes, func(l lane) bool { return l.kind == sallyport.Open })
		if b.total >= anyWorkable || open && cost.Term(sallyport.TermAside).Count > 0 {
			t.Skip("not comparable")
		}
		if int64(cost.Total) != b.total || cost.Lost != 0 {
			t.Fatalf("the search counts %d, the judge %d (lost %d)", b.total, cost.Total, cost.Lost)
		}
	})
}

func TestCostIsTheJudgesAtFenmoor(t *testing.T) {
	p, b := searched(t.Context(), fenmoor.Show(), 3, 2_000_000)
	if cost := sallyport.Evaluate(p.show, p.plan(b)); int64(cost.Total) != b.total || cost.Lost != 0 {
		t.Errorf("the search counts %d, the judge %d (lost %d)", b.total, cost.Total, cost.Lost)
	}
}

// Where the evening costs next to nothing, lanes are put in order then, and
// the judge agrees about what that costs.
func TestEveningsTakeOverFromAsides(t *testing.T) {
	used := 0
	for seed := uint64(1); seed <= 4; seed++ {
		show := planted(t, plant.Options{Seed: seed, Vehicles: 24, Days: 3, Spare: 5}).Show
		for d := 1; d <= 2; d++ {
			show.Resets = append(show.Resets, sallyport.ResetWindow{ID: sallyport.WindowID(rune('a' + d)), From: sallyport.At(d, 20, 0), To: sallyport.At(d, 23, 0), Awkward: 1})
		}
		p, b := searched(t.Context(), show, seed, 2_000_000)
		cost := sallyport.Evaluate(p.show, p.plan(b))
		if b.total < anyWorkable && int64(cost.Total) != b.total {
			t.Errorf("seed %d: the search counts %d, the judge %d", seed, b.total, cost.Total)
		}
		used += cost.Term(sallyport.TermReset).Count
	}
	if used == 0 {
		t.Error("no lane is ever put in order")
	}
}

// What a board says it costs after any attempts is what it costs when every
// lane, unit and pair is counted anew; a stay priced by the trace costs what
// playing the whole lane with it costs.
func TestDeltasAreTrue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := compile(sallyport.Complete(someShow(t)))
		s := newSearch(context.Background(), p, Options{Seed: rapid.Uint64().Draw(t, "seed")}, nil)
		st := s.streams[0]
		st.construct(context.Background())
		for range rapid.IntRange(0, 20).Draw(t, "attempts") {
			before := st.b.total
			switch rapid.IntRange(0, 2).Draw(t, "attempt") {
			case 0:
				st.shareOut()
			case 1:
				if st.resets {
					st.tidy()
				}
			default:
				st.units = st.neighboursInLanes(st.units[:0])
				st.attempt()
			}
			if st.b.total > before {
				t.Fatalf("an attempt made %d of %d", st.b.total, before)
			}
		}
		fresh := newBoard(p)
		copy(fresh.sorted, st.b.sorted)
		for u := range p.units {
			fresh.set(int32(u), st.b.choice[p.units[u].firstStay:p.units[u].endStay])
		}
		if fresh.total != st.b.total {
			t.Fatalf("counted along %d, anew %d", st.b.total, fresh.total)
		}
		tracesAgree(t, st.b)
	})
}

// tracesAgree takes one stay after the other off the board and compares its
// price by the trace with that of playing the lane.
func tracesAgree(t *rapid.T, b *board) {
	for s := range b.choice {
		pl := b.choice[s]
		if pl == none {
			continue
		}
		l := b.p.places[pl].lane
		b.put(int32(s), none)
		b.countLane(l)
		with := impossible
		if b.lanes[l] < impossible {
			with = b.costWith(l, int32(s), pl)
		}
		without := b.lanes[l]
		b.put(int32(s), pl)
		b.countLane(l)
		if without < impossible && with != b.lanes[l] {
			t.Fatalf("lane %d with stay %d costs %d by the trace, %d played", l, s, with, b.lanes[l])
		}
	}
}

// Sharing two lanes out anew counts what the board then costs.
func TestSharingOutIsExactForTwoLanes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		show := someShow(t)
		for i := range show.Park.Lanes {
			show.Park.Lanes[i].Kind, show.Park.Lanes[i].In = sallyport.DeadEnd, ""
		}
		p := compile(sallyport.Complete(show))
		s := newSearch(context.Background(), p, Options{Seed: 1}, nil)
		st := s.streams[0]
		st.construct(context.Background())
		if st.b.total >= anyWorkable {
			t.Skip("not everything placed")
		}
		lanes := []int32{0, 1}
		best := leastOfTwo(st.b, lanes)
		if _, _, ok := st.dp.solve(st.b, lanes, 0, math.MaxInt32, math.MaxInt, 0, rand.New(rand.NewPCG(1, 1))); !ok {
			t.Fatal("not even the lanes as they are")
		}
		stays, places, _ := st.dp.solve(st.b, lanes, 0, math.MaxInt32, math.MaxInt, 0, rand.New(rand.NewPCG(1, 1)))
		st.b.move(slices.Clone(stays), places)
		if best != none64 && st.b.total != best {
			t.Fatalf("shared out: %d, the best of all ways is %d", st.b.total, best)
		}
	})
}

const none64 int64 = -1

// leastOfTwo tries every way to share the stays of two lanes out; none64 when
// there are too many.
func leastOfTwo(b *board, lanes []int32) int64 {
	var stays []int32
	for _, l := range lanes {
		for _, e := range b.events[l] {
			if !b.p.events[e].out {
				stays = append(stays, b.p.events[e].stay)
			}
		}
	}
	if len(stays) > 10 {
		return none64
	}
	old := make([]int32, len(stays))
	for i, s := range stays {
		old[i] = b.choice[s]
	}
	best := b.total
	for mask := range 1 << len(stays) {
		places := make([]int32, len(stays))
		allowed := true
		for i, s := range stays {
			places[i] = b.p.lanes[lanes[mask>>i&1]].first
			allowed = allowed && slices.Contains(b.p.stays[s].places, places[i])
		}
		if allowed {
			b.move(stays, places)
			best = min(best, b.total)
		}
	}
	b.move(stays, old)
	return best
}

func TestSamePlanOnAnyNumberOfCores(t *testing.T) {
	text := func(workers int) string {
		r, err := Solve(t.Context(), fenmoor.Show(), Options{Seed: 7, Steps: 1_000_000, Workers: workers}, nil)
		if err != nil {
			t.Fatal(err)
		}
		out, err := json.Marshal(r.Plan)
		if err != nil {
			t.Fatal(err)
		}
		return string(out)
	}
	one := text(1)
	if one != text(2) || one != text(5) {
		t.Error("the plan depends on the number of workers")
	}
	if one != text(1) {
		t.Error("the plan differs from run to run")
	}
}

func TestPlantedCostsAreReached(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		pl := planted(t, plant.Options{Seed: seed, Vehicles: 24, Days: 2, Spare: 15, NobodyAside: true, Plain: true})
		r, err := Solve(t.Context(), pl.Show, Options{Seed: seed, Steps: 20_000_000}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if c := r.Report.Cost; !r.Report.Workable() || c.Total > 0 {
			t.Errorf("seed %d: cost %d, planted 0, %d faults", seed, c.Total, len(r.Report.Faults))
		}
	}
}

// A plan made by hand may differ in at most so many stays afterwards.
func TestAtMostSoManyChanges(t *testing.T) {
	pl := planted(t, plant.Options{Seed: 4, Vehicles: 24, Days: 2, Spare: 15})
	sketch, err := FromSketch(t.Context(), pl.Show, pl.Places, Options{})
	if err != nil {
		t.Fatal(err)
	}
	last := sketch.Report.Cost.Total
	for _, most := range []int{1, 4, 16} {
		r, err := Solve(t.Context(), pl.Show, Options{Seed: 1, Steps: 2_500_000, Sketch: pl.Places, MaxChanges: most}, nil)
		if err != nil {
			t.Fatal(err)
		}
		differ := 0
		for _, p := range sallyport.SketchOf(r.Plan) {
			if i := slices.IndexFunc(pl.Places, func(q sallyport.Placement) bool { return q.Unit == p.Unit && q.After == p.After }); i >= 0 && pl.Places[i].Lane != p.Lane {
				differ++
			}
		}
		if differ > most {
			t.Errorf("%d stays differ, %d may", differ, most)
		}
		if r.Report.Cost.Total > last {
			t.Errorf("with %d changes it costs %d, with fewer %d", most, r.Report.Cost.Total, last)
		}
		last = r.Report.Cost.Total
	}
	if last >= sketch.Report.Cost.Total {
		t.Errorf("sixteen changes save nothing of %d", last)
	}
}

// When there is no room for everybody the rest is planned all the same, and
// who is left over is named.
func TestNoRoomForAll(t *testing.T) {
	pl := planted(t, plant.Options{Seed: 2, Vehicles: 16, Lanes: 8, Days: 1, Spare: 15})
	pl.Show.Park.Lanes = pl.Show.Park.Lanes[:6]
	r, err := Solve(t.Context(), pl.Show, Options{Seed: 1, Steps: 800_000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if r.Report.Workable() || len(r.Why) == 0 {
		t.Errorf("workable %v, why %q", r.Report.Workable(), r.Why)
	}
	if len(r.Plan.Start) == 0 || len(r.Plan.Unserved) == len(pl.Show.Serials)*len(pl.Show.Serials[0].Entries) {
		t.Error("nothing is planned at all")
	}
}

func BenchmarkSolve(b *testing.B) {
	pl, err := plant.Plant(plant.Options{Seed: 1, Spare: 15, NobodyAside: true})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		_, board := searched(b.Context(), pl.Show, 1, 5_000_000)
		b.ReportMetric(float64(board.total), "cost")
	}
}
