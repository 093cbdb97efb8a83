package sallyport

// Ids of the order of events.
type (
	SerialID string
	EntryID  string
	DutyID   string
	PersonID string
	WindowID string
)

// Serial is one timed display slot. Only ID, a time (ArenaIn or FormUp) and
// its entries are required.
type Serial struct {
	ID       SerialID  `json:"id"`
	Name     string    `json:"name,omitempty"`
	Line     LineID    `json:"line,omitempty"`      // forming-up line; empty: the only or first one (assumed)
	HomeLine LineID    `json:"home_line,omitempty"` // on the way home; empty: Line
	FormFrom Instant   `json:"form_from,omitzero"`  // a pull-out before this is early
	FormUp   Instant   `json:"form_up,omitzero"`    // all on the line by
	ArenaIn  Instant   `json:"arena_in,omitzero"`
	ArenaOut Instant   `json:"arena_out,omitzero"`
	HomeBy   Instant   `json:"home_by,omitzero"`   // all parked by
	Travel   Seconds   `json:"travel_s,omitempty"` // line to arena, and back
	Entries  []Entry   `json:"entries"`
	Leaving  []EntryID `json:"leaving,omitempty"` // order of leaving the arena, where it differs
	Note     string    `json:"note,omitempty"`
}

// Leave returns when the column leaves its line for the arena.
func (s Serial) Leave() Instant { return s.ArenaIn - Instant(s.Travel) }

// Back returns when the column is back on its line from the arena.
func (s Serial) Back() Instant { return s.ArenaOut + Instant(s.Travel) }

// Join says how an entry is joined to the same vehicle's next entry, with no
// stay in a lane between them.
type Join string

// The ways to join: not at all, from line to line, or staying in the arena.
const (
	JoinNone  Join = ""
	JoinLine  Join = "line"
	JoinArena Join = "arena"
)

// Entry is one appearance of one unit in a serial.
type Entry struct {
	ID       EntryID    `json:"id"`
	Unit     UnitID     `json:"unit"` // a vehicle or a combination
	Driver   PersonID   `json:"driver,omitempty"`
	Crew     []PersonID `json:"crew,omitempty"`
	Reserves []UnitID   `json:"reserves,omitempty"` // first choice first
	Value    int        `json:"value,omitempty"`    // what it is worth not to lose it; 0: 1
	Join     Join       `json:"join,omitempty"`     // to the unit's next entry
}

// Duty is any other absence of a unit from its lane.
type Duty struct {
	ID     DutyID   `json:"id"`
	Unit   UnitID   `json:"unit"`
	What   string   `json:"what"` // fuel, rides, static display, recovery cover …
	Place  string   `json:"place,omitempty"`
	From   Instant  `json:"from"` // there from
	To     Instant  `json:"to"`   // until
	Driver PersonID `json:"driver,omitempty"`
}

// Person is somebody who drives, crews or marshals.
type Person struct {
	ID    PersonID          `json:"id"`
	Name  string            `json:"name"`
	Roles []string          `json:"roles,omitempty"`
	Extra map[string]string `json:"extra,omitempty"`
}
