package sallyport_test

import (
	"slices"

	sp "sallyport"
)

// play makes one move and says which rules of place it breaks. broken means
// that what stands where is no longer certain after it, so that nothing later
// can be compared.
func (w *world) play(m sp.Move) (bad []breach, broken bool) {
	if m.Kind == sp.MoveOut || m.Kind == sp.MoveHome {
		return w.playColumn(m)
	}
	u := m.Unit
	say := func(r sp.Rule) { bad = append(bad, breach{rule: r, move: m.ID, unit: u}) }
	t, there := w.at[u]
	if !there {
		t = footing{kind: sp.InAway}
	}
	if t.kind != m.From.Kind || (t.kind != sp.InAway && t.kind != sp.InArena && t.kind != sp.InDuty && t.id != m.From.ID) {
		say(sp.RuleNotThere)
		return bad, true
	}
	if w.fouled(m) {
		say(sp.RuleFouled)
	}
	if t.kind == sp.InLane && m.Kind != sp.MoveCloseUp {
		bad, broken = w.leaveLane(m, t, bad)
	}
	if t.kind == sp.InLine {
		mates := w.those(sp.InLine, t.id)
		line := w.line(t.id)
		next := mates[0]
		if line.TailLeads {
			next = mates[len(mates)-1]
		}
		if line.Home == sp.HomeInOrder && next != u {
			say(sp.RuleLineOrder)
		}
	}
	delete(w.at, u)
	if (m.Kind == sp.MovePullOut || m.Kind == sp.MoveAcross) && m.Entry != "" {
		w.serves[u] = m.Entry
	}
	switch m.To.Kind {
	case sp.InLane:
		if m.Kind == sp.MoveCloseUp {
			return w.closeUp(m, t, bad)
		}
		return w.enterLane(m, bad, broken)
	case sp.InLine:
		line := w.line(m.To.ID)
		w.joinLine(u, line, w.serial(m.Serial))
		mates := w.those(sp.InLine, m.To.ID)
		if line.Length > 0 && w.used(mates, line.Gap) > int(line.Length) {
			say(sp.RuleLineFull)
		}
		if line.Out == sp.OutStrict && w.overtaken(u, m.To.ID, w.serial(m.Serial)) {
			say(sp.RuleLineOrder)
		}
	case sp.InSpot:
		spot := w.spot(m.To.ID)
		w.at[u] = footing{kind: sp.InSpot, id: m.To.ID, rank: w.nextRank()}
		if spot.Length > 0 && w.used(w.those(sp.InSpot, m.To.ID), spot.Gap) > int(spot.Length) {
			say(sp.RuleAside)
		}
	case sp.InDuty:
		w.at[u] = footing{kind: sp.InDuty, rank: w.nextRank()}
	case sp.InArena:
		w.at[u] = footing{kind: sp.InArena, rank: w.nextRank()}
	}
	return bad, broken
}

func (w *world) nextRank() int {
	top := 0
	for _, t := range w.at {
		top = max(top, t.rank)
	}
	return top + 1
}

// leaveLane judges how a unit gets out of its lane.
func (w *world) leaveLane(m sp.Move, t footing, bad []breach) ([]breach, bool) {
	u, v := m.Unit, w.vehicle(m.Unit)
	lane := w.lane(t.id)
	_, out := ends(lane.Kind)
	end := endOf(m.From, out)
	broken := false
	if !w.starts(m, t, lane) {
		bad = append(bad, breach{rule: sp.RuleStart, move: m.ID, unit: u})
	}
	if len(w.between(u, end)) > 0 {
		bad = append(bad, breach{rule: sp.RuleBlocked, move: m.ID, unit: u})
		broken = true
	}
	backwards := t.noseIn == (end == sp.Mouth) // it faces the other end
	if m.To.Kind != sp.InLane && m.Reverse != backwards && !m.ByHand {
		bad = append(bad, breach{rule: sp.RuleFacing, move: m.ID, unit: u})
	}
	if backwards && (m.Reverse || m.To.Kind == sp.InLane) && !m.ByHand && !mayReverse(v, reachOf(t, lane, end)) {
		bad = append(bad, breach{rule: sp.RuleReverse, move: m.ID, unit: u})
	}
	return bad, broken
}

