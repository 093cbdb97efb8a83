package solve

import (
	"context"
	"math/rand/v2"
	"testing"
)

// BenchmarkFirstContinuation measures the first answer, without a search, from
// random moments with a failure.
func BenchmarkFirstContinuation(b *testing.B) {
	x := publishedShows()[0]
	rnd := rand.New(rand.NewPCG(7, 1))
	var moments []Moment
	for len(moments) < 20 {
		at := x.someMoment(rnd)
		if f, ok := x.someFailure(rnd, at); ok {
			m, _ := x.momentOf(at, f)
			moments = append(moments, m)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	b.ResetTimer()
	for i := range b.N {
		Replan(ctx, moments[i%len(moments)], Options{Seed: 1, Steps: 1, Workers: 1}, nil)
	}
}
