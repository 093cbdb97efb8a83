package desk

import (
	"sallyport/internal/paper"
	"sallyport/internal/picture"
)

// Page returns what the page of a plan is made from.
func Page(a *Answer) paper.Input {
	in := paper.Input{
		Title: a.Title, Show: a.Show, Plan: a.Plan, Report: a.Report, Bound: a.Bound,
		Drawing: paper.Drawing{Style: picture.Style(), Defs: picture.Defs(), Draw: picture.Inline(a.Show)},
	}
	if a.Title != "" {
		in.Title = a.Show.Name + ": " + a.Title
	}
	return in
}
