package sallyport_test

import (
	"slices"

	sp "sallyport"
)

// freeWay reports whether a unit standing in a lane has nobody between it and
// an end by which it can leave.
func (w *world) freeWay(u sp.UnitID) bool {
	t := w.at[u]
	lane := w.lane(t.id)
	_, out := ends(lane.Kind)
	drives := func(end sp.End) bool {
		backwards := t.noseIn == (end == sp.Mouth)
		return !backwards || mayReverse(w.vehicle(u), reachOf(t, lane, end))
	}
	if len(out) > 1 {
		out = slices.DeleteFunc(out, func(e sp.End) bool { return !drives(e) })
	}
	return slices.ContainsFunc(out, func(e sp.End) bool { return len(w.between(u, e)) == 0 })
}

// standby names the standby units that cannot get out.
func (w *world) standby(move sp.MoveID) (bad []breach) {
	for _, v := range w.show.Vehicles {
		if t, ok := w.at[v.ID]; ok && v.Standby && t.kind == sp.InLane && !w.freeWay(v.ID) {
			bad = append(bad, breach{rule: sp.RuleStandby, move: move, unit: v.ID})
		}
	}
	return bad
}

// reserves names the reserves of a serial that cannot get out after its last
// pull-out.
func (w *world) reserves(m sp.Move, later []sp.Move) (bad []breach) {
	if m.Kind != sp.MovePullOut {
		return nil
	}
	if slices.ContainsFunc(later, func(l sp.Move) bool { return l.Kind == sp.MovePullOut && l.Serial == m.Serial }) {
		return nil
	}
	for _, e := range w.serial(m.Serial).Entries {
		for _, r := range e.Reserves {
			if t, ok := w.at[r]; ok && t.kind == sp.InLane && !w.freeWay(r) {
				bad = append(bad, breach{rule: sp.RuleReserve, move: m.ID, unit: r})
			}
		}
	}
	return bad
}

// missing names the entries that nothing serves, no column of their serial
// taking the unit, and the duties nobody goes to.
func (w *world) missing(plan *sp.Plan, before []*world) (bad []breach) {
	taken := map[sp.EntryID]bool{}
	for i, c := range plan.Moves {
		if s := w.serial(c.Serial); c.Kind == sp.MoveOut {
			for _, u := range c.Units {
				if k := before[i].place(s, u); k >= 0 {
					taken[s.Entries[k].ID] = true
				}
			}
		}
	}
	for _, s := range w.show.Serials {
		for _, e := range s.Entries {
			served := taken[e.ID] || w.staysFor(e, taken)
			taken[e.ID] = served
			switch {
			case slices.Contains(plan.Unserved, e.ID):
				bad = append(bad, breach{rule: sp.RuleUnserved, unit: e.Unit})
			case !served:
				bad = append(bad, breach{rule: sp.RuleMissing, unit: e.Unit, value: e.Value})
			}
		}
	}
	for _, v := range w.show.Vehicles {
		gone := slices.ContainsFunc(plan.Moves, func(m sp.Move) bool { return m.Kind == sp.MoveDepart && m.Unit == v.ID })
		if v.Depart != (sp.Window{}) && !gone {
			bad = append(bad, breach{rule: sp.RuleWindow, unit: v.ID})
		}
	}
	for _, m := range plan.Moves {
		wrong := m.Kind == sp.MovePullOut || m.Kind == sp.MoveAcross
		for _, e := range w.serial(m.Serial).Entries {
			if e.ID == m.Entry && (e.Unit == m.Unit || slices.Contains(e.Reserves, m.Unit)) {
				wrong = false
			}
		}
		if wrong {
			bad = append(bad, breach{rule: sp.RuleWrongUnit, move: m.ID, unit: m.Unit})
		}
	}
	for _, y := range w.show.Duties {
		if !slices.ContainsFunc(plan.Moves, func(m sp.Move) bool { return m.Kind == sp.MoveDuty && m.Duty == y.ID }) {
			bad = append(bad, breach{rule: sp.RuleDuty, unit: y.Unit})
		}
	}
	return bad
}

