package plant

import (
	"math/rand/v2"
	"sort"

	sp "sallyport"
)

// kind is a sort of vehicle and the lengths it comes in.
type kind struct {
	class        string
	share        int // of 100
	least, most  int // length in units of 5 cm
	mass, spread sp.Kilograms
}

var kinds = []kind{
	{"light wheeled", 35, 62, 90, 900, 1200},
	{"heavy wheeled", 25, 116, 156, 5000, 8000},
	{"half-tracked", 15, 120, 132, 8000, 1500},
	{"tracked carrier", 15, 74, 98, 3500, 4000},
	{"heavy tracked", 10, 132, 164, 22000, 18000},
}

// yard is the planted plan while it is played.
type yard struct {
	opt      Options
	rnd      *rand.Rand
	vehicles []car
	lanes    [][]int // vehicles now in each lane, mouth last
	zoneOf   []int   // of each lane
	serials  [][]int // entries of each serial, in order
	start    []int   // place of each vehicle in the start layout, 1 at the mouth
	moves    []sp.Move
	moments  int // pull-outs and returns so far
	aside    int
	need     []sp.Centimetres // most room ever needed in each lane
	homes    [][]int          // vehicles that belong to each lane now, away or not
	tight    sp.Centimetres   // most room ever needed in all lanes by all vehicles at home

	lastInLane []sp.MoveID // last move through each lane's mouth
}

// car is one vehicle of the yard.
type car struct {
	kind   kind
	length sp.Centimetres
	mass   sp.Kilograms
	word   sp.StartWord
	lane   int // where it belongs
	away   bool
	last   int // its last serial; long ago when none
	runs   int
	stays  []stay

	lastMove sp.MoveID
}

// stay is a stay in a lane from moment from up to moment to; after is the
// serial it begins after, -1 for the first.
type stay struct {
	lane, from, to, after int
}

const forever = 1 << 30

func newYard(opt Options, rnd *rand.Rand) *yard {
	y := &yard{
		opt: opt, rnd: rnd, vehicles: make([]car, opt.Vehicles),
		lanes: make([][]int, opt.Lanes), zoneOf: make([]int, opt.Lanes),
		need: make([]sp.Centimetres, opt.Lanes), homes: make([][]int, opt.Lanes), start: make([]int, opt.Vehicles), lastInLane: make([]sp.MoveID, opt.Lanes),
	}
	for l := range y.zoneOf {
		y.zoneOf[l] = l * opt.Zones / opt.Lanes
	}
	for v := range y.vehicles {
		y.vehicles[v] = y.draw()
	}
	for v, lane := range y.deal() {
		y.vehicles[v].lane = lane
		y.vehicles[v].stays = []stay{{lane: lane, from: 0, to: forever, after: -1}}
		y.lanes[lane] = append(y.lanes[lane], v)
		y.homes[lane] = append(y.homes[lane], v)
	}
	for _, list := range y.lanes {
		for i, v := range list {
			y.start[v] = len(list) - i
		}
	}
	y.measure()
	return y
}

// draw makes one vehicle.
func (y *yard) draw() car {
	pick := y.rnd.IntN(100)
	k := kinds[0]
	for _, next := range kinds {
		k = next
		if pick < next.share {
			break
		}
		pick -= next.share
	}
	words := []sp.StartWord{sp.StartsWell, sp.StartsWell, sp.StartsWell, sp.NeedsCoaxing, sp.NeedsCoaxing, sp.DoubtfulStart}
	return car{
		kind: k, length: sp.Centimetres(5 * (k.least + y.rnd.IntN(k.most-k.least+1))),
		mass: k.mass + sp.Kilograms(y.rnd.Int64N(int64(k.spread))), word: words[y.rnd.IntN(len(words))], last: -forever,
	}
}

// deal returns a lane for each vehicle: one in every lane, the others at
// random, at most three deep.
func (y *yard) deal() []int {
	lane := make([]int, y.opt.Vehicles)
	var rest []int // places still free, a lane each
	for l := range y.opt.Lanes {
		for range deepest - 1 {
			rest = append(rest, l)
		}
	}
	y.rnd.Shuffle(len(rest), func(i, j int) { rest[i], rest[j] = rest[j], rest[i] })
	for i, v := range y.rnd.Perm(y.opt.Vehicles) {
		if i < y.opt.Lanes {
			lane[v] = i
		} else {
			lane[v] = rest[i-y.opt.Lanes]
		}
	}
	return lane
}

// room returns what the vehicles need in one lane, gaps included.
func (y *yard) room(list []int) sp.Centimetres {
	var sum sp.Centimetres
	for i, v := range list {
		sum += y.vehicles[v].length
		if i > 0 {
			sum += gap
		}
	}
	return sum
}

// measure keeps the tightest moment: that of each lane, and that of all of
// them when everybody is at home.
func (y *yard) measure() {
	var all sp.Centimetres
	for l, list := range y.homes {
		r := y.room(list)
		y.need[l] = max(y.need[l], r)
		all += r
	}
	y.tight = max(y.tight, all)
}

// play runs all serials: each is pulled out before the one ahead of it is
// home, except on the next day.
func (y *yard) play() error {
	total := y.opt.Days * y.opt.Serials
	exchange := make([]int, total)
	for range y.opt.Exchanges {
		exchange[y.rnd.IntN(total)]++
	}
	owed := 0
	for day := range y.opt.Days {
		for i := range y.opt.Serials {
			n := day*y.opt.Serials + i
			y.pullOut(n)
			if i > 0 {
				owed = y.comeHome(n-1, owed+exchange[n-1])
			}
		}
		n := (day+1)*y.opt.Serials - 1
		owed = y.comeHome(n, owed+exchange[n])
	}
	if owed > 0 {
		return sp.Errorf(sp.CodeInput, "plant fewer exchanges, or more serials", "%d of %d exchanges found no pair of vehicles to make them", owed, y.opt.Exchanges)
	}
	return nil
}

