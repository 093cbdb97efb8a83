package main

import "testing"

// The exponent of values that are a power of the size is that power.
func TestExponent(t *testing.T) {
	var list []sized
	for _, n := range []int{10, 20, 80} {
		list = append(list, sized{Vehicles: n})
	}
	square := func(m sized) float64 { return 3 * float64(m.Vehicles*m.Vehicles) }
	if got := exponent(list, square); got != "2.00" {
		t.Errorf("exponent of squares: %s", got)
	}
	if got := exponent(list, func(m sized) float64 { return float64(10 - m.Vehicles) }); got != "–" {
		t.Errorf("exponent of nothing: %s", got)
	}
}

func TestMemoryIsWatched(t *testing.T) {
	var most uint64
	stop := watchMemory(&most)
	block := make([]byte, 64<<20)
	for i := range block {
		block[i] = byte(i)
	}
	stop()
	if most < 64<<20 {
		t.Errorf("%d bytes, but %d were held", most, len(block))
	}
}
