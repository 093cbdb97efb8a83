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
	label, longest, height := 30.0, 0.0, 0.0
	for _, b := range all {
		height += schemeTitle
		for _, s := range b.lanes {
			label = max(label, min(labelMost, ems(s.label)*typeLabel+8))
			longest = max(longest, s.length)
			height += s.width + schemeGap
		}
	}
	room := 2.0
	if len(sh.ends) > 0 {
		room = arrowRoom
	}
	pitch := schemeBar + label + room + longest + room + schemeGutter
	columns := 1
	for columns < 8 && shapeError(pitch, height, columns+1) < shapeError(pitch, height, columns) {
		columns++
	}
	column, x, y := 0, 0.0, 0.0
	full := height / float64(columns)
	for _, b := range all {
		title := b.title
		for i := 0; i < len(b.lanes); {
			if y > 0 && y+schemeTitle+b.lanes[i].width > full*1.06 && column+1 < columns {
				column, x, y = column+1, x+pitch, 0
			}
			top := y
			if title != "" {
				y += schemeTitle
			}
			from := y
			for first := true; i < len(b.lanes); i, first = i+1, false {
				s := b.lanes[i]
				if !first && y+s.width > full*1.06 && column+1 < columns {
					break
				}
				s.x, s.y, s.turn = x+schemeBar+label+room, y+s.width/2, 0
				s.apron = label + room
				sh.add(s)
				sh.labelBeside(s, label, room)
				y += s.width + schemeGap
			}
			if title != "" {
				l := sh.set(title, pitch-schemeGutter, schemeTitle*0.7, typeLeast, typeZone)
				w := ems(l.lines[0]) * l.size * 1.08
				sh.write(caption{text: l.lines[0], class: "z", x: x + w/2, y: top + schemeTitle*0.45, size: l.size})
			}
			sh.bars = append(sh.bars, rect(x, from, x+schemeBar-4, y-schemeGap))
			if i < len(b.lanes) {
				column, x, y = column+1, x+pitch, 0
				title = b.title + " (continued)"
				if b.title == "" {
					title = ""
				}
			}
		}
		y += schemeGap
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

// shapeError is how far from the wanted shape a number of columns is.
func shapeError(pitch, height float64, columns int) float64 {
	shape := pitch * float64(columns) / max(height/float64(columns), 1)
	if shape < schemeShape {
		return schemeShape / shape
	}
	return shape / schemeShape
}
