package picture

import (
	"strconv"

	"sallyport"
)

// glyph draws one vehicle in the frame of its strip, seen from above. Its
// hull lies from nose to tail along the strip; ahead is the sign of the
// direction from nose to tail (+1: the nose is towards the mouth).
type glyph struct {
	nose, tail float64
	half       float64 // half its width
	ahead      float64
	gear       sallyport.Gear
	hitched    bool // towed by the one before: its drawbar reaches forward
}

// at returns the place along the strip of a fraction of the length, 0 at the
// nose and 1 at the tail.
func (g glyph) at(f float64) float64 { return g.nose + (g.tail-g.nose)*f }

// length returns the length of the hull.
func (g glyph) length() float64 { return abs(g.tail - g.nose) }

// wedge is how far the nose tapers; for a towed item, how long its drawbar is.
func (g glyph) wedge() float64 { return min(8, g.length()*0.16) }

// shoulder is where the full width begins.
func (g glyph) shoulder() float64 { return g.nose + g.ahead*g.wedge() }

// hull writes the outline: a wedge shows the nose; a towed item has a
// drawbar there instead.
func (g glyph) hull(w *writer, class string) {
	s, h := g.shoulder(), g.half
	if g.gear == sallyport.TowedItem {
		w.path(class, move(s, -h), line(s, h), line(g.tail, h), line(g.tail, -h), "Z")
		w.path("k", move(s, -h*0.7), line(g.nose, 0), line(s, h*0.7))
		return
	}
	w.path(class, move(g.nose, -h*0.35), line(s, -h), line(g.tail, -h), line(g.tail, h), line(s, h), line(g.nose, h*0.35), "Z")
}

// filledNose marks a unit that is due: its nose is solid.
func (g glyph) filledNose(w *writer) {
	s, h := g.shoulder(), g.half
	if g.gear == sallyport.TowedItem {
		return
	}
	w.path("nose", move(g.nose, -h*0.35), line(s, -h), line(s, h), line(g.nose, h*0.35), "Z")
}

// gears draw the running gear along both edges of the hull. A gear that is
// not listed, or not given, has none drawn.
var gears = map[sallyport.Gear]func(glyph, *writer){
	sallyport.Wheeled: func(g glyph, w *writer) {
		g.wheels(w, 0.24, 6)
		g.wheels(w, 0.8, 6)
	},
	sallyport.HalfTracked: func(g glyph, w *writer) {
		g.wheels(w, 0.24, 6)
		g.band(w, 0.46, 0.96)
	},
	sallyport.Tracked: func(g glyph, w *writer) { g.band(w, 0.16, 0.98) },
	sallyport.SteamGear: func(g glyph, w *writer) {
		g.wheels(w, 0.2, 5)
		g.wheels(w, 0.74, 17)
		w.circle("k", g.shoulder()+g.ahead*1.5, 0, 2.2)
	},
	sallyport.TowedItem: func(g glyph, w *writer) { g.wheels(w, 0.6, 6) },
}

// wheels draws one axle at a fraction of the length, wheels of the given size.
func (g glyph) wheels(w *writer, f, size float64) {
	size = min(size, g.length()*0.3)
	a := g.at(f)
	h := g.half - 0.6
	w.path("w", move(a-size/2, -h), line(a+size/2, -h), move(a-size/2, h), line(a+size/2, h))
}

// band draws tracks from one fraction of the length to another.
func (g glyph) band(w *writer, from, to float64) {
	h := g.half - 1.9
	a, b := g.at(from), g.at(to)
	w.path("t", move(a, -h), line(b, -h), move(a, h), line(b, h))
	w.path("k", move(a, 3.4-g.half), line(b, 3.4-g.half), move(a, g.half-3.4), line(b, g.half-3.4))
}

// crossed marks a unit off the road.
func (g glyph) crossed(w *writer) {
	s, h := g.shoulder(), g.half
	w.path("vor", move(s, -h), line(g.tail, h), move(s, h), line(g.tail, -h))
}

// glyphs returns the parts of a unit as they stand, the first one leading.
func (p placed) glyphs() []glyph {
	length := u(p.unit.length)
	nose, ahead := p.from, 1.0
	if p.noseIn {
		nose, ahead = p.from+length, -1
	}
	parts := p.unit.parts
	if len(parts) == 0 {
		parts = []unit{p.unit}
	}
	var sum sallyport.Centimetres
	for i, part := range parts {
		if i > 0 {
			sum += coupling
		}
		sum += part.length
	}
	shrink := length / max(u(sum), 1)
	var out []glyph
	at := nose
	for i, part := range parts {
		if i > 0 {
			at += ahead * u(coupling) * shrink
		}
		end := at + ahead*u(part.length)*shrink
		out = append(out, glyph{
			nose: at, tail: end, half: u(min(part.width, p.unit.width)) / 2,
			ahead: ahead, gear: part.gear, hitched: i > 0,
		})
		at = end
	}
	return out
}

// draw draws a unit: hull, running gear, marks and name.
func (p placed) draw(w *writer, sh *sheet, s strip, due, off bool) {
	class := "u"
	if due {
		class += " due"
	}
	if p.unit.unmeasured {
		class += " guess"
	}
	all := p.glyphs()
	for i, g := range all {
		if i > 0 {
			w.path("k", move(all[i-1].tail, 0), line(g.nose, 0))
		}
		g.hull(w, class)
		if gear, ok := gears[g.gear]; ok {
			gear(g, w)
		}
		if due && i == 0 {
			g.filledNose(w)
		}
		if off {
			g.crossed(w)
		}
	}
	p.letter(w, sh, s, all, due)
}

// letter writes the unit's name within its hull; a combination's on its
// longest part, where the name of the whole has most room. On a line or spot
// the number of its move goes before the name.
func (p placed) letter(w *writer, sh *sheet, s strip, all []glyph, due bool) {
	g := all[0]
	for _, other := range all[1:] {
		if other.length() > g.length() {
			g = other
		}
	}
	low, high := g.shoulder(), g.tail
	if g.gear == sallyport.SteamGear {
		low += g.ahead * 4
	}
	low, high = min(low, high)+1.5, max(low, high)-2.5
	height := 2*g.half - 3
	if g.gear == sallyport.Tracked || g.gear == sallyport.HalfTracked {
		height = 2*g.half - 7
	}
	name := oneLine(p.unit.name)
	label := name
	if n := sh.movers[p.unit.id]; n > 0 && s.use != laneUse {
		label = strconv.Itoa(n) + " " + name
	}
	l := fit(label, max(high-low, 4), max(height, 4), typeLeast, typeName, sh.nextMark(name))
	if l.short {
		sh.note(name)
	}
	class := ""
	if due {
		class = "b"
	}
	w.lettering(l, (low+high)/2, 0, s.upright()-s.turn, class, high-low)
}
