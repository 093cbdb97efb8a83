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
	l := linksOf(ix, moves)
	trials := make([][]trial, len(moves)) // by the first move that changes its place
	for j := range moves {
		if l.loose[j] {
			first := l.firstNotBefore(j)
			trials[first] = append(trials[first], trial{j, l.early})
		}
		if l.overtaker[j] > 0 {
			trials[j] = append(trials[j], trial{j, l.late})
		}
	}
	found := make([][]Fault, len(moves))
	base := NewPlayer(ix, start)
	base.structure = true
	for i := range moves {
		for _, t := range trials[i] {
			order, words := t.order(t.move)
			for _, f := range swapped(base, moves[i:], order, i) {
				f.Sentence = fmt.Sprintf(words, moveName(ix, &moves[t.move]), f.Sentence)
				found[t.move] = append(found[t.move], f)
			}
		}
		base.Do(&moves[i])
	}
	var faults []Fault
	said := map[breachOf]bool{}
	for _, list := range found {
		for _, f := range list {
			if key := (breachOf{f.Rule, f.Move}); !said[key] {
				said[key] = true
				faults = append(faults, f)
			}
		}
	}
	return faults
}

// breachOf is a rule broken by a move.
type breachOf struct {
	rule Rule
	move MoveID
}

// trial is another order to be tried because of a move.
type trial struct {
	move  int
	order func(move int) (order []int, words string)
}

func moveName(ix *Index, m *Move) string {
	if m.Unit == "" {
		return string(m.Kind) + " of " + ix.SerialName(m.Serial)
	}
	return string(m.Kind) + " of " + ix.UnitName(m.Unit)
}

// firstNotBefore returns the first move that j does not wait for.
func (l links) firstNotBefore(j int) int {
	before := l.ancestors(j)
	for i := range j {
		if !before[i] {
			return i
		}
	}
	return j
}

// early is the order in which j comes right after the moves it waits for, and
// then the others up to it; from the first on that changes its place.
func (l links) early(j int) (order []int, words string) {
	before := l.ancestors(j)
	first := l.firstNotBefore(j)
	for i := first; i < j; i++ {
		if before[i] {
			order = append(order, i)
		}
	}
	order = append(order, j)
	for i := first; i < j; i++ {
		if !before[i] {
			order = append(order, i)
		}
	}
	return order, "if the %s goes at once and others are late: %s"
}

// late is the order from k on in which k, and whatever waits for it, comes
// after the first move that could overtake it.
func (l links) late(k int) (order []int, words string) {
	next := l.overtaker[k]
	held := map[int]bool{k: true}
	for i := k + 1; i <= next; i++ {
		if slices.ContainsFunc(l.waits[i], func(w int) bool { return held[w] }) {
			held[i] = true
		} else {
			order = append(order, i)
		}
	}
	for i := k; i <= next; i++ {
		if held[i] {
			order = append(order, i)
		}
	}
	return order, "if the %s is late and others are not: %s"
}

// swapped goes on from a state: it plays the next moves in another order,
// given by their numbers (moves[0] has the number first), and then the rest in the plan's. It
// returns the faults that the plan's own order does not have, and stops when
// everything stands where it would have stood.
func swapped(from *Player, moves []Move, order []int, first int) []Fault {
	base, other := from.branch(), from.branch()
	for i := range order {
		base.Do(&moves[i])
		other.Do(&moves[order[i]-first])
	}
	for i := len(order); i < len(moves) && !other.standsLike(base); i++ {
		base.Do(&moves[i])
		other.Do(&moves[i])
	}
	return slices.DeleteFunc(other.faults, func(f Fault) bool {
		return slices.ContainsFunc(base.faults, func(g Fault) bool { return g.Rule == f.Rule && g.Move == f.Move })
	})
}

// branch returns a player that goes on from where everything stands now, by
// structure only. Lists are never changed in place, so both may hold them.
func (p *Player) branch() *Player {
	return &Player{
		ix: p.ix, now: p.now, structure: true,
		where: maps.Clone(p.where), lanes: maps.Clone(p.lanes), lines: maps.Clone(p.lines), spots: maps.Clone(p.spots),
		arena: p.arena, duty: p.duty, off: maps.Clone(p.off), parted: maps.Clone(p.parted), serves: maps.Clone(p.serves), stuck: maps.Clone(p.stuck),
		free: map[UnitID]Instant{}, ends: map[laneEnd][]through{}, since: map[UnitID]Instant{}, open: map[UnitID]laneStay{}, pushed: map[laneEnd][]pushedOut{},
	}
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
func linksOf(ix *Index, moves []Move) links {
	l := links{waits: make([][]int, len(moves)), loose: make([]bool, len(moves)), overtaker: make([]int, len(moves))}
	byID := map[MoveID]int{}
	ofUnit := map[UnitID]int{}
	at := map[Pos][]visit{}
	fromLine := map[string][]int{}
	for i := range moves {
		m := &moves[i]
		for _, w := range m.After {
			for _, id := range []MoveID{w.Move, w.Begun} {
				if k, ok := byID[id]; ok && id != "" {
					l.waits[i] = append(l.waits[i], k)
				}
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
			if !ix.orderCounts(pos) {
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

// orderCounts reports whether it can matter who comes to a place or leaves it
// before whom: in every lane, but not on a line or spot without a limit where
// everybody comes and goes as he likes.
func (ix *Index) orderCounts(at Pos) bool {
	switch at.Kind {
	case InLane:
		return true
	case InLine:
		l := ix.Line(LineID(at.ID))
		return l != nil && (l.Length > 0 || len(l.Fouls) > 0 || l.Out == OutStrict || l.Home == HomeInOrder)
	case InSpot:
		s := ix.Spot(SpotID(at.ID))
		return s != nil && (s.Length > 0 || s.Use == SpotCoupling)
	}
	return false
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
	var before []bool
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

// ancestors tells of all moves which must be over before j starts.
func (l links) ancestors(j int) []bool {
	before := make([]bool, len(l.waits))
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
