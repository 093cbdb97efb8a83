package rehearse_test

import (
	"maps"
	"slices"
	"testing"

	sp "sallyport"
	"sallyport/internal/rehearse"
)

// naive plays the rest of a day after a failure in the plainest way: each move
// by itself by sallyport.Play from the state before it, kept only when it
// breaks no rule of who stands where. It knows free lines without limit only.
type naive struct {
	show   *sp.Show
	state  sp.State
	failed sp.UnitID
	lost   []sp.EntryID
	shut   map[sp.UnitID]bool // could not leave its lane
	aside  map[sp.UnitID]bool // found no room in its lane
	stuck  []sp.Move
}

// structural are the rules about who stands where.
var structural = map[sp.Rule]bool{
	sp.RuleMove: true, sp.RuleBlocked: true, sp.RuleOverfull: true, sp.RuleFit: true, sp.RuleNotThere: true, sp.RuleReverse: true,
	sp.RuleFacing: true, sp.RuleStart: true, sp.RuleOffRoad: true, sp.RuleAside: true, sp.RuleWrongUnit: true,
}

// try plays one move if it can be.
func (n *naive) try(m sp.Move) bool {
	states, faults := sp.Play(n.show, n.state, []sp.Move{m})
	if slices.ContainsFunc(faults, func(f sp.Fault) bool { return structural[f.Rule] }) {
		return false
	}
	n.state = states[0]
	return true
}

// find returns where a unit is, and how it stands in a lane.
func (n *naive) find(u sp.UnitID) (sp.Pos, bool) {
	for _, id := range slices.Sorted(maps.Keys(n.state.Lanes)) {
		for _, s := range n.state.Lanes[id] {
			if s.Unit == u {
				return sp.AtLane(id, ""), s.NoseIn
			}
		}
	}
	for _, id := range slices.Sorted(maps.Keys(n.state.Lines)) {
		if slices.Contains(n.state.Lines[id], u) {
			return sp.AtLine(id), false
		}
	}
	for _, id := range slices.Sorted(maps.Keys(n.state.Spots)) {
		if slices.Contains(n.state.Spots[id], u) {
			return sp.AtSpot(id), false
		}
	}
	if slices.Contains(n.state.Arena, u) {
		return sp.Pos{Kind: sp.InArena}, false
	}
	return sp.Pos{Kind: sp.InAway}, false
}

func (n *naive) play(moves []sp.Move) {
	for _, m := range moves {
		if m.Kind == sp.MoveOut || m.Kind == sp.MoveHome {
			n.column(m)
			continue
		}
		if m.Unit == n.failed {
			continue
		}
		at, noseIn := n.find(m.Unit)
		switch m.Kind {
		case sp.MovePullOut:
			switch at.Kind {
			case sp.InLine:
				m.Kind = sp.MoveAcross
			case sp.InLane:
				m.Reverse = noseIn
			case sp.InSpot:
				m.Reverse = false
			default:
				continue
			}
			m.From = at
			switch done := n.try(m); {
			case done && at.Kind == sp.InLine:
				n.again()
			case !done && at.Kind == sp.InLane:
				n.shut[m.Unit] = true
			}
		case sp.MoveReturn:
			if at.Kind != sp.InLine {
				continue
			}
			if n.try(m) {
				n.again()
			} else {
				n.strand(m)
			}
		case sp.MoveAside:
			if at.Kind == sp.InLane {
				m.From, m.Reverse = at, noseIn && !m.ByHand
				if !n.try(m) {
					n.shut[m.Unit] = true
				}
			}
		case sp.MoveBack:
			if at.Kind == sp.InSpot {
				m.From = at
				if !n.try(m) {
					n.aside[m.Unit] = true
				}
			}
		}
	}
}

// strand puts a unit that finds no room in its lane aside.
func (n *naive) strand(m sp.Move) {
	n.aside[m.Unit] = true
	for _, s := range n.show.Park.Spots {
		if s.Use != sp.SpotAside {
			continue
		}
		aside := m
		aside.To, aside.Reverse = sp.AtSpot(s.ID), false
		if n.try(aside) {
			return
		}
	}
	n.stuck = append(n.stuck, m)
}

// again tries the returns once more that found no room.
func (n *naive) again() {
	list := n.stuck
	n.stuck = nil
	for i, m := range list {
		if at, _ := n.find(m.Unit); at.Kind != sp.InLine {
			continue
		}
		if n.try(m) {
			delete(n.aside, m.Unit)
			n.stuck = append(n.stuck, list[i+1:]...)
			n.again()
			return
		}
		n.stuck = append(n.stuck, m)
	}
}

