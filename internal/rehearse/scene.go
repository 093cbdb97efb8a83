package rehearse

import (
	"slices"

	sp "sallyport"
)

// scene is one failure: who, how, when, and what stands where then.
type scene struct {
	*rehearsal
	trip   *trip
	kind   sp.FailureKind
	at     sp.Instant
	next   int        // the first move that is still to come
	before *sp.Player // with the failed unit where it fails
	place  string
	lane   sp.LaneID // in or across whose end it stands; empty: none
}

// scenes say, for each kind of failure, what the park looks like then; they
// return false when the failure cannot happen on that trip. Adding a kind
// means adding a line here.
var scenes = map[sp.FailureKind]func(s *scene) bool{
	sp.FailLate:      func(s *scene) bool { return s.inLane(false) },
	sp.FailInLane:    func(s *scene) bool { return s.inLane(true) },
	sp.FailInMouth:   (*scene).inMouth,
	sp.FailOnLine:    (*scene).onLine,
	sp.FailOnRoad:    (*scene).onRoad,
	sp.FailInArena:   (*scene).inArena,
	sp.FailReversing: (*scene).reversing,
}

// scene returns the failure of a kind on a trip, nil when it cannot be.
func (r *rehearsal) scene(t *trip, kind sp.FailureKind) *scene {
	s := &scene{rehearsal: r, trip: t, kind: kind}
	if !scenes[kind](s) {
		return nil
	}
	return s
}

// begin sets the scene before move i.
func (s *scene) begin(i int) {
	s.next, s.at = i, s.moves[min(i, len(s.moves)-1)].Start
	s.before = s.stood[i].Branch()
}

// inLane: it stands in its lane and does not start, or not yet.
func (s *scene) inLane(broken bool) bool {
	m := &s.moves[s.trip.out]
	if m.From.Kind != sp.InLane || m.ByHand || !s.trip.unit.HasEngine() || !broken && m.Kind == sp.MoveAside {
		return false
	}
	s.begin(s.trip.out)
	if s.before.Where(s.trip.unit.ID).Kind != sp.InLane {
		return false
	}
	if broken {
		s.before.Break(s.trip.unit.ID)
	}
	s.lane, s.place = sp.LaneID(m.From.ID), s.ix.PosName(m.From)
	return true
}

// inMouth: it stands half out of its lane.
func (s *scene) inMouth() bool {
	if !s.inLane(true) {
		return false
	}
	m := &s.moves[s.trip.out]
	end, _ := s.before.Exit(s.trip.unit.ID, m.From.End)
	if end == "" {
		return false
	}
	s.before.Obstruct(s.trip.unit.ID, s.lane, end)
	s.place = "the " + string(end) + " of " + s.ix.PosName(m.From)
	return true
}

// onLine: it stands on its line when the column is to leave.
func (s *scene) onLine() bool {
	if s.trip.col < 0 {
		return false
	}
	m := &s.moves[s.trip.col]
	s.begin(s.trip.col)
	if s.before.Where(s.trip.unit.ID) != (sp.Pos{Kind: sp.InLine, ID: m.From.ID}) {
		return false
	}
	s.before.Break(s.trip.unit.ID)
	s.place = s.ix.PosName(m.From)
	return true
}

// onRoad: it has left the line with its column and stops on the way.
func (s *scene) onRoad() bool {
	if !s.onLine() {
		return false
	}
	s.before.Remove(s.trip.unit.ID)
	s.place = "the road from " + s.place + " to the arena"
	return true
}

// inArena: it stands in the arena and stays there.
func (s *scene) inArena() bool {
	switch stays := s.moves[s.trip.out].Kind == sp.MoveHome; {
	case stays:
		s.begin(s.trip.home)
		s.at = s.trip.row.At
	case s.trip.col < 0:
		return false
	default:
		s.begin(s.trip.col + 1)
		s.at = s.moves[s.trip.col].Ends()
	}
	if s.before.Where(s.trip.unit.ID).Kind != sp.InArena {
		return false
	}
	s.before.Break(s.trip.unit.ID)
	s.place = "the arena"
	return true
}

// reversing: it stands half into its lane on the way home, whether it comes in
// backwards or forwards.
func (s *scene) reversing() bool {
	if s.trip.back < 0 {
		return false
	}
	m := &s.moves[s.trip.back]
	if m.ByHand {
		return false
	}
	s.begin(s.trip.back)
	at := s.before.Where(s.trip.unit.ID)
	if at.Kind != m.From.Kind || at.ID != m.From.ID && at.Kind != sp.InDuty {
		return false
	}
	end := m.To.End
	switch s.ix.Lane(sp.LaneID(m.To.ID)).Kind {
	case sp.Through:
		end = sp.Tail
	case sp.Open:
		if end == "" {
			end = sp.Mouth
		}
	default:
		end = sp.Mouth
	}
	s.before.Break(s.trip.unit.ID)
	s.lane = sp.LaneID(m.To.ID)
	s.before.Obstruct(s.trip.unit.ID, s.lane, end)
	s.place = "the " + string(end) + " of " + s.ix.PosName(m.To)
	return true
}

// others returns those of a list of entries that the failed unit does not
// serve itself.
func (s *scene) others(list []sp.EntryID) []sp.EntryID {
	return slices.DeleteFunc(slices.Clone(list), func(e sp.EntryID) bool { return s.by[e] == s.trip.unit.ID })
}

// value sums up what entries are worth.
func (r *rehearsal) value(list []sp.EntryID) int {
	sum := 0
	for _, id := range list {
		sum += r.ix.Entry(id).Worth()
	}
	return sum
}
