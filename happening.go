package sallyport

import (
	"fmt"
	"slices"
)

// HappeningKind is a sort of thing that happens, or is found, while a show is
// on.
type HappeningKind string

// The kinds of happening.
const (
	HappenLate      HappeningKind = "late start"       // Unit cannot start before Until
	HappenFailed    HappeningKind = "failed"           // Unit broke down, Where; mended by Until, 0: not in this show
	HappenHere      HappeningKind = "here"             // first parade: Unit is as it should be
	HappenElsewhere HappeningKind = "elsewhere"        // Unit stands in Lane, number Place from the mouth (0: the nearest to it)
	HappenLimits    HappeningKind = "fit with limits"  // Unit may not reverse, or may run MaxRuns times a day at most
	HappenDoNotMove HappeningKind = "do not move"      // Unit stays where it stands until Until, 0: for the rest of the show
	HappenCancelled HappeningKind = "serial cancelled" // Serial
	HappenDelayed   HappeningKind = "serial delayed"   // Serial, By
	HappenSwapped   HappeningKind = "serials swapped"  // Serial and Other change their places in the order of events
	HappenReserve   HappeningKind = "reserve"          // Reserve takes the entry of Unit in Serial
	HappenLane      HappeningKind = "lane closed"      // Lane, from From (0: now) to To (0: the end)
	HappenTeam      HappeningKind = "team lost"        // one marshal team fewer for the rest of that day
)

// Happening is one thing that has happened or was found. Fields that its kind
// does not name stay empty.
type Happening struct {
	Kind      HappeningKind `json:"kind"`
	At        Instant       `json:"at,omitzero"` // when; zero: the moment of the state it is applied to
	Unit      UnitID        `json:"unit,omitempty"`
	Where     FailureKind   `json:"where,omitempty"` // of a failure; empty: in lane
	Until     Instant       `json:"until,omitzero"`
	Lane      LaneID        `json:"lane,omitempty"` // elsewhere; closed; into which it was reversing
	Place     int           `json:"place,omitempty"`
	Serial    SerialID      `json:"serial,omitempty"`
	Other     SerialID      `json:"other,omitempty"`
	By        Seconds       `json:"by_s,omitempty"`
	Reserve   UnitID        `json:"reserve,omitempty"`
	From      Instant       `json:"from,omitzero"`
	To        Instant       `json:"to,omitzero"`
	OtherDay  bool          `json:"other_day,omitempty"` // serials of different days are swapped, and that is meant
	NoReverse bool          `json:"no_reverse,omitempty"`
	MaxRuns   int           `json:"max_runs,omitempty"`
}

// happeningSpec says what a kind of happening means: in words, for the show,
// and for what stands where. Both parts may be nil.
type happeningSpec struct {
	kind  HappeningKind
	says  func(ix *Index, h *Happening) string
	show  func(a *applying, h *Happening)
	state func(a *applying, h *Happening)
}

// happeningSpecs holds all kinds of happening. Adding one means adding a line.
// It is filled in init because applying refers to it.
var happeningSpecs []happeningSpec

func init() {
	happeningSpecs = []happeningSpec{
		{HappenLate, saysLate, (*applying).startsLate, (*applying).standsInLane},
		{HappenFailed, saysFailed, (*applying).breaksDown, (*applying).failsWhere},
		{HappenHere, func(ix *Index, h *Happening) string { return ix.UnitName(h.Unit) + " is here" }, (*applying).known, nil},
		{HappenElsewhere, saysElsewhere, (*applying).known, (*applying).foundElsewhere},
		{HappenLimits, saysLimits, (*applying).limited, nil},
		{HappenDoNotMove, saysDoNotMove, (*applying).breaksDown, (*applying).standsInLane},
		{HappenCancelled, func(ix *Index, h *Happening) string { return ix.SerialName(h.Serial) + " is cancelled" }, (*applying).cancelled, nil},
		{HappenDelayed, saysDelayed, (*applying).delayed, nil},
		{HappenSwapped, saysSwapped, (*applying).swapped, nil},
		{HappenReserve, saysReserve, (*applying).reserveTakes, nil},
		{HappenLane, saysLane, (*applying).laneClosed, (*applying).laneCleared},
		{HappenTeam, func(ix *Index, h *Happening) string {
			return "one marshal team fewer on " + ix.dayName(h.At)
		}, (*applying).teamLost, nil},
	}
}

func specOf(kind HappeningKind) *happeningSpec {
	for i := range happeningSpecs {
		if happeningSpecs[i].kind == kind {
			return &happeningSpecs[i]
		}
	}
	return nil
}

// HappeningKinds lists all kinds of happening.
func HappeningKinds() []HappeningKind {
	var kinds []HappeningKind
	for _, s := range happeningSpecs {
		kinds = append(kinds, s.kind)
	}
	return kinds
}

