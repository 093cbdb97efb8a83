package picture

import (
	"bytes"
	"strconv"
	"strings"

	"sallyport"
)

// writer writes SVG elements.
type writer struct{ bytes.Buffer }

// number writes a coordinate with one decimal at most.
func number(x float64) string {
	s := strconv.FormatFloat(x, 'f', 1, 64)
	s = strings.TrimSuffix(s, ".0")
	if s == "-0" {
		return "0"
	}
	return s
}

// move and line are the steps of a path.
func move(x, y float64) string { return "M" + number(x) + " " + number(y) }
func line(x, y float64) string { return "L" + number(x) + " " + number(y) }

// attribute is a name and a value.
type attribute struct{ name, value string }

// open writes a start tag; element an empty element.
func (w *writer) open(name string, attrs ...attribute) { w.tag(name, ">", attrs) }

func (w *writer) element(name string, attrs ...attribute) { w.tag(name, "/>", attrs) }

func (w *writer) tag(name, end string, attrs []attribute) {
	w.WriteString("<" + name)
	for _, a := range attrs {
		if a.value == "" {
			continue
		}
		w.WriteString(" " + a.name + `="`)
		w.text(a.value)
		w.WriteString(`"`)
	}
	w.WriteString(end)
}

// escapes are the characters that mean something in XML.
var escapes = map[rune]string{'<': "&lt;", '>': "&gt;", '&': "&amp;", '"': "&#34;", '\'': "&#39;", '\n': "&#10;", '\t': "&#9;", '\r': "&#13;"}

// text writes escaped text; characters XML cannot hold become U+FFFD.
func (w *writer) text(s string) {
	for _, r := range s {
		e, ok := escapes[r]
		switch {
		case ok:
			w.WriteString(e)
		case r < ' ' || r == 0xFFFE || r == 0xFFFF:
			w.WriteRune('\uFFFD')
		default:
			w.WriteRune(r)
		}
	}
}

// path writes a path of steps.
func (w *writer) path(class string, steps ...string) {
	w.element("path", attribute{"class", class}, attribute{"d", strings.Join(steps, "")})
}

// circle writes a circle.
func (w *writer) circle(class string, x, y, r float64) {
	w.element("circle", attribute{"class", class}, attribute{"cx", number(x)}, attribute{"cy", number(y)}, attribute{"r", number(r)})
}

// quad writes a rectangle at any angle.
func (w *writer) quad(class string, q quad) {
	w.path(class, move(q[0][0], q[0][1]), line(q[1][0], q[1][1]), line(q[2][0], q[2][1]), line(q[3][0], q[3][1]), "Z")
}

// caption writes a line of text. Its letters stand on the line a third of
// their size below the middle, which centres them in any face.
func (w *writer) caption(c caption, limit float64) {
	attrs := []attribute{
		{"class", c.class},
		{"x", number(c.x)},
		{"y", number(c.y + c.size*0.35)},
		{"font-size", number(c.size)},
	}
	if c.angle != 0 {
		attrs[1], attrs[2] = attribute{"x", "0"}, attribute{"y", number(c.size * 0.35)}
		attrs = append(attrs, attribute{"transform", "translate(" + number(c.x) + " " + number(c.y) + ")rotate(" + number(c.angle) + ")"})
	}
	if limit > 0 && ems(c.text)*c.size > limit*0.99 {
		attrs = append(attrs, attribute{"textLength", number(limit)}, attribute{"lengthAdjust", "spacingAndGlyphs"})
	}
	w.open("text", attrs...)
	w.text(c.text)
	w.WriteString("</text>")
}

// lettering writes a fitted name centred on x, y; a line that may run wider
// than limit is set to that length.
func (w *writer) lettering(l lettering, x, y, angle float64, class string, limit float64) {
	for _, c := range l.captions(x, y, angle, class) {
		w.caption(c, limit)
	}
}

