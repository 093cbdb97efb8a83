package solve

import (
	"testing"

	"sallyport"
)

// Small shows in which each thing that the bound of mornings joined counts is
// all that an optimum pays, with what it comes to.
func TestBoundOfMorningsJoinedCase(t *testing.T) {
	const change = 500
	for _, c := range []struct {
		name  string
		wide  bool
		cost  int64 // of the optimum
		bound int64
		show  func() *sallyport.Show
	}{
		{"two change places between two mornings", false, 2 * change, 2 * change, func() *sallyport.Show {
			show := parkOf(change, 4, 2, 2)
			outings(show, [][]int{{10}, {10}, {10}}, [][]int{{0, 1, 2, 3}, {0, 2, 1, 3}})
			return show
		}},
		{"one changes places by day and stays there", false, change, change, func() *sallyport.Show {
			show := parkOf(change, 3, 2, 2)
			outings(show, [][]int{{10}, {10, 14}, {10}}, [][]int{{0, 1, 2}, {0, 2, 1}, {0, 2, 1}})
			return show
		}},
		{"one goes elsewhere by day and comes back to the lane that was told", false, 1200 + 2*change, 1200 + 2*change, func() *sallyport.Show {
			show := parkOf(change, 3, 2, 2)
			outings(show, [][]int{{10}, {9, 12, 15}}, [][]int{{0, 1, 2}, {1, 2, 0}, {0, 1, 2}})
			told(show, 1200)
			return show
		}},
		{"one is lifted elsewhere in the early morning and comes back by day", true, 2*300 + 30 + 2*change, 300 + 2*change, func() *sallyport.Show {
			show := parkOf(2*change, 3, 2, 2)
			full := &show.Vehicles[2]
			full.Length, full.Depart = 850, sallyport.Window{From: sallyport.At(2, 6, 10), To: sallyport.At(2, 6, 20)}
			addOuting(show, "row", addDay(show), 10, []int{0, 1}, []int{0, 1})
			addOuting(show, "row", addDay(show), 8, []int{1, 0}, []int{1, 0})
			addOuting(show, "row", 2, 10, []int{1, 0}, []int{0, 1})
			for hour := 12; hour < 20; hour++ {
				addOuting(show, "row", 2, hour, []int{1, 0}, []int{0, 1})
			}
			told(show, 300)
			window(show, sallyport.At(2, 6, 30))
			return show
		}},
		{"one is lifted to another lane, in front of who came later", true, 30, 30, func() *sallyport.Show {
			show := meeting(11)
			window(show, sallyport.At(2, 14, 0))
			return show
		}},
		{"one comes home to another lane, and the other is moved aside", true, change + 2400, change + 2400, func() *sallyport.Show {
			show := meeting(8)
			addOuting(show, "row", 3, 12, []int{2}, []int{2})
			return show
		}},
		{"who came home last is moved aside after the second night", false, 2400, 2400, func() *sallyport.Show {
			show := parkOf(change, 2, 2)
			addOuting(show, "row", addDay(show), 10, []int{0, 1}, []int{0, 1})
			addOuting(show, "row", addDay(show), 10, []int{1, 0}, []int{0, 1})
			addOuting(show, "row", addDay(show), 10, []int{0, 1}, []int{0, 1})
			show.Park.Spots = []sallyport.Spot{{ID: "corner", Use: sallyport.SpotAside}}
			return show
		}},
		{"who came home last is moved aside after two nights in one place", false, 2400, 2400, func() *sallyport.Show {
			show := parkOf(change, 2, 2)
			addOuting(show, "row", addDay(show), 10, []int{0, 1}, []int{0, 1})
			addDay(show)
			addOuting(show, "row", addDay(show), 10, []int{0, 1}, []int{0, 1})
			show.Park.Spots = []sallyport.Spot{{ID: "corner", Use: sallyport.SpotAside}}
			return show
		}},
		{"nobody needs to move", false, 0, 0, func() *sallyport.Show {
			show := parkOf(change, 4, 2, 2)
			outings(show, [][]int{{10}, {10}, {10}}, [][]int{{0, 1, 2, 3}, {0, 1, 2, 3}})
			return show
		}},
	} {
		p := compile(sallyport.Complete(c.show()))
		cost, plan, found, done := exactOf(p, c.wide, 20*mostStates)
		if !found || !done {
			t.Errorf("%s: no optimum: found %t, done %t", c.name, found, done)
			continue
		}
		b := joinedBound(p, freedom{holds: c.wide, resets: c.wide}, cost+cost/2+1000)
		if cost != c.cost || b != c.bound {
			t.Errorf("%s: the optimum is %d and the bound %d, want %d and %d: %s", c.name, cost, b, c.cost, c.bound, shown(sallyport.Evaluate(p.show, plan)))
		}
	}
}

// outings adds days with outings of all vehicles at these hours. Between an
// outing and the next those neighbours in a list of pairs can stand in one
// lane, and nobody else.
func outings(show *sallyport.Show, hours [][]int, pairs [][]int) {
	n := len(show.Vehicles)
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	for _, at := range hours {
		d := addDay(show)
		for _, hour := range at {
			home, next := out, out
			if len(pairs) > 0 {
				home, next, pairs = pairs[0], nil, pairs[1:]
				for i := 0; i < n; i += 2 {
					if i+1 < n {
						next = append(next, home[i+1])
					}
					next = append(next, home[i])
				}
			}
			addOuting(show, "row", d, hour, out, home)
			out = next
		}
	}
}

// meeting is a park in which one vehicle spends the first night alone, for the
// other lane is full until so many hours, and the second one in that lane, for
// its own is taken by then: together with another that comes after it.
func meeting(until int) *sallyport.Show {
	show := parkOf(500, 4, 1, 2)
	show.Park.Lanes[1].Length = 900
	for i := range 3 {
		show.Vehicles[i+1].Length = 420 // not for the first lane
	}
	full, late, last := &show.Vehicles[1], &show.Vehicles[2], &show.Vehicles[3]
	full.Length, full.Depart = 850, sallyport.Window{From: sallyport.At(2, until, 0), To: sallyport.At(2, until, 30)}
	late.Arrive = sallyport.Window{From: sallyport.At(2, 12, 0), To: sallyport.At(2, 13, 0)}
	last.Length, last.Arrive = 300, sallyport.Window{From: sallyport.At(2, 16, 0), To: sallyport.At(2, 17, 0)}
	last.Home = sallyport.Home{Lane: "L0", Binding: sallyport.Fixed}
	addDay(show)
	addDay(show)
	addDay(show)
	addOuting(show, "row", 2, 10, []int{0}, []int{0})
	addOuting(show, "row", 3, 10, []int{0}, []int{0})
	show.Park.Spots = []sallyport.Spot{{ID: "corner", Use: sallyport.SpotAside}}
	return show
}

func window(show *sallyport.Show, from sallyport.Instant) {
	show.Resets = append(show.Resets, sallyport.ResetWindow{ID: "window", From: from, To: from + 60*60, Awkward: 1})
	show.Park.Spots = []sallyport.Spot{{ID: "corner", Use: sallyport.SpotAside}}
}

// told makes the first vehicle too long for any lane but the first, and tells
// its people and those of the second that lane, and what a stay elsewhere costs.
func told(show *sallyport.Show, price sallyport.Amount) {
	show.Weights.Told = price
	show.Park.Lanes[0].Length, show.Vehicles[0].Length = 1310, 860
	for i := range 2 {
		show.Vehicles[i].Home = sallyport.Home{Lane: show.Park.Lanes[0].ID, Binding: sallyport.Told}
	}
}
