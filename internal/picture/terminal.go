package picture

import (
	"strconv"
	"strings"

	"sallyport"
)

// ANSI emphasis, used only with Options.Colour.
const (
	ansiDue   = "\x1b[1;7m"
	ansiHead  = "\x1b[1m"
	ansiQuiet = "\x1b[2m"
	ansiOff   = "\x1b[0m"
)

// word is a piece of a terminal line that is never broken: its text and the
// emphasis it may get.
type word struct {
	text string
	ansi string
}

// page collects the lines of a terminal picture.
type page struct {
	strings.Builder
	width  int
	colour bool
}

// Terminal returns the park in a state as plain text no wider than
// Options.Width. Each lane is a line from its mouth (left) to its tail: "<" or
// ">" is a unit's nose, "*" marks who is due next, "#" who is off the road,
// "|" a closed end, ":" an open one; free metres stand at the end.
func Terminal(show *sallyport.Show, state sallyport.State, o Options) string {
	p := &page{width: o.Width, colour: o.Colour}
	if p.width <= 0 {
		p.width = 100
	}
	p.width = max(p.width, 40)
	r := newRoster(show)
	marks := marker{due: setOf(o.Due), off: offRoad(show, state), roster: r}
	p.row(0, word{text: oneLine(o.title(show, state)), ansi: ansiHead})
	p.lanes(show, state, marks)
	p.queues(show, state, marks)
	for _, l := range elsewhere(show, state, r) {
		p.list(l)
	}
	p.moves(show, o.Moves, r)
	p.row(0, word{text: "< > nose   * due next   # off the road   | closed end   : open end", ansi: ansiQuiet})
	return p.String()
}

// marker writes units with their nose and marks.
type marker struct {
	due, off set
	roster   roster
}

// unit returns a unit as it stands, its nose towards the mouth or away.
func (m marker) unit(id sallyport.UnitID, noseIn bool) word {
	text := oneLine(m.roster.get(id).name)
	w := word{}
	if m.off[id] {
		text += "#"
	}
	if m.due[id] {
		text += "*"
		w.ansi = ansiDue
	}
	if noseIn {
		w.text = text + ">"
	} else {
		w.text = "<" + text
	}
	return w
}

// lanes writes all lanes by zone and frontage, names in columns.
func (p *page) lanes(show *sallyport.Show, state sallyport.State, m marker) {
	all := banks(show, state, m.roster)
	label := 0
	for _, b := range all {
		for _, s := range b.lanes {
			label = max(label, textColumns(oneLine(s.label)))
		}
	}
	label = min(label, p.width/4)
	cell := p.cell(state, m, label)
	for _, b := range all {
		if b.title != "" {
			p.row(0)
			p.row(0, word{text: oneLine(b.title), ansi: ansiHead})
		}
		for _, s := range b.lanes {
			p.lane(show, s, state, m, label, cell)
		}
	}
}

// cell returns the width of a column of names: that of the widest, within
// reason, unless the deepest lane would not fit; then 0, names follow each
// other.
func (p *page) cell(state sallyport.State, m marker, label int) int {
	cell, deep := 0, 0
	for _, standing := range state.Lanes {
		deep = max(deep, len(standing))
		for _, u := range standing {
			cell = max(cell, textColumns(m.unit(u.Unit, u.NoseIn).text))
		}
	}
	const most, free = 15, 16
	cell = min(cell, most)
	if label+4+deep*(cell+1)+free > p.width {
		return 0
	}
	return cell
}

// lane writes one lane.
func (p *page) lane(show *sallyport.Show, s strip, state sallyport.State, m marker, label, cell int) {
	name := cut(oneLine(s.label), float64(label), func(t string) float64 { return float64(textColumns(t)) })
	words := []word{{text: pad(name, label) + " :"}}
	standing := state.Lanes[sallyport.LaneID(s.id)]
	for _, u := range standing {
		w := m.unit(u.Unit, u.NoseIn)
		w.text = pad(w.text, cell)
		words = append(words, w)
	}
	end := "|"
	if s.openTail {
		end = ":"
	}
	words = append(words, word{text: end + " " + freeWords(s, len(standing)), ansi: ansiQuiet})
	p.row(label+3, words...)
}

// freeWords says how much room a lane has, and where.
func freeWords(s strip, standing int) string {
	switch {
	case s.barred != "":
		return s.barred
	case standing == 0:
		return "empty, " + s.mouthFree.Metres()
	case s.openTail && s.mouthFree > 0 && s.tailFree > 0:
		return s.mouthFree.Metres() + " free at the mouth, " + s.tailFree.Metres() + " at the tail"
	case s.openTail && !s.through && s.mouthFree > 0:
		return s.mouthFree.Metres() + " free at the mouth"
	case s.openTail:
		return s.tailFree.Metres() + " free at the tail"
	}
	return s.mouthFree.Metres() + " free"
}

