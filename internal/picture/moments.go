package picture

import (
	"sort"

	"sallyport"
)

// Moments returns the pictures that tell a day of a plan: the morning, every
// pull-out and return as they begin, resets and departures, and the night.
// Day 1 is the first. A day on which nothing moves has its morning only; a
// plan with faults is shown as far as it can be played.
func Moments(show *sallyport.Show, plan *sallyport.Plan, day int) []Moment {
	start, _ := sallyport.StartState(show, plan) // faults are the report's business, not the picture's
	return pick(show, plan, sallyport.NewCourse(sallyport.NewIndex(show), start, plan.Moves), day)
}

// group is moves of one purpose, by index into the plan.
type group struct {
	title string
	moves []int
	due   bool // those who move are due
}

// pick chooses the moments of a day.
func pick(show *sallyport.Show, plan *sallyport.Plan, course *sallyport.Course, day int) []Moment {
	name := sallyport.At(day, 0, 0).String()
	if day >= 1 && day <= len(show.Days) && show.Days[day-1].Name != "" {
		name = show.Days[day-1].Name
	}
	first, last := -1, -1
	for i, m := range plan.Moves {
		if m.Start.Day() == day {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	if first < 0 {
		return []Moment{{Title: name, State: quietState(plan, course, day)}}
	}
	out := []Moment{{Title: name + ", morning", State: course.Before(first)}}
	for _, g := range groups(show, plan, day) {
		m := Moment{Title: plan.Moves[g.moves[0]].Start.Clock() + " " + g.title, State: course.Before(g.moves[0])}
		for _, i := range g.moves {
			m.Moves = append(m.Moves, plan.Moves[i])
			if g.due && plan.Moves[i].Kind == sallyport.MovePullOut {
				m.Due = append(m.Due, plan.Moves[i].Unit)
			}
		}
		out = append(out, m)
	}
	return append(out, Moment{Title: name + ", night", State: course.Before(last + 1)})
}

// quietState returns what stands on a day without moves.
func quietState(plan *sallyport.Plan, course *sallyport.Course, day int) sallyport.State {
	at := 0
	for i, m := range plan.Moves {
		if m.Start.Day() <= day {
			at = i + 1
		}
	}
	s := course.Before(at)
	s.At = sallyport.At(day, 6, 0)
	return s
}

// spell is how long nobody arrives before the next arrivals have a picture of
// their own; likewise departures.
const spell = sallyport.Instant(3600)

// groups returns the groups of moves of a day in the order of their first
// moves: each serial's two phases, each reset window, arrivals, departures.
func groups(show *sallyport.Show, plan *sallyport.Plan, day int) []group {
	var all []group
	add := func(title string, moves []int, due bool) {
		var today []int
		for _, i := range moves {
			if plan.Moves[i].Start.Day() == day {
				today = append(today, i)
			}
		}
		if len(today) > 0 {
			all = append(all, group{title, today, due})
		}
	}
	for _, s := range show.Serials {
		out, home := plan.Phases(s.ID)
		add("pull-out of "+serialName(s), out, true)
		add("return of "+serialName(s), home, false)
	}
	for _, w := range show.Resets {
		add("reset", movesWhere(plan, func(m sallyport.Move) bool { return m.Kind == sallyport.MoveReset && m.Window == w.ID }), false)
	}
	apart := func(title string, moves []int, due bool) {
		for from := 0; from < len(moves); {
			to := from + 1
			for to < len(moves) && plan.Moves[moves[to]].Start-plan.Moves[moves[to-1]].Ends() < spell {
				to++
			}
			add(title, moves[from:to], due)
			from = to
		}
	}
	apart("arrivals", movesWhere(plan, func(m sallyport.Move) bool { return m.Kind == sallyport.MoveArrive }), false)
	apart("departures", movesWhere(plan, func(m sallyport.Move) bool { return m.Kind == sallyport.MoveDepart }), false)
	sort.SliceStable(all, func(a, b int) bool { return all[a].moves[0] < all[b].moves[0] })
	return all
}

// movesWhere returns the indexes of the moves that match.
func movesWhere(plan *sallyport.Plan, match func(sallyport.Move) bool) []int {
	var out []int
	for i, m := range plan.Moves {
		if match(m) {
			out = append(out, i)
		}
	}
	return out
}

// serialName returns a serial's id and name.
func serialName(s sallyport.Serial) string {
	if s.Name == "" || s.Name == string(s.ID) {
		return "serial " + string(s.ID)
	}
	return string(s.ID) + " " + s.Name
}
