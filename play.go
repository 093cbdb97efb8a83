package sallyport

import (
	"fmt"
	"slices"
)

// Play plays moves in their order from a state and returns the state after
// each move and every breach of a rule. It is the only judge: checking,
// replanning, rehearsing and dragging on a screen all call it. A move that
// cannot be is reported and then done as far as it makes sense, so that one
// mistake does not hide the next. The show must be complete (Complete).
func Play(show *Show, state State, moves []Move) ([]State, []Fault) {
	states := make([]State, len(moves))
	faults := playThrough(NewIndex(show), state, moves, func(i int, p *Player) { states[i] = p.State() })
	return states, faults
}

// PlayFaults is Play without the states: what many plays of one show take.
func PlayFaults(ix *Index, state State, moves []Move) []Fault {
	return playThrough(ix, state, moves, func(int, *Player) {})
}

// playThrough plays moves and calls after with the number of each.
func playThrough(ix *Index, state State, moves []Move, after func(i int, p *Player)) []Fault {
	p := NewPlayer(ix, state)
	p.prepare(moves)
	for i := range moves {
		p.Do(&moves[i])
		after(i, p)
	}
	p.finish()
	p.judgeMoves(moves)
	sortFaults(p.faults)
	return p.faults
}

// Player plays single moves on a state of its own.
type Player struct {
	ix     *Index
	now    Instant
	where  map[UnitID]Pos // units that are away have none
	lanes  map[LaneID][]Standing
	lines  map[LineID][]UnitID
	spots  map[SpotID][]UnitID
	arena  []UnitID
	duty   []UnitID
	off    map[UnitID]bool // off the road by the state, not by the show
	parted map[UnitID]bool

	free   map[UnitID]Instant      // when its last move ends
	ends   map[laneEnd][]through   // moves under way through each lane end
	since  map[UnitID]Instant      // when it came to where it is
	open   map[UnitID]laneStay     // the stay that each unit in a lane is in
	uses   []use                   // of frontage stretches so far
	pushed map[laneEnd][]pushedOut // by hand or tow, so far

	lastPull  map[SerialID]MoveID // the last pull-out of each serial, known to Play
	serves    map[part]EntryID    // for which entry a unit was pulled out
	standIns  bool                // some unit was pulled out for an entry that may not be its first
	stuck     map[UnitID]bool     // standby units already reported as obstructed
	mornings  []Instant           // still to come
	faults    []Fault
	move      *Move // being played
	structure bool  // only who stands where; no clocks
}

type laneEnd struct {
	lane LaneID
	end  End
}

// through is a move through one end of a lane.
type through struct {
	move       *Move
	ends       Instant
	forwardOut bool // out of the lane, driven forwards
}

// laneStay is one stay of a unit in a lane as played.
type laneStay struct {
	unit     UnitID
	lane     LaneID
	from, to Instant
}

// NewPlayer returns a player that starts from state.
func NewPlayer(ix *Index, state State) *Player {
	p := &Player{
		ix: ix, now: state.At,
		where: map[UnitID]Pos{}, lanes: map[LaneID][]Standing{}, lines: map[LineID][]UnitID{}, spots: map[SpotID][]UnitID{},
		off: map[UnitID]bool{}, parted: map[UnitID]bool{}, free: map[UnitID]Instant{}, ends: map[laneEnd][]through{},
		since: map[UnitID]Instant{}, pushed: map[laneEnd][]pushedOut{}, open: map[UnitID]laneStay{}, stuck: map[UnitID]bool{},
		serves: map[part]EntryID{}, arena: slices.Clone(state.Arena), duty: slices.Clone(state.Duty),
	}
	for lane, list := range state.Lanes {
		p.lanes[lane] = slices.Clone(list)
		for _, s := range list {
			p.where[s.Unit] = Pos{Kind: InLane, ID: string(lane)}
			p.open[s.Unit] = laneStay{unit: s.Unit, lane: lane, from: state.At}
		}
	}
	for line, list := range state.Lines {
		p.lines[line] = slices.Clone(list)
		for _, u := range list {
			p.where[u] = AtLine(line)
		}
	}
	for spot, list := range state.Spots {
		p.spots[spot] = slices.Clone(list)
		for _, u := range list {
			p.where[u] = AtSpot(spot)
		}
	}
	for _, u := range state.Arena {
		p.where[u] = Pos{Kind: InArena}
	}
	for _, u := range state.Duty {
		p.where[u] = Pos{Kind: InDuty}
	}
	for _, u := range state.OffRoad {
		p.off[u] = true
	}
	for _, u := range state.Parted {
		p.parted[u] = true
	}
	for u, b := range state.Busy {
		p.free[u], p.since[u] = b.Until, b.Until
	}
	for d := range ix.Show.Days {
		if m := ix.Morning(d + 1); m > state.At {
			p.mornings = append(p.mornings, m)
		}
	}
	return p
}

// prepare tells the player what is to come, for the rules that look ahead.
func (p *Player) prepare(moves []Move) {
	p.lastPull = map[SerialID]MoveID{}
	for _, m := range moves {
		if m.Kind == MovePullOut {
			p.lastPull[m.Serial] = m.ID
		}
	}
}

// State returns a copy of what stands where now.
func (p *Player) State() State {
	s := State{At: p.now, Lanes: make(map[LaneID][]Standing, len(p.lanes)), Arena: slices.Clone(p.arena), Duty: slices.Clone(p.duty)}
	// Lists are never changed in place, so states may share them.
	for k, v := range p.lanes {
		if len(v) > 0 {
			s.Lanes[k] = v
		}
	}
	for k, v := range p.lines {
		if len(v) > 0 {
			if s.Lines == nil {
				s.Lines = map[LineID][]UnitID{}
			}
			s.Lines[k] = v
		}
	}
	for k, v := range p.spots {
		if len(v) > 0 {
			if s.Spots == nil {
				s.Spots = map[SpotID][]UnitID{}
			}
			s.Spots[k] = v
		}
	}
	s.OffRoad, s.Parted = p.those(p.off), p.those(p.parted)
	return s
}

