package solve

import (
	"math/rand/v2"
	"slices"
	"testing"

	"sallyport"
	"sallyport/internal/fenmoor"
)

// TestWarmStart holds that the board made of a plan costs what the board cost
// of which the plan was made: resets and open lanes included.
func TestWarmStart(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 0))
	seen := 0
	for i := range 400 {
		show := smallShow(rnd)
		if i == 0 {
			show = sallyport.Complete(fenmoor.Show())
		}
		st := newStream(compile(show), Options{}, uint64(i))
		st.construct(t.Context())
		st.improve(t.Context(), 20_000)
		if st.best.worth() >= lostUnit {
			continue // who has no place is not in the plan
		}
		seen++
		got := compile(show).boardOf(st.p.plan(st.best))
		if got.b.worth() != st.best.worth() {
			t.Errorf("show %d: the plan of a board that costs %d is a board that costs %d", i, st.best.worth(), got.b.worth())
		}
	}
	if seen < 100 {
		t.Errorf("only %d of the shows had a place for everybody", seen)
	}
}

// TestWarmShifts holds the same for a plan with somebody held back and
// somebody out early.
func TestWarmShifts(t *testing.T) {
	show := sallyport.Complete(fenmoor.Show())
	st := newStream(compile(show), Options{}, 7)
	st.construct(t.Context())
	rnd := rand.New(rand.NewPCG(7, 7))
	var list []shift
	b := st.best
	for tries := 0; tries < 3000 && len(list) < 12; tries++ {
		more := b.someShift(rnd)
		next := withShifts(list, more)
		q, ok := st.p.shifted(next)
		if more == nil || !ok {
			continue
		}
		if c, ok := b.carried(q); ok {
			b, list = c, next
		}
	}
	if out := slices.ContainsFunc(list, func(x shift) bool { return x.out }); len(list) < 2 || !out {
		t.Fatalf("only %d shifts found, none early", len(list))
	}
	got := compile(show).boardOf(b.p.plan(b))
	if got.b.worth() != b.worth() || !slices.Equal(got.list, list) {
		t.Errorf("the plan of a board with shifts %v that costs %d is a board with %v that costs %d", list, b.worth(), got.list, got.b.worth())
	}
}

// TestLook holds that an outlook on the same show costs no more than the plan
// it goes on from, that it is repeatable, and that its plan is one to go on
// from again.
func TestLook(t *testing.T) {
	show := sallyport.Complete(fenmoor.Show())
	r, err := Solve(t.Context(), show, Options{Seed: 3, Steps: 200_000, Workers: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	last := r.Report.Cost
	warm := r.Plan
	for range 3 {
		opt := Options{Seed: 5, Steps: 100_000, Warm: warm}
		a, err := Look(t.Context(), show, opt)
		if err != nil {
			t.Fatal(err)
		}
		b, err := Look(t.Context(), show, opt)
		if err != nil {
			t.Fatal(err)
		}
		if a.Cost.Total != b.Cost.Total || len(a.Plan.Moves) != len(b.Plan.Moves) {
			t.Errorf("two looks cost %s and %s", a.Cost.Total, b.Cost.Total)
		}
		if last.Less(a.Cost) {
			t.Errorf("the outlook costs %s, more than the %s it began from", a.Cost.Total, last.Total)
		}
		last, warm = a.Cost, a.Plan
	}
}
