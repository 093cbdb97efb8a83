package main

import (
	"io"
	"os"
	"strconv"
	"strings"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/picture"
	"sallyport/internal/workbook"
)

var drawCommand = command{
	name: "draw",
	help: "Draw the park at any moment, or a day as a strip of pictures.",
	args: func() arguments { return &drawArgs{} },
}

type drawArgs struct {
	File  string `arg:"" help:"The show: a workbook, a folder of CSV files or JSON."`
	Plan  string `arg:"" optional:"" help:"The plan. Without it: the show's own sheet of places, or else the empty park."`
	At    string `help:"The moment: a day (its name, or D3 for the third) and a time. Without it: the first show day in the morning." placeholder:"\"D3 10:30\"" xor:"what"`
	Strip string `help:"Draw this whole day (its name, or D3) as a strip of pictures; needs --svg." placeholder:"DAY" xor:"what"`
	SVG   string `name:"svg" help:"Draw to scale into this file, in place of text on the terminal." placeholder:"FILE"`
	Width int    `help:"Columns of the terminal." default:"100" placeholder:"N"`
	outFlags
}

func (a *drawArgs) Help() string {
	return `On the terminal every lane is a line from its mouth on the left: < or > is a
vehicle's nose, * marks who is due next, | a closed end, : an open one.

Examples:

  sallyport draw show.xlsx plan/plan.json --at "D3 10:30"
  sallyport draw show.xlsx plan/plan.json --at "Friday 10:30" --svg park.svg
  sallyport draw show.xlsx plan/plan.json --strip Friday --svg friday.svg`
}

func (a *drawArgs) Run(c *console) error {
	if a.Width < 40 {
		return sallyport.Errorf(sallyport.CodeInput, "give 40 columns or more", "a drawing %d columns wide cannot be read", a.Width)
	}
	if a.Strip != "" && a.SVG == "" {
		return sallyport.Errorf(sallyport.CodeInput, "add --svg FILE", "a strip of pictures is not drawn on the terminal")
	}
	l, err := c.load(a.File)
	if err != nil {
		return err
	}
	x, err := c.plan(l, a.Plan)
	if err != nil {
		return err
	}
	if a.Strip != "" {
		return a.strip(c, l.show, x)
	}
	at, err := moment(l.show, a.At)
	if err != nil {
		return err
	}
	var plan *sallyport.Plan
	if x != nil {
		plan = x.Plan
	}
	m := desk.Moment(l.show, plan, at)
	o := picture.Options{Title: l.show.Name + ", " + m.Title, Due: m.Due, Moves: m.Moves, Width: a.Width}
	if plan == nil {
		o.Title += ", no plan given: the empty park"
	}
	report := sallyport.Report{NotChecked: sallyport.NotChecked(sallyport.NewIndex(l.show)), Assumed: l.show.Assumed}
	if x != nil {
		report = x.Report
	}
	o.Foot = desk.FootWords(report)
	c.answer.NotChecked, c.answer.Assumed = report.NotChecked, report.Assumed
	c.answer.Result = map[string]any{"at": at, "state": m.State, "due": orEmpty(m.Due), "next": orEmpty(m.Moves)}
	if a.SVG != "" {
		return a.write(c, a.SVG, "the park at "+m.Title, func(w io.Writer) error {
			_, err := w.Write(picture.SVG(l.show, m.State, o))
			return err
		})
	}
	o.Colour = isTerminal(c.stdout) && os.Getenv("NO_COLOR") == ""
	text := picture.Terminal(l.show, m.State, o) + "\n"
	for _, line := range o.Foot {
		text += wrap(line) + "\n"
	}
	c.answer.raw = []byte(text)
	c.say(strings.Split(strings.TrimRight(text, "\n"), "\n")...)
	return nil
}

// strip draws a whole day.
func (a *drawArgs) strip(c *console, show *sallyport.Show, x *desk.Answer) error {
	day, err := dayNumber(show, a.Strip)
	if err != nil {
		return err
	}
	if x == nil {
		return sallyport.Errorf(sallyport.CodeInput, "name a plan", "a day is drawn from a plan, and %s has none", a.File)
	}
	return a.write(c, a.SVG, dayName(show, day)+" in pictures", strip(x, day))
}

// moment reads a moment of a show: "D3 10:30", "Friday 10:30", or "" for the
// morning of the first show day.
func moment(show *sallyport.Show, text string) (sallyport.Instant, error) {
	if text == "" {
		day := 1
		for i, d := range show.Days {
			if d.Kind == sallyport.ShowDay {
				day = i + 1
				break
			}
		}
		return sallyport.NewIndex(show).Morning(day), nil
	}
	i := strings.LastIndex(text, " ")
	if i < 0 {
		return 0, sallyport.Errorf(sallyport.CodeInput, `write a day and a time, like "D3 10:30"`, "%q is not a moment of the show", text)
	}
	day, err := dayNumber(show, text[:i])
	if err != nil {
		return 0, err
	}
	clock, err := workbook.TimeOfDay(text[i+1:])
	if err != nil {
		return 0, err
	}
	return sallyport.At(day, 0, 0) + sallyport.Instant(clock), nil
}

// dayNumber reads a day of a show: D3, or its name, or the beginning of one
// name only.
func dayNumber(show *sallyport.Show, text string) (int, error) {
	text = strings.TrimSpace(text)
	if len(text) > 4 && strings.EqualFold(text[:4], "day ") {
		text = strings.TrimSpace(text[4:])
	}
	if n, err := strconv.Atoi(strings.TrimLeft(text, "dD")); err == nil && n >= 1 && n <= len(show.Days) {
		return n, nil
	}
	found := 0
	var names []string
	for i, d := range show.Days {
		names = append(names, dayName(show, i+1))
		if len(text) >= 3 && len(d.Name) >= len(text) && strings.EqualFold(d.Name[:len(text)], text) {
			if found > 0 {
				found = -1
				break
			}
			found = i + 1
		}
	}
	if found > 0 {
		return found, nil
	}
	return 0, sallyport.Errorf(sallyport.CodeNotFound, "it has "+strings.Join(names, ", ")+"; D1 is the first", "the show has no day %q", text)
}
