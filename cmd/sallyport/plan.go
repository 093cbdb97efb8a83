package main

import (
	"fmt"
	"path/filepath"

	"sallyport"
	"sallyport/internal/desk"
)

var planCommand = command{
	name: "plan",
	help: "Plan a show: where every vehicle stands, and every move.",
	args: func() arguments { return &planArgs{} },
}

type planArgs struct {
	File     string `arg:"" help:"The show: a workbook, a folder of CSV files or JSON."`
	Out      string `short:"o" help:"Write the plan: a folder (page, plan and pictures), or one file ending in .html, .json, or .xlsx (the show with the plan in its sheet of places)." placeholder:"PATH"`
	From     string `help:"Start from this plan, or this workbook's sheet of places." placeholder:"FILE" xor:"start"`
	Keep     bool   `help:"Start from the show's own sheet of places." xor:"start"`
	AtMost   *int   `help:"With --from or --keep: improve that plan with at most this many changes of place." placeholder:"K"`
	Variants bool   `help:"Offer two or three balanced plans." xor:"wish"`
	Stand    bool   `help:"Ask for a plan that stands any one failure to start: every other entry of that day still goes out. Plans twice, to say what that costs." xor:"wish"`
	budget
	outFlags
}

func (a *planArgs) Help() string {
	return `Without --out only the summary is printed. Ctrl-C ends the search and gives the
best plan so far.

Examples:

  sallyport plan show.xlsx --out plan/
  sallyport plan show.xlsx --seconds 30 --out plan.json
  sallyport plan show.xlsx --out planned.xlsx
  sallyport plan planned.xlsx --keep --at-most 3
  sallyport plan show.xlsx --stand`
}

func (a *planArgs) Run(c *console) error {
	opt, err := a.options()
	if err != nil {
		return err
	}
	if err := a.outFree(); err != nil {
		return err
	}
	l, err := c.load(a.File)
	if err != nil {
		return err
	}
	if err := a.start(c, l, &opt); err != nil {
		return err
	}
	if a.Stand {
		return a.standing(c, l, opt)
	}
	answers, err := a.search(c, l, opt)
	if err != nil {
		return err
	}
	var results []planResult
	var rows []desk.Row
	for _, x := range answers {
		rows = append(rows, desk.RowOf(x, x.Title))
	}
	if len(answers) > 1 {
		c.say(append(desk.VariantTable(rows, 1), "")...)
	}
	for i, x := range answers {
		if len(answers) > 1 {
			c.say(fmt.Sprintf("Plan %d: %s", i+1, x.Title))
		}
		c.say(x.Verdict()...)
		if len(answers) > 1 {
			c.say("")
		}
		results = append(results, resultOf(x, true))
	}
	c.say(desk.Footing(answers[0].Report)...)
	c.judge(answers[0])
	c.answer.Result = results[0]
	if a.Variants {
		c.answer.Result = map[string]any{"variants": results, "table": rows}
	}
	return a.save(c, l.given, answers)
}

// outFree refuses early, before minutes of planning, what cannot be written.
func (a *planArgs) outFree() error {
	if err := writable(a.Out); err != nil {
		return err
	}
	if a.Out == "" {
		return nil
	}
	outs := []string{a.Out}
	for n := 1; a.Variants && n <= mostVariants; n++ {
		outs = append(outs, numbered(a.Out, n))
	}
	for _, out := range outs {
		if kind(out) == "" {
			out = filepath.Join(out, pageFile)
		}
		if err := a.free(out); err != nil {
			return err
		}
	}
	return nil
}

// start sets the plan to start from.
func (a *planArgs) start(c *console, l *loaded, opt *desk.PlanOptions) error {
	var err error
	switch {
	case a.From != "":
		opt.From, err = c.sketch(a.From, l.show.Name)
	case a.Keep && len(l.sketch) == 0:
		err = sallyport.Errorf(sallyport.CodeInput, "fill in the sheet of places, or name a plan with --from", "%s has no plan made by hand", a.File)
	case a.Keep:
		opt.From = l.sketch
	case len(l.sketch) > 0:
		c.answer.Notes = append(c.answer.Notes, "the sheet of places is not used; --keep starts from it")
	}
	if err != nil || a.AtMost == nil {
		return err
	}
	if opt.From == nil || *a.AtMost < 0 {
		return sallyport.Errorf(sallyport.CodeInput, "give --keep or --from, and a number of changes that is not negative", "--at-most %d says how much of a given plan may change", *a.AtMost)
	}
	opt.MaxChanges = *a.AtMost
	return nil
}

// search plans, or works out the moves of a plan that may not change.
func (a *planArgs) search(c *console, l *loaded, opt desk.PlanOptions) ([]*desk.Answer, error) {
	if a.AtMost != nil && *a.AtMost == 0 {
		x, err := desk.CheckSketch(c.ctx, l.show, opt.From)
		return []*desk.Answer{x}, err
	}
	bar, report := c.planning(opt)
	defer bar.end()
	if a.Variants {
		return desk.Variants(c.ctx, l.show, opt, report)
	}
	x, err := desk.Plan(c.ctx, l.show, opt, report)
	return []*desk.Answer{x}, err
}

// standing plans so that the plan stands any one failure to start, and says
// what that costs.
func (a *planArgs) standing(c *console, l *loaded, opt desk.PlanOptions) error {
	if a.AtMost != nil && *a.AtMost == 0 {
		return sallyport.Errorf(sallyport.CodeInput, "sallyport failures says what a given plan stands", "--stand asks for another plan, --at-most 0 keeps this one")
	}
	bar, report := c.planning(opt)
	s, err := desk.Stand(c.ctx, l.show, opt, report)
	bar.end()
	if err != nil {
		return err
	}
	c.say(s.With.Verdict()...)
	c.say(s.Sentences()...)
	c.say(desk.Footing(s.With.Report)...)
	c.judge(s.With)
	c.answer.Result = standResult{resultOf(s.With, true), orEmpty(s.Uncovered), resultOf(s.Without, false), orEmpty(s.UncoveredOld)}
	return a.save(c, l.given, []*desk.Answer{s.With})
}

// standResult is the result of plan --stand in JSON: that of plan, and what
// stays behind, with it and with the plan that was not asked to stand.
type standResult struct {
	planResult
	Uncovered        []sallyport.EntryID `json:"uncovered"`
	Without          planResult          `json:"without"`
	UncoveredWithout []sallyport.EntryID `json:"uncovered_without"`
}
