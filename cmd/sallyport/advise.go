package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/workbook"
)

var adviseCommand = command{
	name: "advise",
	help: "Find the smallest changes to the order of events or the park that spare most.",
	args: func() arguments { return &adviseArgs{} },
}

type adviseArgs struct {
	File string   `arg:"" help:"The show: a workbook, a folder of CSV files or JSON."`
	Plan string   `arg:"" optional:"" help:"The plan. Without it: the show's own sheet of places, or else a plan is made first."`
	Most int      `help:"How many changes at once, at most: 1, 2 or 3. 0 looks for none and only sets variants side by side." default:"3" placeholder:"N"`
	Top  int      `help:"How many sets of each size are told." default:"3" placeholder:"N"`
	Only []string `help:"Only these kinds of change, separated by commas." placeholder:"KINDS"`
	Keep []string `help:"Leave these vehicles, serials, lanes and lines alone, by name or id, separated by commas." placeholder:"NAMES"`
	Also []string `help:"A variant of the show changed by hand, to be planned and set beside the others. Can be given several times." placeholder:"FILE" sep:"none"`
	Out  string   `short:"o" help:"Write the workbook and the plan of every variant into this folder." placeholder:"FOLDER"`
	budget
	outFlags
}

func (a *adviseArgs) Help() string {
	var kinds []string
	for _, k := range desk.ChangeKinds {
		kinds = append(kinds, fmt.Sprintf("  %-12s %s", k.Name, k.Help))
	}
	return `Looks at single changes that what forces the plan's costs speaks for, then at
pairs and at three at once of the best of them. Each is planned again from the
present plan; told are the sets that cost less, fewest changes first, with what
they change for whom. The show as it is gets searches as long, so that nothing
is put down to a change that only a longer search has found. The budget
(--seconds, --steps) is for all of it together. Ctrl-C tells what is found by
then.

Kinds of change, for --only:
` + strings.Join(kinds, "\n") + `

Examples:

  sallyport advise show.xlsx plan/plan.json
  sallyport advise show.xlsx plan/plan.json --seconds 60 --keep "Avocet,Drumhead column"
  sallyport advise show.xlsx --only serial,swap --most 2 --out advice/
  sallyport advise show.xlsx --also late.xlsx --also short.xlsx --most 0`
}

func (a *adviseArgs) Run(c *console) error {
	opt, err := a.options()
	if err != nil {
		return err
	}
	if a.Most < 0 || a.Most > 3 {
		return sallyport.Errorf(sallyport.CodeInput, "give 0 to 3", "--most %d is no number of changes at once", a.Most)
	}
	if a.Top < 1 {
		return sallyport.Errorf(sallyport.CodeInput, "give 1 or more", "--top %d tells nothing", a.Top)
	}
	if a.Out != "" && (kind(a.Out) != "" || writable(a.Out) != nil) {
		return sallyport.Errorf(sallyport.CodeInput, "give a folder", "advise writes several plans, not %s", a.Out)
	}
	if a.Out != "" { // refused before minutes of planning
		if err := a.free(filepath.Join(numbered(a.Out, 1), bookFile)); err != nil {
			return err
		}
	}
	l, err := c.load(a.File)
	if err != nil {
		return err
	}
	ask := desk.AdviseOptions{Plan: opt, Most: a.Most, Top: a.Top, Only: a.Only}
	if ask.Keep, err = kept(l.show, a.Keep); err != nil {
		return err
	}
	if ask.Also, err = a.variants(c); err != nil {
		return err
	}
	began := time.Now()
	x, err := a.subject(c, l)
	if err != nil {
		return err
	}
	if opt.Limit > 0 {
		ask.Plan.Limit = max(time.Second/10, opt.Limit-time.Since(began))
	}
	found, err := a.find(c, l, x, ask)
	if err != nil {
		return err
	}
	c.say(found.Words()...)
	c.say(desk.Footing(found.Base.Report)...)
	c.answer.NotChecked, c.answer.Assumed = found.Base.Report.NotChecked, found.Base.Report.Assumed
	c.answer.Result = found
	if found.Interrupted {
		c.answer.Code = sallyport.CodeInterrupted
	}
	return a.save(c, found)
}

// find runs the search with a bar.
func (a *adviseArgs) find(c *console, l *loaded, x *desk.Answer, ask desk.AdviseOptions) (*desk.Advised, error) {
	var now *bar
	doing := ""
	defer func() { now.end() }()
	return desk.Advise(c.ctx, l.given, l.show, x, ask, func(w desk.Working) {
		if w.Doing != doing {
			now.end()
			now, doing = c.newBar(int64(w.All), w.Doing), w.Doing
		}
		words := w.Doing
		if w.Best > 0 {
			words += ", most saved so far " + w.Best.String()
		}
		now.to(int64(w.Done), words)
	})
}

// kept finds the ids of what is to be left alone.
func kept(show *sallyport.Show, names []string) ([]string, error) {
	lookup := workbook.NewLookup(show)
	var ids, wrong []string
	var last error
	for _, name := range names {
		id, err := lookup.Find(strings.TrimSpace(name), "unit", "serial", "lane", "line")
		if err != nil {
			last = err
			wrong = append(wrong, err.Error())
			continue
		}
		ids = append(ids, id)
	}
	if len(wrong) > 1 {
		return nil, sallyport.Errorf(sallyport.CodeNotFound, "", "%d names of --keep are not known\n  %s", len(wrong), strings.Join(wrong, "\n  "))
	}
	return ids, last
}

// variants reads the shows of --also.
func (a *adviseArgs) variants(c *console) ([]desk.Variant, error) {
	var list []desk.Variant
	for _, path := range a.Also {
		l, err := c.load(path)
		if err != nil {
			return nil, err
		}
		list = append(list, desk.Variant{Name: filepath.Base(path), Show: l.given})
	}
	return list, nil
}

// subject returns the plan to start from: given, made by hand, or made now.
func (a *adviseArgs) subject(c *console, l *loaded) (*desk.Answer, error) {
	x, err := c.plan(l, a.Plan)
	if x != nil || err != nil {
		return x, err
	}
	opt, err := a.options()
	if err != nil {
		return nil, err
	}
	opt.Steps, opt.Limit = opt.Steps/2, opt.Limit/4
	bar, report := c.planning(opt)
	defer bar.end()
	return desk.Plan(c.ctx, l.show, opt, report)
}

// bookFile is the first file that is written into the folder of a variant.
const bookFile = "show.xlsx"

// save writes every variant into a folder of its own, numbered as in the
// table.
func (a *adviseArgs) save(c *console, found *desk.Advised) error {
	if a.Out == "" {
		return nil
	}
	for i, v := range found.Variants() {
		out := numbered(a.Out, i+1)
		if err := folder(out); err != nil {
			return err
		}
		book := func(w io.Writer) error { return workbook.WriteXLSX(w, v.Show, sallyport.SketchOf(v.Answer.Plan)) }
		if err := a.write(c, filepath.Join(out, bookFile), fmt.Sprintf("the workbook of %d: %s", i+1, v.Answer.Title), book); err != nil {
			return err
		}
		if err := a.write(c, filepath.Join(out, "plan.json"), fmt.Sprintf("its plan, cost %s", v.Answer.Report.Cost.Total), planJSON(v.Answer)); err != nil {
			return err
		}
	}
	return nil
}
