package clear

import (
	"slices"

	sp "sallyport"
)

// mostLanes is how many lanes are looked at: those in which somebody due
// stands, then those of their zones, then the others, in the show's order.
const mostLanes = 60

// Ask says who is to leave.
type Ask struct {
	Due     []sp.UnitID // in lanes, as they stand: combinations for their parts
	InOrder bool        // one after the other; else in any order
	Stay    []sp.UnitID // not to be moved at all
	Plan    []sp.Move   // what is planned from now on; for prices only
	Until   sp.Instant  // who moves until then; a lane closed to traffic by then is not used. 0: now
}

// Lot is a park at one moment as a Problem.
type Lot struct {
	Problem Problem
	Left    int // lanes that were left out because there are so many

	ix      *sp.Index
	ask     Ask
	at      sp.Instant
	state   *sp.State
	units   []*sp.Unit
	means   []means
	numbers map[sp.UnitID]int
	stands  []sp.Pos
	start   []sp.LaneID // of each unit: the lane it stands in at first
}

// means is how a unit is moved.
type means struct {
	byHand bool
	tow    bool
	helper sp.UnitID
	fixed  bool
	known  bool // whether the helper may tow it was checked
}

// NewLot returns the park at a state. The show must be complete and every unit
// of the ask must stand in a lane.
func NewLot(ix *sp.Index, state sp.State, ask Ask) *Lot {
	l := &Lot{ix: ix, ask: ask, at: state.At, state: &state, numbers: map[sp.UnitID]int{}}
	l.ask.Until = max(ask.Until, state.At+1)
	l.addStands()
	for s, pos := range l.stands {
		for _, h := range l.standing(pos) {
			l.numbers[h.Unit] = len(l.units)
			l.Problem.Stands[s].Holds = append(l.Problem.Stands[s].Holds, Held{Item: len(l.units), From: h.From, NoseIn: h.NoseIn})
			l.units = append(l.units, ix.Unit(h.Unit))
			lane := sp.LaneID("")
			if pos.Kind == sp.InLane {
				lane = sp.LaneID(pos.ID)
			}
			l.start = append(l.start, lane)
			l.means = append(l.means, l.meansOf(ix.Unit(h.Unit), pos, h))
		}
	}
	next := l.nextExits()
	for i := range l.units {
		l.Problem.Items = append(l.Problem.Items, l.item(i, next))
	}
	for n, u := range ask.Due {
		if i, ok := l.numbers[u]; ok {
			l.Problem.Items[i].Order = 1
			if ask.InOrder {
				l.Problem.Items[i].Order = n + 1
			}
		}
	}
	return l
}

// standing returns who stands in a lane or spot of the state.
func (l *Lot) standing(pos sp.Pos) []sp.Standing {
	if pos.Kind == sp.InLane {
		return l.state.Lanes[sp.LaneID(pos.ID)]
	}
	var list []sp.Standing
	for _, u := range l.state.Spots[sp.SpotID(pos.ID)] {
		list = append(list, sp.Standing{Unit: u})
	}
	return list
}

// nextExits returns when each unit is next to leave the lane it stands in.
func (l *Lot) nextExits() map[sp.UnitID]sp.Instant {
	next := map[sp.UnitID]sp.Instant{}
	for _, m := range l.ask.Plan {
		if m.From.Kind == sp.InLane && m.Kind != sp.MoveCloseUp && m.Kind != sp.MoveAside && next[m.Unit] == 0 {
			next[m.Unit] = m.Start
		}
	}
	return next
}