// starts reports whether the engine can be started where the unit stands, or
// the unit be pushed.
func (w *world) starts(m sp.Move, t footing, lane sp.Lane) bool {
	v := w.vehicle(m.Unit)
	nose, ahead, facing := t.near, w.between(m.Unit, sp.Mouth), lane.Mouth
	if t.noseIn {
		nose, ahead, facing = t.far, w.between(m.Unit, sp.Tail), lane.Tail
	}
	if m.ByHand {
		return v.HandPeople > 0
	}
	switch v.Start {
	case sp.StartSlave:
		return len(ahead) == 0 || lane.Beside
	case sp.StartTow:
		if len(ahead) > 0 {
			o := w.at[ahead[0]]
			return max(o.near-nose, nose-o.far) >= int(v.StartClear)
		}
		clear := nose
		if t.noseIn {
			clear = int(lane.Length) - nose
		}
		for _, s := range w.show.Park.Stretches {
			if s.ID == facing {
				clear += int(s.Depth)
			}
		}
		return clear >= int(v.StartClear)
	}
	return true
}

// reachOf is how far a place goes into the lane, counted from the end used.
func reachOf(t footing, lane sp.Lane, end sp.End) int {
	if end == sp.Tail {
		return int(lane.Length) - t.near
	}
	return t.far
}

func mayReverse(v *sp.Vehicle, far int) bool {
	switch v.Reverse {
	case sp.ReverseNever:
		return false
	case sp.ReverseShort:
		return far <= int(v.ReverseLimit)
	}
	return true
}

// enterLane judges how a unit gets into a lane, and puts it there.
func (w *world) enterLane(m sp.Move, bad []breach, broken bool) ([]breach, bool) {
	u, v := m.Unit, w.vehicle(m.Unit)
	say := func(r sp.Rule) { bad = append(bad, breach{rule: r, move: m.ID, unit: u}) }
	lane := w.lane(m.To.ID)
	in, _ := ends(lane.Kind)
	end := endOf(m.To, in)
	facesMouth := end == sp.Mouth && m.Reverse || end == sp.Tail && !m.Reverse
	if !m.ByHand && (lane.In == sp.InReversed && !m.Reverse || lane.In == sp.InNose && m.Reverse) {
		say(sp.RuleFacing)
	}
	if !w.fits(u, lane, m.Start, m.Ends()) {
		say(sp.RuleFit)
	}
	if v.Home.Binding == sp.Fixed && v.Home.Lane != lane.ID {
		say(sp.RuleHome)
	}
	near, ok := w.driveIn(u, lane, end, !facesMouth)
	if !ok {
		say(sp.RuleOverfull)
		broken = true
	}
	t := footing{kind: sp.InLane, id: m.To.ID, near: near, far: near + int(v.Length), noseIn: !facesMouth}
	w.at[u] = t
	if ok && m.Reverse && !m.ByHand && !mayReverse(v, reachOf(t, lane, end)) {
		say(sp.RuleReverse)
	}
	return bad, broken
}

// closeUp slides a unit towards the mouth as far as it goes.
func (w *world) closeUp(m sp.Move, t footing, bad []breach) ([]breach, bool) {
	u := m.Unit
	w.at[u] = t
	lane := w.lane(t.id)
	if lane.Kind == sp.DeadEnd {
		bad = append(bad, breach{rule: sp.RuleMove, move: m.ID, unit: u})
	}
	if m.Reverse != t.noseIn && !m.ByHand {
		bad = append(bad, breach{rule: sp.RuleFacing, move: m.ID, unit: u})
	}
	if !w.starts(m, t, lane) {
		bad = append(bad, breach{rule: sp.RuleStart, move: m.ID, unit: u})
	}
	near := slide(w.body(u, t.near, t.noseIn), lane, w.others(u, lane), -1).near
	if v := w.vehicle(u); t.noseIn && m.Reverse && !m.ByHand && !mayReverse(v, t.near-near) {
		bad = append(bad, breach{rule: sp.RuleReverse, move: m.ID, unit: u})
	}
	t.far -= t.near - near
	t.near = near
	w.at[u] = t
	return bad, false
}

// place is the number of the entry a unit serves in a serial: the one it was
// pulled out for, else its own, else the first it is a reserve for; -1 when it
// has none.
func (w *world) place(s sp.Serial, u sp.UnitID) int {
	own, reserve := -1, -1
	for i, e := range s.Entries {
		may := slices.Contains(e.Reserves, u)
		if e.ID == w.serves[u] && (e.Unit == u || may) {
			return i
		}
		if e.Unit == u && own < 0 {
			own = i
		}
		if may && reserve < 0 {
			reserve = i
		}
	}
	if own >= 0 {
		return own
	}
	return reserve
}

// joinLine puts a unit on a line: at its tail, or on a free line among those
// of its own serial, in the serial's order, but behind everybody else.
func (w *world) joinLine(u sp.UnitID, line sp.Line, s sp.Serial) {
	mates := w.those(sp.InLine, string(line.ID))
	at := len(mates)
	if line.Out != sp.OutStrict {
		for at > 0 && w.place(s, mates[at-1]) > w.place(s, u) {
			at--
		}
	}
	mates = slices.Insert(mates, at, u)
	for i, o := range mates {
		w.at[o] = footing{kind: sp.InLine, id: string(line.ID), rank: i}
	}
}

