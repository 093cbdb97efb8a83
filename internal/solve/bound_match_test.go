package solve

import (
	"math/rand/v2"
	"testing"
)

// TestCheapestMatching compares with trying every way.
func TestCheapestMatching(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 1))
	for n := range 3000 {
		rows, columns := 1+rnd.IntN(5), 0
		columns = rows + rnd.IntN(3)
		cost := make([][]int64, rows)
		for i := range cost {
			cost[i] = make([]int64, columns)
			for j := range cost[i] {
				if cost[i][j] = int64(rnd.IntN(20)); rnd.IntN(4) == 0 {
					cost[i][j] = impossible
				}
			}
		}
		best := impossible
		used := make([]bool, columns)
		var try func(i int, sum int64)
		try = func(i int, sum int64) {
			if i == rows {
				best = min(best, sum)
				return
			}
			for j, c := range cost[i] {
				if !used[j] && c < impossible {
					used[j] = true
					try(i+1, sum+c)
					used[j] = false
				}
			}
		}
		try(0, 0)
		if got := cheapestMatching(cost); best < impossible && got != best {
			t.Fatalf("case %d: matching costs %d, want %d: %v", n, got, best, cost)
		}
	}
}
