package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"time"

	sp "sallyport"
	"sallyport/bench/plant"
	"sallyport/internal/fenmoor"
	"sallyport/internal/solve"
)

var replanTable = table{
	name: "replan",
	what: "how soon a show goes on from random moments with one or two failures, and how good the answers are",
	run:  runReplan,
	flags: func(f *flag.FlagSet) {
		f.IntVar(&replanFlags.states, "replan-states", 1000, "random moments of the replan table")
		f.IntVar(&replanFlags.sample, "replan-sample", 40, "of them, so many are searched to the end")
		f.IntVar(&replanFlags.long, "replan-seconds", 30, "seconds after which such a search ends")
		f.IntVar(&replanFlags.beside, "replan-beside", 2, "moments replanned beside each other, with one worker each")
	},
}

var replanFlags struct{ states, sample, long, beside int }

// replanShow is a show with the plan that was told.
type replanShow struct {
	name string
	show *sp.Show
	plan *sp.Plan
}

// replanShows makes the shows of the table: the demonstration show and four
// planted ones, each with a plan of the usual budget.
func replanShows(ctx context.Context, s settings) ([]replanShow, error) {
	list := []replanShow{{name: "demonstration", show: sp.Complete(fenmoor.Show())}}
	for seed := range uint64(4) {
		planted, err := plant.Plant(plant.Options{Seed: seed + 1, Spare: 15, NobodyAside: true, Exchanges: 4})
		if err != nil {
			return nil, err
		}
		list = append(list, replanShow{name: fmt.Sprintf("planted %d", seed+1), show: sp.Complete(planted.Show)})
	}
	for i := range list {
		r, err := solve.Solve(ctx, list[i].show, solve.Options{Seed: 1, Steps: 20_000_000, Workers: s.workers}, nil)
		if err != nil {
			return nil, err
		}
		list[i].plan = r.Plan
	}
	return list, nil
}

// replanCase is one moment.
type replanCase struct {
	Show   string
	At     sp.Instant
	What   string
	First  time.Duration // until the first workable continuation; 0: there was none
	Served [3]int        // value of lost entries: of that, at one second, at the end
	Total  [3]sp.Amount
	Faults int // of the last answer, but for lost entries and duties
	Why    []string
	Long   bool // searched to the end
}

// runReplan measures the table and writes it.
func runReplan(ctx context.Context, s settings, out, log io.Writer) error {
	f := replanFlags
	var shows []replanShow
	ready := sync.OnceValue(func() error { var err error; shows, err = replanShows(ctx, s); return err })
	const batch = 20
	var cases []replanCase
	missing := 0
	for first := 0; first < f.states; first += batch {
		n := min(batch, f.states-first)
		how := map[string]any{"version": solve.Version, "states": f.states, "sample": f.sample, "seconds": f.long, "beside": f.beside, "cpu": s.cpu}
		list, ok, err := kept(ctx, s, fmt.Sprintf("replan-%04d", first), how, func() ([]replanCase, error) {
			if err := ready(); err != nil {
				return nil, err
			}
			return replanBatch(ctx, s, shows, first, n)
		})
		if err != nil {
			return err
		}
		if !ok {
			missing += n
			continue
		}
		cases = append(cases, list...)
		fmt.Fprintf(log, "replan: %d of %d\n", first+n, f.states)
	}
	var b strings.Builder
	s.heading(&b, "replan", fmt.Sprintf("%d random moments of the demonstration show and of four planted ones (58 vehicles, 3 to 5 days), one or two failures of any kind at each, %d beside each other with one worker each. The told plans have the usual budget of 20 million steps. %d of the moments are searched for %d s.", f.states, f.beside, min(f.sample, f.states), f.long), missing)
	writeReplan(&b, cases)
	_, err := io.WriteString(out, b.String())
	return err
}

