package clear

import (
	"context"
	"fmt"
	"slices"

	sp "sallyport"
)

// Goes says where a unit goes that is let out: the kind of the move, its end,
// and what it is for. The rest is filled in.
type Goes map[sp.UnitID]sp.Move

// Solve looks for the fewest moves that let everybody out who is due. When
// lanes were left out, it claims no more than what holds with them: that
// everybody in the way must move once.
func (l *Lot) Solve(ctx context.Context, opt Options) Answer {
	a := Solve(ctx, &l.Problem, opt)
	if l.Left > 0 {
		b := newBoard(&l.Problem)
		b.settle()
		a.Bound = b.bad
		a.Proven = a.Found && a.Count <= b.bad
	}
	return a
}

// Moves returns an answer as moves of the park, one after the other, from
// begin on. A unit that goes nowhere in goes leaves the park; one that is off
// the road goes to the breakdown bay when there is one. Who is let out by his
// own engine warms up first where he does so in his lane: from begin on, or
// from when nobody stands before him any more in whom nobody sits.
func (l *Lot) Moves(a Answer, goes Goes, begin sp.Instant) []sp.Move {
	start := begin
	list := make([]sp.Move, 0, len(a.Moves))
	for n, m := range a.Moves {
		u, how := l.units[m.Item], l.means[m.Item]
		x := sp.Move{}
		if m.To < 0 {
			x = l.leaves(u, how, goes)
		} else {
			x.To = l.stands[m.To]
			x.Kind, x.Reverse = l.kindOf(m, how), m.Reverse
			if x.To.Kind == sp.InLane {
				x.To.End = endOf(l.ix.Lane(sp.LaneID(x.To.ID)), m.Enter)
			}
		}
		x.ID, x.Unit, x.From = sp.MoveID(fmt.Sprintf("clear-%d", n+1)), u.ID, l.stands[m.From]
		if x.From.Kind == sp.InLane {
			x.From.End = endOf(l.ix.Lane(sp.LaneID(x.From.ID)), m.Leave)
		}
		if x.To.Kind != sp.InLane {
			x.Reverse = m.ReverseOut
		}
		if how.tow {
			x.Helper, x.Reverse = how.helper, false
		}
		x.ByHand, x.Marshals = how.byHand, 1
		if m.To < 0 && x.From.Kind == sp.InLane {
			start = max(start, l.warm(u, how, list, x.From, begin))
		}
		x.Start, x.Takes = start, l.ix.Pace(x.Kind, u.Gear)
		start = x.Ends()
		list = append(list, x)
	}
	return list
}

// warm returns from when on a unit is warm enough to be let out of its lane
// after moves.
func (l *Lot) warm(u *sp.Unit, how means, moves []sp.Move, from sp.Pos, begin sp.Instant) sp.Instant {
	if u.WarmWhere != sp.WarmInLane || how.byHand || how.tow {
		return begin
	}
	since := begin
	for _, m := range moves {
		if (m.ByHand || m.Kind == sp.MoveTow) && m.From.Kind == from.Kind && m.From.ID == from.ID {
			since = max(since, m.Ends())
		}
	}
	return since + sp.Instant(u.WarmUp)
}

// kindOf returns the kind of a move that does not let its unit out. From lane
// to lane outside a reset window is a shift.
func (l *Lot) kindOf(m Move, how means) sp.MoveKind {
	switch {
	case how.tow:
		return sp.MoveTow
	case l.stands[m.To].Kind == sp.InSpot:
		return sp.MoveAside
	case l.stands[m.From].Kind == sp.InSpot:
		return sp.MoveBack
	}
	return sp.MoveShift
}

// endOf returns the end to name in a move: only open lanes have a choice.
func endOf(lane *sp.Lane, end sp.End) sp.End {
	if lane.Kind == sp.Open {
		return end
	}
	return ""
}

