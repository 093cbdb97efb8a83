package sallyport

import (
	"fmt"
	"maps"
	"slices"
)

// orderAlone plays the plan by its after links only: for every move it asks
// what happens when all that the move does not wait for is late, and reports
// whatever breaks. Delays that need three moves to change places are not
// looked for.
func orderAlone(ix *Index, start State, moves []Move) []Fault {
	l := linksOf(moves)
	var faults []Fault
	for j := range moves {
		if !l.loose(j) {
			continue
		}
		for _, f := range early(ix, start, moves, j, l.ancestors(j)) {
			if slices.ContainsFunc(faults, func(g Fault) bool { return g.Rule == f.Rule && g.Move == f.Move }) {
				continue
			}
			f.Sentence = fmt.Sprintf("if the %s goes at once and others are late: %s", moveName(ix, &moves[j]), f.Sentence)
			faults = append(faults, f)
		}
	}
	return faults
}

func moveName(ix *Index, m *Move) string {
	if m.Unit == "" {
		return string(m.Kind) + " of " + ix.SerialName(m.Serial)
	}
	return string(m.Kind) + " of " + ix.UnitName(m.Unit)
}

// early plays move j right after the moves it waits for, then the others in
// the plan's order, and returns the faults that the plan's own order does not
// have. It stops when everything stands where it would have stood.
func early(ix *Index, start State, moves []Move, j int, before map[int]bool) []Fault {
	order := make([]int, 0, j+1)
	for i := range j {
		if before[i] {
			order = append(order, i)
		}
	}
	order = append(order, j)
	for i := range j {
		if !before[i] {
			order = append(order, i)
		}
	}
	base, swapped := NewPlayer(ix, start), NewPlayer(ix, start)
	base.structure, swapped.structure = true, true
	for i := range order {
		base.Do(&moves[i])
		swapped.Do(&moves[order[i]])
	}
	for i := j + 1; i < len(moves) && !swapped.standsLike(base); i++ {
		base.Do(&moves[i])
		swapped.Do(&moves[i])
	}
	return slices.DeleteFunc(swapped.faults, func(f Fault) bool {
		return slices.ContainsFunc(base.faults, func(g Fault) bool { return g.Rule == f.Rule && g.Move == f.Move })
	})
}

// standsLike reports whether everything stands where it does in o.
func (p *Player) standsLike(o *Player) bool {
	return maps.EqualFunc(p.lanes, o.lanes, slices.Equal) &&
		maps.EqualFunc(p.lines, o.lines, slices.Equal) &&
		maps.Equal(p.where, o.where)
}

// links holds what each move waits for, by number in the list.
type links struct {
	waits [][]int // by the plan's links and the unit's own last move
	last  [][]int // the last move before it at each place it touches
}

// linksOf reads the after links of a plan. A unit's next move always waits
// for its last one, and a column for its units.
func linksOf(moves []Move) links {
	l := links{waits: make([][]int, len(moves)), last: make([][]int, len(moves))}
	byID := map[MoveID]int{}
	ofUnit := map[UnitID]int{}
	at := map[Pos]int{}
	fromLine := map[string][]int{}
	for i := range moves {
		m := &moves[i]
		for _, w := range m.After {
			if k, ok := byID[w.Move]; ok && w.Move != "" {
				l.waits[i] = append(l.waits[i], k)
			}
			if w.Line != "" {
				l.waits[i] = append(l.waits[i], fromLine[string(w.Line)]...)
			}
		}
		units := m.Units
		if m.Unit != "" {
			units = []UnitID{m.Unit}
		}
		for _, u := range units {
			if k, ok := ofUnit[u]; ok {
				l.waits[i] = append(l.waits[i], k)
			}
			ofUnit[u] = i
		}
		for _, pos := range []Pos{m.From, m.To} {
			if pos.Kind != InLane && pos.Kind != InLine && pos.Kind != InSpot {
				continue
			}
			pos.End = ""
			if k, ok := at[pos]; ok && k != i {
				l.last[i] = append(l.last[i], k)
			}
			at[pos] = i
		}
		if m.From.Kind == InLine {
			fromLine[m.From.ID] = append(fromLine[m.From.ID], i)
		}
		byID[m.ID] = i
	}
	return l
}

// loose reports whether some earlier move at one of its places could be
// overtaken by move j. When each move waits for the one before it at each of
// its places, nothing can.
func (l links) loose(j int) bool {
	var before map[int]bool
	for _, k := range l.last[j] {
		if slices.Contains(l.waits[j], k) {
			continue
		}
		if before == nil {
			before = l.ancestors(j)
		}
		if !before[k] {
			return true
		}
	}
	return false
}

// ancestors returns all moves that must be over before j starts.
func (l links) ancestors(j int) map[int]bool {
	before := map[int]bool{}
	todo := slices.Clone(l.waits[j])
	for len(todo) > 0 {
		k := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if !before[k] {
			before[k] = true
			todo = append(todo, l.waits[k]...)
		}
	}
	return before
}
