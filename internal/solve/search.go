package solve

import (
	"cmp"
	"context"
	"math/rand/v2"
	"runtime"
	"slices"
	"time"

	"sallyport"
	"sallyport/internal/together"
)

// streams is how many searches run beside each other, whatever the number of
// cores: the plan must not depend on it. So many as starters begin; when one
// part in raceEvery of the budget is spent, or raceSteps are, only the best
// go on.
const (
	streams         = 2
	starters        = 6
	raceEvery       = 4
	raceSteps int64 = 10_000_000
)

// roundSteps is how many steps each stream makes between two merges, about a
// thirtieth of a second.
const roundSteps int64 = 400_000

// search is one run of Solve: streams that search on their own for a round and
// are then merged, in a fixed order.
type search struct {
	ctx     context.Context
	p       *problem // of the best board: base with its shifts
	base    *problem // nobody shifted
	shifts  []shift
	holds   holds
	opt     Options
	report  func(Progress)
	budget  int64
	streams []*stream
	kept    []shiftedBoard // boards to come back to, the cheapest last
	guards  int            // rounds of keeping the clock so far
	moved   int            // homes of the prover that a stream has been given
	best    *board
	steps   int64
	spent   int64 // steps of streams that have given up
	bound   bound
	floor   int64   // that bound as a cost of boards
	proof   *prover // nil: the quick bound is all there is
	stale   int     // rounds without an improvement
	trace   []Progress
	began   time.Time
	told    time.Time
	telling time.Duration // that the last report took
}

// stream is one searcher with its own board and its own random numbers.
type stream struct {
	p      *problem
	b      *board
	best   *board
	rnd    *rand.Rand
	route  route
	units  []int32 // being moved
	old    []int32 // their places before
	dp     *lanesDP
	lanes  []int32 // being shared out
	start  int64   // steps of the board when the round began
	floor  int64   // no board costs less
	resets bool    // lanes may be put in order in reset windows

	better int64   // steps of the board when it was last the best
	kicked int64   // steps when it was last kicked
	temp   float64 // at which lanes are shared out
	remedy int     // against a standstill, in remedies
}

// newStream returns stream number n with an empty board.
func newStream(p *problem, opt Options, n uint64) *stream {
	return &stream{
		resets: !opt.NoResets && len(p.resets) > 0, dp: newLanesDP(p, newLaneEval(p)), p: p,
		b: newBoard(p), best: newBoard(p), rnd: rand.New(rand.NewPCG(opt.Seed, n)), remedy: int(n % uint64(len(remedies))),
	}
}

func newSearch(ctx context.Context, p *problem, opt Options, report func(Progress)) *search {
	s := &search{ctx: ctx, p: p, base: p, opt: opt, report: report, budget: opt.Steps, best: newBoard(p)}
	s.holds.barred = make(map[shift]bool)
	s.holds.rnd = rand.New(rand.NewPCG(opt.Seed, starters))
	if s.budget <= 0 {
		s.budget = DefaultSteps
	}
	if s.opt.Workers <= 0 {
		s.opt.Workers = runtime.GOMAXPROCS(0)
	}
	for i := range p.starters() {
		s.streams = append(s.streams, newStream(p, opt, i))
	}
	if opt.Now != nil {
		s.began = opt.Now()
		s.told = s.began
	}
	return s
}

// starters is how many streams begin: in a large show filling the park takes
// so long that only those begin which are to go on.
func (p *problem) starters() uint64 {
	if len(p.units) > starterUnits {
		return streams
	}
	return starters
}

// starterUnits is the size of a show up to which more streams begin than go on.
const starterUnits = 300

// run searches until the budget is spent, the context ends or nothing is left
// to gain, and leaves the best board in s.best.
func (s *search) run() {
	s.wish()
	s.bound = lowerBound(s.ctx, s.p)
	s.floor = int64(s.bound.total)
	for _, st := range s.streams {
		st.floor = s.floor
	}
	if s.opt.Warm != nil {
		s.warm(s.opt.Warm)
	} else {
		s.each(func(st *stream) {
			if st.b.wishes != nil {
				st.sketchBoard()
			} else {
				st.construct(s.ctx)
			}
		})
	}
	s.merge("first plan")
	if s.startProof(); s.proof != nil {
		defer s.proof.stop()
	}
	for s.steps < s.budget && s.ctx.Err() == nil && s.best.worth() > s.floor {
		s.cheapen()
		s.besideProof(func() { s.each(func(st *stream) { st.improve(s.ctx, roundSteps) }) })
		s.merge("improving")
		s.moveIn()
		s.race()
		if s.holds.rounds == 0 && s.steps >= s.budget-s.budget/lateShifts {
			s.shiftRound()
		}
	}
	s.lastShifts()
	s.inTime()
	s.tell("done", true)
}

