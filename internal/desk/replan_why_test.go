package desk_test

import (
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
)

// A lane that is closed but cannot be cleared is said once, with who holds
// whom in it; the reasons of one vehicle are one line.
func TestALaneThatCannotBeClearedIsSaidOnce(t *testing.T) {
	show, plan := small()
	second := show.Serials[0]
	second.ID, second.Name = "2", "Finale"
	second.Entries = []sallyport.Entry{{ID: "2a", Unit: "dunlin", Value: 1}, {ID: "2b", Unit: "knot", Value: 1}}
	for _, t := range []*sallyport.Instant{&second.FormFrom, &second.FormUp, &second.ArenaIn, &second.ArenaOut, &second.HomeBy} {
		*t += sallyport.Instant(sallyport.Minutes(240))
	}
	show.Serials = append(show.Serials, second)
	happened := []sallyport.Happening{{Kind: sallyport.HappenDoNotMove, Unit: "dunlin"}, {Kind: sallyport.HappenLane, Lane: "A1"}}
	r, err := desk.ReplanFrom(t.Context(), show, plan, happened, desk.ReplanOptions{At: sallyport.At(1, 8, 0), Seed: 1, Steps: 1000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(r.Summary(), "\n")
	for _, want := range []string{
		"Lane A1 is not cleared by Saturday 08:20: Dunlin is not to be moved; it shuts in Knot.",
		"Dunlin cannot be in Opening and Finale: it is off the road then.",
		"Knot cannot be in Opening and Finale: it is shut in by Dunlin.",
	} {
		if strings.Count(text, want) != 1 {
			t.Errorf("%q is not said once:\n%s", want, text)
		}
	}
}
