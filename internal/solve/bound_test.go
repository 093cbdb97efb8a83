package solve

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"sallyport"
	"sallyport/bench/plant"
)

// smallShow returns a random show small enough to try everything: a few
// vehicles and lanes, one or two days, and plenty of time, teams and room on
// the lines, so that only lanes decide.
func smallShow(rnd *rand.Rand) *sallyport.Show {
	one := func(n int) bool { return rnd.IntN(n) == 0 }
	show := &sallyport.Show{Name: "small", Weights: sallyport.DefaultWeights()}
	show.Weights.Entry = sallyport.Amount(1000 + rnd.IntN(20_000))
	show.Weights.Change = sallyport.Amount(rnd.IntN(300))
	show.Park.Lines = []sallyport.Line{{ID: "line", Out: sallyport.OutFree, Home: sallyport.HomeAnyOrder}, {ID: "row"}}
	show.Park.Lines[1].Out, show.Park.Lines[1].Home = sallyport.OutStrict, sallyport.HomeInOrder
	show.Park.Lines[1].TailLeads = one(2)
	if !one(4) {
		show.Park.Spots = []sallyport.Spot{{ID: "corner", Use: sallyport.SpotAside}}
	}
	for i := range 1 + rnd.IntN(3) {
		l := sallyport.Lane{ID: sallyport.LaneID(fmt.Sprintf("L%d", i)), Length: sallyport.Centimetres(700 + rnd.IntN(1500)), Gap: 50}
		l.Kind = []sallyport.LaneKind{sallyport.DeadEnd, sallyport.DeadEnd, sallyport.Through, sallyport.Open}[rnd.IntN(4)]
		l.In = []sallyport.DriveIn{"", "", sallyport.InReversed, sallyport.InNose, sallyport.InEither}[rnd.IntN(5)]
		if one(6) {
			l.MaxDeep = 1 + rnd.IntN(2)
		}
		show.Park.Lanes = append(show.Park.Lanes, l)
	}
	n := 2 + rnd.IntN(3)
	for i := range n {
		show.Vehicles = append(show.Vehicles, smallVehicle(rnd, i, show.Park.Lanes))
	}
	if n > 2 && one(8) {
		show.Vehicles[0].KeepApart = []sallyport.UnitID{"v1"}
	}
	smallDays(rnd, show, n)
	return sallyport.Complete(show)
}

func smallVehicle(rnd *rand.Rand, i int, lanes []sallyport.Lane) sallyport.Vehicle {
	one := func(n int) bool { return rnd.IntN(n) == 0 }
	rest := sallyport.Seconds(0)
	chance := sallyport.Chance(10_000 - 100*rnd.IntN(12))
	v := sallyport.Vehicle{
		ID: sallyport.UnitID(fmt.Sprintf("v%d", i)), Name: fmt.Sprintf("Vehicle %d", i), Length: sallyport.Centimetres(300 + rnd.IntN(400)),
		Class: []string{"light wheeled", "heavy tracked"}[rnd.IntN(2)], WarmUp: &rest, WarmWhere: sallyport.WarmOnLine,
		LongestIdle: &rest, CoolDown: &rest, StartChance: &chance, Mass: sallyport.Kilograms([]int{1500, 12_000}[rnd.IntN(2)]),
	}
	if one(3) {
		v.HandPeople = 2 + rnd.IntN(4)
	}
	if one(8) {
		v.Reverse, v.ReverseLimit = sallyport.ReverseShort, sallyport.Centimetres(400+rnd.IntN(1500))
	}
	if one(12) {
		v.Reverse = sallyport.ReverseNever
	}
	switch lane := lanes[rnd.IntN(len(lanes))].ID; {
	case one(3):
		v.Home = sallyport.Home{Lane: lane, Binding: sallyport.Fixed}
	case one(4):
		v.Home = sallyport.Home{Lane: lane, Binding: sallyport.Told}
	}
	v.Standby, v.StandsAlone, v.OwnerOnly = one(12), one(15), one(5)
	if one(6) {
		v.Arrive = sallyport.Window{From: sallyport.At(1, 7, 0), To: sallyport.At(1, 8, 0)}
	}
	if one(8) {
		v.Depart = sallyport.Window{From: sallyport.At(2, 19, 0), To: sallyport.At(2, 21, 0)}
	}
	return v
}

