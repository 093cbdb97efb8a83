package sallyport

import (
	"fmt"
	"slices"
)

// Check judges a whole plan from its start layout: workable when the report
// has no faults. The show must be complete.
func Check(show *Show, plan *Plan) Report {
	return CheckUntil(show, plan, func() bool { return false })
}

// CheckUntil is Check, but for what delays would do to the plan: that takes
// long for a plan of very many moves, and is given up when stop says so. The
// report's NotChecked says it then.
func CheckUntil(show *Show, plan *Plan, stop func() bool) Report {
	ix := NewIndex(show)
	state, faults := judge(ix, plan)
	r := Report{Faults: faults, Cost: newEvaluator(ix, plan).cost(), NotChecked: NotChecked(ix), Assumed: show.Assumed}
	if len(faults) > manyFaults {
		r.NotChecked = append(r.NotChecked, fmt.Sprintf("delays: the plan has more than %d faults as it is", manyFaults))
		return r
	}
	apart := 0
	if r.OrderAlone, apart = orderAlone(ix, state, plan.Moves, stop); apart > 0 {
		r.NotChecked = append(r.NotChecked, fmt.Sprintf("delays that let a move pass more than %d others: the plan has %d moves", apart, len(plan.Moves)))
	}
	if stop() {
		r.NotChecked = append(r.NotChecked, "some delays: the check was stopped")
	}
	return r
}

// Faults returns the faults that Check finds, without a price and without
// playing by order alone: for searches, in a small part of the time.
func Faults(show *Show, plan *Plan) []Fault {
	_, faults := judge(NewIndex(show), plan)
	return faults
}

// judge plays a plan and returns the state it starts from and every fault.
func judge(ix *Index, plan *Plan) (State, []Fault) {
	c := &checker{ix: ix, plan: plan}
	state, faults := startState(ix, plan)
	c.faults = faults
	p := NewPlayer(ix, state)
	p.prepare(plan.Moves)
	if plan.From == nil {
		p.standing()
	} else {
		p.resume(plan.Past)
	}
	for i := range plan.Moves {
		p.Do(&plan.Moves[i])
	}
	p.finish()
	p.checkMornings(ix.Morning(len(ix.Show.Days)))
	p.judgeMoves(plan.Moves)
	c.faults = append(c.faults, p.faults...)
	for _, rule := range planRules {
		rule(c)
	}
	sortFaults(c.faults)
	return state, c.faults
}

// manyFaults is how many faults a plan may have for it to be of use to ask
// what delays would do to it.
const manyFaults = 200

// StartState returns the state from which the moves of a plan are played and
// the faults of its start layout. The show must be complete.
func StartState(show *Show, plan *Plan) (State, []Fault) { return startState(NewIndex(show), plan) }

// startState builds the start layout: dead-end lanes packed from the closed
// end, others from the mouth. A plan that goes on from a moment begins with
// what stood where then: that is as it is and cannot be at fault, save that the
// show may no longer have who or what it names.
func startState(ix *Index, plan *Plan) (State, []Fault) {
	if plan.From != nil {
		return plan.From.known(ix)
	}
	state := State{Lanes: map[LaneID][]Standing{}}
	var faults []Fault
	bad := func(rule Rule, place string, units []UnitID, format string, args ...any) {
		faults = append(faults, Fault{Rule: rule, Place: place, Units: units, Sentence: ix.Show.words(format, args...)})
	}
	placed := map[UnitID]bool{}
	for _, l := range plan.Start {
		lane := ix.Lane(l.Lane)
		if lane == nil {
			bad(RuleUnknown, "", l.Units, "the start layout names lane %q, which the show does not have", l.Lane)
			continue
		}
		if len(state.Lanes[l.Lane]) > 0 {
			bad(RuleMove, ix.PosName(AtLane(l.Lane, "")), l.Units, "the start layout has lane %s twice", l.Lane)
			continue
		}
		var list []Standing
		for _, id := range l.Units {
			switch {
			case ix.Unit(id) == nil:
				bad(RuleUnknown, ix.PosName(AtLane(l.Lane, "")), []UnitID{id}, "the start layout names the vehicle %q, which the show does not have", id)
				continue
			case placed[id]:
				bad(RuleMove, ix.PosName(AtLane(l.Lane, "")), []UnitID{id}, "%s stands twice in the start layout", ix.UnitName(id))
				continue
			}
			placed[id] = true
			list = append(list, Standing{Unit: id, NoseIn: slices.Contains(l.NoseIn, id)})
		}
		packed(ix, lane, list)
		state.Lanes[l.Lane] = list
	}
	return state, faults
}

// packed sets the places of a start layout's lane.
func packed(ix *Index, lane *Lane, list []Standing) {
	gap := func(i int) Centimetres {
		a, b := list[i], list[i+1]
		return GapBetween(lane.Gap, ix.Unit(a.Unit), a.NoseIn, ix.Unit(b.Unit), b.NoseIn)
	}
	if lane.Kind != DeadEnd {
		var at Centimetres
		for i := range list {
			list[i].From = at
			at += ix.Unit(list[i].Unit).Length
			if i+1 < len(list) {
				at += gap(i)
			}
		}
		return
	}
	at := lane.Length
	for i := len(list) - 1; i >= 0; i-- {
		at -= ix.Unit(list[i].Unit).Length
		if i+1 < len(list) {
			at -= gap(i)
		}
		list[i].From = at
	}
}

