package sallyport_test

import (
	"slices"

	sp "sallyport"
)

// passage is one move through one end of a lane.
type passage struct {
	lane     string
	end      sp.End
	out      bool
	backward bool
}

// passages returns the lane ends a move goes through. before is where
// everything is when it starts: how a unit drives out follows from how it
// stands.
func (w *world) passages(m sp.Move, before *world) []passage {
	var through []passage
	if m.Kind == sp.MoveCloseUp {
		return nil
	}
	for i, p := range []sp.Pos{m.From, m.To} {
		if p.Kind == sp.InLane {
			in, out := ends(w.lane(p.ID).Kind)
			x := passage{p.ID, endOf(p, [][]sp.End{out, in}[i]), i == 0, m.Reverse}
			if i == 0 {
				x.backward = before.at[m.Unit].noseIn == (x.end == sp.Mouth)
			}
			through = append(through, x)
		}
	}
	return through
}

// stretch is the frontage stretch before a lane end, "" when there is none.
func (w *world) stretch(p passage) sp.StretchID {
	if p.end == sp.Tail {
		return w.lane(p.lane).Tail
	}
	return w.lane(p.lane).Mouth
}

func movers(m sp.Move) []sp.UnitID {
	if m.Kind == sp.MoveOut || m.Kind == sp.MoveHome {
		return m.Units
	}
	return []sp.UnitID{m.Unit}
}

func overlap(a, b sp.Move) bool { return a.Start < b.Ends() && b.Start < a.Ends() }

// clock looks at every pair of moves and says which rules of time they break.
// before holds where everything is before each move; later moves than those
// are not looked at.
func (w *world) clock(moves []sp.Move, before []*world) (bad []breach) {
	moves = moves[:min(len(moves), len(before))]
	for j, m := range moves {
		say := func(r sp.Rule) { bad = append(bad, breach{rule: r, move: m.ID, unit: movers(m)[0]}) }
		if slices.ContainsFunc(moves[:j], func(b sp.Move) bool { return b.Start > m.Start }) {
			say(sp.RuleTimes)
		}
		if m.Takes < w.pace(m) {
			say(sp.RulePace)
		}
		for _, u := range movers(m) {
			if slices.ContainsFunc(moves[:j], func(b sp.Move) bool { return slices.Contains(movers(b), u) && b.Ends() > m.Start }) {
				r := sp.RuleTimes
				if m.Kind == sp.MoveOut {
					r = sp.RuleLate // not on its line when the column leaves
				}
				bad = append(bad, breach{rule: r, move: m.ID, unit: u})
			}
		}
		for i, b := range moves[:j] {
			for _, x := range w.passages(b, before[i]) {
				for _, y := range w.passages(m, before[j]) {
					follow := x.out && y.out && !x.backward && !y.backward
					if x.lane == y.lane && x.end == y.end && m.Start < b.Ends() && !follow {
						say(sp.RuleLaneEnd)
					}
					if s := w.stretch(x); s != "" && s == w.stretch(y) && overlap(b, m) && (x.backward || y.backward) {
						say(sp.RuleFrontage)
					}
				}
			}
		}
		if w.teamsAt(moves, j) > w.teams(m.Start.Day()) && w.teams(m.Start.Day()) > 0 && teamsOf(m) > 0 {
			say(sp.RuleTeams)
		}
		for _, r := range w.due(m) {
			say(r)
		}
		for _, u := range movers(m) {
			if off := w.vehicle(u).OffRoad; !m.ByHand && off.From > 0 && m.Start >= off.From {
				bad = append(bad, breach{rule: sp.RuleOffRoad, move: m.ID, unit: u})
			}
		}
	}
	return bad
}

// due judges a move against the moments set for its kind.
func (w *world) due(m sp.Move) (bad []sp.Rule) {
	s := w.serial(m.Serial)
	var y sp.Duty
	for _, d := range w.show.Duties {
		if d.ID == m.Duty {
			y = d
		}
	}
	var r sp.ResetWindow
	for _, x := range w.show.Resets {
		if x.ID == m.Window {
			r = x
		}
	}
	for _, x := range []struct {
		kind sp.MoveKind
		bad  bool
		rule sp.Rule
	}{
		{sp.MovePullOut, m.Ends() > s.FormUp, sp.RuleLate},
		{sp.MoveOut, m.Ends() > s.ArenaIn, sp.RuleLate},
		{sp.MoveHome, m.Start < s.ArenaOut, sp.RuleTimes},
		{sp.MoveReturn, m.Ends()-s.HomeBy > max(0, m.Nominal-s.ArenaOut-sp.Instant(s.Travel)), sp.RuleHomeLate},
		{sp.MoveReturn, m.Start < m.Nominal, sp.RuleTimes},
		{sp.MoveAcross, m.Ends() > s.FormUp, sp.RuleLate},
		{sp.MoveArrive, m.Start < w.vehicle(m.Unit).Arrive.From || m.Start > w.vehicle(m.Unit).Arrive.To, sp.RuleWindow},
		{sp.MoveDepart, m.Start < w.vehicle(m.Unit).Depart.From || m.Ends() > w.vehicle(m.Unit).Depart.To, sp.RuleWindow},
		{sp.MoveDuty, m.Ends() > y.From, sp.RuleLate},
		{sp.MoveRelieve, m.Start < y.To, sp.RuleWindow},
		{sp.MoveReset, m.Start < r.From || m.Ends() > r.To, sp.RuleWindow},
	} {
		if x.kind == m.Kind && x.bad {
			bad = append(bad, x.rule)
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

// waits judges the waiting of engines on lines: warmed up there long enough,
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
			out, home := m.Kind == sp.MoveOut, m.From.Kind == sp.InLine && m.Kind != sp.MoveOut
			if (out || home) && wait >= 0 && *v.LongestIdle > 0 && wait > *v.LongestIdle && wait < *v.HotRest {
				bad = append(bad, breach{rule: sp.RuleIdle, move: m.ID, unit: u})
			}
			if out && v.WarmWhere == sp.WarmOnLine && wait < *v.WarmUp || out && wait < 0 {
				bad = append(bad, breach{rule: sp.RuleLate, move: m.ID, unit: u})
			}
		}
	}
	return bad
}

// behind judges engines warmed up in the lane behind a vehicle that is
// pushed out of the way only after they were started.
func (w *world) behind(moves []sp.Move, before []*world) (bad []breach) {
	for j, m := range moves[:min(len(moves), len(before))] {
		from, _ := w.running(m)
		for i, b := range moves[:j] {
			if m.From.Kind == sp.InLane && b.From.Kind == sp.InLane && b.ByHand && b.Start > from && from < m.Start &&
				before[i].at[m.Unit].id == m.From.ID &&
				slices.Contains(before[i].between(m.Unit, w.passages(m, before[j])[0].end), b.Unit) {
				bad = append(bad, breach{rule: sp.RuleWarmUp, move: m.ID, unit: m.Unit})
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
			for i, p := range []sp.Pos{m.From, m.To} {
				if p.Kind != sp.InLane || !w.publicInside(w.lane(p.ID).Zone, t) {
					continue
				}
				if i == 0 && t >= m.Ends() || i == 1 && t < m.Start {
					continue // it cools where it goes to, and warms up where it comes from
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
			bad = append(bad, breach{rule: sp.RuleNotClear, move: m.ID, unit: m.Unit})
		}
		if late {
			bad = append(bad, breach{rule: sp.RuleReopened, move: m.ID, unit: m.Unit})
		}
		if outside {
			bad = append(bad, breach{rule: sp.RuleEngineHours, move: m.ID, unit: m.Unit})
		}
	}
	return bad
}
