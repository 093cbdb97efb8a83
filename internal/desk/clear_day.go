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
	start sallyport.State // before the plan's first move
	made  []sallyport.Move
	state sallyport.State // at the moment: what has begun by then is done
	rest  []sallyport.Move
	begin sallyport.Instant // that moment
	known map[breach]bool   // faults that the plan has by itself
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

func newClearDay(show *sallyport.Show, plan *sallyport.Plan, at sallyport.Instant) *clearDay {
	d := &clearDay{show: show, ix: sallyport.NewIndex(show), begin: at, known: map[breach]bool{}}
	if plan.From != nil {
		d.start = *plan.From
	} else {
		d.start, _ = sallyport.StartState(show, plan)
	}
	for _, m := range plan.Moves {
		switch {
		case m.Start <= at:
			d.made = append(d.made, m)
		case m.Start.Day() == at.Day():
			d.rest = append(d.rest, m)
		}
	}
	d.state = d.start
	states, faults := sallyport.Play(show, d.start, append(slices.Clone(d.made), d.rest...))
	for _, f := range faults {
		d.known[breachOf(f)] = true
	}
	if n := len(d.made); n > 0 {
		d.state = states[n-1]
	}
	d.state.At = at
	return d
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
		if s := d.ix.Serial(m.Serial); s.FormFrom <= d.begin+soon {
			goes[u] = sallyport.Move{Kind: m.Kind, To: m.To, Serial: m.Serial, Entry: m.Entry}
		}
	}
	return goes
}

// drivers names a driver for each move of a unit that has its own: the first
// who is not out on another.
func (d *clearDay) drivers(moves []sallyport.Move) {
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
		for _, p := range d.ix.Unit(m.Unit).AllDrivers {
			if u, out := aboard[p]; !out || u == m.Unit {
				m.Driver = p
				break
			}
		}
	}
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

// Held is a planned move that waits for others.
type Held struct {
	Move  sallyport.MoveID   `json:"move"`
	Unit  sallyport.UnitID   `json:"unit"`
	Kind  sallyport.MoveKind `json:"kind"`
	From  sallyport.Instant  `json:"planned"`
	Until sallyport.Instant  `json:"until"`
}

// judge plays moves that are put into the day, and the rest of the day as far
// as it can still be made. It returns the new faults of these moves, the new
// ones of the rest, the planned moves that wait, and the state after the
// moves.
func (d *clearDay) judge(moves []sallyport.Move) (own, then []sallyport.Fault, held []Held, after sallyport.State) {
	own, then, held = []sallyport.Fault{}, []sallyport.Fault{}, []Held{}
	put := map[sallyport.MoveID]bool{}
	for _, m := range moves {
		put[m.ID] = true
	}
	all := slices.Clone(d.made)
	all = append(all, d.merged(moves)...)
	states, faults := sallyport.Play(d.show, d.start, all)
	said := map[string]bool{}
	for _, f := range faults {
		again := said[f.Sentence]
		said[f.Sentence] = true
		switch {
		case again: // of both ends of one move
		case put[f.Move] && f.Rule == sallyport.RuleWindow:
			// The time for leaving for good says nothing about being let out now.
		case put[f.Move]:
			own = append(own, f)
		case !d.known[breachOf(f)]:
			then = append(then, f)
		}
	}
	for i, m := range all {
		if put[m.ID] {
			after = states[i]
		}
	}
	planned := map[sallyport.MoveID]sallyport.Instant{}
	for _, m := range d.rest {
		planned[m.ID] = m.Start
	}
	for _, m := range all {
		if at, ok := planned[m.ID]; ok && at != m.Start {
			held = append(held, Held{m.ID, m.Unit, m.Kind, at, m.Start})
		}
	}
	return own, then, held, after
}

