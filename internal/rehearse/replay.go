package rehearse

import (
	"slices"

	sp "sallyport"
)

// clearing is how and when the failed unit gets out of the way. The zero value
// means that it stays where it is until the evening.
type clearing struct {
	cure     sp.CureKind
	when     sp.Instant // 0: never
	goes     bool       // it goes on by its own engine: a late start
	move     sp.Move    // else: what takes it away; To is filled in
	spots    []sp.Pos   // where it can go, best first; empty: off the park
	holds    bool       // those who go behind it on a strict line wait for it
	otherEnd bool       // who is shut in leaves by the other end of the lane
	seeks    bool       // when a towing vehicle is free to come
	reserves bool       // reserves take the places of those who cannot come
}

// outcome is what the rest of the day comes to.
type outcome struct {
	lost     []sp.EntryID // in order of time
	late     []sp.EntryID
	shutIn   []sp.UnitID // who could not leave its lane when it was due
	stranded []sp.UnitID
	duties   []sp.DutyID
	to       sp.Pos // where the failed unit went
	cleared  bool
	when     sp.Instant // when it is cleared
	tower    sp.UnitID  // who tows
	reserves []stand    // in order of time
	byEnd    []stand    // who left by the other end
}

// stand is one unit that steps in for an entry, or goes another way.
type stand struct {
	unit  sp.UnitID
	entry sp.EntryID
}

// replay plays the rest of a day after a failure.
type replay struct {
	*scene
	clearing
	p       *sp.Player
	out     outcome
	pending []sp.Move // waiting for the way to be cleared, in their order
	waits   map[sp.UnitID]bool
	stuck   []sp.Move            // returns that find no way off their line
	gone    map[sp.SerialID]bool // columns that have left
	served  map[sp.EntryID]bool
	tail    map[stand]bool // who joins its serial's line late
	guests  map[sp.SerialID][]sp.Move
	sought  sp.Instant // when a towing vehicle was last looked for
}

// play plays the rest of the day with a clearing. It is the judge's play, move
// by move, by order alone; a move that breaks a rule which the plan as it is
// keeps is not made. Its unit stands where it stands: what it was to do that
// needs the move is not done either. Once the way is clear, what waited for it
// is done at once, one after the other, as far as it is still in time: on the
// line before the column leaves.
func (s *scene) play(c clearing) outcome {
	r := &replay{
		scene: s, clearing: c, p: s.before.Branch(), waits: map[sp.UnitID]bool{}, gone: map[sp.SerialID]bool{},
		served: map[sp.EntryID]bool{}, tail: map[stand]bool{}, guests: map[sp.SerialID][]sp.Move{},
	}
	i := s.next
	r.seek(s.at)
	for ; i < len(s.moves) && s.moves[i].Start.Day() == s.at.Day(); i++ {
		if r.due(s.moves[i].Start) {
			r.clear()
		}
		r.seek(s.moves[i].Start)
		r.do(&s.moves[i])
	}
	if r.due(sp.At(s.at.Day()+1, 0, 0)) {
		r.clear()
	}
	r.count(i)
	return r.out
}

// seekEvery is the least time between two looks for a towing vehicle.
const seekEvery sp.Instant = 300

// seek looks for a vehicle that can come and tow now, if that is the cure and
// none has been found.
func (r *replay) seek(now sp.Instant) {
	if !r.seeks || r.when != 0 || r.out.cleared || r.sought != 0 && now < r.sought+seekEvery {
		return
	}
	r.sought = now
	u := r.trip.unit
	ends := now + sp.Instant(r.opt.Fetch+r.ix.Pace(sp.MoveCouple, u.Gear)+r.move.Takes)
	if r.publicInside(now, ends) {
		return
	}
	if h := r.helper(r.p, now, ends, r.mayTow); h != "" {
		r.when, r.out.tower, r.move.Helper, r.move.Start = ends, h, h, ends-sp.Instant(r.move.Takes)
	}
}

// hopes reports whether the way may still be cleared.
func (r *replay) hopes() bool { return !r.out.cleared && (r.when != 0 || r.seeks) }

// due reports whether the way is to be cleared by t and has not been.
func (r *replay) due(t sp.Instant) bool {
	return r.when != 0 && !r.out.cleared && r.when <= t
}

// failed reports whether the unit is the failed one and does not go on.
func (r *replay) failed(u sp.UnitID) bool {
	return u == r.trip.unit.ID && !(r.goes && r.out.cleared)
}

