package solve

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"
	"time"

	"sallyport"
	"sallyport/bench/plant"
	"sallyport/internal/fenmoor"
)

// published is a show with its last issue.
type published struct {
	show *sallyport.Show
	plan *sallyport.Plan
}

var publishedShows = sync.OnceValue(func() []published {
	shows := []*sallyport.Show{sallyport.Complete(fenmoor.Show())}
	for seed := range uint64(1) {
		planted, err := plant.Plant(plant.Options{Seed: seed + 1, Spare: 15, NobodyAside: true, Exchanges: 4})
		if err != nil {
			panic(err)
		}
		shows = append(shows, sallyport.Complete(planted.Show))
	}
	var list []published
	for _, show := range shows {
		r, err := Solve(context.Background(), show, Options{Seed: 1, Steps: 6_000_000}, nil)
		if err != nil {
			panic(err)
		}
		list = append(list, published{show, r.Plan})
	}
	return list
})

// momentOf is a show at a moment with what has happened; nil when that cannot
// be.
func (x published) momentOf(at sallyport.Instant, happened ...sallyport.Happening) (Moment, []sallyport.Problem) {
	state, past, rest := sallyport.StateAt(x.show, x.plan, at)
	show, after, done, problems := sallyport.Apply(x.show, state, happened)
	return Moment{Show: show, State: after, Happened: done, Issued: x.plan, Past: past, Rest: rest}, problems
}

// someFailure draws a failure that can be at a moment.
func (x published) someFailure(rnd *rand.Rand, at sallyport.Instant) (sallyport.Happening, bool) {
	state, _, _ := sallyport.StateAt(x.show, x.plan, at)
	units := []sallyport.UnitID{}
	for _, v := range x.show.Vehicles {
		units = append(units, v.ID)
	}
	for range 50 {
		h := sallyport.Happening{Kind: sallyport.HappenFailed, Unit: units[rnd.IntN(len(units))], Where: sallyport.FailureKinds[1+rnd.IntN(len(sallyport.FailureKinds)-1)]}
		if rnd.IntN(5) == 0 {
			h.Kind, h.Where, h.Until = sallyport.HappenLate, "", at+sallyport.Instant(600+rnd.IntN(5400))
		}
		if _, _, _, problems := sallyport.Apply(x.show, state, []sallyport.Happening{h}); len(problems) == 0 {
			return h, true
		}
	}
	return sallyport.Happening{}, false
}

func (x published) someMoment(rnd *rand.Rand) sallyport.Instant {
	m := x.plan.Moves[rnd.IntN(len(x.plan.Moves))]
	return m.Start + sallyport.Instant(rnd.IntN(900))
}

func TestReplanDev(t *testing.T) {
	for k, x := range publishedShows()[:1] {
		rnd := rand.New(rand.NewPCG(7, uint64(k)))
		for n := range 60 {
			at := x.someMoment(rnd)
			m, _ := x.momentOf(at)
			c := Replan(context.Background(), m, Options{Seed: 1, Steps: 1}, nil)
			if !c.Carried && k == 0 {
				t.Errorf("show %d, %s: nothing happened, but not carried on: %v %v", k, at, c.Workable(), c.Report.Faults[:min(3, len(c.Report.Faults))])
			}
			if c.Carried && !slices.EqualFunc(c.Plan.Moves, m.Rest, func(a, b sallyport.Move) bool { return fmt.Sprint(a) == fmt.Sprint(b) }) {
				t.Errorf("other moves")
			}
			f, ok := x.someFailure(rnd, at)
			if !ok {
				continue
			}
			m, problems := x.momentOf(at, f)
			if len(problems) > 0 {
				t.Fatal(problems)
			}
			var firsts []string
			t0 := time.Now()
			c = Replan(context.Background(), m, Options{Seed: 1, Steps: 400_000, Now: time.Now, Workers: 1}, func(c *Continuation) {
				firsts = append(firsts, fmt.Sprintf("%s carried=%v workable=%v lost=%d cost=%d", c.Elapsed.Round(time.Millisecond), c.Carried, c.Workable(), c.Report.Cost.Lost, c.Report.Cost.Total))
			})
			if len(firsts) == 0 || c.Workable() {
				continue
			}
			fmt.Println(k, n, at, f.Says(sallyport.NewIndex(x.show)), time.Since(t0).Round(time.Millisecond), firsts)
			if !c.Workable() {
				fmt.Println("   NOT WORKABLE", c.Why)
				for i, f := range c.Report.Faults {
					if i < 4 {
						fmt.Println("      ", f.Rule, f.Sentence)
					}
				}
			}
		}
	}
}