// meansOf decides how a unit is moved: by its own engine when it can, else
// pushed, else towed; fixed when none of these can be.
func (l *Lot) meansOf(u *sp.Unit, pos sp.Pos, h sp.Standing) means {
	off := slices.Contains(l.state.OffRoad, u.ID) || u.OffRoadAt(l.at) || !u.HasEngine()
	stuck := false // with its nose to a closed end, and it cannot reverse
	if lane := l.ix.Lane(sp.LaneID(pos.ID)); pos.Kind == sp.InLane && lane.Kind != sp.Open {
		stuck = h.NoseIn && backs(u) < h.From+u.Length
	}
	switch {
	case l.coupledElse(u.ID) || slices.Contains(l.ask.Stay, u.ID):
		return means{fixed: true}
	case !off && !stuck:
		return means{known: true}
	case u.MayPush():
		return means{byHand: true, known: true}
	}
	helper, known := l.helper(u)
	return means{tow: helper != "", helper: helper, fixed: helper == "", known: known}
}

// coupledElse reports a part that stands alone though its combination is
// coupled, which only a mistaken state has.
func (l *Lot) coupledElse(u sp.UnitID) bool {
	c := l.ix.CombinationOf(u)
	return c != "" && !slices.Contains(l.state.Parted, c)
}

// helper returns a vehicle that can get out and may tow u, standby vehicles
// first; known is false when masses that decide it are not given.
func (l *Lot) helper(u *sp.Unit) (id sp.UnitID, known bool) {
	var unknown sp.UnitID
	for _, standby := range []bool{true, false} {
		for _, id := range l.ix.UnitIDs {
			h := l.ix.Unit(id)
			if h.Standby != standby || id == u.ID || !h.HasEngine() || slices.Contains(l.ask.Due, id) || !l.free(h) {
				continue
			}
			may, known := sp.MayTow(h, u, l.ix.Show.Park.TowPercent)
			switch {
			case may && known:
				return id, true
			case !known && unknown == "" && standby:
				unknown = id
			}
		}
	}
	return unknown, false
}

// free reports whether a unit is in a lane or spot, can drive, and has nobody
// before it on its way out.
func (l *Lot) free(u *sp.Unit) bool {
	if slices.Contains(l.state.OffRoad, u.ID) || u.OffRoadAt(l.at) || u.Combination || slices.Contains(l.ask.Stay, u.ID) {
		return false
	}
	for _, pos := range l.stands {
		list := l.standing(pos)
		i := slices.IndexFunc(list, func(s sp.Standing) bool { return s.Unit == u.ID })
		if i >= 0 {
			return pos.Kind == sp.InSpot || i == 0 && !list[0].NoseIn && !l.barred(l.ix.Lane(sp.LaneID(pos.ID)))
		}
	}
	return false
}

// backs returns how far a unit reverses at most.
func backs(u *sp.Unit) sp.Centimetres {
	switch u.Reverse {
	case sp.ReverseNever:
		return 0
	case sp.ReverseShort:
		return u.ReverseLimit
	}
	return Far
}

// item returns a unit in the terms of the problem.
func (l *Lot) item(i int, next map[sp.UnitID]sp.Instant) Item {
	u, how := l.units[i], l.means[i]
	it := Item{
		Length: u.Length, Ahead: u.GapAhead, Behind: u.GapBehind, Backs: backs(u),
		Carried: how.byHand || how.tow, Fixed: how.fixed, Slave: u.Start == sp.StartSlave,
		Standby: u.Standby, Alone: u.StandsAlone, Next: next[u.ID],
	}
	if u.Start == sp.StartTow {
		it.Clear = u.StartClear
	}
	for _, o := range u.KeepApart {
		if n, ok := l.numbers[o]; ok {
			it.Apart = append(it.Apart, n)
		}
	}
	if !how.fixed {
		it.Ways = l.ways(i)
		price := sp.NewPrices(l.ix)
		it.InWay = price.Aside(u, how.byHand) + price.Drive(sp.MoveBack, u, how.byHand)
	}
	return it
}