// do plays the next move, as far as it still makes sense.
func (r *replay) do(m *sp.Move) {
	switch m.Kind {
	case sp.MoveOut:
		r.columnOut(m)
		return
	case sp.MoveHome:
		r.columnHome(m)
		return
	}
	if r.failed(m.Unit) || r.waits[m.Unit] {
		if r.waits[m.Unit] || r.goes && r.hopes() {
			r.hold(*m)
		}
		return
	}
	if r.holds && !r.out.cleared && m.Kind == sp.MovePullOut && m.Serial == r.trip.row.Serial && r.strict(m.To) {
		r.hold(*m)
		return
	}
	r.one(*m)
}

// strict reports whether a position is a line that is filled in order.
func (r *replay) strict(at sp.Pos) bool {
	l := r.ix.Line(sp.LineID(at.ID))
	return at.Kind == sp.InLine && l != nil && l.Out == sp.OutStrict
}

// hold keeps a move until the way is clear.
func (r *replay) hold(m sp.Move) {
	r.pending = append(r.pending, m)
	r.waits[m.Unit] = true
}

// one plays a move of one unit.
func (r *replay) one(m sp.Move) {
	if !r.adapt(&m) {
		return
	}
	if r.hopes() && !r.goes && r.shutsIn(&m) {
		r.hold(m)
		return
	}
	bad := r.p.Try(&m, r.harms)
	switch {
	case len(bad) == 0:
		r.unstick(m.From)
	case r.otherEnd && r.leaves(&m) && r.byOtherEnd(m):
		return
	case r.hopes():
		r.hold(m)
	case m.To.Kind == sp.InLane:
		r.strand(m)
	case r.leaves(&m):
		r.shut(&m)
	}
}

// shutsIn reports whether m would put a vehicle before the failed one, which
// waits in its lane to be taken away.
func (r *replay) shutsIn(m *sp.Move) bool {
	return m.To.Kind == sp.InLane && sp.LaneID(m.To.ID) == r.lane && r.ix.Lane(r.lane).Kind != sp.Through &&
		r.p.Where(r.trip.unit.ID).Kind == sp.InLane
}

// leaves reports whether m takes its unit out of a lane.
func (r *replay) leaves(m *sp.Move) bool {
	return m.From.Kind == sp.InLane && m.To.Kind != sp.InLane
}

// shut notes a unit that cannot leave its lane.
func (r *replay) shut(m *sp.Move) {
	if !slices.Contains(r.out.shutIn, m.Unit) {
		r.out.shutIn = append(r.out.shutIn, m.Unit)
	}
	if m.Kind == sp.MoveDuty {
		r.out.duties = append(r.out.duties, m.Duty)
	}
}

// tolerated are rules whose breach hinders nobody here: times are counted
// apart, and a broken-down vehicle has been said to stand where it stands.
var tolerated = map[sp.Rule]bool{
	sp.RuleLate: true, sp.RuleHomeLate: true, sp.RuleTimes: true, sp.RulePace: true, sp.RuleStandby: true, sp.RuleIdle: true, sp.RuleReserve: true,
}

// harms reports whether a fault keeps a move from being made: one that the
// plan has not got as it is.
func (r *replay) harms(f sp.Fault) bool {
	if tolerated[f.Rule] || r.known[breach{f.Rule, f.Move}] {
		return false
	}
	if f.Rule == sp.RuleLineOrder && len(r.tail) > 0 {
		for _, u := range f.Units {
			if r.tail[stand{unit: u, entry: sp.EntryID(f.Serial)}] {
				return false
			}
		}
	}
	return true
}

// adapt turns a move of the plan to where its unit stands now; false when it
// makes no sense any more.
func (r *replay) adapt(m *sp.Move) bool {
	at := r.p.Where(m.Unit)
	switch m.Kind {
	case sp.MovePullOut:
		if at.Kind == sp.InLine {
			m.Kind, m.From, m.Reverse = sp.MoveAcross, at, false
			return true
		}
		return r.from(m, at, sp.InLane, sp.InSpot)
	case sp.MoveDuty, sp.MoveDepart:
		return r.from(m, at, sp.InLane, sp.InLine, sp.InSpot)
	case sp.MoveReturn, sp.MoveAcross:
		return r.from(m, at, sp.InLine)
	case sp.MoveAside:
		return r.from(m, at, sp.InLane)
	case sp.MoveBack:
		return r.from(m, at, sp.InSpot)
	case sp.MoveCouple, sp.MovePart:
		return true
	}
	return at.Kind == m.From.Kind && (at.ID == m.From.ID || at.Kind != sp.InLane && at.Kind != sp.InLine && at.Kind != sp.InSpot)
}

