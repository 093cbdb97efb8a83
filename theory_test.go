package sallyport_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	sp "sallyport"

	"pgregory.net/rapid"
)

// plainYard returns a show of n equal vehicles that arrive and depart as they
// like, and some equal lanes of one kind, each with room for all of them.
func plainYard(n, lanes int, kind sp.LaneKind) *sp.Show {
	s := &sp.Show{Format: sp.FormatShow, Name: "Plain", Days: []sp.Day{{Name: "Friday"}}, Weights: sp.DefaultWeights()}
	s.Park.Paces = []sp.Pace{{Takes: 1}}
	for i := range n {
		s.Vehicles = append(s.Vehicles, quiet(unit(i)))
	}
	for l := range lanes {
		in := sp.InReversed
		if kind == sp.Through {
			in = sp.InNose
		}
		s.Park.Lanes = append(s.Park.Lanes, sp.Lane{ID: laneNo(l), Kind: kind, Length: sp.Centimetres(600 * n), Gap: 50, In: in})
	}
	return s
}

func unit(i int) sp.UnitID     { return sp.UnitID(fmt.Sprintf("v%02d", i)) }
func digit(u sp.UnitID) uint64 { return uint64(u[1]-'0')*10 + uint64(u[2]-'0') }
func laneNo(l int) sp.LaneID   { return sp.LaneID(fmt.Sprintf("L%d", l)) }

func arrive(at sp.Instant, u sp.UnitID, lane sp.Lane) sp.Move {
	return sp.Move{ID: "in-" + sp.MoveID(u), Kind: sp.MoveArrive, Unit: u, From: sp.Pos{Kind: sp.InAway}, To: sp.AtLane(lane.ID, ""), Reverse: lane.Kind == sp.DeadEnd, Start: at, Takes: 1}
}

func depart(at sp.Instant, u sp.UnitID, lane sp.Lane) sp.Move {
	return sp.Move{ID: "out-" + sp.MoveID(u), Kind: sp.MoveDepart, Unit: u, From: sp.AtLane(lane.ID, ""), To: sp.Pos{Kind: sp.InAway}, Start: at, Takes: 1}
}

// yard asks Play which moves can be made, and remembers the answers by the
// number of a state. States with the same vehicles in the same order in their
// lanes are one: the lanes are equal, and long enough for all.
type yard struct {
	show   *sp.Show
	states []sp.State
	number map[string]int
	lanes  []int // lanes in use in each state
	next   [][]exit
}

// exit is a departure that can be made, and the state after it.
type exit struct {
	unit  uint64
	after int
}

func newYard(n, lanes int, kind sp.LaneKind) *yard {
	return &yard{show: plainYard(n, lanes, kind), number: map[string]int{"": 0}, states: []sp.State{{}}, lanes: []int{0}, next: [][]exit{{}}}
}

// keep returns the number of a state; the empty one is 0.
func (y *yard) keep(s sp.State) int {
	var rows []string
	for _, list := range s.Lanes {
		row := ""
		for _, x := range list {
			row += string(x.Unit)
		}
		if row != "" {
			rows = append(rows, row)
		}
	}
	slices.Sort(rows)
	key := strings.Join(rows, "|")
	if i, known := y.number[key]; known {
		return i
	}
	y.number[key] = len(y.states)
	s.At = 0
	y.states, y.lanes, y.next = append(y.states, s), append(y.lanes, len(rows)), append(y.next, nil)
	return len(y.states) - 1
}

// try plays one move and returns the state after it, or false when the judge
// finds a fault.
func (y *yard) try(state int, m sp.Move) (int, bool) {
	states, faults := sp.Play(y.show, y.states[state], []sp.Move{m})
	if len(faults) > 0 {
		return 0, false
	}
	return y.keep(states[0]), true
}

// departures returns who can depart from a state, and what is left then.
func (y *yard) departures(state int) []exit {
	if y.next[state] == nil {
		out := []exit{}
		for _, lane := range y.show.Park.Lanes {
			for _, s := range y.states[state].Lanes[lane.ID] {
				if after, ok := y.try(state, depart(60, s.Unit, lane)); ok {
					out = append(out, exit{digit(s.Unit), after})
				}
			}
		}
		y.next[state] = out
	}
	return y.next[state]
}

