package sallyport

import (
	"cmp"
	"slices"
	"strings"
)

// Index finds things of one show by name and keeps what is asked for often.
// It is built once and then only read; it points into the show, which must
// not change while the index is used. Of two things with one id the first
// counts (Validate reports them). It never fails: unknown names give nil.
type Index struct {
	Show          *Show
	UnitIDs       []UnitID    // vehicles in the show's order, then combinations
	StandbyIDs    []UnitID    // units that must be able to leave at any time
	TogetherPairs [][2]UnitID // units to be kept together, each pair once, as they stand (combinations for their parts)
	SerialsInTime []*Serial   // by arena-in, ties in the show's order

	units     map[UnitID]*Unit
	partOf    map[UnitID]UnitID
	zones     map[ZoneID]*Zone
	lanes     map[LaneID]*Lane
	lines     map[LineID]*Line
	spots     map[SpotID]*Spot
	stretches map[StretchID]*Stretch
	serials   map[SerialID]*Serial
	entries   map[EntryID]EntryRef
	duties    map[DutyID]*Duty
	resets    map[WindowID]*ResetWindow
	people    map[PersonID]*Person
	fouls     map[LaneID][]FoulRef
	public    map[ZoneID][]Window
	entriesOf map[UnitID][]EntryRef
	dutiesOf  map[UnitID][]*Duty
	joined    map[EntryID]EntryRef // the entry that is joined to this one
	rolls     map[SerialID]roll
}

// roll says who has to do with a serial: the numbers of the entries of its
// own units, and who is a reserve for some entry.
type roll struct {
	own      map[UnitID]int
	reserves map[UnitID]bool
}

// newRoll returns the roll of a serial.
func newRoll(s *Serial) roll {
	r := roll{own: make(map[UnitID]int, len(s.Entries)), reserves: map[UnitID]bool{}}
	for i := range s.Entries {
		e := &s.Entries[i]
		if _, ok := r.own[e.Unit]; !ok {
			r.own[e.Unit] = i
		}
		for _, u := range e.Reserves {
			r.reserves[u] = true
		}
	}
	return r
}

// EntryRef is an entry with its serial.
type EntryRef struct {
	Serial *Serial
	Entry  *Entry
}

// FoulRef is a part of a line where a standing vehicle bars a lane's mouth.
type FoulRef struct {
	Line     LineID
	From, To Centimetres // counted from the line's head
}

// NewIndex builds the index of a show.
func NewIndex(show *Show) *Index {
	ix := &Index{Show: show}
	ix.zones = byID(show.Park.Zones, func(z *Zone) ZoneID { return z.ID })
	ix.lanes = byID(show.Park.Lanes, func(l *Lane) LaneID { return l.ID })
	ix.lines = byID(show.Park.Lines, func(l *Line) LineID { return l.ID })
	ix.spots = byID(show.Park.Spots, func(s *Spot) SpotID { return s.ID })
	ix.stretches = byID(show.Park.Stretches, func(s *Stretch) StretchID { return s.ID })
	ix.serials = byID(show.Serials, func(s *Serial) SerialID { return s.ID })
	ix.duties = byID(show.Duties, func(d *Duty) DutyID { return d.ID })
	ix.resets = byID(show.Resets, func(w *ResetWindow) WindowID { return w.ID })
	ix.people = byID(show.People, func(p *Person) PersonID { return p.ID })
	ix.addUnits()
	ix.addEntries()
	ix.addFouls()
	ix.public = map[ZoneID][]Window{}
	for i := range show.Park.Zones {
		z := &show.Park.Zones[i]
		if _, ok := ix.public[z.ID]; !ok {
			ix.public[z.ID] = publicInside(show, z)
		}
	}
	return ix
}

func byID[T any, K comparable](list []T, id func(*T) K) map[K]*T {
	m := make(map[K]*T, len(list))
	for i := range list {
		if k := id(&list[i]); m[k] == nil {
			m[k] = &list[i]
		}
	}
	return m
}