// Says returns a happening as a clause: "Avocet starts only at Friday 11:05".
func (h Happening) Says(ix *Index) string {
	if s := specOf(h.Kind); s != nil {
		return s.says(ix, &h)
	}
	return fmt.Sprintf("something of no known kind (%s)", h.Kind)
}

// Apply returns the show and what stands where with what has happened, and the
// happenings with their moments filled in. Neither argument is changed. The
// problems list all that is wrong with the happenings at once, also those that
// do not go together; with any of them the show and state returned are of no
// use. The show must be complete.
func Apply(show *Show, state State, happened []Happening) (*Show, State, []Happening, []Problem) {
	a := newApplying(show, &state)
	a.together(happened)
	a.all(happened)
	return a.show, *a.state, a.done, a.problems
}

// ShowWith returns the show as Apply has it, for happenings whose moments are
// filled in; a plan that goes on from a moment is for that show.
func ShowWith(show *Show, happened []Happening) (*Show, []Problem) {
	if len(happened) == 0 {
		return show, nil
	}
	a := newApplying(show, nil)
	a.all(happened)
	return a.show, a.problems
}

// applying is a show and a state while things happen to them.
type applying struct {
	show     *Show
	ix       *Index
	state    *State // nil: only the show is wanted
	done     []Happening
	problems []Problem
	n        int // number of the happening at hand, from 1
}

func newApplying(show *Show, state *State) *applying {
	c := *show
	c.Vehicles = append([]Vehicle(nil), show.Vehicles...)
	c.Combinations = append([]Combination(nil), show.Combinations...)
	c.Days = append([]Day(nil), show.Days...)
	c.Park.Lanes = append([]Lane(nil), show.Park.Lanes...)
	c.Serials = append([]Serial(nil), show.Serials...)
	for i := range c.Serials {
		c.Serials[i].Entries = append([]Entry(nil), show.Serials[i].Entries...)
	}
	a := &applying{show: &c, ix: NewIndex(&c)}
	if state != nil {
		s := state.clone()
		a.state = &s
	}
	return a
}

// clone returns a state that shares nothing that changes.
func (s State) clone() State {
	lanes, lines, spots, busy := s.Lanes, s.Lines, s.Spots, s.Busy
	s.Lanes, s.Lines, s.Spots, s.Busy = map[LaneID][]Standing{}, map[LineID][]UnitID{}, map[SpotID][]UnitID{}, map[UnitID]UnderWay{}
	for k, v := range lanes {
		s.Lanes[k] = append([]Standing(nil), v...)
	}
	for k, v := range lines {
		s.Lines[k] = append([]UnitID(nil), v...)
	}
	for k, v := range spots {
		s.Spots[k] = append([]UnitID(nil), v...)
	}
	for k, v := range busy {
		s.Busy[k] = v
	}
	s.Arena, s.Duty = append([]UnitID(nil), s.Arena...), append([]UnitID(nil), s.Duty...)
	return s
}

func (a *applying) all(happened []Happening) {
	for i := range happened {
		h := happened[i]
		a.n = i + 1
		if h.At == 0 && a.state != nil {
			h.At = a.state.At
		}
		spec := specOf(h.Kind)
		if spec == nil {
			a.wrong(&h, "kind", string(h.Kind), fmt.Sprintf("write one of %q", HappeningKinds()), "nothing of the kind %q is known to happen", h.Kind)
			continue
		}
		before := len(a.problems)
		if spec.show != nil {
			spec.show(a, &h)
		}
		if spec.state != nil && a.state != nil && len(a.problems) == before {
			spec.state(a, &h)
		}
		a.done = append(a.done, h)
		a.ix = NewIndex(a.show)
	}
	if len(a.problems) == 0 && a.state != nil {
		a.roomFound()
	}
}

// together reports happenings that are said twice or do not go together: one
// vehicle held by two things, or found in two lanes; one serial cancelled and
// something else, or late by two spans.
func (a *applying) together(happened []Happening) {
	holds := []HappeningKind{HappenLate, HappenFailed, HappenDoNotMove}
	for i := range happened {
		h := &happened[i]
		for j := range happened[:i] {
			o := &happened[j]
			unit := h.Unit != "" && h.Unit == o.Unit && (slices.Contains(holds, h.Kind) && slices.Contains(holds, o.Kind) || h.Kind == HappenElsewhere && o.Kind == HappenElsewhere)
			serial := h.Serial != "" && h.Serial == o.Serial && h.Unit == "" && o.Unit == "" && (h.Kind == o.Kind && h.Other == o.Other || h.Kind == HappenCancelled || o.Kind == HappenCancelled)
			if !unit && !serial {
				continue
			}
			a.n = i + 1
			says, other := h.Says(a.ix), o.Says(a.ix)
			if says == other {
				a.wrong(h, "kind", string(h.Kind), "say it once", "it is said twice that %s", says)
			} else {
				a.wrong(h, "kind", string(h.Kind), "say one of them", "it cannot be that %s and that %s", other, says)
			}
		}
	}
}