// held returns when a planned move starts that gives way to moves: it does
// not go into one of their lanes before they are done with it, nor through
// their frontage while one of the two reverses.
func (d *clearDay) held(m sallyport.Move, start sallyport.Instant, moves []sallyport.Move) sallyport.Instant {
	into := func(at sallyport.Pos) bool {
		return m.To.Kind == sallyport.InLane && m.To.Kind == at.Kind && m.To.ID == at.ID
	}
	for again := true; again; {
		again = false
		for _, x := range moves {
			end := start + sallyport.Instant(m.Takes)
			meet := d.meet(m.From, x.From) || d.meet(m.From, x.To) || d.meet(m.To, x.From) || d.meet(m.To, x.To)
			overlap := x.Start < end && start < x.Ends()
			switch {
			case (into(x.From) || into(x.To)) && start < x.Ends(), meet && overlap && (x.Reverse || m.Reverse):
				start, again = x.Ends(), true
			}
		}
	}
	return start
}

// merged returns moves and the rest of the day in order of time. A planned
// move starts from where its unit is by then, not before it is there, and
// gives way to moves;
// those are left out that have lost their sense: of units that are gone, the
// pull-out of one that is let out for it, moving aside one that is aside.
func (d *clearDay) merged(moves []sallyport.Move) []sallyport.Move {
	put, off := map[sallyport.MoveID]bool{}, map[sallyport.UnitID]bool{}
	free := map[sallyport.UnitID]sallyport.Instant{}
	out := map[sallyport.UnitID]sallyport.SerialID{}
	for _, m := range moves {
		put[m.ID] = true
		off[m.Unit] = off[m.Unit] || gone(&m)
		free[m.Unit] = m.Ends()
		if m.Kind == sallyport.MovePullOut {
			out[m.Unit] = m.Serial
		}
	}
	all := slices.Clone(moves)
	first := slices.Clone(moves)                         // that others give way to: those that wait, too
	behind := map[sallyport.SerialID]sallyport.Instant{} // how late the last is to leave its line in order
	for _, m := range d.rest {
		if m.Kind == sallyport.MovePullOut && out[m.Unit] == m.Serial {
			continue
		}
		if len(m.Units) == 0 {
			planned := m.Start
			line := d.ix.Line(sallyport.LineID(m.From.ID))
			inOrder := m.From.Kind == sallyport.InLine && line != nil && line.Home == sallyport.HomeInOrder
			if inOrder {
				m.Start += behind[m.Serial]
			}
			m.Start = d.held(m, max(m.Start, free[m.Unit]), first)
			if m.Start > planned {
				free[m.Unit] = m.Ends()
				first = append(first, m)
			}
			if inOrder {
				behind[m.Serial] = m.Start - planned
			}
		}
		all = append(all, m)
	}
	slices.SortStableFunc(all, func(a, b sallyport.Move) int { return int(a.Start - b.Start) })
	p := sallyport.NewPlayer(d.ix, d.state)
	var list []sallyport.Move
	for _, m := range all {
		if !put[m.ID] {
			s := p.State()
			var ok bool
			if m, ok = d.adapt(m, &s, off); !ok {
				continue
			}
		}
		p.Do(&m)
		list = append(list, m)
	}
	return list
}

// adapt returns a planned move as it can be made from a state, and whether it
// still has a sense.
func (d *clearDay) adapt(m sallyport.Move, s *sallyport.State, off map[sallyport.UnitID]bool) (sallyport.Move, bool) {
	if len(m.Units) > 0 {
		m.Units = slices.DeleteFunc(slices.Clone(m.Units), func(u sallyport.UnitID) bool { return off[u] })
		return m, len(m.Units) > 0
	}
	at := where(s, m.Unit)
	lane := m.From.Kind == sallyport.InLane
	switch {
	case off[m.Unit]:
		return m, false
	case (m.Kind == sallyport.MoveAside || m.Kind == sallyport.MoveCloseUp) && lane && (at.Kind != m.From.Kind || at.ID != m.From.ID):
		return m, false
	case m.Kind == sallyport.MoveBack && at.Kind == sallyport.InLane:
		return m, false
	case (lane || m.From.Kind == sallyport.InSpot) && (at.Kind == sallyport.InLane || at.Kind == sallyport.InSpot) && (at.Kind != m.From.Kind || at.ID != m.From.ID):
		m.From = at
	}
	if m.From.Kind == sallyport.InLane && m.To.Kind != sallyport.InLane && at.Kind == sallyport.InLane {
		m = d.facing(m, s)
	}
	return m, true
}

