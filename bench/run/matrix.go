package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	sp "sallyport"
	"sallyport/internal/fenmoor"
	"sallyport/internal/rehearse"
	"sallyport/internal/solve"
)

var matrixTable = table{
	name: "matrix",
	what: "how long all failures of the demonstration show take to play, and what a plan that stands any one failure costs",
	run:  runMatrix,
}

// matrixRuns is how often the matrix of one plan is measured; the least time
// counts.
const matrixRuns = 3

// matrixCase is one seed: the plan as usual, and the one asked to stand.
type matrixCase struct {
	rows, cells int
	took        time.Duration
	usual       sp.Cost
	behind      int // entries that stay behind when one other vehicle does not start
	asked       sp.Cost
	behindAsked int
	workable    bool
}

// runMatrix measures the table and writes it.
func runMatrix(ctx context.Context, s settings, out, log io.Writer) error {
	var cases []matrixCase
	for seed := range s.seeds {
		c, err := matrixOf(ctx, s, uint64(seed)+1)
		if ctx.Err() != nil {
			break
		}
		if err != nil {
			return err
		}
		cases = append(cases, c)
		fmt.Fprintf(log, "matrix: seed %d: %d cases in %s; %d entries stay behind, %d when asked\n", seed+1, c.cells, c.took.Round(time.Millisecond), c.behind, c.behindAsked)
	}
	var b strings.Builder
	s.heading(&b, "matrix", fmt.Sprintf("Failures of the demonstration show, plans of %d seeds at the usual budget: every entry, duty and vehicle moved aside × seven kinds of failure, each played to the end of its day with every cure (the least of %d runs). Then what it costs to be asked to stand any one failure to start.", s.seeds, matrixRuns), s.seeds-len(cases))
	b.WriteString("| seed | vehicles on their way | cases | seconds | cost | entries that stay behind | cost, asked to stand | stay behind then | workable |\n|---|---|---|---|---|---|---|---|---|\n")
	for i, c := range cases {
		fmt.Fprintf(&b, "| %d | %d | %d | %s | %s | %d | %s | %d | %v |\n", i+1, c.rows, c.cells, seconds(c.took), c.usual.Total, c.behind, c.asked.Total, c.behindAsked, c.workable)
	}
	_, err := io.WriteString(out, b.String())
	return err
}

// matrixOf measures one seed.
func matrixOf(ctx context.Context, s settings, seed uint64) (matrixCase, error) {
	c := matrixCase{workable: true}
	show := sp.Complete(fenmoor.Show())
	for _, stand := range []bool{false, true} {
		r, err := solve.Solve(ctx, show, solve.Options{Seed: seed, Workers: s.workers, Stand: stand}, nil)
		if err != nil {
			return c, err
		}
		c.workable = c.workable && r.Report.Workable()
		var m *sp.FailureMatrix
		var times []time.Duration
		for range matrixRuns {
			begin := s.clock.now()
			if m, err = rehearse.Matrix(ctx, show, r.Plan, rehearse.Options{Workers: s.workers}, nil); err != nil {
				return c, err
			}
			times = append(times, s.clock.now()-begin)
		}
		if stand {
			c.asked, c.behindAsked = r.Report.Cost, len(m.Uncovered)
			continue
		}
		c.rows, c.cells, c.took = len(m.Rows), len(m.Worst), slices.Min(times)
		c.usual, c.behind = r.Report.Cost, len(m.Uncovered)
	}
	return c, nil
}
