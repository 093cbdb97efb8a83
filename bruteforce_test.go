package sallyport_test

import (
	"maps"
	"slices"

	sp "sallyport"
)

// This file and its bruteforce_… neighbours are a second, deliberately naive
// reading of docs/decisions/0001 and of the planning model: every lane is a
// number line walked centimetre by centimetre, every span of time is looked
// at in pairs, and nothing is remembered that can be counted again. It exists
// to disagree with the judge.

// footing is where one unit is. In a lane it covers near..far centimetres from
// the mouth line; on a line, in a spot, in the arena and on duty rank orders
// those who share the place.
type footing struct {
	kind      sp.PosKind
	id        string
	near, far int
	noseIn    bool
	rank      int
}

// world is a show and where everything is.
type world struct {
	show   *sp.Show
	at     map[sp.UnitID]footing
	serves map[sp.UnitID]sp.EntryID // for which entry it was last pulled out
}

// breach is one broken rule: which move, and who suffers.
type breach struct {
	rule  sp.Rule
	move  sp.MoveID
	unit  sp.UnitID
	value int // of an entry that is missing
}

func (w *world) copy() *world {
	return &world{show: w.show, at: maps.Clone(w.at), serves: maps.Clone(w.serves)}
}

func (w *world) vehicle(id sp.UnitID) *sp.Vehicle {
	for i := range w.show.Vehicles {
		if v := &w.show.Vehicles[i]; v.ID == id {
			return v
		}
	}
	return &sp.Vehicle{}
}

func (w *world) lane(id string) sp.Lane {
	for _, l := range w.show.Park.Lanes {
		if string(l.ID) == id {
			return l
		}
	}
	return sp.Lane{}
}

func (w *world) line(id string) sp.Line {
	for _, l := range w.show.Park.Lines {
		if string(l.ID) == id {
			return l
		}
	}
	return sp.Line{}
}

func (w *world) spot(id string) sp.Spot {
	for _, s := range w.show.Park.Spots {
		if string(s.ID) == id {
			return s
		}
	}
	return sp.Spot{}
}

func (w *world) serial(id sp.SerialID) sp.Serial {
	for _, s := range w.show.Serials {
		if s.ID == id {
			return s
		}
	}
	return sp.Serial{}
}

// those returns the units at a place: in a lane from the mouth inwards,
// elsewhere in order of rank.
func (w *world) those(kind sp.PosKind, id string) []sp.UnitID {
	var units []sp.UnitID
	for u, t := range w.at {
		if t.kind == kind && t.id == id {
			units = append(units, u)
		}
	}
	slices.SortFunc(units, func(a, b sp.UnitID) int {
		x, y := w.at[a], w.at[b]
		if kind == sp.InLane {
			return x.near - y.near
		}
		return x.rank - y.rank
	})
	return units
}

// wants is how much room a unit in the given attitude wants on its side
// towards the mouth and on its side towards the tail.
func wants(v *sp.Vehicle, noseIn bool) (towardsMouth, towardsTail int) {
	if noseIn {
		return int(v.GapBehind), int(v.GapAhead)
	}
	return int(v.GapAhead), int(v.GapBehind)
}

// body is what a unit takes up on the number line, and the room it wants on
// its two sides.
type body struct{ near, far, towardsMouth, towardsTail int }

func (w *world) body(u sp.UnitID, near int, noseIn bool) body {
	v := w.vehicle(u)
	mouth, tail := wants(v, noseIn)
	return body{near, near + int(v.Length), mouth, tail}
}

// others returns the bodies in a lane but that of u.
func (w *world) others(u sp.UnitID, lane sp.Lane) []body {
	var all []body
	for _, o := range w.those(sp.InLane, string(lane.ID)) {
		if o != u {
			all = append(all, w.body(o, w.at[o].near, w.at[o].noseIn))
		}
	}
	return all
}

// free reports whether a body inside the lane keeps clear of all others.
func free(b body, lane sp.Lane, others []body) bool {
	if b.near < 0 || b.far > int(lane.Length) {
		return false
	}
	for _, o := range others {
		deeper := o.near - b.far // room if the other is deeper
		nearer := b.near - o.far // room if the other is nearer the mouth
		if deeper < max(int(lane.Gap), b.towardsTail, o.towardsMouth) && nearer < max(int(lane.Gap), b.towardsMouth, o.towardsTail) {
			return false
		}
	}
	return true
}

// slide moves a body a centimetre at a time, towards the tail or the mouth,
// as far as it goes.
func slide(b body, lane sp.Lane, others []body, step int) body {
	for next := b; ; b = next {
		next.near, next.far = b.near+step, b.far+step
		if !free(next, lane, others) {
			return b
		}
	}
}

