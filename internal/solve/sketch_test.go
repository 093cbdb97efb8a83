package solve

import (
	"testing"

	"sallyport"
	"sallyport/bench/plant"
	"sallyport/internal/fenmoor"
)

// planted returns a planted show, whose places are workable as they are.
func planted(t *testing.T, opt plant.Options) *plant.Planted {
	t.Helper()
	pl, err := plant.Plant(opt)
	if err != nil {
		t.Fatal(err)
	}
	return pl
}

func TestFromSketchKeepsThePlantedPlaces(t *testing.T) {
	for _, opt := range []plant.Options{
		{Seed: 1, Spare: 15, NobodyAside: true, Plain: true},
		{Seed: 2, Spare: 5, NobodyAside: true, Exchanges: 4, Plain: true},
		{Seed: 3, Spare: 10, Plain: true},
	} {
		pl := planted(t, opt)
		r, err := FromSketch(t.Context(), pl.Show, pl.Places, Options{})
		if err != nil {
			t.Fatal(err)
		}
		c := r.Report.Cost
		asides, changes := c.Term(sallyport.TermAside).Count/2, c.Term(sallyport.TermChange).Count
		if c.Lost != 0 || asides > pl.Aside || changes != pl.Changes {
			t.Errorf("seed %d: lost %d, %d aside (planted %d), %d changes (planted %d)", opt.Seed, c.Lost, asides, pl.Aside, changes, pl.Changes)
		}
		if !r.Report.Workable() {
			t.Errorf("seed %d: %s", opt.Seed, r.Report.Faults[0].Sentence)
		}
	}
}

func TestFromSketchSaysWhatIsWrong(t *testing.T) {
	pl := planted(t, plant.Options{Seed: 1, Spare: 5, NobodyAside: true, Plain: true})
	for i := range pl.Places {
		pl.Places[i].Lane, pl.Places[i].Place = pl.Show.Park.Lanes[0].ID, 0
	}
	r, err := FromSketch(t.Context(), pl.Show, pl.Places, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Report.Cost.Lost != 0 {
		t.Errorf("lost %d: every unit has a lane", r.Report.Cost.Lost)
	}
	overfull := 0
	for _, f := range r.Report.Faults {
		if f.Rule == sallyport.RuleOverfull {
			overfull++
		}
	}
	if overfull == 0 {
		t.Error("all vehicles in one lane, and nothing is overfull")
	}
}

// The lanes of a workable plan give a workable plan again.
func TestSketchOfAPlanIsWorkable(t *testing.T) {
	if testing.Short() {
		t.Skip("plans the demonstration show twice")
	}
	for seed := range uint64(2) {
		show := fenmoor.Show()
		r, err := Solve(t.Context(), show, Options{Seed: seed, Steps: 6_000_000}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if !r.Report.Workable() {
			continue
		}
		again, err := FromSketch(t.Context(), show, sallyport.SketchOf(r.Plan), Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range again.Report.Faults {
			t.Errorf("seed %d: %s: %s", seed, f.Rule, f.Sentence)
		}
		t.Logf("seed %d: cost %d, from its lanes %d", seed, r.Report.Cost.Total, again.Report.Cost.Total)
	}
}
