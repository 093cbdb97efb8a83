package sallyport_test

import (
	"strings"
	"testing"

	sp "sallyport"
)

// The rule for towing is a figure of the park: given it is kept, else the
// usual one is assumed and told.
func TestTowRule(t *testing.T) {
	show := func(percent int, masses ...sp.Kilograms) *sp.Show {
		s := &sp.Show{Name: "Towing", Days: []sp.Day{{Name: "Saturday"}}, Park: sp.Park{TowPercent: percent, Lanes: []sp.Lane{{ID: "A", Length: 9000}}}}
		for i, m := range masses {
			s.Vehicles = append(s.Vehicles, sp.Vehicle{ID: sp.UnitID(rune('a' + i)), Name: string(rune('A' + i)), Mass: m})
		}
		return s
	}
	for _, c := range []struct {
		name   string
		given  *sp.Show
		want   int
		listed bool
	}{
		{"nothing given", show(0, 4000, 9000), sp.UsualTowPercent, true},
		{"given", show(80, 4000, 9000), 80, false},
		{"given as usual", show(45, 4000, 9000), 45, false},
	} {
		done := sp.Complete(c.given)
		listed := false
		for _, a := range done.Assumed {
			listed = listed || a.Field == sp.AssumedTow && strings.Contains(a.Value, "45 %") && strings.Contains(a.Why, "from memory")
		}
		if done.Park.TowPercent != c.want || listed != c.listed {
			t.Errorf("%s: %d %%, listed as assumed: %v; want %d %%, %v", c.name, done.Park.TowPercent, listed, c.want, c.listed)
		}
	}
}

// Percentages that cannot be meant stop planning.
func TestTowRuleFigures(t *testing.T) {
	for percent, bad := range map[int]bool{-1: true, 0: false, 1: false, 1000: false, 1001: true} {
		s := &sp.Show{Park: sp.Park{TowPercent: percent}}
		found := false
		for _, p := range sp.Validate(s) {
			found = found || p.Field == "greatest towed mass" && p.Severity == sp.Stop
		}
		if found != bad {
			t.Errorf("%d %%: stopped %v, want %v", percent, found, bad)
		}
	}
}
