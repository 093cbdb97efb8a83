package sallyport

// UnitID names a vehicle or a combination; one id never names both.
type UnitID string

// Gear is what a vehicle runs on.
type Gear string

// The kinds of running gear.
const (
	Wheeled     Gear = "wheeled"
	HalfTracked Gear = "half-tracked"
	Tracked     Gear = "tracked"
	SteamGear   Gear = "steam"
	TowedItem   Gear = "towed"
)

// ReverseRule says whether a unit can be driven backwards.
type ReverseRule string

// The reversing rules. ReverseShort allows Vehicle.ReverseLimit at most.
const (
	ReverseYes   ReverseRule = "yes"
	ReverseShort ReverseRule = "short"
	ReverseNever ReverseRule = "never"
)

// StartRule says how an engine is started.
type StartRule string

// The ways to start. StartTow needs Vehicle.StartClear ahead.
const (
	StartSelf  StartRule = "self"
	StartSlave StartRule = "slave lead"
	StartCrank StartRule = "hand crank"
	StartTow   StartRule = "tow"
)

// WarmPlace says where an engine is warmed up.
type WarmPlace string

// The places for warming up.
const (
	WarmInLane  WarmPlace = "in lane"
	WarmAtMouth WarmPlace = "at the mouth"
	WarmOnLine  WarmPlace = "on the line"
)

// StartWord is a start chance in words; Weights.StartWords gives the figures.
type StartWord string

// The words for a start chance.
const (
	StartsWell    StartWord = "starts well"
	NeedsCoaxing  StartWord = "needs coaxing"
	DoubtfulStart StartWord = "doubtful"
	NeverSeen     StartWord = "never seen"
)

// Binding says how firmly a home lane is meant.
type Binding string

// The bindings: Free is a mere wish of nobody, Told has been told to people
// (leaving it costs), Fixed must be kept.
const (
	Free  Binding = "free"
	Told  Binding = "told"
	Fixed Binding = "fixed"
)

// Home is the lane of a unit's stays, and how firmly.
type Home struct {
	Lane    LaneID  `json:"lane,omitempty"`
	Binding Binding `json:"binding,omitempty"` // empty: Free
	Reason  string  `json:"reason,omitempty"`
}

// Window is a span of show time, From up to To; a zero end is not given.
type Window struct {
	From Instant `json:"from,omitzero"`
	To   Instant `json:"to,omitzero"`
}

