package desk

import (
	"context"
	"slices"

	"sallyport"
	"sallyport/internal/solve"
)

// leanings are the ways in which a plan can lean: each is searched for on its
// own. All plans are judged and priced by the show as it is.
var leanings = []func(show *sallyport.Show, opt *solve.Options){
	func(*sallyport.Show, *solve.Options) {},
	nobodyAside,
	func(show *sallyport.Show, opt *solve.Options) { nobodyAside(show, opt); cheapEvenings(show, opt) },
}

// nobodyAside makes all that moves aside are weighed against cost a tenth, but
// for resets, so that they are avoided by day wherever they can be.
func nobodyAside(show *sallyport.Show, _ *solve.Options) {
	w := &show.Weights
	w.Entry /= 10
	w.Change /= 10
	w.HeavyMetre /= 10
	w.Together /= 10
}

// cheapEvenings makes moves in a reset window cost a quarter, so that the
// evening takes over what would be moved aside by day.
func cheapEvenings(show *sallyport.Show, _ *solve.Options) {
	show.Resets = slices.Clone(show.Resets)
	for i := range show.Resets {
		r := &show.Resets[i]
		if r.Awkward == 0 {
			r.Awkward = 100
		}
		r.Awkward = max(1, r.Awkward/4)
	}
}

// Variants looks for two or three balanced plans of a complete show, with the
// whole budget for each: moves aside by day against moves in the evening. The
// best comes first; a plan that asks the same of the people as a better one is
// left out. What Plan says about limits and interruption holds here too.
func Variants(ctx context.Context, show *sallyport.Show, opt PlanOptions, report func(solve.Progress)) ([]*Answer, error) {
	var answers []*Answer
	for i, lean := range leanings {
		if i > 0 && ctx.Err() != nil {
			break
		}
		leant, o := *show, opt.solver()
		lean(&leant, &o)
		r, err := search(ctx, &leant, o, opt.Limit, report)
		if err != nil {
			return nil, err
		}
		a := answer(ctx, show, r)
		if i > 0 {
			a.Bound = answers[0].Bound
			a.Plan.Key = sallyport.Key{} // the show and seed alone do not give this plan
			a.Report = sallyport.Check(show, a.Plan)
		}
		a.Title = balance(a)
		answers = append(answers, a)
	}
	slices.SortStableFunc(answers, better)
	return worthOffering(answers), nil
}

// worthOffering returns the answers, in order, that ask less of somebody than
// each one before them: fewer moves aside, or fewer in the evening. Where one
// is workable, none is offered that is not.
func worthOffering(answers []*Answer) []*Answer {
	var offered []*Answer
	for _, a := range answers {
		aside, reset := asked(a)
		beaten := slices.ContainsFunc(offered, func(o *Answer) bool {
			oAside, oReset := asked(o)
			return o.Report.Workable() && !a.Report.Workable() || oAside <= aside && oReset <= reset
		})
		if !beaten {
			offered = append(offered, a)
		}
	}
	return offered
}

// asked returns how many are moved aside and how many in the evenings.
func asked(a *Answer) (aside, reset int) {
	for _, m := range a.Plan.Moves {
		if m.Kind == sallyport.MoveAside {
			aside++
		}
	}
	return aside, a.Report.Cost.Term(sallyport.TermReset).Count
}

// better orders answers: workable before not, then by cost.
func better(a, b *Answer) int {
	switch {
	case a.Report.Workable() != b.Report.Workable():
		if a.Report.Workable() {
			return -1
		}
		return 1
	case a.Report.Cost.Less(b.Report.Cost):
		return -1
	case b.Report.Cost.Less(a.Report.Cost):
		return 1
	}
	return 0
}

// balance names a plan among several by what it asks of the people.
func balance(a *Answer) string {
	aside, reset := asked(a)
	text := "nobody aside"
	if aside > 0 {
		text = count(aside, "move aside", "moves aside")
	}
	if reset > 0 {
		return text + ", " + count(reset, "move in the resets", "moves in the resets")
	}
	return text + ", no resets"
}
