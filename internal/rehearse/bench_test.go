package rehearse_test

import (
	"context"
	"sync"
	"testing"

	sp "sallyport"
	"sallyport/internal/fenmoor"
	"sallyport/internal/rehearse"
	"sallyport/internal/solve"
)

// demo returns the demonstration show, complete, with a plan made in few
// steps.
var demo = sync.OnceValues(func() (*sp.Show, *sp.Plan) {
	show := sp.Complete(fenmoor.Show())
	r, err := solve.Solve(context.Background(), show, solve.Options{Seed: 1, Steps: 3_000_000}, nil)
	if err != nil {
		panic(err)
	}
	return show, r.Plan
})

// BenchmarkMatrix is the whole matrix of the demonstration show.
func BenchmarkMatrix(b *testing.B) {
	show, plan := demo()
	for b.Loop() {
		if _, err := rehearse.Matrix(context.Background(), show, plan, rehearse.Options{}, nil); err != nil {
			b.Fatal(err)
		}
	}
}
