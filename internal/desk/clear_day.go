package desk

import (
	"cmp"
	"fmt"
	"slices"

	"sallyport"
)

// clearDay is a day of a plan, cut at a moment.
type clearDay struct {
	show  *sallyport.Show
	ix    *sallyport.Index
	state sallyport.State // at the moment: what has begun by then is done
	made  []sallyport.Move
	rest  []sallyport.Move   // still to come that day
	begin sallyport.Instant  // the moment
	stay  []sallyport.UnitID // not to be moved
	known map[breach]bool    // faults that the rest has by itself
}

// breach tells faults apart.
type breach struct {
	rule sallyport.Rule
	move sallyport.MoveID
	unit sallyport.UnitID
}

func breachOf(f sallyport.Fault) breach {
	b := breach{rule: f.Rule, move: f.Move}
	if len(f.Units) > 0 {
		b.unit = f.Units[0]
	}
	return b
}

// newClearDay cuts a plan at a moment, after what has happened by then.
func newClearDay(show *sallyport.Show, plan *sallyport.Plan, at sallyport.Instant, happened []sallyport.Happening) (*clearDay, error) {
	if plan.From != nil && at < plan.From.At {
		return nil, sallyport.Errorf(sallyport.CodeInput, "give a later moment, or the issue before it", "the plan begins at %s, after %s", show.When(plan.From.At), show.When(at))
	}
	state, past, rest := sallyport.StateAt(show, plan, at)
	show, state, _, wrong := sallyport.Apply(show, state, happened)
	if err := problemsError(wrong); err != nil {
		return nil, err
	}
	state.At = at
	d := &clearDay{show: show, ix: sallyport.NewIndex(show), state: state, made: past, begin: at, known: map[breach]bool{}}
	for _, h := range slices.Concat(plan.Happened, happened) {
		if h.Kind == sallyport.HappenDoNotMove && (h.Until == 0 || h.Until > at) {
			d.stay = append(d.stay, d.ix.Standing(h.Unit))
		}
	}
	for _, m := range rest {
		if m.Start.Day() == at.Day() {
			d.rest = append(d.rest, m)
		}
	}
	for _, f := range sallyport.PlayFaults(d.ix, state, d.rest) {
		d.known[breachOf(f)] = true
	}
	return d, nil
}

// wait returns when none of the moves under way is in the way of moves: in one
// of their lanes or frontage stretches, or with one of their units.
func (d *clearDay) wait(moves []sallyport.Move) sallyport.Instant {
	wait := d.begin
	for _, m := range d.made {
		if m.Ends() <= d.begin || len(m.Units) > 0 {
			continue
		}
		for _, x := range moves {
			if x.Unit == m.Unit || d.meet(m.From, x.From) || d.meet(m.From, x.To) || d.meet(m.To, x.From) || d.meet(m.To, x.To) {
				wait = max(wait, m.Ends())
			}
		}
	}
	return wait
}

// meet reports whether two positions are lanes that share a frontage stretch.
func (d *clearDay) meet(a, b sallyport.Pos) bool {
	x, y := d.ix.Lane(sallyport.LaneID(a.ID)), d.ix.Lane(sallyport.LaneID(b.ID))
	if a.Kind != sallyport.InLane || b.Kind != sallyport.InLane || x == nil || y == nil {
		return false
	}
	same := func(s, t sallyport.StretchID) bool { return s != "" && s == t }
	return x == y || same(x.Mouth, y.Mouth) || same(x.Mouth, y.Tail) || same(x.Tail, y.Mouth) || same(x.Tail, y.Tail)
}

// where returns where a unit is in a state.
func where(s *sallyport.State, u sallyport.UnitID) sallyport.Pos {
	for lane, list := range s.Lanes {
		if slices.ContainsFunc(list, func(x sallyport.Standing) bool { return x.Unit == u }) {
			return sallyport.AtLane(lane, "")
		}
	}
	for spot, list := range s.Spots {
		if slices.Contains(list, u) {
			return sallyport.AtSpot(spot)
		}
	}
	for line, list := range s.Lines {
		if slices.Contains(list, u) {
			return sallyport.AtLine(line)
		}
	}
	switch {
	case slices.Contains(s.Arena, u):
		return sallyport.Pos{Kind: sallyport.InArena}
	case slices.Contains(s.Duty, u):
		return sallyport.Pos{Kind: sallyport.InDuty}
	}
	return sallyport.Pos{Kind: sallyport.InAway}
}

// standing returns the units as they stand, combinations for their parts, and
// an error when one is in no lane.
func (d *clearDay) standing(units []sallyport.UnitID) ([]sallyport.UnitID, error) {
	var due []sallyport.UnitID
	for _, id := range units {
		if c := d.ix.CombinationOf(id); c != "" && !slices.Contains(d.state.Parted, c) {
			id = c
		}
		if at := where(&d.state, id); at.Kind != sallyport.InLane {
			return nil, sallyport.Errorf(sallyport.CodeInput, "sallyport draw with --at shows who stands where then",
				"%s is in no lane on %s: it is %s", d.ix.UnitName(id), d.show.When(d.state.At), d.placeOf(at))
		}
		if !slices.Contains(due, id) {
			due = append(due, id)
		}
	}
	if len(due) == 0 {
		return nil, sallyport.Errorf(sallyport.CodeInput, "name a vehicle", "nobody is named who is to be let out")
	}
	return due, nil
}

