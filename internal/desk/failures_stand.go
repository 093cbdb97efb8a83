package desk

import (
	"context"
	"fmt"
	"strings"

	"sallyport"
	"sallyport/internal/rehearse"
	"sallyport/internal/solve"
)

// Standing is a plan that was asked to stand any one failure to start, beside
// the plan that was not.
type Standing struct {
	With    *Answer // the plan that was asked; what is given
	Without *Answer

	Uncovered    []sallyport.EntryID // entries that do not go out when one other vehicle does not start, with the plan given
	UncoveredOld []sallyport.EntryID // with the other
}

// Stand plans a show twice with the same budget: once so that, before all
// other costs, as few entries as can be stay behind when any one vehicle does
// not start; and once without that wish. Both are verified by playing every
// such failure. When only the plain plan is workable, or it turns out to stand
// as much and costs less, it is the one that is given. report follows both.
func Stand(ctx context.Context, show *sallyport.Show, opt PlanOptions, report func(solve.Progress)) (*Standing, error) {
	s := &Standing{}
	for _, stand := range []bool{true, false} {
		opt.Stand = stand
		a, err := Plan(ctx, show, opt, report)
		if err != nil {
			return nil, err
		}
		left, err := uncovered(ctx, show, a.Plan)
		if err != nil {
			a.Interrupted = true
		}
		if stand {
			s.With, s.Uncovered = a, left
		} else {
			s.Without, s.UncoveredOld = a, left
		}
	}
	s.choose()
	return s, nil
}

// choose gives the plain plan in place of the one that was asked to stand when
// only that is workable, or when it stands as much and costs less.
func (s *Standing) choose() {
	plain, asked := s.Without, s.With
	switch {
	case !plain.Report.Workable():
	case !asked.Report.Workable(), len(s.UncoveredOld) <= len(s.Uncovered) && plain.Report.Cost.Less(asked.Report.Cost):
		s.With, s.Uncovered = plain, s.UncoveredOld
	}
}

// uncovered returns the entries that stay behind when one other vehicle does
// not start, whatever people and towing vehicles do.
func uncovered(ctx context.Context, show *sallyport.Show, plan *sallyport.Plan) ([]sallyport.EntryID, error) {
	m, err := rehearse.Matrix(ctx, show, plan, rehearse.Options{Only: []sallyport.FailureKind{sallyport.FailInLane}}, nil)
	return m.Uncovered, err
}

// Sentences say how far the plan stands any one failure to start, and what
// that costs.
func (s *Standing) Sentences() []string {
	ix := sallyport.NewIndex(s.With.Show)
	var lines []string
	switch n := len(s.Uncovered); n {
	case 0:
		lines = append(lines, "It stands any one failure to start: every other entry of that day still goes out.")
	default:
		var names []string
		for _, id := range s.Uncovered {
			names = append(names, fmt.Sprintf("%s (%s)", ix.UnitName(ix.Entry(id).Unit), ix.SerialName(ix.SerialOf(id).ID)))
		}
		lines = append(lines,
			fmt.Sprintf("It does not quite stand any one failure to start: %s when another vehicle does not start, the fewest found.", count(n, "entry stays behind", "entries stay behind")),
			"They are: "+strings.Join(names, ", ")+".")
	}
	if s.With == s.Without {
		return append(lines, "Asking for it found nothing better: this is the plan without that wish.")
	}
	was := fmt.Sprintf("Without that wish: %s", count(len(s.UncoveredOld), "entry", "entries"))
	a, b := s.With.Report.Cost, s.Without.Report.Cost
	more := func(name string) int { return a.Term(name).Count - b.Term(name).Count }
	return append(lines, fmt.Sprintf("%s, at a cost of %s in place of %s: %+d moves aside and back, %+d resets, %+d changes of lane.",
		was, b.Total, a.Total, more(sallyport.TermAside), more(sallyport.TermReset), more(sallyport.TermChange)))
}