// leaves returns the move of a unit that is let out.
func (l *Lot) leaves(u *sp.Unit, how means, goes Goes) sp.Move {
	bay := slices.IndexFunc(l.ix.Show.Park.Spots, func(s sp.Spot) bool { return s.Use == sp.SpotBreakdown })
	x, ok := goes[u.ID]
	switch {
	case how.tow && bay >= 0:
		return sp.Move{Kind: sp.MoveTow, To: sp.AtSpot(l.ix.Show.Park.Spots[bay].ID)}
	case how.tow:
		return sp.Move{Kind: sp.MoveTow, To: sp.Pos{Kind: sp.InAway}}
	case how.byHand && bay >= 0:
		return sp.Move{Kind: sp.MoveAside, To: sp.AtSpot(l.ix.Show.Park.Spots[bay].ID)}
	case !ok || how.byHand:
		return sp.Move{Kind: sp.MoveDepart, To: sp.Pos{Kind: sp.InAway}}
	}
	return x
}

// Why says, a sentence each, what keeps those who are due from being let out,
// as far as one thing alone does.
func (l *Lot) Why() []string {
	var why []string
	say := func(format string, args ...any) {
		if text := fmt.Sprintf(format, args...); !slices.Contains(why, text) {
			why = append(why, text)
		}
	}
	for s, st := range l.Problem.Stands {
		pos := l.stands[s]
		deepest := -1
		for i, h := range st.Holds {
			if slices.Contains(l.ask.Due, l.units[h.Item].ID) {
				deepest = i
			}
		}
		if pos.Kind != sp.InLane || deepest < 0 {
			continue
		}
		lane := l.ix.Lane(sp.LaneID(pos.ID))
		l.whyBarred(lane, say)
		l.whyNoRoom(s, say)
		for i, h := range st.Holds[:deepest+1] {
			u, how := l.units[h.Item], l.means[h.Item]
			switch shut := how.fixed && (st.Kind != Either || i == deepest); {
			case shut && slices.Contains(l.ask.Stay, u.ID):
				say("%s in lane %s is not to be moved", u.Name, lane.ID)
			case shut:
				say("%s in lane %s can neither drive nor be pushed by hand, and no vehicle that is free is known to be heavy enough to tow it", u.Name, lane.ID)
			case i < deepest && !canLodge(&l.Problem, &l.Problem.Items[h.Item], s):
				say("there is nowhere that %s, which stands in the way in lane %s, may be moved to and has room", u.Name, lane.ID)
			}
		}
	}
	return why
}

// whyNoRoom says of those at the ends of a lane, who would have to move first,
// where they miss least to have room now.
func (l *Lot) whyNoRoom(s int, say func(format string, args ...any)) {
	b := newBoard(&l.Problem)
	b.settle()
	b.ends(s, func(i int, end sp.End) {
		item := b.lists[s][i].item
		it := &l.Problem.Items[item]
		if b.order[item] == b.cur || !b.canGo(s, i, end) {
			return
		}
		best, least := -1, it.Length
		for k := range it.Ways {
			w := &it.Ways[k]
			if w.To == s {
				continue
			}
			if n := b.misses(item, s, w); best < 0 || n < least {
				best, least = w.To, n
			}
		}
		switch {
		case best < 0 || least == 0:
		case least == it.Length:
			say("%s, %s long, has room nowhere as it is", l.units[item].Name, it.Length.Metres())
		default:
			say("%s, %s long, has room nowhere as it is; in %s %s are missing", l.units[item].Name, it.Length.Metres(), l.ix.PosName(l.stands[best]), least.Metres())
		}
	})
}

// whyBarred says what bars a lane as a whole.
func (l *Lot) whyBarred(lane *sp.Lane, say func(format string, args ...any)) {
	for _, w := range l.ix.PublicInside(lane.Zone) {
		if w.From < l.ask.Until && l.at < w.To {
			say("nothing moves in lane %s while the public is in zone %s: from %s to %s", lane.ID, l.ix.ZoneName(lane.Zone), w.From.Clock(), w.To.Clock())
		}
	}
	if u := l.fouled(lane); u != "" {
		say("%s stands on its line across the mouth of lane %s", l.ix.UnitName(u), lane.ID)
	}
}

// Carried returns who is pushed or towed in moves: the unit, who tows it, and
// whether the masses were there to tell that it may.
func (l *Lot) Carried(m sp.Move) (tow, checked bool) {
	how := l.means[l.numbers[m.Unit]]
	return how.tow, how.known
}
