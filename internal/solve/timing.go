package solve

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"sallyport"
)

// Lay gives untimed moves their times. The moves come in an order in which
// they are right by order alone; of each the kind, unit, ends, serial, entry,
// duty and window are given, and Start is the moment before which nothing of
// its sort begins (0: no such moment). Lay adds id, start, time taken,
// marshals, spots to wait aside (where a spot's id is empty), drivers, helpers
// and what each move waits for, and returns the moves in order of time.
//
// Moves keep their order wherever it matters: for one unit, in one lane, on a
// line whose order counts, at a spot; others may overlap. Each move starts as
// soon as everything it needs is free, columns when the serial says. The
// links (After) are enough to play the moves safely without a clock. The
// second result says, in sentences, what cannot be made in time; such moves
// are laid as early as can be, and the judge will name the rule.
//
// The show must be complete. The cost is about the number of moves times
// those under way at one time.
func Lay(show *sallyport.Show, start sallyport.State, moves []sallyport.Move) ([]sallyport.Move, []string) {
	ix := sallyport.NewIndex(show)
	moves = foulOrder(ix, moves)
	h := haste{close: map[int]bool{}, early: map[int]sallyport.Seconds{}}
	best := layOnce(ix, start, moves, h)
	if len(best.late) > 0 {
		later := backsLater(ix, moves)
		if t := layOnce(ix, start, later, h); t.lateness() < best.lateness() {
			best, moves = t, later
		}
	}
	for last := best; len(last.late) > 0 && h.more(last); {
		last = layOnce(ix, start, moves, h)
		if last.lateness() < best.lateness() {
			best = last
		}
	}
	// What is early may have made it needless to follow close.
	if len(best.haste.close) > 0 && len(best.haste.early) > 0 {
		if t := layOnce(ix, start, moves, haste{early: best.haste.early}); t.lateness() <= best.lateness() {
			best = t
		}
	}
	best.nameDrivers()
	return best.finish(), best.sentences()
}

// layOnce lays all moves.
func layOnce(ix *sallyport.Index, start sallyport.State, moves []sallyport.Move, h haste) *timetable {
	h.close, h.early = maps.Clone(h.close), maps.Clone(h.early)
	t := newTimetable(ix, start, moves, h)
	for i := range t.moves {
		if t.moves[i].Unit == "" {
			t.column(i)
		} else {
			t.single(i)
		}
	}
	return t
}

// timetable is what Lay knows while it goes through the moves in their order.
type timetable struct {
	show    *sallyport.Show
	ix      *sallyport.Index
	at      sallyport.Instant
	moves   []sallyport.Move
	link    [][]int            // moves that each move waits for, by number
	begun   [][]int            // those that must only have begun
	implied [][]int            // those that it waits for anyway: its units' last
	after   [][]sallyport.Wait // what else it waits for

	causes    []cause
	early     map[cause]sallyport.Instant  // by how much some go out earlier than usual, and for what
	reach     map[sallyport.LineID]int64   // what two columns at most take on a line
	deadlines []sallyport.Instant          // by when each move must be over; 0: any time
	pulls     map[sallyport.SerialID][]int // its pull-outs
	leaves    map[sallyport.SerialID]int   // its column out
	haste     haste

	units     map[sallyport.UnitID]*unitClock
	lanes     map[sallyport.LaneID]*laneClock
	lines     map[sallyport.LineID]*lineClock
	spots     map[sallyport.SpotID]*store
	stretches map[sallyport.StretchID]*stretchClock
	people    map[sallyport.PersonID]*personClock
	teams     profile
	out       map[sallyport.SerialID]sallyport.Instant // when its last pull-out starts
	absences  []*away
	towed     map[sallyport.UnitID]int // the last tow that each towing vehicle makes, counted from 1
	late      []lateness
}

// unitClock is where a unit is after the moves so far.
type unitClock struct {
	free   sallyport.Instant // when its last move ends
	since  sallyport.Instant // when it came to its line
	pos    sallyport.Pos
	noseIn bool
	moved  int   // number of its last move, counted from 1; 0: none
	away   *away // its absence that is not over yet
}

// laneClock is the last of what happened in a lane.
type laneClock struct {
	last   int // number of the last move that touched it; none
	end    sallyport.Instant
	seen   sallyport.Instant                   // no move may start before: somebody relied on what stood there
	pushed map[sallyport.End]sallyport.Instant // last start of a move out by hand or tow
}

// stretchClock is the moves in one stretch of frontage.
type stretchClock struct {
	all, reversing profile
	ends           []stretchUse
}

// stretchUse is a move in a stretch.
type stretchUse struct {
	move    int
	end     sallyport.Instant
	reverse bool
}

func newTimetable(ix *sallyport.Index, start sallyport.State, moves []sallyport.Move, h haste) *timetable {
	t := &timetable{
		show: ix.Show, ix: ix, at: start.At, moves: slices.Clone(moves), link: make([][]int, len(moves)),
		after: make([][]sallyport.Wait, len(moves)), pulls: map[sallyport.SerialID][]int{}, leaves: map[sallyport.SerialID]int{}, haste: h,
		begun:   make([][]int, len(moves)),
		implied: make([][]int, len(moves)),
		units:   map[sallyport.UnitID]*unitClock{}, lanes: map[sallyport.LaneID]*laneClock{}, lines: map[sallyport.LineID]*lineClock{},
		spots: map[sallyport.SpotID]*store{}, stretches: map[sallyport.StretchID]*stretchClock{}, people: map[sallyport.PersonID]*personClock{},
		out: map[sallyport.SerialID]sallyport.Instant{}, towed: map[sallyport.UnitID]int{},
	}
	for lane, list := range start.Lanes {
		for _, s := range list {
			u := t.unit(s.Unit)
			u.pos, u.noseIn = sallyport.AtLane(lane, ""), s.NoseIn
		}
	}
	for line, list := range start.Lines {
		for _, id := range list {
			t.unit(id).pos = sallyport.AtLine(line)
			t.unit(id).since = start.At
			t.line(line).store.put(start.At, t.ix.Unit(id))
			t.line(line).n++
		}
	}
	for spot, list := range start.Spots {
		for _, id := range list {
			t.unit(id).pos = sallyport.AtSpot(spot)
			t.spot(spot).put(start.At, t.ix.Unit(id))
		}
	}
	for id, b := range start.Busy {
		u := t.unit(id)
		u.free, u.since = max(u.free, b.Until), max(u.since, b.Until)
		if u.pos.Kind == sallyport.InLane {
			l := t.lane(sallyport.LaneID(u.pos.ID))
			l.end = max(l.end, b.Until)
		}
	}
	t.lookAhead()
	return t
}

