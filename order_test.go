package sallyport_test

import (
	"slices"
	"testing"

	sp "sallyport"

	"pgregory.net/rapid"
)

// mustWait lists, for each move, the earlier moves it must wait for: those it
// names, those that leave a line it waits to be empty, and the last move of
// each of its own units.
func mustWait(moves []sp.Move) [][]int {
	waits := make([][]int, len(moves))
	for j, m := range moves {
		for i, b := range moves[:j] {
			named := slices.ContainsFunc(m.After, func(x sp.Wait) bool {
				return x.Move != "" && x.Move == b.ID || x.Line != "" && b.From.Kind == sp.InLine && b.From.ID == string(x.Line)
			})
			if named || slices.ContainsFunc(movers(m), func(u sp.UnitID) bool { return slices.Contains(movers(b), u) }) {
				waits[j] = append(waits[j], i)
			}
		}
	}
	return waits
}

// everyOrder calls do with the orders in which the moves may come when each
// only waits for what it must; at most limit of them.
func everyOrder(waits [][]int, limit int, do func(order []int)) {
	var order []int
	var extend func()
	extend = func() {
		if limit == 0 {
			return
		}
		if len(order) == len(waits) {
			limit--
			do(order)
			return
		}
		for j := range waits {
			ready := !slices.Contains(order, j) && !slices.ContainsFunc(waits[j], func(i int) bool { return !slices.Contains(order, i) })
			if ready {
				order = append(order, j)
				extend()
				order = order[:len(order)-1]
			}
		}
	}
	extend()
}

// placeBreaches plays moves in some order by the naive player and returns
// what is broken, as rule and move; nothing is said after places are no
// longer certain.
func placeBreaches(s *sp.Show, p *sp.Plan, order []int) map[string]bool {
	w, _ := begin(s, p.Start)
	found := map[string]bool{}
	for _, i := range order {
		bad, broken := w.play(p.Moves[i])
		for _, b := range bad {
			found[string(b.rule)+" "+string(b.move)] = true
		}
		if broken {
			break
		}
	}
	return found
}

// drawLinked draws a short workable part of a plan with some links.
func drawLinked(t *rapid.T) (*sp.Show, *sp.Plan) {
	s, p := drawPlan(t, true)
	p.Moves = p.Moves[:min(len(p.Moves), 7)]
	d := draw{t: t}
	for j := range p.Moves {
		for i := range j {
			if d.oneIn(3) {
				p.Moves[j].After = append(p.Moves[j].After, sp.Wait{Move: p.Moves[i].ID})
			}
		}
		if d.oneIn(8) {
			p.Moves[j].After = append(p.Moves[j].After, sp.Wait{Line: s.Park.Lines[0].ID})
		}
	}
	own := make([]int, len(p.Moves))
	for i := range own {
		own[i] = i
	}
	if len(placeBreaches(s, p, own)) > 0 {
		t.Skip("not workable in its own order")
	}
	return s, p
}

// What the judge says can go wrong by order alone does go wrong in some order
// that the links allow; and when it says nothing, nothing breaks when any move
// goes as soon as its links allow, or is late until the next at one of its
// places.
func TestOrderAloneAgainstEveryOrder(t *testing.T) {
	reported, missed, quietPlans := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		s, p := drawLinked(t)
		alone := sp.Check(s, p).OrderAlone
		possible := map[string]bool{}
		waits := mustWait(p.Moves)
		everyOrder(waits, 6000, func(order []int) {
			for b := range placeBreaches(s, p, order) {
				possible[b] = true
			}
		})
		reported += len(alone)
		// After the first thing that goes wrong nothing is certain, so not
		// every fault that follows from it must be found.
		if len(alone) > 0 && !slices.ContainsFunc(alone, func(f sp.Fault) bool { return possible[string(f.Rule)+" "+string(f.Move)] }) {
			t.Fatalf("no order that the links allow breaks what is reported: %s\nbut %v\n%s", alone[0].Sentence, possible, movesOf(s, p))
		}
		if len(alone) > 0 {
			return
		}
		quietPlans++
		if len(possible) > 0 {
			missed++
		}
		for j := range p.Moves {
			if found := placeBreaches(s, p, movedForward(waits, j)); len(found) > 0 {
				t.Fatalf("nothing reported, but with move %d first: %v\n%s", j+1, found, movesOf(s, p))
			}
			if found := placeBreaches(s, p, heldUp(p.Moves, waits, j)); len(found) > 0 {
				t.Fatalf("nothing reported, but with move %d late: %v\n%s", j+1, found, movesOf(s, p))
			}
		}
	})
	t.Logf("%d reports; of %d plans without one, %d can fail when three or more moves change places", reported, quietPlans, missed)
}

// movedForward is the plan's order with move j right after all that it, one
// way or another, waits for.
func movedForward(waits [][]int, j int) []int {
	before := map[int]bool{}
	var add func(k int)
	add = func(k int) {
		for _, i := range waits[k] {
			if !before[i] {
				before[i] = true
				add(i)
			}
		}
	}
	add(j)
	var order, rest []int
	for i := range waits {
		switch {
		case before[i]:
			order = append(order, i)
		case i != j:
			rest = append(rest, i)
		}
	}
	return append(append(order, j), rest...)
}

// heldUp is the plan's order with move k, and all that waits for it, after the
// next move that shares a lane, line or spot with it and does not wait for it.
func heldUp(moves []sp.Move, waits [][]int, k int) []int {
	late := map[int]bool{k: true}
	var order, held []int
	done := false
	for i := range moves {
		late[i] = late[i] || slices.ContainsFunc(waits[i], func(w int) bool { return late[w] })
		if done || !late[i] {
			order = append(order, i)
		} else {
			held = append(held, i)
		}
		if i > k && !done && !late[i] && sharePlace(moves[i], moves[k]) {
			order, done = append(order, held...), true
		}
	}
	if !done {
		order = append(order, held...)
	}
	return order
}

func sharePlace(a, b sp.Move) bool {
	for _, x := range []sp.Pos{a.From, a.To} {
		for _, y := range []sp.Pos{b.From, b.To} {
			if x.Kind == y.Kind && x.ID == y.ID && (x.Kind == sp.InLane || x.Kind == sp.InLine || x.Kind == sp.InSpot) {
				return true
			}
		}
	}
	return false
}

// A plan in which every move waits for the one before cannot fail by order.
func TestFullyLinkedPlansCannotFailByOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, p := drawPlan(t, false)
		for i := range p.Moves[min(1, len(p.Moves)):] {
			p.Moves[i+1].After = []sp.Wait{{Move: p.Moves[i].ID}}
		}
		if alone := sp.Check(s, p).OrderAlone; len(alone) > 0 {
			t.Fatalf("every move waits for the one before, and yet: %s", alone[0].Sentence)
		}
	})
}