// staysFor reports whether an entry is served by a unit that stays in the
// arena after its entry before.
func (w *world) staysFor(e sp.Entry, taken map[sp.EntryID]bool) bool {
	var last *sp.Entry
	for i := range w.show.Serials { // in order of time
		for j := range w.show.Serials[i].Entries {
			x := &w.show.Serials[i].Entries[j]
			if x.ID == e.ID {
				return last != nil && last.Join == sp.JoinArena && taken[last.ID]
			}
			if x.Unit == e.Unit {
				last = x
			}
		}
	}
	return false
}

// unplaced names who is neither in the start layout nor ever arrives.
func (w *world) unplaced(plan *sp.Plan) (bad []breach) {
	for _, v := range w.show.Vehicles {
		arrives := slices.ContainsFunc(plan.Moves, func(m sp.Move) bool { return m.Kind == sp.MoveArrive && m.Unit == v.ID })
		if _, ok := w.at[v.ID]; !ok && !arrives {
			bad = append(bad, breach{rule: sp.RuleNotPlaced, unit: v.ID})
		}
	}
	return bad
}

// atDawn is where everything is when a day's engine hours begin.
func atDawn(d int, states []*world, moves []sp.Move) *world {
	dawn := states[0].show.Days[d].EngineFrom
	if dawn == 0 {
		dawn = sp.At(d+1, 6, 0)
	}
	now := states[0]
	for i, m := range moves {
		if m.Start < dawn {
			now = states[i+1]
		}
	}
	return now
}

// morning names who stands elsewhere than in a lane or on duty when the
// engine hours of a day begin.
func (w *world) morning(states []*world, moves []sp.Move) (bad []breach) {
	for d := range w.show.Days {
		now := atDawn(d, states, moves)
		for u, t := range now.at {
			use := w.spot(t.id).Use
			if t.kind == sp.InLine || t.kind == sp.InArena || t.kind == sp.InSpot && (use == sp.SpotAside || use == sp.SpotCoupling) {
				bad = append(bad, breach{rule: sp.RuleMorning, unit: u})
			}
		}
	}
	return bad
}

// verdict is everything the naive player has to say.
type verdict struct {
	states []*world // before the first move, then after each
	place  []breach // of the start and of each move, as far as certain
	broken int      // index of the move after which nothing is certain; len(moves) when none
	clock  []breach // rules of time
	whole  []breach // rules of the whole plan
}

// judge replays a whole plan.
func judge(show *sp.Show, plan *sp.Plan) verdict {
	w, bad := begin(show, plan.Start)
	v := verdict{place: bad, broken: len(plan.Moves)}
	v.states = append(v.states, w.copy())
	v.place = append(v.place, w.unplaced(plan)...)
	if slices.ContainsFunc(bad, func(b breach) bool { return b.rule == sp.RuleOverfull }) {
		v.broken = -1
		return v
	}
	v.place = append(v.place, w.standby("")...)
	for i, m := range plan.Moves {
		bad, broken := w.play(m)
		v.place = append(v.place, bad...)
		v.states = append(v.states, w.copy())
		if broken {
			v.broken = i
			break
		}
		for _, b := range w.standby(m.ID) { // said once, until it can get out again
			if prior := v.states[i].standby(""); !slices.ContainsFunc(prior, func(c breach) bool { return c.unit == b.unit }) {
				v.place = append(v.place, b)
			}
		}
		v.place = append(v.place, w.reserves(m, plan.Moves[i+1:])...)
	}
	v.clock = append(v.clock, w.clock(plan.Moves, v.states)...)
	v.clock = append(v.clock, w.behind(plan.Moves, v.states)...)
	v.clock = append(v.clock, w.people(plan.Moves)...)
	v.clock = append(v.clock, w.waits(plan.Moves)...)
	v.clock = append(v.clock, w.public(plan.Moves)...)
	if v.broken == len(plan.Moves) {
		v.whole = append(v.whole, w.missing(plan, v.states)...)
		v.whole = append(v.whole, w.morning(v.states, plan.Moves)...)
	}
	return v
}
