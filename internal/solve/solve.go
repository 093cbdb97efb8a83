package solve

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"time"

	"sallyport"
)

// Version is the version of the search: two builds with the same version give
// the same plan for the same show, seed and steps.
const Version = "2"

// DefaultSteps is the budget when Options gives none: enough for a show of
// sixty vehicles to settle, about two seconds of one core.
const DefaultSteps int64 = 40_000_000

// Options says how to search. The zero value is the usual way.
type Options struct {
	Seed    uint64
	Steps   int64 // events played, at most; 0: DefaultSteps; only this and Seed decide the plan
	Workers int   // goroutines; 0: one for every core. The plan does not depend on it

	NoResets bool // lanes are not put in order in reset windows
	NoHolds  bool // nobody is held back or pulled out early

	Sketch     []sallyport.Placement // a plan made by hand, from which the search starts
	MaxChanges int                   // at most so many stays may differ from Sketch; 0: no limit

	Warm *sallyport.Plan // a plan of this show, or of one a little different, from which the search starts; resets and shifts are kept as far as they go

	Stand bool // before all other costs, as few entries as can be stay behind when any one vehicle does not start

	Now func() time.Time // for Progress only; nil: no times are reported
}

// Progress is a sign of life: given at every improvement, at most a few times
// a second.
type Progress struct {
	Steps    int64
	Elapsed  time.Duration
	Cost     sallyport.Cost   // terms without their items
	Bound    sallyport.Amount // no plan costs less
	Phase    string
	Workable bool // breaks no rule, as far as lanes decide it
}

// Result is what a search found.
type Result struct {
	Plan   *sallyport.Plan
	Report sallyport.Report
	Bound  sallyport.Amount // no plan that serves as much costs less; with NoHolds or NoResets: none that does without these
	Trace  []Progress
	Why    []string // when it is not workable: who and what, and how much is missing
}

// Solve looks for the plan that costs least. The show need not be complete.
// When ctx ends it returns the best plan so far; that plan is then not
// repeatable. A show that contradicts itself (sallyport.Validate) is planned as
// far as it makes sense.
func Solve(ctx context.Context, show *sallyport.Show, opt Options, report func(Progress)) (*Result, error) {
	if show == nil || len(show.Park.Lanes) == 0 {
		return nil, errNoLane()
	}
	p := compile(sallyport.Complete(show))
	if opt.Stand {
		p.standAny()
	}
	s := newSearch(ctx, p, opt, report)
	s.run()
	return s.result(s.best), nil
}

func errNoLane() error {
	return sallyport.Errorf(sallyport.CodeInput, "give at least one lane with its length", "there is no lane to park in")
}

// result writes the board out and has it judged.
func (s *search) result(b *board) *Result {
	plan := s.p.plan(b)
	plan.Key = sallyport.Key{Version: Version, Seed: s.opt.Seed, Steps: s.budget, Show: fingerprint(s.p.show)}
	if s.p.stand {
		plan.Key.Version += standVersion
	}
	moves, missing := Lay(s.p.show, startState(s.p.show, plan), plan.Moves)
	plan.Moves = moves
	r := &Result{Plan: plan, Report: sallyport.Check(s.p.show, plan), Bound: s.bound.total, Trace: s.trace}
	if !r.Report.Workable() {
		r.Why = append(s.p.why(b), missing...)
	}
	return r
}

// plan writes a board out as a plan whose moves have their nominal moments.
// Units that have no place for some stay are left out altogether, and their
// entries given up.
func (p *problem) plan(b *board) *sallyport.Plan {
	b = b.clone()
	for u := range p.units {
		if b.partly(int32(u)) {
			b.take(int32(u))
		}
	}
	plan := &sallyport.Plan{Format: sallyport.FormatPlan, Show: p.show.Name}
	plan.Start, plan.Moves = expand(b)
	for _, l := range p.lost {
		plan.Unserved = append(plan.Unserved, p.entry(l.entry).ID)
	}
	if p.begin != nil {
		p.carry(plan)
	}
	for a := range p.absences {
		if ab := &p.absences[a]; b.choice[p.units[ab.unit].firstStay] == none {
			for _, e := range ab.entries {
				plan.Unserved = append(plan.Unserved, p.entry(e).ID)
			}
		}
	}
	return plan
}

// partly reports whether some but not all stays of the unit have a place.
func (b *board) partly(u int32) bool {
	un := &b.p.units[u]
	placed := 0
	for s := un.firstStay; s < un.endStay; s++ {
		if b.choice[s] != none {
			placed++
		}
	}
	return placed > 0 && placed < int(un.endStay-un.firstStay)
}

func startState(show *sallyport.Show, plan *sallyport.Plan) sallyport.State {
	state, _ := sallyport.StartState(show, plan)
	return state
}

// fingerprint is a hash of the show as completed.
func fingerprint(show *sallyport.Show) string {
	text, err := json.Marshal(show)
	if err != nil {
		return ""
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8])
}
