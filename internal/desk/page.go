package desk

import (
	"sallyport"
	"sallyport/internal/paper"
	"sallyport/internal/picture"
)

// Page returns what the page of a plan is made from. why may be nil.
func Page(a *Answer, why *Explanation) paper.Input {
	in := paper.Input{
		Title: a.Title, Show: a.Show, Plan: a.Plan, Report: a.Report, Verdict: a.sentences(),
		Drawing: paper.Drawing{Style: picture.Style(), Defs: picture.Defs(), Draw: picture.Inline(a.Show)},
	}
	if a.Title != "" {
		in.Title = a.Show.Name + ": " + a.Title
	}
	if why == nil {
		return in
	}
	for _, r := range why.Reasons {
		e := paper.Explanation{Title: r.Item.Why, Why: r.Forced, Serial: r.Item.Serial, Move: r.Item.Move}
		if r.Cure != nil {
			e.Cure, e.Saves = r.Cure.Change, sallyport.Amount(r.Cure.Saves)
		}
		in.Explanations = append(in.Explanations, e)
	}
	return in
}
