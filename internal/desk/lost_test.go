package desk_test

import (
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
)

// An entry that what has happened keeps from being served is told with the
// reason and is no fault of a plan that goes on, by check as by replan; one
// that is given up for nothing is.
func TestLostByWhatHappened(t *testing.T) {
	show, plan := small()
	for _, c := range []struct {
		name, unit string
		given      sallyport.EntryID // struck from the continuation by hand
		code       sallyport.Code
		says       []string
	}{
		{"the deeper one has failed", "knot", "", "", []string{"Workable for what is left, without 1 entry that nobody can serve any more.", "Lost because Knot has failed in lane: Knot in Opening."}},
		{"the one before it has failed", "dunlin", "", "", []string{"without 2 entries", "Lost because Dunlin has failed in lane: Dunlin in Opening, Knot in Opening."}},
		{"the other is given up too", "knot", "1a", sallyport.CodeNotWorkable, []string{"Not workable: 2 entries are given up", "Dunlin is not in Opening: its entry is given up"}},
	} {
		r, err := desk.ReplanFrom(t.Context(), show, plan, []sallyport.Happening{{Kind: sallyport.HappenFailed, Unit: sallyport.UnitID(c.unit)}}, desk.ReplanOptions{At: sallyport.At(1, 8, 0), Seed: 1, Steps: 1000}, nil)
		if err != nil || r.Code() != "" {
			t.Fatalf("%s: %v, %q", c.name, err, r.Code())
		}
		next := *r.Plan
		if c.given != "" {
			next.Unserved = append(next.Unserved[:len(next.Unserved):len(next.Unserved)], c.given)
		}
		a, err := desk.Check(t.Context(), show, &next)
		if err != nil {
			t.Fatal(err)
		}
		text := strings.Join(a.Summary(), "\n")
		if a.Code() != c.code {
			t.Errorf("%s: %q, want %q:\n%s", c.name, a.Code(), c.code, text)
		}
		for _, want := range c.says {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %q is not said:\n%s", c.name, want, text)
			}
		}
	}
}