// race lets only the best streams go on once its part of the budget is spent.
func (s *search) race() {
	if len(s.streams) == streams || s.steps < min(s.budget/raceEvery, raceSteps) {
		return
	}
	slices.SortStableFunc(s.streams, func(a, b *stream) int { return cmp.Compare(a.best.worth(), b.best.worth()) })
	for _, st := range s.streams[streams:] {
		s.spent += st.b.steps
	}
	s.streams = s.streams[:streams]
	for i, st := range s.streams {
		st.remedy = i % len(remedies)
	}
}

// wish makes every board start from the sketch, if there is one.
func (s *search) wish() {
	if len(s.opt.Sketch) == 0 {
		return
	}
	w := wishes{lanes: s.p.sketched(s.opt.Sketch), most: s.opt.MaxChanges}
	if w.most > 0 {
		w.amount = firstWish
	}
	for _, st := range s.streams {
		mine := w
		st.b.wish(&mine)
		st.best.wish(&mine)
	}
	s.best.wish(&w)
}

// firstWish is the first price of differing from a sketch; it falls by a
// tenth each round.
const firstWish = 20_000

// cheapen lowers the price of differing from the sketch.
func (s *search) cheapen() {
	if w := s.best.wishes; w == nil || w.amount == 0 {
		return
	}
	for _, st := range s.streams {
		w := *s.best.wishes
		w.amount -= max(1, w.amount/10)
		st.b.wish(&w)
		st.best.wish(&w)
	}
	s.best.wish(s.streams[0].b.wishes)
}

// each runs f for every stream on as many goroutines as there are workers.
func (s *search) each(f func(*stream)) {
	if s.opt.Workers == 1 {
		for _, st := range s.streams {
			f(st)
		}
		return
	}
	var rounds together.Parts
	for _, st := range s.streams {
		rounds.Go(func() { f(st) })
	}
	rounds.Wait()
}

// merge takes over what the streams have found, in their order. When for a
// while none has found anything better, the streams behind start again from
// the best board.
func (s *search) merge(phase string) {
	better := false
	s.steps = s.holds.steps + s.spent
	for _, st := range s.streams {
		s.steps += st.b.steps
		if st.best.worth() < s.best.worth() {
			s.best.copyFrom(st.best)
			better = true
		}
	}
	s.stale++
	if better {
		s.stale = 0
		s.keep()
		s.tell(phase, false)
	}
	if s.stale >= apartRounds {
		s.stale = 0
		for _, st := range s.streams {
			if st.best.worth() > s.best.worth() {
				st.b.copyFrom(s.best)
				st.best.copyFrom(s.best)
			}
		}
	}
}

// apartRounds is how many rounds without an improvement streams stay apart:
// long enough for each to be unsettled a few times. staleRounds is how many
// mean a standstill.
const (
	apartRounds = 48
	staleRounds = 8
)

// tellEvery is the least time between two reports; to make one may take one
// part in tellShare of the time since the last.
const (
	tellEvery = 50 * time.Millisecond
	tellShare = 10
)

// tell reports progress; always, or only when the last report is old enough.
func (s *search) tell(phase string, always bool) {
	if s.report == nil {
		return
	}
	pr := Progress{Steps: s.steps, Phase: phase, Workable: s.best.worth() < anyWorkable, Bound: s.bound.total}
	if s.opt.Now != nil {
		now := s.opt.Now()
		if !always && len(s.trace) > 0 && now.Sub(s.told) < max(tellEvery, tellShare*s.telling) && pr.Workable == s.trace[len(s.trace)-1].Workable {
			return
		}
		s.told = now
		pr.Elapsed = now.Sub(s.began)
	}
	pr.Cost = sallyport.Evaluate(s.p.show, s.p.plan(s.best))
	for i := range pr.Cost.Terms {
		pr.Cost.Terms[i].Items = nil
	}
	if s.opt.Now != nil {
		s.telling = s.opt.Now().Sub(s.told)
	}
	s.trace = append(s.trace, pr)
	s.report(pr)
}
