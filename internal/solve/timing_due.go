package solve

import (
	"sallyport"
)

// lookAhead finds the pull-outs and the column of each serial, and by when
// each move must be over.
func (t *timetable) lookAhead() {
	t.deadlines = make([]sallyport.Instant, len(t.moves))
	for i := range t.moves {
		m := &t.moves[i]
		m.Takes = max(m.Takes, t.takes(m))
		t.deadlines[i] = t.deadline(m)
		switch m.Kind {
		case sallyport.MovePullOut:
			t.pulls[m.Serial] = append(t.pulls[m.Serial], i)
		case sallyport.MoveOut:
			t.leaves[m.Serial] = i
		}
	}
	for i := range t.moves {
		t.causes = append(t.causes, causeOf(&t.moves[i]))
	}
	t.early = map[cause]sallyport.Instant{}
	for i, by := range t.haste.early {
		t.early[t.causes[i]] = max(t.early[t.causes[i]], sallyport.Instant(by))
	}
	t.reach = map[sallyport.LineID]int64{}
	for _, s := range t.ix.SerialsInTime {
		for _, id := range []sallyport.LineID{s.Line, s.HomeLine} {
			need := int64(0)
			for i := range s.Entries {
				need += t.line(id).store.share(t.ix.Unit(s.Entries[i].Unit))
			}
			t.reach[id] = max(t.reach[id], 2*need)
		}
	}
	// What has no deadline of its own has that of what it makes way for.
	var next, group sallyport.Instant
	for i := len(t.moves) - 1; i >= 0; i-- {
		m := &t.moves[i]
		if m.Start != group {
			group, next = m.Start, 0
		}
		switch m.Kind {
		case sallyport.MoveAside, sallyport.MoveShift, sallyport.MovePart, sallyport.MoveCouple, sallyport.MoveCloseUp:
			if next != 0 && t.deadlines[i] == 0 {
				t.deadlines[i] = next
			}
		case sallyport.MoveBack, sallyport.MoveTow, sallyport.MoveOut, sallyport.MoveHome:
		default:
			next = t.deadlines[i]
		}
		if next != 0 {
			next -= sallyport.Instant(m.Takes)
		}
	}
}

// takes returns how long a move takes: its pace, for a column the travel.
func (t *timetable) takes(m *sallyport.Move) sallyport.Seconds {
	if m.Unit == "" {
		if s := t.ix.Serial(m.Serial); s != nil {
			return s.Travel
		}
		return 0
	}
	u := t.ix.Unit(m.Unit)
	if u == nil {
		return 0
	}
	return t.ix.Pace(m.Kind, u.Gear)
}

// deadline returns by when a move must be over; 0: any time.
func (t *timetable) deadline(m *sallyport.Move) sallyport.Instant {
	s, u := t.ix.Serial(m.Serial), t.ix.Unit(m.Unit)
	switch m.Kind {
	case sallyport.MovePullOut:
		if s != nil && u != nil && u.WarmWhere == sallyport.WarmOnLine {
			return min(s.FormUp, s.Leave()-sallyport.Instant(u.WarmUp))
		}
		if s != nil {
			return s.FormUp
		}
	case sallyport.MoveAcross:
		if s != nil {
			return s.FormUp
		}
	case sallyport.MoveReturn:
		if s != nil {
			return s.HomeBy + max(0, m.Nominal-s.Back())
		}
	case sallyport.MoveDuty:
		if d := t.ix.Duty(m.Duty); d != nil {
			return d.From
		}
	case sallyport.MoveReset:
		if w := t.ix.Reset(m.Window); w != nil {
			return w.To
		}
	case sallyport.MoveDepart:
		if u != nil {
			return u.Depart.To
		}
	case sallyport.MoveArrive:
		if u != nil && u.Arrive.To != 0 {
			return u.Arrive.To + sallyport.Instant(m.Takes)
		}
	}
	return 0
}

// ahead is how much earlier than needed a vehicle may go to its duty.
const dutyAhead = 15 * 60

// release returns before when a move does not start by itself.
func (t *timetable) release(i int) sallyport.Instant {
	m := &t.moves[i]
	at := max(m.Start, t.at)
	s, u := t.ix.Serial(m.Serial), t.ix.Unit(m.Unit)
	switch m.Kind {
	case sallyport.MovePullOut:
		if m.Nominal != 0 {
			return max(t.at, m.Nominal)
		}
		if s != nil {
			at = max(t.at, s.FormFrom)
			at = max(t.at, at-sallyport.Instant(t.haste.early[i]))
		}
	case sallyport.MoveReturn:
		at = max(at, m.Nominal)
	case sallyport.MoveReset:
		if w := t.ix.Reset(m.Window); w != nil {
			at = max(at, w.From)
		}
	case sallyport.MoveArrive:
		at = max(at, u.Arrive.From)
	case sallyport.MoveDepart:
		at = max(at, u.Depart.From)
	case sallyport.MoveRelieve:
		if d := t.ix.Duty(m.Duty); d != nil {
			at = max(at, d.To)
		}
	case sallyport.MoveDuty:
		if d := t.ix.Duty(m.Duty); d != nil {
			at = max(t.at, d.From-sallyport.Instant(m.Takes)-dutyAhead)
			at = max(t.at, at-sallyport.Instant(t.haste.early[i]))
		}
	case sallyport.MoveBack:
		// As soon as what it made way for has gone; the lane sees to that.
		if last := t.unit(m.Unit).last(); last >= 0 && t.moves[last].Kind == sallyport.MoveAside && t.causes[last] == t.causes[i] {
			return t.at
		}
	default:
		// Whatever makes way must leave the time for it.
		if d := t.deadlines[i]; d != 0 {
			at = min(at, max(t.at, d-sallyport.Instant(m.Takes)-dutyAhead))
			at = max(t.at, at-t.early[t.causes[i]])
		}
	}
	return at
}

// isLastPull reports whether move i is the last pull-out of its serial.
func (t *timetable) isLastPull(i int) bool {
	m := &t.moves[i]
	pulls := t.pulls[m.Serial]
	return m.Kind == sallyport.MovePullOut && pulls[len(pulls)-1] == i
}
