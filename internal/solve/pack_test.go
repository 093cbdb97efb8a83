package solve

import (
	"math/rand/v2"
	"testing"

	"sallyport"

	"pgregory.net/rapid"
)

// A packing that says it is done leaves every lane with room for all of its
// units at once, counted here anew.
func TestPackingHasRoomForAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		show := &sallyport.Show{Days: []sallyport.Day{{Name: "Day 1"}}}
		lanes := rapid.IntRange(2, 6).Draw(t, "lanes")
		for l := range lanes {
			// Planted: each lane holds one to three vehicles and a little more.
			deep := rapid.IntRange(1, 3).Draw(t, "deep")
			length := sallyport.Centimetres(rapid.IntRange(0, 60).Draw(t, "spare"))
			for i := range deep {
				own := sallyport.Centimetres(rapid.IntRange(300, 900).Draw(t, "length"))
				id := sallyport.UnitID([]byte{'a' + byte(l), '0' + byte(i)})
				show.Vehicles = append(show.Vehicles, sallyport.Vehicle{ID: id, Name: string(id), Length: own})
				length += own
			}
			length += 50 * sallyport.Centimetres(deep-1)
			show.Park.Lanes = append(show.Park.Lanes, sallyport.Lane{ID: sallyport.LaneID([]byte{'A' + byte(l)}), Length: length, Gap: 50})
		}
		p := compile(sallyport.Complete(show))
		k := newPacking(p, rand.New(rand.NewPCG(1, 2)))
		if k == nil {
			t.Fatal("some vehicle has no lane at all")
		}
		if !k.run() {
			t.Skip("no packing found: the planted one may be the only one")
		}
		need := make([]sallyport.Centimetres, len(p.lanes))
		for u, pl := range k.home {
			l := p.places[pl].lane
			if need[l] > 0 {
				need[l] += 50
			}
			need[l] += show.Vehicles[u].Length
		}
		for l := range need {
			if need[l] > show.Park.Lanes[l].Length {
				t.Errorf("lane %s is %s long but has to hold %s", show.Park.Lanes[l].ID, show.Park.Lanes[l].Length.Metres(), need[l].Metres())
			}
		}
	})
}
