package clear

import sp "sallyport"

// bounder works out how many moves a position needs at least. Each item that
// stands in the way of one who leaves before it has to be moved once (the sum
// of board.least). On top of that come those who cannot be put where they are
// out of everybody's way.
//
// For these the park is emptied in thought: order by order, who leaves goes
// and takes along whoever stands in his way. One of the latter, x, of order o,
// has no good place when every stand that it may be moved to is a dead end
// that still holds somebody who leaves before o; with the others gone the
// stands are emptier than they can be when x really has to go.
//
//   - Restricted, only those who stand in the way are moved, and x first when
//     its own turn has come: it will stand in the way again, so it costs one
//     move more. These sum up (Kim and Hong 2006; Zhu et al. 2012).
//   - Else somebody can have been moved out of x's good place before. So for
//     each x, x is moved twice, or for one of those stands all are moved who
//     leave before o, though they stand in nobody's way. One of each stand is
//     picked; sets that share nobody cost one move each, and these sum up.
type bounder struct {
	restricted bool
	top        []int // how many entries of a stand are left
	used       []int // round in which an item was last in a set
	round      int
	waits      []waiting
}

// waiting is an item in somebody's way, with the stand it is in.
type waiting struct {
	item  int32
	stand int
}

func newBounder(p *Problem, restricted bool) *bounder {
	return &bounder{restricted: restricted, top: make([]int, len(p.Stands)), used: make([]int, len(p.Items))}
}

// extra returns how many moves are needed beyond b.bad, counted to enough.
func (x *bounder) extra(b *board, enough int) int {
	if enough <= 0 {
		return 0
	}
	for s := range b.lists {
		x.top[s] = len(b.lists[s])
	}
	x.round++
	n := 0
	for k := b.cur; k < b.never && n < enough; k++ {
		if b.left[k] == 0 {
			continue
		}
		x.waits = x.waits[:0]
		for s := range b.lists {
			x.empty(b, s, k)
		}
		for _, w := range x.waits {
			if x.costs(b, w) {
				n++
			}
		}
	}
	return n
}

// empty lets those of order k leave a stand, and whoever stands before them.
func (x *bounder) empty(b *board, s int, k int32) {
	kind := b.p.Stands[s].Kind
	if kind != Dead && kind != Through || x.top[s] == 0 || b.lists[s][x.top[s]-1].low != k {
		return
	}
	list := b.lists[s][:x.top[s]]
	deepest := 0
	for b.order[list[deepest].item] != k {
		deepest++
	}
	for i := len(list) - 1; i > deepest; i-- {
		if b.order[list[i].item] > k {
			x.waits = append(x.waits, waiting{list[i].item, s})
		}
	}
	x.top[s] = deepest
}

// costs reports whether an item in the way costs a move more.
func (x *bounder) costs(b *board, w waiting) bool {
	it, o := &b.p.Items[w.item], b.order[w.item]
	for i := range it.Ways {
		if way := &it.Ways[i]; way.To != w.stand && x.stays(b, way.To, o, it) {
			return false
		}
	}
	if x.restricted {
		return true
	}
	for i := range it.Ways {
		if s := it.Ways[i].To; s != w.stand && x.pick(b, s, o) < 0 && x.fits(b, s, it) {
			return false // somebody counted already
		}
	}
	for i := range it.Ways {
		if s := it.Ways[i].To; s != w.stand && x.fits(b, s, it) {
			x.used[x.pick(b, s, o)] = x.round
		}
	}
	return true
}

// fits reports whether an item could ever stand in a stand.
func (x *bounder) fits(b *board, s int, it *Item) bool {
	length := b.p.Stands[s].Length
	return length == 0 || it.Length <= length
}

// stays reports whether an item of order o, once in a stand, could be there
// without being in anybody's way.
func (x *bounder) stays(b *board, s int, o int32, it *Item) bool {
	if !x.fits(b, s, it) {
		return false
	}
	return b.p.Stands[s].Kind != Dead || x.top[s] == 0 || b.lists[s][x.top[s]-1].low >= o
}

// pick returns an item that is left in a stand, leaves before order o, stands
// in nobody's way, and is in no set yet; -1 when there is none.
func (x *bounder) pick(b *board, s int, o int32) int {
	for i := x.top[s] - 1; i >= 0; i-- {
		e := &b.lists[s][i]
		if !e.bad && b.order[e.item] < o && x.used[e.item] != x.round {
			return int(e.item)
		}
	}
	return -1
}

// hopeless reports whether somebody who is to leave, or stands in the way of
// one, can never be moved: a reason why there is no way at all.
func hopeless(b *board) bool {
	for s, list := range b.lists {
		kind := b.p.Stands[s].Kind
		for i := range list {
			it := &b.p.Items[list[i].item]
			due := b.order[list[i].item] < b.never
			inWay := list[i].bad && (kind == Dead || kind == Through)
			if (due || inWay) && !b.everGoes(s, &list[i]) || inWay && !canLodge(b.p, it, s) {
				return true
			}
		}
	}
	return false
}

// everGoes reports whether an entry could leave its stand by some end if
// nobody were in its way.
func (b *board) everGoes(s int, e *entry) bool {
	st, it := &b.p.Stands[s], &b.p.Items[e.item]
	if it.Fixed || st.Kind == Aside {
		return !it.Fixed
	}
	ends := []sp.End{sp.Mouth, sp.Tail}
	if st.Kind != Either {
		ends = ends[:1]
	}
	for _, end := range ends {
		if !st.Barred[number(end)] && (it.Carried || !b.backsOut(e, end) || reach(st, e.from, it.Length, end) <= it.Backs) {
			return true
		}
	}
	return false
}

// canLodge reports whether an item has any stand to go to that is long enough.
func canLodge(p *Problem, it *Item, from int) bool {
	for _, w := range it.Ways {
		st := &p.Stands[w.To]
		if w.To != from && (st.Length == 0 || it.Length <= st.Length) && (st.Serves == nil || st.Serves[from]) {
			return true
		}
	}
	return false
}
