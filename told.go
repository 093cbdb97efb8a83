package sallyport

import (
	"cmp"
	"slices"
)

// TellFrom is by how much a move must begin earlier or later than told for its
// people to be told again.
const TellFrom = Seconds(5 * 60)

// ToldAnew is one move by which a plan differs from an issue: Was is nil for one
// that the issue does not have, Now for one that the plan does not have.
type ToldAnew struct {
	Was    *Move `json:"was,omitempty"`
	Now    *Move `json:"now,omitempty"`
	Lane   bool  `json:"lane,omitempty"`   // from or to another lane, line or spot
	Time   bool  `json:"time,omitempty"`   // TellFrom or more earlier or later
	Driver bool  `json:"driver,omitempty"` // another driver
}

// At returns when it is to be known: the earlier of the two moments.
func (t ToldAnew) At() Instant {
	switch {
	case t.Was == nil:
		return t.Now.Start
	case t.Now == nil:
		return t.Was.Start
	}
	return min(t.Was.Start, t.Now.Start)
}

// toldKey names what a move is for; equal ones follow each other in time.
type toldKey struct {
	kind   MoveKind
	unit   UnitID
	serial SerialID
	duty   DutyID
	window WindowID
}

func toldKeyOf(m *Move) toldKey { return toldKey{m.Kind, m.Unit, m.Serial, m.Duty, m.Window} }

// ChangesSince returns what differs between the moves of an issue and those of
// a plan, in order of time. Of a plan that goes on from a moment only what
// comes after it counts.
func ChangesSince(issued, plan *Plan) []ToldAnew {
	was := make(map[toldKey][]*Move)
	old := issued.all()
	for i := range old {
		if m := &old[i]; plan.From == nil || i >= len(plan.Past) {
			was[toldKeyOf(m)] = append(was[toldKeyOf(m)], m)
		}
	}
	var list []ToldAnew
	for i := range plan.Moves {
		m := &plan.Moves[i]
		k := toldKeyOf(m)
		if len(was[k]) == 0 {
			list = append(list, ToldAnew{Now: m})
			continue
		}
		o := was[k][0]
		was[k] = was[k][1:]
		t := ToldAnew{
			Was: o, Now: m, Driver: o.Driver != m.Driver,
			Lane: !samePlace(o.From, m.From) || !samePlace(o.To, m.To),
			Time: max(m.Start-o.Start, o.Start-m.Start) >= Instant(TellFrom),
		}
		if t.Lane || t.Time || t.Driver {
			list = append(list, t)
		}
	}
	for i := range old {
		k := toldKeyOf(&old[i])
		if n := len(was[k]); n > 0 && was[k][0] == &old[i] {
			list = append(list, ToldAnew{Was: &old[i]})
			was[k] = was[k][1:]
		}
	}
	slices.SortStableFunc(list, func(a, b ToldAnew) int { return cmp.Or(cmp.Compare(a.At(), b.At()), cmp.Compare(a.rank(), b.rank())) })
	return list
}

// rank puts what falls away before what comes in its place.
func (t ToldAnew) rank() int {
	if t.Now == nil {
		return 0
	}
	return 1
}

// samePlace reports whether two positions are the same for who is told of
// them: where exactly somebody waits aside is said on the spot.
func samePlace(a, b Pos) bool {
	return a.Kind == b.Kind && (a.ID == b.ID || a.Kind == InSpot)
}