// addUnits builds vehicles, then combinations from them.
func (ix *Index) addUnits() {
	show := ix.Show
	ix.units = make(map[UnitID]*Unit, len(show.Vehicles)+len(show.Combinations))
	ix.partOf = map[UnitID]UnitID{}
	add := func(u *Unit) {
		if ix.units[u.ID] == nil {
			ix.units[u.ID] = u
			ix.UnitIDs = append(ix.UnitIDs, u.ID)
		}
	}
	for i := range show.Vehicles {
		v := &show.Vehicles[i]
		add(unitOf(v, ClassOf(show.Classes, v)))
	}
	for i := range show.Combinations {
		c := &show.Combinations[i]
		var parts []*Unit
		for _, id := range append([]UnitID{c.Tower}, c.Towed...) {
			if p := ix.units[id]; p != nil && !p.Combination {
				parts = append(parts, p)
				if _, ok := ix.partOf[id]; !ok {
					ix.partOf[id] = c.ID
				}
			}
		}
		add(combine(c, parts))
	}
	seen := map[[2]UnitID]bool{}
	for _, id := range ix.UnitIDs {
		u := ix.units[id]
		u.KeepApart = ix.withCombinations(u, u.KeepApart)
		if u.Standby && ix.partOf[id] == "" {
			ix.StandbyIDs = append(ix.StandbyIDs, id)
		}
		for _, other := range u.KeepTogether {
			a, b := ix.Standing(id), ix.Standing(other)
			if a == b || ix.units[b] == nil || seen[[2]UnitID{a, b}] || seen[[2]UnitID{b, a}] {
				continue
			}
			seen[[2]UnitID{a, b}] = true
			ix.TogetherPairs = append(ix.TogetherPairs, [2]UnitID{a, b})
		}
	}
}

// withCombinations adds to a list of units those combinations that they are
// part of, other than u's own.
func (ix *Index) withCombinations(u *Unit, list []UnitID) []UnitID {
	all := list
	for _, id := range list {
		if c := ix.partOf[id]; c != "" && c != u.ID && c != ix.partOf[u.ID] && !slices.Contains(all, c) {
			all = append(slices.Clone(all), c)
		}
	}
	return all
}

func (ix *Index) addEntries() {
	show := ix.Show
	ix.entries = map[EntryID]EntryRef{}
	ix.entriesOf = map[UnitID][]EntryRef{}
	ix.dutiesOf = map[UnitID][]*Duty{}
	ix.joined = map[EntryID]EntryRef{}
	ix.rolls = make(map[SerialID]roll, len(show.Serials))
	for i := range show.Serials {
		s := &show.Serials[i]
		ix.SerialsInTime = append(ix.SerialsInTime, s)
		if ix.serials[s.ID] == s {
			ix.rolls[s.ID] = newRoll(s)
		}
		for j := range s.Entries {
			ref := EntryRef{s, &s.Entries[j]}
			if _, ok := ix.entries[ref.Entry.ID]; !ok {
				ix.entries[ref.Entry.ID] = ref
			}
			ix.entriesOf[ref.Entry.Unit] = append(ix.entriesOf[ref.Entry.Unit], ref)
		}
	}
	slices.SortStableFunc(ix.SerialsInTime, func(a, b *Serial) int { return cmp.Compare(a.when(), b.when()) })
	for _, list := range ix.entriesOf {
		slices.SortStableFunc(list, func(a, b EntryRef) int { return cmp.Compare(a.Serial.when(), b.Serial.when()) })
		for i := range list[:len(list)-1] {
			if list[i].Entry.Join != JoinNone {
				ix.joined[list[i+1].Entry.ID] = list[i]
			}
		}
	}
	for i := range show.Duties {
		d := &show.Duties[i]
		ix.dutiesOf[d.Unit] = append(ix.dutiesOf[d.Unit], d)
	}
	for _, list := range ix.dutiesOf {
		slices.SortStableFunc(list, func(a, b *Duty) int { return cmp.Compare(a.From, b.From) })
	}
}

// when returns the moment by which serials are put in order.
func (s *Serial) when() Instant {
	if s.ArenaIn != 0 {
		return s.ArenaIn
	}
	return s.FormUp
}

func (ix *Index) addFouls() {
	ix.fouls = map[LaneID][]FoulRef{}
	for i := range ix.Show.Park.Lines {
		l := &ix.Show.Park.Lines[i]
		for _, f := range l.Fouls {
			for _, lane := range f.Lanes {
				ix.fouls[lane] = append(ix.fouls[lane], FoulRef{Line: l.ID, From: f.From, To: f.To})
			}
		}
	}
}

// ClearFrom returns when a closed zone has been declared clear.
func (c Closing) ClearFrom() Instant {
	if c.Clear != 0 {
		return c.Clear
	}
	return c.Closed + Instant(c.ToClear)
}