// queues writes the lines and spots: those with somebody on them one by one,
// the empty ones together.
func (p *page) queues(show *sallyport.Show, state sallyport.State, m marker) {
	empty := list{title: "Empty"}
	add := func(s strip, ids []sallyport.UnitID, length sallyport.Centimetres) {
		switch {
		case len(ids) > 0:
			p.row(0)
			p.queue(s, ids, length, m)
		case s.barred != "":
			empty.names = append(empty.names, s.spare+" ("+s.barred+")")
		case length > 0:
			empty.names = append(empty.names, s.spare+" "+length.Metres())
		default:
			empty.names = append(empty.names, s.spare)
		}
	}
	for _, l := range show.Park.Lines {
		add(lineStrip(l, state, m.roster), state.Lines[l.ID], l.Length)
	}
	for _, sp := range show.Park.Spots {
		add(spotStrip(sp, state, m.roster), state.Spots[sp.ID], sp.Length)
	}
	if len(empty.names) > 0 {
		p.list(empty)
	}
}

// queue writes a line or a spot with who stands there, head first.
func (p *page) queue(s strip, ids []sallyport.UnitID, length sallyport.Centimetres, m marker) {
	words := []word{{text: oneLine(s.spare) + ":", ansi: ansiHead}}
	for _, id := range ids {
		words = append(words, m.unit(id, false))
	}
	if s.barred != "" {
		words = append(words, word{text: s.barred})
	} else if length > 0 {
		words = append(words, word{text: "| " + s.tailFree.Metres() + " free of " + length.Metres(), ansi: ansiQuiet})
	}
	p.row(2, words...)
}

// list writes who is elsewhere.
func (p *page) list(l list) {
	p.row(0)
	words := []word{{text: l.title + ":", ansi: ansiHead}}
	for i, n := range l.names {
		text := oneLine(n)
		if i+1 < len(l.names) {
			text += ","
		}
		words = append(words, word{text: text})
	}
	p.row(2, words...)
}

// moves writes the numbered moves.
func (p *page) moves(show *sallyport.Show, moves []sallyport.Move, r roster) {
	if len(moves) == 0 {
		return
	}
	names := placeNames(show)
	p.row(0)
	p.row(0, word{text: "Next moves", ansi: ansiHead})
	wide := len(strconv.Itoa(len(moves)))
	for i, m := range moves {
		number := strconv.Itoa(i + 1)
		words := []word{{text: strings.Repeat(" ", wide-len(number)) + number}}
		if m.Start != 0 {
			words = append(words, word{text: m.Start.Clock()})
		}
		who := r.get(m.Unit).name
		if m.Unit == "" {
			who = strings.Join(r.names(m.Units), ", ")
		}
		text := who + ", " + string(m.Kind) + ": " + placeName(names, m.From) + " to " + placeName(names, m.To)
		if m.Reverse {
			text += ", in reverse"
		}
		for _, f := range strings.Fields(oneLine(text)) {
			words = append(words, word{text: f})
		}
		p.row(wide+1, words...)
	}
	p.row(0)
}

// pad fills text up to n columns.
func pad(text string, n int) string {
	if w := textColumns(text); w < n {
		return text + strings.Repeat(" ", n-w)
	}
	return text
}

// row writes words one space apart, continued with an indent where they would
// pass the width; a single word that is too wide is broken. Padding at the
// end of a word is kept only where another follows on the same line.
func (p *page) row(indent int, words ...word) {
	at, gap := 0, 0
	for _, w := range words {
		for _, piece := range p.pieces(w, indent) {
			bare := strings.TrimRight(piece.text, " ")
			n := textColumns(bare)
			if at > 0 && at+gap+n > p.width {
				p.WriteString("\n" + strings.Repeat(" ", indent))
				at, gap = indent, 0
			}
			p.WriteString(strings.Repeat(" ", gap))
			p.put(bare, piece.ansi)
			at += gap + n
			gap = 1 + len(piece.text) - len(bare)
		}
	}
	p.WriteString("\n")
}

// pieces breaks a word that is wider than a continued line.
func (p *page) pieces(w word, indent int) []word {
	room := p.width - indent
	if textColumns(w.text) <= room {
		return []word{w}
	}
	if strings.Contains(w.text, " ") {
		var out []word
		for _, f := range strings.Fields(w.text) {
			out = append(out, p.pieces(word{f, w.ansi}, indent)...)
		}
		return out
	}
	var out []word
	rest := w.text
	for rest != "" {
		head := cut(rest, float64(room), func(t string) float64 { return float64(textColumns(t)) })
		if head == "" {
			break
		}
		out = append(out, word{head, w.ansi})
		rest = rest[len(head):]
	}
	return out
}

// put writes text with its emphasis.
func (p *page) put(text, ansi string) {
	if !p.colour || ansi == "" {
		p.WriteString(text)
		return
	}
	p.WriteString(ansi + text + ansiOff)
}
