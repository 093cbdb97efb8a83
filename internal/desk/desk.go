// Package desk holds the use cases that combine the planner, the judge, the
// page and the pictures, without any input or output: what the command line
// does today and a server can do later. It answers "what does a person get who
// asks for a plan, a check, a reason or a picture".
package desk

import (
	"context"
	"fmt"
	"strings"

	"sallyport"
)

// Answer is a plan with all there is to say about it.
type Answer struct {
	Show        *sallyport.Show // complete
	Plan        *sallyport.Plan
	Report      sallyport.Report
	Bound       sallyport.Amount // no plan that serves as much costs less; 0: not known
	Why         []string         // why no complete plan was found
	Interrupted bool             // the work was stopped before its end
	Title       string           // of one among several: "nobody aside, 14 in the evening"
}

// Code returns what kind of failure the answer is, "" when it is none: a plan
// that is not workable, or a workable one from work that was stopped early.
func (a *Answer) Code() sallyport.Code {
	switch {
	case a.Interrupted:
		return sallyport.CodeInterrupted
	case !a.Workable():
		return sallyport.CodeNotWorkable
	}
	return ""
}

// Workable reports whether the plan breaks no rule. Of a plan that goes on
// from a moment, entries and duties that are lost and reserves that are shut
// in by what has happened are told, but break none.
func (a *Answer) Workable() bool { return len(a.breaks()) == 0 }

// BestPossible reports whether no plan for the rules and figures given costs
// less.
func (a *Answer) BestPossible() bool {
	return a.Report.Workable() && a.Bound == a.Report.Cost.Total
}

// Prepare returns the show with every figure that is not given assumed, and
// what is worth a look in it. The error lists all that contradicts itself;
// then the show is nil. where says in which cell of the source a problem lies,
// "" when that is not known; it may be nil.
func Prepare(show *sallyport.Show, where func(sallyport.Problem) string) (*sallyport.Show, []string, error) {
	var notes, stops []string
	for _, p := range sallyport.Validate(show) {
		text := p.String()
		if where != nil {
			if at := where(p); at != "" {
				text = at + ": " + text
			}
		}
		if p.Severity == sallyport.Stop {
			stops = append(stops, text)
			continue
		}
		notes = append(notes, text)
	}
	switch len(stops) {
	case 0:
		return sallyport.Complete(show), notes, nil
	case 1:
		return nil, notes, sallyport.Errorf(sallyport.CodeInput, "", "%s", stops[0])
	}
	return nil, notes, sallyport.Errorf(sallyport.CodeInput, "",
		"%d things contradict each other; put them right first\n  %s", len(stops), strings.Join(stops, "\n  "))
}

// Check judges a plan. The show must be complete. When ctx ends, what delays
// would do to the plan is not looked at any more, and the report says so.
func Check(ctx context.Context, show *sallyport.Show, plan *sallyport.Plan) (*Answer, error) {
	if err := SameShow(plan, show.Name); err != nil {
		return nil, err
	}
	show, problems := sallyport.ShowWith(show, plan.Happened)
	if err := problemsError(problems); err != nil {
		return nil, err
	}
	return &Answer{Show: show, Plan: plan, Report: sallyport.CheckUntil(show, plan, func() bool { return ctx.Err() != nil })}, nil
}

// SameShow returns an error when the plan says that it is for another show.
func SameShow(plan *sallyport.Plan, show string) error {
	if plan.Show == "" || plan.Show == show {
		return nil
	}
	return sallyport.Errorf(sallyport.CodeInput, "give the workbook that the plan was made from",
		"the plan is for the show %q, the workbook is of the show %q", plan.Show, show)
}

// count returns a number with its noun.
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
