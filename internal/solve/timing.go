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
	h := haste{close: map[int]bool{}, early: map[int]bool{}}
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
	early map[int]bool // pull-outs made before the serial's time for them, and moves to duty made earlier than usual
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

// earlyBy is how much earlier than usual a pull-out may be that keeps others
// from being late.
const earlyBy = 15 * 60

// more adds what could help those who are late in t, and reports whether
// there is anything new to try.
func (h *haste) more(t *timetable) bool {
	h.tries++
	before := len(h.close) + len(h.early)
	for _, l := range t.late {
		m := &t.moves[l.move]
		for _, line := range []sallyport.Pos{m.From, m.To} {
			if line.Kind == sallyport.InLine && m.Unit != "" {
				h.follow(t, l.move, line.ID, l.by)
			}
		}
		for _, k := range t.link[l.move] {
			if o := &t.moves[k]; o.Kind == sallyport.MovePullOut && o.Serial != m.Serial && o.Ends() >= m.Start {
				h.hurry(t, k)
			}
		}
		switch {
		case m.Kind == sallyport.MovePullOut && h.tries > 2:
			h.begin(t, l)
		case m.Kind == sallyport.MoveDuty:
			h.early[l.move] = true
		}
	}
	return len(h.close)+len(h.early) > before && h.tries <= mostTries
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
		if here && m.Ends()+earlyBy < t.moves[late].Start {
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
		h.early[i] = true
		by -= t.moves[i].Takes
	}
}

// hurry makes a pull-out early, on a strict line with all before it.
func (h *haste) hurry(t *timetable, k int) {
	h.early[k] = true
	m := &t.moves[k]
	if t.line(sallyport.LineID(m.To.ID)).line.Out != sallyport.OutStrict {
		return
	}
	for _, i := range t.pulls[m.Serial] {
		if i < k {
			h.early[i] = true
		}
	}
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

// timetable is what Lay knows while it goes through the moves in their order.
type timetable struct {
	show    *sallyport.Show
	ix      *sallyport.Index
	at      sallyport.Instant
	moves   []sallyport.Move
	link    [][]int            // moves that each move waits for, by number
	implied [][]int            // those that it waits for anyway: its units' last
	after   [][]sallyport.Wait // what else it waits for

	causes    []cause
	early     map[cause]bool               // for what some go out earlier than usual
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
		implied: make([][]int, len(moves)),
		units:   map[sallyport.UnitID]*unitClock{}, lanes: map[sallyport.LaneID]*laneClock{}, lines: map[sallyport.LineID]*lineClock{},
		spots: map[sallyport.SpotID]*store{}, stretches: map[sallyport.StretchID]*stretchClock{}, people: map[sallyport.PersonID]*personClock{},
		out: map[sallyport.SerialID]sallyport.Instant{},
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
	t.lookAhead()
	return t
}

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
	t.early = map[cause]bool{}
	for i := range t.haste.early {
		t.early[t.causes[i]] = true
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
		if s != nil && m.Nominal == 0 {
			return s.HomeBy
		}
		if d := t.ix.Day(m.Nominal.Day()); d != nil {
			return d.EngineTo
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
			if t.haste.early[i] {
				at = max(t.at, s.FormFrom-earlyBy)
			}
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
			if t.haste.early[i] {
				at = max(t.at, at-earlyBy)
			}
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
			if t.early[t.causes[i]] {
				at = max(t.at, at-earlyBy)
			}
		}
	}
	return at
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

// isLastPull reports whether move i is the last pull-out of its serial.
func (t *timetable) isLastPull(i int) bool {
	m := &t.moves[i]
	pulls := t.pulls[m.Serial]
	return m.Kind == sallyport.MovePullOut && pulls[len(pulls)-1] == i
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
