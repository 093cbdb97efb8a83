package sallyport_test

import (
	"fmt"
	"testing"

	sp "sallyport"
)

// movesFromBytes makes moves out of anything: every byte picks a kind, a
// unit, a place, a moment or a flag, among them names that do not exist.
func movesFromBytes(s *sp.Show, data []byte) []sp.Move {
	next := func(n int) int {
		if len(data) == 0 {
			return 0
		}
		b := data[0]
		data = data[1:]
		return int(b) % n
	}
	kinds := []sp.MoveKind{
		sp.MoveArrive, sp.MovePullOut, sp.MoveOut, sp.MoveHome, sp.MoveReturn, sp.MoveAcross, sp.MoveAside, sp.MoveBack, sp.MoveCloseUp,
		sp.MoveReset, sp.MoveDuty, sp.MoveRelieve, sp.MoveDepart, sp.MoveCouple, sp.MovePart, sp.MoveTow, sp.MoveShift, "dance", "",
	}
	units := []sp.UnitID{"", "nobody", "egret-gun"}
	for _, v := range s.Vehicles {
		units = append(units, v.ID)
	}
	pos := func() sp.Pos {
		kind := []sp.PosKind{sp.InAway, sp.InLane, sp.InLine, sp.InArena, sp.InSpot, sp.InDuty, "moon", ""}[next(8)]
		id := []string{"A", "B", "C", "north", "verge", "copse", "", "nowhere"}[next(8)]
		return sp.Pos{Kind: kind, ID: id, End: []sp.End{"", sp.Mouth, sp.Tail, "side"}[next(4)]}
	}
	var moves []sp.Move
	for len(data) > 0 && len(moves) < 60 {
		m := sp.Move{ID: sp.MoveID(fmt.Sprintf("m%d", len(moves)/2)), Kind: kinds[next(len(kinds))], From: pos(), To: pos()}
		if next(3) == 0 {
			for range next(4) {
				m.Units = append(m.Units, units[next(len(units))])
			}
		} else {
			m.Unit = units[next(len(units))]
		}
		m.Serial = []sp.SerialID{"S", "", "no such serial"}[next(3)]
		m.Entry = []sp.EntryID{"", "S-1", "S-2", "no such entry"}[next(4)]
		m.Duty = []sp.DutyID{"fuel", "", "no such duty"}[next(3)]
		m.Window = []sp.WindowID{"evening", "", "no such window"}[next(3)]
		m.Helper = units[next(len(units))]
		flags := next(8)
		m.Reverse, m.ByHand = flags&1 > 0, flags&2 > 0
		if flags&4 > 0 {
			m.After = []sp.Wait{{Move: sp.MoveID(fmt.Sprintf("m%d", next(40)))}, {Line: "north"}, {Clear: "field"}}
		}
		m.Start = sp.At(1, 8, 0) + sp.Instant((next(256)-20)*600)
		m.Takes = sp.Seconds((next(20) - 3) * 30)
		m.Nominal = sp.Instant(next(3) * 40000)
		m.Marshals = next(4) - 1
		moves = append(moves, m)
	}
	return moves
}

// Whatever the moves say, the judge answers: one state after each move, every
// unit in one place at most, and no panic.
func FuzzPlay(f *testing.F) {
	f.Add([]byte{})
	for seed := range 64 {
		data := make([]byte, 600)
		x := uint64(seed + 1)
		for i := range data {
			x = x*6364136223846793005 + 1442695040888963407
			data[i] = byte(x >> 56)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s, p := meadow()
		withCombination(s, p)
		d, _, _ := duty("avocet", "A")
		s.Duties = []sp.Duty{d}
		start, _ := sp.StartState(s, p)
		// Mostly after the plan's own moves, so that lines and arena are in use.
		if len(data) > 0 {
			p.Moves = p.Moves[:int(data[0])%(len(p.Moves)+1)]
		}
		p.Moves = append(p.Moves, movesFromBytes(s, data)...)
		states, faults := sp.Play(s, start, p.Moves)
		if len(states) != len(p.Moves) {
			t.Fatalf("%d states after %d moves", len(states), len(p.Moves))
		}
		for _, f := range faults {
			if f.Sentence == "" || f.Rule == "" {
				t.Fatalf("fault without rule or sentence: %+v", f)
			}
		}
		for i, state := range states {
			seen := map[sp.UnitID]int{}
			for _, list := range state.Lanes {
				for _, x := range list {
					seen[x.Unit]++
				}
			}
			for _, lists := range []map[string][]sp.UnitID{plainKeys(state.Lines), plainKeys(state.Spots), {"": state.Arena}, {"": state.Duty}} {
				for _, list := range lists {
					for _, u := range list {
						seen[u]++
					}
				}
			}
			for u, n := range seen {
				if n > 1 {
					t.Fatalf("%s is in %d places after move %d, %+v", u, n, i+1, p.Moves[i])
				}
			}
		}
		sp.Check(s, p)
		sp.Evaluate(s, p)
	})
}

// plainKeys returns a map with plain keys.
func plainKeys[K ~string](m map[K][]sp.UnitID) map[string][]sp.UnitID {
	out := map[string][]sp.UnitID{}
	for k, v := range m {
		out[string(k)] = v
	}
	return out
}
