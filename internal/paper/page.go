// Package paper puts a whole plan on one self-contained HTML page for the
// screen, the phone and the printer: what it is worth in words, who is placed
// where, every move of every day in lists, pictures, and what was assumed and
// not checked. The page needs no network and runs no script.
package paper

import (
	"bytes"
	"embed"
	"html/template"
	"io"

	"sallyport"
)

// Input is what the page is made from. Show (complete) and Plan are required.
type Input struct {
	Title        string // empty: the show's name
	Show         *sallyport.Show
	Plan         *sallyport.Plan
	Report       sallyport.Report // of this plan
	Verdict      []string         // in sentences what the plan is worth, whether it is workable first
	Explanations []Explanation
	Drawing      Drawing
}

// Explanation says why something in the plan is as it is, and what would
// spare it.
type Explanation struct {
	Title  string // "Bittern is moved aside at 10:05"
	Why    []string
	Cure   string           // the cheapest change that would spare it; empty: none found
	Saves  sallyport.Amount // what that would save; 0: not known
	Serial sallyport.SerialID
	Move   sallyport.MoveID
}

// Drawing makes the pictures of the page; without Draw it has none.
type Drawing struct {
	Style string // CSS of the pictures, once for the page
	Defs  string // SVG that they share, once for the page
	// Draw returns one picture as an svg element: the park in a state, with
	// those due marked and the moves numbered from 1.
	Draw func(title string, state sallyport.State, due []sallyport.UnitID, moves []sallyport.Move) []byte
}

//go:embed page.html style.css
var files embed.FS

var page = template.Must(template.New("page.html").ParseFS(files, "page.html"))

// style returns the page's own style sheet.
func style() (string, error) {
	css, err := files.ReadFile("style.css")
	return string(css), err
}

// HTML writes the page. All text of the input is escaped; only Drawing is
// trusted to be well formed.
func HTML(w io.Writer, in Input) error {
	if in.Show == nil || in.Plan == nil {
		return sallyport.Errorf(sallyport.CodeInternal, "give both", "a page needs a show and a plan")
	}
	css, err := style()
	if err != nil {
		return err
	}
	content := build(in, courseOf(in))
	content.Style = template.CSS(css + in.Drawing.Style)
	content.Defs = template.HTML(in.Drawing.Defs)
	var out bytes.Buffer
	if err := page.Execute(&out, content); err != nil {
		return err
	}
	_, err = w.Write(out.Bytes())
	return err
}

// content is the page as the template sees it.
type content struct {
	Style        template.CSS
	Defs         template.HTML
	Title        string
	Subtitle     string
	Verdict      verdict
	Filling      filling
	Days         []dayPart
	Departures   []moveTable
	Vehicles     []vehicleRow
	Explanations []explanationRow
	Reasons      []reasonPart
	NotChecked   []string
	Assumed      []sallyport.Assumption
	Key          string
}

// explanationRow is an explanation with its figure in words.
type explanationRow struct {
	Explanation
	SavesText string
}

// build makes the page's content from a plan as played.
func build(in Input, course *sallyport.Course) content {
	b := newBuilder(in, course)
	c := content{
		Title:      in.Title,
		Subtitle:   b.dates(),
		Verdict:    b.verdict(),
		Filling:    b.filling(),
		Days:       b.days(),
		Departures: b.byDay("Departures", sallyport.MoveDepart),
		Vehicles:   b.vehicles(),
		Reasons:    reasons(in.Report.Cost),
		NotChecked: in.Report.NotChecked,
		Assumed:    in.Report.Assumed,
		Key:        keyWords(in.Plan.Key),
	}
	if c.Title == "" {
		c.Title = in.Show.Name
	}
	if c.Title == "" {
		c.Title = "Plan"
	}
	for _, e := range in.Explanations {
		row := explanationRow{Explanation: e}
		if e.Saves != 0 {
			row.SavesText = e.Saves.String()
		}
		c.Explanations = append(c.Explanations, row)
	}
	return c
}
