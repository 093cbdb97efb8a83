package main

import (
	"fmt"
	"io"
	"runtime"
	"slices"
	"strings"
	"time"

	sp "sallyport"
)

// group is all shows of one spare room.
type group struct {
	spare int
	runs  []measured
}

// report is a whole table.
type report struct {
	table    table
	settings settings
	groups   []group
}

// write writes the table in Markdown.
func (r *report) write(out io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "## %s\n\n", r.table.name)
	fmt.Fprintf(&b, "%d seeds for each spare room; %s. Median, and the worst in brackets.\n", r.settings.seeds, r.table.what)
	if r.settings.cpu {
		b.WriteString("Seconds are those of the processor for each worker: the machine did other things too.\n")
	}
	fmt.Fprintf(&b, "Machine: %d cores, %s/%s, %s, %d workers. Repeat with `%s`.\n\n",
		runtime.NumCPU(), runtime.GOOS, runtime.GOARCH, runtime.Version(), r.settings.workers, r.settings.command)
	r.overview(&b)
	for i, at := range r.settings.at {
		r.terms(&b, i, at)
	}
	_, err := io.WriteString(out, b.String())
	return err
}

// overview writes when what was reached, and how it compares.
func (r *report) overview(b *strings.Builder) {
	last := r.settings.at[len(r.settings.at)-1]
	fmt.Fprintf(b, "| spare room | first workable plan, s | nobody moved aside, s | cost after %s s | planted cost | planted reached | bound | bound met | the judge's cost differs | with faults |\n", seconds(last))
	fmt.Fprintln(b, "|---|---|---|---|---|---|---|---|---|---|")
	for _, g := range r.groups {
		planned := func(f func(measured) bool) string {
			n := 0
			for _, m := range g.runs {
				if m.last() != nil && f(m) {
					n++
				}
			}
			return fmt.Sprintf("%d of %d", n, len(g.runs))
		}
		fmt.Fprintf(b, "| %d %% | %s | %s | %s | %s | %s | %s | %s | %s | %s |\n", g.spare,
			times(g.runs, func(m measured) time.Duration { return m.first }),
			times(g.runs, func(m measured) time.Duration { return m.nobody }),
			amounts(g.runs, func(m measured) (int64, bool) { return total(m.last()) }),
			amounts(g.runs, func(m measured) (int64, bool) { return int64(m.planted.Total), true }),
			planned(func(m measured) bool { return !m.planted.Less(*m.last()) }),
			amounts(g.runs, func(m measured) (int64, bool) { return int64(m.bound), true }),
			planned(func(m measured) bool { return m.last().Lost == 0 && m.last().Total == m.bound }),
			planned(func(m measured) bool { return m.judged.Total != m.last().Total || m.judged.Lost != m.last().Lost }),
			planned(func(m measured) bool { return m.faults > 0 }))
	}
	fmt.Fprintln(b)
}

// terms writes each cost term that is not zero everywhere at one moment, as
// count and amount.
func (r *report) terms(b *strings.Builder, i int, at time.Duration) {
	var names []string
	for _, name := range sp.Terms {
		if slices.ContainsFunc(r.groups, func(g group) bool {
			return slices.ContainsFunc(g.runs, func(m measured) bool {
				return m.at[i] != nil && m.at[i].Term(name).Amount != 0
			})
		}) {
			names = append(names, name)
		}
	}
	fmt.Fprintf(b, "After %s s: number, then amount, of each term.\n\n", seconds(at))
	fmt.Fprintf(b, "| spare room | without a plan | total | %s |\n", strings.Join(names, " | "))
	fmt.Fprintf(b, "|---|---|---%s|\n", strings.Repeat("|---", len(names)))
	for _, g := range r.groups {
		none := 0
		for _, m := range g.runs {
			if m.at[i] == nil {
				none++
			}
		}
		cells := []string{fmt.Sprintf("%d %%", g.spare), fmt.Sprint(none), amounts(g.runs, func(m measured) (int64, bool) { return total(m.at[i]) })}
		for _, name := range names {
			cells = append(cells, amounts(g.runs, func(m measured) (int64, bool) { return termCount(m.at[i], name) })+"; "+
				amounts(g.runs, func(m measured) (int64, bool) { return termAmount(m.at[i], name) }))
		}
		fmt.Fprintf(b, "| %s |\n", strings.Join(cells, " | "))
	}
	fmt.Fprintln(b)
}

func total(c *sp.Cost) (int64, bool) {
	if c == nil {
		return 0, false
	}
	return int64(c.Total), true
}

func termCount(c *sp.Cost, name string) (int64, bool) {
	if c == nil {
		return 0, false
	}
	return int64(c.Term(name).Count), true
}

func termAmount(c *sp.Cost, name string) (int64, bool) {
	if c == nil {
		return 0, false
	}
	return int64(c.Term(name).Amount), true
}

// amounts returns the median and the worst of the values that are there; "–"
// when none is.
func amounts(runs []measured, value func(measured) (int64, bool)) string {
	var list []int64
	for _, m := range runs {
		if v, ok := value(m); ok {
			list = append(list, v)
		}
	}
	if len(list) == 0 {
		return "–"
	}
	slices.Sort(list)
	return fmt.Sprintf("%d (%d)", list[(len(list)-1)/2], list[len(list)-1])
}

// times returns the median and the worst of the times; what never happened
// counts as the longest.
func times(runs []measured, value func(measured) time.Duration) string {
	var list []time.Duration
	for _, m := range runs {
		list = append(list, value(m))
	}
	if len(list) == 0 {
		return "–"
	}
	slices.Sort(list)
	return fmt.Sprintf("%s (%s)", seconds(list[(len(list)-1)/2]), seconds(list[len(list)-1]))
}

// seconds returns d in seconds as "0.25" or "30"; "never" for never.
func seconds(d time.Duration) string {
	if d == never {
		return "never"
	}
	text := fmt.Sprintf("%.2f", d.Seconds())
	return strings.TrimSuffix(strings.TrimSuffix(text, "0"), ".0")
}
