package picture

import (
	"math"

	"sallyport"
)

// layMap sets lanes, lines and spots where the show says they are and
// returns those without a position.
func (sh *sheet) layMap(show *sallyport.Show, state sallyport.State) []strip {
	var loose []strip
	unplaced := 0
	for _, l := range show.Park.Lanes {
		if l.X == 0 && l.Y == 0 && l.Heading == 0 {
			unplaced++
		}
	}
	var lanes []strip
	placedLane := map[string]int{}
	for _, l := range show.Park.Lanes {
		s := laneStrip(l, state, sh.roster)
		if unplaced > 1 && l.X == 0 && l.Y == 0 && l.Heading == 0 {
			s.openTail = s.openTail || l.Kind == sallyport.Open
			loose = append(loose, s)
			continue
		}
		s.x, s.y, s.turn = u(l.X), u(l.Y), turnOf(l.Heading)
		placedLane[s.id] = len(lanes)
		lanes = append(lanes, s)
		sh.add(s)
	}
	queues, rest := sh.layQueues(show, state)
	loose = append(loose, rest...)
	sh.layStretches(show, lanes, placedLane)
	for _, s := range lanes {
		sh.labelOnMap(s)
	}
	for _, s := range queues {
		sh.labelQueue(s)
	}
	sh.nameZones(show, lanes, placedLane)
	sh.nameStretches()
	return loose
}

// layQueues sets the lines and spots that have a position and returns them
// and the others.
func (sh *sheet) layQueues(show *sallyport.Show, state sallyport.State) (set, loose []strip) {
	lay := func(s strip, x, y sallyport.Centimetres, heading int) {
		if x == 0 && y == 0 {
			loose = append(loose, s)
			return
		}
		s.x, s.y, s.turn = u(x), u(y), turnOf(heading)
		set = append(set, s)
		sh.add(s)
	}
	const toTheRight = 270 // a spot's head looks left
	for _, l := range show.Park.Lines {
		lay(lineStrip(l, state, sh.roster), l.X, l.Y, l.Heading)
	}
	for _, p := range show.Park.Spots {
		lay(spotStrip(p, state, sh.roster), p.X, p.Y, toTheRight)
	}
	return set, loose
}

// turnOf returns the direction into a strip whose mouth looks towards the
// heading, in degrees clockwise from the x axis.
func turnOf(heading int) float64 { return math.Mod(float64(heading)+90+360*4, 360) }

// layStretches draws the frontage in front of the mouths and tails that face
// it, where its depth is given: one strip for neighbours that look the same
// way, else one for each.
func (sh *sheet) layStretches(show *sallyport.Show, lanes []strip, index map[string]int) {
	for _, st := range show.Park.Stretches {
		if st.Depth <= 0 {
			continue
		}
		depth := u(st.Depth)
		byTurn := map[float64]int{}
		var fronts []front
		for _, l := range show.Park.Lanes {
			i, ok := index[string(l.ID)]
			if !ok {
				continue
			}
			s := lanes[i]
			if l.Mouth == st.ID {
				fronts = addFront(fronts, byTurn, s.turn, s, 0)
			}
			if l.Tail == st.ID && s.openTail {
				fronts = addFront(fronts, byTurn, s.turn+180, s, s.length)
			}
		}
		for _, f := range fronts {
			p := patch{ground: f.frame.box(f.near-depth, f.low, f.near, f.high), name: orID(st.Name, string(st.ID))}
			x, y := f.frame.frame(f.near-depth/2, (f.low+f.high)/2)
			p.frame = strip{x: x, y: y, turn: f.frame.turn + 90, length: f.high - f.low, width: depth}
			sh.stretches = append(sh.stretches, p)
		}
	}
}

// front is the ground in front of lane ends that look the same way, in the
// frame of the first of them.
type front struct {
	frame     strip
	near      float64
	low, high float64
}

