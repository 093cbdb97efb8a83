package main

import (
	"context"

	sp "sallyport"
	"sallyport/internal/solve"
)

// verdict is what the judge says of a lane for each stay.
type verdict struct {
	Cost    int64 `json:"cost"`
	Aside   int   `json:"aside"`
	Changes int   `json:"changes"`
	Faults  int   `json:"faults"`
}

// judge writes a lane for each stay as a plan of moves and has it checked and
// priced.
func judge(ctx context.Context, show *sp.Show, t *task, lanes []int) (verdict, error) {
	r, err := solve.FromSketch(ctx, show, t.sketch(lanes), solve.Options{NoHolds: true, NoResets: true})
	if err != nil {
		return verdict{}, err
	}
	return verdictOf(r), nil
}

func verdictOf(r *solve.Result) verdict {
	c := r.Report.Cost
	aside := 0
	for _, m := range r.Plan.Moves {
		if m.Kind == sp.MoveAside {
			aside++
		}
	}
	return verdict{Cost: int64(c.Total), Aside: aside, Changes: c.Term(sp.TermChange).Count, Faults: len(r.Report.Faults)}
}
