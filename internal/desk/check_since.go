package desk

import (
	"context"
	"fmt"
	"slices"

	"sallyport"
	"sallyport/internal/solve"
)

// boundSteps is how long a check looks for a bound, about a second.
const boundSteps int64 = 100_000_000

// FindBound puts into the answer what no plan of its show that serves as much
// costs less than, as far as it is found before ctx ends. A plan made by hand
// may cost less, by moves that the planner never makes; then the bound says
// nothing of it.
func (a *Answer) FindBound(ctx context.Context) {
	if a.Plan.From != nil {
		return
	}
	if bound := solve.Bound(ctx, a.Show, a.Report.Cost.Total, boundSteps); bound <= a.Report.Cost.Total {
		a.Bound = bound
	}
}

// Since is what a plan has other than the last issue.
type Since struct {
	Telling sallyport.CostTerm `json:"telling"` // what the changes cost
	Total   sallyport.Amount   `json:"total"`   // of the plan, telling included
	Notices []Notice           `json:"notices"` // who must be told what, in order of time
}

// CompareSince prices what an answer's plan changes from a published one, and
// says who must be told what.
func CompareSince(a *Answer, issued *sallyport.Plan) *Since {
	cost := sallyport.EvaluateSince(a.Show, a.Plan, issued)
	happened := a.Plan.Happened[min(len(issued.Happened), len(a.Plan.Happened)):]
	return &Since{Telling: cost.Term(sallyport.TermIssue), Total: cost.Total, Notices: notices(a.Show, issued, a.Plan, happened, nil)}
}

// Lines says it in sentences.
func (s *Since) Lines(show *sallyport.Show) []string {
	if len(s.Notices) == 0 {
		return []string{"Nothing has changed from the last issue: nobody is to be told anything."}
	}
	lines := []string{fmt.Sprintf("Since the last issue, %s to be told to %s (%s; with it the plan costs %s):",
		count(len(s.Notices), "change is", "changes are"), count(len(toldTo(s.Notices)), "person or crew", "people or crews"), s.Telling.Amount, s.Total)}
	for _, n := range s.Notices {
		lines = append(lines, "  "+n.Line(show))
	}
	return append(lines, fmt.Sprintf("Who begins less than %s earlier or later than told need not be told.", sallyport.TellFrom.Words()))
}

// toldTo returns whom notices concern, each once: the people named, or the
// vehicle where nobody is.
func toldTo(notices []Notice) []string {
	var list []string
	for _, n := range notices {
		names := n.People
		if len(names) == 0 {
			names = []string{n.Vehicle}
		}
		for _, name := range names {
			if !slices.Contains(list, name) {
				list = append(list, name)
			}
		}
	}
	return list
}
