package main

import "sallyport"

var checkCommand = command{
	name: "check",
	help: "Check a plan, also one made by hand in the workbook.",
	args: func() arguments { return &checkArgs{} },
}

type checkArgs struct {
	File string `arg:"" help:"The show: a workbook, a folder of CSV files or JSON."`
	Plan string `arg:"" optional:"" help:"The plan, or a workbook with a filled sheet of places. Without it: the show's own sheet of places."`
}

func (a *checkArgs) Help() string {
	return `Plays the plan from its first morning to its last evening and names every rule
it breaks, with place, time and vehicles. The exit code is 0 when it is
workable, 3 when it is not.

Examples:

  sallyport check show.xlsx plan/plan.json
  sallyport check show.xlsx`
}

func (a *checkArgs) Run(c *console) error {
	l, err := c.load(a.File)
	if err != nil {
		return err
	}
	x, err := c.plan(l, a.Plan)
	if err != nil {
		return err
	}
	if x == nil {
		return sallyport.Errorf(sallyport.CodeInput, "name a plan after it, or fill in its sheet of places", "%s has no plan made by hand", a.File)
	}
	c.say(x.Summary()...)
	c.judge(x)
	c.answer.Result = resultOf(x, a.Plan == "")
	return nil
}
