package desk

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"sallyport"
	"sallyport/internal/rehearse"
)

// Failures is a plan with what every failure does to it.
type Failures struct {
	Show   *sallyport.Show // complete
	Plan   *sallyport.Plan
	Matrix *sallyport.FailureMatrix
	Starts []StartRecord // start chances taken from records
	Part   bool          // the work was stopped: the matrix has some of the failures only
}

// StartRecord is a start chance from records, with its 90 % interval.
type StartRecord struct {
	Unit   sallyport.UnitID `json:"unit"`
	Tried  int              `json:"tried"`
	Failed int              `json:"failed"`
	Chance sallyport.Chance `json:"chance"` // in 1/10,000, as the plan reckons with it
	Low    sallyport.Chance `json:"low"`
	High   sallyport.Chance `json:"high"`
}

// FailuresOf plays every failure of a plan. The show must be complete. When
// ctx ends it returns what is done; the error says so.
func FailuresOf(ctx context.Context, show *sallyport.Show, plan *sallyport.Plan, opt rehearse.Options, report func(done, all int)) (*Failures, error) {
	m, err := rehearse.Matrix(ctx, show, plan, opt, report)
	return &Failures{Show: show, Plan: plan, Matrix: m, Starts: startRecords(show), Part: err != nil}, err
}

// Report returns what was not checked and assumed: for the failures, then for
// the plan. The rule for towing is told once, as it was taken here.
func (f *Failures) Report(plan sallyport.Report) sallyport.Report {
	show := slices.DeleteFunc(slices.Clone(f.Show.Assumed), func(a sallyport.Assumption) bool { return a.Field == sallyport.AssumedTow })
	return sallyport.Report{
		NotChecked: append(slices.Clone(f.Matrix.NotChecked), plan.NotChecked...),
		Assumed:    append(slices.Clone(f.Matrix.Assumed), show...),
	}
}

// startRecords lists the vehicles whose start chance comes from records.
func startRecords(show *sallyport.Show) []StartRecord {
	var list []StartRecord
	for _, v := range show.Vehicles {
		if v.StartsTried > 0 && v.StartChance != nil && *v.StartChance == sallyport.ChanceFromRecords(v.StartsTried, v.StartsFail) {
			r := StartRecord{Unit: v.ID, Tried: v.StartsTried, Failed: v.StartsFail, Chance: *v.StartChance}
			r.Low, r.High = rehearse.StartInterval(v.StartsTried, v.StartsFail)
			list = append(list, r)
		}
	}
	return list
}

// Summary says in sentences how bad failures are, and describes the worst
// cells, so many of them.
func (f *Failures) Summary(top int) []string {
	m := f.Matrix
	lines := f.verdict()
	lines = append(lines, f.kinds()...)
	ix := sallyport.NewIndex(f.Show)
	if n := min(top, len(m.Worst)); n > 0 {
		lines = append(lines, "", "The worst by the value of what is lost, one failure at a time:")
		for i, ref := range m.Worst[:n] {
			row, cell := m.At(ref)
			lines = append(lines, "")
			lines = append(lines, cellWords(f.Show, ix, i+1, row, cell)...)
		}
	}
	if n := len(m.Worst) - top; n > 0 {
		lines = append(lines, "", fmt.Sprintf("%d lesser ones are left out.", n))
	}
	lines = append(lines, f.care()...)
	return append(lines, f.startLines(ix)...)
}

// verdict says whether the plan stands any one failure to start.
func (f *Failures) verdict() []string {
	m := f.Matrix
	if m.Stands() && f.Part {
		return []string{"As far as failures were played, every other entry of that day still goes out when a vehicle does not start."}
	}
	if m.Stands() {
		return []string{"The plan stands any one failure to start: every other entry of that day still goes out."}
	}
	return append([]string{fmt.Sprintf("The plan does not stand any one failure to start: %s when another vehicle does not start.",
		count(len(m.Uncovered), "entry stays behind", "entries stay behind"))}, f.behind()...)
}

// behind says who stays behind when which vehicle does not start, in order of
// time.
func (f *Failures) behind() []string {
	ix := sallyport.NewIndex(f.Show)
	var lines []string
	for i := range f.Matrix.Rows {
		row := &f.Matrix.Rows[i]
		for k := range row.Cells {
			c := &row.Cells[k]
			if len(c.Uncovered) == 0 {
				continue
			}
			names := make([]string, len(c.Uncovered))
			for n, id := range c.Uncovered {
				names[n] = fmt.Sprintf("%s (%s)", ix.UnitName(ix.Entry(id).Unit), ix.SerialName(ix.SerialOf(id).ID))
			}
			lines = append(lines, fmt.Sprintf("  when %s does not start on %s: %s", ix.UnitName(row.Unit), f.Show.When(c.At), strings.Join(names, ", ")))
		}
	}
	return lines
}

