package web

import (
	"fmt"
	"slices"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/picture"
	"sallyport/internal/store"
)

// answerBody is a plan with what there is to say about it.
type answerBody struct {
	Title        string                 `json:"title,omitempty"`
	Workable     bool                   `json:"workable"`
	BestPossible bool                   `json:"best_possible"`
	Bound        sallyport.Amount       `json:"bound"`
	Verdict      []string               `json:"verdict"`
	Why          []string               `json:"why,omitempty"`
	Faults       []sallyport.Fault      `json:"faults"`
	OrderAlone   []sallyport.Fault      `json:"order_alone"`
	Cost         sallyport.Cost         `json:"cost"`
	Plan         *sallyport.Plan        `json:"plan"`
	NotChecked   []string               `json:"not_checked"`
	Assumed      []sallyport.Assumption `json:"assumed"`
}

func answerOf(a *desk.Answer) answerBody {
	return answerBody{
		Title: a.Title, Workable: a.Report.Workable(), BestPossible: a.BestPossible(), Bound: a.Bound, Verdict: a.Verdict(), Why: a.Why,
		Faults: orEmpty(a.Report.Faults), OrderAlone: orEmpty(a.Report.OrderAlone), Cost: a.Report.Cost, Plan: a.Plan,
		NotChecked: orEmpty(a.Report.NotChecked), Assumed: orEmpty(a.Report.Assumed),
	}
}

// orEmpty returns a list that is written as [] when there is nothing in it.
func orEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// planBody is the result of a job "plan". Says tells how far a plan that was
// asked to stand any one failure to start does so, and what that costs.
type planBody struct {
	answerBody
	Says []string `json:"says"`
}

type planResult struct {
	*desk.Answer
	says []string
}

func (r planResult) body() any { return planBody{answerOf(r.Answer), orEmpty(r.says)} }

// variantsBody is the result of a job "variants".
type variantsBody struct {
	Rows    []desk.Row   `json:"rows"`
	Answers []answerBody `json:"answers"`
}

type variantsResult struct {
	given   *sallyport.Show
	answers []*desk.Answer
}

func (r variantsResult) body() any {
	b := variantsBody{Rows: []desk.Row{}, Answers: []answerBody{}}
	for _, a := range r.answers {
		b.Rows, b.Answers = append(b.Rows, desk.RowOf(a, a.Title)), append(b.Answers, answerOf(a))
	}
	return b
}

func (r variantsResult) base() *sallyport.Show { return r.given }

func (r variantsResult) choose(c Choice) (store.Content, string, error) {
	if c.Variant < 1 || c.Variant > len(r.answers) {
		return store.Content{}, "", sallyport.Errorf(sallyport.CodeInput, fmt.Sprintf("give 1 to %d", len(r.answers)), "there is no variant %d", c.Variant)
	}
	a := r.answers[c.Variant-1]
	return store.Content{Show: r.given, Plan: a.Plan}, "variant taken: " + a.Title, nil
}

// adviseBody is the result of a job "advise".
type adviseBody struct {
	*desk.Advised
	Says       []string               `json:"says"`
	NotChecked []string               `json:"not_checked"`
	Assumed    []sallyport.Assumption `json:"assumed"`
}

type adviseResult struct {
	given *sallyport.Show
	*desk.Advised
}

func (r adviseResult) body() any {
	return adviseBody{r.Advised, r.Words(), orEmpty(r.Base.Report.NotChecked), orEmpty(r.Base.Report.Assumed)}
}

func (r adviseResult) base() *sallyport.Show { return r.given }

func (r adviseResult) choose(c Choice) (store.Content, string, error) {
	if c.Set < 1 || c.Set > len(r.Sets) {
		return store.Content{}, "", sallyport.Errorf(sallyport.CodeInput, fmt.Sprintf("give 1 to %d", len(r.Sets)), "there is no set of changes %d", c.Set)
	}
	set := r.Sets[c.Set-1]
	what := "advice taken: " + set.Changes[0].What
	if n := len(set.Changes); n > 1 {
		what += fmt.Sprintf(" and %d more", n-1)
	}
	return store.Content{Show: set.Show, Plan: set.Answer.Plan}, what, nil
}

