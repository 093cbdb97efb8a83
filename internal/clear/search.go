package clear

import (
	"cmp"
	"context"
	"slices"

	sp "sallyport"
)

// search holds what looking for an answer needs.
type search struct {
	ctx     context.Context
	opt     Options
	b       *board
	bound   *bounder
	memo    *memo
	steps   int64
	limit   int // most moves of the present round
	stopped bool
	pool    [][]candidate // by depth
	last    int32         // who was moved last, when nobody left since; -1: nobody
	answer  Answer
	wide    bool // the broad beam was tried
}

// Beams: a narrow one before the search proper, a broad one when that turns
// out to be hard, after so many steps. While there is no answer at all, ever
// broader ones, the last of which looks at every position.
const (
	narrow = 20
	broad  = 500
	hard   = 200_000
)

// candidate is a step with the end by which it begins.
type candidate struct {
	step
	end sp.End
}

// Solve looks for the fewest moves with which everybody leaves who is to
// leave. It is anytime: a quick answer first, then better ones, and a lower
// bound. Who is to leave next and can leave does so at once; nobody is moved
// within his stand or from one Aside to another. The same problem and options
// give the same answer, unless ctx ends the work.
func Solve(ctx context.Context, p *Problem, opt Options) Answer {
	if opt.Steps == 0 {
		opt.Steps = DefaultSteps
	}
	if opt.Memory == 0 {
		opt.Memory = DefaultMemory
	}
	s := &search{ctx: ctx, opt: opt, b: newBoard(p), bound: newBounder(p, opt.Restricted), memo: newMemo(opt.Memory), last: -1}
	s.b.settle()
	s.b.journal = s.b.journal[:0]
	s.run()
	s.answer.Steps = s.steps
	return s.answer
}

// run looks for quick answers, then for shorter ones from the bound upwards.
func (s *search) run() {
	if hopeless(s.b) {
		s.answer.Proven = true
		return
	}
	low := s.b.bad + s.bound.extra(s.b, len(s.b.p.Items))
	s.answer.Bound = low
	s.greedy()
	s.beam(narrow)
	for width := broad; s.open() && !s.answer.Found; width *= 8 {
		if s.beam(width); s.answer.Proven {
			return // there is none
		}
	}
	for s.limit = low; s.open() && (!s.answer.Found || s.limit < s.answer.Count); s.limit++ {
		if s.steps > hard && !s.wide {
			s.wide = true
			s.beam(broad)
		}
		if s.deepen(0) || s.stopped {
			break
		}
		s.answer.Bound = s.limit + 1
	}
	s.answer.Stopped = s.stopped
	if s.answer.Found && s.answer.Bound >= s.answer.Count {
		s.answer.Bound, s.answer.Proven = s.answer.Count, true
		s.cheapen()
	}
}

// open reports whether there is something left to look for, and time for it.
func (s *search) open() bool {
	return !s.stopped && (!s.answer.Found || s.answer.Count > s.answer.Bound)
}

// tick counts one move tried and notices when the work is to stop.
func (s *search) tick() {
	s.steps++
	if s.steps%1024 == 0 {
		s.stopped = s.ctx.Err() != nil
		if s.opt.Report != nil {
			s.opt.Report(s.steps)
		}
	}
	s.stopped = s.stopped || s.steps >= s.opt.Steps
}

// deepen looks for an answer with at most limit moves, depth of which are
// made; it reports whether it found one.
func (s *search) deepen(depth int) bool {
	if s.b.dues == 0 {
		s.keep(s.b)
		return true
	}
	for len(s.pool) <= depth {
		s.pool = append(s.pool, nil)
	}
	list := s.candidates(s.b, s.pool[depth][:0])
	s.pool[depth] = list
	last := s.last
	defer func() { s.last = last }()
	for i := range list {
		c := &list[i]
		item := s.b.lists[c.from][c.at].item
		if item == last {
			continue // it could have gone there at once
		}
		journal, moves := s.try(c, item)
		found := s.worth(depth+1) && s.deepen(depth+1)
		s.b.back(journal, moves)
		if found || s.stopped {
			return found
		}
	}
	return false
}