// column lays the move of a whole serial between its line and the arena.
func (t *timetable) column(i int) {
	m := &t.moves[i]
	s := t.ix.Serial(m.Serial)
	at := max(t.at, m.Start)
	if s != nil {
		at = s.Leave()
		if m.Kind == sallyport.MoveHome {
			at = s.ArenaOut
		}
	}
	due, held := at, sallyport.UnitID("")
	for _, id := range m.Units {
		u := t.unit(id)
		if u.free > at {
			at, held = u.free, id
		}
		t.afterOwn(i, id)
	}
	line := t.line(sallyport.LineID(m.From.ID))
	home := m.Kind == sallyport.MoveHome
	if home {
		line = t.line(sallyport.LineID(m.To.ID))
	}
	j := &job{i: i, m: m, takes: m.Takes}
	t.lineLimits(j, line, home)
	at = t.fit(j, at)
	if at > due {
		why := j.held
		if held != "" {
			why = t.ix.UnitName(held)
		}
		t.late = append(t.late, lateness{move: i, by: sallyport.Seconds(at - due), why: why})
	}
	m.Start = at
	for _, id := range m.Units {
		u := t.unit(id)
		u.free, u.since, u.moved = m.Ends(), m.Ends(), i+1
		u.pos = sallyport.Pos{Kind: m.To.Kind, ID: m.To.ID}
	}
	t.lineMoved(j, line, home, m.Units)
}

// finish puts the moves in order of time, gives them ids and turns links into
// waits.
func (t *timetable) finish() []sallyport.Move {
	order := make([]int, len(t.moves))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(t.moves[a].Start, t.moves[b].Start) })
	taken := map[sallyport.MoveID]bool{}
	for i := range t.moves {
		taken[t.moves[i].ID] = true
	}
	width := len(fmt.Sprint(len(order)))
	for n, i := range order {
		if t.moves[i].ID != "" {
			continue
		}
		id := sallyport.MoveID(fmt.Sprintf("m%0*d", width, n+1))
		for taken[id] {
			id += "a"
		}
		taken[id] = true
		t.moves[i].ID = id
	}
	result := make([]sallyport.Move, len(order))
	for n, i := range order {
		m := t.moves[i]
		links := t.needed(i)
		slices.SortFunc(links, func(a, b int) int {
			return cmp.Or(cmp.Compare(t.moves[a].Start, t.moves[b].Start), cmp.Compare(a, b))
		})
		m.After = slices.Clone(m.After)
		for _, k := range links {
			m.After = append(m.After, sallyport.Wait{Move: t.moves[k].ID})
		}
		for _, k := range t.begun[i] {
			if !slices.Contains(links, k) {
				m.After = append(m.After, sallyport.Wait{Begun: t.moves[k].ID})
			}
		}
		m.After = append(m.After, t.after[i]...)
		result[n] = m
	}
	return result
}

// needed returns the links of move i without those that the others imply.
func (t *timetable) needed(i int) []int {
	all := slices.Concat(t.link[i], t.implied[i])
	var links []int
	for _, k := range t.link[i] {
		follows := slices.ContainsFunc(all, func(o int) bool {
			return o != k && (slices.Contains(t.link[o], k) || slices.Contains(t.implied[o], k))
		})
		if !follows && !slices.Contains(t.implied[i], k) && !slices.Contains(links, k) {
			links = append(links, k)
		}
	}
	return links
}

// afterOwn has move i wait for the unit's last move. That needs no link, save
// when it was made as part of a combination.
func (t *timetable) afterOwn(i int, id sallyport.UnitID) {
	k := t.unit(id).last()
	switch {
	case k < 0:
	case slices.Contains(unitsOf(&t.moves[k]), id):
		t.implied[i] = append(t.implied[i], k)
	default:
		t.link[i] = append(t.link[i], k)
	}
}

func (t *timetable) unit(id sallyport.UnitID) *unitClock {
	u := t.units[id]
	if u == nil {
		u = &unitClock{pos: sallyport.Pos{Kind: sallyport.InAway}, free: t.at}
		t.units[id] = u
	}
	return u
}

func (t *timetable) lane(id sallyport.LaneID) *laneClock {
	l := t.lanes[id]
	if l == nil {
		l = &laneClock{last: -1, pushed: map[sallyport.End]sallyport.Instant{}}
		t.lanes[id] = l
	}
	return l
}

func (t *timetable) stretch(id sallyport.StretchID) *stretchClock {
	s := t.stretches[id]
	if s == nil {
		s = &stretchClock{}
		t.stretches[id] = s
	}
	return s
}

// wait records that a move waits for another, and has it start no earlier.
func (t *timetable) wait(j *job, k int) {
	if k < 0 || k == j.i {
		return
	}
	t.link[j.i] = append(t.link[j.i], k)
}
