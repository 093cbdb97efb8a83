package desk

import (
	"slices"
	"strings"

	"sallyport"
)

// Change is one change of the order of events or of the park, ready to be
// tried.
type Change struct {
	Kind   string   `json:"kind"`   // as in ChangeKinds
	What   string   `json:"what"`   // in words
	People []string `json:"people"` // what it changes for whom, a sentence each

	key   string   // changes of one key exclude each other
	about []string // ids of the vehicles, serials, entries, lanes and lines that it changes
	apply func(s *sallyport.Show)
}

// ChangeKind is one kind of change.
type ChangeKind struct {
	Name   string // a word or two, to pick it by
	Help   string
	Events bool // of the order of events, not of the park
	// Heavy kinds ask much: the public misses something, or there must be more
	// ground.
	Heavy bool
	// propose returns changes of the kind that might spare an item of the cost.
	propose func(h *history, item sallyport.CostItem) []Change
}

// ChangeKinds are the kinds of change that are looked for, those that ask
// least of people first. Adding a kind means adding a line here.
var ChangeKinds = []ChangeKind{
	{"order", "two neighbours in a serial on a strict line change places", true, false, otherOrder},
	{"serial", "a vehicle goes in another serial of the day", true, false, otherSerial},
	{"swap", "two serials of a day change places", true, false, swappedSerials},
	{"minutes", "ten more minutes before a serial and all that follow that day", true, false, moreTime},
	{"free line", "a strict forming-up line becomes free", false, false, freeLine},
	{"any order", "a line on the way home may be left in any order", false, false, anyOrderHome},
	{"cut-off", "a serial may be formed up up to ten minutes later", true, false, laterCutOff},
	{"home-by", "a serial may be home ten minutes later", true, false, laterHome},
	{"evening", "an evening in which vehicles are put right, or a longer one", false, false, eveningWindow},
	{"home", "a vehicle need not keep the lane it was told or fixed to", false, false, freedHome},
	{"zone", "a vehicle may stand in another zone too", false, false, otherZone},
	{"reserve", "a reserve goes in an entry's place", true, false, reserveGoes},
	{"aside", "one more place to wait aside", false, false, asideSpot},
	{"longer lane", "a lane two or four metres longer", false, false, longerLane},
	{"new lane", "one more lane beside another", false, true, newLane},
	{"strike", "a vehicle is struck from one entry", true, true, struckEntry},
}

// notTried says which changes are not looked for.
var notTried = []string{"another forming-up line for a serial", "a serial on another day", "other vehicles that are not named as reserves"}

// kindsNamed returns the kinds of these names, all when there are none.
func kindsNamed(only []string) ([]ChangeKind, error) {
	if len(only) == 0 {
		return ChangeKinds, nil
	}
	var list []ChangeKind
	var unknown []string
	for _, name := range only {
		i := slices.IndexFunc(ChangeKinds, func(k ChangeKind) bool { return strings.EqualFold(k.Name, strings.TrimSpace(name)) })
		if i < 0 {
			unknown = append(unknown, name)
			continue
		}
		list = append(list, ChangeKinds[i])
	}
	if len(unknown) > 0 {
		return nil, sallyport.Errorf(sallyport.CodeInput, "the kinds are: "+strings.Join(KindNames(), ", "), "no kind of change is called %s", strings.Join(unknown, ", "))
	}
	return list, nil
}

// KindNames returns the names of all kinds of change.
func KindNames() []string {
	var names []string
	for _, k := range ChangeKinds {
		names = append(names, k.Name)
	}
	return names
}

// changed returns a copy of a show with changes made, in their order; ok is
// false when it contradicts itself then.
func changed(s *sallyport.Show, changes []Change) (c *sallyport.Show, ok bool) {
	c = copyShow(s)
	for _, x := range changes {
		x.apply(c)
	}
	return c, len(sallyport.Stops(sallyport.Validate(c))) == 0
}