// replanBatch measures moments from a number on, some beside each other.
func replanBatch(ctx context.Context, s settings, shows []replanShow, first, n int) ([]replanCase, error) {
	list := make([]replanCase, n)
	next := make(chan int)
	var wait sync.WaitGroup
	for range max(1, replanFlags.beside) {
		wait.Go(func() {
			for i := range next {
				list[i] = replanOne(ctx, s, shows[(first+i)%len(shows)], first+i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wait.Wait()
	return list, ctx.Err()
}

// replanOne measures one moment.
func replanOne(ctx context.Context, s settings, x replanShow, number int) replanCase {
	rnd := rand.New(rand.NewPCG(uint64(number)+1, 30))
	at := x.plan.Moves[rnd.IntN(len(x.plan.Moves))].Start + sp.Instant(rnd.IntN(900))
	state, past, rest := sp.StateAt(x.show, x.plan, at)
	happened := failures(x.show, state, rnd, 1+number%2)
	show, state, done, _ := sp.Apply(x.show, state, happened)
	c := replanCase{Show: x.name, At: at}
	ix := sp.NewIndex(show)
	for _, h := range done {
		c.What += h.Says(ix) + "; "
	}
	every := max(1, replanFlags.states/max(1, replanFlags.sample))
	c.Long = number%every == 0 && number/every < replanFlags.sample
	opt := solve.Options{Seed: 1, Steps: -1, Workers: 1, Now: func() time.Time { return time.Time{}.Add(s.clock.now()) }}
	limited, stop := ctx, context.CancelFunc(func() {})
	if c.Long {
		opt.Steps = 1 << 62
		limited, stop = s.clock.limit(ctx, time.Duration(replanFlags.long)*time.Second)
	}
	defer stop()
	keep := func(k int, a *solve.Continuation) { c.Served[k], c.Total[k] = a.Report.Cost.Lost, a.Report.Cost.Total }
	last := solve.Replan(limited, solve.Moment{Show: show, State: state, Happened: done, Issued: x.plan, Past: past, Rest: rest}, opt, func(a *solve.Continuation) {
		if a.Workable() && c.First == 0 {
			c.First = max(1, a.Elapsed)
			keep(0, a)
		}
		if a.Elapsed <= time.Second {
			keep(1, a)
		}
	})
	keep(2, last)
	for _, fault := range last.Report.Faults {
		if !solve.Helpless(fault) {
			c.Faults++
		}
	}
	if c.Faults > 0 {
		c.Why = last.Why
	}
	return c
}

// failures draws so many failures of different vehicles that can be in a state.
func failures(show *sp.Show, state sp.State, rnd *rand.Rand, n int) []sp.Happening {
	var list []sp.Happening
	for tries := 0; len(list) < n && tries < 200; tries++ {
		h := sp.Happening{Kind: sp.HappenFailed, Unit: show.Vehicles[rnd.IntN(len(show.Vehicles))].ID, Where: sp.FailureKinds[rnd.IntN(len(sp.FailureKinds))]}
		if h.Where == sp.FailLate {
			h.Kind, h.Where, h.Until = sp.HappenLate, "", state.At+sp.Instant(600+rnd.IntN(5400))
		}
		more := append(slices.Clip(list), h)
		if _, _, _, problems := sp.Apply(show, state, more); len(problems) == 0 && !slices.ContainsFunc(list, func(o sp.Happening) bool { return o.Unit == h.Unit }) {
			list = more
		}
	}
	return list
}

// writeReplan writes the table and what stayed unworkable.
func writeReplan(b *strings.Builder, cases []replanCase) {
	groups := []string{"all"}
	for _, c := range cases {
		name, _, _ := strings.Cut(c.Show, " ")
		if !slices.Contains(groups, name) {
			groups = append(groups, name)
		}
	}
	b.WriteString("| show | moments | workable | first workable, ms: median | 95 % | worst | searched to the end | first serves as much as the last | at 1 s serves as much | cost at 1 s over the last: median | worst |\n|---|---|---|---|---|---|---|---|---|---|---|\n")
	for _, g := range groups {
		var first []time.Duration
		var ratio []float64
		n, workable, long, asMuch, asMuch1 := 0, 0, 0, 0, 0
		for _, c := range cases {
			if g != "all" && !strings.HasPrefix(c.Show, g) {
				continue
			}
			n++
			if c.Faults == 0 {
				workable++
			}
			if c.First > 0 {
				first = append(first, c.First)
			}
			if !c.Long {
				continue
			}
			long++
			if c.First > 0 && c.Served[0] <= c.Served[2] {
				asMuch++
			}
			if c.Served[1] <= c.Served[2] {
				asMuch1++
				if c.Total[2] > 0 {
					ratio = append(ratio, float64(c.Total[1])/float64(c.Total[2]))
				}
			}
		}
		slices.Sort(first)
		slices.Sort(ratio)
		at := func(percent int) string {
			if len(first) == 0 {
				return "–"
			}
			return fmt.Sprint(first[min(len(first)-1, len(first)*percent/100)].Milliseconds())
		}
		over := func(percent int) string {
			if len(ratio) == 0 {
				return "–"
			}
			return fmt.Sprintf("%.3f", ratio[min(len(ratio)-1, len(ratio)*percent/100)])
		}
		fmt.Fprintf(b, "| %s | %d | %d | %s | %s | %s | %d | %d | %d | %s | %s |\n", g, n, workable, at(50), at(95), at(100), long, asMuch, asMuch1, over(50), over(100))
	}
	said := 0
	for _, c := range cases {
		if c.Faults == 0 {
			continue
		}
		if said == 0 {
			b.WriteString("\nNot workable in the end, the first twelve:\n\n")
		}
		if said++; said <= 12 {
			why := strings.Join(c.Why, " ")
			fmt.Fprintf(b, "- %s, %s: %s%s\n", c.Show, c.At, c.What, why[:min(len(why), 200)])
		}
	}
}
