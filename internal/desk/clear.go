package desk

import (
	"context"
	"errors"
	"slices"
	"time"

	"sallyport"
	"sallyport/internal/clear"
)

// ClearAsk says who is to be let out, and when.
type ClearAsk struct {
	At         sallyport.Instant
	Units      []sallyport.UnitID // none: everybody in a lane, in the order in which the plan has them leave
	Happened   []sallyport.Happening
	InOrder    bool          // one after the other; else in any order
	Restricted bool          // move only those who stand in the way
	Steps      int64         // most moves tried for each way of looking; 0: ClearSteps
	Limit      time.Duration // time limit; 0: none. What it gives cannot be repeated exactly
}

// ClearSteps is the usual number of moves tried.
const ClearSteps = 1_000_000

// ClearWay is the answer of one way of looking.
type ClearWay struct {
	Restricted bool `json:"only_in_the_way"` // only those are moved who stand in the way
	Found      bool `json:"found"`
	Moves      int  `json:"moves"`    // of others than those who leave
	AtLeast    int  `json:"at_least"` // no fewer can do
	Fewest     bool `json:"fewest"`   // proven; when nothing is found: proven that there is no way
	Stopped    bool `json:"stopped,omitempty"`
}

// Clearing is how vehicles are let out, and what comes of it.
type Clearing struct {
	Due      []sallyport.UnitID    `json:"due"`
	At       sallyport.Instant     `json:"at"`
	Happened []sallyport.Happening `json:"happened,omitempty"` // as given
	Ways     []ClearWay            `json:"ways"`
	Chosen   int                   `json:"chosen"` // of the ways; -1: none was found
	Why      []string              `json:"why,omitempty"`
	Moves    []sallyport.Move      `json:"moves"`
	Back     []sallyport.Move      `json:"back"`      // puts back whoever was moved
	Stay     []sallyport.UnitID    `json:"stay"`      // who is not put back, and is not due elsewhere that day
	Misses   []string              `json:"misses"`    // entries today of those who leave the park
	Faults   []sallyport.Fault     `json:"faults"`    // of the moves themselves
	Then     []sallyport.Fault     `json:"then"`      // later that day, if nothing else is done
	ThenBack []sallyport.Fault     `json:"then_back"` // later that day, when all are put back
	Held     []Held                `json:"held"`      // planned moves that wait for these, if nothing else is done
	HeldBack []Held                `json:"held_back"` // likewise, when all are put back
	State    sallyport.State       `json:"state"`     // after the last of the moves, what was planned meanwhile included
	Left     int                   `json:"lanes_left_out,omitempty"`

	NotChecked []string               `json:"-"`
	Assumed    []sallyport.Assumption `json:"-"`

	show        *sallyport.Show
	ix          *sallyport.Index
	lot         *clear.Lot
	already     int // faults that the day has anyway
	interrupted bool
}

// Code returns what kind of failure a clearing is, "" when it is none.
func (c *Clearing) Code() sallyport.Code {
	switch {
	case c.interrupted:
		return sallyport.CodeInterrupted
	case c.Chosen < 0 || len(c.Faults) > 0:
		return sallyport.CodeNotWorkable
	}
	return ""
}

// Clear looks for the fewest moves that let units out of their lanes at a
// moment of a plan, has the judge play them and the rest of that day, and says
// what changes. The show must be complete, with what has happened by the plan
// put on it. report is called now and then with the moves tried.
func Clear(ctx context.Context, show *sallyport.Show, plan *sallyport.Plan, ask ClearAsk, report func(steps int64)) (*Clearing, error) {
	if ask.Steps == 0 {
		ask.Steps = ClearSteps
	}
	day, err := newClearDay(show, plan, ask.At, ask.Happened)
	if err != nil {
		return nil, err
	}
	if len(ask.Units) == 0 {
		ask.Units = day.inLanes(plan)
	}
	due, err := day.standing(ask.Units)
	if err != nil {
		return nil, err
	}
	if ask.Limit > 0 {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeoutCause(ctx, ask.Limit, errLimit)
		defer cancel()
	}
	c := newClearing(ctx, day, due, ask, 0, report)
	// What is under way in the same place goes first; then the park is looked
	// at again as it is by then.
	for range mostWaits {
		wait := day.wait(c.Moves)
		if wait <= day.begin || ctx.Err() != nil {
			break
		}
		later, err := newClearDay(show, plan, wait, ask.Happened)
		if err != nil {
			break
		}
		still, err := later.standing(ask.Units)
		if err != nil {
			break // gone by then as planned
		}
		day, due = later, still
		c = newClearing(ctx, day, due, ask, 0, report)
	}
	if c.Chosen >= 0 && c.endsInPublic() {
		// The public comes in before everything is done: only lanes without it.
		until := c.Moves[len(c.Moves)-1].Ends()
		if again := newClearing(ctx, day, due, ask, until, report); again.Chosen >= 0 && len(again.Faults) < len(c.Faults) {
			c = again
		}
	}
	c.interrupted = ctx.Err() != nil && !errors.Is(context.Cause(ctx), errLimit)
	c.notChecked()
	return c, nil
}

