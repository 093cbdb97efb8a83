package sallyport

import "fmt"

// FormatShow is the format string of a show written as JSON.
const FormatShow = "sallyport-show/1"

// DayKind says what a day is for.
type DayKind string

// The kinds of day.
const (
	BuildUp   DayKind = "build-up"
	ShowDay   DayKind = "show"
	BreakDown DayKind = "break-down"
)

// Day is one day of the show; Show.Days[0] is day 1 of Instant.
type Day struct {
	Name       string  `json:"name"`
	Kind       DayKind `json:"kind,omitempty"`
	PublicFrom Instant `json:"public_from,omitzero"` // the public is on site
	PublicTo   Instant `json:"public_to,omitzero"`
	EngineFrom Instant `json:"engine_from,omitzero"` // no engine outside these hours
	EngineTo   Instant `json:"engine_to,omitzero"`
	Teams      int     `json:"teams,omitempty"` // marshal teams; 0: Park.Teams
}

// Closing is one closing of a zone to the public. Engines may start and
// vehicles move from Clear, when the zone has been declared clear, until
// Reopened, when all must be parked and cooled.
type Closing struct {
	Zone     ZoneID  `json:"zone"`
	Closed   Instant `json:"closed"`
	ToClear  Seconds `json:"to_clear_s,omitempty"` // what clearing takes
	Clear    Instant `json:"clear,omitzero"`       // declared clear by; zero: Closed + ToClear
	Reopened Instant `json:"reopened"`
}

// ResetWindow is a time in which vehicles may be put right outside the
// serials, evening or early morning.
type ResetWindow struct {
	ID      WindowID `json:"id"`
	From    Instant  `json:"from"`
	To      Instant  `json:"to"`                // latest end
	Awkward int      `json:"awkward,omitempty"` // percent on top of a move by day; 0: 100
}

// Show is a whole event as given: frozen input to all planning.
type Show struct {
	Format       string        `json:"format"`
	Name         string        `json:"name"`
	FirstDate    string        `json:"first_date,omitempty"` // 2027-06-24
	Zone         string        `json:"time_zone,omitempty"`  // IANA name
	Days         []Day         `json:"days"`
	Park         Park          `json:"park"`
	Vehicles     []Vehicle     `json:"vehicles"`
	Combinations []Combination `json:"combinations,omitempty"`
	Serials      []Serial      `json:"serials"`
	Duties       []Duty        `json:"duties,omitempty"`
	People       []Person      `json:"people,omitempty"`
	Closings     []Closing     `json:"closings,omitempty"`
	Resets       []ResetWindow `json:"resets,omitempty"`
	Classes      []Class       `json:"classes,omitempty"` // override or add to DefaultClasses
	Weights      Weights       `json:"weights,omitzero"`  // zero: DefaultWeights
	Assumed      []Assumption  `json:"-"`                 // filled by Complete
}

// Assumption is one figure that was not given.
type Assumption struct {
	Subject string `json:"subject"` // "vehicle Dunlin"
	Field   string `json:"field"`   // "length"
	Value   string `json:"value"`   // "6.00 m"
	Why     string `json:"why"`     // "class light wheeled, from memory"
	Effect  string `json:"effect"`  // what it decides in the plan
}

// When returns a moment with the name of its day, "Saturday 10:30"; days
// without a name are numbered, "D4 10:30".
func (s *Show) When(t Instant) string {
	if d := t.Day(); d >= 1 && d <= len(s.Days) && s.Days[d-1].Name != "" {
		return s.Days[d-1].Name + " " + t.Clock()
	}
	return t.String()
}

// words is Sprintf for sentences: moments among the values have the name of
// their day.
func (s *Show) words(format string, args ...any) string {
	said := make([]any, len(args))
	for i, a := range args {
		if t, ok := a.(Instant); ok {
			a = s.When(t)
		}
		said[i] = a
	}
	return fmt.Sprintf(format, said...)
}
