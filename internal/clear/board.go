package clear

import (
	"fmt"
	"slices"
	"strings"

	sp "sallyport"
)

// entry is one item in a stand, with what is known of those deeper than it.
type entry struct {
	item    int32
	low     int32 // lowest order of itself and those deeper
	lowItem int32 // the deepest item with that order
	nose    bool  // faces away from the mouth
	bad     bool  // somebody deeper leaves before it
	from    sp.Centimetres
	hash    key // of the stand up to here
}

// board is a position: lists have the tail end first, the mouth end last; an
// Aside is in order of arrival.
type board struct {
	p       *Problem
	order   []int32 // of each item, 0 upwards without gaps; never when it stays
	never   int32
	code    []uint64 // equal items have equal codes
	class   []uint64 // equal stands have equal codes
	loose   []bool   // Aside stands in which the order of arrival does not matter
	lists   [][]entry
	lost    []int   // of each stand: moves that it needs at least
	bad     int     // their sum
	left    []int32 // items still to leave, of each order
	cur     int32   // the lowest order still there; never when all have left
	dues    int     // items still to leave
	gone    []bool
	journal []undo
	moves   []Move
}

// undo is what takes back one removal or one arrival.
type undo struct {
	stand, at int
	e         entry
	in        bool // it came in
	due       bool // it left for good
}

// key names a position; two positions with one key are taken for equal.
type key struct{ a, b uint64 }

func scramble(x uint64) uint64 {
	x ^= x >> 30
	x *= 0xbf58476d1ce4e5b9
	x ^= x >> 27
	x *= 0x94d049bb133111eb
	return x ^ x>>31
}

// with returns the key of a list with one more thing at its end.
func (k key) with(x uint64) key {
	return key{scramble(k.a ^ x*0x9e3779b97f4a7c15 + 0x632be59bd9b4e019), scramble(k.b + x*0xd6e8feb86659fd93 ^ 0xa0761d6478bd642f)}
}

// newBoard returns the position of a problem. Who is free to leave at once
// has left.
func newBoard(p *Problem) *board {
	b := &board{p: p, gone: make([]bool, len(p.Items)), lists: make([][]entry, len(p.Stands)), lost: make([]int, len(p.Stands))}
	var orders []int
	for _, it := range p.Items {
		if it.Order > 0 {
			orders = append(orders, it.Order)
		}
	}
	slices.Sort(orders)
	orders = slices.Compact(orders)
	b.never = int32(len(orders))
	b.left = make([]int32, len(orders)+1)
	for _, it := range p.Items {
		o := b.never
		if it.Order > 0 {
			i, _ := slices.BinarySearch(orders, it.Order)
			o = int32(i)
			b.left[i]++
			b.dues++
		}
		b.order = append(b.order, o)
	}
	b.codes()
	for s := range p.Stands {
		for _, h := range slices.Backward(p.Stands[s].Holds) {
			b.lists[s] = append(b.lists[s], entry{item: int32(h.Item), from: h.From, nose: h.NoseIn})
		}
		if p.Stands[s].Kind == Aside {
			slices.Reverse(b.lists[s])
		}
		b.refresh(s, 0)
	}
	b.next()
	return b
}

// codes gives equal items and equal stands equal codes. Prices do not count:
// they matter only once the number of moves is known.
func (b *board) codes() {
	p := b.p
	columns := make([]strings.Builder, len(p.Stands)) // what is said of each stand
	named := map[int]bool{}                           // to be kept apart from somebody
	for i, it := range p.Items {
		for _, w := range it.Ways {
			fmt.Fprintf(&columns[w.To], "%d %s %v,", i, w.End, w.Reverse)
		}
		for _, o := range it.Apart {
			named[i], named[o] = true, true
		}
	}
	items := map[string]uint64{}
	for i, it := range p.Items {
		it.Next, it.InWay = 0, 0
		it.Ways = slices.Clone(it.Ways)
		for k := range it.Ways {
			it.Ways[k].Price = 0
		}
		sign := fmt.Sprintf("%+v", it)
		if named[i] {
			sign = fmt.Sprint(i)
		}
		if items[sign] == 0 {
			items[sign] = uint64(i) + 1
		}
		b.code = append(b.code, items[sign])
	}
	stands := map[string]uint64{}
	for s, st := range p.Stands {
		var serves []bool // by each Aside
		for _, aside := range p.Stands {
			serves = append(serves, aside.Serves == nil || aside.Serves[s])
		}
		st.Holds = nil
		sign := fmt.Sprintf("%+v|%v|%s", st, serves, columns[s].String())
		if stands[sign] == 0 {
			stands[sign] = scramble(uint64(s) + 77)
		}
		b.class = append(b.class, stands[sign])
		b.loose = append(b.loose, st.Kind == Aside && !slices.ContainsFunc(p.Items, func(it Item) bool { return max(it.Ahead, it.Behind) > st.Gap }))
	}
}

