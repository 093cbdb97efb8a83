package main

import (
	"io"
	"path/filepath"

	"sallyport/internal/desk"
	"sallyport/internal/fenmoor"
	"sallyport/internal/workbook"
)

var demoCommand = command{
	name: "demo",
	help: "Plan the demonstration show and write files to look at.",
	args: func() arguments { return &demoArgs{} },
}

type demoArgs struct {
	Out string `short:"o" help:"Folder for the files; what a demo wrote there before is written over." default:"sallyport-demo" placeholder:"FOLDER"`
	budget
}

func (a *demoArgs) Help() string {
	return `The invented Fenmoor Collection: two build-up days, three show days, 58 vehicles
in a park that is a little too small. Its workbook is written too, as an example
of how to fill one in.

Example:

  sallyport demo --out demo/`
}

func (a *demoArgs) Run(c *console) error {
	opt, err := a.options()
	if err != nil {
		return err
	}
	given := fenmoor.Show()
	show, notes, err := desk.Prepare(given, nil)
	c.answer.Notes = notes
	if err != nil {
		return err
	}
	bar, report := c.planning(opt)
	x, err := desk.Plan(c.ctx, show, opt, report)
	bar.end()
	if err != nil {
		return err
	}
	c.say(show.Name)
	c.say(x.Summary()...)
	c.judge(x)
	c.answer.Result = resultOf(x, true)
	over := outFlags{Force: true}
	if err := savePlan(c, over, a.Out, given, x); err != nil {
		return err
	}
	return over.write(c, filepath.Join(a.Out, "show.xlsx"), "the show's workbook, to look at and to change", func(w io.Writer) error {
		return workbook.WriteXLSX(w, given, nil)
	})
}