// SVG returns the park in a state, drawn to scale from the positions of the
// show, with scale bar and north arrow; a show without positions is drawn as
// a scheme in which only lengths are to scale. The show should be complete
// (sallyport.Complete); what has no length is drawn dashed at an ordinary one.
func SVG(show *sallyport.Show, state sallyport.State, o Options) []byte {
	p := draw(show, state, o)
	var w writer
	if o.Inline {
		w.open("svg", frameAttributes(o.title(show, state), p.width, p.height)...)
		w.Write(p.body)
		w.WriteString("</svg>")
		return w.Bytes()
	}
	key, height := p.sheet.key(p.width, p.height)
	foot, height := footOf(o.Foot, height)
	w.document(o.title(show, state), p.width, height+margin)
	w.Write(p.body)
	w.Write(key)
	w.Write(foot)
	w.WriteString("</svg>\n")
	return w.Bytes()
}

// footOf writes paragraphs from y down, in lines that are read without
// scrolling aside, and returns where they end.
func footOf(paragraphs []string, y float64) ([]byte, float64) {
	const size, high = 11.0, 16.0
	var w writer
	for _, text := range paragraphs {
		y += high / 2
		for _, l := range wrap(strings.Fields(oneLine(text)), leastWidth-2*margin, func(text string) float64 { return ems(text) * size }) {
			y += high
			w.startAt(l, "l q", margin, y, size)
		}
	}
	return w.Bytes(), y
}

// Inline returns a function that draws the show's park for a page that holds
// Style and Defs: the park in a state, who is due, and the moves numbered.
func Inline(show *sallyport.Show) func(title string, state sallyport.State, due []sallyport.UnitID, moves []sallyport.Move) []byte {
	return func(title string, state sallyport.State, due []sallyport.UnitID, moves []sallyport.Move) []byte {
		return SVG(show, state, Options{Title: title, Due: due, Moves: moves, Inline: true})
	}
}

// frameAttributes are those of every svg element.
func frameAttributes(title string, width, height float64) []attribute {
	return []attribute{
		{"xmlns", "http://www.w3.org/2000/svg"},
		{"class", "sp"},
		{"viewBox", "0 0 " + number(width) + " " + number(height)},
		{"role", "img"},
		{"aria-label", oneLine(title)},
	}
}

// document begins a drawing that stands alone: its frame, title, style,
// definitions and ground.
func (w *writer) document(title string, width, height float64) {
	size := []attribute{{"width", number(width)}, {"height", number(height)}}
	w.open("svg", append(frameAttributes(title, width, height), size...)...)
	w.WriteString("\n<title>")
	w.text(oneLine(title))
	w.WriteString("</title>\n<style>")
	w.text(Style())
	w.WriteString("</style>\n<defs>" + patterns + "</defs>\n")
	w.element("rect", append([]attribute{{"class", "ground"}}, size...)...)
	w.WriteString("\n")
}

// panel is a drawing without its frame.
type panel struct {
	sheet         *sheet
	body          []byte
	width, height float64
}

// margin is the white edge of a drawing.
const margin = 22.0

// leastWidth is that of a drawing with little on it.
const leastWidth = 760.0

// draw draws the park with its title above, unless it is inline, and lists
// and notes below.
func draw(show *sallyport.Show, state sallyport.State, o Options) panel {
	sh := layOut(show, state, o)
	e := sh.extent()
	if e.empty() {
		e = extent{0, 0, 600, 0}
	}
	width := max(e.x1-e.x0+2*margin, leastWidth)
	top := margin
	var w writer
	if !o.Inline {
		l := sh.set(oneLine(o.title(show, state)), width-2*margin, 24, 9, 20)
		w.startAt(l.lines[0], "l h", margin, top+12, l.size)
		top += 40
	}
	var body writer
	sh.drawBody(&body, setOf(o.Due), offRoad(show, state))
	w.open("g", attribute{"transform", "translate(" + number((width-e.x1+e.x0)/2-e.x0) + " " + number(top-e.y0) + ")"})
	w.WriteString("\n")
	w.Write(body.Bytes())
	w.WriteString("</g>\n")
	y := sh.drawLists(&w, elsewhere(show, state, sh.roster), width, top+e.y1-e.y0+14)
	return panel{sheet: sh, body: w.Bytes(), width: width, height: y + 8}
}

