package solve

import (
	"context"
	"testing"

	"sallyport"
	"sallyport/bench/plant"
)

// TestStreamMovesIn gives a stream the homes that the prover has found: who has
// one stands there for the whole show, and the board is counted right.
func TestStreamMovesIn(t *testing.T) {
	moved := 0
	for seed := range uint64(4) {
		planted, err := plant.Plant(plant.Options{Seed: seed, Vehicles: 16, Lanes: 8, Entries: 2, Spare: 10, Plain: seed%2 == 0})
		if err != nil {
			t.Fatal(err)
		}
		p := compile(sallyport.Complete(planted.Show))
		v := newProver(context.Background(), p, freedom{holds: true, resets: true}, lowerBound(context.Background(), p))
		for v.steps < 60_000_000 && len(v.homes) == 0 && v.work(noLimit, 2_000_000) {
		}
		v.stop()
		if len(v.homes) == 0 {
			continue
		}
		homes := v.homes[0]
		st := newStream(p, Options{Seed: seed}, 0)
		st.construct(t.Context())
		st.moveIn(homes)
		again := newBoard(p)
		for u := range p.units {
			un := &p.units[u]
			again.set(int32(u), st.b.choice[un.firstStay:un.endStay])
		}
		if st.b.total != again.total || st.best.total != again.total {
			t.Errorf("seed %d: the board costs %d, the best %d, counted anew %d", seed, st.b.total, st.best.total, again.total)
		}
		for u, home := range homes {
			at := true
			for s := p.units[u].firstStay; s < p.units[u].endStay; s++ {
				at = at && st.b.laneOf(s) == home
			}
			if at && home != none {
				moved++
			}
		}
		for l := range p.lanes {
			need := -p.lanes[l].gap
			for u, home := range homes {
				if home == int32(l) {
					need += p.lanes[l].gap + p.units[u].length
				}
			}
			if need > p.lanes[l].length {
				t.Errorf("seed %d: homes in lane %d are %d cm long together, the lane %d", seed, l, need, p.lanes[l].length)
			}
		}
	}
	if moved == 0 {
		t.Error("nobody is at home")
	}
	t.Logf("%d at home", moved)
}
