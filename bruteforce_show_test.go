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
	for _, end := range out {
		backwards := t.noseIn == (end == sp.Mouth)
		if len(w.between(u, end)) == 0 && (!backwards || mayReverse(w.vehicle(u), reach(t, lane, end))) {
			return true
		}
	}
	return false
}

// standby names the standby units that cannot get out.
func (w *world) standby(move sp.MoveID) (bad []breach) {
	for _, v := range w.show.Vehicles {
		if t, ok := w.at[v.ID]; ok && v.Standby && t.kind == sp.InLane && !w.freeWay(v.ID) {
			bad = append(bad, breach{sp.RuleStandby, move, v.ID})
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
				bad = append(bad, breach{sp.RuleReserve, m.ID, r})
			}
		}
	}
	return bad
}

// missing names the entries that nothing serves: no column of their serial
// takes the unit.
func (w *world) missing(plan *sp.Plan) (bad []breach) {
	for _, s := range w.show.Serials {
		for _, e := range s.Entries {
			served := false
			for _, c := range plan.Moves {
				served = served || c.Kind == sp.MoveOut && c.Serial == s.ID && slices.Contains(c.Units, e.Unit)
			}
			switch {
			case slices.Contains(plan.Unserved, e.ID):
				bad = append(bad, breach{rule: sp.RuleUnserved, unit: e.Unit})
			case !served:
				bad = append(bad, breach{rule: sp.RuleMissing, unit: e.Unit})
			}
		}
	}
	return bad
}

// morning names who stands elsewhere than in a lane or on duty when a day's
// engine hours begin.
func (w *world) morning(states []*world, moves []sp.Move) (bad []breach) {
	for d := range w.show.Days {
		dawn := w.show.Days[d].EngineFrom
		if dawn == 0 {
			dawn = sp.At(d+1, 6, 0)
		}
		now := states[0]
		for i, m := range moves {
			if m.Start < dawn {
				now = states[i+1]
			}
		}
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
	v.place = append(v.place, w.standby("")...)
	for i, m := range plan.Moves {
		bad, broken := w.play(m)
		v.place = append(v.place, bad...)
		v.states = append(v.states, w.copy())
		if broken {
			v.broken = i
			break
		}
		v.place = append(v.place, w.standby(m.ID)...)
		v.place = append(v.place, w.reserves(m, plan.Moves[i+1:])...)
	}
	v.clock = append(v.clock, w.clock(plan.Moves)...)
	v.clock = append(v.clock, w.waits(plan.Moves)...)
	v.clock = append(v.clock, w.public(plan.Moves)...)
	if v.broken == len(plan.Moves) {
		v.whole = append(v.whole, w.missing(plan)...)
		v.whole = append(v.whole, w.morning(v.states, plan.Moves)...)
	}
	return v
}
