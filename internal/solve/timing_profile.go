package solve

import (
	"cmp"
	"slices"

	"sallyport"
)

// never is later than every moment of a show.
const never = sallyport.Instant(1) << 60

// profile is how much of something is used over time: a step function that is
// zero before its first step. Queries and additions cost the number of steps
// after the moment asked for, which is small when things come roughly in
// order of time.
type profile struct {
	steps []profileStep
}

// profileStep says that from at on, until the next step, n is used.
type profileStep struct {
	at sallyport.Instant
	n  int64
}

// find returns the index of the step that holds at; -1 before the first.
func (p *profile) find(at sallyport.Instant) int {
	i, exact := slices.BinarySearchFunc(p.steps, at, func(s profileStep, at sallyport.Instant) int { return cmp.Compare(s.at, at) })
	if exact {
		return i
	}
	return i - 1
}

// cut makes a step begin at at and returns its index.
func (p *profile) cut(at sallyport.Instant) int {
	i := p.find(at)
	if i >= 0 && p.steps[i].at == at {
		return i
	}
	n := int64(0)
	if i >= 0 {
		n = p.steps[i].n
	}
	p.steps = slices.Insert(p.steps, i+1, profileStep{at, n})
	return i + 1
}

// add uses n more from one moment up to another.
func (p *profile) add(from, to sallyport.Instant, n int64) {
	if to <= from {
		return
	}
	i := p.cut(from)
	if to < never {
		p.cut(to)
	}
	for ; i < len(p.steps) && p.steps[i].at < to; i++ {
		p.steps[i].n += n
	}
}

// earliest returns the first moment from s on at which n more can be used for
// the time of takes without more than most being used; never if there is none.
func (p *profile) earliest(s sallyport.Instant, takes sallyport.Seconds, n, most int64) sallyport.Instant {
	if n > most {
		return never
	}
	i := max(0, p.find(s))
	for ; i < len(p.steps) && p.steps[i].at < s+sallyport.Instant(takes); i++ {
		if p.steps[i].n+n <= most {
			continue
		}
		if i+1 == len(p.steps) {
			return never
		}
		if next := p.steps[i+1].at; next > s {
			s = next
		}
	}
	return s
}

// earliestForGood is earliest for what is used without end.
func (p *profile) earliestForGood(s sallyport.Instant, n, most int64) sallyport.Instant {
	for i := len(p.steps) - 1; i >= 0; i-- {
		if p.steps[i].n+n > most {
			if i+1 == len(p.steps) {
				return never
			}
			return max(s, p.steps[i+1].at)
		}
		if p.steps[i].at <= s {
			break
		}
	}
	if n > most {
		return never
	}
	return s
}

// after returns when the use changes next after a moment; never if it does
// not.
func (p *profile) after(at sallyport.Instant) sallyport.Instant {
	if i := p.find(at) + 1; i < len(p.steps) {
		return p.steps[i].at
	}
	return never
}
