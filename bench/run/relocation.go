package main

import (
	"context"
	"encoding/csv"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"sallyport/internal/clear"
)

var relocationTable = table{
	name: "relocation",
	what: "known numbers of moves of the block relocation problem: reproduced, and how soon",
	flags: func(f *flag.FlagSet) {
		f.StringVar(&relocationData, "relocation", "../shared/data/relocation", "folder of the block relocation instances and their optima")
	},
	run: runRelocation,
}

// relocationData is the folder with optima.csv and cvs/GROUP/NAME.dat.
var relocationData string

// relocationLimit ends one case.
const relocationLimit = 60 * time.Second

// relocationCase is one instance under one rule.
type relocationCase struct {
	Name, Group, Rules string // Rules: mode and height
	Restricted, High   bool
	Known              int
}

// relocationResult is what was found.
type relocationResult struct {
	Moves  int
	Bound  int
	Proven bool
	Took   time.Duration
	Steps  int64
}

// runRelocation measures all cases and writes the table. Without the data it
// says so and measures nothing.
func runRelocation(ctx context.Context, s settings, out, log io.Writer) error {
	cases, err := relocationCases()
	if os.IsNotExist(err) {
		_, err = fmt.Fprintf(out, "## relocation\n\nSkipped: the instances are not in %s.\n", relocationData)
		return err
	}
	if err != nil {
		return err
	}
	results := map[string][]relocationResult{}
	known := map[string][]relocationCase{}
	var groups []string
	missing := 0
	for _, c := range cases {
		name := strings.ReplaceAll("relocation-"+c.Name+"-"+c.Rules, " ", "-")
		r, ok, err := kept(ctx, s, name, c, func() (relocationResult, error) { return relocate(ctx, s, c) })
		if err != nil {
			return fmt.Errorf("%s: %w", c.Name, err)
		}
		if !ok {
			missing++
			continue
		}
		g := c.Group + " | " + c.Rules
		if results[g] == nil {
			groups = append(groups, g)
			fmt.Fprintf(log, "relocation: %s\n", g)
		}
		results[g], known[g] = append(results[g], r), append(known[g], c)
	}
	var b strings.Builder
	s.heading(&b, "relocation", fmt.Sprintf("Instances of Caserta, Voss and Sniedovich (2011), T blocks on each of S piles: the fewest moves with which all are taken out in order, at most %s s each. H+2: no pile higher than T+2. Milliseconds: median, and the worst in brackets.", seconds(relocationLimit)), missing)
	b.WriteString("| T x S | mode | height | instances | reproduced | wrong | within 1 s | moves, mean | milliseconds | moves tried |\n|---|---|---|---|---|---|---|---|---|---|\n")
	for _, g := range groups {
		b.WriteString("| " + relocationLine(g, known[g], results[g]) + " |\n")
	}
	_, err = io.WriteString(out, b.String())
	return err
}

// relocationCases reads the known numbers of moves.
func relocationCases() ([]relocationCase, error) {
	f, err := os.Open(filepath.Join(relocationData, "optima.csv"))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return nil, err
	}
	var cases []relocationCase
	for _, r := range records[1:] {
		moves, err := strconv.Atoi(r[4])
		if err != nil {
			return nil, err
		}
		cases = append(cases, relocationCase{
			Name: r[0], Group: r[1], Rules: r[2] + " | " + r[3], Restricted: r[2] == "restricted", High: r[3] == "unlimited", Known: moves,
		})
	}
	slices.SortStableFunc(cases, func(a, b relocationCase) int { return strings.Compare(a.Group+a.Rules, b.Group+b.Rules) })
	return cases, nil
}

// relocate solves one case.
func relocate(ctx context.Context, s settings, c relocationCase) (relocationResult, error) {
	f, err := os.Open(filepath.Join(relocationData, "cvs", c.Group, c.Name+".dat"))
	if err != nil {
		return relocationResult{}, err
	}
	defer f.Close()
	piles, err := clear.ReadStacks(f)
	if err != nil {
		return relocationResult{}, err
	}
	height := 0
	for _, pile := range piles {
		height = max(height, len(pile)+2)
	}
	if c.High {
		height = 0
	}
	p := clear.Stacks(piles, height)
	limited, cancel := s.clock.limit(ctx, relocationLimit)
	defer cancel()
	begin := s.clock.now()
	a := clear.Solve(limited, p, clear.Options{Restricted: c.Restricted, Steps: math.MaxInt64})
	return relocationResult{Moves: a.Count, Bound: a.Bound, Proven: a.Proven, Took: s.clock.now() - begin, Steps: a.Steps}, nil
}

// relocationLine writes one group.
func relocationLine(group string, known []relocationCase, results []relocationResult) string {
	same, wrong, soon, moves := 0, 0, 0, 0
	var most int64
	for i, r := range results {
		want := known[i].Known
		switch {
		case r.Proven && r.Moves == want:
			same++
		case r.Bound > want || r.Moves < want || r.Proven:
			wrong++
		}
		if r.Proven && r.Took <= time.Second {
			soon++
		}
		moves += r.Moves
		most = max(most, r.Steps)
	}
	n := len(results)
	return fmt.Sprintf("%s | %d | %d | %d | %d %% | %.3f | %s | at most %d", group, n, same, wrong, soon*100/n, float64(moves)/float64(n),
		milliseconds(results), most)
}

// milliseconds returns the median and the longest time.
func milliseconds(results []relocationResult) string {
	var list []time.Duration
	for _, r := range results {
		list = append(list, r.Took)
	}
	slices.Sort(list)
	ms := func(d time.Duration) string { return fmt.Sprintf("%.1f", float64(d.Microseconds())/1000) }
	return ms(list[(len(list)-1)/2]) + " (" + ms(list[len(list)-1]) + ")"
}
