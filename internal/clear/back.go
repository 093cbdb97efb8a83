package clear

import (
	"fmt"
	"slices"

	sp "sallyport"
)

// Back returns the moves that put back into their lanes, from start on, those
// who were moved out of them and are not due, so that they stand as before:
// in a dead end the deepest first, in a through lane who stood nearest the
// mouth. left are those who cannot be put back so, among them all who were
// towed: nobody is towed backwards into a lane.
func (l *Lot) Back(moves []sp.Move, start sp.Instant) (list []sp.Move, left []sp.UnitID) {
	p := sp.NewPlayer(l.ix, *l.state)
	at := map[sp.UnitID]sp.Pos{}
	var away []sp.UnitID // the last moved first
	for i := range moves {
		m := &moves[i]
		p.Do(m)
		away = slices.DeleteFunc(away, func(u sp.UnitID) bool { return u == m.Unit })
		n := l.numbers[m.Unit]
		home := m.To.Kind == sp.InLane && m.To.ID == string(l.start[n])
		if at[m.Unit] = m.To; !home && l.start[n] != "" && !slices.Contains(l.ask.Due, m.Unit) {
			away = slices.Insert(away, 0, m.Unit)
		}
	}
	for again := true; again; {
		again = false
		for _, u := range away {
			if l.means[l.numbers[u]].tow || l.waitsFor(u, away) {
				continue
			}
			m := l.home(u, at[u], moves, start)
			m.ID = sp.MoveID(fmt.Sprintf("back-%d", len(list)+1))
			if bad := p.Try(&m, stands); len(bad) > 0 {
				continue
			}
			list, start = append(list, m), m.Ends()
			away = slices.DeleteFunc(away, func(v sp.UnitID) bool { return v == u })
			again = true
			break
		}
	}
	return list, away
}

// stands reports whether a fault is about who may stand where; times are
// judged with the whole day.
func stands(f sp.Fault) bool {
	switch f.Rule {
	case sp.RuleBlocked, sp.RuleOverfull, sp.RuleFit, sp.RuleNotThere, sp.RuleReverse, sp.RuleFacing, sp.RuleStart, sp.RuleStandby, sp.RuleAside, sp.RuleHome:
		return true
	}
	return false
}

// waitsFor reports whether another of those away goes into a unit's lane
// before it, to stand as before.
func (l *Lot) waitsFor(u sp.UnitID, away []sp.UnitID) bool {
	lane := l.start[l.numbers[u]]
	list := l.state.Lanes[lane]
	i := slices.IndexFunc(list, func(s sp.Standing) bool { return s.Unit == u })
	before := list[i+1:] // who stood deeper
	if l.ix.Lane(lane).Kind == sp.Through {
		before = list[:i]
	}
	return slices.ContainsFunc(before, func(s sp.Standing) bool { return slices.Contains(away, s.Unit) })
}

// home returns the move of a unit back into its lane.
func (l *Lot) home(u sp.UnitID, from sp.Pos, moves []sp.Move, start sp.Instant) sp.Move {
	i := l.numbers[u]
	lane := l.ix.Lane(l.start[i])
	first := moves[slices.IndexFunc(moves, func(m sp.Move) bool { return m.Unit == u })]
	m := sp.Move{Kind: sp.MoveBack, Unit: u, From: from, To: sp.AtLane(lane.ID, endOf(lane, first.From.End)), ByHand: l.means[i].byHand, Marshals: 1, Start: start}
	if from.Kind == sp.InLane {
		m.Kind = sp.MoveShift
	}
	m.Reverse = l.asItStood(i, lane, m.To.End)
	m.Takes = l.ix.Pace(m.Kind, l.units[i].Gear)
	return m
}

// asItStood reports whether a unit goes back into its lane in reverse, to face
// as it did before where the lane leaves the choice.
func (l *Lot) asItStood(i int, lane *sp.Lane, end sp.End) bool {
	switch lane.In {
	case sp.InReversed:
		return true
	case sp.InNose:
		return false
	}
	for _, s := range l.state.Lanes[lane.ID] {
		if s.Unit == l.units[i].ID {
			return s.NoseIn == (lane.Kind == sp.Through || end == sp.Tail)
		}
	}
	return true
}
