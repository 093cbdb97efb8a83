package main

import (
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"strconv"
)

// report prints a table for each kind of show and spare room from the results
// in the folder.
func report(s settings, w io.Writer) error {
	fmt.Fprintf(w, "Machine: %d cores, %s/%s, %s. Repeat with `%s`.\n", runtime.NumCPU(), runtime.GOOS, runtime.GOARCH, runtime.Version(), s.command)
	for _, t := range s.tables {
		for _, spare := range s.spares {
			g, err := s.gather(t, spare)
			if err != nil {
				return err
			}
			if err := g.write(s, w); err != nil {
				return err
			}
		}
	}
	return nil
}

// gathered is all results of one kind of show with one spare room.
type gathered struct {
	table table
	spare int
	ours  map[uint64]*ours
	runs  map[rivalCase]*ran
}

func (s settings) gather(name string, spare int) (*gathered, error) {
	g := &gathered{table: byName(tables, name), spare: spare, ours: map[uint64]*ours{}, runs: map[rivalCase]*ran{}}
	for _, c := range s.shows() {
		if c.Table != name || c.Spare != spare {
			continue
		}
		o, err := load[ours](s.file(c))
		if err != nil {
			return nil, err
		}
		if o == nil {
			continue
		}
		g.ours[c.Seed] = o
		for _, r := range s.cases(c) {
			x, err := load[ran](s.file(r))
			if err != nil {
				return nil, err
			}
			if x != nil {
				g.runs[r] = x
			}
		}
	}
	return g, nil
}

// write prints the table: medians, and the worst in brackets.
func (g *gathered) write(s settings, w io.Writer) error {
	fmt.Fprintf(w, "\n## %s, %d %% spare room\n\n%d shows, %s. Median, and the worst in brackets.\n\n", g.table.name, g.spare, len(g.ours), g.table.what)
	head, rule := "| who | model | starts from |", "|---|---|---|"
	for _, at := range s.at {
		head += fmt.Sprintf(" plans, cost at %d s |", at)
		rule += "---|"
	}
	head += " bound | its last cost reached after, s | Sallyport reached that after, s | times sooner | dearer than Sallyport's, as dear, cheaper | the judge differs |"
	fmt.Fprintf(w, "%s\n%s---|---|---|---|---|---|\n", head, rule)
	if _, err := fmt.Fprintln(w, g.oursLine(s)); err != nil {
		return err
	}
	for _, m := range s.models {
		for _, r := range s.rivals {
			for _, start := range s.starts {
				if _, err := fmt.Fprintln(w, g.line(s, r, m, start)); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// oursLine is Sallyport's own line.
func (g *gathered) oursLine(s settings) string {
	line := "| **Sallyport** | | scratch |"
	var bounds, times []float64
	for _, at := range s.at {
		var costs []float64
		for _, o := range g.ours {
			if c, ok := costAt(o.Points, float64(at)+overrun); ok {
				costs = append(costs, float64(c))
			}
		}
		line += fmt.Sprintf(" %d of %d, %s |", len(costs), len(g.ours), spread(costs, 1))
	}
	faults := 0
	for _, o := range g.ours {
		bounds = append(bounds, float64(o.Bound))
		if n := len(o.Points); n > 0 {
			times = append(times, o.Points[n-1].T)
			if o.Judged.Faults > 0 || o.Judged.Cost != o.Points[n-1].Cost {
				faults++
			}
		}
	}
	return line + fmt.Sprintf(" %s | %s | | | | %d of %d |", spread(bounds, -1), spread(times, 1), faults, len(g.ours))
}

// overrun is how many seconds a planner may need to stop when told to.
const overrun = 0.5

// tally is what one rival did with one model and start, over all shows.
type tally struct {
	costs         [][]float64 // by moment: of the plans found
	runs, failed  []int       // by moment
	bounds        []float64
	theirs, ours  []float64 // seconds after which each had the rival's last cost
	sooner        []float64
	dearer, equal int // than Sallyport's plan after the same time
	cheaper       int
	differs       int // plans that the judge prices otherwise, or finds faults in
}

// line is the line of one rival with one model and start.
func (g *gathered) line(s settings, rival, model, start string) string {
	t := &tally{costs: make([][]float64, len(s.at)), runs: make([]int, len(s.at)), failed: make([]int, len(s.at))}
	for i, at := range s.at {
		for _, seed := range g.seeds() {
			r := g.runs[rivalCase{showCase{g.table.name, g.spare, seed}, rival, model, start, at}]
			if r == nil {
				continue
			}
			t.found(i, r)
			if i == len(s.at)-1 {
				t.compare(r, g.ours[seed])
			}
		}
	}
	line := fmt.Sprintf("| %s | %s | %s |", rival, model, start)
	for i, costs := range t.costs {
		line += fmt.Sprintf(" %d of %d, %s%s |", len(costs), t.runs[i], spread(costs, 1), failures(t.failed[i]))
	}
	bound := spread(t.bounds, -1)
	if !byName(models, model).bounds {
		bound = "not for all"
	}
	return line + fmt.Sprintf(" %s | %s | %s | %s | %d, %d, %d | %d |",
		bound, spread(t.theirs, 1), spread(t.ours, 1), spread(t.sooner, -1), t.dearer, t.equal, t.cheaper, t.differs)
}

// found takes down one run of the moment with index i.
func (t *tally) found(i int, r *ran) {
	t.runs[i]++
	if r.Failed != "" {
		t.failed[i]++
	}
	if r.Found {
		t.costs[i] = append(t.costs[i], float64(r.Judged.Cost))
		if r.Judged.Faults > 0 || r.Judged.Cost != r.Cost {
			t.differs++
		}
	}
}

// compare holds a run of the longest time against Sallyport's on the same
// show. Who found no plan is the dearer.
func (t *tally) compare(r *ran, o *ours) {
	t.bounds = append(t.bounds, float64(r.Bound))
	if !r.Found {
		t.dearer++
		return
	}
	x, y := reached(r.Points, r.Cost), reached(o.Points, r.Cost)
	t.theirs, t.ours = append(t.theirs, x), append(t.ours, y)
	t.sooner = append(t.sooner, x/y)
	final, ok := costAt(o.Points, float64(r.Seconds)+overrun)
	switch {
	case !ok || r.Cost < final:
		t.cheaper++
	case r.Cost > final:
		t.dearer++
	default:
		t.equal++
	}
}

func failures(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("; %d failed", n)
}

// seeds returns the seeds of all shows measured, rising.
func (g *gathered) seeds() []uint64 {
	var list []uint64
	for seed := range g.ours {
		list = append(list, seed)
	}
	slices.Sort(list)
	return list
}

// spread writes the median and, in brackets, the worst: the greatest when
// worse is 1, the least when it is -1. Of an even number the median is the
// lower of the two in the middle.
func spread(list []float64, worse int) string {
	if len(list) == 0 {
		return "none"
	}
	slices.Sort(list)
	worst := list[len(list)-1]
	if worse < 0 {
		worst = list[0]
	}
	return figure(list[(len(list)-1)/2]) + " (" + figure(worst) + ")"
}

// figure writes a number with at most two digits after the point.
func figure(x float64) string {
	switch {
	case math.IsInf(x, 1):
		return "never"
	case x >= 100:
		return strconv.FormatFloat(math.Round(x), 'f', -1, 64)
	}
	return strconv.FormatFloat(math.Round(x*100)/100, 'f', -1, 64)
}
