package clear

import (
	"slices"

	sp "sallyport"
)

// later returns the price of standing before those in a dead end who leave
// earlier than an item does, as far as that is known.
func (b *board) later(item int32, to int) sp.Amount {
	it := &b.p.Items[item]
	if it.InWay == 0 || b.p.Stands[to].Kind != Dead {
		return 0
	}
	var sum sp.Amount
	for i := range b.lists[to] {
		if o := b.p.Items[b.lists[to][i].item].Next; o != 0 && (it.Next == 0 || o < it.Next) {
			sum += it.InWay
		}
	}
	return sum
}

// cheapen looks, among the answers with the fewest moves, for the cheapest. A
// tenth of the steps is spent on it.
func (s *search) cheapen() {
	if s.answer.Count == 0 || s.answer.Price == 0 {
		return
	}
	c := &search{ctx: s.ctx, opt: s.opt, b: s.b, bound: s.bound, last: -1, limit: s.answer.Count, answer: s.answer}
	c.opt.Steps = min(s.opt.Steps/10, s.opt.Steps-s.steps)
	c.cheaper(0, 0)
	s.answer.Price, s.answer.Moves = c.answer.Price, c.answer.Moves
	s.steps += c.steps
}

// cheaper goes on from a position after depth moves at a price.
func (s *search) cheaper(depth int, price sp.Amount) {
	if s.b.dues == 0 {
		s.keep(s.b)
		return
	}
	list := s.candidates(s.b, nil)
	slices.SortStableFunc(list, func(x, y candidate) int { return int(x.way.Price - y.way.Price) })
	last := s.last
	defer func() { s.last = last }()
	for i := range list {
		c := &list[i]
		item := s.b.lists[c.from][c.at].item
		if item == last || price+c.way.Price >= s.answer.Price {
			continue
		}
		journal, moves := s.try(c, item)
		spare := s.limit - depth - 1 - s.b.bad
		if next := price + s.b.moves[moves].Price; next < s.answer.Price && spare >= 0 && s.bound.extra(s.b, spare+1) <= spare {
			s.cheaper(depth+1, next)
		}
		s.b.back(journal, moves)
		if s.stopped {
			return
		}
	}
}
