package solve

import "sallyport/internal/together"

// The first earlyProof steps of proof are made earlyRate times as fast, so that
// there is a bound soon.
const (
	earlyProof int64 = 450_000_000
	earlyRate  int64 = 6
)

// proofSteps is how many steps the prover makes beside one round of the
// streams: about half of what one of them makes in the same time.
const proofSteps int64 = 2_000_000

// startProof begins to look for better bounds, of the show without shifts,
// whatever the search begins from. A plan that begins in the middle of a show
// has only the quick one.
func (s *search) startProof() {
	if s.p.begin != nil {
		return
	}
	s.proof = newProver(s.ctx, s.base, freedom{holds: !s.opt.NoHolds, resets: !s.opt.NoResets}, s.bound)
}

// besideProof runs a round of the streams with the prover beside it and takes
// over the bound that it has found by then, which does not depend on the
// number of cores.
func (s *search) besideProof(round func()) {
	if s.proof == nil {
		round()
		return
	}
	limit := min(s.best.worth(), noLimit)
	if s.opt.Workers == 1 {
		round()
		s.prove(limit)
		s.floorRises()
		return
	}
	var beside together.Parts
	beside.Go(func() { s.prove(limit) })
	round()
	beside.Wait()
	s.floorRises()
}

// prove lets the prover go on for a while.
func (s *search) prove(limit int64) {
	steps := proofSteps
	if s.proof.steps < earlyProof {
		steps *= earlyRate
	}
	if !s.proof.done {
		s.proof.work(limit, steps)
	}
}

// floorRises takes over the prover's bound.
func (s *search) floorRises() {
	if s.proof.bound.total <= s.bound.total {
		return
	}
	s.bound = s.proof.bound
	s.floor = int64(s.bound.total)
	for _, st := range s.streams {
		st.floor = s.floor
	}
	s.tell("better bound", false)
}