// those returns the units of a set, in the index's order.
func (p *Player) those(set map[UnitID]bool) []UnitID {
	var list []UnitID
	if len(set) == 0 {
		return nil
	}
	for _, u := range p.ix.UnitIDs {
		if set[u] {
			list = append(list, u)
		}
	}
	return list
}

// Do plays one move and returns the faults it met.
func (p *Player) Do(m *Move) []Fault {
	before := len(p.faults)
	p.move = m
	spec, ok := moveSpecs[m.Kind]
	if !ok {
		p.fault(RuleMove, "", nil, "there is no kind of move called %q", m.Kind)
		return p.faults[before:]
	}
	p.checkMornings(m.Start)
	switch {
	case p.structure:
	case m.Start < p.now:
		p.fault(RuleTimes, "", p.units(), "%s at %s comes after a move at %s in the list", p.what(), m.Start, p.now)
	default:
		p.now = m.Start
	}
	if m.Takes < 0 {
		p.fault(RuleTimes, "", p.units(), "%s takes %d s", p.what(), m.Takes)
	}
	if p.known(m, spec) {
		if spec.Column {
			spec.play(p)
		} else {
			p.one(m, spec)
		}
		for _, rule := range afterRules {
			rule(p)
		}
	}
	return p.faults[before:]
}

// one plays a move of one unit.
func (p *Player) one(m *Move, spec moveSpec) {
	u := p.ix.Unit(m.Unit)
	if t := p.free[m.Unit]; m.Start < t && !p.structure {
		p.fault(RuleTimes, "", p.units(), "%s starts at %s, before its last move is over at %s", p.what(), m.Start, t)
	}
	if pace := p.ix.Pace(m.Kind, u.Gear); m.Takes < pace && !p.structure {
		p.fault(RulePace, "", p.units(), "%s takes %s, but its pace is %s", p.what(), m.Takes.Words(), pace.Words())
	}
	if spec.play != nil {
		spec.play(p)
	} else {
		p.leave(m, u)
		p.enter(m, u)
	}
	p.free[m.Unit] = max(p.free[m.Unit], m.Ends())
}

// known reports whether all names of the move exist and its ends are of a
// sort that its kind allows; if not it reports the faults.
func (p *Player) known(m *Move, spec moveSpec) bool {
	ok := true
	bad := func(rule Rule, format string, args ...any) {
		ok = false
		p.fault(rule, "", p.units(), format, args...)
	}
	for _, u := range p.units() {
		if p.ix.Unit(u) == nil {
			bad(RuleUnknown, "move %s names the vehicle %q, which the show does not have", m.ID, u)
		}
	}
	if spec.Column == (len(m.Units) == 0) || spec.Column == (m.Unit != "") {
		bad(RuleMove, "move %s (%s) must name %s", m.ID, m.Kind, map[bool]string{true: "its units as a list", false: "one unit"}[spec.Column])
	}
	for _, pos := range []Pos{m.From, m.To} {
		if !p.ix.HasPos(pos) {
			bad(RuleUnknown, "move %s names %s, which the show does not have", m.ID, p.ix.PosName(pos))
		}
	}
	if !slices.Contains(spec.From, m.From.Kind) || !slices.Contains(spec.To, m.To.Kind) {
		bad(RuleMove, "move %s: %s does not go from %s to %s", m.ID, m.Kind, p.ix.PosName(m.From), p.ix.PosName(m.To))
	}
	if spec.Serial && p.ix.Serial(m.Serial) == nil {
		bad(RuleUnknown, "move %s names the serial %q, which the show does not have", m.ID, m.Serial)
	}
	if spec.Duty && p.ix.Duty(m.Duty) == nil {
		bad(RuleUnknown, "move %s names the duty %q, which the show does not have", m.ID, m.Duty)
	}
	if spec.Window && p.ix.Reset(m.Window) == nil {
		bad(RuleUnknown, "move %s names the reset window %q, which the show does not have", m.ID, m.Window)
	}
	return ok
}

// finish reports what only the end of the play shows.
func (p *Player) finish() {
	end := p.now
	for _, t := range p.free {
		end = max(end, t)
	}
	for _, u := range p.ix.UnitIDs {
		if s, ok := p.open[u]; ok {
			s.to = end + 1
			p.endStay(s)
		}
	}
}

// units returns who the present move moves.
func (p *Player) units() []UnitID { return p.move.who() }

// what returns the present move in words: "return of Dunlin".
func (p *Player) what() string {
	if p.move.Unit == "" {
		return fmt.Sprintf("%s of %s", p.move.Kind, p.ix.SerialName(p.move.Serial))
	}
	return fmt.Sprintf("%s of %s", p.move.Kind, p.ix.UnitName(p.move.Unit))
}

// fault records a breach by the present move.
func (p *Player) fault(rule Rule, place string, units []UnitID, format string, args ...any) {
	m := p.move
	p.faults = append(p.faults, Fault{
		Rule: rule, Place: place, At: m.Start, Units: units, Serial: m.Serial, Entry: m.Entry, Move: m.ID,
		Sentence: p.ix.Show.words(format, args...),
	})
}

// sortFaults puts faults in order of time; faults of one moment keep theirs.
func sortFaults(faults []Fault) {
	slices.SortStableFunc(faults, func(a, b Fault) int { return int(a.At - b.At) })
}
