package main

import (
	"math/rand/v2"
	"slices"
	"testing"

	sp "sallyport"
	"sallyport/bench/plant"
	"sallyport/internal/solve"
)

// planted returns a plain planted show, complete, with its task.
func planted(t *testing.T, opt plant.Options) (*plant.Planted, *sp.Show, *task) {
	t.Helper()
	opt.Plain = true
	p, err := plant.Plant(opt)
	if err != nil {
		t.Fatal(err)
	}
	show := sp.Complete(p.Show)
	task, err := newTask(show)
	if err != nil {
		t.Fatal(err)
	}
	return p, show, task
}

// small is a show that is quickly judged.
var small = plant.Options{Vehicles: 8, Lanes: 4, Days: 2, Serials: 5, Entries: 2, Spare: 50}

// anyLanes returns the planted lanes with up to most stays in lanes drawn at
// random.
func anyLanes(p *plant.Planted, t *task, seed uint64, most int) []int {
	rnd := rand.New(rand.NewPCG(seed, 1))
	lanes := t.fromSketch(p.Places)
	for range rnd.IntN(most + 1) {
		lanes[rnd.IntN(len(lanes))] = rnd.IntN(len(t.lanes))
	}
	return lanes
}

// TestOurPlansCostTheSameInTheModels puts lanes chosen by the planner into the
// rivals' model: it must allow them and give them the judge's cost.
func TestOurPlansCostTheSameInTheModels(t *testing.T) {
	for i, opt := range []plant.Options{
		small,
		{Vehicles: 20, Lanes: 9, Days: 2, Serials: 5, Spare: 10},
		{Spare: 15, NobodyAside: true, Exchanges: 4},
		{Spare: 15},
	} {
		opt.Seed = uint64(i + 1)
		_, show, task := planted(t, opt)
		r, err := solve.Solve(t.Context(), show, solve.Options{Steps: 200_000, NoHolds: true, NoResets: true}, nil)
		if err != nil {
			t.Fatal(err)
		}
		said := verdictOf(r)
		if said.Faults > 0 {
			t.Fatalf("%+v: the planner found no workable plan", opt)
		}
		lanes := task.fromSketch(sp.SketchOf(r.Plan))
		c := task.count(lanes)
		if c.overfull > 0 || c.aside != said.Aside || c.changes != said.Changes || task.price(c) != said.Cost {
			t.Errorf("%+v: counted %+v, the judge says %+v", opt, c, said)
		}
		model := newPlain(task, true)
		model.tellApart()
		values := model.values(lanes)
		if n := model.broken(values); n > 0 || model.cost(values) != said.Cost {
			t.Errorf("%+v: the plain model breaks %d constraints and costs %d, the judge says %d", opt, n, model.cost(values), said.Cost)
		}
		if again := model.lanesOf(values); task.price(task.count(again)) != said.Cost {
			t.Errorf("%+v: lanes read back cost %d, not %d", opt, task.price(task.count(again)), said.Cost)
		}
	}
}

// TestAnyLanesCostTheSame puts lanes chosen at random into the models and
// before the judge: where there is room for all, the costs must be the same;
// where there is not, all must say so.
func TestAnyLanesCostTheSame(t *testing.T) {
	priced, overfull, quiet := 0, 0, 0
	for seed := range uint64(60) {
		opt := small
		opt.Seed, opt.NobodyAside = seed, seed%2 == 0
		p, show, task := planted(t, opt)
		lanes := anyLanes(p, task, seed, 5)
		c := task.count(lanes)
		said, err := judge(t.Context(), show, task, lanes)
		if err != nil {
			t.Fatal(err)
		}
		model, quietModel := newPlain(task, true), newPlain(task, false)
		model.tellApart()
		if (c.overfull > 0) != (said.Faults > 0) || (c.overfull > 0) != (model.broken(model.values(lanes)) > 0) {
			t.Errorf("seed %d: %d lanes overfull, the judge finds %d faults, the model %d", seed, c.overfull, said.Faults, model.broken(model.values(lanes)))
		}
		if c.overfull > 0 {
			overfull++
			continue
		}
		if values := model.values(lanes); task.price(c) != said.Cost || model.cost(values) != said.Cost {
			t.Errorf("seed %d: counted %d, the model says %d, the judge says %+v", seed, task.price(c), model.cost(values), said)
		}
		if values := quietModel.values(lanes); (quietModel.broken(values) == 0) != (said.Aside == 0) {
			t.Errorf("seed %d: the model without moves aside breaks %d constraints, the judge sees %d moves aside", seed, quietModel.broken(values), said.Aside)
		}
		if said.Aside > 0 && said.Changes > 0 {
			priced++
		}
		if said.Aside == 0 {
			quiet++
		}
	}
	if priced < 10 || overfull < 5 || quiet < 5 {
		t.Errorf("%d plans with moves aside and changes, %d overfull, %d with nobody aside: the test says too little", priced, overfull, quiet)
	}
}

func TestUsableRoomIsWhatSomeVehiclesTake(t *testing.T) {
	task := &task{vehicles: []vehicle{{takes: 300}, {takes: 450}, {takes: 450}}}
	for _, c := range []struct{ limit, want int64 }{{299, 0}, {449, 300}, {749, 450}, {751, 750}, {1000, 900}, {5000, 1200}} {
		if got := task.usable(c.limit); got != c.want {
			t.Errorf("of %d cm %d are usable, want %d", c.limit, got, c.want)
		}
	}
}

func TestLanesAlikeAreToldApart(t *testing.T) {
	p, _, task := planted(t, small)
	for l := range task.lanes {
		task.lanes[l].room = 2000
	}
	model := newPlain(task, true)
	model.tellApart()
	lanes := task.fromSketch(p.Places)
	want := task.price(task.count(lanes))
	allowed := 0
	for range 2 {
		slices.Reverse(task.lanes)
		for i := range lanes {
			lanes[i] = len(task.lanes) - 1 - lanes[i]
		}
		ordered := task.ordered(lanes)
		values := model.values(lanes)
		if model.broken(values) > 0 || model.cost(values) != want {
			t.Errorf("%d constraints broken, cost %d, want 0 and %d", model.broken(values), model.cost(values), want)
		}
		if slices.Equal(ordered, lanes) {
			allowed++
		}
	}
	if allowed > 1 {
		t.Error("both ways round are allowed")
	}
}

func TestWhatTheModelsLeaveOutIsRefused(t *testing.T) {
	p, _, _ := planted(t, small)
	for name, change := range map[string]func(*sp.Show){
		"a through lane": func(s *sp.Show) { s.Park.Lanes[0].Kind = sp.Through },
		"a duty":         func(s *sp.Show) { s.Duties = []sp.Duty{{ID: "fuel", Unit: s.Vehicles[0].ID}} },
		"a strict line":  func(s *sp.Show) { s.Park.Lines[0].Out = sp.OutStrict },
		"a heavy one":    func(s *sp.Show) { s.Vehicles[0].Class = "heavy tracked" },
	} {
		show := *p.Show
		show.Park.Lanes = slices.Clone(show.Park.Lanes)
		show.Park.Lines = slices.Clone(show.Park.Lines)
		show.Vehicles = slices.Clone(show.Vehicles)
		change(&show)
		if _, err := newTask(sp.Complete(&show)); err == nil {
			t.Errorf("%s is not refused", name)
		}
	}
}
