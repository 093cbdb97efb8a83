package solve

import (
	"testing"

	"sallyport/bench/plant"
)

// TestListingGoesOnWhereItStopped stops the listing of missing columns again
// and again. Whatever was found on the way counts: when it comes to an end, the
// cheapest partition is the same as with all columns listed at once.
func TestListingGoesOnWhereItStopped(t *testing.T) {
	all := func(int64) bool { return true }
	stopped := 0
	for seed := range uint64(4) {
		for k, c := range smallMasters(t, plant.Options{Seed: seed, Vehicles: 11, Plain: seed%2 == 0}) {
			want := c.least
			few, lists := c.master(120)
			r := &root{newNode(few), lists, noLimit, 0}
			done := false
			for budget := int64(20_000); !done && budget < 1<<40; budget += budget / 4 {
				left := budget
				done = r.complete(want, func(int64) {}, func(n int64) bool { left -= n; return left > 0 })
				if !done {
					stopped++
				}
			}
			if !done {
				continue
			}
			few.limit = want
			n := newNode(few)
			if result := n.within(all); result != found || n.costOf(n.chosen) != want*dualScale {
				t.Errorf("seed %d, anchor %d: within %d the branches come to %d at %d/%d", seed, k, want, result, n.costOf(n.chosen), dualScale)
			}
			few.limit = want - 1
			if result := newNode(few).within(all); want > 0 && result != refuted {
				t.Errorf("seed %d, anchor %d: below %d: %d", seed, k, want, result)
			}
		}
	}
	if stopped == 0 {
		t.Error("never stopped on the way")
	}
	t.Logf("stopped %d times", stopped)
}

// TestBoundsWithColumnsLeftOut looks at the bound of duals alone, and at
// partitions once the columns that matter are listed, for limits that the
// bound just meets and for cuts that no cost comes to.
func TestBoundsWithColumnsLeftOut(t *testing.T) {
	all := func(int64) bool { return true }
	met := 0
	for seed := range uint64(8) {
		for k, c := range smallMasters(t, plant.Options{Seed: seed, Vehicles: 8 + int(seed%4), Plain: seed%4 != 3}) {
			want, unit := c.least, c.unit
			for _, cut := range []int64{0, unit, unit + unit/2, 2*unit - 1, 3*unit - 1} {
				few, lists := c.master(cut)
				few.limit = want
				if b, _, _ := newNode(few).relax(all); b > want*dualScale {
					t.Errorf("seed %d, anchor %d, cut %d: the bound is %d/%d, the cheapest partition costs %d", seed, k, cut, b, dualScale, want)
				}
				r := &root{newNode(few), lists, noLimit, 0}
				bound := int64(0)
				if !r.complete(want, func(b int64) { bound = b }, all) {
					continue
				}
				if bound == want*dualScale {
					met++
				}
				if result := newNode(few).within(all); result != found {
					t.Errorf("seed %d, anchor %d, cut %d: no partition within %d is found: %d", seed, k, cut, want, result)
				}
			}
		}
	}
	if met == 0 {
		t.Error("no bound met the limit")
	}
}
