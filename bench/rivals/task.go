package main

import (
	"cmp"
	"slices"

	sp "sallyport"
)

// task is a show reduced to the terms that the rivals are given: which stays
// there are, which lanes, how much room, and the prices of moving somebody
// aside and of changing the lane. It is worked out from the show alone and
// not with the planner's own tables.
//
// Moments count the pull-outs and the returns of serials in order of time;
// moment 0 is the start of the show.
type task struct {
	vehicles []vehicle
	lanes    []lane
	stays    []stay // of one vehicle beside each other, in order of time
	moments  int
	evenings []int // last moment of each day
	aside    int64 // moving one vehicle aside for the pull-outs of a serial, and putting it back
	change   int64 // a stay in another lane than the one before
}

// vehicle is one vehicle with its stays, first up to but not with end.
type vehicle struct {
	id         sp.UnitID
	takes      int64 // centimetres: its length and one gap
	first, end int
}

// lane is one dead-end lane.
type lane struct {
	id   sp.LaneID
	room int64 // centimetres: the length and one gap, less what no vehicles together can use
}

// stay is one unbroken period of a vehicle in a lane, from moment in up to
// moment out; to the end of the show, out is forever.
type stay struct {
	vehicle, in, out int
	after            string // serial after which it begins; empty: the first stay
}

const forever = 1 << 30

// newTask reduces a complete show. It fails with CodeInput when the show has
// anything that the rivals' models leave out.
func newTask(show *sp.Show) (*task, error) {
	if err := reducible(show); err != nil {
		return nil, err
	}
	t := &task{change: int64(show.Weights.Change)}
	if err := t.priceAside(show); err != nil {
		return nil, err
	}
	gap := show.Park.Lanes[0].Gap
	out, back := t.addMoments(show)
	for _, v := range show.Vehicles {
		t.addVehicle(show, v, int64(v.Length+gap), out, back)
	}
	for _, l := range show.Park.Lanes {
		t.lanes = append(t.lanes, lane{id: l.ID, room: t.usable(int64(l.Length + gap))})
	}
	return t, nil
}

// reducible returns what the show has that the rivals' models leave out.
func reducible(show *sp.Show) error {
	for _, x := range []struct {
		have int
		what string
	}{
		{len(show.Combinations), "combinations"},
		{len(show.Duties), "duties"},
		{len(show.Closings), "closings"},
		{len(show.Resets), "reset windows"},
		{len(show.Park.Zones) - 1, "more than one zone"},
		{1 - len(show.Park.Lanes), "no lanes"},
	} {
		if x.have > 0 {
			return sp.Errorf(sp.CodeInput, "plant a plain show", "the rivals' models do not know %s", x.what)
		}
	}
	gap := show.Park.Lanes[0].Gap
	for _, l := range show.Park.Lanes {
		if l.Kind != sp.DeadEnd || l.Gap != gap || l.MaxDeep != 0 {
			return sp.Errorf(sp.CodeInput, "plant dead-end lanes", "lane %s is not a dead end of any depth with a gap of %s", l.ID, gap.Metres())
		}
	}
	for _, l := range show.Park.Lines {
		if l.Out != sp.OutFree || l.Home != sp.HomeAnyOrder {
			return sp.Errorf(sp.CodeInput, "plant free lines", "line %s has an order", l.ID)
		}
	}
	return nil
}

// priceAside sets the price of a move aside, which must be one for all.
func (t *task) priceAside(show *sp.Show) error {
	ix := sp.NewIndex(show)
	prices := sp.NewPrices(ix)
	for _, id := range ix.UnitIDs {
		u := ix.Unit(id)
		price := int64(prices.Aside(u, false) + prices.Drive(sp.MoveBack, u, false))
		if hand := int64(prices.Aside(u, true) + prices.Drive(sp.MoveBack, u, true)); u.HandPeople > 0 {
			price = min(price, hand)
		}
		if t.aside != 0 && price != t.aside || max(u.GapAhead, u.GapBehind) > show.Park.Lanes[0].Gap {
			return sp.Errorf(sp.CodeInput, "plant a plain show", "vehicle %s is not moved aside for %d or has a gap of its own", id, t.aside)
		}
		t.aside = price
	}
	return nil
}

// addMoments numbers the moments and returns those of each serial's pull-outs
// and returns.
func (t *task) addMoments(show *sp.Show) (out, back map[sp.SerialID]int) {
	type moment struct {
		at     sp.Instant
		serial sp.SerialID
		home   bool
	}
	var list []moment
	for _, s := range show.Serials {
		list = append(list, moment{s.FormFrom, s.ID, false}, moment{s.Back(), s.ID, true})
	}
	slices.SortFunc(list, func(a, b moment) int { return cmp.Compare(a.at, b.at) })
	out, back = map[sp.SerialID]int{}, map[sp.SerialID]int{}
	for i, m := range list {
		if m.home {
			back[m.serial] = i + 1
		} else {
			out[m.serial] = i + 1
		}
		if i == len(list)-1 || list[i+1].at.Day() != m.at.Day() {
			t.evenings = append(t.evenings, i+1)
		}
	}
	t.moments = len(list) + 1
	return out, back
}

