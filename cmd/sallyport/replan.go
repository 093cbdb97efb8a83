package main

import (
	"fmt"
	"time"

	"sallyport"
	"sallyport/internal/desk"
)

var replanCommand = command{
	name: "replan",
	help: "Go on from any moment after what has happened, and say what changes for whom.",
	args: func() arguments { return &replanArgs{} },
}

type replanArgs struct {
	File string `arg:"" help:"The show: a workbook, a folder of CSV files or JSON."`
	Plan string `arg:"" help:"The plan as it was told: a plan of plan, or of an earlier replan."`
	At   string `required:"" help:"The moment: a day (its name, day 2, or D2) and a time." placeholder:"\"day 2 10:40\""`
	happenFlags
	Out string `short:"o" help:"Write the next issue: a folder (page, plan and pictures), or one file ending in .json or .html." placeholder:"PATH"`
	budget
	outFlags
}

// replanSeconds is how long a better continuation is looked for when nothing
// else is said: a marshal is waiting.
const replanSeconds = 4

func (a *replanArgs) Help() string {
	return `Moves that have begun by the moment are carried through. What the plan had told
goes on as far as it can; every lane, time or driver that has to be told anew
counts. The first workable answer is announced at once on standard error, then
a better one is looked for, for 4 seconds unless --seconds or --steps says else.
Ctrl-C ends that with the best so far.

Every flag for what has happened may be given again and again. WHERE is one of:
in lane, in the mouth, on the line, on road or gate, in the arena, while
reversing in; "in the mouth of C4" and "while reversing in to C4" name the lane.

Examples:

  sallyport replan show.xlsx plan.json --at "day 2 10:40" --failed "Bittern=in lane"
  sallyport replan show.xlsx plan.json --at "Friday 8:30" --late Avocet=11:05 --stands Heron=C4:1 --delay S4=10 -o issue2/
  sallyport replan show.xlsx plan.json --at "D2 08:30" --findings first-parade.csv`
}

func (a *replanArgs) Run(c *console) error {
	opt, err := a.check()
	if err != nil {
		return err
	}
	l, err := c.load(a.File)
	if err != nil {
		return err
	}
	in, err := c.read(a.Plan)
	if err != nil {
		return err
	}
	if in.Plan == nil {
		return sallyport.Errorf(sallyport.CodeInput, "sallyport plan --out plan.json makes one", "%s holds no plan", a.Plan)
	}
	if opt.At, err = moment(l.show, a.At); err != nil {
		return err
	}
	happened, err := a.happened(l.show, opt.At)
	if err != nil {
		return err
	}
	r, err := a.goOn(c, l, in.Plan, happened, opt)
	if err != nil {
		return err
	}
	c.say(r.Summary()...)
	c.answer.Code = r.Code()
	c.answer.NotChecked, c.answer.Assumed = r.NotChecked(), r.Report.Assumed
	c.answer.Result = replanResultOf(r)
	if a.Out == "" {
		c.say("", "Nothing is written: --out issue2.json keeps the plan as the next issue.")
		return nil
	}
	return savePlan(c, a.outFlags, a.Out, l.given, r.Answer)
}

// check returns the options, and refuses early what cannot be written.
func (a *replanArgs) check() (desk.ReplanOptions, error) {
	b, err := a.options()
	if err != nil {
		return desk.ReplanOptions{}, err
	}
	if a.Out != "" {
		if kind(a.Out) == ".xlsx" {
			return desk.ReplanOptions{}, sallyport.Errorf(sallyport.CodeInput, "give a folder, or a name ending in .json or .html", "a workbook has no room for what stands where in the middle of a show")
		}
		if err := writable(a.Out); err != nil {
			return desk.ReplanOptions{}, err
		}
		if kind(a.Out) != "" {
			if err := a.free(a.Out); err != nil {
				return desk.ReplanOptions{}, err
			}
		}
	}
	if b.Limit == 0 && b.Steps == 0 {
		b.Limit = replanSeconds * time.Second
	}
	return desk.ReplanOptions{Seed: b.Seed, Steps: b.Steps, Limit: b.Limit, Workers: b.Workers, Now: b.Now}, nil
}

// goOn replans, and announces the first workable continuation at once.
func (a *replanArgs) goOn(c *console, l *loaded, plan *sallyport.Plan, happened []sallyport.Happening, opt desk.ReplanOptions) (*desk.Replanned, error) {
	bar := c.newBar(opt.Limit.Milliseconds(), "replanning")
	if opt.Limit > 0 {
		bar.follow(opt.Limit)
	}
	defer bar.end()
	said := false
	return desk.ReplanFrom(c.ctx, l.show, plan, happened, opt, func(r *desk.Replanned) {
		words := fmt.Sprintf("workable, %d changes, cost %s", len(r.Changes), r.Report.Cost.Total)
		switch {
		case !r.Workable():
			words = "not workable yet"
		case !said:
			said = true
			bar.to(r.Elapsed.Milliseconds(), words)
			if c.json {
				break
			}
			// Standard error is only for people: when it cannot be written the answer still comes.
			_, _ = fmt.Fprintf(c.stderr, "After %.2f s: %s\n", r.Elapsed.Seconds(), r.First())
		}
		bar.to(r.Elapsed.Milliseconds(), "replanning, "+words)
	})
}

// replanResult is a continuation in JSON.
type replanResult struct {
	At       sallyport.Instant     `json:"at"`
	Happened []sallyport.Happening `json:"happened"`
	Proposed int                   `json:"proposed,omitempty"` // how many of these, the last ones, the answer itself proposes
	Workable bool                  `json:"workable"`           // breaks no rule but that entries or duties are lost, or reserves shut in
	AsTold   bool                  `json:"as_told"`            // the last issue goes on, save for who has dropped out
	Changes  []desk.Notice         `json:"changes"`            // in order of time
	Why      []string              `json:"why,omitempty"`      // who or what cannot be served
	Cost     sallyport.Cost        `json:"cost"`               // of what is left, telling people included
	Faults   []sallyport.Fault     `json:"faults"`
	Plan     *sallyport.Plan       `json:"plan"`
}

func replanResultOf(r *desk.Replanned) replanResult {
	return replanResult{
		At: r.At, Happened: orEmpty(r.Happened), Proposed: r.Proposed, Workable: r.Workable(), AsTold: r.Carried, Changes: orEmpty(r.Changes),
		Why: r.Why, Cost: r.Report.Cost, Faults: orEmpty(r.Report.Faults), Plan: r.Plan,
	}
}