// standing checks who stands in the lanes at the start, as if each had just
// come in, the deepest first.
func (p *Player) standing() {
	p.move = &Move{Start: p.now}
	for i := range p.ix.Show.Park.Lanes {
		lane := &p.ix.Show.Park.Lanes[i]
		list := p.lanes[lane.ID]
		place := p.ix.PosName(AtLane(lane.ID, ""))
		for j := len(list) - 1; j >= 0; j-- {
			s := list[j]
			u := p.ix.Unit(s.Unit)
			if c := p.ix.CombinationOf(u.ID); c != "" && !p.parted[c] {
				p.fault(RuleCombination, place, []UnitID{u.ID, c}, "%s is to stand alone, but it is coupled in %s", u.Name, p.ix.UnitName(c))
			}
			p.room(lane, place, list[j:], s, u)
			p.fits(lane, place, list[j:], u)
			if u.Arrive != (Window{}) {
				p.fault(RuleNotThere, place, []UnitID{u.ID}, "%s stands in %s at the start, but comes only at %s", u.Name, place, u.Arrive.From)
			}
		}
	}
	for _, rule := range afterRules[:1] {
		rule(p)
	}
}

// checker holds what the rules about a whole plan look at.
type checker struct {
	ix     *Index
	plan   *Plan
	faults []Fault
}

func (c *checker) fault(f Fault, format string, args ...any) {
	f.Sentence = c.ix.Show.words(format, args...)
	c.faults = append(c.faults, f)
}

// planRules are the rules about a plan as a whole.
var planRules = []func(c *checker){
	(*checker).entries, (*checker).wrongUnits, (*checker).present, (*checker).duties, (*checker).runs, (*checker).waits,
}

// serving returns which unit each entry is served by: the one that its
// serial's column takes along for it.
func serving(ix *Index, plan *Plan) map[EntryID]UnitID {
	named := map[part]EntryID{}
	by := map[EntryID]UnitID{}
	moves := plan.all()
	for i := range moves {
		m := &moves[i]
		if m.names() {
			named[part{m.Serial, m.Unit}] = m.Entry
		}
		s := ix.Serial(m.Serial)
		if m.Kind != MoveOut || s == nil {
			continue
		}
		for _, u := range m.Units {
			if k := ix.placeIn(s, u, named[part{s.ID, u}]); k >= 0 {
				by[s.Entries[k].ID] = u
			}
		}
	}
	return by
}

// unserved returns the entries that no column of the plan takes along, in the
// show's order; those whose column has left before the plan begins are over.
func unserved(ix *Index, plan *Plan) []EntryID {
	by := serving(ix, plan)
	given := setOf(plan.Unserved)
	served := map[EntryID]bool{}
	var lost []EntryID
	for _, s := range ix.SerialsInTime {
		for _, e := range s.Entries {
			_, ok := by[e.ID]
			if before := ix.JoinedBefore(e.ID); !ok && before != nil && before.Join == JoinArena {
				ok = served[before.ID]
			}
			served[e.ID] = ok && !given[e.ID]
			if !served[e.ID] && !plan.over(s.Leave()) {
				lost = append(lost, e.ID)
			}
		}
	}
	return lost
}

func setOf(ids []EntryID) map[EntryID]bool {
	set := make(map[EntryID]bool, len(ids))
	for _, id := range ids {
		set[id] = true
	}
	return set
}

// entries reports entries that are given up or missing.
func (c *checker) entries() {
	given := setOf(c.plan.Unserved)
	for _, id := range unserved(c.ix, c.plan) {
		e, s := c.ix.Entry(id), c.ix.SerialOf(id)
		f := Fault{Rule: RuleMissing, At: s.FormUp, Units: []UnitID{e.Unit}, Serial: s.ID, Entry: id}
		if given[id] {
			f.Rule = RuleUnserved
			c.fault(f, "%s is not in %s: its entry is given up", c.ix.UnitName(e.Unit), c.ix.SerialName(s.ID))
			continue
		}
		c.fault(f, "no move brings %s into %s", c.ix.UnitName(e.Unit), c.ix.SerialName(s.ID))
	}
}

// wrongUnits reports pull-outs of units that are neither an entry's own nor
// one of its reserves.
func (c *checker) wrongUnits() {
	for i := range c.plan.Moves {
		m := &c.plan.Moves[i]
		e := c.ix.Entry(m.Entry)
		if m.Entry == "" || m.Kind != MovePullOut && m.Kind != MoveAcross {
			continue
		}
		f := Fault{Rule: RuleWrongUnit, At: m.Start, Units: []UnitID{m.Unit}, Serial: m.Serial, Entry: m.Entry, Move: m.ID}
		switch {
		case e == nil:
			f.Rule = RuleUnknown
			c.fault(f, "move %s names the entry %q, which the show does not have", m.ID, m.Entry)
		case e.Unit != m.Unit && !slices.Contains(e.Reserves, m.Unit):
			c.fault(f, "%s is pulled out for an entry of %s, but is not its reserve", c.ix.UnitName(m.Unit), c.ix.UnitName(e.Unit))
		}
	}
}

