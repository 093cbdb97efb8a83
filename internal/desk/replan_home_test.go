package desk_test

import (
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
)

// Who comes home too late after a delay is told the later time that would do,
// and it does.
func TestALaterHomeIsProposed(t *testing.T) {
	show, plan := small()
	show.Serials[0].HomeBy = sallyport.At(1, 10, 58)
	opt := desk.ReplanOptions{At: sallyport.At(1, 10, 40), Seed: 1, Steps: 1000}
	late := []sallyport.Happening{{Kind: sallyport.HappenDelayed, Serial: "1", By: 600}}
	r, err := desk.ReplanFrom(t.Context(), show, plan, late, opt, nil)
	if err != nil || r.Workable() {
		t.Fatalf("%v; a case in which nobody is late home says nothing", err)
	}
	text := strings.Join(r.Summary(), "\n")
	const want = "Too late home; a later time would do: Opening by Saturday 11:10 in place of 11:08; then it is workable."
	if !strings.Contains(text, want) {
		t.Fatalf("%q is not said:\n%s", want, text)
	}
	show.Serials[0].HomeBy = sallyport.At(1, 11, 0) // by 11:10 with the delay
	if r, err = desk.ReplanFrom(t.Context(), show, plan, late, opt, nil); err != nil || !r.Workable() {
		t.Errorf("with the proposed time it is not workable (%v): %v", err, r.Report.Faults)
	}
}