// overtaken reports whether a later entry of the same serial is already on
// the strict line.
func (w *world) overtaken(u sp.UnitID, line string, s sp.Serial) bool {
	for _, o := range w.those(sp.InLine, line) {
		if o != u && w.place(s, o) > w.place(s, u) {
			return true
		}
	}
	return false
}

// fouled reports whether a vehicle on a line stands before a mouth that the
// move goes through.
func (w *world) fouled(m sp.Move) bool {
	mouths := []string{}
	for i, p := range []sp.Pos{m.From, m.To} {
		if p.Kind != sp.InLane || m.Kind == sp.MoveCloseUp {
			continue
		}
		in, out := ends(w.lane(p.ID).Kind)
		if possible := [][]sp.End{out, in}[i]; endOf(p, possible) == sp.Mouth {
			mouths = append(mouths, p.ID)
		}
	}
	for _, line := range w.show.Park.Lines {
		mates := w.those(sp.InLine, string(line.ID))
		for i, o := range mates {
			back := w.used(mates[:i+1], line.Gap)
			front := back - int(w.vehicle(o).Length)
			for _, f := range line.Fouls {
				for _, l := range f.Lanes {
					if o != m.Unit && slices.Contains(mouths, string(l)) && front < int(f.To) && back > int(f.From) {
						return true
					}
				}
			}
		}
	}
	return false
}

// playColumn moves a whole serial between its line and the arena.
func (w *world) playColumn(m sp.Move) (bad []breach, broken bool) {
	s := w.serial(m.Serial)
	for _, u := range m.Units {
		t, ok := w.at[u]
		if !ok || t.kind != m.From.Kind || t.kind == sp.InLine && t.id != m.From.ID {
			r := sp.RuleNotThere
			if m.Kind == sp.MoveOut {
				r = sp.RuleLate // not on its line when the column leaves
			}
			bad, broken = append(bad, breach{rule: r, move: m.ID, unit: u}), true
		}
	}
	if broken {
		return bad, true
	}
	if m.Kind == sp.MoveOut {
		line := w.line(m.From.ID)
		mates := w.those(sp.InLine, m.From.ID)
		if line.Out == sp.OutStrict {
			var own []sp.UnitID
			for i, o := range mates {
				if !slices.Contains(m.Units, o) {
					continue
				}
				own = append(own, o)
				if len(own) != i+1 { // somebody else ahead of or among them
					bad = append(bad, breach{rule: sp.RuleLineOrder, move: m.ID, unit: m.Units[0]})
				}
			}
			bad = append(bad, outOfOrder(m.ID, own, func(u sp.UnitID) int { return slices.Index(m.Units, u) })...)
		}
		bad = append(bad, outOfOrder(m.ID, m.Units, func(u sp.UnitID) int { return w.place(s, u) })...)
		bad = append(bad, w.strangers(m, s)...)
		for _, u := range m.Units {
			w.at[u] = footing{kind: sp.InArena, rank: w.nextRank()}
		}
		return bad, false
	}
	leaving := func(u sp.UnitID) int {
		if len(s.Leaving) == 0 {
			return w.place(s, u)
		}
		return slices.Index(s.Leaving, s.Entries[w.place(s, u)].ID)
	}
	if bad := w.strangers(m, s); len(bad) > 0 {
		return bad, true
	}
	bad = append(bad, outOfOrder(m.ID, m.Units, leaving)...)
	line := w.line(m.To.ID)
	for _, u := range m.Units {
		w.at[u] = footing{kind: sp.InLine, id: m.To.ID, rank: w.nextRank()}
		if line.Length > 0 && w.used(w.those(sp.InLine, m.To.ID), line.Gap) > int(line.Length) {
			bad = append(bad, breach{rule: sp.RuleLineFull, move: m.ID, unit: u})
		}
	}
	return bad, false
}

// strangers names those of a column who have no entry in its serial.
func (w *world) strangers(m sp.Move, s sp.Serial) (bad []breach) {
	for _, u := range m.Units {
		if w.place(s, u) < 0 {
			bad = append(bad, breach{rule: sp.RuleWrongUnit, move: m.ID, unit: u})
		}
	}
	return bad
}

// outOfOrder names those who stand or are listed behind one they go before.
func outOfOrder(move sp.MoveID, units []sp.UnitID, key func(sp.UnitID) int) (bad []breach) {
	for i, u := range units {
		if slices.ContainsFunc(units[:i], func(o sp.UnitID) bool { return key(u) < key(o) }) {
			bad = append(bad, breach{rule: sp.RuleLineOrder, move: move, unit: u})
		}
	}
	return bad
}