// driveIn drives the unit in by the given end, as far as it goes; ok is false
// when it does not even get wholly inside.
func (w *world) driveIn(u sp.UnitID, lane sp.Lane, end sp.End, noseIn bool) (near int, ok bool) {
	step := 1
	if end == sp.Tail {
		near, step = int(lane.Length)-int(w.vehicle(u).Length), -1
	}
	b, others := w.body(u, near, noseIn), w.others(u, lane)
	if !free(b, lane, others) {
		return near, false
	}
	return slide(b, lane, others, step).near, true
}

// between returns who stands between a unit and an end of its lane, nearest
// to the unit first.
func (w *world) between(u sp.UnitID, end sp.End) []sp.UnitID {
	t := w.at[u]
	var who []sp.UnitID
	for _, o := range w.those(sp.InLane, t.id) {
		if end == sp.Tail && w.at[o].near > t.near || end != sp.Tail && w.at[o].near < t.near {
			who = append(who, o)
		}
	}
	if end != sp.Tail {
		slices.Reverse(who)
	}
	return who
}

// ends returns by which ends a lane may be entered and left.
func ends(kind sp.LaneKind) (in, out []sp.End) {
	switch kind {
	case sp.Through:
		return []sp.End{sp.Tail}, []sp.End{sp.Mouth}
	case sp.Open:
		return []sp.End{sp.Mouth, sp.Tail}, []sp.End{sp.Mouth, sp.Tail}
	}
	return []sp.End{sp.Mouth}, []sp.End{sp.Mouth}
}

// endOf is the end a position means when it names none: the only possible
// one, or the mouth.
func endOf(pos sp.Pos, possible []sp.End) sp.End {
	if pos.End == "" {
		return possible[0]
	}
	return pos.End
}

// used counts what a row of units takes on a line or a spot.
func (w *world) used(units []sp.UnitID, gap sp.Centimetres) int {
	total := 0
	for i, u := range units {
		v := w.vehicle(u)
		total += int(v.Length)
		if i > 0 {
			total += max(int(gap), int(w.vehicle(units[i-1]).GapBehind), int(v.GapAhead))
		}
	}
	return total
}

// begin lays out the first morning.
func begin(show *sp.Show, start []sp.LaneLayout) (*world, []breach) {
	w := &world{show: show, at: map[sp.UnitID]footing{}, serves: map[sp.UnitID]sp.EntryID{}}
	var bad []breach
	for _, layout := range start {
		lane := w.lane(string(layout.Lane))
		order := slices.Clone(layout.Units)
		end := sp.Tail // through and open lanes are packed from the mouth: as if driven in by the tail, first the nearest
		if lane.Kind == sp.DeadEnd {
			slices.Reverse(order)
			end = sp.Mouth
		}
		for _, u := range order {
			noseIn := slices.Contains(layout.NoseIn, u)
			near, ok := w.driveIn(u, lane, end, noseIn)
			if !ok {
				bad = append(bad, breach{rule: sp.RuleOverfull, unit: u})
			}
			if !w.fits(u, lane, 0, 0) {
				bad = append(bad, breach{rule: sp.RuleFit, unit: u})
			}
			if w.vehicle(u).Arrive != (sp.Window{}) {
				bad = append(bad, breach{rule: sp.RuleNotThere, unit: u})
			}
			if h := w.vehicle(u).Home; h.Binding == sp.Fixed && h.Lane != lane.ID {
				bad = append(bad, breach{rule: sp.RuleHome, unit: u})
			}
			w.at[u] = footing{kind: sp.InLane, id: string(lane.ID), near: near, far: near + int(w.vehicle(u).Length), noseIn: noseIn}
		}
	}
	return w, bad
}

// fits is everything about a lane that is not about room in it.
func (w *world) fits(u sp.UnitID, lane sp.Lane, from, to sp.Instant) bool {
	v := w.vehicle(u)
	if v.Width > 0 && lane.Width > 0 && v.Width > lane.Width {
		return false
	}
	if v.Mass > 0 && lane.MaxMass > 0 && v.Mass > lane.MaxMass {
		return false
	}
	if len(v.Zones) > 0 && !slices.Contains(v.Zones, lane.Zone) {
		return false
	}
	others := 0
	for _, o := range w.those(sp.InLane, string(lane.ID)) {
		if o == u {
			continue
		}
		others++
		ov := w.vehicle(o)
		if v.StandsAlone || ov.StandsAlone || slices.Contains(v.KeepApart, o) || slices.Contains(ov.KeepApart, u) {
			return false
		}
	}
	if lane.MaxDeep > 0 && others+1 > lane.MaxDeep {
		return false
	}
	for _, c := range lane.Closed {
		for t := from; t <= to; t++ {
			if t >= c.From && t < c.To {
				return false
			}
		}
	}
	return true
}