// wrong reports what is wrong with a happening.
func (a *applying) wrong(h *Happening, field, value, advice, format string, args ...any) {
	a.problems = append(a.problems, Problem{
		Severity: Stop, Kind: "happening", ID: fmt.Sprint(a.n), Subject: string(h.Kind), Field: field, Value: value,
		Message: string(h.Kind) + ": " + fmt.Sprintf(format, args...), Advice: advice,
	})
}

// unit returns the unit of a happening; a part of a combination stands for
// it. It is nil, and reported, when the show has none.
func (a *applying) unit(h *Happening, id UnitID) *Unit {
	u := a.ix.Unit(id)
	if id == "" {
		a.wrong(h, "unit", "", "name a vehicle of the show", "no vehicle is named")
		return nil
	}
	if u == nil {
		a.wrong(h, "unit", string(id), "name a vehicle of the show", "there is no vehicle %q", id)
	}
	return u
}

// serial returns the serial of a happening that has not left for the arena by
// then; else nil, and that is reported.
func (a *applying) serial(h *Happening, id SerialID, ahead bool) *Serial {
	s := a.ix.Serial(id)
	switch {
	case id == "":
		a.wrong(h, "serial", "", "name a serial of the show", "no serial is named")
		return nil
	case s == nil:
		a.wrong(h, "serial", string(id), "name a serial of the show", "there is no serial %q", id)
		return nil
	case ahead && s.Leave() <= h.At:
		a.wrong(h, "serial", string(id), "name one that is still to come", "%s left for the arena at %s", a.ix.SerialName(id), a.show.When(s.Leave()))
		return nil
	}
	return s
}

func (a *applying) known(h *Happening) { a.unit(h, h.Unit) }

func saysLate(ix *Index, h *Happening) string {
	return fmt.Sprintf("%s starts only at %s", ix.UnitName(h.Unit), ix.Show.When(h.Until))
}

func saysFailed(ix *Index, h *Happening) string {
	text := fmt.Sprintf("%s has failed %s", ix.UnitName(h.Unit), h.fails())
	if h.Lane != "" {
		text += fmt.Sprintf(" (lane %s)", h.Lane)
	}
	if h.Until != 0 {
		text += fmt.Sprintf(", mended by %s", ix.Show.When(h.Until))
	}
	return text
}

func saysElsewhere(ix *Index, h *Happening) string {
	if h.Place == 0 {
		return fmt.Sprintf("%s stands in lane %s", ix.UnitName(h.Unit), h.Lane)
	}
	return fmt.Sprintf("%s stands in lane %s, number %d from the mouth", ix.UnitName(h.Unit), h.Lane, h.Place)
}

func saysLimits(ix *Index, h *Happening) string {
	text := ix.UnitName(h.Unit)
	if h.NoReverse {
		text += " may not reverse"
	}
	if h.NoReverse && h.MaxRuns > 0 {
		text += " and"
	}
	if h.MaxRuns > 0 {
		text += " may run " + Times(h.MaxRuns) + " a day at most"
	}
	return text
}

// Times says how often, in words where there are some.
func Times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

func saysDoNotMove(ix *Index, h *Happening) string {
	text := ix.UnitName(h.Unit) + " is not to be moved"
	if h.Until != 0 {
		text += fmt.Sprintf(" before %s", ix.Show.When(h.Until))
	}
	return text
}

func saysDelayed(ix *Index, h *Happening) string {
	return fmt.Sprintf("%s is %s late", ix.SerialName(h.Serial), h.By.Words())
}

func saysSwapped(ix *Index, h *Happening) string {
	return fmt.Sprintf("%s and %s change places", ix.SerialName(h.Serial), ix.SerialName(h.Other))
}

func saysReserve(ix *Index, h *Happening) string {
	return fmt.Sprintf("%s takes the entry of %s in %s", ix.UnitName(h.Reserve), ix.UnitName(h.Unit), ix.SerialName(h.Serial))
}

func saysLane(ix *Index, h *Happening) string {
	text := fmt.Sprintf("lane %s is closed", h.Lane)
	if h.From > h.At {
		text += fmt.Sprintf(" from %s", ix.Show.When(h.From))
	}
	if h.To != 0 {
		text += fmt.Sprintf(" until %s", ix.Show.When(h.To))
	}
	return text
}

// dayName returns the name of the day of t: "Friday", or "day 1".
func (ix *Index) dayName(t Instant) string {
	if d := ix.Day(t.Day()); d != nil && d.Name != "" {
		return d.Name
	}
	return fmt.Sprintf("day %d", t.Day())
}

// fails returns where a failure is, in lane when nothing is said.
func (h *Happening) fails() FailureKind {
	if h.Where == "" {
		return FailInLane
	}
	return h.Where
}
