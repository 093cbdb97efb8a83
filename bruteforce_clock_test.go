package sallyport_test

import (
	"slices"

	sp "sallyport"
)

// passage is one move through one end of a lane.
type passage struct {
	lane string
	end  sp.End
}

// passages returns the lane ends a move goes through.
func (w *world) passages(m sp.Move) []passage {
	var through []passage
	if m.Kind == sp.MoveCloseUp {
		return nil
	}
	for i, p := range []sp.Pos{m.From, m.To} {
		if p.Kind == sp.InLane {
			in, out := ends(w.lane(p.ID).Kind)
			through = append(through, passage{p.ID, endOf(p, [][]sp.End{out, in}[i])})
		}
	}
	return through
}

// stretches returns the frontage stretches a move goes through.
func (w *world) stretches(m sp.Move) []sp.StretchID {
	var all []sp.StretchID
	for _, p := range w.passages(m) {
		lane := w.lane(p.lane)
		s := lane.Mouth
		if p.end == sp.Tail {
			s = lane.Tail
		}
		if s != "" {
			all = append(all, s)
		}
	}
	return all
}

func share[T comparable](a, b []T) bool {
	return slices.ContainsFunc(a, func(x T) bool { return slices.Contains(b, x) })
}

func movers(m sp.Move) []sp.UnitID {
	if m.Kind == sp.MoveOut || m.Kind == sp.MoveHome {
		return m.Units
	}
	return []sp.UnitID{m.Unit}
}

func overlap(a, b sp.Move) bool { return a.Start < b.Ends() && b.Start < a.Ends() }

// clock looks at every pair of moves and says which rules of time they break.
func (w *world) clock(moves []sp.Move) (bad []breach) {
	for j, m := range moves {
		say := func(r sp.Rule) { bad = append(bad, breach{r, m.ID, m.Unit}) }
		if j > 0 && m.Start < moves[j-1].Start {
			say(sp.RuleTimes)
		}
		if m.Takes < w.pace(m) {
			say(sp.RulePace)
		}
		for _, u := range movers(m) {
			if e := slices.ContainsFunc(moves[:j], func(b sp.Move) bool {
				return slices.Contains(movers(b), u) && b.Ends() > m.Start
			}); e {
				bad = append(bad, breach{sp.RuleTimes, m.ID, u})
			}
		}
		endBusy, frontage := false, false
		for _, b := range moves[:j] {
			follow := b.Kind == sp.MovePullOut && m.Kind == sp.MovePullOut && !b.Reverse && !m.Reverse && m.Start >= b.Start
			if share(w.passages(b), w.passages(m)) && m.Start < b.Ends() && !follow {
				endBusy = true
			}
			if share(w.stretches(b), w.stretches(m)) && overlap(b, m) && (b.Reverse || m.Reverse) {
				frontage = true
			}
		}
		if endBusy {
			say(sp.RuleLaneEnd)
		}
		if frontage {
			say(sp.RuleFrontage)
		}
		if w.teamsAt(moves, j) > w.teams(m.Start.Day()) && w.teams(m.Start.Day()) > 0 && teamsOf(m) > 0 {
			say(sp.RuleTeams)
		}
		s := w.serial(m.Serial)
		if m.Kind == sp.MovePullOut && m.Ends() > s.FormUp {
			say(sp.RuleLate)
		}
		if m.Kind == sp.MoveReturn && m.Nominal == 0 && m.Ends() > s.HomeBy {
			say(sp.RuleHomeLate)
		}
	}
	return bad
}

func (w *world) teams(day int) int {
	if day >= 1 && day <= len(w.show.Days) && w.show.Days[day-1].Teams > 0 {
		return w.show.Days[day-1].Teams
	}
	return w.show.Park.Teams
}

func teamsOf(m sp.Move) int {
	if m.Kind == sp.MoveOut || m.Kind == sp.MoveHome {
		return 0
	}
	return max(1, m.Marshals)
}

// teamsAt counts the teams at work at the start of move j, with it.
func (w *world) teamsAt(moves []sp.Move, j int) int {
	n := 0
	for i, m := range moves {
		if i == j || m.Start <= moves[j].Start && m.Ends() > moves[j].Start && (i < j || m.Start < moves[j].Start) {
			n += teamsOf(m)
		}
	}
	return n
}