// publicInside returns when the public is inside a zone and no engine may
// run there, in order of time.
func publicInside(show *Show, z *Zone) []Window {
	if !z.Public || z.Engines {
		return nil
	}
	var closed []Window
	for _, c := range show.Closings {
		if c.Zone == z.ID && c.ClearFrom() < c.Reopened {
			closed = append(closed, Window{c.ClearFrom(), c.Reopened})
		}
	}
	slices.SortStableFunc(closed, func(a, b Window) int { return cmp.Compare(a.From, b.From) })
	var inside []Window
	for i := range show.Days {
		d := &show.Days[i]
		if d.PublicFrom == 0 && d.PublicTo == 0 {
			continue
		}
		from, to := d.PublicFrom, d.PublicTo
		if from == 0 {
			from = At(i+1, 0, 0)
		}
		if to == 0 {
			to = At(i+2, 0, 0)
		}
		for _, c := range closed {
			if c.To <= from || to <= c.From {
				continue
			}
			if from < c.From {
				inside = append(inside, Window{from, c.From})
			}
			from = c.To
		}
		if from < to {
			inside = append(inside, Window{from, to})
		}
	}
	slices.SortStableFunc(inside, func(a, b Window) int { return cmp.Compare(a.From, b.From) })
	return inside
}

// Unit, Zone, Lane, Line, Spot, Serial, Duty, Reset and Person find a thing
// by its id, nil when the show has none.
func (ix *Index) Unit(id UnitID) *Unit             { return ix.units[id] }
func (ix *Index) Zone(id ZoneID) *Zone             { return ix.zones[id] }
func (ix *Index) Lane(id LaneID) *Lane             { return ix.lanes[id] }
func (ix *Index) Line(id LineID) *Line             { return ix.lines[id] }
func (ix *Index) Spot(id SpotID) *Spot             { return ix.spots[id] }
func (ix *Index) Stretch(id StretchID) *Stretch    { return ix.stretches[id] }
func (ix *Index) Serial(id SerialID) *Serial       { return ix.serials[id] }
func (ix *Index) Entry(id EntryID) *Entry          { return ix.entries[id].Entry }
func (ix *Index) SerialOf(id EntryID) *Serial      { return ix.entries[id].Serial }
func (ix *Index) Duty(id DutyID) *Duty             { return ix.duties[id] }
func (ix *Index) Reset(id WindowID) *ResetWindow   { return ix.resets[id] }
func (ix *Index) Person(id PersonID) *Person       { return ix.people[id] }
func (ix *Index) EntriesOf(unit UnitID) []EntryRef { return ix.entriesOf[unit] } // in order of time
func (ix *Index) DutiesOf(unit UnitID) []*Duty     { return ix.dutiesOf[unit] }  // in order of time
func (ix *Index) FoulsOf(lane LaneID) []FoulRef    { return ix.fouls[lane] }

// CombinationOf returns the combination that a vehicle is part of, "" when of
// none.
func (ix *Index) CombinationOf(vehicle UnitID) UnitID { return ix.partOf[vehicle] }

// Standing returns what a unit stands as at the start: its combination, or
// itself.
func (ix *Index) Standing(unit UnitID) UnitID {
	if c := ix.partOf[unit]; c != "" {
		return c
	}
	return unit
}

// JoinedBefore returns the same unit's entry that is joined to this one, nil
// when there is none.
func (ix *Index) JoinedBefore(id EntryID) *Entry { return ix.joined[id].Entry }

// Day returns day n (1 is the first), nil when the show has no such day.
func (ix *Index) Day(n int) *Day {
	if n < 1 || n > len(ix.Show.Days) {
		return nil
	}
	return &ix.Show.Days[n-1]
}

// Morning returns when a day's park must be right: at the start of its engine
// hours, else at 06:00.
func (ix *Index) Morning(day int) Instant {
	if d := ix.Day(day); d != nil && d.EngineFrom != 0 {
		return d.EngineFrom
	}
	return At(day, 6, 0)
}

// TeamsOn returns the number of marshal teams on duty on a day, 0 when it is
// not given.
func (ix *Index) TeamsOn(day int) int {
	if d := ix.Day(day); d != nil && d.Teams > 0 {
		return d.Teams
	}
	return ix.Show.Park.Teams
}

// TeamsGiven reports whether any number of marshal teams is given.
func (ix *Index) TeamsGiven() bool {
	return ix.Show.Park.Teams > 0 || slices.ContainsFunc(ix.Show.Days, func(d Day) bool { return d.Teams > 0 })
}

// PublicInside returns when the public is inside a zone in which no engine
// may run then, in order of time.
func (ix *Index) PublicInside(zone ZoneID) []Window { return ix.public[zone] }