// ways returns where a unit may be moved to.
func (l *Lot) ways(i int) []Way {
	u, how := l.units[i], l.means[i]
	price := sp.NewPrices(l.ix)
	var ways []Way
	for s, pos := range l.stands {
		if pos.Kind == sp.InSpot {
			use := l.ix.Spot(sp.SpotID(pos.ID)).Use
			if use == sp.SpotAside || use == sp.SpotBreakdown && (how.tow || how.byHand) {
				p := price.Aside(u, how.byHand) + price.Drive(sp.MoveBack, u, how.byHand)
				switch {
				case how.tow && use == sp.SpotBreakdown: // where it belongs
					p = price.Drive(sp.MoveTow, u, false)
				case how.tow:
					p = 2 * price.Drive(sp.MoveTow, u, false)
				}
				ways = append(ways, Way{To: s, Price: p})
			}
			continue
		}
		lane := l.ix.Lane(sp.LaneID(pos.ID))
		if !l.mayStand(u, lane) {
			continue
		}
		p := l.shiftPrice(price, i, lane)
		for _, end := range entrances[lane.Kind] {
			for _, reverse := range directions(lane, how) {
				if reverse && !how.byHand && backs(u) < u.Length {
					continue
				}
				ways = append(ways, Way{To: s, End: end, Reverse: reverse, Price: p})
			}
		}
	}
	return ways
}

// shiftPrice is the price of standing in a lane from now on. In another lane
// than its own a unit is in the way of what is planned there and is missed in
// its own, so it is to be brought home too, as from a place aside; to stand
// elsewhere is a change of lane each way, and costs more outside a lane that
// its people were told.
func (l *Lot) shiftPrice(price sp.Prices, i int, lane *sp.Lane) sp.Amount {
	u, how := l.units[i], l.means[i]
	kind := sp.MoveShift
	if how.tow {
		kind = sp.MoveTow
	}
	p := price.Drive(kind, u, how.byHand)
	if !how.byHand && !how.tow {
		p += sp.Amount(u.WarmUp) * sp.Amount(u.Awkward) / 100 // as for a move aside
	}
	if lane.ID != l.start[i] {
		p += price.Drive(kind, u, how.byHand) + 2*price.Weights().Change
		if u.Home.Binding == sp.Told && u.Home.Lane != lane.ID {
			p += price.Weights().Told
		}
	}
	return p
}

// mayStand reports whether nothing but room and company bars a unit from a
// lane.
func (l *Lot) mayStand(u *sp.Unit, lane *sp.Lane) bool {
	switch {
	case lane.Width > 0 && u.Width > lane.Width, lane.MaxMass > 0 && u.Heaviest > lane.MaxMass:
	case len(u.Zones) > 0 && !slices.Contains(u.Zones, lane.Zone):
	case u.Home.Binding == sp.Fixed && u.Home.Lane != lane.ID:
	case u.Length > lane.Length:
	case slices.ContainsFunc(lane.Closed, func(w sp.Window) bool { return w.To > l.at && w.From.Day() <= l.at.Day() }):
	default:
		return true
	}
	return false
}

// entrances are the ends by which each kind of lane is entered.
var entrances = map[sp.LaneKind][]sp.End{
	sp.DeadEnd: {sp.Mouth}, sp.Through: {sp.Tail}, sp.Open: {sp.Mouth, sp.Tail},
}

// directions returns how a lane may be driven into: in reverse or not. Pushed
// units are put in as the lane has it, towed ones go nose first.
func directions(lane *sp.Lane, how means) []bool {
	switch {
	case how.tow || lane.In == sp.InNose:
		return []bool{false}
	case how.byHand && lane.In == sp.InEither:
		return []bool{lane.Kind == sp.DeadEnd}
	case lane.In == sp.InReversed:
		return []bool{true}
	}
	return []bool{true, false}
}