// pullOut chooses and pulls out the vehicles of serial n. Who has had fewest
// runs comes first, chance decides between equals.
func (y *yard) pullOut(n int) {
	y.moments++
	due := map[int]bool{}
	var entries []int
	for _, v := range y.byRuns() {
		group := []int{v}
		if y.opt.NobodyAside {
			group = y.above(v, due)
		}
		if due[v] || len(entries)+len(group) > y.opt.Entries || !y.canGo(group, n) {
			continue
		}
		for _, g := range group {
			due[g] = true
			entries = append(entries, g)
		}
	}
	y.rnd.Shuffle(len(entries), func(i, j int) { entries[i], entries[j] = entries[j], entries[i] })
	y.serials = append(y.serials, entries)
	for _, l := range y.lanesOf(entries) {
		y.clear(l, due, n)
	}
	for _, v := range entries {
		c := &y.vehicles[v]
		c.away, c.last = true, n
		c.runs++
		c.stays[len(c.stays)-1].to = y.moments
	}
	y.column(n)
}

// byRuns returns all vehicles, fewest runs first.
func (y *yard) byRuns() []int {
	list := y.rnd.Perm(y.opt.Vehicles)
	sort.SliceStable(list, func(i, j int) bool { return y.vehicles[list[i]].runs < y.vehicles[list[j]].runs })
	return list
}

// above returns v and who stands between it and the mouth and is not due.
func (y *yard) above(v int, due map[int]bool) []int {
	list := y.lanes[y.vehicles[v].lane]
	group := []int{}
	for i := len(list) - 1; i >= 0; i-- {
		if !due[list[i]] {
			group = append(group, list[i])
		}
		if list[i] == v {
			break
		}
	}
	return group
}

// canGo reports whether all of the group are at home and rested for a serial.
func (y *yard) canGo(group []int, n int) bool {
	for _, v := range group {
		if y.vehicles[v].away || n-y.vehicles[v].last < 2 {
			return false
		}
	}
	return len(group) > 0
}

// lanesOf returns the lanes in which the vehicles belong, each once, in order.
func (y *yard) lanesOf(list []int) []int {
	seen := map[int]bool{}
	var lanes []int
	for _, v := range list {
		if l := y.vehicles[v].lane; !seen[l] {
			seen[l] = true
			lanes = append(lanes, l)
		}
	}
	sort.Ints(lanes)
	return lanes
}

// clear pulls the due vehicles out of a lane for serial n. Whoever stands
// before the deepest of them and is not due waits aside and is put back.
func (y *yard) clear(lane int, due map[int]bool, n int) {
	list := y.lanes[lane]
	from := y.times(n).FormFrom
	deepest := 0
	for !due[list[deepest]] {
		deepest++
	}
	var aside []int
	paces := 0
	for i := len(list) - 1; i >= deepest; i-- {
		if due[list[i]] {
			y.book(sp.MovePullOut, list[i], lane, n, from, paces)
		} else {
			y.book(sp.MoveAside, list[i], lane, n, from, paces)
			aside = append(aside, list[i])
		}
		paces++
	}
	left := list[:deepest:deepest]
	for i := len(aside) - 1; i >= 0; i-- {
		y.book(sp.MoveBack, aside[i], lane, n, from, paces)
		left = append(left, aside[i])
		paces++
	}
	y.aside += len(aside)
	y.lanes[lane] = left
}

// comeHome brings serial n home after as many exchanges of lanes as can be
// made, and returns how many could not.
func (y *yard) comeHome(n, exchanges int) int {
	y.moments++
	entries := append([]int(nil), y.serials[n]...)
	moved := map[int]bool{}
	for exchanges > 0 && y.exchange(entries, moved) {
		exchanges--
	}
	y.rnd.Shuffle(len(entries), func(i, j int) { entries[i], entries[j] = entries[j], entries[i] })
	paces := map[int]int{} // of each lane
	for _, v := range entries {
		c := &y.vehicles[v]
		c.away = false
		y.book(sp.MoveReturn, v, c.lane, n, y.times(n).Back(), paces[c.lane])
		paces[c.lane]++
		c.stays = append(c.stays, stay{lane: c.lane, from: y.moments, to: forever, after: n})
		y.lanes[c.lane] = append(y.lanes[c.lane], v)
	}
	return exchanges
}

// exchange swaps the lanes of the two vehicles that differ least in length,
// of those not moved yet; false when there is no such pair.
func (y *yard) exchange(entries []int, moved map[int]bool) bool {
	best, a, b := sp.Centimetres(forever), -1, -1
	for i, v := range entries {
		for _, w := range entries[i+1:] {
			cv, cw := y.vehicles[v], y.vehicles[w]
			if moved[v] || moved[w] || cv.lane == cw.lane || y.zoneOf[cv.lane] != y.zoneOf[cw.lane] {
				continue
			}
			if d := max(cv.length-cw.length, cw.length-cv.length); d < best {
				best, a, b = d, v, w
			}
		}
	}
	if a < 0 {
		return false
	}
	moved[a], moved[b] = true, true
	la, lb := y.vehicles[a].lane, y.vehicles[b].lane
	y.vehicles[a].lane, y.vehicles[b].lane = lb, la
	for _, l := range []int{la, lb} {
		for i, v := range y.homes[l] {
			switch v {
			case a:
				y.homes[l][i] = b
			case b:
				y.homes[l][i] = a
			}
		}
	}
	y.measure()
	return true
}