// Pace returns how long a kind of move takes at least; the first pace of the
// park that matches counts, 0 when none does.
func (ix *Index) Pace(kind MoveKind, gear Gear) Seconds {
	for _, p := range ix.Show.Park.Paces {
		if (p.Kind == "" || p.Kind == kind) && (p.Gear == "" || p.Gear == gear) {
			return p.Takes
		}
	}
	return 0
}

// StretchDepth returns the depth of a stretch, 0 when it is not given.
func (ix *Index) StretchDepth(id StretchID) Centimetres {
	if s := ix.stretches[id]; s != nil {
		return s.Depth
	}
	return 0
}

// AsideSpots returns the spots where units of a zone may wait aside, in the
// show's order.
func (ix *Index) AsideSpots(zone ZoneID) []*Spot {
	var list []*Spot
	for i := range ix.Show.Park.Spots {
		s := &ix.Show.Park.Spots[i]
		if s.Use == SpotAside && !s.Route && (len(s.Zones) == 0 || slices.Contains(s.Zones, zone)) {
			list = append(list, s)
		}
	}
	return list
}

// ValueLater returns the summed value of a unit's entries that are formed up
// at t or later on the same day. A combination's parts count for it.
func (ix *Index) ValueLater(unit UnitID, t Instant) int {
	value := 0
	for _, ref := range ix.entriesOf[unit] {
		if ref.Serial.FormUp >= t && ref.Serial.FormUp.Day() == t.Day() {
			value += ref.Entry.Worth()
		}
	}
	if u := ix.units[unit]; u != nil && u.Combination {
		for _, p := range u.Parts {
			value += ix.ValueLater(p, t)
		}
	}
	return value
}

// Worth returns the entry's value, 1 when none is given.
func (e Entry) Worth() int {
	if e.Value == 0 {
		return 1
	}
	return e.Value
}

// HasPos reports whether the show has the lane, line or spot of a position.
func (ix *Index) HasPos(p Pos) bool {
	switch p.Kind {
	case InLane:
		return ix.lanes[LaneID(p.ID)] != nil
	case InLine:
		return ix.lines[LineID(p.ID)] != nil
	case InSpot:
		return ix.spots[SpotID(p.ID)] != nil
	case InAway, InArena, InDuty:
		return true
	}
	return false
}

// ZoneOf returns the zone of a lane, or of a line that lies in one.
func (ix *Index) ZoneOf(p Pos) ZoneID {
	switch p.Kind {
	case InLane:
		if l := ix.lanes[LaneID(p.ID)]; l != nil {
			return l.Zone
		}
	case InLine:
		if l := ix.lines[LineID(p.ID)]; l != nil {
			return l.Zone
		}
	}
	return ""
}

// PosName returns a position in words: "lane C4", "line North".
func (ix *Index) PosName(p Pos) string {
	switch p.Kind {
	case InLane:
		return "lane " + p.ID
	case InLine:
		if l := ix.lines[LineID(p.ID)]; l != nil && l.Name != "" {
			return "line " + l.Name
		}
		return "line " + p.ID
	case InSpot:
		if s := ix.spots[SpotID(p.ID)]; s != nil && s.Name != "" {
			return s.Name
		}
		return "spot " + p.ID
	case InArena:
		return "the arena"
	case InDuty:
		return "its duty"
	case InAway:
		return "away"
	}
	return "a place of no known kind (" + string(p.Kind) + ")"
}

// UnitName, SerialName, ZoneName and PersonName return the name that people
// know a thing by; its id when it has none.
func (ix *Index) UnitName(id UnitID) string {
	if u := ix.units[id]; u != nil {
		return u.Name
	}
	return string(id)
}

func (ix *Index) SerialName(id SerialID) string {
	if s := ix.serials[id]; s != nil && s.Name != "" {
		return s.Name
	}
	return "serial " + string(id)
}

func (ix *Index) ZoneName(id ZoneID) string {
	if z := ix.zones[id]; z != nil && z.Name != "" {
		return z.Name
	}
	return string(id)
}

func (ix *Index) PersonName(id PersonID) string {
	if p := ix.people[id]; p != nil && p.Name != "" {
		return p.Name
	}
	return string(id)
}

// Names returns the names of units as "Avocet, Bittern and Dunlin".
func (ix *Index) Names(units []UnitID) string {
	names := make([]string, len(units))
	for i, u := range units {
		names[i] = ix.UnitName(u)
	}
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}
