package solve

import "sallyport"

// anchor is a moment at which all units on site surely stand in lanes, with
// the stays around it that count.
type anchor struct {
	times []sureTimes // by stay
	fixed []int32     // by unit: its stay over the moment; none: not surely in a lane
	spans [][2]int32  // by unit: the stays that count, from and up to
	later []bool      // by stay: it ends only after the time that counts, and what it costs counts then
	whole bool        // all stays count
	at    sallyport.Instant
	day   int // of the moment; 0: the end

	linked bool // the changes of lane from this morning to the next count apart
}

// allTimes returns the sure times of all stays.
func (p *problem) allTimes() []sureTimes {
	times := make([]sureTimes, len(p.stays))
	for s := range times {
		times[s] = p.sureTimes(int32(s))
	}
	return times
}

// anchors returns the anchors of the show as a whole: its start, the morning
// of each day after the first, and its end.
func (p *problem) anchors(times []sureTimes) []*anchor {
	list := []*anchor{p.anchorAt(times, p.overStart)}
	list[0].day = 1
	for d := 2; d <= len(p.show.Days); d++ {
		morning := p.index.Morning(d)
		list = append(list, p.anchorAt(times, func(s int32) bool { return p.overMorning(s, morning) }))
		list[len(list)-1].at, list[len(list)-1].day = morning, d
	}
	list = append(list, p.anchorAt(times, p.overEnd))
	for _, a := range list {
		a.whole = true
		for u := range p.units {
			a.spans[u] = [2]int32{p.units[u].firstStay, p.units[u].endStay}
		}
	}
	return list
}

// days returns an anchor for the morning of each day; stays count from that
// over the morning up to, but not with, that over the next; a stay over both
// counts for the later day. Then every item of a plan's cost counts for one day
// at most: a change of lane at the beginning of a later stay, a risk at the end
// of a stay that ends that day, what is done to a stay on the day of that stay.
// On the first day the anchor is the start.
func (p *problem) days(times []sureTimes) []*anchor {
	var list []*anchor
	for d := 1; d <= len(p.show.Days); d++ {
		morning := p.index.Morning(d)
		over := func(s int32) bool { return p.overMorning(s, morning) }
		if d == 1 {
			over = p.overStart
		}
		a := p.anchorAt(times, over)
		a.day = d
		if d > 1 {
			a.at = morning
		}
		list = append(list, a)
	}
	for i, a := range list {
		for u, s := range a.fixed {
			if s == none {
				continue
			}
			end := p.units[u].endStay
			for _, b := range list[i+1:] {
				if t := b.fixed[u]; t != none {
					end = max(t, s+1)
					break
				}
			}
			a.spans[u] = [2]int32{s, end}
			if i+1 < len(list) && list[i+1].fixed[u] == s {
				a.later[s] = true
			}
		}
	}
	return list
}

func (p *problem) anchorAt(times []sureTimes, over func(s int32) bool) *anchor {
	a := &anchor{
		times: times, fixed: make([]int32, len(p.units)), spans: make([][2]int32, len(p.units)),
		later: make([]bool, len(p.stays)),
	}
	for u := range p.units {
		a.fixed[u] = none
		if len(p.units[u].places) == 0 {
			continue
		}
		for s := p.units[u].firstStay; s < p.units[u].endStay; s++ {
			if over(s) {
				a.fixed[u] = s
				break
			}
		}
	}
	return a
}

// latest returns the latest moment on the anchor's day at which somebody who
// stands in a lane at the anchor must leave it.
func (a *anchor) latest() sallyport.Instant {
	t := a.at
	for _, s := range a.fixed {
		if s != none {
			if out := a.times[s].outHi; out < noEnd && out.Day() == a.day {
				t = max(t, out)
			}
		}
	}
	return t
}

// overStart reports whether the stay belongs to the start layout.
func (p *problem) overStart(s int32) bool { return p.groups[p.stays[s].inGroup].kind == groupStart }

// overEnd reports whether the unit surely stands in a lane when all is over.
func (p *problem) overEnd(s int32) bool {
	st := &p.stays[s]
	return st.outGroup == none && (st.before == none || p.absences[st.before].duty == none && p.absences[st.before].part == "")
}

// overMorning reports whether the stay surely includes the morning: no line,
// spot or arena is a place for the night.
func (p *problem) overMorning(s int32, morning sallyport.Instant) bool {
	st := &p.stays[s]
	un := &p.units[st.unit]
	switch {
	case st.before == none && un.Arrive == (sallyport.Window{}):
	case st.before == none:
		if un.Arrive.To == 0 || un.Arrive.To >= morning {
			return false
		}
	case p.absences[st.before].part != "":
		return false
	case p.absences[st.before].duty != none:
		if p.absences[st.before].back+sallyport.Instant(sallyport.Minutes(60)) >= morning {
			return false
		}
	case p.absences[st.before].back >= morning:
		return false
	}
	switch {
	case st.after == none:
		return un.Depart == (sallyport.Window{}) || un.Depart.From > morning
	case p.absences[st.after].part != "" || p.absences[st.after].duty != none:
		// Who goes to a duty or is parted may leave at any time before.
		return false
	}
	first := p.serial(p.absences[st.after].entries[0])
	return first.FormUp >= morning && first.Leave() > morning
}
