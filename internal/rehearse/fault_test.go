package rehearse_test

import (
	"context"
	"testing"

	sp "sallyport"
	"sallyport/bench/plant"
	"sallyport/internal/rehearse"
	"sallyport/internal/together"
)

// TestFaultWhileRehearsing: a fault on one of the goroutines comes to who asked
// for the matrix; the others do not wait for it for ever.
func TestFaultWhileRehearsing(t *testing.T) {
	small, err := plant.Plant(plant.Options{Seed: 1, Vehicles: 8, Lanes: 3, Days: 1, Serials: 3, Entries: 2, Spare: 10})
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if f := together.FaultOf(recover()); f.Value != "a fault" {
			t.Errorf("heard %v", f.Value)
		}
	}()
	_, err = rehearse.Matrix(context.Background(), sp.Complete(small.Show), small.Plan, rehearse.Options{Workers: 3}, func(int, int) { panic("a fault") })
	t.Errorf("the matrix was made: %v", err)
}
