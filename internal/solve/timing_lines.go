package solve

import (
	"slices"

	"sallyport"
)

// lineClock is the last of what happened on a forming-up line.
type lineClock struct {
	line    *sallyport.Line
	ordered bool // it matters who comes and goes before whom
	store   store
	n       int // units on it after the moves so far

	phase    linePhase // the moves of one sort that come one after the other
	now      []int     // those of them so far
	before   []int     // the moves of the phase before
	empty    bool      // it was empty when the phase began
	lastPull int       // last pull-out of a strict line's present serial; -1: none
	left     []int     // who has left it since the last column
	guards   []int     // moves through a mouth that who comes next could foul

	waiting      sallyport.SerialID // whose pull-outs have come last
	waitingShare int64              // what those take
}

func (l *lineClock) name() string { return "line " + named(l.line.Name, string(l.line.ID)) }

// named returns a name, or the id where there is none.
func named(name, id string) string {
	if name != "" {
		return name
	}
	return id
}

// linePhase is one sort of moves on a line of one serial.
type linePhase struct {
	kind   sallyport.MoveKind
	serial sallyport.SerialID
	comes  bool
}

func (t *timetable) line(id sallyport.LineID) *lineClock {
	l := t.lines[id]
	if l == nil {
		l = &lineClock{line: t.ix.Line(id), lastPull: -1, empty: true}
		if l.line == nil {
			l.line = &sallyport.Line{ID: id}
		}
		l.ordered = l.line.Home == sallyport.HomeInOrder || len(l.line.Fouls) > 0
		l.store = store{length: l.line.Length, gap: l.line.Gap}
		t.lines[id] = l
	}
	return l
}

// lineOf returns the line that a unit's move touches, and whether it leaves
// it. A move across leaves one and comes to another; its first is limited
// here, the other in lineLimits.
func (t *timetable) lineOf(m *sallyport.Move) (*lineClock, bool) {
	switch {
	case m.From.Kind == sallyport.InLine:
		return t.line(sallyport.LineID(m.From.ID)), false
	case m.To.Kind == sallyport.InLine:
		return t.line(sallyport.LineID(m.To.ID)), true
	}
	return nil, false
}

// lineLimits keeps order and room on a line that j comes to or leaves.
func (t *timetable) lineLimits(j *job, l *lineClock, comes bool) {
	t.oneLine(j, l, comes)
	if !comes && j.m.To.Kind == sallyport.InLine && j.m.To.ID != j.m.From.ID {
		t.oneLine(j, t.line(sallyport.LineID(j.m.To.ID)), true)
	}
}

// phaseOf returns the phase that j belongs to on a line.
func phaseOf(j *job, comes bool) linePhase { return linePhase{j.m.Kind, j.m.Serial, comes} }

func (t *timetable) oneLine(j *job, l *lineClock, comes bool) {
	why := l.name()
	if comes {
		for _, k := range l.guards {
			j.notBefore(why, t.moves[k].Ends())
			t.wait(j, k)
		}
	}
	if l.ordered {
		t.orderedLine(j, l, comes, why)
	} else if l.line.Out == sallyport.OutStrict {
		if comes && j.m.Kind == sallyport.MovePullOut && l.lastPull >= 0 && t.moves[l.lastPull].Serial == j.m.Serial {
			t.follow(j, l.lastPull, why)
		}
		if j.m.Kind == sallyport.MoveOut {
			for _, k := range l.left {
				t.follow(j, k, why)
			}
		}
	}
	if comes {
		need := int64(0)
		for _, id := range unitsOf(j.m) {
			need += l.store.share(t.ix.Unit(id))
		}
		j.limit(why+", which is full,", func(s sallyport.Instant) sallyport.Instant { return l.store.earliest(s, need) })
	}
}

// orderedLine has a phase wait for the phase before it, and within a phase
// one move for the other where they must keep their order.
func (t *timetable) orderedLine(j *job, l *lineClock, comes bool, why string) {
	phase := phaseOf(j, comes)
	before, now, empty := l.before, l.now, l.empty
	if phase != l.phase {
		before, now, empty = l.now, nil, l.n == 0
	}
	for _, k := range before {
		j.notBefore(why, t.moves[k].Ends())
	}
	if empty && len(before) > 0 && comes {
		t.after[j.i] = append(t.after[j.i], sallyport.Wait{Line: l.line.ID})
	} else {
		for _, k := range before {
			t.wait(j, k)
		}
	}
	sequence := l.line.Out == sallyport.OutStrict
	if !comes {
		sequence = l.line.Home == sallyport.HomeInOrder
	}
	if sequence && len(now) > 0 {
		t.follow(j, now[len(now)-1], why)
	}
}

// follow has j wait for move k on its line. Where time is short it only waits
// until k has begun.
func (t *timetable) follow(j *job, k int, why string) {
	if t.haste.close[j.i] {
		j.notBefore(why, t.moves[k].Start)
		t.begun[j.i] = append(t.begun[j.i], k)
		return
	}
	j.notBefore(why, t.moves[k].Ends())
	t.wait(j, k)
}