// addVehicle adds a vehicle and its stays.
func (t *task) addVehicle(show *sp.Show, v sp.Vehicle, takes int64, out, back map[sp.SerialID]int) {
	n := len(t.vehicles)
	first := len(t.stays)
	now := stay{vehicle: n}
	serials := slices.Clone(show.Serials)
	slices.SortStableFunc(serials, func(a, b sp.Serial) int { return cmp.Compare(a.ArenaIn, b.ArenaIn) })
	for _, s := range serials {
		if !slices.ContainsFunc(s.Entries, func(e sp.Entry) bool { return e.Unit == v.ID }) {
			continue
		}
		now.out = out[s.ID]
		t.stays = append(t.stays, now)
		now = stay{vehicle: n, in: back[s.ID], after: string(s.ID)}
	}
	now.out = forever
	t.stays = append(t.stays, now)
	t.vehicles = append(t.vehicles, vehicle{id: v.ID, takes: takes, first: first, end: len(t.stays)})
}

// usable returns the most room, up to limit, that some vehicles together take.
func (t *task) usable(limit int64) int64 {
	reached := make([]bool, limit+1)
	reached[0] = true
	for _, v := range t.vehicles {
		for n := limit; n >= v.takes; n-- {
			reached[n] = reached[n] || reached[n-v.takes]
		}
	}
	for !reached[limit] {
		limit--
	}
	return limit
}

// takes is the room that stay s needs.
func (t *task) takes(s int) int64 { return t.vehicles[t.stays[s].vehicle].takes }

// blocks reports whether stay b stands in the way of stay a's pull-out when
// both are in one lane: it came later and leaves later than a, and came before
// a leaves. Who comes home with a leaves first in front of it or behind it as
// it suits, and so stands in nobody's way.
func (t *task) blocks(b, a int) bool {
	x, y := t.stays[a], t.stays[b]
	return x.vehicle != y.vehicle && x.in < y.in && y.in < x.out && x.out < y.out
}

// previous returns the stay before s of the same vehicle; false for a first one.
func (t *task) previous(s int) (int, bool) {
	return s - 1, s > t.vehicles[t.stays[s].vehicle].first
}

// present returns who stands in some lane just after moment m.
func (t *task) present(m int) []int {
	var list []int
	for i, s := range t.stays {
		if s.in <= m && m < s.out {
			list = append(list, i)
		}
	}
	return list
}

// arrivals returns the moments at which somebody comes in.
func (t *task) arrivals() []int {
	var list []int
	for _, s := range t.stays {
		list = append(list, s.in)
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// asideMove is one vehicle, in stay stay, moved aside for the pull-outs of a
// moment.
type asideMove struct{ stay, moment int }

// counted is what a choice of lanes costs.
type counted struct {
	aside, changes int
	overfull       int // lanes and moments without room for all
}

// count counts what a lane for each stay costs, from the meaning of the words
// alone; the models' costs are held against it.
func (t *task) count(lanes []int) counted {
	var c counted
	moved := map[asideMove]bool{}
	for a := range t.stays {
		if p, ok := t.previous(a); ok && lanes[p] != lanes[a] {
			c.changes++
		}
		for b := range t.stays {
			if lanes[a] == lanes[b] && t.blocks(b, a) {
				moved[asideMove{b, t.stays[a].out}] = true
			}
		}
	}
	c.aside = len(moved)
	for _, m := range t.arrivals() {
		used := make([]int64, len(t.lanes))
		for _, s := range t.present(m) {
			used[lanes[s]] += t.takes(s)
		}
		for l := range t.lanes {
			if used[l] > t.lanes[l].room {
				c.overfull++
			}
		}
	}
	return c
}

// price is the cost of what is counted.
func (t *task) price(c counted) int64 {
	return int64(c.aside)*t.aside + int64(c.changes)*t.change
}

// none stands for a stay without a lane.
const none = -1

// fromSketch returns the lane of each stay; none for stays that the sketch
// does not name.
func (t *task) fromSketch(sketch []sp.Placement) []int {
	type key struct {
		unit  sp.UnitID
		after string
	}
	at := map[sp.LaneID]int{}
	for l := range t.lanes {
		at[t.lanes[l].id] = l
	}
	given := map[key]int{}
	for _, p := range sketch {
		if l, ok := at[p.Lane]; ok {
			given[key{p.Unit, p.After}] = l
		}
	}
	lanes := make([]int, len(t.stays))
	for i, s := range t.stays {
		l, ok := given[key{t.vehicles[s.vehicle].id, s.after}]
		if !ok {
			l = none
		}
		lanes[i] = l
	}
	return lanes
}

// sketch writes a lane for each stay as placements; at the start, who leaves
// later stands deeper.
func (t *task) sketch(lanes []int) []sp.Placement {
	list := make([]sp.Placement, 0, len(t.stays))
	for i, s := range t.stays {
		p := sp.Placement{Unit: t.vehicles[s.vehicle].id, After: s.after, Lane: t.lanes[lanes[i]].id}
		if s.after == "" {
			p.Place = 1
			for j, o := range t.stays {
				if o.after == "" && lanes[j] == lanes[i] && (o.out < s.out || o.out == s.out && j < i) {
					p.Place++
				}
			}
		}
		list = append(list, p)
	}
	return list
}
