// Command run repeats the measurements of bench/results.md on planted shows
// and writes them as a table in Markdown:
//
//	go run ./bench/run -table plan -seeds 20 -spare 5,10,15,25 -at 1,5,30
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
	"strconv"
	"strings"
	"time"

	"sallyport/bench/plant"
)

// settings is what the flags say.
type settings struct {
	table   string
	seeds   int
	spares  []int           // percent
	at      []time.Duration // moments at which the cost is read, rising
	workers int
	cpu     bool // count processor time
	clock   clock
	command string // that repeats the run
}

// table is one kind of measurement.
type table struct {
	name, what string
	options    plant.Options // without seed and spare room
}

// tables lists all kinds of measurement.
var tables = []table{
	{
		"plan", "planted so that nobody is moved aside, with four exchanges of lanes; only moves aside and changes cost anything",
		plant.Options{NobodyAside: true, Exchanges: 4, Plain: true},
	},
	{
		"free", "serials drawn from anywhere in the planted packing; only moves aside and changes cost anything",
		plant.Options{Plain: true},
	},
	{
		"full", "planted so that nobody is moved aside, with four exchanges of lanes; every term at its usual weight",
		plant.Options{NobodyAside: true, Exchanges: 4},
	},
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
	var names []string
	for _, t := range tables {
		names = append(names, t.name)
	}
	flags := flag.NewFlagSet("run", flag.ContinueOnError)
	flags.SetOutput(help)
	s := settings{command: "go run ./bench/run " + strings.Join(args, " ")}
	flags.StringVar(&s.table, "table", "plan", "what to measure: "+strings.Join(names, ", "))
	flags.IntVar(&s.seeds, "seeds", 20, "number of planted shows for each spare room")
	flags.IntVar(&s.workers, "workers", runtime.NumCPU(), "workers of the planner")
	flags.BoolVar(&s.cpu, "cpu", false, "count processor time for each worker instead of time on the wall, for a machine that does other things too")
	spares := flags.String("spare", "5,10,15,25", "spare room in percent, separated by commas")
	at := flags.String("at", "1,5,30", "seconds at which the cost is read, rising, separated by commas")
	if err := flags.Parse(args); err != nil {
		return s, err
	}
	for _, text := range strings.Split(*spares, ",") {
		n, err := strconv.Atoi(text)
		if err != nil {
			return s, fmt.Errorf("spare room %q is not a whole number of percent", text)
		}
		s.spares = append(s.spares, n)
	}
	for _, text := range strings.Split(*at, ",") {
		f, err := strconv.ParseFloat(text, 64)
		if err != nil || f <= 0 {
			return s, fmt.Errorf("%q is not a number of seconds", text)
		}
		d := time.Duration(f * float64(time.Second))
		if n := len(s.at); n > 0 && d <= s.at[n-1] {
			return s, fmt.Errorf("the moments %s do not rise", *at)
		}
		s.at = append(s.at, d)
	}
	if s.workers < 1 {
		return s, fmt.Errorf("%d workers cannot plan", s.workers)
	}
	s.clock = wall()
	if s.cpu {
		c, err := processor(s.workers)
		if err != nil {
			return s, err
		}
		s.clock = c
	}
	if _, ok := find(s.table); !ok {
		return s, fmt.Errorf("no table %q, there are %s", s.table, strings.Join(names, ", "))
	}
	return s, nil
}

// find returns the table of that name.
func find(name string) (table, bool) {
	for _, t := range tables {
		if t.name == name {
			return t, true
		}
	}
	return table{}, false
}

// run measures one table and writes it to out, and progress to log.
func run(ctx context.Context, s settings, out, log io.Writer) error {
	t, _ := find(s.table)
	report := &report{table: t, settings: s}
	for _, spare := range s.spares {
		g := group{spare: spare}
		for seed := range s.seeds {
			opt := t.options
			opt.Seed, opt.Spare = uint64(seed+1), spare
			m, err := measure(ctx, opt, s)
			if err != nil {
				return fmt.Errorf("seed %d, spare room %d %%: %w", opt.Seed, spare, err)
			}
			g.runs = append(g.runs, m)
			fmt.Fprintf(log, "spare %d %%, seed %d: %s\n", spare, opt.Seed, m.line())
		}
		report.groups = append(report.groups, g)
	}
	return report.write(out)
}
