package solve

import "sallyport"

// none stands for "no such thing" wherever a table holds an index.
const none int32 = -1

// problem is a completed show as tables of small integers. It is frozen once
// compile has returned it: searches share it between goroutines.
//
// Stays of one unit are neighbours in stays, in order of time. Events are the
// beginnings and ends of stays in order of time; a group is a run of events
// with one cause (the pull-outs of a serial, the returns of a serial, the
// arrivals of a window …). In an ordered group the events happen in their
// order; in a free group any order may be taken, and their order in the table
// is the best one for dead-end lanes: who leaves later comes in first.
type problem struct {
	show    *sallyport.Show
	index   *sallyport.Index
	prices  sallyport.Prices
	weights sallyport.Weights

	units    []unit
	lanes    []lane
	places   []place
	stays    []stay
	absences []absence
	groups   []group
	events   []event
	nights   []sallyport.Instant // start of the morning that ends each night
	pairs    []pair              // units to be kept together where that is in question
	lost     []lostEntry         // entries that no choice of lanes can serve
	resets   []int32             // groups of reset windows, at most 64
	waits    []int64             // by stay: price of its shifts
	unitAt   map[sallyport.UnitID]int32
	standbys bool       // some unit must be able to leave at any time
	closes   bool       // some lane is closed at some time, or must be clear of engines
	stand    bool       // entries that stay behind when one unit does not start cost standUnit
	begin    *beginning // the moment from which it is planned on; nil: the start
}

// unit is a vehicle, or a combination as it stands and moves, with the figures
// that the search asks for often.
type unit struct {
	*sallyport.Unit
	length, ahead, behind int32 // centimetres

	home  int32   // lane, or none
	told  bool    // the home has been told: leaving it costs
	fixed bool    // the home must be kept
	apart []int32 // units never in the same lane
	value int64   // summed value of its entries, at least 1

	firstStay, endStay int32
	places             []int32 // that it fits and may use, in order

	price  unitPrice
	clears int32 // seconds until it is out of the way when it does not start, none: not; with problem.stand
}

// unitPrice is what single actions with the unit cost, from sallyport.Prices.
type unitPrice struct {
	aside, back         int64 // driven
	asideHand, backHand int64 // pushed; none: it cannot be
	closeUp             int64
	heavy               int64 // per whole metre reversed
	risk                int64 // chance of not starting × price of an entry, over Certain
}

// lane is one lane with its one or four places.
type lane struct {
	id         sallyport.LaneID
	kind       sallyport.LaneKind
	in         sallyport.DriveIn
	length     int32
	gap        int32
	deep       int32 // most units at once; a figure no lane reaches when not limited
	zone       sallyport.ZoneID
	mouthDepth int32 // depth of the stretch before the mouth; 0: none or not given
	tailDepth  int32
	beside     bool
	asideRoom  int32 // length of the spots to wait aside that serve its zone; 0: there are none
	asideOne   int32 // of the longest of them
	first, end int32
	windows    []sallyport.Window // closed
}

// place is a lane with the ends by which a stay begins and ends. Dead-end and
// through lanes have one place, open lanes four.
type place struct {
	lane    int32
	tail    bool // entered by the tail
	outTail bool // left by the tail
}

// stay is one unbroken period of a unit in a lane.
type stay struct {
	unit     int32
	in, out  int32 // events; out none: to the end of the show
	inGroup  int32
	outGroup int32 // none: to the end
	before   int32 // absence that it ends; none for the first stay
	after    int32 // absence that follows; none: departure or the end
	places   []int32

	held, early sallyport.Instant // shifted: comes home only then, is pulled out already then; 0: not

	checks  []int32 // groups after which its unit must have a free way out, as a reserve
	lossDay int32   // day of the next entries after this stay; 0: none
	loss    int64   // summed value of the entries on that day from then on
}

