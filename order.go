package sallyport

import (
	"cmp"
	"fmt"
	"slices"
)

// orderAlone plays the plan by its after links only and reports whatever
// breaks when moves change places: for every move, when all that it does not
// wait for is late; and when it alone is late until the next move at one of
// its places that does not wait for it. Other delays of several moves at once
// are not looked for.
//
// Moves more than a number of places apart in the list are not swapped; that
// number is returned, 0 when every swap was tried. It is such that no more
// than mostSwapped moves are played, so the cost stays in proportion to the
// plan however long it is. When stop says so, what is left is not tried.
func orderAlone(ix *Index, start State, moves []Move, stop func() bool) (faults []Fault, apart int) {
	l := linksOf(ix, moves)
	trials, apart := l.trials(mostSwapped)
	if len(trials) == 0 {
		return nil, 0
	}
	byFirst := make([][]trial, len(moves)) // by the first move that changes its place
	for _, t := range trials {
		byFirst[t.first] = append(byFirst[t.first], t)
	}
	found := make([][]Fault, len(moves))
	w := swapping{base: NewPlayer(ix, start), other: NewPlayer(ix, start), moves: moves}
	w.base.structure, w.other.structure = true, true
	for i := range moves {
		if stop() {
			break
		}
		for _, t := range byFirst[i] {
			order, words := t.order(l, t.move, t.first)
			for _, f := range w.faults(order, i) {
				f.Sentence = fmt.Sprintf(words, moveName(ix, &moves[t.move]), f.Sentence)
				found[t.move] = append(found[t.move], f)
			}
		}
		w.base.Do(&moves[i])
		w.other.Do(&moves[i])
	}
	said := map[breachOf]bool{}
	for _, list := range found {
		for _, f := range list {
			if key := (breachOf{f.Rule, f.Move}); !said[key] {
				said[key] = true
				faults = append(faults, f)
			}
		}
	}
	return faults, apart
}

// mostSwapped is the most moves that are played in other orders than the
// plan's; a plan for sixty vehicles asks for a few ten thousand.
const mostSwapped = 1_000_000

// breachOf is a rule broken by a move.
type breachOf struct {
	rule Rule
	move MoveID
}

// trial is another order to be tried because of a move, from the first move on
// that changes its place.
type trial struct {
	move, first int
	order       func(l links, move, first int) (order []int, words string)
}

// trials lists what is to be tried, so that all of it together does not play
// more than most moves: if need be, moves that are farther apart than a number
// are not swapped. That number is returned, 0 for no limit.
func (l links) trials(most int) (list []trial, apart int) {
	for j := range l.waits {
		if l.loose[j] {
			list = append(list, trial{j, l.firstNotBefore(j), links.early})
		}
		if next := l.overtaker[j]; next > 0 {
			list = append(list, trial{j, j, links.late})
		}
	}
	span := func(t trial) int {
		if t.first < t.move {
			return t.move - t.first
		}
		return l.overtaker[t.move] - t.move
	}
	sum := 0
	for _, t := range list {
		sum += span(t)
	}
	if sum <= most {
		return list, 0
	}
	apart = max(1, most/len(list))
	kept := list[:0]
	for _, t := range list {
		switch {
		case t.first < t.move:
			t.first = max(t.first, t.move-apart)
			kept = append(kept, t)
		case span(t) <= apart:
			kept = append(kept, t)
		}
	}
	return kept, apart
}

func moveName(ix *Index, m *Move) string {
	if m.Unit == "" {
		return string(m.Kind) + " of " + ix.SerialName(m.Serial)
	}
	return string(m.Kind) + " of " + ix.UnitName(m.Unit)
}

// firstNotBefore returns the first move that j does not wait for.
func (l links) firstNotBefore(j int) int {
	before := l.ancestors(j, 0)
	for i := range j {
		if !before[i] {
			return i
		}
	}
	return j
}

// early is the order in which j comes right after the moves it waits for, and
// then the others up to it; from first on.
func (l links) early(j, first int) (order []int, words string) {
	before := l.ancestors(j, first)
	for i := first; i < j; i++ {
		if before[i-first] {
			order = append(order, i)
		}
	}
	order = append(order, j)
	for i := first; i < j; i++ {
		if !before[i-first] {
			order = append(order, i)
		}
	}
	return order, "if the %s goes at once and others are late: %s"
}