// present reports units that the plan puts nowhere, and that do not leave.
func (c *checker) present() {
	placed, gone := map[UnitID]bool{}, map[UnitID]bool{}
	for _, l := range c.plan.Start {
		for _, u := range l.Units {
			placed[u] = true
		}
	}
	for _, m := range c.plan.all() {
		switch {
		case m.Kind == MoveArrive:
			placed[m.Unit] = true
		case m.Kind == MoveDepart, m.Kind == MoveTow && m.To.Kind == InAway:
			gone[m.Unit] = true
		}
	}
	for _, id := range c.ix.UnitIDs {
		u := c.ix.Unit(id)
		if c.ix.CombinationOf(id) != "" {
			continue
		}
		if !placed[id] {
			c.fault(Fault{Rule: RuleNotPlaced, At: u.Arrive.From, Units: []UnitID{id}}, "%s has no place in the park", u.Name)
		}
		if u.Depart != (Window{}) && !gone[id] {
			c.fault(Fault{Rule: RuleWindow, At: u.Depart.To, Units: []UnitID{id}}, "no move lets %s leave, which is to go by %s", u.Name, u.Depart.To)
		}
	}
}

// duties reports duties that no move serves.
func (c *checker) duties() {
	served := map[DutyID]bool{}
	for _, m := range c.plan.all() {
		if m.Kind == MoveDuty {
			served[m.Duty] = true
		}
	}
	for _, d := range c.ix.Show.Duties {
		if !served[d.ID] && !c.plan.over(d.From) {
			c.fault(Fault{Rule: RuleDuty, At: d.From, Units: []UnitID{d.Unit}}, "no move brings %s to its duty: %s at %s", c.ix.UnitName(d.Unit), d.What, d.From)
		}
	}
}

// runs reports units that run more often or longer in a day than they may. In
// a plan that goes on from a moment a day is at fault only when some of its
// runs are still to come.
func (c *checker) runs() {
	type day struct {
		unit UnitID
		day  int
	}
	count, spent, ahead := map[day]int{}, map[day]Seconds{}, map[day]bool{}
	lost, by := setOf(unserved(c.ix, c.plan)), serving(c.ix, c.plan)
	for _, s := range c.ix.SerialsInTime {
		for _, e := range s.Entries {
			if lost[e.ID] {
				continue
			}
			u, ok := by[e.ID]
			if !ok { // joined in the arena to the entry before
				u = e.Unit
			}
			k := day{u, s.ArenaIn.Day()}
			count[k]++
			spent[k] += Seconds(s.ArenaOut - s.ArenaIn)
			ahead[k] = ahead[k] || !c.plan.over(s.Leave())
		}
	}
	for _, d := range c.ix.Show.Duties {
		k := day{d.Unit, d.From.Day()}
		count[k]++
		ahead[k] = ahead[k] || !c.plan.over(d.From)
	}
	for _, id := range c.ix.UnitIDs {
		u := c.ix.Unit(id)
		for d := range c.ix.Show.Days {
			k := day{id, d + 1}
			if !ahead[k] {
				continue
			}
			f := Fault{Rule: RuleRuns, At: At(d+1, 0, 0), Units: []UnitID{id}}
			if u.MaxRuns > 0 && count[k] > u.MaxRuns {
				c.fault(f, "%s has %d runs on day %d, but may have %d", u.Name, count[k], d+1, u.MaxRuns)
			}
			if u.MaxRunning > 0 && spent[k] > u.MaxRunning {
				c.fault(f, "%s is %s in the arena on day %d, but may be %s", u.Name, spent[k].Words(), d+1, u.MaxRunning.Words())
			}
		}
	}
}

// waits reports moves that are timed before what they wait for.
func (c *checker) waits() {
	before := map[MoveID]*Move{}
	for i := range c.plan.Past {
		before[c.plan.Past[i].ID] = &c.plan.Past[i]
	}
	for i := range c.plan.Moves {
		m := &c.plan.Moves[i]
		f := Fault{Rule: RuleTimes, At: m.Start, Units: m.who(), Serial: m.Serial, Entry: m.Entry, Move: m.ID}
		for _, w := range m.After {
			id := w.Move
			if id == "" {
				id = w.Begun
			}
			o := before[id]
			switch {
			case id == "":
			case o == nil:
				f.Rule = RuleUnknown
				c.fault(f, "the %s waits for move %q, which does not come before it", moveName(c.ix, m), id)
			case w.Move != "" && m.Start < o.Ends():
				c.fault(f, "the %s starts at %s, but waits for the %s, which is over at %s", moveName(c.ix, m), m.Start, moveName(c.ix, o), o.Ends())
			}
		}
		before[m.ID] = m
	}
}

// who returns the units of a move.
func (m *Move) who() []UnitID {
	if m.Unit != "" {
		return []UnitID{m.Unit}
	}
	return m.Units
}
