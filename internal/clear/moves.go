package clear

import (
	"slices"

	sp "sallyport"
)

// step is a move that can be made now.
type step struct {
	from, at int // stand and entry
	way      *Way
	good     bool  // nobody in its new stand waits for it to go again
	low      int32 // lowest order it would stand before
}

// ends returns the entries of a stand that are at an end, with the end: one
// entry of two ends comes twice. Of an Aside all are.
func (b *board) ends(s int, each func(i int, end sp.End)) {
	n := len(b.lists[s])
	switch kind := b.p.Stands[s].Kind; {
	case n == 0:
	case kind == Aside:
		for i := range n {
			each(i, "")
		}
	default:
		each(n-1, sp.Mouth)
		if kind == Either {
			each(0, sp.Tail)
		}
	}
}

// canGo reports whether the entry at an end of its stand can be driven out by
// that end now: nothing bars it, it can reverse so far if it must, and its
// engine can be started where it stands.
func (b *board) canGo(s, i int, end sp.End) bool {
	st, e := &b.p.Stands[s], &b.lists[s][i]
	it := &b.p.Items[e.item]
	switch {
	case it.Fixed:
		return false
	case st.Kind == Aside:
		return true
	case st.Barred[number(end)]:
		return false
	case it.Carried:
		return true
	}
	if b.backsOut(e, end) && reach(st, e.from, it.Length, end) > it.Backs {
		return false
	}
	ahead := -1 // the neighbour before its nose
	if e.nose && i > 0 {
		ahead = i - 1
	} else if !e.nose && i+1 < len(b.lists[s]) {
		ahead = i + 1
	}
	if it.Slave && ahead >= 0 && !st.Beside {
		return false
	}
	return it.Clear == 0 || b.clearAhead(st, s, e, ahead) >= it.Clear
}

// backsOut reports whether an entry leaves by an end in reverse.
func (b *board) backsOut(e *entry, end sp.End) bool { return end != "" && (end == sp.Mouth) == e.nose }

func number(end sp.End) int {
	if end == sp.Tail {
		return tailEnd
	}
	return mouthEnd
}

// reach returns how far a unit reverses between its place and an end.
func reach(st *Stand, from, length sp.Centimetres, end sp.End) sp.Centimetres {
	if end == sp.Tail {
		return st.Length - from
	}
	return from + length
}

// clearAhead returns the free length before an entry's nose.
func (b *board) clearAhead(st *Stand, s int, e *entry, ahead int) sp.Centimetres {
	length := b.p.Items[e.item].Length
	switch {
	case e.nose && ahead >= 0:
		return b.lists[s][ahead].from - e.from - length
	case e.nose:
		return st.Length - e.from - length + st.Depth[tailEnd]
	case ahead >= 0:
		o := &b.lists[s][ahead]
		return e.from - o.from - b.p.Items[o.item].Length
	}
	return e.from + st.Depth[mouthEnd]
}

// gap returns the gap between two neighbours, the nearer to the mouth first.
func (b *board) gap(st *Stand, nearer int32, nearerNose bool, deeper int32, deeperNose bool) sp.Centimetres {
	x, y := b.p.Items[nearer].Behind, b.p.Items[deeper].Ahead
	if nearerNose {
		x = b.p.Items[nearer].Ahead
	}
	if deeperNose {
		y = b.p.Items[deeper].Behind
	}
	return max(st.Gap, x, y)
}

// place returns the entry that an item becomes when it is driven into a
// stand, where in the list it goes, and whether there is room for it and
// nothing else bars it.
func (b *board) place(item int32, from int, w *Way) (entry, int, bool) {
	st, it, list := &b.p.Stands[w.To], &b.p.Items[item], b.lists[w.To]
	e := entry{item: item}
	if st.Deep > 0 && len(list) >= st.Deep || !b.company(item, list, st.Kind) {
		return e, 0, false
	}
	if st.Kind == Aside {
		if st.Serves != nil && !st.Serves[from] {
			return e, 0, false
		}
		return e, len(list), st.Length == 0 || b.needs(st, list, item) <= st.Length
	}
	if st.Barred[number(w.End)] {
		return e, 0, false
	}
	e.nose = (w.End == sp.Mouth) != w.Reverse
	at := len(list)
	switch {
	case w.End == sp.Tail && len(list) == 0:
		at = 0
	case w.End == sp.Tail:
		at = 0
		last := &list[0]
		e.from = last.from + b.p.Items[last.item].Length + b.gap(st, last.item, last.nose, item, e.nose)
	case len(list) == 0:
		e.from = st.Length - it.Length
	default:
		first := &list[len(list)-1]
		e.from = first.from - b.gap(st, item, e.nose, first.item, first.nose) - it.Length
	}
	if st.Length > 0 && (e.from < 0 || e.from+it.Length > st.Length) {
		return e, 0, false
	}
	return e, at, !w.Reverse || it.Carried || reach(st, e.from, it.Length, w.End) <= it.Backs
}

// company reports whether an item may share a stand with those in it.
func (b *board) company(item int32, list []entry, kind Kind) bool {
	it := &b.p.Items[item]
	if kind == Aside || len(list) == 0 {
		return true
	}
	if it.Alone || it.Standby && kind != Dead {
		return false
	}
	for i := range list {
		o := &b.p.Items[list[i].item]
		if o.Alone || o.Standby && kind != Through || slices.Contains(it.Apart, int(list[i].item)) || slices.Contains(o.Apart, int(item)) {
			return false
		}
	}
	return true
}

// needs returns the length that the items of an Aside and one more need.
func (b *board) needs(st *Stand, list []entry, item int32) sp.Centimetres {
	sum := b.p.Items[item].Length
	for i := range list {
		next := item
		if i+1 < len(list) {
			next = list[i+1].item
		}
		sum += b.p.Items[list[i].item].Length + max(st.Gap, b.p.Items[list[i].item].Behind, b.p.Items[next].Ahead)
	}
	return sum
}

// settle lets everybody leave who is to leave next and can.
func (b *board) settle() {
	for b.dues > 0 {
		before := b.dues
		for s := range b.lists {
			b.release(s)
		}
		if b.dues == before {
			return
		}
	}
}

// release lets those of one stand leave who are next and can.
func (b *board) release(s int) {
	for again := true; again; {
		again = false
		b.ends(s, func(i int, end sp.End) {
			if again || b.cur == b.never || b.order[b.lists[s][i].item] != b.cur || !b.canGo(s, i, end) {
				return
			}
			e := b.remove(s, i, true)
			b.moves = append(b.moves, Move{Item: int(e.item), From: s, To: -1, Leave: end, ReverseOut: b.backsOut(&e, end)})
			again = true
		})
	}
}

// make makes a move and lets everybody leave who can then.
func (b *board) make(x step, end sp.End) {
	e := b.lists[x.from][x.at]
	in, at, _ := b.place(e.item, x.from, x.way)
	b.remove(x.from, x.at, false)
	b.insert(x.way.To, at, in)
	b.moves = append(b.moves, Move{
		Item: int(e.item), From: x.from, To: x.way.To, Leave: end, Enter: x.way.End,
		Reverse: x.way.Reverse, ReverseOut: b.backsOut(&e, end), Price: x.way.Price + b.later(e.item, x.way.To),
	})
	b.settle()
}
