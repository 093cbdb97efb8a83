package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	sp "sallyport"
	"sallyport/bench/plant"
)

// table is one kind of planted show; the names are those of bench/results.md.
type table struct {
	name, what string
	options    plant.Options // without seed and spare room
}

var tables = []table{
	{"plan", "planted so that nobody is moved aside, with four exchanges of lanes", plant.Options{NobodyAside: true, Exchanges: 4, Plain: true}},
	{"free", "serials drawn from anywhere in the planted packing", plant.Options{Plain: true}},
}

// showCase is one planted show.
type showCase struct {
	Table string `json:"table"`
	Spare int    `json:"spare"`
	Seed  uint64 `json:"seed"`
}

func (c showCase) String() string { return fmt.Sprintf("%s-%d-%d", c.Table, c.Spare, c.Seed) }

// rivalCase is one run of one rival.
type rivalCase struct {
	showCase
	Rival   string `json:"rival"`
	Model   string `json:"model"`
	Start   string `json:"start"`
	Seconds int    `json:"seconds"`
}

func (c rivalCase) String() string {
	return strings.ReplaceAll(fmt.Sprintf("%s-%s-%s-%s-%d", c.showCase, c.Rival, c.Model, c.Start, c.Seconds), " ", "_")
}

// ran is what a rival's run gave.
type ran struct {
	rivalCase
	Found  bool    `json:"found"` // a plan of its own, or that it started from
	Cost   int64   `json:"cost"`  // as counted from its lanes
	Judged verdict `json:"judged"`
	Bound  int64   `json:"bound"`
	Points []point `json:"points"`
	Failed string  `json:"failed,omitempty"` // the solver ended with an error
}

// shows lists the planted shows of the settings.
func (s settings) shows() []showCase {
	var list []showCase
	for seed := range s.seeds {
		for _, t := range s.tables {
			for _, spare := range s.spares {
				list = append(list, showCase{t, spare, uint64(seed + 1)})
			}
		}
	}
	return list
}

// cases lists the rivals' runs on one show.
func (s settings) cases(c showCase) []rivalCase {
	var list []rivalCase
	for _, start := range s.starts {
		for _, m := range s.models {
			for _, r := range s.rivals {
				for _, at := range s.at {
					list = append(list, rivalCase{c, r, m, start, at})
				}
			}
		}
	}
	return list
}

func (s settings) file(c fmt.Stringer) string { return filepath.Join(s.out, c.String()+".json") }

// measureAll runs all cases that have no result yet.
func measureAll(ctx context.Context, s settings, n node, log io.Writer) error {
	todo, seconds := 0, 0
	for _, c := range s.shows() {
		if !exists(s.file(c)) {
			todo, seconds = todo+1, seconds+s.at[len(s.at)-1]+2
		}
		for _, r := range s.cases(c) {
			if !exists(s.file(r)) {
				todo, seconds = todo+1, seconds+r.Seconds+3
			}
		}
	}
	fmt.Fprintf(log, "%d runs, at most about %s\n", todo, (time.Duration(seconds) * time.Second).String())
	for _, c := range s.shows() {
		if err := measureShow(ctx, s, n, c, log); err != nil {
			return err
		}
	}
	return nil
}

func exists(file string) bool {
	_, err := os.Stat(file)
	return err == nil
}

// measureShow runs Sallyport and then the rivals on one show.
func measureShow(ctx context.Context, s settings, n node, c showCase, log io.Writer) error {
	opt := byName(tables, c.Table).options
	opt.Seed, opt.Spare = c.Seed, c.Spare
	p, err := plant.Plant(opt)
	if err != nil {
		return err
	}
	show := sp.Complete(p.Show)
	t, err := newTask(show)
	if err != nil {
		return err
	}
	o, err := load[ours](s.file(c))
	if err != nil {
		return err
	}
	if o == nil {
		if o, err = plan(ctx, show, c.Seed, s.workers, float64(s.at[len(s.at)-1])); err != nil {
			return err
		}
		if err := save(s.file(c), o); err != nil {
			return err
		}
		fmt.Fprintf(log, "%s: Sallyport %d, bound %d\n", c, o.Judged.Cost, o.Bound)
	}
	for _, r := range s.cases(c) {
		if exists(s.file(r)) {
			continue
		}
		got := run(ctx, s, n, show, t, o, r)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err := save(s.file(r), got); err != nil {
			return err
		}
		fmt.Fprintf(log, "%s: %s\n", r, got.line())
	}
	return nil
}

// run is one run of one rival, its plan judged.
func run(ctx context.Context, s settings, n node, show *sp.Show, t *task, o *ours, c rivalCase) ran {
	got := ran{rivalCase: c}
	var lanes []int
	for _, start := range o.Starts {
		if start.Name == c.Start && start.Sketch != nil {
			lanes = t.fromSketch(start.Sketch)
		}
	}
	m := byName(models, c.Model)
	a, err := together(ctx, n, t, byName(rivals, c.Rival), m, float64(c.Seconds), lanes, filepath.Join(s.out, "models", c.String()))
	if err != nil {
		got.Failed = err.Error()
		return got
	}
	got.Points, got.Cost = a.points, a.cost
	if m.bounds {
		got.Bound = a.bound
	}
	if a.lanes == nil {
		return got
	}
	got.Found = true
	if got.Judged, err = judge(ctx, show, t, a.lanes); err != nil {
		got.Failed = err.Error()
	}
	return got
}

// line is the run in one line.
func (r ran) line() string {
	switch {
	case r.Failed != "":
		return "failed: " + r.Failed
	case !r.Found:
		return fmt.Sprintf("no plan, bound %d", r.Bound)
	}
	return fmt.Sprintf("cost %d after %.1f s, judged %d with %d faults, bound %d", r.Cost, reached(r.Points, r.Cost), r.Judged.Cost, r.Judged.Faults, r.Bound)
}

// load reads a result; nil when there is none.
func load[T any](file string) (*T, error) {
	text, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	x := new(T)
	if err := json.Unmarshal(text, x); err != nil {
		return nil, fmt.Errorf("%s: %w: delete it to measure it again", file, err)
	}
	return x, nil
}

func save(file string, x any) error {
	return writeFile(file, func(w io.Writer) error {
		e := json.NewEncoder(w)
		e.SetIndent("", " ")
		return e.Encode(x)
	})
}