// kinds sums the cells up by kind of failure.
func (f *Failures) kinds() []string {
	type sum struct{ cells, harm, lost, left, worst int }
	sums := map[sallyport.FailureKind]*sum{}
	for _, ref := range f.Matrix.Worst {
		_, c := f.Matrix.At(ref)
		s := sums[c.Kind]
		if s == nil {
			s = &sum{}
			sums[c.Kind] = s
		}
		s.cells++
		s.lost += len(c.Lost)
		s.left += len(c.Left)
		s.worst = max(s.worst, len(c.Left))
		if len(c.ShutIn)+len(c.Stranded) > 0 {
			s.harm++
		}
	}
	lines := []string{"", fmt.Sprintf("  %-18s %8s %12s %14s %12s %11s", "failure", "cases", "others hit", "entries lost", "after cures", "then most")}
	for _, k := range sallyport.FailureKinds {
		if s := sums[k]; s != nil {
			lines = append(lines, fmt.Sprintf("  %-18s %8d %12d %14d %12d %11d", k, s.cells, s.harm, s.lost, s.left, s.worst))
		}
	}
	return append(lines, "Others hit: cases in which others are shut in or find no way home. Entries lost are summed over all cases, each by itself; then most: the most that one case loses after cures. A late start loses what a vehicle that does not start loses, once its cut-off is past.")
}

// cellWords describes one failure.
func cellWords(show *sallyport.Show, ix *sallyport.Index, n int, row *sallyport.FailureRow, c *sallyport.FailureCell) []string {
	late := c.Kind == sallyport.FailLate
	does := "fails " + string(c.Kind)
	if late {
		does = "starts late"
	}
	lines := []string{fmt.Sprintf("%d. %s %s: %s, %s (%s)", n, ix.UnitName(row.Unit), does, c.Place, show.When(c.At), row.What)}
	say := func(format string, args ...any) { lines = append(lines, "   "+fmt.Sprintf(format, args...)) }
	if len(c.ShutIn) > 0 {
		say("shut in%s: %s", map[bool]string{true: ", if it does not start at all"}[late], ix.Names(c.ShutIn))
	}
	if len(c.Stranded) > 0 {
		say("no way home to their places: %s", ix.Names(c.Stranded))
	}
	switch {
	case len(c.Lost) == 0:
		say("nothing is lost")
	case late:
		say("lost, if it does not start at all: %s", count(len(c.Lost), "entry", "entries"))
	case len(c.Cures) > 0 && len(c.Left) < len(c.Lost):
		say("lost if nothing is done: %s; with what follows: %s", count(len(c.Lost), "entry", "entries"), count(len(c.Left), "entry", "entries"))
	default:
		say("lost: %s", count(len(c.Lost), "entry", "entries"))
	}
	for _, x := range c.Try {
		say("try first: %s", x.Says)
	}
	for _, x := range c.Cures {
		say("%s: %s", x.Kind, x.Says)
	}
	if c.NoTow != "" {
		say("%s", c.NoTow)
	}
	return lines
}

// care lists once what to take care of.
func (f *Failures) care() []string {
	said := map[string]bool{}
	var lines []string
	for _, k := range []sallyport.CureKind{sallyport.CureSlave, sallyport.CurePush, sallyport.CureTow} {
		for _, ref := range f.Matrix.Worst {
			_, c := f.Matrix.At(ref)
			for _, x := range append(c.Try[:len(c.Try):len(c.Try)], c.Cures...) {
				if x.Kind == k && x.Care != "" && !said[x.Care] {
					said[x.Care] = true
					lines = append(lines, fmt.Sprintf("  %s: %s", k, x.Care))
				}
			}
		}
	}
	if len(lines) == 0 {
		return nil
	}
	return append([]string{"", "Take care:"}, lines...)
}

// startLines gives the start chances from records with their intervals.
func (f *Failures) startLines(ix *sallyport.Index) []string {
	if len(f.Starts) == 0 {
		return nil
	}
	lines := []string{"", "Start chances from records (Jeffreys mean, and 90 % interval):"}
	for _, r := range f.Starts {
		lines = append(lines, fmt.Sprintf("  %s: %d of %d; %s (%s to %s)", ix.UnitName(r.Unit), r.Tried-r.Failed, r.Tried, percent(r.Chance), percent(r.Low), percent(r.High)))
	}
	return lines
}

// percent returns a chance in percent with one decimal.
func percent(c sallyport.Chance) string { return fmt.Sprintf("%d.%d %%", (c+5)/100, (c+5)%100/10) }
