// Package picture draws the park at one moment: as text for a terminal
// (Terminal), to scale as SVG (SVG), and a day as a strip of pictures in one
// SVG (Strip). It draws what a State says and judges nothing. What every mark
// means is written in docs/looks.md.
package picture

import (
	"strings"
	"unicode"

	"sallyport"
)

// Options say what to draw beside the state itself. The zero value is useful.
type Options struct {
	Title   string             // line above the picture; empty: the show's name and the state's day and time
	Due     []sallyport.UnitID // who is due next: drawn so that they stand out
	Moves   []sallyport.Move   // numbered from 1 in this order, at the lane ends they go through
	Width   int                // Terminal only: columns to keep within; 0: 100, least 40
	Colour  bool               // Terminal only: ANSI emphasis
	Columns int                // Strip only: pictures side by side; 0: 1
	Foot    []string           // SVG and Strip, not inline: paragraphs below all else, such as what was not checked
	Inline  bool               // SVG only: no style, legend or title of its own, for a page that holds Style and Defs once
}

// Moment is one picture of a strip.
type Moment struct {
	Title string // "10:05 before 3 Tracked column"
	State sallyport.State
	Due   []sallyport.UnitID
	Moves []sallyport.Move
}

// Sizes drawn when the show gives none, in centimetres. They decide nothing
// but the look of the picture.
const (
	drawnLength    sallyport.Centimetres = 600
	drawnWidth     sallyport.Centimetres = 220
	drawnLaneWidth sallyport.Centimetres = 320
	drawnGap       sallyport.Centimetres = 100
	drawnLine      sallyport.Centimetres = 4000
	drawnSpot      sallyport.Centimetres = 900
	coupling       sallyport.Centimetres = 50
)

// unit is what the drawing needs to know of a vehicle or combination.
type unit struct {
	id         sallyport.UnitID
	name       string
	length     sallyport.Centimetres
	width      sallyport.Centimetres
	ahead      sallyport.Centimetres // own gap in front
	behind     sallyport.Centimetres
	gear       sallyport.Gear
	parts      []unit // of a combination, tower first
	unmeasured bool   // its length is not given, or assumed
}

// roster is all units of a show by id.
type roster map[sallyport.UnitID]unit

// newRoster collects the units of the show. A combination without a length
// is as long as its parts and 50 cm for each coupling.
func newRoster(show *sallyport.Show) roster {
	r := make(roster, len(show.Vehicles)+len(show.Combinations))
	for _, v := range show.Vehicles {
		u := unit{
			id: v.ID, name: v.Name, length: v.Length, width: v.Width, gear: v.Gear,
			ahead: v.GapAhead, behind: v.GapBehind, unmeasured: v.Guessed,
		}
		if u.name == "" {
			u.name = string(v.ID)
		}
		if u.length <= 0 {
			u.length, u.unmeasured = drawnLength, true
		}
		if u.width <= 0 {
			u.width = drawnWidth
		}
		r[v.ID] = u
	}
	for _, c := range show.Combinations {
		u := unit{id: c.ID, name: c.Name, length: c.Length}
		if u.name == "" {
			u.name = string(c.ID)
		}
		var sum sallyport.Centimetres
		for i, id := range append([]sallyport.UnitID{c.Tower}, c.Towed...) {
			p := r.get(id)
			if i > 0 {
				sum += coupling
			}
			sum += p.length
			u.parts = append(u.parts, p)
			u.width = max(u.width, p.width)
			u.unmeasured = u.unmeasured || p.unmeasured
		}
		u.ahead, u.behind = u.parts[0].ahead, u.parts[len(u.parts)-1].behind
		if u.length <= 0 {
			u.length = sum
		} else {
			u.unmeasured = false
		}
		r[c.ID] = u
	}
	return r
}

// get returns the unit; one the show does not know is drawn by its id.
func (r roster) get(id sallyport.UnitID) unit {
	if u, ok := r[id]; ok {
		return u
	}
	return unit{id: id, name: string(id), length: drawnLength, width: drawnWidth, unmeasured: true}
}

// names returns the units' names in the order given.
func (r roster) names(ids []sallyport.UnitID) []string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = r.get(id).name
	}
	return out
}

// set is a set of units.
type set map[sallyport.UnitID]bool

func setOf(ids []sallyport.UnitID) set {
	s := make(set, len(ids))
	for _, id := range ids {
		s[id] = true
	}
	return s
}

// offRoad returns who is off the road at the state's moment: by the state,
// or by the show's own window.
func offRoad(show *sallyport.Show, state sallyport.State) set {
	s := setOf(state.OffRoad)
	for _, v := range show.Vehicles {
		if v.OffRoad != (sallyport.Window{}) && within(v.OffRoad, state.At) {
			s[v.ID] = true
		}
	}
	return s
}

// within reports whether t lies in w; an end of w that is not given is open.
func within(w sallyport.Window, t sallyport.Instant) bool {
	return (w.From == 0 || t >= w.From) && (w.To == 0 || t < w.To)
}

// closed reports whether the lane is closed at t.
func closed(l sallyport.Lane, t sallyport.Instant) bool {
	for _, w := range l.Closed {
		if within(w, t) {
			return true
		}
	}
	return false
}

// title returns the line above a picture.
func (o Options) title(show *sallyport.Show, state sallyport.State) string {
	if o.Title != "" {
		return o.Title
	}
	return strings.TrimSpace(show.Name + ", " + show.When(state.At))
}

// Free returns the free room at the mouth and at the tail of a lane. Behind a
// unit whose length is not given the room is counted from the length drawn.
func free(l sallyport.Lane, standing []sallyport.Standing, r roster) (mouth, tail sallyport.Centimetres) {
	if len(standing) == 0 {
		return l.Length, l.Length
	}
	last := standing[len(standing)-1]
	return standing[0].From, l.Length - last.From - r.get(last.Unit).length
}

// laneName returns what a lane is called: its id, and its name where that
// says something else.
func laneName(l sallyport.Lane) string {
	plain := func(s string) string {
		return strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) || unicode.IsDigit(r) {
				return unicode.ToLower(r)
			}
			return -1
		}, s)
	}
	switch plain(l.Name) {
	case "":
		return string(l.ID)
	case plain(string(l.ID)):
		return l.Name
	}
	return string(l.ID) + " " + l.Name
}

// placeNames returns the name of every lane, line and spot by kind and id.
func placeNames(show *sallyport.Show) map[sallyport.Pos]string {
	m := map[sallyport.Pos]string{}
	for _, l := range show.Park.Lanes {
		m[sallyport.AtLane(l.ID, "")] = laneName(l)
	}
	for _, l := range show.Park.Lines {
		m[sallyport.AtLine(l.ID)] = orID(l.Name, string(l.ID))
	}
	for _, s := range show.Park.Spots {
		m[sallyport.AtSpot(s.ID)] = orID(s.Name, string(s.ID))
	}
	return m
}

// orID returns the name, or the id where there is none.
func orID(name, id string) string {
	if name != "" {
		return name
	}
	return id
}

// placeName returns where p is in words.
func placeName(names map[sallyport.Pos]string, p sallyport.Pos) string {
	p.End = ""
	if n, ok := names[p]; ok {
		return n
	}
	if p.ID != "" {
		return p.ID
	}
	return string(p.Kind)
}