// copyShow returns a copy in which days, serials, entries, vehicles, the park,
// closings and resets can be changed.
func copyShow(s *sallyport.Show) *sallyport.Show {
	c := *s
	c.Days = slices.Clone(s.Days)
	c.Serials = slices.Clone(s.Serials)
	for i := range c.Serials {
		c.Serials[i].Entries = slices.Clone(c.Serials[i].Entries)
		c.Serials[i].Leaving = slices.Clone(c.Serials[i].Leaving)
	}
	c.Vehicles = slices.Clone(s.Vehicles)
	c.Combinations = slices.Clone(s.Combinations)
	c.Park.Lanes = slices.Clone(s.Park.Lanes)
	c.Park.Lines = slices.Clone(s.Park.Lines)
	c.Park.Spots = slices.Clone(s.Park.Spots)
	c.Closings = slices.Clone(s.Closings)
	c.Resets = slices.Clone(s.Resets)
	return &c
}

// concerned returns the serials an item is about: its own, when the show has
// it, and the next one of each of its first three units.
func (h *history) concerned(item sallyport.CostItem) []sallyport.SerialID {
	var list []sallyport.SerialID
	add := func(id sallyport.SerialID) {
		if h.ix.Serial(id) != nil && !slices.Contains(list, id) {
			list = append(list, id)
		}
	}
	add(item.Serial)
	for _, u := range item.Units[:min(3, len(item.Units))] {
		for _, e := range h.ix.EntriesOf(u) {
			if e.Serial.FormUp >= item.At && e.Serial.FormUp.Day() <= item.At.Day()+1 {
				add(e.Serial.ID)
				break
			}
		}
	}
	return list
}

// sameDay returns the serials of a serial's day in order of time.
func (h *history) sameDay(id sallyport.SerialID) []*sallyport.Serial {
	day := h.ix.Serial(id).ArenaIn.Day()
	var list []*sallyport.Serial
	for _, s := range h.ix.SerialsInTime {
		if s.ArenaIn.Day() == day {
			list = append(list, s)
		}
	}
	return list
}

// about reports whether an entry is of one of an item's units, or of the
// combination that stands for it.
func (h *history) about(item sallyport.CostItem, u sallyport.UnitID) bool {
	return slices.Contains(item.Units, u) || slices.Contains(item.Units, h.ix.Standing(u))
}

// crew names the people of an entry: its driver and crew, else the usual
// driver; "the crew of Dunlin" when nobody is named.
func (h *history) crew(e sallyport.Entry) string {
	var names []string
	add := func(id sallyport.PersonID) {
		if id != "" {
			names = append(names, h.ix.PersonName(id))
		}
	}
	add(e.Driver)
	if u := h.ix.Unit(e.Unit); u != nil && e.Driver == "" {
		add(u.UsualDriver)
	}
	for _, p := range e.Crew {
		add(p)
	}
	if len(names) == 0 {
		return "The crew of " + h.ix.UnitName(e.Unit)
	}
	return strings.Join(names, ", ") + " (" + h.ix.UnitName(e.Unit) + ")"
}

// formsUp says when a serial forms up.
func (h *history) formsUp(s *sallyport.Serial) string {
	return h.ix.SerialName(s.ID) + " (formed up by " + h.show.When(s.FormUp) + ")"
}

func serialIn(s *sallyport.Show, id sallyport.SerialID) *sallyport.Serial {
	for i := range s.Serials {
		if s.Serials[i].ID == id {
			return &s.Serials[i]
		}
	}
	return nil
}

// entryKey is the key of changes of one entry: its serial may change, its
// vehicle does not.
func entryKey(s sallyport.SerialID, u sallyport.UnitID) string {
	return "entry " + string(s) + " " + string(u)
}

// takeOut takes a unit's entry out of a serial and returns it; ok is false
// when it is not there.
func takeOut(s *sallyport.Serial, u sallyport.UnitID) (e sallyport.Entry, ok bool) {
	i := slices.IndexFunc(s.Entries, func(o sallyport.Entry) bool { return o.Unit == u })
	if i < 0 {
		return e, false
	}
	e = s.Entries[i]
	s.Entries = slices.Delete(s.Entries, i, i+1)
	if e.ID != "" {
		s.Leaving = slices.DeleteFunc(s.Leaving, func(o sallyport.EntryID) bool { return o == e.ID })
	}
	return e, true
}

// free reports whether an entry stands by itself: not joined to another.
func (h *history) free(e sallyport.Entry) bool {
	return e.Join == sallyport.JoinNone && h.ix.JoinedBefore(e.ID) == nil
}