// arrivals returns the different states after unit k arrives.
func (y *yard) arrivals(state, k int) []int {
	var after []int
	for _, lane := range y.show.Park.Lanes {
		if s, ok := y.try(state, arrive(60, unit(k), lane)); ok && !slices.Contains(after, s) {
			after = append(after, s)
		}
	}
	return after
}

// orders is a set of departure orders, each written as digits of four bits.
type orders map[uint64]bool

// interleaved returns all orders in which n vehicles that arrive in the order
// 0, 1, … can depart when arrivals and departures alternate freely.
func (y *yard) interleaved(state, arrived, n int, memo map[[2]int]orders) orders {
	name := [2]int{state, arrived}
	if set, known := memo[name]; known {
		return set
	}
	set := orders{}
	if arrived == n && state == 0 {
		set[1] = true // a mark in front, so that leading zeros count
	}
	if arrived < n {
		for _, after := range y.arrivals(state, arrived) {
			for o := range y.interleaved(after, arrived+1, n, memo) {
				set[o] = true
			}
		}
	}
	for _, e := range y.departures(state) {
		for o := range y.interleaved(e.after, arrived, n, memo) {
			set[o<<4|e.unit] = true // orders are kept last departure first
		}
	}
	memo[name] = set
	return set
}

// countInterleaved counts the departure orders of up to n vehicles.
func countInterleaved(n, lanes int) []int {
	var counts []int
	for k := 1; k <= n; k++ {
		y := newYard(k, lanes, sp.DeadEnd)
		counts = append(counts, len(y.interleaved(0, 0, k, map[[2]int]orders{})))
	}
	return counts
}

// One dead-end lane is a stack: arrivals 1..n with departures between them as
// one likes give exactly the Catalan numbers of departure orders. D. E. Knuth,
// The Art of Computer Programming, vol. 1, section 2.2.1, exercises 2 to 5;
// OEIS A000108.
func TestOneDeadEndLaneIsCatalan(t *testing.T) {
	want := []int{1, 2, 5, 14, 42, 132, 429, 1430}
	if testing.Short() {
		want = want[:6]
	}
	if got := countInterleaved(len(want), 1); !slices.Equal(got, want) {
		t.Errorf("one dead-end lane: %v departure orders, want %v", got, want)
	}
}

// Two dead-end lanes side by side are two stacks in parallel: OEIS A216040.
// The figure for four says that only 2341 cannot be had.
func TestTwoDeadEndLanesInParallel(t *testing.T) {
	want := []int{1, 2, 6, 23, 103, 513, 2760}
	if testing.Short() {
		want = want[:5]
	}
	if got := countInterleaved(len(want), 2); !slices.Equal(got, want) {
		t.Errorf("two dead-end lanes: %v departure orders, want %v", got, want)
	}
}

// Three dead-end lanes in parallel, arrivals and departures interleaved:
// 1, 2, 6, 24, 119, 694, 4582 departure orders, by an enumeration with plain
// stacks instead of Play.
func TestThreeDeadEndLanesInParallel(t *testing.T) {
	want := []int{1, 2, 6, 24, 119, 694, 4582}
	if testing.Short() {
		want = want[:5]
	}
	if got := countInterleaved(len(want), 3); !slices.Equal(got, want) {
		t.Errorf("three dead-end lanes: %v departure orders, want %v", got, want)
	}
}

// leastLanes returns for every departure order of n vehicles that have all
// arrived, in the order 0, 1, …, the least number of lanes in which it can be
// had: by laying out every partition of them and playing every departure.
func leastLanes(n int, kind sp.LaneKind) map[uint64]int {
	least := map[uint64]int{}
	y := newYard(n, n, kind)
	layouts := []int{0}
	for k := range n {
		more := map[int]bool{}
		for _, state := range layouts {
			for _, after := range y.arrivals(state, k) {
				more[after] = true
			}
		}
		layouts = slices.Sorted(maps.Keys(more))
	}
	var walk func(state int, order uint64, lanes int)
	walk = func(state int, order uint64, lanes int) {
		if state == 0 {
			if was := least[order]; was == 0 || lanes < was {
				least[order] = lanes
			}
			return
		}
		for _, e := range y.departures(state) {
			walk(e.after, order<<4|e.unit, lanes)
		}
	}
	for _, state := range layouts {
		walk(state, 1, y.lanes[state])
	}
	return least
}

