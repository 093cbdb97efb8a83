package picture

import "sallyport"

// Room kept around things, in units of the drawing.
const (
	labelApron = 34.0 // outside a lane's mouth on a map
	arrowRoom  = 36.0 // for a numbered arrow, on a scheme with moves
	typeName   = 10.5 // largest type of a vehicle's name
	typeLeast  = 7.0  // smallest type used
	typeLabel  = 11.0
	typeZone   = 16.0
)

// caption is one line of text set on the drawing, centred on x, y.
type caption struct {
	text  string
	class string
	x, y  float64
	angle float64
	size  float64
}

// arrow shows moves going through the end of a lane.
type arrow struct {
	x0, y0, x1, y1 float64
	both           bool // a tip at either end
}

// sheet is a picture laid out: where every strip, caption and arrow goes.
type sheet struct {
	roster    roster
	toScale   bool // positions are the show's own; else it is a scheme, only lengths are to scale
	strips    []strip
	stretches []patch
	bars      []quad // hatched frontage of a scheme
	captions  []caption
	arrows    []arrow
	taken     []quad
	notes     []string // full names of what had to be cut, by number from 1
	noted     map[string]int
	ends      map[laneEnd]endMoves
	movers    map[sallyport.UnitID]int // number of the first move of a unit from a line or spot
}

// patch is a stretch of frontage and its name.
type patch struct {
	ground quad
	frame  strip // along it, for its name
	name   string
}

// laneEnd is one end of a lane.
type laneEnd struct {
	lane string
	end  sallyport.End
}

// endMoves are the numbers of the moves through one end.
type endMoves struct {
	numbers []int
	out, in bool
}

// layOut puts everything in its place: by the show's own positions where any
// lane has one, else as a scheme.
func layOut(show *sallyport.Show, state sallyport.State, o Options) *sheet {
	sh := &sheet{roster: newRoster(show), noted: map[string]int{}, ends: throughEnds(show, o.Moves), movers: fromQueues(o.Moves)}
	var loose []strip
	if sh.toScale = hasPositions(show.Park); sh.toScale {
		loose = sh.layMap(show, state)
	} else {
		loose = sh.layScheme(show, state)
	}
	sh.layTray(loose)
	return sh
}

// hasPositions reports whether any lane has a position.
func hasPositions(p sallyport.Park) bool {
	for _, l := range p.Lanes {
		if l.X != 0 || l.Y != 0 || l.Heading != 0 {
			return true
		}
	}
	return false
}

// throughEnds numbers the moves and collects them by the lane ends they use.
func throughEnds(show *sallyport.Show, moves []sallyport.Move) map[laneEnd]endMoves {
	kinds := map[string]sallyport.LaneKind{}
	for _, l := range show.Park.Lanes {
		kinds[string(l.ID)] = l.Kind
	}
	ends := map[laneEnd]endMoves{}
	for i, m := range moves {
		if m.Kind == sallyport.MoveCloseUp {
			continue
		}
		if m.From.Kind == sallyport.InLane {
			k := laneEnd{m.From.ID, orEnd(m.From.End, sallyport.Mouth)}
			e := ends[k]
			ends[k] = endMoves{append(e.numbers, i+1), true, e.in}
		}
		if m.To.Kind == sallyport.InLane {
			usual := sallyport.Mouth
			if kinds[m.To.ID] == sallyport.Through {
				usual = sallyport.Tail
			}
			k := laneEnd{m.To.ID, orEnd(m.To.End, usual)}
			e := ends[k]
			ends[k] = endMoves{append(e.numbers, i+1), e.out, true}
		}
	}
	return ends
}

// fromQueues numbers the first move of each unit that leaves a line or spot.
func fromQueues(moves []sallyport.Move) map[sallyport.UnitID]int {
	out := map[sallyport.UnitID]int{}
	for i, m := range moves {
		queue := m.From.Kind == sallyport.InLine || m.From.Kind == sallyport.InSpot
		if queue && out[m.Unit] == 0 {
			out[m.Unit] = i + 1
		}
	}
	return out
}

// orEnd returns e, or the usual end where none is given.
func orEnd(e, usual sallyport.End) sallyport.End {
	if e != "" {
		return e
	}
	return usual
}

// note returns the mark for a name that had to be cut, and keeps the name.
func (sh *sheet) note(full string) string {
	n, ok := sh.noted[full]
	if !ok {
		sh.notes = append(sh.notes, full)
		n = len(sh.notes)
		sh.noted[full] = n
	}
	return superscript(n)
}

// nextMark is the mark full would get if it had to be cut.
func (sh *sheet) nextMark(full string) string {
	if n, ok := sh.noted[full]; ok {
		return superscript(n)
	}
	return superscript(len(sh.notes) + 1)
}

// set fits a name into a box of the given size and returns it, noting the
// name when it had to be cut.
func (sh *sheet) set(name string, width, height, least, most float64) lettering {
	l := fit(name, width, height, least, most, sh.nextMark(name))
	if l.short {
		sh.note(name)
	}
	return l
}

// add puts a strip on the sheet.
func (sh *sheet) add(s strip) {
	sh.strips = append(sh.strips, s)
	sh.taken = append(sh.taken, s.body())
}

// clear reports whether a rectangle lies on nothing yet.
func (sh *sheet) clear(q quad) bool {
	for _, t := range sh.taken {
		if overlap(q, t) {
			return false
		}
	}
	return true
}

// write sets a caption and takes its ground.
func (sh *sheet) write(c caption) {
	sh.captions = append(sh.captions, c)
	sh.taken = append(sh.taken, c.box())
}

// box returns the ground a caption takes.
func (c caption) box() quad {
	w := ems(c.text) * c.size
	if c.class == "z" {
		w *= 1.1 // spaced letters
	}
	turned := strip{x: c.x, y: c.y, turn: c.angle}
	return turned.box(-w/2, -c.size*0.5, w/2, c.size*0.5)
}

// extent returns how far the drawing reaches.
func (sh *sheet) extent() extent {
	e := emptyExtent()
	for _, q := range sh.taken {
		e = e.with(q)
	}
	for _, p := range sh.stretches {
		e = e.with(p.ground)
	}
	for _, q := range sh.bars {
		e = e.with(q)
	}
	return e
}

// extentOf returns the extent of strips with their aprons.
func extentOf(strips []strip) extent {
	e := emptyExtent()
	for _, s := range strips {
		e = e.with(s.whole())
	}
	return e
}

// layTray sets strips that have no position of their own under the rest, from
// left to right in rows, each with its label above.
func (sh *sheet) layTray(loose []strip) {
	if len(loose) == 0 {
		return
	}
	e := sh.extent()
	if e.empty() {
		e = extent{0, 0, 600, 0}
	}
	const gutter, above = 26.0, 20.0
	wide := max(e.x1-e.x0, 600)
	x, y, tall := e.x0, e.y1+30, 0.0
	for _, s := range loose {
		l := sh.set(s.label, max(s.length, min(260, wide)), typeLabel*1.3, typeLeast, typeLabel)
		need := max(s.length, ems(l.lines[0])*l.size)
		if x > e.x0 && x+need > e.x0+wide {
			x, y, tall = e.x0, y+tall+gutter/2, 0
		}
		s.x, s.y, s.turn = x, y+above+s.width/2, 0
		s.apron = 0
		sh.add(s)
		sh.write(caption{text: l.lines[0], class: "b", x: x + ems(l.lines[0])*l.size/2, y: y + above/2, size: l.size})
		x += need + gutter
		tall = max(tall, above+s.width)
	}
}
