package solve

import (
	"cmp"
	"slices"

	"sallyport"
)

// A home column is a set of units that stand in one lane at an anchor, a
// moment at which all units on site surely stand in lanes: the start of the
// show, the morning of a day, its end. That lane is called their home. The
// cost of a column is the least that its units can have to pay, whatever all
// others do.
//
// Proof. Every item of the cost of a plan is paid by one unit: who is moved
// aside, lifted, held back or early, comes home to another lane or to one its
// people were not told, does not start. Each unit surely in a lane at the
// anchor is in one column, so the costs of the columns of a plan add up to no
// more than the plan costs. It is left to show that the units of a column pay
// at least the cost of the column. Call a stay *clean at home* when it is spent
// in the home lane from a beginning to an end within its sure times and its
// unit is neither moved aside nor lifted. Every stay of a plan
//
//   - is clean at home (stayHome), or
//   - touches the home lane neither at its beginning nor at its end (stayAway;
//     not at the anchor), or
//   - begins and ends at home, but its unit is moved aside, held back or early
//     and pays for it (stayMoved), or
//   - is lifted in a reset window or pushed by hand (stayLifted; for a stay over
//     the anchor: after the anchor), or, where no stay can be: is moved aside
//     and put back into another lane, at home or from home, which is a change
//     too.
//
// Where stays can be lifted or pushed, stayMoved is all that costs a move, and
// the unit may go to another lane for nothing more.
//
// Between two stays of a unit of which one ends at home and the other begins
// elsewhere, or the other way round, lies a change of lane. Two stays that are
// clean at home and surely there at one moment stand one deeper than the
// other. If the deeper one surely leaves first, the other bars it, so not both
// can be clean. Else the other leaves first, and if it goes by its own engine
// to an entry, Evaluate books its not starting for the value of the deeper
// one's entries from then on. That price is rounded down once for all who
// stand deeper, so it is no less than the sum of the prices one by one. Which
// of the two is deeper follows from who surely comes first; where that is
// open, the cheaper counts. At the anchor itself all units of the column stand
// in the lane, one deeper than the other, whatever was done to bring that
// about, and who is nearer the mouth is out of the lane first: by its engine,
// be it only to be moved aside, at the price of the deeper one's entries of
// that day, or it is pushed or lifted (stayLifted). Sure facts do not hold for who is held back or
// early by more than the time that lies between; he pays for at least that
// time, and is then not clean.
//
// Of columns whose changes from one morning to the next count apart see chain.
//
// The least over all choices of one of the four for each stay is found by a
// dynamic programme over the beginnings of the column's stays, whose state is
// the choice of each unit's present stay.
type columns struct {
	p             *problem
	free          freedom
	kind          sallyport.LaneKind
	spans         [][2]int32 // by unit: its stays that count, from and up to
	fixed         []int32    // by unit: the stay over the anchor; none: not surely in a lane
	times         []sureTimes
	moved, lifted []int64           // by stay: least prices, see prices
	whole         bool              // the whole show counts
	at            sallyport.Instant // the anchor
	day           int               // of it
	lifts         bool              // some stay can be lifted or pushed
	later         []bool            // by stay: it ends only after the time that counts
	linked        bool              // the change from one anchor to the next counts apart

	pairs map[[2]int32]stayPair

	list  []int32 // scratch: the column's stays, each with the place of its unit
	wait  []int64 // by place in list
	cost  [2][]int64
	now   []int32 // by place of the unit: its present stay
	steps int64
	bars  []stayPair // by place of the unit: with the new stay
}

// freedom is what plans may do that a bound is to hold for.
type freedom struct {
	holds  bool // hold back returns and pull out early
	resets bool // lift vehicles in reset windows
}

// What may become of a stay, seen from the home lane.
const (
	stayHome = iota
	stayAway
	stayMoved
	stayLifted
	stayChoices
)

// stayPair is what two stays, both clean at home, cost each other, and what
// the first and the second have to pay at least for being held back or early
// so that this does not hold.
type stayPair struct {
	cost         int64 // impossible: they cannot both be
	loose        int64 // when both are at home at the anchor, but not both clean
	waitA, waitB int64
}

// newColumns returns the cost of home columns in lanes of a kind at an anchor.
func newColumns(p *problem, a *anchor, kind sallyport.LaneKind, free freedom) *columns {
	c := &columns{
		p: p, free: free, kind: kind, spans: a.spans, fixed: a.fixed, whole: a.whole, at: a.at, day: a.day, later: a.later,
		times: a.times, linked: a.linked, moved: make([]int64, len(p.stays)), lifted: make([]int64, len(p.stays)), pairs: make(map[[2]int32]stayPair),
	}
	latest := a.latest()
	for s := range p.stays {
		c.moved[s], c.lifted[s] = c.prices(int32(s), latest)
		c.lifts = c.lifts || c.lifted[s] < impossible || len(p.show.Resets) > 0 && free.resets
	}
	return c
}