// addFront widens the front that looks the same way by one lane end.
func addFront(fronts []front, byTurn map[float64]int, turn float64, s strip, along float64) []front {
	x, y := s.frame(along, 0)
	turn = math.Mod(turn, 360)
	i, ok := byTurn[turn]
	if !ok {
		byTurn[turn] = len(fronts)
		f := front{frame: strip{x: x, y: y, turn: turn}, low: -s.width / 2, high: s.width / 2}
		return append(fronts, f)
	}
	f := &fronts[i]
	sin, cos := math.Sincos(turn * math.Pi / 180)
	dx, dy := x-f.frame.x, y-f.frame.y
	across := -dx*sin + dy*cos
	f.low, f.high = min(f.low, across-s.width/2), max(f.high, across+s.width/2)
	f.near = min(f.near, dx*cos+dy*sin)
	return fronts
}

// labelQueue writes the label of a line or spot beside it, on the first clear
// ground of several.
func (sh *sheet) labelQueue(s strip) {
	angle := s.upright()
	for _, label := range []string{s.label, s.spare} {
		w, half := ems(label)*typeLabel, s.width/2+typeLabel*0.75
		for _, at := range [][2]float64{
			{w/2 + 1, -half},
			{w/2 + 1, half},
			{s.length / 2, -half},
			{s.length / 2, half},
			{s.length - w/2, -half},
			{s.length - w/2, half},
			{s.length + w/2 + 6, 0},
			{-w/2 - 6, 0},
		} {
			x, y := s.frame(at[0], at[1])
			c := caption{text: label, class: "b", x: x, y: y, angle: angle, size: typeLabel}
			if sh.clear(c.box()) {
				sh.write(c)
				return
			}
		}
	}
	x, y := s.frame(ems(s.spare)*typeLabel/2+1, -s.width/2-typeLabel*0.75)
	sh.write(caption{text: s.spare, class: "b", x: x, y: y, angle: angle, size: typeLabel})
}

// nameZones writes each zone's name beside its lanes, on the first clear
// ground of several; where there is none the name is left out.
func (sh *sheet) nameZones(show *sallyport.Show, lanes []strip, index map[string]int) {
	for _, z := range show.Park.Zones {
		var own []strip
		for _, l := range show.Park.Lanes {
			if i, ok := index[string(l.ID)]; ok && l.Zone == z.ID {
				own = append(own, lanes[i])
			}
		}
		if len(own) == 0 {
			continue
		}
		e := extentOf(own)
		name := orID(z.Name, string(z.ID))
		w := ems(name) * typeZone * 1.12
		mid := (e.y0 + e.y1) / 2
		for _, at := range []caption{
			{x: e.x0 + w/2, y: e.y0 - 14},
			{x: (e.x0 + e.x1) / 2, y: e.y0 - 14},
			{x: e.x1 - w/2, y: e.y0 - 14},
			{x: e.x0 + w/2, y: e.y1 + 14},
			{x: (e.x0 + e.x1) / 2, y: e.y1 + 14},
			{x: e.x1 - w/2, y: e.y1 + 14},
			{x: e.x0 - 14, y: mid, angle: -90},
			{x: e.x1 + 14, y: mid, angle: -90},
			{x: e.x0 + w/2, y: e.y0 - 34},
			{x: e.x0 + w/2, y: e.y1 + 34},
		} {
			c := caption{text: name, class: "z", x: at.x, y: at.y, angle: at.angle, size: typeZone}
			if sh.clear(c.box()) {
				sh.write(c)
				break
			}
		}
	}
}

// nameStretches writes the name of each stretch on its ground where that is
// clear; where it is not the name is left out.
func (sh *sheet) nameStretches() {
	for _, p := range sh.stretches {
		w := ems(p.name) * typeLabel * 1.1
		for _, at := range [][2]float64{
			{0, 0}, {0, 0.28}, {0, -0.28}, {-0.25, 0}, {0.25, 0}, {-0.25, 0.28}, {0.25, 0.28}, {-0.25, -0.28}, {0.25, -0.28},
		} {
			c := caption{text: p.name, class: "z", angle: p.frame.upright(), size: typeLabel}
			c.x, c.y = p.frame.frame(at[0]*p.frame.length, at[1]*p.frame.width)
			if w <= p.frame.length && sh.clear(c.box()) {
				sh.write(c)
				break
			}
		}
	}
}