// off reports whether a move begins or ends aside: then the same could not
// always be had by one move from where the item was before.
func (s *search) off(c *candidate) bool {
	return s.b.p.Stands[c.from].Kind == Aside || s.b.p.Stands[c.way.To].Kind == Aside
}

// worth reports whether a position can lead to an answer within the limit and
// was not looked at with as many moves left.
func (s *search) worth(depth int) bool {
	spare := s.limit - depth - s.b.bad
	if spare < 0 || s.bound.extra(s.b, spare+1) > spare {
		return false
	}
	return s.b.dues == 0 || s.memo.enough(s.b.key(), s.limit-depth)
}

// keep takes over a position in which all have left when it took fewer moves.
func (s *search) keep(b *board) {
	count := 0
	var price sp.Amount
	for _, m := range b.moves {
		if m.To >= 0 {
			count++
			price += m.Price
		}
	}
	if !s.answer.Found || count < s.answer.Count || count == s.answer.Count && price < s.answer.Price {
		s.answer.Found, s.answer.Count, s.answer.Price, s.answer.Moves = true, count, price, slices.Clone(b.moves)
	}
}

// candidates returns the moves that can be made now, the most promising
// first: into a stand where it is in nobody's way, as tight as can be; else
// before who leaves last.
func (s *search) candidates(b *board, list []candidate) []candidate {
	for from := range b.lists {
		if s.opt.Restricted && !b.awaited(from) {
			continue
		}
		b.ends(from, func(i int, end sp.End) {
			item := b.lists[from][i].item
			if !b.canGo(from, i, end) {
				return
			}
			ways := b.p.Items[item].Ways
			for k := range ways {
				w := &ways[k]
				if w.To == from || b.p.Stands[from].Kind == Aside && b.p.Stands[w.To].Kind == Aside || b.twin(from, w) {
					continue
				}
				if _, _, ok := b.place(item, from, w); !ok {
					continue
				}
				low := b.never
				if n := len(b.lists[w.To]); n > 0 && b.p.Stands[w.To].Kind == Dead {
					low = b.lists[w.To][n-1].low
				}
				list = append(list, candidate{step{from: from, at: i, way: w, good: low >= b.order[item], low: low}, end})
			}
		})
	}
	slices.SortStableFunc(list, func(x, y candidate) int { return b.promise(x, y) })
	return list
}

// awaited reports whether one of the next to leave stands in a stand.
func (b *board) awaited(s int) bool {
	if b.p.Stands[s].Kind == Aside {
		return false
	}
	for i := range b.lists[s] {
		if b.order[b.lists[s][i].item] == b.cur {
			return true
		}
	}
	return false
}

// twin reports whether an equal stand with a lower number is empty too, so
// that the way to it stands for this one.
func (b *board) twin(from int, w *Way) bool {
	if len(b.lists[w.To]) > 0 {
		return false
	}
	for t := range w.To {
		if t != from && b.class[t] == b.class[w.To] && len(b.lists[t]) == 0 {
			return true
		}
	}
	return false
}

// promise orders moves.
func (b *board) promise(x, y candidate) int {
	bx, by := b.lists[x.from][x.at].bad, b.lists[y.from][y.at].bad
	gain := func(bad, good bool) int {
		switch {
		case bad && good:
			return 0
		case bad:
			return 1
		case good:
			return 2
		}
		return 3
	}
	if c := cmp.Compare(gain(bx, x.good), gain(by, y.good)); c != 0 {
		return c
	}
	if x.good {
		return cmp.Compare(x.low, y.low)
	}
	return cmp.Compare(y.low, x.low)
}

// try makes the move of a candidate, which is of item, and returns to where
// board.back undoes it.
func (s *search) try(c *candidate, item int32) (journal, moves int) {
	journal, moves = len(s.b.journal), len(s.b.moves)
	dues := s.b.dues
	s.tick()
	s.b.make(c.step, c.end)
	s.last = item
	if s.b.dues != dues || s.off(c) {
		s.last = -1
	}
	return journal, moves
}