// late is the order from k on in which k, and whatever waits for it, comes
// after the first move that could overtake it.
func (l links) late(k, _ int) (order []int, words string) {
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

// swapping plays a plan twice, by structure only: in its own order, and in
// others for a while. Both players stand alike between two trials.
type swapping struct {
	base, other *Player
	moves       []Move
	undo        []played
	units       []UnitID // that may stand elsewhere in base than in other
	places      []Pos    // lanes and lines in which others may stand
}

// played is a move that a player has made, with what it changed.
type played struct {
	player *Player
	move   *Move
	before kept
}

// faults goes on from where both stand: it plays the next moves in another
// order, given by their numbers of which first is the lowest, and then the
// rest in the plan's. It returns the faults that the plan's own order does not
// have. It ends when everything stands where it would have stood, and then
// takes all of it back.
func (w *swapping) faults(order []int, first int) []Fault {
	w.undo, w.units, w.places = w.undo[:0], w.units[:0], w.places[:0]
	own, others := len(w.base.faults), len(w.other.faults)
	for i := range order {
		w.do(w.base, &w.moves[first+i])
		w.do(w.other, &w.moves[order[i]])
	}
	w.forget()
	for i := first + len(order); i < len(w.moves) && len(w.units)+len(w.places) > 0; i++ {
		w.do(w.base, &w.moves[i])
		w.do(w.other, &w.moves[i])
		w.forget()
	}
	usual := w.base.faults[own:]
	var faults []Fault
	for _, f := range w.other.faults[others:] {
		if !slices.ContainsFunc(usual, func(g Fault) bool { return g.Rule == f.Rule && g.Move == f.Move }) {
			faults = append(faults, f)
		}
	}
	w.base.faults, w.other.faults = w.base.faults[:own], w.other.faults[:others]
	for _, u := range slices.Backward(w.undo) {
		u.player.move = u.move
		u.before.putBack(u.player)
	}
	return faults
}

// do plays a move, and notes what could stand differently because of it.
func (w *swapping) do(p *Player, m *Move) {
	k := p.keep(m)
	w.undo = append(w.undo, played{p, m, k})
	for i, u := range k.units {
		w.units = append(w.units, u)
		if k.here[i] {
			w.note(k.where[i])
		}
	}
	w.note(m.From)
	w.note(m.To)
	p.Do(m)
}

func (w *swapping) note(at Pos) {
	if at.Kind == InLane || at.Kind == InLine {
		w.places = append(w.places, Pos{Kind: at.Kind, ID: at.ID})
	}
}

// forget leaves out who and what stands alike with both.
func (w *swapping) forget() {
	a, b := w.base, w.other
	slices.Sort(w.units)
	w.units = slices.DeleteFunc(slices.Compact(w.units), func(u UnitID) bool { return a.whereIs(u) == b.whereIs(u) })
	slices.SortFunc(w.places, func(x, y Pos) int { return cmp.Or(cmp.Compare(x.Kind, y.Kind), cmp.Compare(x.ID, y.ID)) })
	w.places = slices.DeleteFunc(slices.Compact(w.places), func(at Pos) bool {
		if at.Kind == InLane {
			return slices.Equal(a.lanes[LaneID(at.ID)], b.lanes[LaneID(at.ID)])
		}
		return slices.Equal(a.lines[LineID(at.ID)], b.lines[LineID(at.ID)])
	})
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
	from := 0
	for i, v := range slices.Backward(earlier) {
		if v.move == j {
			continue
		}
		waits := slices.Contains(l.waits[j], v.move)
		if !waits {
			if before == nil || v.move < from {
				from = lastGate(earlier[:i+1])
				before = l.ancestors(j, from)
			}
			waits = before[v.move-from]
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

// lastGate returns the last of moves at a place that is a gate, else the first.
func lastGate(visits []visit) int {
	for _, v := range slices.Backward(visits) {
		if v.gate {
			return v.move
		}
	}
	return visits[0].move
}

// ancestors tells of the moves from a number on which must be over before j
// starts; it looks at those only.
func (l links) ancestors(j, from int) []bool {
	before := make([]bool, max(0, j-from))
	var todo []int
	look := func(waits []int) {
		for _, k := range waits {
			if k >= from && k < j && !before[k-from] {
				before[k-from] = true
				todo = append(todo, k)
			}
		}
	}
	look(l.waits[j])
	for len(todo) > 0 {
		k := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		look(l.waits[k])
	}
	return before
}
