package sallyport

import "slices"

// FormatPlan is the format string of a plan written as JSON.
const FormatPlan = "sallyport-plan/1"

// MoveID names a move within its plan.
type MoveID string

// MoveKind says what a move is for.
type MoveKind string

// The kinds of move. Column moves (MoveOut, MoveHome) take a whole serial
// between its line and the arena; all others move one unit.
const (
	MoveArrive  MoveKind = "arrive"      // away to a lane (Via: the unloading spot)
	MovePullOut MoveKind = "pull out"    // lane or aside spot to the serial's line
	MoveOut     MoveKind = "column out"  // line to arena, Units in order
	MoveHome    MoveKind = "column home" // arena to line, Units head first
	MoveReturn  MoveKind = "return"      // line to a lane
	MoveAcross  MoveKind = "across"      // line to line, between joined entries
	MoveAside   MoveKind = "aside"       // lane to an aside spot
	MoveBack    MoveKind = "put back"    // aside spot to a lane
	MoveCloseUp MoveKind = "close up"    // forward in the same lane
	MoveReset   MoveKind = "reset"       // lane to lane or aside spot, or aside spot to lane, in a reset window
	MoveDuty    MoveKind = "to duty"     // lane to duty
	MoveRelieve MoveKind = "from duty"   // duty to a lane
	MoveDepart  MoveKind = "depart"      // lane (or line) to away (Via: the loading spot)
	MoveCouple  MoveKind = "couple"      // parts standing at one spot become the combination, there
	MovePart    MoveKind = "part"        // a combination at a spot becomes its parts, there
	MoveTow     MoveKind = "tow"         // a unit off the road, by Helper, to anywhere
	MoveShift   MoveKind = "shift"       // lane to a coupling spot or back, with the serial it is for
)

// PosKind says what sort of thing a Pos names.
type PosKind string

// The kinds of position.
const (
	InAway  PosKind = "away"
	InLane  PosKind = "lane"
	InLine  PosKind = "line"
	InArena PosKind = "arena"
	InSpot  PosKind = "spot"
	InDuty  PosKind = "duty"
)

// End is an end of a lane.
type End string

// The ends; empty means the only possible one, or the mouth.
const (
	Mouth End = "mouth"
	Tail  End = "tail"
)

// Pos is where a unit is or goes: a lane, a line, a spot, the arena, on duty
// or away. End says by which end a lane is entered or left.
type Pos struct {
	Kind PosKind `json:"kind"`
	ID   string  `json:"id,omitempty"`
	End  End     `json:"end,omitempty"`
}

// AtLane, AtLine and AtSpot return positions.
func AtLane(id LaneID, end End) Pos { return Pos{Kind: InLane, ID: string(id), End: end} }
func AtLine(id LineID) Pos          { return Pos{Kind: InLine, ID: string(id)} }
func AtSpot(id SpotID) Pos          { return Pos{Kind: InSpot, ID: string(id)} }

// Wait is one thing a move waits for; one field is set.
type Wait struct {
	Move  MoveID `json:"move,omitempty"`  // that move has ended
	Begun MoveID `json:"begun,omitempty"` // that move has begun: its unit has left
	Line  LineID `json:"line,omitempty"`  // that line is empty
	Clear ZoneID `json:"clear,omitempty"` // that zone has been declared clear
}

// Move is one movement of one unit (or of a serial's column).
type Move struct {
	ID       MoveID   `json:"id"`
	Kind     MoveKind `json:"kind"`
	Unit     UnitID   `json:"unit,omitempty"`
	Units    []UnitID `json:"units,omitempty"` // column moves only, head first
	From     Pos      `json:"from"`
	To       Pos      `json:"to"`
	Via      SpotID   `json:"via,omitempty"` // loading spot of an arrival or departure
	Serial   SerialID `json:"serial,omitempty"`
	Entry    EntryID  `json:"entry,omitempty"`
	Duty     DutyID   `json:"duty,omitempty"`
	Window   WindowID `json:"window,omitempty"`  // of a reset
	Reverse  bool     `json:"reverse,omitempty"` // driven backwards in the lane; from lane to lane: as it comes in
	ByHand   bool     `json:"by_hand,omitempty"`
	Helper   UnitID   `json:"helper,omitempty"` // tows, or gives the slave lead
	Start    Instant  `json:"start"`
	Takes    Seconds  `json:"takes_s"`
	Nominal  Instant  `json:"nominal,omitzero"` // a return held back until, or a pull-out made early at, this moment
	Driver   PersonID `json:"driver,omitempty"`
	Marshals int      `json:"marshals,omitempty"` // teams it occupies
	After    []Wait   `json:"after,omitempty"`
}

// End returns when the move is over.
func (m Move) Ends() Instant { return m.Start + Instant(m.Takes) }

// LaneLayout is what stands in one lane, mouth first.
type LaneLayout struct {
	Lane   LaneID   `json:"lane"`
	Units  []UnitID `json:"units"`
	NoseIn []UnitID `json:"nose_in,omitempty"` // of these, who faces away from the mouth
}

// Key is what makes a plan repeatable: the same key gives the same plan.
type Key struct {
	Version string `json:"version"`
	Seed    uint64 `json:"seed"`
	Steps   int64  `json:"steps"`
	Show    string `json:"show"`            // hash of the show, weights included
	Bound   Amount `json:"bound,omitempty"` // no plan of this show that serves all costs less; 0: not known, or not kept with the plan
}

// Plan is a start layout and moves in order of time.
type Plan struct {
	Format   string       `json:"format"`
	Show     string       `json:"show"` // its name
	Key      Key          `json:"key,omitzero"`
	Start    []LaneLayout `json:"start"`
	Moves    []Move       `json:"moves"`
	Unserved []EntryID    `json:"unserved,omitempty"` // entries given up

	// A plan that goes on from a moment of the show has made Past from Start,
	// and Moves begin with what stands where in From, whatever Past says.
	From     *State      `json:"from,omitempty"`
	Past     []Move      `json:"past,omitempty"`
	Happened []Happening `json:"happened,omitempty"` // by which the show differs from the one it was made for
}

// all returns the moves made and those to come, in order.
func (p *Plan) all() []Move {
	if len(p.Past) == 0 {
		return p.Moves
	}
	return append(slices.Clip(p.Past), p.Moves...)
}

// Placement says in which lane one stay of a unit is spent; a list of them is
// a plan made by hand, from which the moves follow.
type Placement struct {
	Unit  UnitID `json:"unit"`
	After string `json:"after,omitempty"` // serial, duty or reset window after which the stay begins; empty: the first stay
	Lane  LaneID `json:"lane"`
	Place int    `json:"place,omitempty"` // of a first stay: order from the mouth, 1 is nearest; 0: not given
}
