package solve

import (
	"cmp"
	"context"
	"slices"

	"sallyport"
)

// FromSketch returns the plan that follows from lanes chosen by hand, without
// a search: who stands in the way is moved aside, who finds no room is put
// there nevertheless, so that the report says what is wrong. A stay that the
// sketch does not name is spent in the lane of the unit's stay before it, or,
// if there is none, where it costs least.
func FromSketch(ctx context.Context, show *sallyport.Show, sketch []sallyport.Placement, opt Options) (*Result, error) {
	opt.Sketch, opt.Steps = sketch, 1
	if show == nil || len(show.Park.Lanes) == 0 {
		return nil, errNoLane()
	}
	p := compile(sallyport.Complete(show))
	lanes := p.sketched(sketch)
	p.orderStart(sketch)
	s := newSearch(ctx, p, opt, nil)
	s.bound = lowerBound(ctx, p)
	st := s.streams[0]
	st.b.eval.lenient = true
	st.route.force = true
	st.route.wish = func(i int32) int32 { return lanes[i] }
	for u := range p.units {
		st.reroute([]int32{int32(u)})
	}
	// The lanes are given, the ends by which open ones are entered and left
	// are not.
	for n := 0; n < sketchTries && ctx.Err() == nil; n++ {
		st.units = st.neighboursInLanes(st.units[:0])
		st.attempt()
	}
	return s.result(st.b), nil
}

// sketchTries is how often a few units are put into their given lanes anew.
const sketchTries = 2000

// sketched returns the lane that a sketch gives each stay, none where it gives
// none. Stays it does not name follow the stay before them.
func (p *problem) sketched(sketch []sallyport.Placement) []int32 {
	type key struct {
		unit  sallyport.UnitID
		after string
	}
	given := make(map[key]sallyport.LaneID, len(sketch))
	for _, pl := range sketch {
		given[key{pl.Unit, pl.After}] = pl.Lane
	}
	laneAt := make(map[sallyport.LaneID]int32, len(p.lanes))
	for l := range p.lanes {
		laneAt[p.lanes[l].id] = int32(l)
	}
	lanes := make([]int32, len(p.stays))
	for u := range p.units {
		un := &p.units[u]
		at := none
		for s := un.firstStay; s < un.endStay; s++ {
			for _, after := range p.afters(s) {
				id, ok := given[key{un.ID, after}]
				if l, known := laneAt[id]; ok && known {
					at = l
				}
			}
			lanes[s] = at
		}
	}
	return lanes
}

// afters returns the names under which a sketch may speak of stay s: of the
// serial or duty after which it begins; "" for a first stay.
func (p *problem) afters(s int32) []string {
	before := p.stays[s].before
	if before == none {
		return []string{""}
	}
	a := &p.absences[before]
	if a.stray {
		return nil
	}
	if a.duty != none {
		return []string{string(p.show.Duties[a.duty].ID)}
	}
	return []string{string(p.serial(a.entries[len(a.entries)-1]).ID)}
}

// orderStart makes those who stand at the start come in in the order that a
// sketch gives: the deepest first.
func (p *problem) orderStart(sketch []sallyport.Placement) {
	place := make(map[sallyport.UnitID]int, len(sketch))
	for _, pl := range sketch {
		if pl.After == "" {
			place[pl.Unit] = pl.Place
		}
	}
	for g := range p.groups {
		gr := &p.groups[g]
		if gr.kind != groupStart {
			continue
		}
		list := p.events[gr.first:gr.end]
		slices.SortStableFunc(list, func(a, b event) int {
			x, y := place[p.units[p.stays[a.stay].unit].ID], place[p.units[p.stays[b.stay].unit].ID]
			return cmp.Compare(y, x)
		})
		for i, ev := range list {
			p.stays[ev.stay].in = gr.first + int32(i)
		}
	}
}

// wishes are the lanes of a plan made by hand from which a search starts. While
// few stays may differ from it, each that does costs a price that falls as
// the search goes on: so the changes that save most are made first.
type wishes struct {
	lanes  []int32 // by stay, none where the sketch says nothing
	most   int     // stays that may differ; 0: no limit
	amount int64
	told   bool // the amount is what it costs to tell people: it is part of the cost
}

// price is the price of spending stay s in lane l.
func (w *wishes) price(s, l int32) int64 {
	if w == nil || w.lanes[s] == none || w.lanes[s] == l {
		return 0
	}
	return w.amount
}

// differ returns how many stays are spent in another lane than wished.
func (b *board) differ() int {
	n := 0
	if b.wishes != nil {
		for s, l := range b.wishes.lanes {
			if at := b.laneOf(int32(s)); l != none && at != none && at != l {
				n++
			}
		}
	}
	return n
}

// worth is the cost of the board without the price of differing.
func (b *board) worth() int64 {
	if b.wishes == nil || b.wishes.amount == 0 || b.wishes.told {
		return b.total
	}
	return b.total - b.wishes.amount*int64(b.differ())
}

// allowed reports whether no more stays differ than may, or than did before.
func (b *board) allowed(before int) bool {
	return b.wishes == nil || b.wishes.most == 0 || b.differ() <= max(before, b.wishes.most)
}

// wish sets what the board starts from, and the price of differing from it.
func (b *board) wish(w *wishes) {
	b.wishes = w
	for u := range b.p.units {
		b.countUnit(int32(u))
	}
}

// sketchBoard puts every unit as the sketch says, as far as that can be done;
// the others where they cost least.
func (st *stream) sketchBoard() {
	w := st.b.wishes
	var late []int32
	st.route.wish = func(s int32) int32 { return w.lanes[s] }
	for u := range st.p.units {
		st.reroute([]int32{int32(u)})
		if st.b.homeless(int32(u)) != none {
			st.b.take(int32(u))
			late = append(late, int32(u))
		}
	}
	st.route.wish = nil
	st.reroute(late)
	st.best.copyFrom(st.b)
}