// startAt writes a line of text that begins at x.
func (w *writer) startAt(text, class string, x, y, size float64) {
	w.open("text", attribute{"class", class}, attribute{"x", number(x)}, attribute{"y", number(y + size*0.35)}, attribute{"font-size", number(size)})
	w.text(text)
	w.WriteString("</text>")
}

// drawBody draws the ground, who stands on it, captions and arrows.
func (sh *sheet) drawBody(w *writer, due, off set) {
	w.open("g", attribute{"class", "stretch"})
	for _, p := range sh.stretches {
		w.quad("", p.ground)
	}
	w.WriteString("</g>\n")
	for _, q := range sh.bars {
		w.quad("bar", q)
	}
	for _, s := range sh.strips {
		w.open("g", attribute{"transform", "translate(" + number(s.x) + " " + number(s.y) + ")rotate(" + number(s.turn) + ")"})
		s.drawGround(w)
		for _, p := range s.units {
			p.draw(w, sh, s, due[p.unit.id], off[p.unit.id])
		}
		w.WriteString("</g>\n")
	}
	for _, c := range sh.captions {
		w.caption(c, 0)
	}
	for _, a := range sh.arrows {
		a.draw(w)
	}
}

// drawGround draws the bed of a strip, its sides and closed ends, and the
// free room in figures where there is space for them.
func (s strip) drawGround(w *writer) {
	h := s.width / 2
	w.path("bed", move(0, -h), line(s.length, -h), line(s.length, h), line(0, h), "Z")
	if s.barred != "" {
		w.path("bar", move(0, -h), line(s.length, -h), line(s.length, h), line(0, h), "Z")
	}
	for _, f := range s.fouls {
		to := min(f.to, s.length)
		w.path("bar", move(f.from, -h), line(to, -h), line(to, h), line(f.from, h), "Z")
	}
	switch {
	case s.use != laneUse:
		w.path("side", move(0, -h), line(s.length, -h), line(s.length, h), line(0, h), "Z")
	default:
		w.path("side", move(0, -h), line(s.length, -h), move(0, h), line(s.length, h))
		if !s.openTail {
			w.path("end", move(s.length, -h), line(s.length, h))
		}
		if s.through {
			w.path("side", move(s.length+4, -h*0.6), line(s.length-1, 0), line(s.length+4, h*0.6))
		}
	}
	if s.barred != "" && len(s.units) == 0 {
		w.lettering(fit(s.barred, s.length-6, s.width, 4, typeLabel, ""), s.length/2, 0, s.upright()-s.turn, "b", s.length-6)
		return
	}
	s.drawFree(w, 0, s.mouthFree)
	s.drawFree(w, s.length-u(s.tailFree), s.tailFree)
}

// drawFree writes free room from a place on, when it has room for the figures.
func (s strip) drawFree(w *writer, from float64, room sallyport.Centimetres) {
	text := room.Metres()
	if s.use != laneUse {
		text += " free"
	}
	const size = 9.0
	if room <= 0 || u(room) < ems(text)*size+4 {
		return
	}
	w.caption(caption{text: text, class: "q f", x: from + u(room)/2, angle: s.upright() - s.turn, size: size}, 0)
}

// draw draws an arrow with its tip, or tips.
func (a arrow) draw(w *writer) {
	dx, dy := a.x1-a.x0, a.y1-a.y0
	n := max(abs(dx)+abs(dy), 1) // arrows lie along their lane; exact for those along an axis
	dx, dy = dx/n*5, dy/n*5
	w.path("arrow", move(a.x0, a.y0), line(a.x1-dx, a.y1-dy))
	w.path("tip", move(a.x1, a.y1), line(a.x1-1.2*dx-0.6*dy, a.y1-1.2*dy+0.6*dx), line(a.x1-1.2*dx+0.6*dy, a.y1-1.2*dy-0.6*dx), "Z")
	if a.both {
		w.path("tip", move(a.x0, a.y0), line(a.x0+1.2*dx-0.6*dy, a.y0+1.2*dy+0.6*dx), line(a.x0+1.2*dx+0.6*dy, a.y0+1.2*dy-0.6*dx), "Z")
	}
}
