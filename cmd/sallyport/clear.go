package main

import (
	"strings"
	"time"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/workbook"
)

var clearCommand = command{
	name: "clear",
	help: "Get a vehicle out now, with the fewest moves.",
	args: func() arguments { return &clearArgs{} },
}

type clearArgs struct {
	File       string   `arg:"" help:"The show: a workbook, a folder of CSV files or JSON."`
	Plan       string   `arg:"" help:"The plan, or a workbook with a filled sheet of places."`
	Vehicles   []string `arg:"" optional:"" help:"Who is to be let out: id, number, name or nickname."`
	At         string   `required:"" help:"The moment: a day (its name, or D3 for the third) and a time." placeholder:"\"D3 10:30\""`
	All        bool     `help:"Everybody who stands in a lane, in the order in which the plan has them leave next."`
	Order      bool     `help:"One after the other, as they are named; else in any order."`
	Restricted bool     `help:"Move only those who stand in the way, nobody else."`
	Seconds    float64  `help:"Stop after this many seconds with what was found. Such an answer cannot be repeated exactly." placeholder:"N"`
	Steps      int64    `help:"Stop after trying this many moves." placeholder:"N"`
	happenFlags
}

func (a *clearArgs) Help() string {
	return `Plays the plan to that moment and looks for the fewest moves that let the
vehicles out: who is moved, from where to where, forwards or reversing. The
judge plays these moves and the rest of the day and says who is blocked later
if nothing else is done, and when all are put back. Who is off the road is
pushed or towed; where the public is inside, nothing moves. What has happened
by then can be said as for replan: --failed, --do-not-move, --stands.

Exit code 3: there is no way, or the moves break a rule that is named.

Examples:

  sallyport clear show.xlsx plan/plan.json --at "D3 10:40" Bittern
  sallyport clear show.xlsx plan/plan.json --at "Friday 10:40" Bittern Dunlin --order
  sallyport clear show.xlsx plan/plan.json --at "D3 10:40" Bittern --failed Lapwing`
}

func (a *clearArgs) Run(c *console) error {
	if a.Seconds < 0 || a.Steps < 0 || !(a.Seconds <= mostSeconds) {
		return sallyport.Errorf(sallyport.CodeInput, "leave them out for the usual ones", "--seconds %g and --steps %d are no limits for a search", a.Seconds, a.Steps)
	}
	if a.All == (len(a.Vehicles) > 0) {
		return sallyport.Errorf(sallyport.CodeInput, "name vehicles, or give --all", "say who is to be let out: some vehicles or all")
	}
	_, x, err := c.planned(a.File, a.Plan)
	if err != nil {
		return err
	}
	units, err := a.units(x.Show)
	if err != nil {
		return err
	}
	at, err := moment(x.Show, a.At)
	if err != nil {
		return err
	}
	happened, err := a.happened(x.Show, at)
	if err != nil {
		return err
	}
	ask := desk.ClearAsk{
		At: at, Units: units, Happened: happened, InOrder: a.Order || a.All, Restricted: a.Restricted, Steps: a.Steps, Limit: time.Duration(a.Seconds * float64(time.Second)),
	}
	b := c.newBar(2*max(a.Steps, desk.ClearSteps), "looking for the fewest moves")
	way, err := desk.Clear(c.ctx, x.Show, x.Plan, ask, func(steps int64) { b.to(steps, "") })
	b.end()
	if err != nil {
		return err
	}
	c.say(way.Summary()...)
	c.answer.Code = way.Code()
	c.answer.NotChecked, c.answer.Assumed = way.NotChecked, way.Assumed
	c.answer.Result = way
	return nil
}

// units finds the vehicles that are named; all that cannot be found are
// reported at once.
func (a *clearArgs) units(show *sallyport.Show) ([]sallyport.UnitID, error) {
	look := workbook.NewLookup(show)
	var units []sallyport.UnitID
	var wrong []string
	for _, name := range a.Vehicles {
		id, err := look.Find(name, "unit")
		if err != nil {
			wrong = append(wrong, err.Error())
			continue
		}
		units = append(units, sallyport.UnitID(id))
	}
	if len(wrong) > 0 {
		return nil, sallyport.Errorf(sallyport.CodeNotFound, "", "%s", strings.Join(wrong, "\n  "))
	}
	return units, nil
}
