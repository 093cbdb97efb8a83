package main

import (
	"cmp"
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

// line is the line of one rival with one model and start.
func (g *gathered) line(s settings, rival, model, start string) string {
	line := fmt.Sprintf("| %s | %s | %s |", rival, model, start)
	last := s.at[len(s.at)-1]
	var bounds, theirs, our, sooner []float64
	differs, found, dearer, equal, cheaper := 0, 0, 0, 0, 0
	for _, at := range s.at {
		var costs []float64
		runs, failed := 0, 0
		for _, seed := range g.seeds() {
			r := g.runs[rivalCase{showCase{g.table.name, g.spare, seed}, rival, model, start, at}]
			if r == nil {
				continue
			}
			runs++
			if r.Failed != "" {
				failed++
			}
			if r.Found {
				costs = append(costs, float64(r.Judged.Cost))
			}
			if r.Found && (r.Judged.Faults > 0 || r.Judged.Cost != r.Cost) {
				differs++
			}
			if at != last {
				continue
			}
			bounds = append(bounds, float64(r.Bound))
			o := g.ours[seed]
			final := int64(math.MaxInt64)
			if c, ok := costAt(o.Points, float64(last)+overrun); ok {
				final = c
			}
			if !r.Found {
				dearer++
				continue
			}
			found++
			x, y := reached(r.Points, r.Cost), reached(o.Points, r.Cost)
			theirs, our, sooner = append(theirs, x), append(our, y), append(sooner, x/y)
			switch cmp.Compare(r.Cost, final) {
			case 1:
				dearer++
			case 0:
				equal++
			default:
				cheaper++
			}
		}
		line += fmt.Sprintf(" %d of %d, %s%s |", len(costs), runs, spread(costs, 1), failures(failed))
	}
	bound := spread(bounds, -1)
	if !byName(models, model).bounds {
		bound = "none"
	}
	return line + fmt.Sprintf(" %s | %s | %s | %s | %d, %d, %d | %d |", bound, spread(theirs, 1), spread(our, 1), spread(sooner, -1), dearer, equal, cheaper, differs)
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
