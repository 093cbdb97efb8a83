package picture

import (
	"encoding/json"
	"os"
	"testing"

	"sallyport"
)

// small returns the invented show and plan of testdata and what stands before
// every move.
func small(t testing.TB) (*sallyport.Show, *sallyport.Plan, []sallyport.State) {
	t.Helper()
	var show sallyport.Show
	var plan sallyport.Plan
	read(t, "testdata/small.show.json", &show)
	read(t, "testdata/small.plan.json", &plan)
	full := sallyport.Complete(&show)
	if faults := sallyport.Check(full, &plan).Faults; len(faults) > 0 {
		t.Fatalf("the fixture is not workable: %v", faults)
	}
	start, _ := sallyport.StartState(full, &plan)
	states, _ := sallyport.Play(full, start, plan.Moves)
	return full, &plan, append([]sallyport.State{start}, states...)
}

func read(t testing.TB, path string, into any) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, into); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
}
