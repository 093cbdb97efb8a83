package picture

import (
	"strconv"
	"strings"

	"sallyport"
)

// list is units that stand nowhere on the drawing.
type list struct {
	title string
	names []string
}

// elsewhere lists who is in the arena, on duty, and not on site. The units
// not on site are all of the show that the state does not have, parts of
// combinations aside.
func elsewhere(show *sallyport.Show, state sallyport.State, r roster) []list {
	seen := set{}
	for _, standing := range state.Lanes {
		for _, p := range standing {
			seen[p.Unit] = true
		}
	}
	for _, ids := range state.Lines {
		seen.add(ids)
	}
	for _, ids := range state.Spots {
		seen.add(ids)
	}
	seen.add(state.Arena)
	seen.add(state.Duty)
	parted := setOf(state.Parted)
	var away []sallyport.UnitID
	for _, c := range show.Combinations {
		if seen[c.ID] || !parted[c.ID] {
			seen.add(c.Towed)
			seen[c.Tower] = true
		}
		if !seen[c.ID] && !parted[c.ID] {
			away = append(away, c.ID)
		}
	}
	for _, v := range show.Vehicles {
		if !seen[v.ID] {
			away = append(away, v.ID)
		}
	}
	all := []list{
		{"In the arena", r.names(state.Arena)},
		{"On duty", r.names(state.Duty)},
		{"Not on site", r.names(away)},
	}
	var out []list
	for _, l := range all {
		if len(l.names) > 0 {
			out = append(out, l)
		}
	}
	return out
}

func (s set) add(ids []sallyport.UnitID) {
	for _, id := range ids {
		s[id] = true
	}
}

// words returns the list as words that may be broken between lines.
func (l list) words() []string {
	return strings.Fields(l.title + ": " + oneLine(strings.Join(l.names, ", ")))
}

const (
	listType = 11.0
	listLead = 16.0
)

// drawLists writes who is elsewhere, and the full names of what was cut.
func (sh *sheet) drawLists(w *writer, lists []list, width, y float64) float64 {
	measure := func(s string) float64 { return ems(s) * listType }
	for _, l := range lists {
		for _, text := range wrap(l.words(), width-2*margin, measure) {
			w.startAt(text, "l", margin, y+listLead/2, listType)
			y += listLead
		}
	}
	if len(sh.notes) > 0 {
		var words []string
		for i, n := range sh.notes {
			words = append(words, strings.Fields(superscript(i+1)+" "+oneLine(n)+";")...)
		}
		words[len(words)-1] = strings.TrimSuffix(words[len(words)-1], ";")
		for _, text := range wrap(words, width-2*margin, measure) {
			w.startAt(text, "l q", margin, y+listLead/2, listType)
			y += listLead
		}
	}
	return y
}

// sample is one entry of the key.
type sample struct {
	text string
	gear sallyport.Gear
	due  bool
	off  bool
	dash bool
}

// samples are all marks of units that need a word.
var samples = []sample{
	{text: "wheels", gear: sallyport.Wheeled},
	{text: "half-tracks", gear: sallyport.HalfTracked},
	{text: "tracks", gear: sallyport.Tracked},
	{text: "steam", gear: sallyport.SteamGear},
	{text: "towed", gear: sallyport.TowedItem},
	{text: "due next", gear: sallyport.Wheeled, due: true},
	{text: "off the road", gear: sallyport.Wheeled, off: true},
	{text: "length assumed", dash: true},
}

// key returns the key of marks, the scale bar and the north arrow, drawn from
// y on, and where it ends.
func (sh *sheet) key(width, y float64) ([]byte, float64) {
	w := &writer{}
	const long, tall, size = 34.0, 20.0, 10.5
	y += 14
	w.path("side", move(margin, y), line(width-margin, y))
	y += 24
	x := margin
	right := width - margin
	for _, s := range samples {
		need := long + 6 + ems(s.text)*size + 18
		if x+need > right && x > margin {
			x, y = margin, y+tall+10
		}
		g := glyph{nose: x, tail: x + long, half: tall / 2, ahead: 1, gear: s.gear}
		w.open("g", attribute{"transform", "translate(0 " + number(y) + ")"})
		class := "u"
		if s.due {
			class += " due"
		}
		if s.dash {
			class += " guess"
		}
		g.hull(w, class)
		if gear, ok := gears[s.gear]; ok {
			gear(g, w)
		}
		if s.due {
			g.filledNose(w)
		}
		if s.off {
			g.crossed(w)
		}
		w.WriteString("</g>")
		w.startAt(s.text, "l", x+long+6, y, size)
		x += need
	}
	y += tall/2 + 16
	w.startAt("The narrow end is the nose. Figures in a lane are free metres. A thick bar is a closed end; a lane without one is open there.", "l q", margin, y, size)
	y += 26
	w.scaleBar(margin, y)
	if sh.toScale {
		w.north(margin+26*perMetre, y)
	} else {
		w.startAt("Not a map: the lanes have no positions. Lengths are to scale; mouths are on the left.", "l q", margin+26*perMetre, y, size)
	}
	return w.Bytes(), y + 14
}

// scaleBar draws 20 metres in fives.
func (w *writer) scaleBar(x, y float64) {
	for i := range 4 {
		class := "end"
		if i%2 == 1 {
			class = "side"
		}
		w.path(class, move(x+float64(i)*5*perMetre, y+4), line(x+float64(i+1)*5*perMetre, y+4))
	}
	for i := range 5 {
		at := x + float64(i)*5*perMetre
		w.path("side", move(at, y), line(at, y+7))
		text := strconv.Itoa(i * 5)
		if i == 4 {
			text += " m"
		}
		w.caption(caption{text: text, class: "q", x: at, y: y - 7, size: 9}, 0)
	}
}

// north draws the north arrow.
func (w *writer) north(x, y float64) {
	w.path("tip", move(x, y-14), line(x+5, y+2), line(x, y-2), "Z")
	w.path("k", move(x, y-14), line(x-5, y+2), line(x, y-2))
	w.caption(caption{text: "N", class: "b", x: x, y: y + 9, size: 11}, 0)
}
