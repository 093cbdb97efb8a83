package solve

import (
	"slices"

	"sallyport"
)

// backsLater returns the moves in an order in which vehicles moved aside are
// put back after all other moves of their serial that they do not hinder, so
// that pull-outs come first. It is right by order alone when the given one is.
func backsLater(ix *sallyport.Index, moves []sallyport.Move) []sallyport.Move {
	order := make([]sallyport.Move, 0, len(moves))
	var waiting []sallyport.Move
	flush := func(needed func(sallyport.Move) bool) {
		kept := waiting[:0]
		for _, w := range waiting {
			if needed(w) {
				order = append(order, w)
			} else {
				kept = append(kept, w)
			}
		}
		waiting = kept
	}
	for i := range moves {
		m := &moves[i]
		lanes := lanesOf(m)
		flush(func(w sallyport.Move) bool {
			return w.Serial != m.Serial || w.Start != m.Start || m.Unit == "" || w.Unit == m.Unit || slices.Contains(lanes, sallyport.LaneID(w.To.ID))
		})
		if m.Kind == sallyport.MoveBack && !hasReserves(ix.Serial(m.Serial)) {
			waiting = append(waiting, *m)
			continue
		}
		order = append(order, *m)
	}
	return append(order, waiting...)
}

// hasReserves reports whether a serial names any; they must be able to get
// out when its last pull-out is made, so put-backs keep their order there.
func hasReserves(s *sallyport.Serial) bool {
	return s != nil && slices.ContainsFunc(s.Entries, func(e sallyport.Entry) bool { return len(e.Reserves) > 0 })
}

// haste is what is done to be in time where the usual way is late.
type haste struct {
	tries int
	close map[int]bool // moves that follow close on the one before them on their line
	// By how much pull-outs are made before the serial's time for them, and
	// moves to duty earlier than usual.
	early map[int]sallyport.Seconds
}

// size grows with everything that is done.
func (h *haste) size() int {
	n := len(h.close)
	for _, by := range h.early {
		n += int(by)
	}
	return n
}

// sooner makes a move so much earlier, in whole minutes, as far as is
// sensible.
func (h *haste) sooner(i int, by sallyport.Seconds) {
	h.early[i] = min(mostEarly, (h.early[i]+by+59)/60*60)
}

// cause is what moves are for: a serial, or what happens at one moment.
type cause struct {
	serial sallyport.SerialID
	at     sallyport.Instant
}

func causeOf(m *sallyport.Move) cause {
	if m.Serial != "" {
		return cause{serial: m.Serial}
	}
	return cause{at: m.Start}
}

// mostTries is how often Lay tries again when something is late.
const mostTries = 8

// mostEarly is how much earlier than usual a vehicle may go to keep others
// from being late.
const mostEarly = 20 * 60

// more adds what could help those who are late in t, and reports whether
// there is anything new to try.
func (h *haste) more(t *timetable) bool {
	h.tries++
	before := h.size()
	for _, l := range t.late {
		m := &t.moves[l.move]
		for _, line := range []sallyport.Pos{m.From, m.To} {
			if line.Kind == sallyport.InLine && m.Unit != "" {
				h.follow(t, l.move, line.ID, l.by)
			}
		}
		for _, k := range t.link[l.move] {
			if o := &t.moves[k]; o.Kind == sallyport.MovePullOut && o.Serial != m.Serial && o.Ends() >= m.Start {
				h.hurry(t, k, l.by)
			}
		}
		switch {
		case m.Kind == sallyport.MovePullOut && h.tries > 2:
			h.begin(t, l)
		case m.Kind == sallyport.MoveDuty:
			h.sooner(l.move, l.by)
		}
	}
	return h.size() > before && h.tries <= mostTries
}

// follow has a late move, and as many before it on its line as that takes,
// follow close on the ones before them.
func (h *haste) follow(t *timetable, late int, line string, by sallyport.Seconds) {
	for i := late; i >= 0 && by > 0; i-- {
		m := &t.moves[i]
		here := m.Unit != "" && (m.From.Kind == sallyport.InLine && m.From.ID == line || m.To.Kind == sallyport.InLine && m.To.ID == line)
		if here && !h.close[i] {
			h.close[i] = true
			by -= m.Takes
		}
		if here && m.Ends()+mostEarly < t.moves[late].Start {
			return
		}
	}
}

// begin has as many pull-outs of a serial made early as it is late.
func (h *haste) begin(t *timetable, l lateness) {
	by := l.by
	for _, i := range t.pulls[t.moves[l.move].Serial] {
		if i > l.move || by <= 0 {
			return
		}
		h.sooner(i, l.by)
		by -= t.moves[i].Takes
	}
}

// hurry makes a pull-out early, on a strict line with all before it.
func (h *haste) hurry(t *timetable, k int, by sallyport.Seconds) {
	h.sooner(k, by)
	m := &t.moves[k]
	if t.line(sallyport.LineID(m.To.ID)).line.Out != sallyport.OutStrict {
		return
	}
	for _, i := range t.pulls[m.Serial] {
		if i < k {
			h.sooner(i, by)
		}
	}
}

// lateness is how late everything is together; what breaks a rule outright
// counts as an hour.
func (t *timetable) lateness() sallyport.Seconds {
	sum := sallyport.Seconds(0)
	for _, l := range t.late {
		if l.by == 0 {
			sum += 3600
		}
		sum += l.by
	}
	return sum
}
