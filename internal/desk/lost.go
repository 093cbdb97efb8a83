package desk

import (
	"fmt"
	"slices"
	"strings"

	"sallyport"
	"sallyport/internal/solve"
)

// breaks returns the faults of a plan but those that what has happened makes
// unavoidable: in a plan that goes on from a moment, entries that something
// keeps from being served, duties lost, reserves shut in.
func (a *Answer) breaks() []sallyport.Fault {
	if a.Plan.From == nil || len(a.Plan.Happened) == 0 {
		return a.Report.Faults
	}
	ix := sallyport.NewIndex(a.Show)
	return slices.DeleteFunc(slices.Clone(a.Report.Faults), func(f sallyport.Fault) bool {
		return solve.Helpless(f) && (f.Rule != sallyport.RuleUnserved || sallyport.WhyLost(ix, a.Plan, f.Entry) != "")
	})
}

// losses says that a plan which goes on from a moment is workable, what is
// lost, and why.
func (a *Answer) losses() []string {
	ix := sallyport.NewIndex(a.Show)
	lost, besides := 0, 0
	var order []string
	what := map[string][]string{}
	for _, f := range a.Report.Faults {
		if f.Rule != sallyport.RuleUnserved {
			besides++
			continue
		}
		lost++
		why := sallyport.WhyLost(ix, a.Plan, f.Entry)
		if what[why] == nil {
			order = append(order, why)
		}
		what[why] = append(what[why], ix.UnitName(ix.Entry(f.Entry).Unit)+" in "+ix.SerialName(ix.SerialOf(f.Entry).ID))
	}
	text := "Workable for what is left"
	if lost > 0 {
		text += ", without " + count(lost, "entry", "entries") + " that nobody can serve any more"
	}
	if besides > 0 {
		text += "; " + count(besides, "duty or reserve is", "duties or reserves are") + " lost too"
	}
	lines := []string{fmt.Sprintf("%s. The plan goes on from %s.", text, a.Show.When(a.Plan.From.At))}
	for _, why := range order {
		lines = append(lines, fmt.Sprintf("  Lost because %s: %s.", why, strings.Join(what[why], ", ")))
	}
	return lines
}
