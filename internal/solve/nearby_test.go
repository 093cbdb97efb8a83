package solve

import (
	"math/rand/v2"
	"slices"
	"testing"

	"sallyport"
	"sallyport/bench/plant"
)

// In a large park a unit looks at the places just left and at so many others,
// each once and in order; in a small one at all.
func TestNearbyPlaces(t *testing.T) {
	planted, err := plant.Plant(plant.Options{Seed: 1, Vehicles: 800, Plain: true})
	if err != nil {
		t.Fatal(err)
	}
	p := compile(sallyport.Complete(planted.Show))
	b, rnd := newBoard(p), rand.New(rand.NewPCG(1, 1))
	for u := range p.units { // spread over the lanes
		pl := p.units[u].places[u%len(p.units[u].places)]
		b.put(p.units[u].firstStay, pl)
		b.countLane(p.places[pl].lane)
	}
	b.take(0)
	var n nearby
	n.keep([]int32{7, none, 3, 7})
	if !n.pick(b, 0, rnd) {
		t.Fatalf("%d places are all looked at", len(p.units[0].places))
	}
	most := nearLater + nearLater/4 + 2
	rising := slices.IsSorted(n.list) && len(slices.Compact(slices.Clone(n.list))) == len(n.list)
	if !rising || len(n.list) < nearLater/4 || len(n.list) > most || !slices.Contains(n.list, 3) || !slices.Contains(n.list, 7) {
		t.Errorf("looks at %v", n.list)
	}
	few := p.units[0]
	few.places = few.places[:nearLater]
	p.units[0] = few
	if n.pick(b, 0, rnd) || len(n.list) > 0 {
		t.Error("a small park is not looked at whole")
	}
}
