package sallyport_test

import (
	"testing"

	sp "sallyport"
)

// TestChangesSinceAnIssue holds that each stay in another lane than the issue
// said is counted once, with who and where, and nothing else is.
func TestChangesSinceAnIssue(t *testing.T) {
	w := sp.DefaultWeights()
	w.Issue = 700
	show := sp.Complete(&sp.Show{
		Name: "Reissue", Weights: w, Days: []sp.Day{{Name: "Friday"}},
		Park:     sp.Park{Lanes: []sp.Lane{{ID: "A", Length: 2000}, {ID: "B", Length: 2000}}},
		Vehicles: []sp.Vehicle{{ID: "avocet", Name: "Avocet", Length: 400}, {ID: "bittern", Name: "Bittern", Length: 500}, {ID: "curlew", Name: "Curlew", Length: 600}},
	})
	layout := func(a, b []sp.UnitID) *sp.Plan {
		return &sp.Plan{Start: []sp.LaneLayout{{Lane: "A", Units: a}, {Lane: "B", Units: b}}}
	}
	issued := layout([]sp.UnitID{"avocet", "bittern"}, []sp.UnitID{"curlew"})
	for _, c := range []struct {
		name  string
		plan  *sp.Plan
		moved []sp.UnitID
	}{
		{"nothing changed", issued, nil},
		{"another place in the same lane", layout([]sp.UnitID{"bittern", "avocet"}, []sp.UnitID{"curlew"}), nil},
		{"one in another lane", layout([]sp.UnitID{"avocet"}, []sp.UnitID{"curlew", "bittern"}), []sp.UnitID{"bittern"}},
		{"two change lanes", layout([]sp.UnitID{"curlew", "bittern"}, []sp.UnitID{"avocet"}), []sp.UnitID{"curlew", "avocet"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := sp.EvaluateSince(show, c.plan, issued)
			term := got.Term(sp.TermIssue)
			if term.Count != len(c.moved) || term.Amount != sp.Amount(700*len(c.moved)) {
				t.Fatalf("%d changes for %s, want %d", term.Count, term.Amount, len(c.moved))
			}
			for i, item := range term.Items {
				if item.Units[0] != c.moved[i] || item.Why == "" {
					t.Errorf("change %d is %+v, want one of %s", i, item, c.moved[i])
				}
			}
			if alone := sp.Evaluate(show, c.plan); got.Total-term.Amount != alone.Total {
				t.Errorf("without the changes it costs %s, Evaluate says %s", got.Total-term.Amount, alone.Total)
			}
		})
	}
}