// unitsOf returns who a move moves.
func unitsOf(m *sallyport.Move) []sallyport.UnitID {
	if m.Unit != "" {
		return []sallyport.UnitID{m.Unit}
	}
	return m.Units
}

// lineMoved records a move that came to a line or left it.
func (t *timetable) lineMoved(j *job, l *lineClock, comes bool, units []sallyport.UnitID) {
	t.oneLineMoved(j, l, comes, units)
	if !comes && j.m.To.Kind == sallyport.InLine && j.m.To.ID != j.m.From.ID {
		t.oneLineMoved(j, t.line(sallyport.LineID(j.m.To.ID)), true, units)
	}
}

func (t *timetable) oneLineMoved(j *job, l *lineClock, comes bool, units []sallyport.UnitID) {
	if phase := phaseOf(j, comes); phase != l.phase {
		l.before, l.now, l.phase, l.empty = l.now, nil, phase, l.n == 0
	}
	l.now = append(l.now, j.i)
	if comes {
		need := int64(0)
		for _, id := range units {
			need += l.store.share(t.ix.Unit(id))
		}
		t.roomLinks(j, l, need)
	}
	for _, id := range units {
		if comes {
			l.store.put(j.m.Start, t.ix.Unit(id))
			l.n++
		} else {
			l.store.take(j.m.Ends(), t.ix.Unit(id), j.i)
			l.n--
		}
	}
	switch {
	case comes && j.m.Kind == sallyport.MovePullOut:
		l.lastPull = j.i
		if l.waiting != j.m.Serial {
			l.waiting, l.waitingShare = j.m.Serial, 0
		}
		l.waitingShare += l.store.share(j.u)
	case j.m.Kind == sallyport.MoveOut:
		l.left, l.waiting, l.waitingShare = []int{j.i}, "", 0
	case !comes:
		l.left = append(l.left, j.i)
	}
	if comes {
		l.guards = nil
	}
}

// roomLinks has a comer wait for those who must have left, where the order of
// moves on the line does not see to it.
func (t *timetable) roomLinks(j *job, l *lineClock, need int64) {
	if l.ordered {
		return
	}
	links := l.store.needs(j.m.Start, need)
	over := !slices.ContainsFunc(l.store.gone, func(g leaving) bool { return g.end > j.m.Start })
	if len(links) > 0 && l.n == 0 && over {
		t.after[j.i] = append(t.after[j.i], sallyport.Wait{Line: l.line.ID})
		return
	}
	for _, k := range links {
		t.wait(j, k)
	}
}

// foulLimits keeps vehicles off a mouth while others stand before it on a
// line: until enough of them have left, or the column that waits there has.
func (t *timetable) foulLimits(j *job) {
	for _, f := range t.fouling(j) {
		l := t.line(f.Line)
		own := int64(0)
		if j.m.From == sallyport.AtLine(f.Line) {
			own = l.store.share(j.u)
		}
		leave := never
		if s := t.ix.Serial(l.waiting); s != nil && t.leaves[l.waiting] > j.i && j.m.Serial != l.waiting {
			leave = s.Leave()
		}
		j.softLimit(l.name()+", where vehicles stand before the mouth,", func(at sallyport.Instant) sallyport.Instant {
			for {
				used := l.store.usedAt(at) - own
				if at > leave {
					used -= l.waitingShare
				}
				if used <= int64(f.From) {
					return at
				}
				next := l.store.used.after(at)
				if at <= leave && leave < next {
					next = leave + 1
				}
				if next == never {
					return never
				}
				at = next
			}
		})
		for _, k := range l.left {
			j.notBefore(l.name(), t.moves[k].Ends())
			t.wait(j, k)
		}
	}
}

// fouled links j to the column that it let go first, or has later comers wait
// for j.
func (t *timetable) fouled(j *job) {
	for _, f := range t.fouling(j) {
		l := t.line(f.Line)
		column := t.leaves[l.waiting]
		if s := t.ix.Serial(l.waiting); s != nil && column > j.i && j.m.Start > s.Leave() {
			t.begun[j.i] = append(t.begun[j.i], column)
			continue
		}
		l.guards = append(l.guards, j.i)
	}
}

// fouling returns the parts of lines that can foul a mouth that j goes
// through, as far as columns are long enough.
func (t *timetable) fouling(j *job) []sallyport.FoulRef {
	var list []sallyport.FoulRef
	for _, p := range []*passage{j.from, j.to} {
		if p == nil || p.end != sallyport.Mouth {
			continue
		}
		for _, f := range t.ix.FoulsOf(p.lane.ID) {
			if t.reach[f.Line] > int64(f.From) {
				list = append(list, f)
			}
		}
	}
	return list
}
