package sallyport

// FailureKind says where and when a vehicle fails.
type FailureKind string

// The kinds of failure, in the order in which a vehicle meets them on its way
// out and home.
const (
	FailLate      FailureKind = "late start"         // it starts, but later than planned
	FailInLane    FailureKind = "in lane"            // it does not start
	FailInMouth   FailureKind = "in the mouth"       // it stops half out of its lane
	FailOnLine    FailureKind = "on the line"        // it stops on its forming-up line
	FailOnRoad    FailureKind = "on road or gate"    // it stops on the way to the arena
	FailInArena   FailureKind = "in the arena"       // it does not leave the arena
	FailReversing FailureKind = "while reversing in" // it stops half into its lane on the way home
)

// FailureKinds lists all kinds of failure in their order.
var FailureKinds = []FailureKind{FailLate, FailInLane, FailInMouth, FailOnLine, FailOnRoad, FailInArena, FailReversing}

// CureKind says what is done about a failure.
type CureKind string

// The cures, from the first to try to the last.
const (
	CureWait    CureKind = "wait until the cut-off"
	CureSlave   CureKind = "slave lead"
	CurePush    CureKind = "push by hand"
	CureTail    CureKind = "join at the tail of the serial"
	CureReserve CureKind = "reserve"
	CureOrder   CureKind = "other order"
	CureTow     CureKind = "tow"
)

// CureKinds lists all cures in the order in which they are tried.
var CureKinds = []CureKind{CureWait, CureSlave, CurePush, CureTail, CureReserve, CureOrder, CureTow}

// Cure is one thing to do about a failure.
type Cure struct {
	Kind   CureKind `json:"kind"`
	By     UnitID   `json:"by,omitempty"`      // who gives the slave lead, tows, or takes the place
	People int      `json:"people,omitempty"`  // who push
	To     Pos      `json:"to,omitzero"`       // where the broken-down vehicle goes
	Entry  EntryID  `json:"entry,omitempty"`   // that a reserve takes
	Takes  Seconds  `json:"takes_s,omitempty"` // from the failure on
	Until  Instant  `json:"until,omitzero"`    // latest moment at which it helps
	Force  int64    `json:"force_n,omitempty"` // newtons that a steady tow takes at least
	Says   string   `json:"says"`              // in a sentence
	Care   string   `json:"care,omitempty"`    // what to take care of
	MayNot bool     `json:"may_not,omitempty"` // it helps only if the engine can be brought to life
}

// FailureCell is what one failure does, and what can be done about it.
type FailureCell struct {
	Kind      FailureKind `json:"kind"`
	At        Instant     `json:"at"`                  // when it fails
	Place     string      `json:"place"`               // where, in words
	ShutIn    []UnitID    `json:"shut_in,omitempty"`   // who cannot leave its lane, if nothing is done
	Lost      []EntryID   `json:"lost,omitempty"`      // entries lost if nothing is done, the failed vehicle's own included
	LostValue int         `json:"lost_value"`          // what they are worth
	Duties    []DutyID    `json:"duties,omitempty"`    // duties missed if nothing is done
	Stranded  []UnitID    `json:"stranded,omitempty"`  // who comes home and finds no room or no way in, if nothing is done
	Try       []Cure      `json:"try,omitempty"`       // worth trying first: they may not help
	Cures     []Cure      `json:"cures,omitempty"`     // what to do, the fewest and cheapest that save most
	Left      []EntryID   `json:"left,omitempty"`      // entries still lost then
	LeftValue int         `json:"left_value"`          // what they are worth
	Late      []EntryID   `json:"late,omitempty"`      // entries that go late then, or at the tail
	Takes     Seconds     `json:"takes_s"`             // until the way is free; for a late start: how late it may be
	NoTow     string      `json:"no_tow,omitempty"`    // why nobody can tow it, when that would help
	Uncovered []EntryID   `json:"uncovered,omitempty"` // of other vehicles, lost even when the way is cleared; reserves do not count here
}

// FailureRow is one vehicle on its way out: for an entry, a duty, or moved
// aside for others. Cells are in the order of FailureKinds; those that cannot
// happen are left out.
type FailureRow struct {
	Unit   UnitID        `json:"unit"`
	Entry  EntryID       `json:"entry,omitempty"`
	Serial SerialID      `json:"serial,omitempty"`
	Duty   DutyID        `json:"duty,omitempty"`
	Move   MoveID        `json:"move"` // by which it leaves its lane, or its line when joined entries follow
	At     Instant       `json:"at"`   // when that move begins
	What   string        `json:"what"` // in words: "Opening column"
	Cells  []FailureCell `json:"cells"`
}

// Cell returns the row's cell of a kind, nil when there is none.
func (r *FailureRow) Cell(kind FailureKind) *FailureCell {
	for i := range r.Cells {
		if r.Cells[i].Kind == kind {
			return &r.Cells[i]
		}
	}
	return nil
}

// CellRef names a cell of a matrix by its numbers.
type CellRef struct {
	Row  int `json:"row"`
	Cell int `json:"cell"` // among the row's cells
}

// FailureMatrix is what happens when vehicles fail, each failure by itself.
type FailureMatrix struct {
	Rows       []FailureRow `json:"rows"`                // in order of time
	Worst      []CellRef    `json:"worst"`               // all cells, worst first
	Uncovered  []EntryID    `json:"uncovered,omitempty"` // entries that do not go out when one other vehicle does not start, in order of time
	NotChecked []string     `json:"not_checked"`
	Assumed    []Assumption `json:"assumed"`
}

// Stands reports whether every entry still goes out when any one other
// vehicle does not start, by what people and named towing vehicles can do.
func (m *FailureMatrix) Stands() bool { return len(m.Uncovered) == 0 }

// At returns the row and cell that ref names.
func (m *FailureMatrix) At(ref CellRef) (*FailureRow, *FailureCell) {
	r := &m.Rows[ref.Row]
	return r, &r.Cells[ref.Cell]
}

// UsualTowPercent is the greatest towed mass in percent of the towing
// vehicle's actual mass when nothing else is said: a commercial rule quoted
// in a US Army message of 1977 (TM 5-3805-254-14P-1).
const UsualTowPercent = 45

// AssumedTow is the field of the assumption that says so.
const AssumedTow = "greatest towed mass"

// MostTowPercent is more than any rule for towing allows.
const MostTowPercent = 1000

// How long it takes until help is there, when nothing else is said: a vehicle
// that tows or gives a slave lead, and people to push. From memory.
const (
	UsualFetch  Seconds = 300
	UsualGather Seconds = 300
)

// MayTow reports whether tower is heavy enough for towed under a rule of so
// many percent of the towing vehicle's mass, Park.TowPercent of a complete
// show. known is false when a mass is not given: masses are never assumed.
func MayTow(tower, towed *Unit, percent int) (may, known bool) {
	if tower.Mass == 0 || towed.Mass == 0 {
		return false, false
	}
	return int64(towed.Mass)*100 <= int64(tower.Mass)*int64(percent), true
}

// MayPush reports whether u can be pushed by hand.
func (u *Unit) MayPush() bool { return u.HandPeople > 0 && !u.Combination }

// HasEngine reports whether u moves by itself.
func (u *Unit) HasEngine() bool { return u.Gear != TowedItem || u.Combination }
