package desk_test

import (
	"context"
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/solve"
)

// TestReplanFromSaysWhatChanges holds that a reserve who takes an entry, and
// who drops out, are told in order of time with the reason, and that nothing
// is told when nothing has happened.
func TestReplanFromSaysWhatChanges(t *testing.T) {
	show := sallyport.Complete(&sallyport.Show{
		Name: "Reissue", Days: []sallyport.Day{{Name: "Friday", Kind: sallyport.ShowDay}},
		Park:     sallyport.Park{Lanes: []sallyport.Lane{{ID: "A", Length: 700}, {ID: "B", Length: 700}}},
		Vehicles: []sallyport.Vehicle{{ID: "avocet", Name: "Avocet", Length: 600, UsualDriver: "ned"}, {ID: "curlew", Name: "Curlew", Length: 600}},
		People:   []sallyport.Person{{ID: "ned", Name: "Ned Quill"}},
		Serials:  []sallyport.Serial{{ID: "S1", Name: "Opening", ArenaIn: sallyport.At(1, 10, 0), Entries: []sallyport.Entry{{ID: "e1", Unit: "avocet", Reserves: []sallyport.UnitID{"curlew"}}}}},
	})
	r, err := solve.Solve(context.Background(), show, solve.Options{Seed: 1, Steps: 1000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	opt := desk.ReplanOptions{At: sallyport.At(1, 8, 0), Seed: 1, Steps: 1000}
	same, err := desk.ReplanFrom(context.Background(), show, r.Plan, nil, opt, nil)
	if err != nil || len(same.Changes) != 0 || same.Code() != "" {
		t.Fatalf("nothing has happened, but %v is told (%v)", same.Changes, err)
	}
	told := 0
	got, err := desk.ReplanFrom(context.Background(), show, r.Plan, []sallyport.Happening{{Kind: sallyport.HappenFailed, Unit: "avocet"}}, opt, func(*desk.Replanned) { told++ })
	if err != nil || got.Code() != "" || told == 0 {
		t.Fatalf("%v, %q, told %d times", err, got.Code(), told)
	}
	for i, want := range []struct{ vehicle, now string }{{"Avocet", "stays out of Opening"}, {"Curlew", "pull out for Opening"}} {
		if i >= len(got.Changes) {
			t.Fatalf("only %v is told", got.Changes)
		}
		if c := got.Changes[i]; c.Vehicle != want.vehicle || !strings.HasPrefix(c.Now, want.now) || c.Why == "" {
			t.Errorf("change %d is %+v, want %v", i, c, want)
		}
	}
	if got.Changes[0].People[0] != "Ned Quill" {
		t.Errorf("%v is told of Avocet", got.Changes[0].People)
	}
	if got.Proposed != 1 {
		t.Errorf("%d happenings are proposed, want the reserve", got.Proposed)
	}
	text := strings.Join(got.Summary(), "\n")
	for _, want := range []string{"Curlew takes the entry of Avocet in Opening", "Workable: everybody", "Not checked:", "Assumed:"} {
		if !strings.Contains(text, want) {
			t.Errorf("the summary lacks %q:\n%s", want, text)
		}
	}
	if _, err := desk.ReplanFrom(context.Background(), show, r.Plan, []sallyport.Happening{{Kind: sallyport.HappenCancelled, Serial: "S9"}, {Kind: "rain"}}, opt, nil); err == nil || !strings.Contains(err.Error(), "2 things") {
		t.Errorf("two things that cannot be: %v", err)
	}
}
