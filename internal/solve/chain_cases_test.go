package solve

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"sallyport"
)

// joinedBound is the bound of mornings joined alone: the best with all columns
// listed, with those that cost nothing and with those that cost a change.
func joinedBound(p *problem, free freedom, limit int64) int64 {
	best := int64(0)
	for _, cut := range []int64{impossible, 0, int64(p.weights.Change)} {
		v := newProver(context.Background(), p, free, bound{})
		v.rest, v.budget, v.limit = func() bool { return true }, noLimit, limit
		v.chained(p.days(p.allTimes()), cut)
		v.stop()
		best = max(best, int64(v.bound.total))
	}
	return best
}

// parkOf returns a show without serials: so many vehicles of 4 m, all of which
// surely start, in dead-end lanes with room for so many each.
func parkOf(change sallyport.Amount, vehicles int, deep ...int) *sallyport.Show {
	show := &sallyport.Show{Name: "nights", Weights: sallyport.DefaultWeights()}
	show.Weights.Change, show.Weights.IdlePercent, show.Weights.People = change, 1000, 20
	show.Park.Lines = []sallyport.Line{{ID: "row", Out: sallyport.OutStrict, Home: sallyport.HomeInOrder}, {ID: "line", Out: sallyport.OutFree, Home: sallyport.HomeAnyOrder}}
	for i, n := range deep {
		show.Park.Lanes = append(show.Park.Lanes, sallyport.Lane{ID: sallyport.LaneID(fmt.Sprint("L", i)), Length: sallyport.Centimetres(450*n - 50), Gap: 50})
	}
	rest, sure := sallyport.Seconds(0), sallyport.Chance(10_000)
	for i := range vehicles {
		show.Vehicles = append(show.Vehicles, sallyport.Vehicle{
			ID: sallyport.UnitID(fmt.Sprint("v", i)), Name: fmt.Sprint("Vehicle ", i), Length: 400, Class: "light wheeled", Mass: 1500,
			WarmUp: &rest, WarmWhere: sallyport.WarmOnLine, LongestIdle: &rest, CoolDown: &rest, StartChance: &sure,
		})
	}
	return show
}

// addDay adds a day to a show.
func addDay(show *sallyport.Show) int {
	d := len(show.Days) + 1
	show.Days = append(show.Days, sallyport.Day{Name: fmt.Sprint(d), Kind: sallyport.ShowDay, EngineFrom: sallyport.At(d, 6, 0), EngineTo: sallyport.At(d, 22, 0)})
	return d
}

// addOuting adds a serial for which vehicles go out in one order and come home
// in another.
func addOuting(show *sallyport.Show, line sallyport.LineID, day, hour int, out, home []int) {
	in := sallyport.At(day, hour, 0)
	s := sallyport.Serial{
		ID: sallyport.SerialID(fmt.Sprint("s", day, "-", hour)), Line: line,
		FormFrom: in - 60*40, FormUp: in - 60*5, ArenaIn: in, ArenaOut: in + 60*15, HomeBy: in + 60*50,
	}
	id := func(v int) sallyport.EntryID { return sallyport.EntryID(fmt.Sprint(s.ID, "v", v)) }
	for _, v := range out {
		s.Entries = append(s.Entries, sallyport.Entry{ID: id(v), Unit: sallyport.UnitID(fmt.Sprint("v", v))})
	}
	for _, v := range home {
		s.Leaving = append(s.Leaving, id(v))
	}
	show.Serials = append(show.Serials, s)
}