// facing sets how a unit drives out of its lane, as it stands now: in an open
// lane by the planned end, or by the one with fewer before it.
func (d *clearDay) facing(m sallyport.Move, s *sallyport.State) sallyport.Move {
	lane := d.ix.Lane(sallyport.LaneID(m.From.ID))
	list := s.Lanes[lane.ID]
	i := slices.IndexFunc(list, func(x sallyport.Standing) bool { return x.Unit == m.Unit })
	if lane.Kind == sallyport.Open && m.From.End == "" {
		m.From.End = sallyport.Mouth
		if len(list)-1-i < i {
			m.From.End = sallyport.Tail
		}
	}
	m.Reverse = (m.From.End != sallyport.Tail) == list[i].NoseIn
	return m
}

// InLanes returns the units that stand in lanes at a moment of a plan, in the
// order in which they are next planned to leave them; those who are not are
// last, in the show's order.
func InLanes(show *sallyport.Show, plan *sallyport.Plan, at sallyport.Instant) []sallyport.UnitID {
	d := newClearDay(show, plan, at)
	var units []sallyport.UnitID
	add := func(u sallyport.UnitID) {
		if where(&d.state, u).Kind == sallyport.InLane && !slices.Contains(units, u) {
			units = append(units, u)
		}
	}
	for _, m := range plan.Moves {
		if m.Start > at && m.From.Kind == sallyport.InLane && m.Kind != sallyport.MoveAside && m.Kind != sallyport.MoveCloseUp {
			add(m.Unit)
		}
	}
	for _, u := range d.ix.UnitIDs {
		add(u)
	}
	return units
}

// staying returns those moves back into lanes whose unit is not due elsewhere
// before they are over; they follow each other from start on.
func (d *clearDay) staying(back []sallyport.Move, start sallyport.Instant) []sallyport.Move {
	list := []sallyport.Move{}
	for _, m := range back {
		m.Start = start
		due := slices.ContainsFunc(d.rest, func(x sallyport.Move) bool {
			return x.Unit == m.Unit && x.Start < m.Ends() && x.From.Kind == sallyport.InLane && x.To.Kind != sallyport.InLane && x.Kind != sallyport.MoveAside
		})
		if !due {
			list = append(list, m)
			start = m.Ends()
		}
	}
	return list
}

// mostTries is how many moments are tried for putting back.
const mostTries = 30

// putBack returns moves back, begun at the first moment from start on at which
// nothing goes wrong through them and no planned move has to wait for them;
// at start when there is none. faults
// and waits are how much goes wrong and how long is waited without them.
func (d *clearDay) putBack(moves, back []sallyport.Move, start sallyport.Instant, faults int, waits sallyport.Instant) []sallyport.Move {
	starts := []sallyport.Instant{start}
	for _, m := range d.rest {
		if t := m.Ends(); t > start && len(m.Units) == 0 {
			starts = append(starts, t)
		}
	}
	slices.Sort(starts)
	starts = slices.Compact(starts)
	for _, t := range starts[:min(len(starts), mostTries)] {
		list := d.staying(back, t)
		if len(list) == 0 {
			break // all are pulled out from where they wait
		}
		if own, then, wait, _ := d.judge(append(slices.Clone(moves), list...)); len(own) == 0 && len(then) <= faults && waited(wait) <= waits {
			return list
		}
	}
	return d.staying(back, start)
}

// waited returns how long planned moves have to wait, all together.
func waited(held []Held) sallyport.Instant {
	var sum sallyport.Instant
	for _, h := range held {
		sum += h.Until - h.From
	}
	return sum
}