// Vehicle is one vehicle as given. Only ID and Name are required; a zero or
// nil field is "not given" and is filled in by Complete from the vehicle's
// class, except Mass, Width, Height and brakes, which are never assumed.
type Vehicle struct {
	ID         UnitID   `json:"id"`
	Name       string   `json:"name"`
	Number     string   `json:"number,omitempty"` // painted or plate number
	Nicknames  []string `json:"nicknames,omitempty"`
	Owner      string   `json:"owner,omitempty"`
	Contingent string   `json:"contingent,omitempty"` // own, guests, a regiment …
	Class      string   `json:"class,omitempty"`      // a Class.Name; decides what is assumed

	Length    Centimetres `json:"length_cm,omitempty"` // as parked, with overhang
	Guessed   bool        `json:"-"`                   // Length is assumed; set by Complete
	Width     Centimetres `json:"width_cm,omitempty"`
	Height    Centimetres `json:"height_cm,omitempty"`
	Mass      Kilograms   `json:"mass_kg,omitempty"`
	GapAhead  Centimetres `json:"gap_ahead_cm,omitempty"`  // own gap in front of the nose
	GapBehind Centimetres `json:"gap_behind_cm,omitempty"` // own gap behind

	Gear          Gear        `json:"gear,omitempty"`
	Reverse       ReverseRule `json:"reverse,omitempty"`
	ReverseLimit  Centimetres `json:"reverse_limit_cm,omitempty"` // with ReverseShort
	Start         StartRule   `json:"start,omitempty"`
	StartClear    Centimetres `json:"start_clear_cm,omitempty"` // clear ahead, with StartTow
	HandPeople    int         `json:"hand_people,omitempty"`    // people to push it; 0: not by hand
	TurningCircle Centimetres `json:"turning_circle_cm,omitempty"`
	TurnsOnSpot   bool        `json:"turns_on_spot,omitempty"`
	ParkSpeed     Centimetres `json:"park_speed_cm_s,omitempty"` // centimetres per second in the park

	WarmUp      *Seconds  `json:"warm_up_s,omitempty"`
	WarmWhere   WarmPlace `json:"warm_where,omitempty"`
	LongestIdle *Seconds  `json:"longest_idle_s,omitempty"` // 0: no limit
	HotRest     *Seconds  `json:"hot_rest_s,omitempty"`     // rest before a hot restart
	CoolDown    *Seconds  `json:"cool_down_s,omitempty"`
	LightUp     Seconds   `json:"light_up_s,omitempty"` // steam: from cold to moving
	NeverAlone  bool      `json:"never_alone,omitempty"`
	MaxRuns     int       `json:"max_runs,omitempty"`      // most entries and duties a day; 0: no limit
	MaxRunning  Seconds   `json:"max_running_s,omitempty"` // most arena seconds a day; 0: no limit

	StartChance *Chance   `json:"start_chance,omitempty"`  // chance that it starts when asked; goes before records and word
	StartsTried int       `json:"starts_tried,omitempty"`  // records: so many starts were tried; used when StartChance is nil
	StartsFail  int       `json:"starts_failed,omitempty"` // of these, so many failed
	StartWord   StartWord `json:"start_word,omitempty"`    // used when StartChance is nil and no start was tried
	FailChance  *Chance   `json:"fail_chance,omitempty"`   // chance of failing in one run

	Zones        []ZoneID `json:"zones,omitempty"` // empty: any
	Home         Home     `json:"home,omitzero"`
	StandsAlone  bool     `json:"stands_alone,omitempty"`  // shares its lane with nobody
	KeepTogether []UnitID `json:"keep_together,omitempty"` // preference: same zone
	KeepApart    []UnitID `json:"keep_apart,omitempty"`    // rule: never in one lane at once
	Standby      bool     `json:"standby,omitempty"`       // must be able to leave at any time
	OwnerOnly    bool     `json:"owner_only,omitempty"`    // not moved in a reset without its owner

	Arrive  Window `json:"arrive,omitzero"`   // comes within; zero: there from the start
	Depart  Window `json:"depart,omitzero"`   // leaves within; zero: stays to the end
	OffRoad Window `json:"off_road,omitzero"` // off the road (From not given: from the start; To: to the end) when either is set

	UsualDriver PersonID          `json:"usual_driver,omitempty"`
	Drivers     []PersonID        `json:"drivers,omitempty"`     // others who may drive it
	Placeholder bool              `json:"placeholder,omitempty"` // "to be confirmed"
	Note        string            `json:"note,omitempty"`
	Extra       map[string]string `json:"extra,omitempty"` // columns of the workbook that mean nothing here, kept
}

// Combination is a towing vehicle with what it tows; it stands and moves as
// one unit from where it is coupled to where it is parted. It is coupled at
// the start. Its parts never move alone while it is coupled.
type Combination struct {
	ID           UnitID      `json:"id"`
	Name         string      `json:"name"`
	Tower        UnitID      `json:"tower"`
	Towed        []UnitID    `json:"towed"`               // nearest the tower first
	Length       Centimetres `json:"length_cm,omitempty"` // 0: the parts and 50 cm a coupling, assumed
	Reverse      ReverseRule `json:"reverse,omitempty"`   // empty: never (assumed)
	ReverseLimit Centimetres `json:"reverse_limit_cm,omitempty"`
	CoupleAt     SpotID      `json:"couple_at,omitempty"` // where it may be coupled and parted
	Takes        Seconds     `json:"takes_s,omitempty"`   // to couple or part; 0: assumed
	Home         Home        `json:"home,omitzero"`
}

// Class gives the figures assumed for vehicles of a kind, when they are not
// given. The figures of DefaultClasses are from memory and meant to be edited.
type Class struct {
	Name        string      `json:"name"`
	Gear        Gear        `json:"gear"`
	Length      Centimetres `json:"length_cm"`
	Reverse     ReverseRule `json:"reverse"`
	Start       StartRule   `json:"start"`
	WarmUp      Seconds     `json:"warm_up_s"`
	WarmWhere   WarmPlace   `json:"warm_where"`
	LongestIdle Seconds     `json:"longest_idle_s"`
	HotRest     Seconds     `json:"hot_rest_s"`
	CoolDown    Seconds     `json:"cool_down_s"`
	ParkSpeed   Centimetres `json:"park_speed_cm_s"`
	StartChance Chance      `json:"start_chance"`
	FailChance  Chance      `json:"fail_chance"`
	Awkward     int         `json:"awkward"` // percent; how hard one move is, 100 is a light car
}
