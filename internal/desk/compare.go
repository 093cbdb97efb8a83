package desk

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"sallyport"
)

// Side is one of two states that are compared: a show as given, with its plan
// or none.
type Side struct {
	Name string // "Issue 2", "Draft 17"
	Show *sallyport.Show
	Plan *sallyport.Plan
}

// EventChange is one difference between two orders of events.
type EventChange struct {
	Serial sallyport.SerialID `json:"serial"`
	Entry  sallyport.EntryID  `json:"entry,omitempty"`
	What   string             `json:"what"`
	Was    string             `json:"was"`
	Now    string             `json:"now"`
	People []string           `json:"people"` // whom it concerns by name: owners, drivers, crew
}

// StayMoved is a stay that is spent in another lane.
type StayMoved struct {
	Unit  sallyport.UnitID `json:"unit"`
	After string           `json:"after"`
	Was   sallyport.LaneID `json:"was"`
	Now   sallyport.LaneID `json:"now"`
}

// TermSides is a term of the cost on both sides.
type TermSides struct {
	Term string           `json:"term"`
	Was  sallyport.Amount `json:"was"`
	Now  sallyport.Amount `json:"now"`
}

// Totals are the costs of both sides.
type Totals struct {
	Was sallyport.Amount `json:"was"`
	Now sallyport.Amount `json:"now"`
}

// Comparison is two states of a show side by side.
type Comparison struct {
	A       string        `json:"a"`
	B       string        `json:"b"`
	Events  []EventChange `json:"events"`
	Moved   []StayMoved   `json:"moved"`
	Notices []Notice      `json:"notices"`
	Cost    []TermSides   `json:"cost"` // terms that differ
	Total   Totals        `json:"total"`
	Says    []string      `json:"says"`
}

// Compare says what is other in b than in a: the order of events, where
// vehicles stand, what is to be told to whom, and what it costs.
func Compare(a, b Side) *Comparison {
	x := comparing{was: sidePlayed(a), now: sidePlayed(b)}
	c := &Comparison{A: a.Name, B: b.Name, Events: x.events(), Moved: x.moved(a.Plan, b.Plan), Notices: []Notice{}, Cost: []TermSides{}, Says: []string{}}
	if a.Plan != nil && b.Plan != nil {
		happened := b.Plan.Happened[min(len(a.Plan.Happened), len(b.Plan.Happened)):]
		c.Notices = append(c.Notices, notices(x.now.show, a.Plan, b.Plan, happened, nil)...)
	}
	was, now := x.was.cost(a.Plan), x.now.cost(b.Plan)
	c.Total = Totals{was.Total, now.Total}
	for _, term := range sallyport.Terms {
		if s := (TermSides{term, was.Term(term).Amount, now.Term(term).Amount}); s.Was != s.Now {
			c.Cost = append(c.Cost, s)
		}
	}
	c.Says = append(c.Says, c.says(a, b, now.Lost-was.Lost)...)
	return c
}

// playedSide is the complete show of a side, with what has happened by its
// plan.
type playedSide struct {
	show *sallyport.Show
	ix   *sallyport.Index
}

func sidePlayed(s Side) playedSide {
	show := sallyport.Complete(s.Show)
	if s.Plan != nil {
		if now, problems := sallyport.ShowWith(show, s.Plan.Happened); len(problems) == 0 {
			show = now
		}
	}
	return playedSide{show, sallyport.NewIndex(show)}
}

func (s playedSide) cost(plan *sallyport.Plan) sallyport.Cost {
	if plan == nil {
		return sallyport.Cost{}
	}
	return sallyport.Evaluate(s.show, plan)
}

// comparing compares two sides.
type comparing struct {
	was, now playedSide
	list     []EventChange
}

// events compares the orders of events, serial by serial in order of time;
// serials that are gone come where they were.
func (x *comparing) events() []EventChange {
	x.list = []EventChange{}
	type at struct {
		when sallyport.Instant
		id   sallyport.SerialID
	}
	var order []at
	for _, s := range x.now.ix.SerialsInTime {
		order = append(order, at{cmp.Or(s.ArenaIn, s.FormUp), s.ID})
	}
	for _, s := range x.was.ix.SerialsInTime {
		if x.now.ix.Serial(s.ID) == nil {
			order = append(order, at{cmp.Or(s.ArenaIn, s.FormUp), s.ID})
		}
	}
	slices.SortStableFunc(order, func(a, b at) int { return cmp.Compare(a.when, b.when) })
	for _, o := range order {
		switch was, now := x.was.ix.Serial(o.id), x.now.ix.Serial(o.id); {
		case was == nil:
			x.change(now.ID, "", "new serial", "", x.now.line(now), x.now.peopleIn(now))
		case now == nil:
			x.change(was.ID, "", "serial struck", x.was.line(was), "", x.was.peopleIn(was))
		default:
			x.serial(was, now)
		}
	}
	x.duties()
	return x.list
}