// refresh works out what is kept for a stand's entries, from the ith on.
func (b *board) refresh(s, i int) {
	list := b.lists[s]
	for ; i < len(list); i++ {
		e := &list[i]
		o := b.order[e.item]
		e.low, e.lowItem, e.bad = o, e.item, false
		h := key{b.class[s], ^b.class[s]}
		if i > 0 {
			before := &list[i-1]
			h = before.hash
			if before.low <= o {
				e.low, e.lowItem, e.bad = before.low, before.lowItem, before.low < o
			}
		}
		x := b.code[e.item] << 1
		if e.nose {
			x++
		}
		if b.loose[s] {
			one := key{}.with(x)
			e.hash = key{h.a + one.a, h.b + one.b}
			continue
		}
		e.hash = h.with(x ^ uint64(e.from)<<32)
	}
	b.bad -= b.lost[s]
	b.lost[s] = b.least(s)
	b.bad += b.lost[s]
}

// least returns how many moves at least a stand's items need so that those
// who leave can leave.
func (b *board) least(s int) int {
	list := b.lists[s]
	switch b.p.Stands[s].Kind {
	case Aside:
		return 0
	case Either:
		return len(list) - b.peeled(list)
	}
	n := 0
	for i := range list {
		if list[i].bad {
			n++
		}
	}
	return n
}

// peeled returns the most items of a list with two ends that could stay where
// they are until they leave: their orders rise to the last one, then fall.
func (b *board) peeled(list []entry) int {
	best := 0
	for top := range list {
		best = max(best, b.rising(list[:top+1], 1)+b.rising(list[top:], -1)-1)
	}
	return best
}

// rising returns the length of the longest run in order of leaving that ends
// with the last of a list (by 1), or begins with its first (by -1).
func (b *board) rising(list []entry, by int) int {
	n := len(list)
	at := func(i int) int32 {
		if by < 0 {
			i = n - 1 - i
		}
		return b.order[list[i].item]
	}
	length := make([]int, n)
	for i := range n {
		length[i] = 1
		for j := range i {
			if at(j) <= at(i) && at(i) <= at(n-1) && length[j] >= length[i] {
				length[i] = length[j] + 1
			}
		}
	}
	return length[n-1]
}

// key returns the name of the position: equal stands may change places.
func (b *board) key() key {
	var sum key
	for s := range b.lists {
		h := key{b.class[s], ^b.class[s]}
		if n := len(b.lists[s]); n > 0 {
			h = b.lists[s][n-1].hash
		}
		h = h.with(uint64(len(b.lists[s])))
		sum.a += h.a
		sum.b += h.b
	}
	return sum
}

// next sets cur to the lowest order still there.
func (b *board) next() {
	for b.cur < b.never && b.left[b.cur] == 0 {
		b.cur++
	}
}

// remove takes the ith entry out of a stand.
func (b *board) remove(s, i int, due bool) entry {
	e := b.lists[s][i]
	b.lists[s] = slices.Delete(b.lists[s], i, i+1)
	b.refresh(s, i)
	b.journal = append(b.journal, undo{stand: s, at: i, e: e, due: due})
	if due {
		b.gone[e.item] = true
		b.left[b.order[e.item]]--
		b.dues--
		b.next()
	}
	return e
}

// insert puts an entry into a stand before its ith.
func (b *board) insert(s, i int, e entry) {
	b.lists[s] = slices.Insert(b.lists[s], i, e)
	b.refresh(s, i)
	b.journal = append(b.journal, undo{stand: s, at: i, in: true})
}

// back takes back all that was done since the journal and the moves were so
// long.
func (b *board) back(journal, moves int) {
	for len(b.journal) > journal {
		u := b.journal[len(b.journal)-1]
		b.journal = b.journal[:len(b.journal)-1]
		if u.in {
			b.lists[u.stand] = slices.Delete(b.lists[u.stand], u.at, u.at+1)
		} else {
			b.lists[u.stand] = slices.Insert(b.lists[u.stand], u.at, u.e)
		}
		b.refresh(u.stand, u.at)
		if u.due {
			b.gone[u.e.item] = false
			o := b.order[u.e.item]
			b.left[o]++
			b.dues++
			b.cur = min(b.cur, o)
		}
	}
	b.moves = b.moves[:moves]
}

// clone returns a copy whose moves can be taken back no further.
func (b *board) clone() *board {
	c := *b
	c.lists = make([][]entry, len(b.lists))
	n := 0
	for s := range b.lists {
		n += len(b.lists[s])
	}
	all := make([]entry, 0, n)
	for s := range b.lists {
		from := len(all)
		all = append(all, b.lists[s]...)
		c.lists[s] = all[from:len(all):len(all)]
	}
	c.lost, c.left, c.gone, c.moves = slices.Clone(b.lost), slices.Clone(b.left), slices.Clone(b.gone), slices.Clone(b.moves)
	c.journal = nil
	return &c
}
