// Command run repeats the measurements of bench/results.md and writes them as
// tables in Markdown:
//
//	go run ./bench/run -table plan,free -seeds 20 -spare 5,15,25 -at 3,10,60 -keep results
//
// With -keep every case is written to a folder as soon as it is done; a run
// that was stopped goes on from there, and -print writes the tables from what
// is there without measuring anything.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"
)

// settings is what the flags say.
type settings struct {
	tables  []table
	seeds   int
	spares  []int           // percent; none: those usual for the table
	at      []time.Duration // moments at which the cost is read, rising; none: those usual for the table
	sizes   []int           // vehicles of the shows of the scale table
	workers int
	cpu     bool // count processor time
	clock   clock
	keep    string // folder of results; empty: nothing is kept
	print   bool   // measure nothing
	command string // that repeats the run
}

func main() {
	s, err := parse(os.Args[1:], os.Stderr)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(2)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, s, os.Stdout, os.Stderr); err != nil {
		fmt.Fprintln(os.Stderr, err)
		stop()
		os.Exit(1)
	}
}

// parse reads the flags.
func parse(args []string, help io.Writer) (settings, error) {
	flags := flag.NewFlagSet("run", flag.ContinueOnError)
	flags.SetOutput(help)
	s := settings{command: "go run ./bench/run " + strings.Join(args, " ")}
	named := flags.String("table", "plan", "what to measure, separated by commas; all for all tables:\n"+listed())
	flags.IntVar(&s.seeds, "seeds", 20, "number of shows of each kind (of seeds for the demonstration show)")
	flags.IntVar(&s.workers, "workers", runtime.NumCPU(), "workers of the planner")
	flags.BoolVar(&s.cpu, "cpu", false, "count processor time for each worker instead of time on the wall, for a machine that does other things too")
	flags.StringVar(&s.keep, "keep", "", "folder in which the result of every case is kept, and from which a stopped run goes on")
	flags.BoolVar(&s.print, "print", false, "write the tables from the results kept, and measure nothing")
	spares := flags.String("spare", "", "spare room in percent, separated by commas; empty: as usual for the table")
	at := flags.String("at", "", "seconds at which the cost is read, rising, separated by commas; empty: as usual for the table")
	sizes := flags.String("sizes", "60,200,600,2000,5000", "vehicles of the shows of the scale table, separated by commas")
	for _, t := range tables {
		if t.flags != nil {
			t.flags(flags)
		}
	}
	if err := flags.Parse(args); err != nil {
		return s, err
	}
	var err error
	if s.spares, err = numbers(*spares, "spare room", "percent"); err != nil {
		return s, err
	}
	if s.sizes, err = numbers(*sizes, "size", "vehicles"); err != nil {
		return s, err
	}
	if s.at, err = moments(*at); err != nil {
		return s, err
	}
	if s.tables, err = find(*named); err != nil {
		return s, err
	}
	switch {
	case s.workers < 1:
		return s, fmt.Errorf("%d workers cannot plan", s.workers)
	case s.seeds < 1:
		return s, fmt.Errorf("%d seeds give nothing to measure", s.seeds)
	case s.print && s.keep == "":
		return s, fmt.Errorf("-print needs the folder of the results: give -keep too")
	}
	s.clock = wall()
	if s.cpu {
		s.clock, err = processor(s.workers)
	}
	return s, err
}

// numbers reads whole numbers separated by commas; none of an empty text.
func numbers(text, what, unit string) ([]int, error) {
	var list []int
	for _, word := range words(text) {
		n, err := strconv.Atoi(word)
		if err != nil || n < 0 {
			return nil, fmt.Errorf("%s %q is not a whole number of %s", what, word, unit)
		}
		list = append(list, n)
	}
	return list, nil
}

// moments reads rising numbers of seconds separated by commas.
func moments(text string) ([]time.Duration, error) {
	var list []time.Duration
	for _, word := range words(text) {
		f, err := strconv.ParseFloat(word, 64)
		if err != nil || f <= 0 {
			return nil, fmt.Errorf("%q is not a number of seconds", word)
		}
		d := time.Duration(f * float64(time.Second))
		if n := len(list); n > 0 && d <= list[n-1] {
			return nil, fmt.Errorf("the moments %s do not rise", text)
		}
		list = append(list, d)
	}
	return list, nil
}

func words(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' })
}

// find returns the tables of those names, in the order of the list of all.
func find(names string) ([]table, error) {
	want := words(names)
	var list []table
	for _, t := range tables {
		if slices.Contains(want, t.name) || slices.Contains(want, "all") {
			list = append(list, t)
		}
	}
	for _, name := range want {
		known := name == "all" || slices.ContainsFunc(tables, func(t table) bool { return t.name == name })
		if !known {
			return nil, fmt.Errorf("no table %q; there are:\n%s", name, listed())
		}
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("name at least one table:\n%s", listed())
	}
	return list, nil
}

// run measures the tables and writes them to out, and progress to log. When
// ctx ends it writes what has been measured by then.
func run(ctx context.Context, s settings, out, log io.Writer) error {
	for _, t := range s.tables {
		mine := s
		if len(mine.at) == 0 {
			mine.at = t.at
		}
		if len(mine.spares) == 0 {
			mine.spares = t.spares
		}
		if err := t.run(ctx, mine, out, log); err != nil {
			return fmt.Errorf("table %s: %w", t.name, err)
		}
	}
	return nil
}