func (x *comparing) change(s sallyport.SerialID, e sallyport.EntryID, what, was, now string, people []string) {
	if people == nil {
		people = []string{}
	}
	x.list = append(x.list, EventChange{s, e, what, was, now, people})
}

// line says what a serial is in a line.
func (s playedSide) line(x *sallyport.Serial) string {
	return fmt.Sprintf("%s, %s, %s", s.ix.SerialName(x.ID), s.show.When(x.ArenaIn), count(len(x.Entries), "entry", "entries"))
}

// serialFields are what a serial says besides its entries.
var serialFields = []struct {
	what string
	of   func(s playedSide, x *sallyport.Serial) string
}{
	{"name", func(_ playedSide, x *sallyport.Serial) string { return x.Name }},
	{"line", func(s playedSide, x *sallyport.Serial) string { return lineName(s.ix, x.Line) }},
	{"line home", func(s playedSide, x *sallyport.Serial) string { return lineName(s.ix, x.HomeLine) }},
	{"form from", func(s playedSide, x *sallyport.Serial) string { return momentWords(s.show, x.FormFrom) }},
	{"form up", func(s playedSide, x *sallyport.Serial) string { return momentWords(s.show, x.FormUp) }},
	{"arena in", func(s playedSide, x *sallyport.Serial) string { return momentWords(s.show, x.ArenaIn) }},
	{"arena out", func(s playedSide, x *sallyport.Serial) string { return momentWords(s.show, x.ArenaOut) }},
	{"home by", func(s playedSide, x *sallyport.Serial) string { return momentWords(s.show, x.HomeBy) }},
	{"travel", func(_ playedSide, x *sallyport.Serial) string { return x.Travel.Words() }},
	{"note", func(_ playedSide, x *sallyport.Serial) string { return x.Note }},
}

func lineName(ix *sallyport.Index, id sallyport.LineID) string {
	if id == "" {
		return ""
	}
	return ix.PosName(sallyport.AtLine(id))
}

func momentWords(show *sallyport.Show, t sallyport.Instant) string {
	if t == 0 {
		return ""
	}
	return show.When(t)
}

// serial compares a serial that is on both sides.
func (x *comparing) serial(was, now *sallyport.Serial) {
	people := x.now.peopleIn(now)
	for _, f := range serialFields {
		if a, b := f.of(x.was, was), f.of(x.now, now); a != b {
			x.change(now.ID, "", f.what, a, b, people)
		}
	}
	had, have := entriesByID(was), entriesByID(now)
	var kept, keptNow []sallyport.EntryID
	for i := range was.Entries {
		e := &was.Entries[i]
		if have[e.ID] == nil {
			x.change(now.ID, e.ID, "entry struck", x.was.ix.UnitName(e.Unit), "", x.was.people(e))
			continue
		}
		kept = append(kept, e.ID)
	}
	for i := range now.Entries {
		e := &now.Entries[i]
		old := had[e.ID]
		if old == nil {
			x.change(now.ID, e.ID, "new entry", "", fmt.Sprintf("%s, place %d", x.now.ix.UnitName(e.Unit), i+1), x.now.people(e))
			continue
		}
		keptNow = append(keptNow, e.ID)
		x.entry(now.ID, old, e)
	}
	if !slices.Equal(kept, keptNow) {
		x.change(now.ID, "", "order", x.was.order(was, kept), x.now.order(now, keptNow), people)
	}
	if a, b := x.was.order(was, was.Leaving), x.now.order(now, now.Leaving); a != b {
		x.change(now.ID, "", "order of leaving", a, b, people)
	}
}

func entriesByID(s *sallyport.Serial) map[sallyport.EntryID]*sallyport.Entry {
	m := map[sallyport.EntryID]*sallyport.Entry{}
	for i := range s.Entries {
		m[s.Entries[i].ID] = &s.Entries[i]
	}
	return m
}

// order names entries in order by their vehicles.
func (s playedSide) order(x *sallyport.Serial, ids []sallyport.EntryID) string {
	names := make([]string, len(ids))
	by := entriesByID(x)
	for i, id := range ids {
		if names[i] = string(id); by[id] != nil {
			names[i] = s.ix.UnitName(by[id].Unit)
		}
	}
	return strings.Join(names, ", ")
}

// entry compares an entry that is on both sides.
func (x *comparing) entry(serial sallyport.SerialID, was, now *sallyport.Entry) {
	people := x.now.people(now)
	for _, name := range x.was.people(was) {
		if !slices.Contains(people, name) {
			people = append(people, name)
		}
	}
	diff := func(what, a, b string) {
		if a != b {
			x.change(serial, now.ID, what, a, b, people)
		}
	}
	diff("vehicle", x.was.ix.UnitName(was.Unit), x.now.ix.UnitName(now.Unit))
	diff("driver", x.was.person(was.Driver), x.now.person(now.Driver))
	diff("crew", x.was.persons(was.Crew), x.now.persons(now.Crew))
	diff("reserves", x.was.ix.Names(was.Reserves), x.now.ix.Names(now.Reserves))
	diff("value", fmt.Sprint(was.Worth()), fmt.Sprint(now.Worth()))
	diff("joined", string(was.Join), string(now.Join))
}