// smallDays fills in days with serials, a duty now and then, and a reset
// window in the evening.
func smallDays(rnd *rand.Rand, show *sallyport.Show, n int) {
	days := 1 + rnd.IntN(2)
	stays := n
	for d := 1; d <= 2; d++ {
		show.Days = append(show.Days, sallyport.Day{Name: fmt.Sprint(d), Kind: sallyport.ShowDay, EngineFrom: sallyport.At(d, 6, 0), EngineTo: sallyport.At(d, 22, 0)})
		if d > days {
			continue
		}
		for k := range 1 + rnd.IntN(3) {
			in := sallyport.At(d, 10, 0) + sallyport.Instant(k*(40+rnd.IntN(140))*60)
			s := sallyport.Serial{
				ID: sallyport.SerialID(fmt.Sprintf("s%d%d", d, k)), Line: []sallyport.LineID{"line", "row"}[rnd.IntN(2)],
				FormFrom: in - 60*40, FormUp: in - 60*5, ArenaIn: in, ArenaOut: in + 60*15, HomeBy: in + 60*50,
			}
			for _, i := range rnd.Perm(n)[:1+rnd.IntN(n)] {
				if stays++; stays > 9 {
					break
				}
				s.Entries = append(s.Entries, sallyport.Entry{Unit: sallyport.UnitID(fmt.Sprintf("v%d", i)), Value: 1 + rnd.IntN(2)})
			}
			if len(s.Entries) > 0 {
				show.Serials = append(show.Serials, s)
			}
		}
		if rnd.IntN(5) == 0 {
			show.Duties = append(show.Duties, sallyport.Duty{ID: sallyport.DutyID(fmt.Sprint("fuel", d)), Unit: "v0", What: "fuel", From: sallyport.At(d, 18, 0), To: sallyport.At(d, 18, 30)})
		}
	}
	if rnd.IntN(2) == 0 {
		show.Resets = []sallyport.ResetWindow{{ID: "evening", From: sallyport.At(1, 20, 0), To: sallyport.At(1, 21, 30), Awkward: 50 + rnd.IntN(100)}}
	}
}

// mostStates is how many states the exhaustive search of one show may have;
// shows with more are left out.
const mostStates = 60_000

// smallShows is how many random shows a law is tested on: fewer in a short
// run, as many as SMALL_SHOWS says when it is set.
func smallShows(t *testing.T, usual int) int {
	if n, err := strconv.Atoi(os.Getenv("SMALL_SHOWS")); err == nil {
		return n
	}
	if testing.Short() {
		return max(1, usual/10)
	}
	return usual
}

func TestBoundIsNeverAboveTheOptimum(t *testing.T) {
	n := smallShows(t, 120)
	var tight, positive, none, cut int
	var sumBound, sumCost int64
	for seed := range n {
		p := compile(smallShow(rand.New(rand.NewPCG(uint64(seed), 1))))
		b := lowerBound(context.Background(), p)
		cost, plan, found, done := exactOf(p, true, mostStates)
		switch {
		case !done:
			cut++
			continue
		case !found:
			none++
			continue
		}
		if int64(b.total) > cost {
			t.Fatalf("seed %d: bound %d %v is above the optimum %d", seed, b.total, b.terms, cost)
		}
		c := sallyport.Evaluate(p.show, plan)
		if int64(c.Total) != cost {
			t.Fatalf("seed %d: the optimum costs %d, Evaluate says %d: %v", seed, cost, c.Total, shown(c))
		}
		if int64(c.Lost) < b.lost {
			t.Fatalf("seed %d: bound of lost entries %d is above %d", seed, b.lost, c.Lost)
		}
		for _, term := range b.terms {
			var sum sallyport.Amount
			for _, name := range term.names {
				sum += c.Term(name).Amount
			}
			if len(term.names) == 1 && term.amount > sum {
				t.Fatalf("seed %d: bound of %v is %d, above %d", seed, term.names, term.amount, sum)
			}
		}
		sumBound += int64(b.total)
		sumCost += cost
		if b.total > 0 {
			positive++
		}
		if int64(b.total) == cost {
			tight++
		}
	}
	t.Logf("%d shows: %d without a plan, %d too large; bound met by the optimum in %d, above nothing in %d, %d of %d together", n, none, cut, tight, positive, sumBound, sumCost)
}

// shown returns a cost's terms in short.
func shown(c sallyport.Cost) string {
	text := ""
	for _, term := range c.Terms {
		if term.Amount != 0 {
			text += fmt.Sprintf("%s %d; ", term.Name, term.Amount)
		}
	}
	return text
}

func BenchmarkLowerBound(b *testing.B) {
	for _, n := range []int{58, 600, 5000} {
		planted, err := plant.Plant(plant.Options{Seed: 1, Vehicles: n, Spare: 15})
		if err != nil {
			b.Fatal(err)
		}
		p := compile(sallyport.Complete(planted.Show))
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			for b.Loop() {
				lowerBound(context.Background(), p)
			}
		})
	}
}
