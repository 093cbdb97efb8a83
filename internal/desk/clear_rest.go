package desk

import (
	"slices"

	"sallyport"
)

// Held is a planned move that waits for others.
type Held struct {
	Move  sallyport.MoveID   `json:"move"`
	Unit  sallyport.UnitID   `json:"unit"`
	Kind  sallyport.MoveKind `json:"kind"`
	From  sallyport.Instant  `json:"planned"`
	Until sallyport.Instant  `json:"until"`
}

// judge plays moves that are put into the day, and the rest of the day as far
// as it can still be made. It returns the new faults of these moves, the new
// ones of the rest, the planned moves that wait, and the state after the
// moves.
func (d *clearDay) judge(moves []sallyport.Move) (own, then []sallyport.Fault, held []Held, after sallyport.State) {
	own, then, held = []sallyport.Fault{}, []sallyport.Fault{}, []Held{}
	put := map[sallyport.MoveID]bool{}
	for _, m := range moves {
		put[m.ID] = true
	}
	all, after := d.merged(moves)
	said := map[string]bool{}
	for _, f := range sallyport.PlayFaults(d.ix, d.state, all) {
		again := said[f.Sentence]
		said[f.Sentence] = true
		switch {
		case again: // of both ends of one move
		case put[f.Move] && f.Rule == sallyport.RuleWindow:
			// The time for leaving for good says nothing about being let out now.
		case put[f.Move]:
			own = append(own, f)
		case !d.known[breachOf(f)]:
			then = append(then, f)
		}
	}
	planned := map[sallyport.MoveID]sallyport.Instant{}
	for _, m := range d.rest {
		planned[m.ID] = m.Start
	}
	for _, m := range all {
		if at, ok := planned[m.ID]; ok && at != m.Start {
			held = append(held, Held{m.ID, m.Unit, m.Kind, at, m.Start})
		}
	}
	return own, then, held, after
}

// held returns when a planned move starts that gives way to moves: it does
// not go into one of their lanes before they are done with it, nor through
// their frontage while one of the two reverses.
func (d *clearDay) held(m sallyport.Move, start sallyport.Instant, moves []sallyport.Move) sallyport.Instant {
	into := func(at sallyport.Pos) bool {
		return m.To.Kind == sallyport.InLane && m.To.Kind == at.Kind && m.To.ID == at.ID
	}
	for again := true; again; {
		again = false
		for _, x := range moves {
			end := start + sallyport.Instant(m.Takes)
			meet := d.meet(m.From, x.From) || d.meet(m.From, x.To) || d.meet(m.To, x.From) || d.meet(m.To, x.To)
			overlap := x.Start < end && start < x.Ends()
			switch {
			case (into(x.From) || into(x.To)) && start < x.Ends(), meet && overlap && (x.Reverse || m.Reverse):
				start, again = x.Ends(), true
			}
		}
	}
	return start
}

// merged returns moves and the rest of the day in order of time. A planned
// move starts from where its unit is by then, not before it is there, and
// gives way to moves;
// those are left out that have lost their sense: of units that are gone, the
// pull-out of one that is let out for it, moving aside one that is aside.
// after is what stands where after the last of moves.
func (d *clearDay) merged(moves []sallyport.Move) (list []sallyport.Move, after sallyport.State) {
	put, off := map[sallyport.MoveID]bool{}, map[sallyport.UnitID]bool{}
	free := map[sallyport.UnitID]sallyport.Instant{}
	out := map[sallyport.UnitID]sallyport.SerialID{}
	for _, m := range moves {
		put[m.ID] = true
		off[m.Unit] = off[m.Unit] || gone(&m)
		free[m.Unit] = m.Ends()
		if m.Kind == sallyport.MovePullOut {
			out[m.Unit] = m.Serial
		}
	}
	all := slices.Clone(moves)
	first := slices.Clone(moves)                         // that others give way to: those that wait, too
	behind := map[sallyport.SerialID]sallyport.Instant{} // how late the last is to leave its line in order
	for _, m := range d.rest {
		if m.Kind == sallyport.MovePullOut && out[m.Unit] == m.Serial {
			continue
		}
		if len(m.Units) == 0 {
			planned := m.Start
			line := d.ix.Line(sallyport.LineID(m.From.ID))
			inOrder := m.From.Kind == sallyport.InLine && line != nil && line.Home == sallyport.HomeInOrder
			if inOrder {
				m.Start += behind[m.Serial]
			}
			m.Start = d.held(m, max(m.Start, free[m.Unit]), first)
			if m.Start > planned {
				free[m.Unit] = m.Ends()
				first = append(first, m)
			}
			if inOrder {
				behind[m.Serial] = m.Start - planned
			}
		}
		all = append(all, m)
	}
	slices.SortStableFunc(all, func(a, b sallyport.Move) int { return int(a.Start - b.Start) })
	p := sallyport.NewPlayer(d.ix, d.state)
	last := moves[len(moves)-1].ID
	for _, m := range all {
		if !put[m.ID] {
			var ok bool
			if m, ok = d.adapt(m, p, off); !ok {
				continue
			}
		}
		p.Do(&m)
		list = append(list, m)
		if m.ID == last {
			after = p.State()
		}
	}
	return list, after
}

