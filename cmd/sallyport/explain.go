package main

import (
	"context"
	"errors"

	"sallyport"
	"sallyport/internal/desk"
)

var explainCommand = command{
	name: "explain",
	help: "Say why a plan costs what it costs, and what would spare it.",
	args: func() arguments { return &explainArgs{} },
}

type explainArgs struct {
	File    string `arg:"" help:"The show: a workbook, a folder of CSV files or JSON."`
	Plan    string `arg:"" optional:"" help:"The plan. Without it: the show's own sheet of places, or else a plan is made first."`
	PerTerm int    `help:"How many reasons of each kind are explained, dearest first." default:"3" placeholder:"N"`
	NoCures bool   `help:"Do not look for changes that would spare something; that is quicker."`
	Out     string `short:"o" help:"Also write the page of the plan with the reasons on it, as a file ending in .html." placeholder:"FILE"`
	budget
	outFlags
}

func (a *explainArgs) Help() string {
	return `For the dearest moves aside, resets, changes of lane and risks: which vehicles
and serials force them, and the cheapest change of the order of events or the
park that would spare them, found by planning again with each change. The
budget (--steps, --seconds) is for all of it together.

Example:

  sallyport explain show.xlsx plan/plan.json`
}

func (a *explainArgs) Run(c *console) error {
	if a.PerTerm < 1 {
		return sallyport.Errorf(sallyport.CodeInput, "give 1 or more", "--per-term %d explains nothing", a.PerTerm)
	}
	if a.Out != "" && kind(a.Out) != ".html" {
		return sallyport.Errorf(sallyport.CodeInput, "give a name like why.html", "explain writes a page, not %s", a.Out)
	}
	opt, err := a.options()
	if err != nil {
		return err
	}
	l, err := c.load(a.File)
	if err != nil {
		return err
	}
	x, err := a.subject(c, l)
	if err != nil {
		return err
	}
	var cures *bar
	ctx := c.ctx
	if opt.Limit > 0 {
		limited, cancel := context.WithTimeout(ctx, opt.Limit)
		defer cancel()
		ctx = limited
	}
	why, err := desk.Explain(ctx, l.show, x.Plan, desk.ExplainOptions{PerTerm: a.PerTerm, Cures: !a.NoCures, Planner: desk.NewPlanner(opt)}, func(done, all int) {
		if cures == nil {
			cures = c.newBar(int64(all), "planning with changes")
		}
		cures.to(int64(done), "")
	})
	cures.end()
	var known *sallyport.Error
	stopped := errors.As(err, &known) && known.Code == sallyport.CodeInterrupted && why != nil
	if stopped {
		if c.ctx.Err() != nil { // not only the limit of time
			c.answer.Code = known.Code
		}
		c.say(known.Error()+".", "")
	} else if err != nil {
		return err
	}
	c.say(why.Words(stopped)...)
	c.say(desk.Footing(x.Report)...)
	c.answer.NotChecked, c.answer.Assumed = x.Report.NotChecked, x.Report.Assumed
	c.answer.Result = why
	if a.Out == "" {
		return nil
	}
	return a.write(c, a.Out, "the plan with its reasons on one page", pageHTML(x, why))
}

// subject returns the plan that is to be explained.
func (a *explainArgs) subject(c *console, l *loaded) (*desk.Answer, error) {
	x, err := c.plan(l, a.Plan)
	if x != nil || err != nil {
		return x, err
	}
	opt, err := a.options()
	if err != nil {
		return nil, err
	}
	bar, report := c.planning(opt)
	defer bar.end()
	return desk.Plan(c.ctx, l.show, opt, report)
}
