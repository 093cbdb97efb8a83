package picture

import (
	"strconv"

	"sallyport"
)

// labelBeside writes a lane's label in the column beside its mouth on a
// scheme, and the arrows of both ends.
func (sh *sheet) labelBeside(s strip, width, room float64) {
	l := sh.set(s.label, width-6, s.width, typeLeast, typeLabel)
	for _, c := range l.captions(0, 0, 0, "b") {
		_, dy := c.x, c.y
		c.x, c.y = s.frame(-room-4-ems(c.text)*c.size/2, dy)
		sh.write(c)
	}
	sh.arrowAt(s, sallyport.Mouth, -3, -room+2, 0, false)
	sh.arrowAt(s, sallyport.Tail, s.length+3, s.length+room-2, 0, false)
}

// labelOnMap writes a lane's label on the nearest clear ground of several,
// and the arrows of both ends. Across a lane that runs up the page the label
// is set level, with the arrow beyond it; else both share the apron.
func (sh *sheet) labelOnMap(s strip) {
	label := s.label
	if ems(label)*typeLabel > labelApron-4 && ems(s.spare) < ems(label) {
		label = s.spare
	}
	angle, across := s.upright(), false
	if abs(angle) > 45 && ems(label)*typeLabel <= s.width-3 {
		angle, across = angle+90, true
	}
	aside := 0.0
	if _, busy := sh.ends[laneEnd{s.id, sallyport.Mouth}]; busy && !across {
		aside = -8
	}
	for _, spot := range s.labelSpots(across) {
		l := fit(label, spot.width, spot.height, typeLeast, typeLabel, sh.nextMark(s.label))
		x, y := s.frame(spot.along, aside)
		if spot.last || sh.clear(captionOf(l, x, y, angle).box()) {
			if l.short {
				sh.note(s.label)
			}
			sh.writeLines(l, x, y, angle, "b")
			break
		}
	}
	near, side := 17.0, 0.0
	if !across {
		near, side = 3, 8
	}
	sh.arrowAt(s, sallyport.Mouth, -near, -labelApron+1, side, !across)
	sh.arrowAt(s, sallyport.Tail, s.length+3, s.length+labelApron-15, side, !across)
}

// labelSpot is a place where a lane's label may go.
type labelSpot struct {
	along         float64
	width, height float64
	last          bool
}

// labelSpots returns the places for a label, best first.
func (s strip) labelSpots(across bool) []labelSpot {
	deep, width, height := labelApron-6, labelApron-6, 13.0
	if across {
		deep, width, height = 14, s.width-2, 14
	}
	spots := []labelSpot{
		{along: -3 - deep/2, width: width, height: height},
		{along: s.length + 4 + deep/2, width: width, height: height},
	}
	if room := u(s.mouthFree); room > deep+4 {
		spots = append(spots, labelSpot{along: 2 + deep/2, width: width, height: height})
	}
	return append(spots, labelSpot{along: -3 - deep/2, width: width, height: height, last: true})
}

// captionOf returns the first line of a lettering as a caption.
func captionOf(l lettering, x, y, angle float64) caption {
	return caption{text: l.lines[0], x: x, y: y, angle: angle, size: l.size}
}

// writeLines sets one or two lines centred on x, y.
func (sh *sheet) writeLines(l lettering, x, y, angle float64, class string) {
	for _, c := range l.captions(x, y, angle, class) {
		sh.write(c)
	}
}

// captions returns the lines of a lettering centred on x, y.
func (l lettering) captions(x, y, angle float64, class string) []caption {
	out := make([]caption, len(l.lines))
	turned := strip{x: x, y: y, turn: angle}
	for i, line := range l.lines {
		down := (float64(i) - float64(len(l.lines)-1)/2) * l.size * 1.08
		cx, cy := turned.frame(0, down)
		out[i] = caption{text: line, class: class, x: cx, y: cy, angle: angle, size: l.size}
	}
	return out
}

// arrowAt draws the moves through one end between two distances along the
// strip, the one nearer to the lane first; side moves the arrow off the
// middle. The numbers stand beyond a short arrow, or beside it.
func (sh *sheet) arrowAt(s strip, end sallyport.End, near, far, side float64, beyond bool) {
	e, ok := sh.ends[laneEnd{s.id, end}]
	if !ok {
		return
	}
	text := numberList(e.numbers)
	size := 10.0
	var c caption
	if beyond {
		size = min(size, abs(far-near)*0.6/ems(text))
		w := ems(text) * size
		if far < near {
			c.x, c.y = s.frame(far+w/2, side)
			far += w + 2
		} else {
			c.x, c.y = s.frame(far-w/2, side)
			far -= w + 2
		}
	} else {
		mid := (near + far) / 2
		if abs(s.upright()) <= 45 {
			size = min(size, abs(far-near)/ems(text))
			c.x, c.y = s.frame(mid, 0)
			c.y -= size*0.5 + 2.5
		} else {
			size = min(size, (s.width/2+4)/ems(text))
			c.x, c.y = s.frame(mid, 0)
			c.x += ems(text)*size/2 + 4
		}
	}
	c.text, c.class, c.size = text, "n", max(size, 4.5)
	sh.captions = append(sh.captions, c)
	from, to := near, far
	if e.in && !e.out {
		from, to = far, near
	}
	a := arrow{both: e.in && e.out}
	a.x0, a.y0 = s.frame(from, side)
	a.x1, a.y1 = s.frame(to, side)
	sh.arrows = append(sh.arrows, a)
}

// numberList returns numbers as "2, 5" and runs of three or more as "2–5".
func numberList(n []int) string {
	out := ""
	for i := 0; i < len(n); {
		j := i
		for j+1 < len(n) && n[j+1] == n[j]+1 {
			j++
		}
		if out != "" {
			out += ","
		}
		out += strconv.Itoa(n[i])
		if j == i+1 {
			out += "," + strconv.Itoa(n[j])
		} else if j > i+1 {
			out += "–" + strconv.Itoa(n[j])
		}
		i = j + 1
	}
	return out
}
