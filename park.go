package sallyport

// Ids of the park's parts.
type (
	ZoneID    string
	LaneID    string
	LineID    string
	SpotID    string
	StretchID string
)

// Zone is a part of the park that is opened and closed to the public as one.
type Zone struct {
	ID      ZoneID `json:"id"`
	Name    string `json:"name,omitempty"`
	Public  bool   `json:"public,omitempty"`              // the public may walk in it when it is open
	Engines bool   `json:"engines_with_public,omitempty"` // engines may run with public inside
}

// LaneKind says at which ends a lane is entered and left.
type LaneKind string

// The kinds of lane: DeadEnd in and out at the mouth; Through in at the tail,
// out at the mouth; Open in and out at either end.
const (
	DeadEnd LaneKind = "dead-end"
	Through LaneKind = "through"
	Open    LaneKind = "open"
)

// DriveIn says how vehicles enter a lane.
type DriveIn string

// The ways to drive in. InReversed is the rule in dead-end lanes when nothing
// is given, InNose in through lanes, InEither in open ones.
const (
	InReversed DriveIn = "reversed"
	InNose     DriveIn = "nose first"
	InEither   DriveIn = "either"
)

// Lane is a strip where vehicles stand nose to tail. Only ID and Length are
// required.
type Lane struct {
	ID      LaneID      `json:"id"`
	Name    string      `json:"name,omitempty"`
	Zone    ZoneID      `json:"zone,omitempty"`
	Kind    LaneKind    `json:"kind,omitempty"` // empty: DeadEnd (assumed)
	Length  Centimetres `json:"length_cm"`
	Width   Centimetres `json:"width_cm,omitempty"`
	MaxMass Kilograms   `json:"max_mass_kg,omitempty"` // of one vehicle; 0: no limit
	MaxDeep int         `json:"max_deep,omitempty"`    // vehicles at once; 0: no limit
	In      DriveIn     `json:"drive_in,omitempty"`
	Gap     Centimetres `json:"gap_cm,omitempty"`  // least gap between neighbours
	Beside  bool        `json:"beside,omitempty"`  // room alongside for a slave lead
	Mouth   StretchID   `json:"mouth,omitempty"`   // the frontage stretch its mouth faces
	Tail    StretchID   `json:"tail,omitempty"`    // that of its tail, when not dead-end
	Closed  []Window    `json:"closed,omitempty"`  // nothing may be driven in or stand there
	X       Centimetres `json:"x_cm,omitempty"`    // centre of the mouth, for drawing
	Y       Centimetres `json:"y_cm,omitempty"`    // y grows to the south (down the page)
	Heading int         `json:"heading,omitempty"` // degrees from the mouth outward: 0 up the page (north), 90 right
}

// Stretch is a strip of frontage in front of several mouths: while a vehicle
// reverses in it nothing else moves there.
type Stretch struct {
	ID    StretchID   `json:"id"`
	Name  string      `json:"name,omitempty"`
	Depth Centimetres `json:"depth_cm,omitempty"` // 0: not given
}

// OutRule says in what order a forming-up line is filled.
type OutRule string

// OutStrict is filled in the serial's order only; on an OutFree line each
// entry drives to its own mark.
const (
	OutStrict OutRule = "strict"
	OutFree   OutRule = "free"
)

// HomeRule says in what order vehicles leave a line for their lanes.
type HomeRule string

// HomeInOrder: from the leading end, one after the other. HomeAnyOrder: any.
const (
	HomeInOrder  HomeRule = "in order"
	HomeAnyOrder HomeRule = "any order"
)

// Line is a forming-up line. Entry 1 of a serial stands at its head.
type Line struct {
	ID        LineID      `json:"id"`
	Name      string      `json:"name,omitempty"`
	Zone      ZoneID      `json:"zone,omitempty"`      // public rules apply there when set
	Length    Centimetres `json:"length_cm,omitempty"` // 0: no limit (assumed)
	Gap       Centimetres `json:"gap_cm,omitempty"`
	Out       OutRule     `json:"out,omitempty"`        // empty: OutFree (assumed)
	Home      HomeRule    `json:"home,omitempty"`       // empty: HomeAnyOrder (assumed)
	TailLeads bool        `json:"tail_leads,omitempty"` // coming home, the last of the column leaves the line first
	Fouls     []Foul      `json:"fouls,omitempty"`
	Route     bool        `json:"emergency_route,omitempty"` // lies on an emergency route: nothing may stand
	X         Centimetres `json:"x_cm,omitempty"`            // head, for drawing
	Y         Centimetres `json:"y_cm,omitempty"`
	Heading   int         `json:"heading,omitempty"` // degrees, the way vehicles face on it
}

// Foul says that a vehicle standing on the line between From and To, counted
// from the head, bars the mouths of Lanes.
type Foul struct {
	From  Centimetres `json:"from_cm"`
	To    Centimetres `json:"to_cm"`
	Lanes []LaneID    `json:"lanes"`
}

// SpotUse says what a spot off the lanes is for.
type SpotUse string

// The uses of a spot.
const (
	SpotAside     SpotUse = "waiting aside"
	SpotBreakdown SpotUse = "breakdown bay"
	SpotLoading   SpotUse = "loading" // unloading and loading
	SpotCoupling  SpotUse = "coupling"
)

// Spot is a place off the lanes where vehicles can stand for a while.
type Spot struct {
	ID     SpotID      `json:"id"`
	Name   string      `json:"name,omitempty"`
	Use    SpotUse     `json:"use"`
	Length Centimetres `json:"length_cm,omitempty"` // 0: no limit (assumed)
	Gap    Centimetres `json:"gap_cm,omitempty"`
	Zones  []ZoneID    `json:"zones,omitempty"`           // serves these zones; empty: all
	Route  bool        `json:"emergency_route,omitempty"` // lies on an emergency route: nothing may stand
	X      Centimetres `json:"x_cm,omitempty"`            // head, for drawing; it runs to the right from there
	Y      Centimetres `json:"y_cm,omitempty"`
}

// Park is the ground and who runs it.
type Park struct {
	Zones     []Zone    `json:"zones,omitempty"`
	Lanes     []Lane    `json:"lanes"`
	Stretches []Stretch `json:"stretches,omitempty"`
	Lines     []Line    `json:"lines,omitempty"`
	Spots     []Spot    `json:"spots,omitempty"`
	Teams     int       `json:"teams,omitempty"` // marshal teams on duty at once; 0: not given, not checked
	// TowPercent is the greatest towed mass in percent of the towing
	// vehicle's actual mass; 0: UsualTowPercent, assumed.
	TowPercent int    `json:"tow_percent,omitempty"`
	Paces      []Pace `json:"paces,omitempty"` // minutes per kind of move; empty: DefaultPaces, assumed
}

// Pace is how long one kind of move takes for one kind of gear. The first
// pace that matches counts; an empty Kind or Gear matches all.
type Pace struct {
	Kind  MoveKind `json:"kind,omitempty"`
	Gear  Gear     `json:"gear,omitempty"`
	Takes Seconds  `json:"takes_s"`
}