func (s playedSide) person(id sallyport.PersonID) string {
	if id == "" {
		return ""
	}
	return s.ix.PersonName(id)
}

func (s playedSide) persons(ids []sallyport.PersonID) string {
	names := make([]string, len(ids))
	for i, id := range ids {
		names[i] = s.person(id)
	}
	return strings.Join(names, ", ")
}

// people returns whom an entry concerns: its driver, else the vehicle's usual
// one, and its crew.
func (s playedSide) people(e *sallyport.Entry) []string {
	list := []string{}
	driver := e.Driver
	if u := s.ix.Unit(e.Unit); driver == "" && u != nil {
		driver = u.UsualDriver
	}
	for _, id := range append([]sallyport.PersonID{driver}, e.Crew...) {
		if id != "" && !slices.Contains(list, s.person(id)) {
			list = append(list, s.person(id))
		}
	}
	return list
}

func (s playedSide) peopleIn(x *sallyport.Serial) []string {
	list := []string{}
	for i := range x.Entries {
		for _, name := range s.people(&x.Entries[i]) {
			if !slices.Contains(list, name) {
				list = append(list, name)
			}
		}
	}
	return list
}

// duties compares the duties; they belong to no serial.
func (x *comparing) duties() {
	say := func(s playedSide, d *sallyport.Duty) string {
		text := fmt.Sprintf("%s: %s, %s to %s", s.ix.UnitName(d.Unit), d.What, s.show.When(d.From), d.To.Clock())
		if d.Place != "" {
			text += ", " + d.Place
		}
		if d.Driver != "" {
			text += " (" + s.person(d.Driver) + ")"
		}
		return text
	}
	people := func(s playedSide, d *sallyport.Duty) []string {
		return s.people(&sallyport.Entry{Unit: d.Unit, Driver: d.Driver})
	}
	for i := range x.now.show.Duties {
		d := &x.now.show.Duties[i]
		old := x.was.ix.Duty(d.ID)
		switch {
		case old == nil:
			x.change("", "", "new duty", "", say(x.now, d), people(x.now, d))
		case say(x.was, old) != say(x.now, d):
			x.change("", "", "duty", say(x.was, old), say(x.now, d), people(x.now, d))
		}
	}
	for i := range x.was.show.Duties {
		if d := &x.was.show.Duties[i]; x.now.ix.Duty(d.ID) == nil {
			x.change("", "", "duty struck", say(x.was, d), "", people(x.was, d))
		}
	}
}

// moved lists the stays of both plans that are spent in another lane; "" is
// for who has no room on a side.
func (x *comparing) moved(was, now *sallyport.Plan) []StayMoved {
	list := []StayMoved{}
	if was == nil || now == nil {
		return list
	}
	before := map[string]sallyport.LaneID{}
	for _, s := range staysOf(x.was.ix, was) {
		before[s.ID] = s.Lane
	}
	for _, s := range staysOf(x.now.ix, now) {
		if lane, there := before[s.ID]; there && lane != s.Lane {
			list = append(list, StayMoved{s.Unit, s.After, lane, s.Lane})
		}
	}
	return list
}

// says puts the comparison into a few sentences.
func (c *Comparison) says(a, b Side, lost int) []string {
	if len(c.Events)+len(c.Moved)+len(c.Notices)+len(c.Cost) == 0 && lost == 0 && (a.Plan == nil) == (b.Plan == nil) {
		return []string{"Nothing is different."}
	}
	lines := []string{"The order of events is the same."}
	if n := len(c.Events); n > 0 {
		lines[0] = count(n, "thing is", "things are") + " different in the order of events."
	}
	switch {
	case a.Plan == nil || b.Plan == nil:
		return append(lines, "Plans cannot be compared: one of the two states has none.")
	case len(c.Moved) > 0:
		lines = append(lines, count(len(c.Moved), "stay is", "stays are")+" spent in another lane.")
	default:
		lines = append(lines, "Everybody stands in the same lanes as before.")
	}
	if n := len(c.Notices); n > 0 {
		lines = append(lines, fmt.Sprintf("%s to be told, to %s.", count(n, "change is", "changes are"), count(len(toldTo(c.Notices)), "person or crew", "people or crews")))
	}
	switch {
	case lost > 0:
		lines = append(lines, fmt.Sprintf("Entries of value %d more are lost.", lost))
	case lost < 0:
		lines = append(lines, fmt.Sprintf("Entries of value %d fewer are lost.", -lost))
	}
	switch d := c.Total.Now - c.Total.Was; {
	case d > 0:
		lines = append(lines, fmt.Sprintf("The plan costs %s more (%s before, %s now).", d, c.Total.Was, c.Total.Now))
	case d < 0:
		lines = append(lines, fmt.Sprintf("The plan costs %s less (%s before, %s now).", -d, c.Total.Was, c.Total.Now))
	}
	return lines
}
