package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	sp "sallyport"
)

// report is the table of an anytime measurement.
type report struct {
	table    anytime
	settings settings
	groups   []group
	missing  int
}

// write writes the table in Markdown.
func (r *report) write(out io.Writer) error {
	var b strings.Builder
	each := " for each spare room"
	if r.table.spareless {
		each = ""
	}
	text := fmt.Sprintf("%d seeds%s; %s. Median, and the worst in brackets; of an even number the lower of the two in the middle.", r.settings.seeds, each, r.table.what)
	r.settings.heading(&b, r.table.name, text, r.missing)
	r.overview(&b)
	r.moments(&b)
	for i, at := range r.settings.at {
		r.terms(&b, i, at)
	}
	_, err := io.WriteString(out, b.String())
	return err
}

// room names a group of runs.
func (r *report) room(g group) string {
	if r.table.spareless {
		return "as it is"
	}
	return fmt.Sprintf("%d %%", g.spare)
}

// overview writes when what was reached, and how it compares.
func (r *report) overview(b *strings.Builder) {
	fmt.Fprintln(b, "| spare room | first workable plan, s | nobody moved aside, s | planted cost | planted reached | the judge's cost differs | with faults | shut-in risk of that plan at the usual weights |")
	fmt.Fprintln(b, "|---|---|---|---|---|---|---|---|")
	for _, g := range r.groups {
		planned := func(f func(measured) bool) string {
			return g.count(func(m measured) bool { return m.last().Cost != nil && f(m) })
		}
		fmt.Fprintf(b, "| %s | %s | %s | %s | %s | %s | %s | %s |\n", r.room(g),
			times(g.runs, func(m measured) time.Duration { return m.First }),
			times(g.runs, func(m measured) time.Duration { return m.Nobody }),
			amounts(g.runs, func(m measured) (int64, bool) { return total(m.Planted) }),
			planned(func(m measured) bool { return m.Planted != nil && !m.Planted.Less(*m.last().Cost) }),
			planned(func(m measured) bool { return !m.agrees() }),
			planned(func(m measured) bool { return m.Faults > 0 }),
			amounts(g.runs, func(m measured) (int64, bool) { return int64(m.Risk), m.last().Cost != nil }))
	}
	fmt.Fprintln(b)
}

// moments writes cost and bound at each moment.
func (r *report) moments(b *strings.Builder) {
	change := sp.DefaultWeights().Change
	gap := "gap, percent of the cost"
	if r.table.plain {
		gap = "gap in changes"
	}
	fmt.Fprintf(b, "| spare room | after, s | without a plan | cost | moved aside | changes of lane | bound | cost above bound | %s | best possible, proven |\n", gap)
	fmt.Fprintln(b, "|---|---|---|---|---|---|---|---|---|---|")
	for _, g := range r.groups {
		for i, at := range r.settings.at {
			value := func(f func(moment) int64) string {
				return amounts(g.runs, func(m measured) (int64, bool) {
					if m.At[i].Cost == nil {
						return 0, false
					}
					return f(m.At[i]), true
				})
			}
			share := func(x moment) int64 { return int64((x.gap() + change - 1) / change) }
			if !r.table.plain {
				share = func(x moment) int64 { return int64(x.gap()) * 100 / max(1, int64(x.Cost.Total)) }
			}
			fmt.Fprintf(b, "| %s | %s | %s | %s | %s | %s | %s | %s | %s | %s |\n", r.room(g), seconds(at),
				g.count(func(m measured) bool { return m.At[i].Cost == nil }),
				value(func(x moment) int64 { return int64(x.Cost.Total) }),
				value(func(x moment) int64 { return int64(x.Cost.Term(sp.TermAside).Count) }),
				value(func(x moment) int64 { return int64(x.Cost.Term(sp.TermChange).Count) }),
				amounts(g.runs, func(m measured) (int64, bool) { return int64(m.At[i].Bound), true }),
				value(func(x moment) int64 { return int64(x.gap()) }), value(share),
				g.count(func(m measured) bool { return m.proven(i) }))
		}
	}
	fmt.Fprintln(b)
}

// count returns how many runs of a group there are for which f holds.
func (g group) count(f func(measured) bool) string {
	n := 0
	for _, m := range g.runs {
		if f(m) {
			n++
		}
	}
	return fmt.Sprintf("%d of %d", n, len(g.runs))
}

// terms writes each cost term that is not zero everywhere at one moment, as
// count and amount.
func (r *report) terms(b *strings.Builder, i int, at time.Duration) {
	var names []string
	for _, name := range sp.Terms {
		if slices.ContainsFunc(r.groups, func(g group) bool {
			return slices.ContainsFunc(g.runs, func(m measured) bool {
				return m.At[i].Cost != nil && m.At[i].Cost.Term(name).Amount != 0
			})
		}) {
			names = append(names, name)
		}
	}
	fmt.Fprintf(b, "After %s s: number, then amount, of each term.\n\n", seconds(at))
	fmt.Fprintf(b, "| spare room | total | %s |\n", strings.Join(names, " | "))
	fmt.Fprintf(b, "|---|---%s|\n", strings.Repeat("|---", len(names)))
	for _, g := range r.groups {
		cells := []string{r.room(g), amounts(g.runs, func(m measured) (int64, bool) { return total(m.At[i].Cost) })}
		for _, name := range names {
			cells = append(cells, amounts(g.runs, func(m measured) (int64, bool) { return termCount(m.At[i].Cost, name) })+"; "+
				amounts(g.runs, func(m measured) (int64, bool) { return termAmount(m.At[i].Cost, name) }))
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
func amounts[T any](runs []T, value func(T) (int64, bool)) string {
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
func times[T any](runs []T, value func(T) time.Duration) string {
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
