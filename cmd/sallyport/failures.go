package main

import (
	"errors"
	"io"
	"strings"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/picture"
	"sallyport/internal/rehearse"
)

var failuresCommand = command{
	name: "failures",
	help: "Say what happens when a vehicle fails: who is shut in, and the cheapest cure.",
	args: func() arguments { return &failuresArgs{} },
}

type failuresArgs struct {
	File string `arg:"" help:"The show: a workbook, a folder of CSV files or JSON."`
	Plan string `arg:"" optional:"" help:"The plan. Without it: the show's own sheet of places."`
	Top  int    `help:"How many failures are described, worst first." default:"10" placeholder:"N"`
	Tow  *int   `name:"tow-percent" help:"Greatest towed mass in percent of the towing vehicle's, in place of the show's own." placeholder:"N"`
	Page string `name:"page" help:"Also write them as a page: tables whose names stay in view on a phone." placeholder:"FILE.html"`
	SVG  string `name:"svg" help:"Also draw all failures into this file: entries down, kinds of failure across, worst first beside." placeholder:"FILE"`
	Grid bool   `help:"Print all failures as a table: entries down, kinds of failure across."`
	outFlags
}

func (a *failuresArgs) Help() string {
	return `Every entry of the plan × every kind of failure: late start, in lane, in the
mouth of its lane, on the line, on road or gate, in the arena, while reversing
in. The rest of the day is played with the failed vehicle where it stands; then
with each cure that can be: wait until the cut-off, slave lead, push by hand,
join at the tail of the serial, reserve, other order, tow by a named vehicle
that is free, can get out and is heavy enough.

Where a mass is not given, towing is not checked. Cautions with towing and
pushing are the usual ones; local rules and licensed practice go first.

Examples:

  sallyport failures show.xlsx plan/plan.json
  sallyport failures show.xlsx plan/plan.json --top 30 --svg failures.svg`
}

func (a *failuresArgs) Run(c *console) error {
	if a.Top < 0 {
		return sallyport.Errorf(sallyport.CodeInput, "give 0 or more", "--top %d is no number of cases", a.Top)
	}
	if a.Tow != nil && (*a.Tow < 1 || *a.Tow > sallyport.MostTowPercent) {
		return sallyport.Errorf(sallyport.CodeInput, "give 1 to 1000; 45 is usual", "--tow-percent %d is no greatest towed mass", *a.Tow)
	}
	for _, path := range []string{a.SVG, a.Page} {
		if path == "" {
			continue
		}
		if err := a.free(path); err != nil {
			return err
		}
	}
	l, x, err := c.planned(a.File, a.Plan)
	if err != nil {
		return err
	}
	f, err := a.play(c, l.show, x.Plan)
	if err != nil {
		return err
	}
	if !x.Workable() {
		c.answer.Notes = append(c.answer.Notes, "the plan is not workable as it is: what a failure adds is shown, not what is wrong already")
	}
	if a.Grid {
		c.say(strings.Split(strings.TrimRight(picture.MatrixText(l.show, f.Matrix), "\n"), "\n")...)
		c.say("")
	}
	c.say(f.Summary(a.Top)...)
	if len(f.Matrix.Worst) > a.Top {
		c.say("", "--top N describes more of the failures, --json gives all.")
	}
	report := f.Report(x.Report)
	c.say(desk.Footing(report)...)
	c.answer.NotChecked, c.answer.Assumed = report.NotChecked, report.Assumed
	c.answer.Result = map[string]any{"stands": f.Matrix.Stands() && !f.Part, "matrix": f.Matrix, "starts": orEmpty(f.Starts)}
	if a.Page != "" {
		err := a.write(c, a.Page, "what failures do, as a page", func(w io.Writer) error {
			_, err := w.Write(picture.MatrixPage(l.show, f.Matrix, a.Top))
			return err
		})
		if err != nil {
			return err
		}
	}
	if a.SVG == "" {
		return nil
	}
	return a.write(c, a.SVG, "what failures do", func(w io.Writer) error {
		_, err := w.Write(picture.Matrix(l.show, f.Matrix))
		return err
	})
}

// play plays all failures. What an interrupt leaves is given all the same.
func (a *failuresArgs) play(c *console, show *sallyport.Show, plan *sallyport.Plan) (*desk.Failures, error) {
	var b *bar
	opt := rehearse.Options{}
	if a.Tow != nil {
		opt.TowPercent = *a.Tow
	}
	f, err := desk.FailuresOf(c.ctx, show, plan, opt, func(done, all int) {
		if b == nil {
			b = c.newBar(int64(all), "playing failures")
		}
		b.to(int64(done), "")
	})
	b.end()
	var known *sallyport.Error
	if errors.As(err, &known) && known.Code == sallyport.CodeInterrupted {
		c.answer.Code = known.Code
		c.say(known.Error()+".", "")
		return f, nil
	}
	return f, err
}
