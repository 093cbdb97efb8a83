package main

import "sallyport/internal/workbook"

var templateCommand = command{
	name: "template",
	help: "Write an empty workbook to fill in.",
	args: func() arguments { return &templateArgs{} },
}

type templateArgs struct {
	File string `arg:"" help:"The workbook to write, ending in .xlsx." default:"show.xlsx"`
	outFlags
}

func (a *templateArgs) Help() string {
	return `Only vehicles with a name, lanes with a length and serials with an order are
required; all else may stay empty and is then assumed, and said so. For a filled
workbook to look at: sallyport demo.

Example:

  sallyport template show.xlsx`
}

func (a *templateArgs) Run(c *console) error {
	if err := a.write(c, a.File, "an empty workbook", workbook.Template); err != nil {
		return err
	}
	c.say("Fill it in and plan it: sallyport plan " + a.File)
	return nil
}
