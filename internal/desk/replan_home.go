package desk

import (
	"fmt"
	"strings"

	"sallyport"
)

// homeByStep is to what a proposed home-by is rounded up.
const homeByStep = sallyport.Instant(5 * 60)

// laterHome says, for each serial that comes home too late, by when it would
// have to be home for that to be no fault, and whether anything is wrong then.
// Nothing is changed by it: whether people stay so long is theirs to say.
func (r *Replanned) laterHome() []string {
	late := map[sallyport.SerialID]bool{}
	for _, f := range r.Report.Faults {
		late[f.Serial] = late[f.Serial] || f.Rule == sallyport.RuleHomeLate
	}
	show := *r.Show
	show.Serials = append([]sallyport.Serial(nil), show.Serials...)
	ix := sallyport.NewIndex(r.Show)
	var words []string
	for i := range show.Serials {
		s := &show.Serials[i]
		if !late[s.ID] {
			continue
		}
		was := s.HomeBy
		s.HomeBy = (homeOf(r.Plan, s) + homeByStep - 1) / homeByStep * homeByStep
		words = append(words, fmt.Sprintf("%s by %s in place of %s", ix.SerialName(s.ID), show.When(s.HomeBy), was.Clock()))
	}
	if len(words) == 0 {
		return nil
	}
	left := 0
	for _, f := range sallyport.Faults(&show, r.Plan) {
		if f.Rule == sallyport.RuleHomeLate || len(r.with(f).breaks()) > 0 {
			left++
		}
	}
	then := "then it is workable"
	if left > 0 {
		then = "then " + count(left, "other fault is", "other faults are") + " left"
	}
	return []string{fmt.Sprintf("Too late home; a later time would do: %s; %s. It is not changed here: agree it with who waits for them, and write it as Home by in the workbook.", strings.Join(words, "; "), then)}
}

// with returns the same plan with one fault only.
func (r *Replanned) with(f sallyport.Fault) *Answer {
	a := *r.Answer
	a.Report.Faults = []sallyport.Fault{f}
	return &a
}

// homeOf returns when the last of a serial is parked; who is held back has as
// much longer.
func homeOf(plan *sallyport.Plan, s *sallyport.Serial) sallyport.Instant {
	last := s.HomeBy
	for i := range plan.Moves {
		if m := &plan.Moves[i]; m.Serial == s.ID && m.Kind == sallyport.MoveReturn {
			last = max(last, m.Ends()-max(0, m.Nominal-s.Back()))
		}
	}
	return last
}
