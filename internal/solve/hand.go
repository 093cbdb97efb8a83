package solve

import (
	"fmt"
	"slices"

	"sallyport"
)

// Hand is a plan in which single stays can be spent elsewhere, all others
// being as they are: for putting vehicles by hand. It may be used by one
// goroutine at a time.
type Hand struct {
	p     *problem // with the plan's shifts, but for those let go
	asked []shift  // those to be made
	list  []shift  // those of them that can be
	bare  *problem // nobody shifted
	plan  *sallyport.Plan
	where *whereabouts
}

// NewHand takes a plan of a show in hand. The plan may be one of the show as it
// was before: what it says of vehicles, lanes and serials that are no more is
// left out, stays of which it says nothing are spent in the lane before, and
// vehicles of which it says nothing at all have no room. A nil plan is one that
// says nothing. It must be planned from the start.
func NewHand(show *sallyport.Show, plan *sallyport.Plan) (*Hand, error) {
	if show == nil || len(show.Park.Lanes) == 0 {
		return nil, errNoLane()
	}
	if plan == nil {
		plan = &sallyport.Plan{}
	}
	if plan.From != nil {
		return nil, sallyport.Errorf(sallyport.CodeInput, "go on with it from that moment instead, or take back the step after which it began there",
			"the plan goes on from %s, so what stood where before cannot be put elsewhere", plan.From.At)
	}
	h := &Hand{bare: compile(sallyport.Complete(show)), plan: plan}
	h.shift(nil)
	return h, nil
}

// shift has those held back or out early who are so in the plan, but for the
// stays that are put elsewhere.
func (h *Hand) shift(puts map[int32]bool) {
	list := slices.DeleteFunc(h.bare.shiftsOf(h.plan), func(x shift) bool { return puts[x.stay] })
	if h.p != nil && slices.Equal(list, h.asked) {
		return
	}
	h.asked, h.list = list, list
	q, ok := h.bare.shifted(list)
	if !ok {
		q, h.list = h.bare.mostShifts(h.list)
	}
	h.p = q
}

// stays returns the stays that a put stands for: the one that begins after what
// it names, and, onward, the later ones of the unit that are spent in the same
// lane. ok is false when the unit has no such stay.
func (h *Hand) stays(put sallyport.Placement, onward bool, lanes []int32) (list []int32, ok bool) {
	u, known := h.p.unitAt[put.Unit]
	if !known || h.p.units[u].ID != put.Unit {
		return nil, false
	}
	un := &h.p.units[u]
	for s := un.firstStay; s < un.endStay; s++ {
		switch {
		case len(list) > 0 && onward && lanes[s] == lanes[list[0]]:
			list = append(list, s)
		case len(list) == 0 && slices.Contains(h.p.afters(s), put.After):
			list = append(list, s)
		}
	}
	return list, len(list) > 0
}

// lanes returns in which lane the plan has each stay, none where it says
// nothing.
func (h *Hand) lanes(places []int32) []int32 {
	lanes := make([]int32, len(places))
	for s, pl := range places {
		lanes[s] = h.p.laneAt(pl)
	}
	return lanes
}

// places returns where the plan has each stay.
func (h *Hand) places() []int32 {
	places := make([]int32, len(h.p.stays))
	for u := range h.p.units {
		copy(places[h.p.units[u].firstStay:], h.where.places(h.p, int32(u)))
	}
	return places
}

// Put returns the plan with a stay spent in another lane; onward, so are the
// later stays of the unit that were spent in the same lane. Who stands in the
// way is moved aside, who finds no room is put there nevertheless, so that the
// judge says what is wrong. Of a first stay Place says where from the mouth it
// stands, up to one more than others stand there, 0: where that costs least. In lane "" the unit is taken out of the
// plan altogether. The moves have their nominal moments; Lay gives them their
// times.
func (h *Hand) Put(put sallyport.Placement, onward bool) (*sallyport.Plan, error) {
	if put.Place < 0 {
		return nil, sallyport.Errorf(sallyport.CodeInput, "count from the mouth, from 1 on, or leave it out: then it is where it costs least", "there is no place %d", put.Place)
	}
	h.settle(nil)
	places := h.places()
	stays, ok := h.stays(put, onward, h.lanes(places))
	if !ok {
		return nil, h.errNoStay(put)
	}
	lane := none
	if put.Lane != "" {
		if lane = h.laneOf(put.Lane); lane == none {
			return nil, sallyport.Errorf(sallyport.CodeNotFound, "look at the list of lanes", "there is no lane %q", put.Lane)
		}
	}
	u := h.p.stays[stays[0]].unit
	un := &h.p.units[u]
	if lane == none {
		for s := un.firstStay; s < un.endStay; s++ {
			places[s] = none
		}
		return h.write(places, nil), nil
	}
	moved := map[int32]bool{}
	for s := un.firstStay; s < un.endStay; s++ {
		if slices.Contains(stays, s) && h.p.laneAt(places[s]) != lane || places[s] == none {
			moved[s] = true
		}
	}
	h.settle(moved)
	places = h.places()
	for s := un.firstStay; s < un.endStay; s++ {
		if moved[s] {
			places[s] = h.p.lanes[lane].first
		}
	}
	if h.p.groups[h.p.stays[un.firstStay].inGroup].kind == groupStart && (moved[un.firstStay] || put.Place > 0 && slices.Contains(stays, un.firstStay)) {
		if err := h.queue(un.ID, lane, put.Place, places); err != nil {
			return nil, err
		}
	}
	return h.write(places, moved), nil
}