// adapt returns a planned move as it can be made from a state, and whether it
// still has a sense.
func (d *clearDay) adapt(m sallyport.Move, p *sallyport.Player, off map[sallyport.UnitID]bool) (sallyport.Move, bool) {
	if len(m.Units) > 0 {
		m.Units = slices.DeleteFunc(slices.Clone(m.Units), func(u sallyport.UnitID) bool { return off[u] })
		return m, len(m.Units) > 0
	}
	at := p.Where(m.Unit)
	lane := m.From.Kind == sallyport.InLane
	switch {
	case off[m.Unit]:
		return m, false
	case (m.Kind == sallyport.MoveAside || m.Kind == sallyport.MoveCloseUp) && lane && (at.Kind != m.From.Kind || at.ID != m.From.ID):
		return m, false
	case m.Kind == sallyport.MoveBack && at.Kind == sallyport.InLane:
		return m, false
	case (lane || m.From.Kind == sallyport.InSpot) && (at.Kind == sallyport.InLane || at.Kind == sallyport.InSpot) && (at.Kind != m.From.Kind || at.ID != m.From.ID):
		m.From = at
	}
	if m.From.Kind == sallyport.InLane && m.To.Kind != sallyport.InLane && at.Kind == sallyport.InLane {
		m = d.facing(m, p)
	}
	return m, true
}

// facing sets how a unit drives out of its lane, as it stands now: in an open
// lane by the planned end, or by the one with fewer before it.
func (d *clearDay) facing(m sallyport.Move, p *sallyport.Player) sallyport.Move {
	if d.ix.Lane(sallyport.LaneID(m.From.ID)).Kind == sallyport.Open && m.From.End == "" {
		m.From.End = sallyport.Mouth
		if len(p.InTheWay(m.Unit, sallyport.Tail)) < len(p.InTheWay(m.Unit, sallyport.Mouth)) {
			m.From.End = sallyport.Tail
		}
	}
	_, m.Reverse = p.Exit(m.Unit, m.From.End)
	return m
}

// staying returns those moves back into lanes whose unit is not due elsewhere
// before they are over; they follow each other from start on.
func (d *clearDay) staying(back []sallyport.Move, start sallyport.Instant) []sallyport.Move {
	list := []sallyport.Move{}
	for _, m := range back {
		m.Start = start
		due := slices.ContainsFunc(d.rest, func(x sallyport.Move) bool {
			return x.Unit == m.Unit && x.Start < m.Ends() && x.From.Kind == sallyport.InLane && x.To.Kind != sallyport.InLane && x.Kind != sallyport.MoveAside
		})
		if !due {
			list = append(list, m)
			start = m.Ends()
		}
	}
	return list
}

// mostTries is how many moments are tried for putting back.
const mostTries = 30

// putBack returns moves back, begun at the first moment from start on at which
// nothing goes wrong through them and no planned move has to wait for them;
// at start when there is none.
// faults and waits are how much goes wrong and how long is waited without
// them.
func (d *clearDay) putBack(moves, back []sallyport.Move, start sallyport.Instant, faults int, waits sallyport.Instant) []sallyport.Move {
	starts := []sallyport.Instant{start}
	for _, m := range d.rest {
		if t := m.Ends(); t > start && len(m.Units) == 0 {
			starts = append(starts, t)
		}
	}
	slices.Sort(starts)
	starts = slices.Compact(starts)
	for _, t := range starts[:min(len(starts), mostTries)] {
		list := d.staying(back, t)
		if len(list) == 0 {
			break // all are pulled out from where they wait
		}
		if own, then, wait, _ := d.judge(append(slices.Clone(moves), list...)); len(own) == 0 && len(then) <= faults && waited(wait) <= waits {
			return list
		}
	}
	return d.staying(back, start)
}

// waited returns how long planned moves have to wait, all together.
func waited(held []Held) sallyport.Instant {
	var sum sallyport.Instant
	for _, h := range held {
		sum += h.Until - h.From
	}
	return sum
}

// remaining returns those units that no planned move takes away that day.
func (d *clearDay) remaining(units []sallyport.UnitID) []sallyport.UnitID {
	list := []sallyport.UnitID{}
	for _, u := range units {
		if !slices.ContainsFunc(d.rest, func(m sallyport.Move) bool {
			return m.Unit == u && m.From.Kind == sallyport.InLane && m.To.Kind != sallyport.InLane
		}) {
			list = append(list, u)
		}
	}
	return list
}
