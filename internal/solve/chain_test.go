package solve

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"sallyport"
)

// changingShow is a show of two days in which three or four vehicles in two
// lanes go out one by one, in another order on each day, so that it pays to come
// home to another lane.
func changingShow(rnd *rand.Rand) *sallyport.Show {
	show := &sallyport.Show{Name: "changing", Weights: sallyport.DefaultWeights()}
	show.Weights.Entry, show.Weights.Change = sallyport.Amount(1000+rnd.IntN(20_000)), sallyport.Amount(1+rnd.IntN(200))
	show.Park.Lines = []sallyport.Line{{ID: "line", Out: sallyport.OutFree, Home: sallyport.HomeAnyOrder}}
	show.Park.Spots = []sallyport.Spot{{ID: "corner", Use: sallyport.SpotAside}}
	n := 3 + rnd.IntN(2)
	for i, length := range []sallyport.Centimetres{950, []sallyport.Centimetres{450, 950}[n-3]} {
		show.Park.Lanes = append(show.Park.Lanes, sallyport.Lane{ID: sallyport.LaneID(fmt.Sprint("L", i)), Length: length, Gap: 50})
	}
	for i := range n {
		v := smallVehicle(rand.New(rand.NewPCG(rnd.Uint64(), 1)), i, show.Park.Lanes)
		chance := sallyport.Chance(10_000 - 100*rnd.IntN(20))
		v.Home, v.Length, v.StartChance, v.Standby, v.StandsAlone = sallyport.Home{}, 400, &chance, false, false
		v.Arrive, v.Depart, v.Reverse = sallyport.Window{}, sallyport.Window{}, ""
		show.Vehicles = append(show.Vehicles, v)
	}
	for d := 1; d <= 2; d++ {
		show.Days = append(show.Days, sallyport.Day{Name: fmt.Sprint(d), Kind: sallyport.ShowDay, EngineFrom: sallyport.At(d, 6, 0), EngineTo: sallyport.At(d, 22, 0)})
		for k, i := range rnd.Perm(n) {
			in := sallyport.At(d, 9, 0) + sallyport.Instant(k*2*3600)
			show.Serials = append(show.Serials, sallyport.Serial{
				ID: sallyport.SerialID(fmt.Sprint("s", d, k)), Line: "line", FormFrom: in - 60*40, FormUp: in - 60*5, ArenaIn: in, ArenaOut: in + 60*15, HomeBy: in + 60*50,
				Entries: []sallyport.Entry{{Unit: sallyport.UnitID(fmt.Sprint("v", i)), Value: 1 + rnd.IntN(3)}},
			})
		}
	}
	if rnd.IntN(3) == 0 {
		show.Resets = []sallyport.ResetWindow{{ID: "evening", From: sallyport.At(1, 20, 0), To: sallyport.At(1, 21, 30), Awkward: 20 + rnd.IntN(130)}}
	}
	return sallyport.Complete(show)
}

// Where changes of lane pay, the bound that counts them is at most the
// optimum, and above what the mornings come to one by one.
func TestBoundOfMorningsJoinedWhereChangesPay(t *testing.T) {
	n := smallShows(t, 25)
	compared, changes, above := 0, 0, 0
	var sum, costs int64
	for seed := range n {
		p := compile(changingShow(rand.New(rand.NewPCG(uint64(seed), 8))))
		for _, wide := range []bool{true, false} {
			cost, plan, found, done := exactOf(p, wide, mostStates)
			if !done || !found {
				continue
			}
			compared++
			changes += sallyport.Evaluate(p.show, plan).Term(sallyport.TermChange).Count
			bounds := boundsOf(p, freedom{holds: wide, resets: wide}, cost+cost/2+1000)
			for name, b := range bounds {
				if b > cost {
					t.Errorf("seed %d, wide %t: %s is %d, above the optimum %d", seed, wide, name, b, cost)
				}
			}
			if bounds["mornings joined"] > bounds["days, all columns"] {
				above++
			}
			sum, costs = sum+bounds["mornings joined"], costs+cost
		}
	}
	t.Logf("%d compared, %d changes in the optima; %d of %d, %d times above the days", compared, changes, sum, costs, above)
	if compared < n/2 || !testing.Short() && (changes == 0 || above == 0) {
		t.Errorf("too little compared: %d of %d shows, %d changes, %d times above the days", compared, n, changes, above)
	}
}
