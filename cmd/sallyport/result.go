package main

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/paper"
	"sallyport/internal/picture"
	"sallyport/internal/workbook"
)

// planResult is the result of plan, check and demo in JSON.
type planResult struct {
	Title        string            `json:"title,omitempty"`
	Workable     bool              `json:"workable"`
	BestPossible bool              `json:"best_possible"` // for the rules and figures given
	Bound        sallyport.Amount  `json:"bound"`         // no plan costs less; 0: not known
	Why          []string          `json:"why,omitempty"` // why no complete plan was found
	Cost         sallyport.Cost    `json:"cost"`
	Faults       []sallyport.Fault `json:"faults"`
	OrderAlone   []sallyport.Fault `json:"order_alone"`
	Plan         *sallyport.Plan   `json:"plan,omitempty"`
}

// resultOf returns an answer for JSON.
func resultOf(a *desk.Answer, withPlan bool) planResult {
	r := planResult{
		Title: a.Title, Workable: a.Workable(), BestPossible: a.BestPossible(), Bound: a.Bound, Why: a.Why,
		Cost: a.Report.Cost, Faults: orEmpty(a.Report.Faults), OrderAlone: orEmpty(a.Report.OrderAlone),
	}
	if withPlan {
		r.Plan = a.Plan
	}
	return r
}

// orEmpty returns a list that is written as [] when there is nothing in it.
func orEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// say adds sentences to the answer.
func (c *console) say(lines ...string) { c.answer.Summary = append(c.answer.Summary, lines...) }

// judge takes the exit code and the lists of what was not checked and assumed
// from an answer.
func (c *console) judge(a *desk.Answer) {
	c.answer.Code = a.Code()
	c.answer.NotChecked, c.answer.Assumed = a.Report.NotChecked, a.Report.Assumed
}

// otherFiles are endings of files that people may expect, but plan does not
// write; a folder of such a name would be a surprise.
var otherFiles = []string{".xls", ".ods", ".csv", ".pdf", ".svg", ".png", ".htm", ".txt", ".md"}

// writable returns an error when a plan cannot be written as path asks.
func writable(path string) error {
	if ext := strings.ToLower(filepath.Ext(path)); slices.Contains(otherFiles, ext) {
		return sallyport.Errorf(sallyport.CodeInput, "give a folder, or a name ending in .html, .json or .xlsx", "no plan is written as %s", ext)
	}
	return nil
}

// kind returns the ending of a file that plan and explain write, "" for a
// folder.
func kind(path string) string {
	switch ext := strings.ToLower(filepath.Ext(path)); ext {
	case ".json", ".html", ".xlsx":
		return ext
	}
	return ""
}

// save writes what --out asks for, of several plans the first in a folder of
// its own, and so on.
func (a *planArgs) save(c *console, given *sallyport.Show, answers []*desk.Answer) error {
	if a.Out == "" {
		c.say("", "Nothing is written: --out FOLDER keeps the plan, its page and its pictures.")
		return nil
	}
	for i, x := range answers {
		out := a.Out
		if len(answers) > 1 {
			out = numbered(out, i+1)
		}
		if err := savePlan(c, a.outFlags, out, given, x); err != nil {
			return err
		}
	}
	return nil
}

// mostVariants is how many plans --variants gives at most.
const mostVariants = 3

// numbered returns where the nth of several plans goes: a folder in a folder,
// or a file with the number before its ending.
func numbered(out string, n int) string {
	if kind(out) == "" {
		return filepath.Join(out, strconv.Itoa(n))
	}
	ext := filepath.Ext(out)
	return strings.TrimSuffix(out, ext) + "-" + strconv.Itoa(n) + ext
}

// pageFile is the first file that is written into the folder of a plan.
const pageFile = "plan.html"

// savePlan writes a plan of a show, as it was given, into a file or a folder.
func savePlan(c *console, o outFlags, out string, given *sallyport.Show, a *desk.Answer) error {
	switch kind(out) {
	case ".json":
		return o.write(c, out, "the plan", planJSON(a))
	case ".html":
		return o.write(c, out, "the plan on one page", pageHTML(a, nil))
	case ".xlsx":
		return o.write(c, out, "the show's workbook with the plan in its sheet of places", func(w io.Writer) error {
			return workbook.WriteXLSX(w, given, sallyport.SketchOf(a.Plan))
		})
	}
	if err := folder(out); err != nil {
		return err
	}
	why, err := desk.Explain(c.ctx, a.Show, a.Plan, desk.ExplainOptions{}, nil)
	if err != nil {
		return err
	}
	if err := o.write(c, filepath.Join(out, pageFile), "the whole plan on one page, for screen, phone and printer", pageHTML(a, why)); err != nil {
		return err
	}
	if err := o.write(c, filepath.Join(out, "plan.json"), "the plan, for sallyport check, explain and draw", planJSON(a)); err != nil {
		return err
	}
	for day := 1; day <= len(a.Show.Days); day++ {
		name := fmt.Sprintf("day-%d.svg", day)
		if err := o.write(c, filepath.Join(out, name), dayName(a.Show, day)+" in pictures", strip(a, day)); err != nil {
			return err
		}
	}
	return nil
}

func planJSON(a *desk.Answer) func(w io.Writer) error {
	return func(w io.Writer) error { return workbook.WritePlanJSON(w, a.Plan) }
}

func pageHTML(a *desk.Answer, why *desk.Explanation) func(w io.Writer) error {
	return func(w io.Writer) error { return paper.HTML(w, desk.Page(a, why)) }
}

// strip draws a day of a plan as a strip of pictures.
func strip(a *desk.Answer, day int) func(w io.Writer) error {
	return func(w io.Writer) error {
		o := picture.Options{Title: a.Show.Name + ", " + dayName(a.Show, day), Columns: 2, Foot: desk.FootWords(a.Report)}
		_, err := w.Write(picture.Strip(a.Show, picture.Moments(a.Show, a.Plan, day), o))
		return err
	}
}

// dayName returns a day's name, "day 2" when it has none.
func dayName(show *sallyport.Show, day int) string {
	if name := show.Days[day-1].Name; name != "" {
		return name
	}
	return "day " + strconv.Itoa(day)
}