// ranks returns, for each vehicle in the order of arrival, when it departs.
func ranks(order uint64, n int) []int {
	r := make([]int, n)
	for k := n - 1; k >= 0; k-- {
		r[order&15] = k
		order >>= 4
	}
	return r
}

// longest returns the length of the longest increasing (or decreasing)
// subsequence, in the plainest way.
func longest(r []int, increasing bool) int {
	best := 0
	ends := make([]int, len(r))
	for i := range r {
		ends[i] = 1
		for j := range i {
			if (r[j] < r[i]) == increasing {
				ends[i] = max(ends[i], ends[j]+1)
			}
		}
		best = max(best, ends[i])
	}
	return best
}

// When all arrive before any departs, the least number of dead-end lanes is
// the longest increasing subsequence of the departure ranks in the order of
// arrival, and the least number of through lanes the longest decreasing one:
// colouring a permutation graph, which is perfect (S. Even, A. Pnueli,
// A. Lempel, Permutation graphs and transitive graphs, JACM 19, 1972). The
// distributions are those of the longest increasing subsequence over all
// permutations (OEIS A047874).
func TestLeastLanesOfAllPermutations(t *testing.T) {
	spread := map[int][]int{6: {1, 131, 381, 181, 25, 1}, 7: {1, 428, 2332, 1821, 421, 36, 1}}
	top := 7
	if testing.Short() {
		top = 5
	}
	for _, kind := range []sp.LaneKind{sp.DeadEnd, sp.Through} {
		factorial := 1
		var three []int
		for n := 1; n <= top; n++ {
			factorial *= n
			least := leastLanes(n, kind)
			if len(least) != factorial {
				t.Fatalf("%s, %d vehicles: %d departure orders can be had in %d lanes, want all %d", kind, n, len(least), n, factorial)
			}
			counts := make([]int, n)
			for order, lanes := range least {
				r := ranks(order, n)
				if want := longest(r, kind == sp.DeadEnd); lanes != want {
					t.Fatalf("%s, departure ranks %v: %d lanes needed, want %d", kind, r, lanes, want)
				}
				counts[lanes-1]++
			}
			if want, given := spread[n]; given && !slices.Equal(counts, want) {
				t.Errorf("%s, %d vehicles: %v orders by least lanes, want %v", kind, n, counts, want)
			}
			upToThree := 0
			for _, c := range counts[:min(3, n)] {
				upToThree += c
			}
			three = append(three, upToThree)
		}
		// With three lanes: permutations without an increasing subsequence of
		// four, OEIS A005802.
		if want := []int{1, 2, 6, 23, 103, 513, 2761}[:top]; !slices.Equal(three, want) {
			t.Errorf("%s: %v orders with three lanes, want %v", kind, three, want)
		}
	}
}