func (w *world) pace(m sp.Move) sp.Seconds {
	gear := w.vehicle(m.Unit).Gear
	for _, p := range w.show.Park.Paces {
		if (p.Kind == "" || p.Kind == m.Kind) && (p.Gear == "" || p.Gear == gear) {
			return p.Takes
		}
	}
	return 0
}

// lines judges the waiting of engines on lines: warmed up there long enough,
// and not idled too long.
func (w *world) waits(moves []sp.Move) (bad []breach) {
	for j, m := range moves {
		for _, u := range movers(m) {
			var last *sp.Move
			for i := range moves[:j] {
				if slices.Contains(movers(moves[i]), u) {
					last = &moves[i]
				}
			}
			if last == nil {
				continue
			}
			v := w.vehicle(u)
			wait := sp.Seconds(m.Start - last.Ends())
			out := last.Kind == sp.MovePullOut && m.Kind == sp.MoveOut
			home := last.Kind == sp.MoveHome && m.Kind == sp.MoveReturn
			if (out || home) && *v.LongestIdle > 0 && wait > *v.LongestIdle && wait < *v.HotRest {
				bad = append(bad, breach{sp.RuleIdle, m.ID, u})
			}
			if out && v.WarmWhere == sp.WarmOnLine && wait < *v.WarmUp {
				bad = append(bad, breach{sp.RuleLate, m.ID, u})
			}
		}
	}
	return bad
}

// running returns the span in which the engine runs for a move, with the
// warm-up before it in the lane and the cool-down after it.
func (w *world) running(m sp.Move) (from, to sp.Instant) {
	v := w.vehicle(m.Unit)
	from, to = m.Start, m.Ends()
	if m.ByHand {
		return from, to
	}
	warms := m.Kind == sp.MovePullOut || m.Kind == sp.MoveDuty || m.Kind == sp.MoveDepart
	if warms && m.From.Kind == sp.InLane && v.WarmWhere == sp.WarmInLane {
		from -= sp.Instant(*v.WarmUp)
	}
	if m.Kind == sp.MoveReturn || m.Kind == sp.MoveRelieve {
		to += sp.Instant(*v.CoolDown)
	}
	return from, to
}

// publicInside reports whether the public is in a zone where engines may not
// run then.
func (w *world) publicInside(zone sp.ZoneID, t sp.Instant) bool {
	i := slices.IndexFunc(w.show.Park.Zones, func(z sp.Zone) bool { return z.ID == zone })
	if i < 0 || !w.show.Park.Zones[i].Public || w.show.Park.Zones[i].Engines {
		return false
	}
	open := false
	for _, d := range w.show.Days {
		open = open || d.PublicTo > 0 && t >= d.PublicFrom && t < d.PublicTo
	}
	for _, c := range w.show.Closings {
		if c.Zone == zone && t >= c.Clear && t < c.Reopened {
			return false
		}
	}
	return open
}

// public judges every second of every move against the public and the hours
// in which engines may run.
func (w *world) public(moves []sp.Move) (bad []breach) {
	for _, m := range moves {
		if m.Kind == sp.MoveOut || m.Kind == sp.MoveHome {
			continue
		}
		from, to := w.running(m)
		notClear, late, outside := false, false, false
		for t := from; t < to; t++ {
			for _, p := range []sp.Pos{m.From, m.To} {
				if p.Kind != sp.InLane || !w.publicInside(w.lane(p.ID).Zone, t) {
					continue
				}
				if t == from {
					notClear = true
				} else if !notClear {
					late = true
				}
			}
			d := w.show.Days[min(t.Day(), len(w.show.Days))-1]
			if !m.ByHand && d.EngineTo > 0 && (t < d.EngineFrom || t >= d.EngineTo) {
				outside = true
			}
		}
		if notClear {
			bad = append(bad, breach{sp.RuleNotClear, m.ID, m.Unit})
		}
		if late {
			bad = append(bad, breach{sp.RuleReopened, m.ID, m.Unit})
		}
		if outside {
			bad = append(bad, breach{sp.RuleEngineHours, m.ID, m.Unit})
		}
	}
	return bad
}
