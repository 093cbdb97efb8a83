package picture

import (
	"math"
	"strings"

	"sallyport"
)

// perMetre is how many units of the drawing a metre takes; type sizes below
// are in the same units.
const perMetre = 12.0

// u turns centimetres into units of the drawing.
func u(c sallyport.Centimetres) float64 { return float64(c) * perMetre / 100 }

// use says what a strip of ground is.
type use int

const (
	laneUse use = iota
	lineUse
	spotUse
)

// placed is a unit in a strip, measured from the strip's mouth end.
type placed struct {
	unit   unit
	from   float64
	noseIn bool
}

// strip is a lane, line or spot on the drawing: a rectangle that begins at
// (x, y), the middle of its mouth (of its head, for a line), and runs inwards
// at turn degrees clockwise from the x axis. Along and across are measured
// in that frame.
type strip struct {
	use       use
	id        string
	label     string
	spare     string // shorter label, when label has no room
	x, y      float64
	turn      float64
	length    float64
	width     float64
	apron     float64 // room kept outside an open end for the label and arrows
	openTail  bool
	through   bool
	barred    string // why nothing may stand here now; empty: it may
	units     []placed
	fouls     []foul
	mouthFree sallyport.Centimetres // shown when not zero
	tailFree  sallyport.Centimetres
}

// foul is a part of a line on which a vehicle bars the mouths of lanes.
type foul struct {
	from, to float64
	lanes    string
}

// quad is a rectangle at any angle, its corners in order.
type quad [4][2]float64

// frame returns the place on the drawing of a point of the strip's frame.
func (s strip) frame(along, across float64) (x, y float64) {
	sin, cos := math.Sincos(s.turn * math.Pi / 180)
	return s.x + along*cos - across*sin, s.y + along*sin + across*cos
}

// box returns the rectangle between two corners of the strip's frame.
func (s strip) box(a0, b0, a1, b1 float64) quad {
	var q quad
	for i, c := range [4][2]float64{{a0, b0}, {a1, b0}, {a1, b1}, {a0, b1}} {
		q[i][0], q[i][1] = s.frame(c[0], c[1])
	}
	return q
}

// body returns the ground of the strip.
func (s strip) body() quad { return s.box(0, -s.width/2, s.length, s.width/2) }

// whole returns the body with its aprons.
func (s strip) whole() quad {
	tail := s.length
	if s.openTail {
		tail += s.apron
	}
	return s.box(-s.apron, -s.width/2, tail, s.width/2)
}

// upright returns the angle at which text along the strip is never upside
// down; a vertical one reads from bottom to top.
func (s strip) upright() float64 {
	t := math.Mod(s.turn+360, 360)
	if t >= 90 && t < 270 {
		t -= 180
	}
	if t > 180 {
		t -= 360
	}
	return t
}

// overlap reports whether two rectangles share more than a hair (separating
// axes).
func overlap(a, b quad) bool {
	const hair = 0.05
	for _, q := range []quad{a, b} {
		for i := range 2 {
			nx, ny := q[i+1][1]-q[i][1], q[i][0]-q[i+1][0]
			n := math.Hypot(nx, ny)
			if n == 0 {
				continue
			}
			nx, ny = nx/n, ny/n
			aLow, aHigh := spread(a, nx, ny)
			bLow, bHigh := spread(b, nx, ny)
			if aHigh <= bLow+hair || bHigh <= aLow+hair {
				return false
			}
		}
	}
	return true
}

// spread returns how far a rectangle reaches along a direction.
func spread(q quad, nx, ny float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, c := range q {
		d := c[0]*nx + c[1]*ny
		low, high = min(low, d), max(high, d)
	}
	return low, high
}

// extent is the extent of a set of rectangles.
type extent struct{ x0, y0, x1, y1 float64 }

func emptyExtent() extent {
	return extent{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
}

func (e extent) with(q quad) extent {
	for _, c := range q {
		e.x0, e.x1 = min(e.x0, c[0]), max(e.x1, c[0])
		e.y0, e.y1 = min(e.y0, c[1]), max(e.y1, c[1])
	}
	return e
}

func (e extent) empty() bool { return e.x0 > e.x1 }

// rect returns an upright rectangle.
func rect(x0, y0, x1, y1 float64) quad {
	return quad{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

// laneStrip returns a lane and who stands in it, not yet put anywhere.
func laneStrip(l sallyport.Lane, state sallyport.State, r roster) strip {
	standing := state.Lanes[l.ID]
	width := l.Width
	if width <= 0 {
		width = drawnLaneWidth
	}
	s := strip{
		use: laneUse, id: string(l.ID), label: laneName(l), spare: string(l.ID),
		length: u(max(l.Length, 0)), width: u(width), apron: labelApron,
		openTail: l.Kind == sallyport.Through || l.Kind == sallyport.Open,
		through:  l.Kind == sallyport.Through,
	}
	if closed(l, state.At) {
		s.barred = "closed now"
	}
	for _, p := range standing {
		w := r.get(p.Unit)
		w.width = min(w.width, width)
		s.units = append(s.units, placed{unit: w, from: u(p.From), noseIn: p.NoseIn})
	}
	mouth, tail := free(l, standing, r)
	if len(standing) == 0 || l.Kind != sallyport.Through {
		s.mouthFree = mouth
	}
	if len(standing) > 0 && s.openTail {
		s.tailFree = tail
	}
	return s
}

// queueStrip returns a line or spot with its units nose to tail from the head.
func queueStrip(s strip, length, gap sallyport.Centimetres, ids []sallyport.UnitID, r roster, least sallyport.Centimetres) strip {
	if gap <= 0 {
		gap = drawnGap
	}
	var at, widest sallyport.Centimetres = 0, 300
	for i, id := range ids {
		w := r.get(id)
		if i > 0 {
			at += max(gap, r.get(ids[i-1]).behind, w.ahead)
		}
		s.units = append(s.units, placed{unit: w, from: u(at)})
		at += w.length
		widest = max(widest, w.width+40)
	}
	if length > 0 {
		s.mouthFree = 0
		s.tailFree = length - at
	} else {
		length = max(at, least)
	}
	s.length, s.width = u(length), u(widest)
	s.openTail = true
	return s
}

// lineStrip returns a forming-up line and who stands on it.
func lineStrip(l sallyport.Line, state sallyport.State, r roster) strip {
	name := orID(l.Name, string(l.ID))
	s := strip{use: lineUse, id: string(l.ID), label: name, spare: name}
	if l.Length > 0 {
		s.label += ", " + l.Length.Metres()
	}
	if l.Route {
		s.barred = "emergency route: keep clear"
	}
	for _, f := range l.Fouls {
		ids := make([]string, len(f.Lanes))
		for i, id := range f.Lanes {
			ids[i] = string(id)
		}
		s.fouls = append(s.fouls, foul{from: u(f.From), to: u(f.To), lanes: strings.Join(ids, ", ")})
	}
	return queueStrip(s, l.Length, l.Gap, state.Lines[l.ID], r, drawnLine)
}

// spotStrip returns a spot and who stands on it.
func spotStrip(p sallyport.Spot, state sallyport.State, r roster) strip {
	name := orID(p.Name, string(p.ID))
	s := strip{use: spotUse, id: string(p.ID), label: name, spare: name}
	if p.Use != "" && !strings.Contains(strings.ToLower(name), string(p.Use)) {
		s.label += ", " + string(p.Use)
	}
	if p.Route {
		s.barred = "emergency route: keep clear"
	}
	return queueStrip(s, p.Length, p.Gap, state.Spots[p.ID], r, drawnSpot)
}
