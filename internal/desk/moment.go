package desk

import (
	"sallyport"
	"sallyport/internal/picture"
)

// Moment returns the picture of the park at a moment of a plan: what stands
// where once every move that has begun by then is made, the moves that come
// next, and who is due. Next is the group of moves of one purpose: a serial's
// pull-outs or returns, a reset, or a single arrival, duty or departure. A nil
// plan gives the empty park. The show must be complete.
func Moment(show *sallyport.Show, plan *sallyport.Plan, at sallyport.Instant) picture.Moment {
	m := picture.Moment{Title: show.When(at), State: sallyport.State{At: at}}
	if plan == nil {
		return m
	}
	m.State, _ = sallyport.StartState(show, plan) // faults are the report's business, not the picture's
	made := 0
	for made < len(plan.Moves) && plan.Moves[made].Start <= at {
		made++
	}
	m.State = sallyport.NewCourse(sallyport.NewIndex(show), m.State, plan.Moves[:made]).Before(made)
	m.State.At = at
	m.Moves = next(plan, made)
	for _, x := range m.Moves {
		switch x.Kind {
		case sallyport.MovePullOut, sallyport.MoveDuty, sallyport.MoveDepart:
			m.Due = append(m.Due, x.Unit)
		}
	}
	return m
}

// next returns the moves of one purpose that come after the first made moves,
// in order, as far as they lie on the same day.
func next(plan *sallyport.Plan, made int) []sallyport.Move {
	rest := plan.Moves[made:]
	for len(rest) > 0 && len(rest[0].Units) > 0 {
		rest = rest[1:] // a column moves no vehicle within the park
	}
	if len(rest) == 0 {
		return nil
	}
	first := rest[0]
	home := first.From.Kind == sallyport.InLine || first.From.Kind == sallyport.InArena
	var list []sallyport.Move
	for _, x := range rest {
		same := x.Serial == first.Serial && x.Window == first.Window && x.Duty == first.Duty && x.Start.Day() == first.Start.Day()
		switch {
		case !same || first.Serial == "" && first.Window == "" && x.Unit != first.Unit:
			continue
		case len(x.Units) > 0 && !home: // the column is complete
			return list
		case len(x.Units) == 0:
			list = append(list, x)
		}
	}
	return list
}
