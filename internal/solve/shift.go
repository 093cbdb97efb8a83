package solve

import (
	"cmp"
	"slices"

	"sallyport"
)

// shift is a return that is held back until, or a pull-out made early at, a
// moment.
type shift struct {
	stay int32
	out  bool
	at   sallyport.Instant
}

// longestShift is the longest that anybody is held back or out early.
const longestShift = 60 * 60

// shifted returns the problem in which the shifts are made, with the same
// units, lanes and stays; ok is false when one of them cannot be. p must have
// none itself.
func (p *problem) shifted(list []shift) (q *problem, ok bool) {
	c := *p
	q = &c
	q.stays, q.absences = slices.Clone(p.stays), slices.Clone(p.absences)
	q.groups, q.events, q.resets = nil, nil, nil
	q.waits = make([]int64, len(p.stays))
	for i := range q.stays {
		q.stays[i].checks = nil
	}
	for _, x := range list {
		if !q.shift(x) {
			return nil, false
		}
	}
	q.addEvents()
	q.addReserves(q.unitAt)
	for _, x := range list {
		st := &q.stays[x.stay]
		if x.out && q.groups[st.outGroup].at != x.at || !x.out && q.groups[st.inGroup].at != x.at || !q.inTurn(x) {
			return nil, false
		}
		if st.outGroup != none && q.groups[st.outGroup].at <= q.groups[st.inGroup].at {
			return nil, false
		}
		q.allowStay(x.stay, &placeLists{})
	}
	return q, true
}

// shift notes one shift and its price; it reports whether the unit alone may
// make it: within its limits of idling and the longest shift.
func (p *problem) shift(x shift) bool {
	st := &p.stays[x.stay]
	un := &p.units[st.unit]
	a := st.before
	if x.out {
		a = st.after
	}
	if a == none || p.absences[a].duty != none || p.absences[a].part != "" || p.absences[a].stray {
		return false
	}
	ab := &p.absences[a]
	var wait, idles sallyport.Seconds
	if x.out {
		s := p.serial(ab.entries[0])
		wait, idles = sallyport.Seconds(s.FormFrom-x.at), sallyport.Seconds(s.Leave()-x.at)
		if x.at.Day() != s.FormFrom.Day() || x.at < p.index.Morning(x.at.Day()) || x.at >= ab.out {
			return false
		}
		st.early = x.at
	} else {
		wait = sallyport.Seconds(x.at - ab.back)
		idles = wait
		if x.at.Day() != ab.back.Day() {
			return false
		}
		st.held = x.at
	}
	p.waits[x.stay] += int64(p.prices.Idle(wait))
	return wait > 0 && wait <= longestShift && (un.LongestIdle == 0 || idles <= un.LongestIdle || idles >= un.HotRest)
}

// inTurn reports whether nobody has to pass another who waits on a line that
// is left in order.
func (p *problem) inTurn(x shift) bool {
	if x.out {
		return true // a strict line moves early pull-outs to their turn
	}
	a := &p.absences[p.stays[x.stay].before]
	e := a.entries[len(a.entries)-1]
	if ordered, _ := p.inOrder(e.serial); !ordered {
		return true
	}
	for g := range p.groups {
		gr := &p.groups[g]
		if gr.kind != groupHome || gr.serial != e.serial || gr.at >= x.at {
			continue
		}
		for _, ev := range p.events[gr.first:gr.end] {
			b := &p.absences[p.stays[ev.stay].before]
			if p.homeOrder(b.entries[len(b.entries)-1]) > p.homeOrder(e) {
				return false
			}
		}
	}
	return true
}

// with returns the list with the shifts of more put in, in order of stays; one
// of the same beginning or end is replaced.
func withShifts(list, more []shift) []shift {
	list = slices.DeleteFunc(slices.Clone(list), func(x shift) bool {
		return slices.ContainsFunc(more, func(y shift) bool { return x.stay == y.stay && x.out == y.out })
	})
	list = append(list, more...)
	slices.SortFunc(list, func(a, b shift) int {
		return cmp.Or(cmp.Compare(a.stay, b.stay), cmp.Compare(outFirst(a.out), outFirst(b.out)))
	})
	return list
}

func outFirst(out bool) int {
	if out {
		return 0
	}
	return 1
}

// carried returns a board of problem q with the places of b, a board of
// another problem with the same stays; ok is false when one is no longer open.
func (b *board) carried(q *problem) (c *board, ok bool) {
	c = newBoard(q)
	c.eval.lenient, c.wishes, c.steps = b.eval.lenient, b.wishes, b.steps
	copy(c.sorted, b.sorted)
	copy(c.choice, b.choice)
	for s, pl := range c.choice {
		if pl == none {
			continue
		}
		st := &q.stays[s]
		if (st.held != 0 || st.early != 0) && !slices.Contains(st.places, pl) {
			return nil, false
		}
		l := q.places[pl].lane
		c.events[l] = append(c.events[l], st.in)
		if st.out != none {
			c.events[l] = append(c.events[l], st.out)
		}
	}
	for l := range c.events {
		slices.Sort(c.events[l])
		c.countLane(int32(l))
	}
	for u := range q.units {
		c.countUnit(int32(u))
	}
	c.countPairs()
	return c, c.total < impossible
}
