// Command rivals measures Sallyport against general solvers on planted shows,
// on the same terms: only moves aside and changes of lane cost anything.
// README.md beside it says what the models are and how to read the table.
//
//	(cd bench/rivals && npm ci)
//	go run ./bench/rivals -seeds 3 -tables plan,free -spare 15,5 -at 10,60
//
// It keeps the result of every case in a folder and goes on where it was
// stopped; -report prints the tables of what is there without measuring.
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
)

// settings is what the flags say.
type settings struct {
	tables  []string
	spares  []int
	seeds   int
	at      []int // seconds each rival is given, a run each; Sallyport has the last
	rivals  []string
	models  []string
	starts  []string
	workers int
	out     string // folder of results
	node    string // folder of solve.mjs
	report  bool   // only print what is in out
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
	if !s.report {
		n, err := findNode(s.node)
		if err != nil {
			fmt.Fprintln(os.Stderr, "skipped:", err)
			return
		}
		if err := measureAll(ctx, s, n, os.Stderr); err != nil {
			fmt.Fprintln(os.Stderr, err)
			if ctx.Err() == nil {
				stop()
				os.Exit(1)
			}
		}
	}
	if err := report(s, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, err)
		stop()
		os.Exit(1)
	}
}

// parse reads the flags.
func parse(args []string, help io.Writer) (settings, error) {
	flags := flag.NewFlagSet("rivals", flag.ContinueOnError)
	flags.SetOutput(help)
	s := settings{command: "go run ./bench/rivals " + strings.Join(args, " ")}
	flags.IntVar(&s.seeds, "seeds", 3, "number of planted shows for each table and spare room")
	flags.IntVar(&s.workers, "workers", runtime.NumCPU(), "workers of Sallyport")
	flags.StringVar(&s.out, "out", "out/rivals", "folder of the results and of the models, kept and used again")
	flags.StringVar(&s.node, "node", "bench/rivals", "folder with solve.mjs and node_modules")
	flags.BoolVar(&s.report, "report", false, "measure nothing, print the tables of the results that are there")
	chosen := flags.String("tables", "plan,free", "tables of bench/results.md: "+strings.Join(namesOf(tables), ", "))
	spares := flags.String("spare", "15,5", "spare room in percent")
	at := flags.String("at", "10,60", "seconds that each rival is given, a run each")
	names := flags.String("rivals", strings.Join(namesOf(rivals), ","), "which rivals")
	ways := flags.String("models", strings.Join(namesOf(models), ","), "which models")
	starts := flags.String("starts", strings.Join(startNames, ","), "what rivals start from")
	if err := flags.Parse(args); err != nil {
		return s, err
	}
	var err error
	if s.spares, err = wholes(*spares, 0); err != nil {
		return s, err
	}
	if s.at, err = wholes(*at, 1); err != nil {
		return s, err
	}
	if !slices.IsSorted(s.at) {
		return s, fmt.Errorf("the seconds %s do not rise", *at)
	}
	for _, x := range []struct {
		text  string
		known []string
		set   *[]string
	}{
		{*chosen, namesOf(tables), &s.tables}, {*names, namesOf(rivals), &s.rivals}, {*ways, namesOf(models), &s.models}, {*starts, startNames, &s.starts},
	} {
		*x.set = strings.Split(x.text, ",")
		for _, name := range *x.set {
			if !slices.Contains(x.known, name) {
				return s, fmt.Errorf("no %q, there are: %s", name, strings.Join(x.known, ", "))
			}
		}
	}
	if s.seeds < 1 || s.workers < 1 {
		return s, fmt.Errorf("%d shows with %d workers are nothing to measure", s.seeds, s.workers)
	}
	return s, nil
}

// wholes reads whole numbers of at least least, separated by commas.
func wholes(text string, least int) ([]int, error) {
	var list []int
	for _, field := range strings.Split(text, ",") {
		n, err := strconv.Atoi(field)
		if err != nil || n < least {
			return nil, fmt.Errorf("%q is not a whole number from %d", field, least)
		}
		list = append(list, n)
	}
	return list, nil
}

// named is what can be chosen by its name.
type named interface{ named() string }

func (t table) named() string { return t.name }
func (r rival) named() string { return r.name }
func (m model) named() string { return m.name }

func namesOf[T named](list []T) []string {
	var names []string
	for _, x := range list {
		names = append(names, x.named())
	}
	return names
}

// byName returns the one of that name, which there is.
func byName[T named](list []T, name string) T {
	return list[slices.IndexFunc(list, func(x T) bool { return x.named() == name })]
}