// The same for larger random orders: a first-fit layout shows that so many
// lanes are enough, and every two vehicles of the subsequence bar each other,
// so that fewer are not.
func TestLeastLanesOfRandomPermutations(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 30).Draw(t, "vehicles")
		numbers := make([]int, n)
		for i := range numbers {
			numbers[i] = i
		}
		r := rapid.Permutation(numbers).Draw(t, "departure ranks")
		kind := rapid.SampledFrom([]sp.LaneKind{sp.DeadEnd, sp.Through}).Draw(t, "kind")
		want := longest(r, kind == sp.DeadEnd)

		// First fit: the first lane whose last arrival does not bar, and is not
		// barred by, the new one.
		var last []int
		in := make([]int, n)
		for i, rank := range r {
			l := slices.IndexFunc(last, func(x int) bool { return (x > rank) == (kind == sp.DeadEnd) })
			if l < 0 {
				l = len(last)
				last = append(last, rank)
			}
			last[l], in[i] = rank, l
		}
		if len(last) != want {
			t.Fatalf("first fit needs %d lanes for %v, want %d", len(last), r, want)
		}
		show := plainYard(n, len(last), kind)
		if faults := playRanks(show, r, func(i int) int { return in[i] }); len(faults) > 0 {
			t.Fatalf("%d %s lanes for %v: %s", want, kind, r, faults[0].Sentence)
		}
		for i := range r {
			for j := i + 1; j < len(r); j++ {
				barred := len(playRanks(plainYard(2, 1, kind), []int{r[i], r[j]}, func(int) int { return 0 })) > 0
				if barred != ((r[i] < r[j]) == (kind == sp.DeadEnd)) {
					t.Fatalf("%s, ranks %d then %d in one lane: barred is %t", kind, r[i], r[j], barred)
				}
			}
		}
	})
}

// playRanks plays all arrivals in order and then all departures by rank.
func playRanks(show *sp.Show, r []int, lane func(i int) int) []sp.Fault {
	var moves []sp.Move
	now := sp.Instant(60)
	for i := range r {
		moves = append(moves, arrive(now, unit(i), show.Park.Lanes[lane(i)]))
		now += 60
	}
	order := make([]int, len(r))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return r[a] - r[b] })
	for _, i := range order {
		moves = append(moves, depart(now, unit(i), show.Park.Lanes[lane(i)]))
		now += 60
	}
	_, faults := sp.Play(show, sp.State{}, moves)
	return faults
}

// stay is one unbroken period in one lane.
type stay struct{ from, to, lane int }

// drawStays draws up to ten stays of different vehicles, no two events at one
// time.
func drawStays(t *rapid.T, lanes int) []stay {
	n := rapid.IntRange(1, 10).Draw(t, "stays")
	times := make([]int, 2*n)
	for i := range times {
		times[i] = i
	}
	times = rapid.Permutation(times).Draw(t, "times")
	var all []stay
	for i := range n {
		a, b := times[2*i], times[2*i+1]
		all = append(all, stay{min(a, b), max(a, b), rapid.IntRange(0, lanes-1).Draw(t, "lane")})
	}
	slices.SortFunc(all, func(a, b stay) int { return a.from - b.from })
	return all
}

// movesOfStays makes the arrivals and departures of stays.
func movesOfStays(show *sp.Show, all []stay) []sp.Move {
	var moves []sp.Move
	for i, s := range all {
		lane := show.Park.Lanes[s.lane]
		moves = append(moves, arrive(sp.Instant(60+60*s.from), unit(i), lane), depart(sp.Instant(60+60*s.to), unit(i), lane))
	}
	slices.SortFunc(moves, func(a, b sp.Move) int { return int(a.Start - b.Start) })
	return moves
}

// The law of crossings: for stays in given lanes, all moves can be made
// without moving anybody aside exactly when no two stays in one dead-end lane
// cross; in a through lane, when none is nested in another.
func TestNoCrossingLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom([]sp.LaneKind{sp.DeadEnd, sp.Through}).Draw(t, "kind")
		all := drawStays(t, 3)
		barred := 0
		for i, a := range all {
			for _, b := range all[i+1:] {
				crossing := a.from < b.from && b.from < a.to && a.to < b.to
				nested := a.from < b.from && b.to < a.to
				if a.lane == b.lane && (kind == sp.DeadEnd && crossing || kind == sp.Through && nested) {
					barred++
				}
			}
		}
		show := plainYard(len(all), 3, kind)
		_, faults := sp.Play(show, sp.State{}, movesOfStays(show, all))
		// Each barred pair is one vehicle in the way of another, once.
		named := 0
		for _, f := range faults {
			if f.Rule != sp.RuleBlocked {
				t.Fatalf("unexpected fault: %s", f.Sentence)
			}
			named += len(f.Units) - 1
		}
		if named != barred {
			t.Fatalf("%s lanes, stays %v: the judge names %d in the way, want %d\n%v", kind, all, named, barred, faults)
		}
	})
}