// column takes along who is there.
func (n *naive) column(m sp.Move) {
	from := sp.InLine
	if m.Kind == sp.MoveHome {
		from = sp.InArena
	}
	var units []sp.UnitID
	for _, u := range m.Units {
		if at, _ := n.find(u); at.Kind == from && u != n.failed {
			units = append(units, u)
			continue
		}
		if m.Kind == sp.MoveOut {
			for _, s := range n.show.Serials {
				for _, e := range s.Entries {
					if s.ID == m.Serial && e.Unit == u {
						n.lost = append(n.lost, e.ID)
					}
				}
			}
		}
	}
	if m.Units = units; len(units) > 0 {
		n.try(m)
	}
}

// The matrix and a naive replay lose the same entries.
func TestAgainstNaiveReplay(t *testing.T) {
	kinds := []sp.FailureKind{sp.FailInLane, sp.FailInMouth, sp.FailOnLine, sp.FailReversing}
	compared, harmful := 0, 0
	for seed := range uint64(3) {
		show, plan := planted(t, seed)
		m := matrix(t, show, plan, rehearse.Options{Only: kinds})
		start, _ := sp.StartState(show, plan)
		states, _ := sp.Play(show, start, plan.Moves)
		before := func(i int) sp.State {
			if i == 0 {
				return start
			}
			return states[i-1]
		}
		for r := range m.Rows {
			row := &m.Rows[r]
			for _, c := range row.Cells {
				i := slices.IndexFunc(plan.Moves, func(x sp.Move) bool { return x.ID == row.Move })
				switch c.Kind {
				case sp.FailOnLine:
					i += slices.IndexFunc(plan.Moves[i:], func(x sp.Move) bool { return x.Kind == sp.MoveOut && slices.Contains(x.Units, row.Unit) })
				case sp.FailReversing:
					i += slices.IndexFunc(plan.Moves[i:], func(x sp.Move) bool {
						return x.Unit == row.Unit && (x.Kind == sp.MoveReturn || x.Kind == sp.MoveBack)
					})
				}
				n := &naive{show: show, state: before(i), failed: row.Unit, shut: map[sp.UnitID]bool{}, aside: map[sp.UnitID]bool{}}
				n.state.OffRoad = []sp.UnitID{row.Unit}
				if c.Kind == sp.FailInMouth || c.Kind == sp.FailReversing {
					n.halfOut(plan.Moves[i], c.Kind)
				}
				rest := plan.Moves[i:]
				day := slices.IndexFunc(rest, func(x sp.Move) bool { return x.Start.Day() != c.At.Day() })
				if day >= 0 {
					rest = rest[:day]
				}
				n.play(rest)
				compared++
				if len(n.lost) > 1 {
					harmful++
				}
				got, want := slices.Clone(c.Lost), slices.Clone(n.lost)
				slices.Sort(got)
				slices.Sort(want)
				delete(n.shut, row.Unit)
				if !sameSet(c.ShutIn, n.shut) || !sameSet(c.Stranded, n.aside) {
					t.Fatalf("seed %d: %s fails %s at %s: shut in %v, stranded %v, the naive replay has %v and %v", seed, row.Unit, c.Kind, c.At, c.ShutIn, c.Stranded, n.shut, n.aside)
				}
				if !slices.Equal(got, want) {
					t.Fatalf("seed %d: %s fails %s at %s: lost %v, the naive replay loses %v", seed, row.Unit, c.Kind, c.At, got, want)
				}
			}
		}
	}
	if compared < 300 || harmful < 100 {
		t.Errorf("only %d failures were compared, %d of them with harm to others", compared, harmful)
	}
}

// sameSet reports whether a list holds the members of a set.
func sameSet(list []sp.UnitID, set map[sp.UnitID]bool) bool {
	if len(list) != len(set) {
		return false
	}
	return !slices.ContainsFunc(list, func(u sp.UnitID) bool { return !set[u] })
}

// halfOut puts the failed unit across the mouth of the lane of a move.
func (n *naive) halfOut(m sp.Move, kind sp.FailureKind) {
	lane := sp.LaneID(m.From.ID)
	if kind == sp.FailReversing {
		lane = sp.LaneID(m.To.ID)
	}
	own := sp.NewIndex(n.show).Unit(n.failed)
	lanes, lines, spots := maps.Clone(n.state.Lanes), maps.Clone(n.state.Lines), maps.Clone(n.state.Spots)
	for id, list := range lanes {
		lanes[id] = slices.DeleteFunc(slices.Clone(list), func(s sp.Standing) bool { return s.Unit == n.failed })
	}
	for id, list := range lines {
		lines[id] = slices.DeleteFunc(slices.Clone(list), func(u sp.UnitID) bool { return u == n.failed })
	}
	for id, list := range spots {
		spots[id] = slices.DeleteFunc(slices.Clone(list), func(u sp.UnitID) bool { return u == n.failed })
	}
	lanes[lane] = slices.Insert(lanes[lane], 0, sp.Standing{Unit: n.failed, From: -own.Length / 2})
	n.state.Lanes, n.state.Lines, n.state.Spots = lanes, lines, spots
}
