package clear

import (
	"cmp"
	"slices"

	sp "sallyport"
)

// greedy moves, again and again, the most promising of those who stand in the
// way of the vehicle that is easiest to let out next.
func (s *search) greedy() {
	b := s.b.clone()
	most := 4*len(b.p.Items) + 16
	only := search{opt: Options{Restricted: true}}
	var list []candidate
	for n := 0; n < most && b.dues > 0; n++ {
		list = only.candidates(b, list[:0])
		if len(list) == 0 {
			return
		}
		best := 0
		for i := range list {
			if b.inWay(list[i].from) < b.inWay(list[best].from) {
				best = i
			}
		}
		s.tick()
		b.make(list[best].step, list[best].end)
	}
	if b.dues == 0 {
		s.keep(b)
	}
}

// inWay returns how many stand between an end of a stand and the nearest of
// the next to leave.
func (b *board) inWay(s int) int {
	list := b.lists[s]
	least := len(list)
	for i := range list {
		if b.order[list[i].item] == b.cur {
			least = min(least, len(list)-1-i)
			if b.p.Stands[s].Kind == Either {
				least = min(least, i)
			}
		}
	}
	return least
}

// ray is one position of a beam.
type ray struct {
	from   *board // one move before it
	move   candidate
	rank   int // moves that it needs at least
	short  sp.Centimetres
	spread int
	done   bool
}

// board returns the position of a ray.
func (r *ray) board() *board {
	b := r.from.clone()
	b.make(r.move.step, r.move.end)
	b.journal = b.journal[:0]
	return b
}

// beam goes on from the best width positions of each number of moves. As long
// as it left out none, no answer is shorter than it has come.
func (s *search) beam(width int) {
	if !s.open() || s.answer.Proven {
		return
	}
	whole := true
	boards := []*board{s.b.clone()}
	seen := map[key]bool{s.b.key(): true}
	var rays []ray
	for depth := 1; len(boards) > 0; depth++ {
		if whole {
			s.answer.Bound = max(s.answer.Bound, depth)
		}
		if s.answer.Found && depth >= s.answer.Count {
			return
		}
		rays = rays[:0]
		for _, b := range boards {
			if rays = s.onward(b, seen, rays); s.stopped {
				return
			}
			if n := len(rays); n > 0 && rays[n-1].done {
				s.keep(rays[n-1].board())
				return
			}
		}
		slices.SortStableFunc(rays, func(x, y ray) int {
			return cmp.Or(cmp.Compare(x.rank, y.rank), cmp.Compare(x.short, y.short), cmp.Compare(x.spread, y.spread))
		})
		whole = whole && len(rays) <= width
		boards = boards[:0:0]
		for i := range rays[:min(width, len(rays))] {
			boards = append(boards, rays[i].board())
		}
	}
	s.answer.Proven = whole // there is no way
}

// onward adds the positions one move from another that were not seen before.
// It ends with the first in which all have left.
func (s *search) onward(b *board, seen map[key]bool, rays []ray) []ray {
	moves := len(b.moves)
	for _, c := range s.candidates(b, nil) {
		s.tick()
		if s.stopped {
			break
		}
		b.make(c.step, c.end)
		done := b.dues == 0
		if k := b.key(); !seen[k] {
			seen[k] = true
			rays = append(rays, ray{b, c, b.bad + s.bound.extra(b, len(b.p.Items)), b.shortage(), s.bound.spread(b), done})
		}
		b.back(0, moves)
		if done {
			break
		}
	}
	return rays
}

// spread tells positions of one bound apart: the fewer who stand before
// somebody who leaves soon, the better.
func (x *bounder) spread(b *board) int {
	sum := 0
	for s := range b.lists {
		for i := range b.lists[s] {
			if e := &b.lists[s][i]; e.bad {
				sum += int(b.never - e.low)
			}
		}
	}
	return sum
}

// shortage returns how much room is missing for those who stand nearest the
// ends of the stands of the next to leave, where it is missing least; who may
// not go to a stand as it is counts as missing all of his length there.
func (b *board) shortage() sp.Centimetres {
	var sum sp.Centimetres
	for s := range b.lists {
		if !b.awaited(s) {
			continue
		}
		b.ends(s, func(i int, _ sp.End) {
			item := b.lists[s][i].item
			if b.order[item] == b.cur {
				return
			}
			it := &b.p.Items[item]
			least := it.Length
			for k := range it.Ways {
				if w := &it.Ways[k]; w.To != s {
					least = min(least, b.misses(item, s, w))
				}
			}
			sum += least
		})
	}
	return sum
}

// misses returns how much room an item misses in a stand.
func (b *board) misses(item int32, from int, w *Way) sp.Centimetres {
	st, it, list := &b.p.Stands[w.To], &b.p.Items[item], b.lists[w.To]
	e, _, ok := b.place(item, from, w)
	switch {
	case ok:
		return 0
	case st.Kind == Aside && (st.Serves == nil || st.Serves[from]):
		return min(it.Length, b.needs(st, list, item)-st.Length)
	case st.Kind == Aside || st.Deep > 0 && len(list) >= st.Deep || st.Barred[number(w.End)] || !b.company(item, list, st.Kind):
		return it.Length
	}
	if w.Reverse && !it.Carried && reach(st, max(e.from, 0), it.Length, w.End) > it.Backs {
		return it.Length
	}
	return min(it.Length, max(-e.from, e.from+it.Length-st.Length, 0))
}