// absence is a period away from the lanes: a chain of joined entries, or a duty.
type absence struct {
	unit      int32
	entries   []entryAt
	duty      int32            // index in show.Duties; none for entries
	part      sallyport.UnitID // the part of a combination that goes alone; empty: the whole unit
	value     int64
	out, back sallyport.Instant // nominal
	under     bool              // the unit is away when the plan begins
	stray     bool              // and has no part in anything: it is to come home
}

// entryAt names an entry by its places in the show.
type entryAt struct{ serial, entry int32 }

// groupKind says what a group of events is.
type groupKind uint8

const (
	groupStart   groupKind = iota // there from the start
	groupArrive                   // arrivals in one window
	groupOut                      // pull-outs of one serial
	groupHome                     // returns of one serial
	groupDuty                     // to duty
	groupRelieve                  // from duty
	groupDepart                   // departures in one window
	groupReset                    // a reset window: no events of its own
	groupTow                      // broken-down vehicles are towed out of their lanes
	groupClear                    // who stands in a lane that is to be closed leaves it
	groupBack                     // who is out for nothing when the plan begins comes home
)

// group is a run of events with one cause at one nominal moment.
type group struct {
	kind       groupKind
	at         sallyport.Instant
	day        int32
	serial     int32 // index in show.Serials; none if it is not about one
	window     int32 // index in show.Resets
	ordered    bool
	first, end int32 // events
}

// event is the beginning or the end of a stay.
type event struct {
	stay  int32
	group int32
	out   bool
}

// pair is two units that should spend their nights in one zone.
type pair struct{ a, b int32 }

// lostEntry is an entry that cannot be served wherever the unit stands.
type lostEntry struct {
	entry entryAt
	why   string
}

// unlimited stands for a depth that no lane reaches.
const unlimited = 1 << 20

// compile turns a completed show (sallyport.Complete) into tables.
func compile(show *sallyport.Show) *problem {
	return compileFrom(show, sallyport.NewIndex(show), nil)
}

// compileFrom is compile for what is left of a show at a moment; nil: all.
func compileFrom(show *sallyport.Show, index *sallyport.Index, begin *beginning) *problem {
	p := &problem{show: show, index: index, begin: begin}
	p.prices = sallyport.NewPrices(p.index)
	p.weights = p.prices.Weights()
	laneAt := p.addLanes()
	p.unitAt = p.addUnits(laneAt)
	p.addAbsences(p.unitAt)
	p.waits = make([]int64, len(p.stays))
	p.addEvents()
	p.addLosses()
	p.addReserves(p.unitAt)
	p.allowPlaces()
	p.addPairs(p.unitAt)
	return p
}

// addLanes fills lanes and places and returns the index of every lane id.
func (p *problem) addLanes() map[sallyport.LaneID]int32 {
	at := make(map[sallyport.LaneID]int32, len(p.show.Park.Lanes))
	for i, l := range p.show.Park.Lanes {
		at[l.ID] = int32(i)
		deep := int32(unlimited)
		if l.MaxDeep > 0 {
			deep = int32(l.MaxDeep)
		}
		ln := lane{
			id: l.ID, kind: l.Kind, in: l.In, length: int32(l.Length), gap: int32(l.Gap), deep: deep, zone: l.Zone,
			mouthDepth: int32(p.index.StretchDepth(l.Mouth)), tailDepth: int32(p.index.StretchDepth(l.Tail)), beside: l.Beside,

			first: int32(len(p.places)), windows: l.Closed,
		}
		ln.asideRoom, ln.asideOne = p.asideRoom(l.Zone)
		p.closes = p.closes || len(l.Closed) > 0 || len(p.index.PublicInside(l.Zone)) > 0
		switch l.Kind {
		case sallyport.Through:
			p.places = append(p.places, place{lane: int32(i), tail: true})
		case sallyport.Open:
			for _, ends := range [][2]bool{{false, false}, {false, true}, {true, false}, {true, true}} {
				p.places = append(p.places, place{int32(i), ends[0], ends[1]})
			}
		default:
			ln.kind = sallyport.DeadEnd
			p.places = append(p.places, place{lane: int32(i)})
		}
		ln.end = int32(len(p.places))
		p.lanes = append(p.lanes, ln)
	}
	return at
}