// addStands makes stands of the lanes and of the places to wait aside.
func (l *Lot) addStands() {
	for _, lane := range l.lanes() {
		kind := map[sp.LaneKind]Kind{sp.DeadEnd: Dead, sp.Through: Through, sp.Open: Either}[lane.Kind]
		st := Stand{Kind: kind, Length: lane.Length, Gap: lane.Gap, Deep: lane.MaxDeep, Beside: lane.Beside}
		st.Depth[mouthEnd] = l.ix.StretchDepth(lane.Mouth)
		if lane.Kind != sp.DeadEnd {
			st.Depth[tailEnd] = l.ix.StretchDepth(lane.Tail)
		}
		if l.barred(lane) {
			st.Barred = [2]bool{true, true}
		}
		st.Barred[mouthEnd] = st.Barred[mouthEnd] || l.fouled(lane) != ""
		l.Problem.Stands = append(l.Problem.Stands, st)
		l.stands = append(l.stands, sp.AtLane(lane.ID, ""))
	}
	for i := range l.ix.Show.Park.Spots {
		spot := &l.ix.Show.Park.Spots[i]
		if spot.Route || spot.Use != sp.SpotAside && spot.Use != sp.SpotBreakdown {
			continue
		}
		st := Stand{Kind: Aside, Length: spot.Length, Gap: spot.Gap}
		if len(spot.Zones) > 0 {
			for _, pos := range l.stands {
				st.Serves = append(st.Serves, pos.Kind != sp.InLane || slices.Contains(spot.Zones, l.ix.ZoneOf(pos)))
			}
		}
		l.Problem.Stands = append(l.Problem.Stands, st)
		l.stands = append(l.stands, sp.AtSpot(spot.ID))
	}
	for s := range l.Problem.Stands {
		if serves := l.Problem.Stands[s].Serves; serves != nil {
			for len(serves) < len(l.stands) {
				serves = append(serves, true)
			}
			l.Problem.Stands[s].Serves = serves
		}
	}
}

// lanes returns the lanes to look at.
func (l *Lot) lanes() []*sp.Lane {
	due := func(lane *sp.Lane) bool {
		return slices.ContainsFunc(l.state.Lanes[lane.ID], func(s sp.Standing) bool { return slices.Contains(l.ask.Due, s.Unit) })
	}
	zones := map[sp.ZoneID]bool{}
	rank := map[sp.LaneID]int{}
	var list []*sp.Lane
	for i := range l.ix.Show.Park.Lanes {
		lane := &l.ix.Show.Park.Lanes[i]
		list = append(list, lane)
		if due(lane) {
			zones[lane.Zone] = true
		}
	}
	for _, lane := range list {
		switch {
		case due(lane):
		case zones[lane.Zone]:
			rank[lane.ID] = 1
		default:
			rank[lane.ID] = 2
		}
	}
	slices.SortStableFunc(list, func(a, b *sp.Lane) int { return rank[a.ID] - rank[b.ID] })
	most := mostLanes
	for most < len(list) && rank[list[most].ID] == 0 {
		most++
	}
	l.Left = max(0, len(list)-most)
	return list[:min(most, len(list))]
}

// barred reports whether the public is inside a lane's zone, now or before
// everything is done.
func (l *Lot) barred(lane *sp.Lane) bool {
	return slices.ContainsFunc(l.ix.PublicInside(lane.Zone), func(w sp.Window) bool { return w.From < l.ask.Until && l.at < w.To })
}

// fouled returns who stands on a line across the mouth of a lane, "" when
// nobody does.
func (l *Lot) fouled(lane *sp.Lane) sp.UnitID {
	for _, ref := range l.ix.FoulsOf(lane.ID) {
		line := l.ix.Line(ref.Line)
		var head sp.Centimetres
		list := l.state.Lines[ref.Line]
		for i, id := range list {
			u := l.ix.Unit(id)
			if i > 0 {
				head += max(line.Gap, l.ix.Unit(list[i-1]).GapBehind, u.GapAhead)
			}
			if head < ref.To && ref.From < head+u.Length {
				return id
			}
			head += u.Length
		}
	}
	return ""
}