// Plan returns the plan as it is, laid out for the show; its moves have their
// nominal moments.
func (h *Hand) Plan() *sallyport.Plan {
	h.settle(nil)
	return h.write(h.places(), nil)
}

// settle brings the problem back to the plan: shifts but for the stays let go,
// and the order in which vehicles stand at the start.
func (h *Hand) settle(letGo map[int32]bool) {
	h.shift(letGo)
	h.where = newWhereabouts(h.plan)
	h.p.orderStart(h.where.sketch())
}

// sketch is the order in which vehicles stand at the start.
func (w *whereabouts) sketch() []sallyport.Placement {
	var list []sallyport.Placement
	for lane, units := range w.order {
		for i, u := range units {
			list = append(list, sallyport.Placement{Unit: u, Lane: lane, Place: i + 1})
		}
	}
	return list // in no order: only what each says counts
}

func (h *Hand) laneOf(id sallyport.LaneID) int32 {
	return int32(slices.IndexFunc(h.p.lanes, func(l lane) bool { return l.id == id }))
}

func (h *Hand) errNoStay(put sallyport.Placement) error {
	if h.p.index.Unit(put.Unit) == nil {
		return sallyport.Errorf(sallyport.CodeNotFound, "look at the register", "there is no vehicle %q", put.Unit)
	}
	name := h.p.index.UnitName(put.Unit)
	if c := h.p.index.CombinationOf(put.Unit); c != "" {
		return sallyport.Errorf(sallyport.CodeInput, "put the combination", "%s stands in the lanes as part of %s", name, h.p.index.UnitName(c))
	}
	return sallyport.Errorf(sallyport.CodeNotFound, "name the serial or duty after which the stay begins; nothing for the first",
		"%s has no stay in the lanes that begins after %q", name, put.After)
}

// queue puts a unit that is there from the start at a place in its lane's
// order: the one given, counted from 1 at the mouth, else the one that costs
// the lane least, of equals the nearest to the mouth.
func (h *Hand) queue(u sallyport.UnitID, lane int32, place int, places []int32) error {
	w := h.where
	for id, units := range w.order {
		w.order[id] = slices.DeleteFunc(slices.Clone(units), func(x sallyport.UnitID) bool { return x == u })
	}
	id := h.p.lanes[lane].id
	others := w.order[id]
	at := func(i int) {
		w.order[id] = slices.Insert(slices.Clone(others), i, u)
		h.p.orderStart(w.sketch())
	}
	if most := len(others) + 1; place > most {
		return sallyport.Errorf(sallyport.CodeInput, fmt.Sprintf("give a place from 1, nearest to the mouth, to %d", most),
			"there is no place %d in lane %s (others there: %d)", place, id, len(others))
	}
	if place > 0 {
		at(place - 1)
		return nil
	}
	best, cheapest := 0, impossible
	for i := range len(others) + 1 {
		at(i)
		b := h.board(places)
		b.countLane(lane)
		if i == 0 || b.lanes[lane] < cheapest {
			best, cheapest = i, b.lanes[lane]
		}
	}
	at(best)
	return nil
}

// board puts every stay at its place, wherever that is.
func (h *Hand) board(places []int32) *board {
	b := newBoard(h.p)
	b.eval.lenient = true
	for s, pl := range places {
		if pl != none {
			b.put(int32(s), pl)
		}
	}
	h.p.sortedIn(h.plan, b.sorted)
	return b
}

// write writes the plan with stays at their places; of those moved the ends of
// open lanes are chosen that cost least.
func (h *Hand) write(places []int32, moved map[int32]bool) *sallyport.Plan {
	b := h.board(places)
	for s := range places {
		if ln := h.p.laneAt(places[s]); moved[int32(s)] && h.p.lanes[ln].end-h.p.lanes[ln].first > 1 {
			h.chooseEnds(b, int32(s), ln)
		}
	}
	plan := h.p.plan(b)
	plan.Key = sallyport.Key{Version: Version, Show: fingerprint(h.p.show)}
	if h.plan.Key.Show == plan.Key.Show {
		plan.Key.Bound = h.plan.Key.Bound
	}
	return plan
}

func (h *Hand) chooseEnds(b *board, s, lane int32) {
	best, cheapest := none, impossible
	for pl := h.p.lanes[lane].first; pl < h.p.lanes[lane].end; pl++ {
		b.put(s, none)
		b.put(s, pl)
		b.countLane(lane)
		if best == none || b.lanes[lane] < cheapest {
			best, cheapest = pl, b.lanes[lane]
		}
	}
	b.put(s, none)
	b.put(s, best)
}

// Why says who of a plan's show has no room in it.
func (h *Hand) Why(plan *sallyport.Plan) []string {
	var list []string
	for _, l := range h.p.lost {
		s := h.p.serial(l.entry)
		list = append(list, h.p.index.UnitName(h.p.entry(l.entry).Unit)+" cannot be in "+h.p.index.SerialName(s.ID)+": "+l.why+".")
	}
	w := newWhereabouts(plan)
	for u := range h.p.units {
		un := &h.p.units[u]
		if !slices.ContainsFunc(w.places(h.p, int32(u)), func(pl int32) bool { return pl != none }) {
			list = append(list, un.Name+" has not been given a place.")
		}
	}
	return list
}

// Fingerprint is a hash of a complete show: what a plan's key says of the show
// that it was made for.
func Fingerprint(show *sallyport.Show) string { return fingerprint(show) }
