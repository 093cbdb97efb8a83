package picture

import "sallyport"

// bank is the lanes of one zone that face one stretch.
type bank struct {
	title string
	lanes []strip
}

// banks groups lanes by zone and stretch in the order in which each first
// appears.
func banks(show *sallyport.Show, state sallyport.State, r roster) []bank {
	type key struct {
		zone    sallyport.ZoneID
		stretch sallyport.StretchID
	}
	zones := map[sallyport.ZoneID]string{}
	for _, z := range show.Park.Zones {
		zones[z.ID] = orID(z.Name, string(z.ID))
	}
	stretches := map[sallyport.StretchID]string{}
	for _, s := range show.Park.Stretches {
		stretches[s.ID] = orID(s.Name, string(s.ID))
	}
	var out []bank
	index := map[key]int{}
	for _, l := range show.Park.Lanes {
		k := key{l.Zone, l.Mouth}
		i, ok := index[k]
		if !ok {
			i = len(out)
			index[k] = i
			title := orID(zones[l.Zone], string(l.Zone))
			if s := orID(stretches[l.Mouth], string(l.Mouth)); s != "" {
				if title != "" {
					title += " · "
				}
				title += s
			}
			out = append(out, bank{title: title})
		}
		out[i].lanes = append(out[i].lanes, laneStrip(l, state, r))
	}
	return out
}

// Sizes of a scheme.
const (
	schemeGap    = 9.0  // between neighbouring lanes
	schemeTitle  = 30.0 // height of a bank's title
	schemeBar    = 12.0 // width of the frontage
	schemeGutter = 34.0 // between columns
	schemeShape  = 1.5  // wanted width : height
	labelMost    = 120.0
)

// layScheme sets the lanes side by side along their frontages, in as many
// columns as give a picture of good shape, mouths to the left. It returns
// the lines and spots, which have no place yet.
func (sh *sheet) layScheme(show *sallyport.Show, state sallyport.State) []strip {
	all := banks(show, state, sh.roster)
	c := newColumns(all, len(sh.ends) > 0)
	for _, b := range all {
		sh.layBank(b, c)
	}
	var loose []strip
	for _, l := range show.Park.Lines {
		loose = append(loose, lineStrip(l, state, sh.roster))
	}
	for _, p := range show.Park.Spots {
		loose = append(loose, spotStrip(p, state, sh.roster))
	}
	return loose
}

// schemeColumns is where the next lane of a scheme goes.
type schemeColumns struct {
	label  float64 // width of the column of labels
	room   float64 // for arrows at either end
	pitch  float64 // from column to column
	height float64 // wanted, of a column
	count  int
	column int // the one being filled
	x, y   float64
}

// newColumns chooses the columns for banks of lanes.
func newColumns(all []bank, arrows bool) *schemeColumns {
	c := &schemeColumns{label: 30, room: 2, count: 1}
	longest, height := 0.0, 0.0
	for _, b := range all {
		height += schemeTitle
		for _, s := range b.lanes {
			c.label = max(c.label, min(labelMost, ems(s.label)*typeLabel+8))
			longest = max(longest, s.length)
			height += s.width + schemeGap
		}
	}
	if arrows {
		c.room = arrowRoom
	}
	c.pitch = schemeBar + c.label + c.room + longest + c.room + schemeGutter
	for c.count < 8 && shapeError(c.pitch, height, c.count+1) < shapeError(c.pitch, height, c.count) {
		c.count++
	}
	c.height = height / float64(c.count) * 1.06
	return c
}

// full reports whether something so high should go to the next column.
func (c *schemeColumns) full(high float64) bool {
	return c.y > 0 && c.y+high > c.height && c.column+1 < c.count
}

// next goes to the top of the next column.
func (c *schemeColumns) next() {
	c.column, c.x, c.y = c.column+1, c.x+c.pitch, 0
}

// layBank sets one bank, continued in the next column where it is full.
func (sh *sheet) layBank(b bank, c *schemeColumns) {
	title := b.title
	for i := 0; i < len(b.lanes); {
		if c.full(schemeTitle + b.lanes[i].width) {
			c.next()
		}
		if title != "" {
			l := sh.set(title, c.pitch-schemeGutter, schemeTitle*0.7, typeLeast, typeZone)
			w := ems(l.lines[0]) * l.size * 1.08
			sh.write(caption{text: l.lines[0], class: "z", x: c.x + w/2, y: c.y + schemeTitle*0.45, size: l.size})
			c.y += schemeTitle
		}
		from := c.y
		for first := true; i < len(b.lanes) && (first || !c.full(b.lanes[i].width)); i, first = i+1, false {
			s := b.lanes[i]
			s.x, s.y, s.turn = c.x+schemeBar+c.label+c.room, c.y+s.width/2, 0
			s.apron = c.label + c.room
			sh.add(s)
			sh.labelBeside(s, c.label, c.room)
			c.y += s.width + schemeGap
		}
		sh.bars = append(sh.bars, rect(c.x, from, c.x+schemeBar-4, c.y-schemeGap))
		if i < len(b.lanes) {
			c.next()
			if title != "" {
				title = b.title + " (continued)"
			}
		}
	}
	c.y += schemeGap
}

// shapeError is how far from the wanted shape a number of columns is.
func shapeError(pitch, height float64, columns int) float64 {
	shape := pitch * float64(columns) / max(height/float64(columns), 1)
	if shape < schemeShape {
		return schemeShape / shape
	}
	return shape / schemeShape
}