// nightsShow is a random show in which lanes one to three deep are nearly full on
// every morning, and who may stand behind whom is decided anew by every outing:
// all or nearly all go out together in one order and come home in another, mostly
// so that only few neighbours are good for the time between. So what an optimum
// pays is changes of lane and, where there is room to wait aside, moves aside and
// resets.
func nightsShow(rnd *rand.Rand) *sallyport.Show {
	one := func(n int) bool { return rnd.IntN(n) == 0 }
	parks := [][]int{{2, 1}, {2, 2}, {2, 2}, {2, 1, 1}, {3, 1}, {2, 2, 1}}
	lifting, busy := one(3), one(4)
	deep := parks[rnd.IntN(len(parks))]
	n := 0
	for _, k := range deep {
		n += k
	}
	if n > 3 && one(4) {
		n--
	}
	show := parkOf(sallyport.Amount(200+rnd.IntN(600)), n, deep...)
	if lifting {
		show.Weights.Change *= 3
	}
	if lifting || one(4) {
		show.Park.Spots = []sallyport.Spot{{ID: "corner", Use: sallyport.SpotAside}}
	}
	mixed := one(3)
	for i := range show.Vehicles {
		v := &show.Vehicles[i]
		if mixed && one(2) {
			chance := sallyport.Chance(10_000 - 100*rnd.IntN(3))
			v.StartChance = &chance
		}
		if v.OwnerOnly = one(5); one(10) {
			v.HandPeople = 2 + rnd.IntN(4)
		}
		if one(8) {
			v.Class = "heavy tracked"
		}
	}
	if one(6) {
		show.Vehicles[0].KeepApart = []sallyport.UnitID{"v1"}
	}
	if mixed {
		show.Weights.Entry = sallyport.Amount(10_000 + rnd.IntN(40_000))
		if one(2) {
			show.Weights.IdlePercent = 1 + rnd.IntN(300)
		}
	}
	const most = 16 // goings out
	out := rnd.Perm(n)
	for outings := 0; len(show.Days) < 4; {
		d := addDay(show)
		hours := []int{10}
		if busy {
			hours = [][]int{{10}, {10, 14}, {9, 12, 15}}[rnd.IntN(3)]
		}
		for _, hour := range hours {
			if outings += n; outings > most {
				break
			}
			home, next := neighbours(rnd, n, deep)
			line := sallyport.LineID("row")
			if one(20) {
				line = "line"
			}
			if one(12) {
				i := rnd.IntN(n)
				gone := func(v int) bool { return v == i }
				out, home = slices.DeleteFunc(out, gone), slices.DeleteFunc(home, gone)
			}
			addOuting(show, line, d, hour, out, home)
			out = next
		}
		if from := []int{6, 8, 13, 18}[rnd.IntN(4)]; lifting && !one(4) {
			show.Resets = append(show.Resets, sallyport.ResetWindow{ID: sallyport.WindowID(fmt.Sprint("w", d)), From: sallyport.At(d, from, 0), To: sallyport.At(d, from+1, 0), Awkward: 1 + rnd.IntN(60)})
		}
	}
	return sallyport.Complete(show)
}

// neighbours returns orders of coming home and of going out again: at random,
// or so that those can stand in one lane meanwhile that are together in a
// random partition into lanes, and nobody else.
func neighbours(rnd *rand.Rand, n int, deep []int) (home, out []int) {
	home = rnd.Perm(n)
	if rnd.IntN(6) == 0 {
		return home, rnd.Perm(n)
	}
	at := 0
	for _, i := range rnd.Perm(len(deep)) {
		lane := slices.Clone(home[at:min(n, at+deep[i])])
		at += len(lane)
		slices.Reverse(lane)
		out = append(out, lane...)
	}
	return home, out
}

// Where changes, resets and moves aside are what an optimum pays, the bound is
// at most the optimum, and often just that.
func TestBoundOfMorningsJoinedOnFullNights(t *testing.T) {
	n := smallShows(t, 80)
	var compared, over, met int
	any := map[string]int{}  // optima that pay this
	paid := map[string]int{} // optima that are met and pay this
	for seed := range n {
		p := compile(nightsShow(rand.New(rand.NewPCG(uint64(seed), 9))))
		for _, wide := range []bool{false, true} {
			cost, plan, found, done := exactOf(p, wide, mostStates)
			if !done {
				over++
			}
			if !done || !found {
				continue
			}
			compared++
			b := joinedBound(p, freedom{holds: wide, resets: wide}, cost+cost/2+1000)
			c := sallyport.Evaluate(p.show, plan)
			if b > cost {
				t.Errorf("seed %d, wide %t: the bound is %d, above the optimum %d: %s", seed, wide, b, cost, shown(c))
			}
			for _, term := range []string{sallyport.TermChange, sallyport.TermReset, sallyport.TermAside, sallyport.TermRisk} {
				if c.Term(term).Amount > 0 {
					any[term]++
					if b == cost {
						paid[term]++
					}
				}
			}
			if b == cost && cost > 0 {
				met++
			}
		}
	}
	t.Logf("%d compared, %d too large; met above nothing in %d, by optima that pay %v, of %v that pay these", compared, over, met, paid, any)
	if compared < n || met < n/8 || paid[sallyport.TermChange] < n/8 || paid[sallyport.TermAside] < n/20 {
		t.Errorf("too little met: %d of %d shows, by optima that pay %v", met, n, paid)
	}
}