// of returns the cost of a column: the units, in ascending order, at home in a
// lane; impossible when they cannot be or when it is above cut. The lane matters only to units that
// have been told one.
func (c *columns) of(units []int32, lane int32, cut int64) int64 {
	c.list = c.list[:0]
	for i, u := range units {
		for s := c.spans[u][0]; s < c.spans[u][1]; s++ {
			c.list = append(c.list, s<<8|int32(i))
		}
	}
	slices.SortFunc(c.list, func(a, b int32) int {
		return cmp.Or(cmp.Compare(c.p.stays[a>>8].in, c.p.stays[b>>8].in), cmp.Compare(a, b))
	})
	c.noteWaits()
	states := 1 << (2 * len(units))
	c.steps += int64(states + len(c.list)*len(units))
	for k := range c.cost {
		c.cost[k] = slices.Grow(c.cost[k][:0], states)[:states]
		for x := range states {
			c.cost[k][x] = impossible
		}
	}
	c.now = slices.Grow(c.now[:0], len(units))[:len(units)]
	for i := range c.now {
		c.now[i] = none
	}
	c.cost[0][0] = 0
	from, to := c.cost[0], c.cost[1]
	for k, x := range c.list {
		if !c.next(x>>8, int(x&255), lane, c.wait[k], from, to, cut) {
			return impossible
		}
		from, to = to, from
	}
	best := impossible
	for _, x := range from {
		best = min(best, x)
	}
	return best
}

// noteWaits finds for each stay of the list the least price for which it can
// be held back or early with any effect on the others.
func (c *columns) noteWaits() {
	list := c.wait[:0]
	for range c.list {
		list = append(list, impossible)
	}
	c.wait = list
	if !c.free.holds {
		return
	}
	for k, x := range c.list {
		for j, y := range c.list[:k] {
			if x&255 != y&255 {
				p := c.pair(x>>8, y>>8)
				list[k], list[j] = min(list[k], p.waitA), min(list[j], p.waitB)
			}
		}
	}
}

// next passes on from the states in from by choosing for stay s of the i-th
// unit, and clears from. It reports whether there are states within cut.
func (c *columns) next(s int32, i int, lane int32, wait int64, from, to []int64, cut int64) bool {
	price, change := c.choices(s, lane, wait)
	shift := 2 * i
	first := c.now[i] == none
	c.now[i] = s
	c.bars = c.bars[:0]
	free := true
	for j, t := range c.now {
		bar := stayPair{}
		if j != i && t != none {
			bar = c.pair(s, t)
		}
		free = free && bar.cost == 0 && bar.loose == 0
		c.bars = append(c.bars, bar)
	}
	found := false
	for x, old := range from {
		if old > cut {
			continue
		}
		c.steps += stayChoices
		from[x] = impossible
		was := x >> shift & 3
		x &^= 3 << shift
		for choice, own := range price {
			if own >= impossible {
				continue
			}
			cost := old + own
			if !first && (was == stayAway) != (choice == stayAway) && !c.anywhere(was) && !c.anywhere(choice) {
				cost += change[choice]
			}
			if !free {
				for j := range c.bars {
					cost += c.bars[j].between(choice, x>>(2*j)&3)
				}
			}
			if cost > cut {
				continue
			}
			if y := x | choice<<shift; cost < to[y] {
				to[y], found = cost, true
			}
		}
	}
	return found
}

// between is what the pair costs with these choices.
func (x *stayPair) between(a, b int) int64 {
	switch {
	case a == stayHome && b == stayHome:
		return x.cost
	case a == stayAway || b == stayAway || a == stayLifted || b == stayLifted:
		return 0
	}
	return x.loose
}

// anywhere reports whether a stay with that choice may begin and end in
// whichever lane.
func (c *columns) anywhere(choice int) bool {
	return choice == stayLifted || choice == stayMoved && c.lifts
}

// spent returns the steps made since it was last asked.
func (c *columns) spent() int64 {
	n := c.steps
	c.steps = 0
	return n
}

// choices returns what each choice for a stay costs by itself, and what it
// costs when the stay before was away and this one is not, or the other way
// round.
func (c *columns) choices(s, lane int32, wait int64) (price, change [stayChoices]int64) {
	st := &c.p.stays[s]
	un := &c.p.units[st.unit]
	change = c.changes()
	moved, lifted := min(c.moved[s], wait), c.lifted[s]
	switch {
	case c.later[s]:
		moved, lifted = 0, 0
	case c.linked && !c.lifts:
		lifted = moved
	case !c.lifts:
		lifted = moved + int64(c.p.weights.Change)
	}
	price[stayMoved], price[stayLifted] = moved, lifted
	if c.fixed[st.unit] == s {
		price[stayAway] = impossible
	}
	// When a day counts, the stay over its morning has begun before.
	if un.told && (c.whole || c.fixed[st.unit] != s) {
		if told := int64(c.p.weights.Told); un.home == lane {
			price[stayAway] += told
		} else {
			price[stayHome] += told
			if !c.lifts {
				price[stayMoved] += told
			}
		}
	}
	return price, change
}

// changes returns what changes of lane count for by the stay that they lead
// to. When the change from one anchor to the next counts apart, going away
// counts nothing here, for that may be it; who is at home once more has changed
// for that before, or was lifted.
func (c *columns) changes() (change [stayChoices]int64) {
	one := int64(c.p.weights.Change)
	home, away := one, one
	if c.linked {
		away = 0
		if !c.lifts {
			home = 2 * one
		}
	}
	return [stayChoices]int64{stayHome: home, stayAway: away, stayMoved: home, stayLifted: home}
}
