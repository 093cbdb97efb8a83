package sallyport

import (
	"fmt"
	"maps"
	"slices"
)

// Standing is one unit in a lane.
type Standing struct {
	Unit   UnitID      `json:"unit"`
	From   Centimetres `json:"from_cm"`           // distance of its nearer edge from the mouth line
	NoseIn bool        `json:"nose_in,omitempty"` // faces away from the mouth
}

// State is what stands where at one moment. Every unit on site is in exactly
// one place; parts of a coupled combination are in none of their own. Units
// not listed anywhere are away.
type State struct {
	At      Instant               `json:"at"`
	Lanes   map[LaneID][]Standing `json:"lanes"`           // mouth first
	Lines   map[LineID][]UnitID   `json:"lines,omitempty"` // head first
	Spots   map[SpotID][]UnitID   `json:"spots,omitempty"` // in order of arrival
	Arena   []UnitID              `json:"arena,omitempty"`
	Duty    []UnitID              `json:"duty,omitempty"`
	OffRoad []UnitID              `json:"off_road,omitempty"` // cannot move by themselves, from now on
	Parted  []UnitID              `json:"parted,omitempty"`   // combinations that are parted now
	Busy    map[UnitID]UnderWay   `json:"busy,omitempty"`     // whose last move is not over yet at At; they count as being where it ends
}

// UnderWay is a move that has begun: when it is over, and where it came from.
type UnderWay struct {
	Until Instant `json:"until"`
	From  Pos     `json:"from"`
}

// known returns the state without vehicles, lanes, lines and spots that the
// show does not have, and a fault for each. A state that names none of these is
// returned as it is.
func (s State) known(ix *Index) (State, []Fault) {
	var faults []Fault
	unknown := func(what, id string) {
		sentence := fmt.Sprintf("the moment from which the plan goes on names the %s %q, which the show does not have", what, id)
		if !slices.ContainsFunc(faults, func(f Fault) bool { return f.Sentence == sentence }) {
			faults = append(faults, Fault{Rule: RuleUnknown, At: s.At, Sentence: sentence})
		}
	}
	strange := func(u UnitID) bool {
		if ix.Unit(u) != nil {
			return false
		}
		unknown("vehicle", string(u))
		return true
	}
	c := s.clone()
	for _, id := range slices.Sorted(maps.Keys(c.Lanes)) {
		if c.Lanes[id] = slices.DeleteFunc(c.Lanes[id], func(x Standing) bool { return strange(x.Unit) }); ix.Lane(id) == nil {
			unknown("lane", string(id))
			delete(c.Lanes, id)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(c.Lines)) {
		if c.Lines[id] = slices.DeleteFunc(c.Lines[id], strange); ix.Line(id) == nil {
			unknown("line", string(id))
			delete(c.Lines, id)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(c.Spots)) {
		if c.Spots[id] = slices.DeleteFunc(c.Spots[id], strange); ix.Spot(id) == nil {
			unknown("spot", string(id))
			delete(c.Spots, id)
		}
	}
	c.Arena, c.Duty = slices.DeleteFunc(c.Arena, strange), slices.DeleteFunc(c.Duty, strange)
	for _, list := range []*[]UnitID{&c.OffRoad, &c.Parted} {
		*list = slices.DeleteFunc(slices.Clone(*list), strange)
	}
	if len(faults) == 0 {
		return s, nil
	}
	maps.DeleteFunc(c.Busy, func(u UnitID, _ UnderWay) bool { return ix.Unit(u) == nil })
	return c, faults
}

// Rule names one rule of the judge.
type Rule string

// Fault is one breach of a rule.
type Fault struct {
	Rule     Rule     `json:"rule"`
	Place    string   `json:"place,omitempty"` // "lane C4", "line North"
	At       Instant  `json:"at,omitzero"`
	Units    []UnitID `json:"units,omitempty"` // who suffers first, then who causes it
	Serial   SerialID `json:"serial,omitempty"`
	Entry    EntryID  `json:"entry,omitempty"`
	Move     MoveID   `json:"move,omitempty"`
	Sentence string   `json:"sentence"`
}

// Report is the judgement of a plan.
type Report struct {
	Faults     []Fault      `json:"faults"`      // none: workable
	OrderAlone []Fault      `json:"order_alone"` // where a delay could let two moves swap and the plan fail
	Cost       Cost         `json:"cost"`
	NotChecked []string     `json:"not_checked"`
	Assumed    []Assumption `json:"assumed"`
}

// Workable reports whether the plan breaks no rule.
func (r Report) Workable() bool { return len(r.Faults) == 0 }