// from lets m begin where its unit is, if that is of a kind it may begin at.
func (r *replay) from(m *sp.Move, at sp.Pos, kinds ...sp.PosKind) bool {
	if !slices.Contains(kinds, at.Kind) {
		return false
	}
	if at.Kind != m.From.Kind || at.ID != m.From.ID {
		m.From = at
	}
	if at.Kind == sp.InLane && !m.ByHand && m.To.Kind != sp.InLane {
		_, m.Reverse = r.p.Exit(m.Unit, m.From.End)
	}
	return true
}

// byOtherEnd lets a unit out of an open lane by the end that the plan does not
// use.
func (r *replay) byOtherEnd(m sp.Move) bool {
	if r.ix.Lane(sp.LaneID(m.From.ID)).Kind != sp.Open {
		return false
	}
	if m.From.End == sp.Tail {
		m.From.End = sp.Mouth
	} else {
		m.From.End = sp.Tail
	}
	_, m.Reverse = r.p.Exit(m.Unit, m.From.End)
	if len(r.p.Try(&m, r.harms)) > 0 {
		return false
	}
	r.out.byEnd = append(r.out.byEnd, stand{m.Unit, r.entryOf(m.Serial, m.Unit, m.Entry)})
	return true
}

// clear takes the failed unit out of the way, or lets it go on, and does what
// has waited for that. It is done at the moment of the clearing.
func (r *replay) clear() {
	switch {
	case r.goes:
		r.out.cleared = true
	case len(r.spots) == 0:
		if r.p.Where(r.trip.unit.ID).Kind != sp.InAway {
			r.p.Remove(r.trip.unit.ID)
		}
		r.out.cleared = true
	default:
		for _, to := range r.spots {
			m := r.move
			m.To = to
			if len(r.p.Try(&m, r.harmsClearing)) == 0 {
				r.out.to, r.out.cleared = to, true
				break
			}
		}
	}
	r.out.when = r.when
	list, was := r.pending, r.before.Where(r.trip.unit.ID)
	r.pending = nil
	clear(r.waits)
	if !r.out.cleared {
		r.when, r.seeks = 0, false // there is no place to take it to after all
	}
	ready := map[string]sp.Instant{}
	for _, m := range list {
		r.resume(m, ready)
	}
	r.unstick(was)
}

// harmsClearing is harms for the move that takes the failed unit away: it
// breaks down the order on a line, and that is what it is for.
func (r *replay) harmsClearing(f sp.Fault) bool {
	return f.Rule != sp.RuleLineOrder && f.Rule != sp.RuleOffRoad && r.harms(f)
}

// follow is how long after one another vehicles start that follow each other
// onto a strict line.
const follow sp.Instant = 30

// resume makes a move that has waited, if it is still in time. ready says when
// the last one through each lane was over.
func (r *replay) resume(m sp.Move, ready map[string]sp.Instant) {
	lane := m.From.ID
	if m.To.Kind == sp.InLane {
		lane = m.To.ID
	}
	if r.out.cleared {
		m.Start = max(m.Start, r.when, ready[lane])
		if r.strict(m.To) {
			m.Start = max(m.Start, ready[m.To.ID])
			ready[m.To.ID] = m.Start + follow
		}
	}
	s := r.ix.Serial(m.Serial)
	if s != nil && (m.Kind == sp.MovePullOut || m.Kind == sp.MoveAcross) {
		warm := sp.Instant(0)
		if u := r.ix.Unit(m.Unit); u.WarmWhere == sp.WarmOnLine {
			warm = sp.Instant(u.WarmUp)
		}
		if r.gone[s.ID] || m.Ends()+warm > s.Leave() {
			if r.leaves(&m) {
				r.shut(&m)
			}
			return
		}
		if m.Ends() > s.FormUp || r.behindOthers(&m) {
			r.tail[stand{unit: m.Unit, entry: sp.EntryID(s.ID)}] = true
		}
	}
	if d := r.ix.Duty(m.Duty); d != nil && m.Kind == sp.MoveDuty && m.Ends() > d.From {
		r.shut(&m)
		return
	}
	if ready[lane] < m.Ends() {
		ready[lane] = m.Ends()
	}
	r.one(m)
}

// behindOthers reports whether a unit that was to be on a strict line already
// finds those there who go behind it.
func (r *replay) behindOthers(m *sp.Move) bool {
	if !r.strict(m.To) {
		return false
	}
	try := *m
	if !r.adapt(&try) {
		return false
	}
	return slices.ContainsFunc(r.p.Branch().Do(&try), func(f sp.Fault) bool { return f.Rule == sp.RuleLineOrder })
}
