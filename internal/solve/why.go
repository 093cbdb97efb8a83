package solve

import (
	"fmt"

	"sallyport"
)

// why says what keeps a board from serving everything, in the show's own
// words: who has no place and how much room is missing.
func (p *problem) why(b *board) []string {
	var list []string
	for _, l := range p.lost {
		s := p.serial(l.entry)
		list = append(list, fmt.Sprintf("%s cannot be in %s: %s.", p.index.UnitName(p.entry(l.entry).Unit), p.index.SerialName(s.ID), l.why))
	}
	for u := range p.units {
		if s := b.homeless(int32(u)); s != none {
			list = append(list, p.whyHomeless(b, s))
		}
	}
	return list
}

// homeless returns the first stay of the unit that has no place, or none.
func (b *board) homeless(u int32) int32 {
	un := &b.p.units[u]
	for s := un.firstStay; s < un.endStay; s++ {
		if b.choice[s] == none {
			return s
		}
	}
	return none
}

// whyHomeless says why a stay has no place: nothing fits the unit at all, or
// the longest free length then is too short.
func (p *problem) whyHomeless(b *board, s int32) string {
	un := &p.units[p.stays[s].unit]
	from, _ := p.span(s)
	when := ""
	if from != 0 {
		when = " from " + p.index.Show.When(from)
	}
	if len(p.stays[s].places) == 0 {
		return fmt.Sprintf("%s (%s) fits into no lane%s: %s.", un.Name, un.Length.Metres(), when, p.barred(un))
	}
	best, room := none, int32(-1)
	for _, pl := range p.stays[s].places {
		l := p.places[pl].lane
		if r := b.roomAt(l, p.stays[s].inGroup); r > room {
			best, room = l, r
		}
	}
	if best == none {
		return fmt.Sprintf("%s (%s) finds no place%s: every lane that suits it is as deep as it may be.", un.Name, un.Length.Metres(), when)
	}
	if short := un.length - room; short > 0 {
		return fmt.Sprintf("%s (%s) finds no room%s: the most, in lane %s, is short by %s.",
			un.Name, un.Length.Metres(), when, p.lanes[best].id, sallyport.Centimetres(short).Metres())
	}
	return fmt.Sprintf("%s (%s) has room in lane %s%s, but it cannot stand there without shutting somebody in for good.", un.Name, un.Length.Metres(), p.lanes[best].id, when)
}

// barred counts what keeps the unit out of the lanes, in words.
func (p *problem) barred(un *unit) string {
	count := make(map[string]int)
	var order []string
	for l := range p.lanes {
		why := p.whyNot(un, int32(l))
		if why == "" {
			why = "closed, or no time clear of the public, or no way to reverse"
		}
		if count[why] == 0 {
			order = append(order, why)
		}
		count[why]++
	}
	text := ""
	for i, why := range order {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%s for %d", why, count[why])
	}
	return text
}

// roomAt is the free length in lane l after group g, a gap to the neighbour
// taken off; -1 when the lane is full by number.
func (b *board) roomAt(l, g int32) int32 {
	e := newLaneEval(b.p)
	e.begin(l)
	for i := 0; i < len(b.events[l]); {
		at, j := e.run(b.events[l], i)
		if at > g {
			break
		}
		e.group(l, at, b.events[l][i:j], b.choice)
		i = j
	}
	ln := &b.p.lanes[l]
	if int32(len(e.list)) >= ln.deep {
		return -1
	}
	room := ln.length
	for i := range e.list {
		room -= e.unit(i).length + ln.gap
	}
	return max(0, room)
}