// worstSaid is how many failures are described in sentences.
const worstSaid = 10

// failuresBody is the result of a job "failures".
type failuresBody struct {
	*sallyport.FailureMatrix
	Stands bool               `json:"stands"`
	Part   bool               `json:"part,omitempty"` // stopped: some of the failures only
	Starts []desk.StartRecord `json:"starts"`
	Says   []string           `json:"says"`
	SVG    string             `json:"svg"`
}

type failuresResult struct {
	*desk.Failures
	present *desk.Answer
}

func (r failuresResult) body() any {
	m := *r.Matrix
	m.NotChecked = orEmpty(slices.Concat(m.NotChecked, r.present.Report.NotChecked))
	m.Assumed = orEmpty(slices.Concat(m.Assumed, r.Show.Assumed))
	return failuresBody{&m, r.Matrix.Stands() && !r.Part, r.Part, orEmpty(r.Starts), r.Summary(worstSaid), string(picture.Matrix(r.Show, r.Matrix))}
}

// explainBody is the result of a job "explain".
type explainBody struct {
	*desk.Explanation
	Part       bool                   `json:"part,omitempty"` // stopped: not all cures were looked for
	Says       []string               `json:"says"`
	NotChecked []string               `json:"not_checked"`
	Assumed    []sallyport.Assumption `json:"assumed"`
}

type explainResult struct {
	*desk.Explanation
	part    bool
	present *desk.Answer
}

func (r explainResult) body() any {
	return explainBody{r.Explanation, r.part, r.Words(r.part), orEmpty(r.present.Report.NotChecked), orEmpty(r.present.Report.Assumed)}
}

// noticeBody is one thing that people have to be told, and its line.
type noticeBody struct {
	desk.Notice
	Line string `json:"line"`
}

// replanBody is the result of a job "replan".
type replanBody struct {
	At         sallyport.Instant      `json:"at"`
	Happened   []sallyport.Happening  `json:"happened"`
	Proposed   int                    `json:"proposed,omitempty"` // how many of these, the last ones, the answer itself proposes
	Workable   bool                   `json:"workable"`
	AsTold     bool                   `json:"as_told"` // the last issue goes on, save for who has dropped out
	Notices    []noticeBody           `json:"notices"`
	Says       []string               `json:"says"`
	Why        []string               `json:"why"`
	Cost       sallyport.Cost         `json:"cost"`
	Faults     []sallyport.Fault      `json:"faults"`
	Plan       *sallyport.Plan        `json:"plan"`
	NotChecked []string               `json:"not_checked"`
	Assumed    []sallyport.Assumption `json:"assumed"`
}

type replanResult struct {
	given *sallyport.Show
	*desk.Replanned
}

func (r replanResult) body() any {
	b := replanBody{
		At: r.At, Happened: orEmpty(r.Happened), Proposed: r.Proposed, Workable: r.Workable(), AsTold: r.Carried, Notices: []noticeBody{},
		Says: r.Summary(), Why: orEmpty(r.Why), Cost: r.Report.Cost, Faults: orEmpty(r.Report.Faults), Plan: r.Plan,
		NotChecked: r.NotChecked(), Assumed: orEmpty(r.Report.Assumed),
	}
	for _, n := range r.Changes {
		b.Notices = append(b.Notices, noticeBody{n, n.Line(r.Show)})
	}
	return b
}

func (r replanResult) base() *sallyport.Show { return nil }

func (r replanResult) choose(Choice) (store.Content, string, error) {
	return store.Content{Show: r.given, Plan: r.Plan}, "gone on from " + r.Show.When(r.At), nil
}