// asideRoom returns how much length of vehicles of the zone can wait aside at
// once, and how long the longest of them may be.
func (p *problem) asideRoom(zone sallyport.ZoneID) (all, one int32) {
	for _, s := range p.index.AsideSpots(zone) {
		length := int32(s.Length)
		if length == 0 {
			return unlimited, unlimited
		}
		all, one = all+length, max(one, length)
	}
	return all, one
}

// addUnits fills units in the order of the index, parts of combinations left
// out. The map also leads from each part to its combination.
func (p *problem) addUnits(laneAt map[sallyport.LaneID]int32) map[sallyport.UnitID]int32 {
	at := make(map[sallyport.UnitID]int32, len(p.index.UnitIDs))
	for _, id := range p.index.UnitIDs {
		if p.index.CombinationOf(id) != "" {
			continue
		}
		u := p.index.Unit(id)
		if p.begin != nil && !p.begin.plans(u) {
			continue
		}
		at[id] = int32(len(p.units))
		for _, part := range u.Parts {
			at[part] = at[id]
		}
		un := unit{Unit: u, length: int32(u.Length), ahead: int32(u.GapAhead), behind: int32(u.GapBehind), home: none}
		if l, ok := laneAt[u.Home.Lane]; ok {
			un.home, un.told, un.fixed = l, u.Home.Binding == sallyport.Told, u.Home.Binding == sallyport.Fixed
		}
		un.price = p.unitPrice(u)
		p.standbys = p.standbys || u.Standby
		p.units = append(p.units, un)
	}
	for a := range p.units {
		for _, o := range p.units[a].KeepApart {
			if b, ok := at[o]; ok && int32(a) != b {
				p.units[a].apart = append(p.units[a].apart, b)
				p.units[b].apart = append(p.units[b].apart, int32(a))
			}
		}
	}
	return at
}

func (p *problem) unitPrice(u *sallyport.Unit) unitPrice {
	pr := unitPrice{
		aside: int64(p.prices.Aside(u, false)), back: int64(p.prices.Drive(sallyport.MoveBack, u, false)),
		asideHand: int64(none), backHand: int64(none),
		closeUp: int64(p.prices.CloseUp(u)), heavy: int64(p.prices.Reverse(u, 100)),
		risk: int64(sallyport.Certain-u.StartChance) * int64(p.weights.Entry),
	}
	if u.HandPeople > 0 && !u.Combination {
		pr.asideHand, pr.backHand = int64(p.prices.Aside(u, true)), int64(p.prices.Drive(sallyport.MoveBack, u, true))
	}
	return pr
}

// addPairs finds who should be kept together; a pair whose places all lie in
// one zone is left out, for nothing depends on it.
func (p *problem) addPairs(at map[sallyport.UnitID]int32) {
	if p.weights.Together == 0 {
		return
	}
	for _, ids := range p.index.TogetherPairs {
		a, okA := at[ids[0]]
		b, okB := at[ids[1]]
		if okA && okB && a != b && p.zonesDiffer(a, b) {
			p.pairs = append(p.pairs, pair{a, b})
		}
	}
	for d := 2; d <= len(p.show.Days) && len(p.pairs) > 0; d++ {
		p.nights = append(p.nights, p.index.Morning(d))
	}
}

func (p *problem) zonesDiffer(a, b int32) bool {
	var zone sallyport.ZoneID
	seen := false
	for _, u := range []int32{a, b} {
		for _, pl := range p.units[u].places {
			z := p.lanes[p.places[pl].lane].zone
			if seen && z != zone {
				return true
			}
			zone, seen = z, true
		}
	}
	return false
}
