package rehearse

import (
	"fmt"

	sp "sallyport"
)

// lateCell says how late a vehicle may start: so that nobody is late, and so
// that at least everybody goes, at the tail of the line if need be. What is
// lost when it starts later than that is what is lost when it does not start.
func (s *scene) lateCell() sp.FailureCell {
	never := s.play(clearing{})
	c := sp.FailureCell{
		Kind: s.kind, At: s.at, Place: s.place, ShutIn: never.shutIn, Lost: never.lost, LostValue: s.value(never.lost),
		Stranded: never.stranded, Duties: never.duties,
	}
	late := func(minutes int64, holds bool) outcome {
		return s.play(clearing{cure: sp.CureWait, goes: true, holds: holds, when: s.at + sp.Instant(sp.Minutes(minutes))})
	}
	fine := func(o outcome) bool { return len(o.lost) == 0 && len(o.duties) == 0 }
	formed, leaves := s.latest()
	inTime := s.longest(formed, func(n int64) bool { o := late(n, true); return fine(o) && len(o.late) == 0 })
	atTail := max(inTime, s.longest(leaves, func(n int64) bool { return fine(late(n, false)) }))
	c.Takes = sp.Minutes(max(0, inTime))
	cut := s.at + sp.Instant(c.Takes)
	c.Cures = append(c.Cures, sp.Cure{
		Kind: sp.CureWait, Takes: c.Takes, Until: cut,
		Says: fmt.Sprintf("%s at the latest, %s after its time", cut.Clock(), c.Takes.Words()),
	})
	c.Cures = append(c.Cures, s.slaveLead()...)
	if atTail > inTime {
		tail := s.at + sp.Instant(sp.Minutes(atTail))
		says := fmt.Sprintf("up to %s, it or who waits behind it", tail.Clock())
		c.Late = late(atTail, false).late
		c.Cures = append(c.Cures, sp.Cure{Kind: sp.CureTail, Takes: sp.Minutes(atTail), Until: tail, Says: says})
	}
	if next := s.nextSerial(); next != nil {
		c.Cures = append(c.Cures, sp.Cure{
			Kind: sp.CureOrder, Entry: s.trip.row.Entry, Until: next.FormUp,
			Says: fmt.Sprintf("later than that it goes with %s, formed up by %s, if the arena agrees", s.ix.SerialName(next.ID), next.FormUp.Clock()), MayNot: true,
		})
	}
	return c
}

// latest returns the most minutes for which it could wait by itself: so as to
// be on its line when the serial is to be formed up, and when the column
// leaves. For a duty both end when that begins.
func (s *scene) latest() (formed, leaves int64) {
	m := &s.moves[s.trip.out]
	minutes := func(end sp.Instant) int64 { return max(0, int64(end-m.Ends())/60) }
	if d := s.ix.Duty(s.trip.row.Duty); d != nil {
		return minutes(d.From), minutes(d.From)
	}
	if x := s.ix.Serial(s.trip.row.Serial); x != nil {
		return minutes(x.FormUp), minutes(x.Leave())
	}
	return 0, 0
}

// longest returns the most minutes, up to most, that are still fine; -1 when
// not even none are. What is fine for some minutes is taken to be fine for
// fewer.
func (s *scene) longest(most int64, fine func(minutes int64) bool) int64 {
	if fine(most) {
		return most
	}
	low, high := int64(-1), most-1
	for low < high {
		mid := (low + high + 1) / 2
		if fine(mid) {
			low = mid
		} else {
			high = mid - 1
		}
	}
	return low
}

// nextSerial returns the next serial of the day in which the unit has no
// entry yet and is not on its way.
func (s *scene) nextSerial() *sp.Serial {
	now := s.ix.Serial(s.trip.row.Serial)
	if now == nil {
		return nil
	}
	for _, x := range s.ix.SerialsInTime {
		if x.FormUp > now.FormUp && x.FormUp.Day() == now.FormUp.Day() && x.FormFrom > s.at && !s.busy(s.trip.unit.ID, x.FormFrom, x.HomeBy) {
			return x
		}
	}
	return nil
}
