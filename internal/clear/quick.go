package clear

import (
	"cmp"
	"slices"
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

// ray is one position of a beam, and how it is ranked.
type ray struct {
	b      *board
	rank   int
	spread int
}

// beam goes on from the best width positions of each number of moves. As long
// as it left out none, no answer is shorter than it has come.
func (s *search) beam(width int) {
	if !s.open() || s.answer.Proven {
		return
	}
	whole := true
	rays := []ray{{b: s.b.clone()}}
	seen := map[key]bool{s.b.key(): true}
	for depth := 1; len(rays) > 0; depth++ {
		if whole {
			s.answer.Bound = max(s.answer.Bound, depth)
		}
		if s.answer.Found && depth >= s.answer.Count {
			return
		}
		var next []ray
		for _, r := range rays {
			if next = s.onward(r, seen, next); s.stopped {
				return
			}
			if n := len(next); n > 0 && next[n-1].b.dues == 0 {
				s.keep(next[n-1].b)
				return
			}
		}
		slices.SortStableFunc(next, func(x, y ray) int {
			return cmp.Or(cmp.Compare(x.rank, y.rank), cmp.Compare(x.spread, y.spread))
		})
		whole = whole && len(next) <= width
		rays = next[:min(width, len(next))]
	}
	s.answer.Proven = whole // there is no way
}

// onward adds the positions one move from a ray that were not seen before. It
// ends with the first in which all have left.
func (s *search) onward(r ray, seen map[key]bool, next []ray) []ray {
	for _, c := range s.candidates(r.b, nil) {
		s.tick()
		if s.stopped {
			break
		}
		moves := len(r.b.moves)
		r.b.make(c.step, c.end)
		if k := r.b.key(); !seen[k] {
			seen[k] = true
			next = append(next, ray{r.b.clone(), r.b.bad + s.bound.extra(r.b, len(r.b.p.Items)), s.bound.spread(r.b)})
		}
		done := r.b.dues == 0
		r.b.back(0, moves)
		if done {
			break
		}
	}
	return next
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
