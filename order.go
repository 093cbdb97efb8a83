package sallyport

import (
	"fmt"
	"maps"
	"slices"
)

// orderAlone plays the plan by its after links only and reports whatever
// breaks when moves change places: for every move, when all that it does not
// wait for is late; and when it alone is late until the next move at one of
// its places that does not wait for it. Other delays of several moves at once
// are not looked for.
func orderAlone(ix *Index, start State, moves []Move) []Fault {
	l := linksOf(moves)
	var faults []Fault
	add := func(found []Fault, format string, m *Move) {
		for _, f := range found {
			if slices.ContainsFunc(faults, func(g Fault) bool { return g.Rule == f.Rule && g.Move == f.Move }) {
				continue
			}
			f.Sentence = fmt.Sprintf(format, moveName(ix, m), f.Sentence)
			faults = append(faults, f)
		}
	}
	for j := range moves {
		if l.loose[j] {
			add(swapped(ix, start, moves, l.early(j)), "if the %s goes at once and others are late: %s", &moves[j])
		}
		if next := l.overtaker[j]; next > 0 {
			add(swapped(ix, start, moves, l.late(j, next)), "if the %s is late and others are not: %s", &moves[j])
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

// early is the order of the moves up to j in which j comes right after the
// moves it waits for, and then the others.
func (l links) early(j int) []int {
	before := l.ancestors(j)
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
	return order
}

// late is the order of the moves up to next in which k, and whatever waits for
// it, comes after next.
func (l links) late(k, next int) []int {
	held := map[int]bool{k: true}
	order := make([]int, 0, next+1)
	for i := range next + 1 {
		if i > k && slices.ContainsFunc(l.waits[i], func(w int) bool { return held[w] }) {
			held[i] = true
		}
		if !held[i] {
			order = append(order, i)
		}
	}
	for i := k; i <= next; i++ {
		if held[i] {
			order = append(order, i)
		}
	}
	return order
}

// swapped plays the first moves in another order, then the rest in the plan's,
// and returns the faults that the plan's own order does not have. It stops
// when everything stands where it would have stood.
func swapped(ix *Index, start State, moves []Move, order []int) []Fault {
	base, other := NewPlayer(ix, start), NewPlayer(ix, start)
	base.structure, other.structure = true, true
	for i := range order {
		base.Do(&moves[i])
		other.Do(&moves[order[i]])
	}
	for i := len(order); i < len(moves) && !other.standsLike(base); i++ {
		base.Do(&moves[i])
		other.Do(&moves[i])
	}
	return slices.DeleteFunc(other.faults, func(f Fault) bool {
		return slices.ContainsFunc(base.faults, func(g Fault) bool { return g.Rule == f.Rule && g.Move == f.Move })
	})
}

// standsLike reports whether everything stands where it does in o.
func (p *Player) standsLike(o *Player) bool {
	return maps.EqualFunc(p.lanes, o.lanes, slices.Equal) &&
		maps.EqualFunc(p.lines, o.lines, slices.Equal) &&
		maps.Equal(p.where, o.where)
}

// links holds, for each move by number in the list, what it waits for by the
// plan's links and as its own unit's next move; whether it could overtake an
// earlier move at one of its places; and the first that could overtake it
// there, 0 when none can.
type links struct {
	waits     [][]int
	loose     []bool
	overtaker []int
}

// linksOf reads the after links of a plan. A unit's next move always waits
// for its last one, and a column for its units.
func linksOf(moves []Move) links {
	l := links{waits: make([][]int, len(moves)), loose: make([]bool, len(moves)), overtaker: make([]int, len(moves))}
	byID := map[MoveID]int{}
	ofUnit := map[UnitID]int{}
	at := map[Pos][]visit{}
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
			free := l.free(i, at[pos])
			at[pos] = append(at[pos], visit{i, len(free) == 0})
			l.loose[i] = l.loose[i] || len(free) > 0
			for _, k := range free {
				if l.overtaker[k] == 0 {
					l.overtaker[k] = i
				}
			}
		}
		if m.From.Kind == InLine {
			fromLine[m.From.ID] = append(fromLine[m.From.ID], i)
		}
		byID[m.ID] = i
	}
	return l
}

// visit is a move at a place; gate when it waits for all before it there.
type visit struct {
	move int
	gate bool
}

// free returns those of the earlier moves at a place that j does not wait
// for, one way or another.
func (l links) free(j int, earlier []visit) []int {
	var free []int
	var before map[int]bool
	for _, v := range slices.Backward(earlier) {
		if v.move == j {
			continue
		}
		waits := slices.Contains(l.waits[j], v.move)
		if !waits {
			if before == nil {
				before = l.ancestors(j)
			}
			waits = before[v.move]
		}
		if waits && v.gate {
			break
		}
		if !waits {
			free = append(free, v.move)
		}
	}
	return free
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
