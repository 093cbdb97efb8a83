package sallyport

// over reports whether t lies before the moment from which the plan goes on.
func (p *Plan) over(t Instant) bool { return p.From != nil && t <= p.From.At }

// resume tells a player, which stands at the state that follows them, what of
// the moves made so far still counts: for which entry who is out, and since
// when who waits where.
func (p *Player) resume(past []Move) {
	for i := range past {
		m := &past[i]
		p.noteServes(m, m.Unit)
		for _, u := range m.who() {
			if _, stays := p.open[u]; !stays {
				p.since[u] = m.Ends()
			}
		}
	}
}

// StateAt returns what stands where in a plan at a moment, the moves made by
// then and those still to come. A move that has begun counts as made: its unit
// stands where the move ends and is busy until then. A plan that itself goes
// on from a later moment is taken from there. The show must be complete.
func StateAt(show *Show, plan *Plan, at Instant) (state State, past, rest []Move) {
	ix := NewIndex(show)
	state, _ = startState(ix, plan)
	at = max(at, state.At)
	n := 0
	for n < len(plan.Moves) && plan.Moves[n].Start <= at {
		n++
	}
	p := NewPlayer(ix, state)
	p.structure = true
	busy := map[UnitID]UnderWay{}
	for u, b := range state.Busy {
		busy[u] = b
	}
	for i := range plan.Moves[:n] {
		m := &plan.Moves[i]
		p.Do(m)
		for _, u := range m.who() {
			busy[u] = UnderWay{Until: m.Ends(), From: m.From}
		}
		if u := ix.Unit(m.Unit); u != nil && (m.Kind == MovePart || m.Kind == MoveCouple) {
			for _, part := range u.Parts {
				busy[part] = UnderWay{Until: m.Ends(), From: m.From}
			}
		}
	}
	state = p.State()
	state.At = at
	for u, b := range busy {
		if b.Until > at {
			if state.Busy == nil {
				state.Busy = map[UnitID]UnderWay{}
			}
			state.Busy[u] = b
		}
	}
	past = append(append([]Move(nil), plan.Past...), plan.Moves[:n]...)
	return state, past, plan.Moves[n:]
}