// errLimit tells the end of the time given from an interrupt.
var errLimit = errors.New("the time given is over")

// mostWaits is how often moves under way are waited for.
const mostWaits = 5

// newClearing looks for the moves and has them judged; until is when the last
// of them is over, as far as that is known.
func newClearing(ctx context.Context, day *clearDay, due []sallyport.UnitID, ask ClearAsk, until sallyport.Instant, report func(int64)) *Clearing {
	c := &Clearing{
		Due: due, At: ask.At, Happened: ask.Happened, Chosen: -1, Assumed: day.show.Assumed, show: day.show, ix: day.ix,
		Moves: []sallyport.Move{}, Back: []sallyport.Move{}, Stay: []sallyport.UnitID{}, Misses: []string{}, Faults: []sallyport.Fault{}, Then: []sallyport.Fault{}, ThenBack: []sallyport.Fault{},
		Held: []Held{}, HeldBack: []Held{},
	}
	c.look(ctx, day, ask, until, report)
	return c
}

// look does the work of newClearing.
func (c *Clearing) look(ctx context.Context, day *clearDay, ask ClearAsk, until sallyport.Instant, report func(int64)) {
	c.lot = clear.NewLot(c.ix, day.state, clear.Ask{Due: c.Due, InOrder: ask.InOrder, Stay: day.stay, Plan: day.rest, Until: until})
	c.Left = c.lot.Left
	var best clear.Answer
	done := int64(0)
	for _, restricted := range []bool{true, false} {
		if ask.Restricted && !restricted {
			continue
		}
		a := c.lot.Solve(ctx, clear.Options{Restricted: restricted, Steps: ask.Steps, Report: func(steps int64) {
			if report != nil {
				report(done + steps)
			}
		}})
		done += a.Steps
		c.Ways = append(c.Ways, ClearWay{
			Restricted: restricted, Found: a.Found, Moves: a.Count, AtLeast: a.Bound, Fewest: a.Proven, Stopped: a.Stopped,
		})
		if a.Found && (c.Chosen < 0 || a.Count < best.Count) {
			best, c.Chosen = a, len(c.Ways)-1
		}
	}
	if c.Chosen < 0 {
		c.Why = c.lot.Why()
		return
	}
	goes := day.goes(c.Due)
	c.Moves = c.lot.Moves(best, goes, day.begin)
	nobody := day.drivers(c.Moves)
	c.Misses = day.misses(c.Moves)
	end := c.Moves[len(c.Moves)-1].Ends()
	c.Faults, c.Then, c.Held, c.State = day.judge(c.Moves)
	for _, f := range nobody {
		if !slices.ContainsFunc(c.Faults, func(x sallyport.Fault) bool { return x.Rule == f.Rule && x.Move == f.Move }) {
			c.Faults = append(c.Faults, f)
		}
	}
	c.already = len(day.known)
	back, left := c.lot.Back(c.Moves, end)
	c.Stay = day.remaining(left)
	day.drivers(back)
	c.Back = day.putBack(c.Moves, back, end, len(c.Then), waited(c.Held))
	if len(c.Back) > 0 {
		_, c.ThenBack, c.HeldBack, _ = day.judge(append(slices.Clone(c.Moves), c.Back...))
	}
}

// endsInPublic reports whether the judge found the public in a zone in which
// something was to move.
func (c *Clearing) endsInPublic() bool {
	return slices.ContainsFunc(c.Faults, func(f sallyport.Fault) bool {
		return f.Rule == sallyport.RuleReopened || f.Rule == sallyport.RuleNotClear
	})
}

// notChecked lists what was not looked at.
func (c *Clearing) notChecked() {
	add := func(text string) { c.NotChecked = append(c.NotChecked, text) }
	if c.Left > 0 {
		add(count(c.Left, "lane", "lanes") + " farther off, which could hold somebody too: the fewest are those of the lanes looked at")
	}
	add("moving somebody aside twice within one lane, or from one place aside to another")
	add("whether everybody is at hand: moves follow each other at once, and only who is let out is given time to warm up")
	for _, m := range c.Moves {
		if tow, known := c.lot.Carried(m); tow && !known {
			add("whether " + c.ix.UnitName(m.Helper) + " may tow " + c.ix.UnitName(m.Unit) + ": a mass is not given")
		}
	}
	if c.already > 0 {
		add(count(c.already, "thing that goes", "things that go") + " wrong that day anyway, as the plan is and after what has happened: sallyport check or replan names them")
	}
	add("days after this one: those moves are as planned")
	c.NotChecked = append(c.NotChecked, sallyport.NotChecked(c.ix)...)
}
