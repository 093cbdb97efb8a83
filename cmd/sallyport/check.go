package main

import (
	"sallyport"
	"sallyport/internal/desk"
)

var checkCommand = command{
	name: "check",
	help: "Check a plan, also one made by hand in the workbook.",
	args: func() arguments { return &checkArgs{} },
}

type checkArgs struct {
	File  string `arg:"" help:"The show: a workbook, a folder of CSV files or JSON."`
	Plan  string `arg:"" optional:"" help:"The plan, or a workbook with a filled sheet of places. Without it: the show's own sheet of places."`
	Since string `help:"The last issue: a plan. What has changed since is priced, and who must be told what is listed." placeholder:"PLAN"`
}

func (a *checkArgs) Help() string {
	return `Plays the plan from its first morning to its last evening and names every rule
it breaks, with place, time and vehicles; says what it costs and how far that can
be from the best possible. The exit code is 0 when it is workable, 3 when it is
not. Ctrl-C leaves out what delays would do to it.

Examples:

  sallyport check show.xlsx plan/plan.json
  sallyport check show.xlsx
  sallyport check show.xlsx plan/plan.json --since issue-1.json`
}

func (a *checkArgs) Run(c *console) error {
	l, x, err := c.planned(a.File, a.Plan)
	if err != nil {
		return err
	}
	var since *desk.Since
	if a.Since != "" {
		issued, err := c.plan(l, a.Since)
		if err != nil {
			return err
		}
		since = desk.CompareSince(x, issued.Plan)
	}
	x.FindBound(c.ctx)
	c.say(x.Verdict()...)
	if since != nil {
		c.say(since.Lines(x.Show)...)
	}
	c.say(desk.Footing(x.Report)...)
	c.judge(x)
	if c.ctx.Err() != nil {
		c.answer.Code = sallyport.CodeInterrupted
		c.say("The check was stopped early: what is said stands, but not all was looked at.")
	}
	c.answer.Result = checkResult{resultOf(x, a.Plan == ""), since}
	return nil
}

// checkResult is the result of check in JSON.
type checkResult struct {
	planResult
	Since *desk.Since `json:"since,omitempty"`
}