// placeOf returns a position as the end of a sentence.
func (d *clearDay) placeOf(at sallyport.Pos) string {
	if at.Kind == sallyport.InAway {
		return "away"
	}
	return "at " + d.ix.PosName(at)
}

// soon is how long before its serial begins to form up a vehicle that is let
// out may go to its line.
const soon = sallyport.Instant(30 * 60)

// goes returns where units go that are let out: to the line of their next
// serial when that is soon formed up; the others leave the park.
func (d *clearDay) goes(units []sallyport.UnitID) map[sallyport.UnitID]sallyport.Move {
	goes := map[sallyport.UnitID]sallyport.Move{}
	for _, u := range units {
		i := slices.IndexFunc(d.rest, func(m sallyport.Move) bool {
			return m.Unit == u && m.From.Kind == sallyport.InLane && m.Kind != sallyport.MoveCloseUp
		})
		if i < 0 || d.rest[i].Kind != sallyport.MovePullOut {
			continue
		}
		m := d.rest[i]
		if s := d.ix.Serial(m.Serial); s != nil && s.FormFrom <= d.begin+soon {
			goes[u] = sallyport.Move{Kind: m.Kind, To: m.To, Serial: m.Serial, Entry: m.Entry}
		}
	}
	return goes
}

// drivers names a driver for each move of a unit that has its own: the first
// who is not out on another. It returns a fault for each move for which there
// is none.
func (d *clearDay) drivers(moves []sallyport.Move) []sallyport.Fault {
	var faults []sallyport.Fault
	aboard := map[sallyport.PersonID]sallyport.UnitID{}
	for _, m := range d.made {
		switch m.Kind {
		case sallyport.MovePullOut, sallyport.MoveDuty, sallyport.MoveAcross:
			for _, p := range d.people(&m) {
				aboard[p] = m.Unit
			}
		case sallyport.MoveReturn, sallyport.MoveRelieve, sallyport.MoveDepart:
			for p, u := range aboard {
				if u == m.Unit {
					delete(aboard, p)
				}
			}
		}
	}
	for i := range moves {
		m := &moves[i]
		if m.ByHand || m.Kind == sallyport.MoveTow {
			continue
		}
		u := d.ix.Unit(m.Unit)
		for _, p := range u.AllDrivers {
			if on, out := aboard[p]; !out || on == m.Unit {
				m.Driver = p
				break
			}
		}
		if m.Driver == "" && len(u.AllDrivers) > 0 {
			faults = append(faults, sallyport.Fault{
				Rule: sallyport.RuleNoDriver, At: m.Start, Units: []sallyport.UnitID{m.Unit}, Move: m.ID,
				Sentence: fmt.Sprintf("everybody who drives %s is out on another vehicle", u.Name),
			})
		}
	}
	return faults
}

// people returns who is on a unit for an entry or duty.
func (d *clearDay) people(m *sallyport.Move) []sallyport.PersonID {
	driver := m.Driver
	var list []sallyport.PersonID
	if e := d.ix.Entry(m.Entry); e != nil {
		list = append(list, e.Crew...)
		driver = cmp.Or(driver, e.Driver)
	}
	if x := d.ix.Duty(m.Duty); x != nil {
		driver = cmp.Or(driver, x.Driver)
	}
	if driver != "" {
		list = append(list, driver)
	}
	return list
}

// misses says which entries of that day those miss who leave the park.
func (d *clearDay) misses(moves []sallyport.Move) []string {
	list := []string{}
	for _, m := range moves {
		if !gone(&m) {
			continue
		}
		for _, ref := range d.ix.EntriesOf(m.Unit) {
			if ref.Serial.ArenaIn >= d.begin && ref.Serial.ArenaIn.Day() == d.begin.Day() {
				list = append(list, fmt.Sprintf("%s in %s at %s", d.ix.UnitName(m.Unit), d.ix.SerialName(ref.Serial.ID), ref.Serial.ArenaIn.Clock()))
			}
		}
	}
	return list
}

// gone reports whether a move takes its unit off for the rest of the day: out
// of the park, or to the breakdown bay.
func gone(m *sallyport.Move) bool {
	return m.To.Kind == sallyport.InAway || m.To.Kind == sallyport.InSpot && (m.Kind == sallyport.MoveTow)
}

// inLanes returns the units that stand in lanes, in the order in which they
// are next planned to leave them; those who are not are last, in the show's
// order.
func (d *clearDay) inLanes(plan *sallyport.Plan) []sallyport.UnitID {
	var units []sallyport.UnitID
	add := func(u sallyport.UnitID) {
		if where(&d.state, u).Kind == sallyport.InLane && !slices.Contains(units, u) {
			units = append(units, u)
		}
	}
	for _, m := range plan.Moves {
		if m.Start > d.begin && m.From.Kind == sallyport.InLane && m.Kind != sallyport.MoveAside && m.Kind != sallyport.MoveCloseUp {
			add(m.Unit)
		}
	}
	for _, u := range d.ix.UnitIDs {
		add(u)
	}
	return units
}
