package desk

import (
	"testing"

	"sallyport"
)

// A plan that breaks rules never goes before one that does not; of two workable
// ones the plain one only when it stands as much and costs less.
func TestChooseBetweenStandingAndPlain(t *testing.T) {
	answer := func(cost sallyport.Amount, faults int) *Answer {
		return &Answer{Report: sallyport.Report{Faults: make([]sallyport.Fault, faults), Cost: sallyport.Cost{Total: cost}}}
	}
	one, two := []sallyport.EntryID{"1a"}, []sallyport.EntryID{"1a", "1b"}
	for _, c := range []struct {
		name         string
		asked, plain *Answer
		left, old    []sallyport.EntryID
		wantPlain    bool
	}{
		{"it stands more", answer(90, 0), answer(50, 0), one, two, false},
		{"it stands as much and is dearer", answer(90, 0), answer(50, 0), one, one, true},
		{"it stands as much and is cheaper", answer(40, 0), answer(50, 0), one, one, false},
		{"it breaks rules", answer(90, 1), answer(50, 0), one, two, true},
		{"both break rules", answer(90, 1), answer(50, 1), one, two, false},
	} {
		s := &Standing{With: c.asked, Without: c.plain, Uncovered: c.left, UncoveredOld: c.old}
		if s.choose(); (s.With == c.plain) != c.wantPlain {
			t.Errorf("%s: the plain plan is given: %v", c.name, s.With == c.plain)
		}
	}
}
