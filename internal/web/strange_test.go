package web

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
)

// strangeEdits are what people and programs can do to a show on a screen that
// lets them.
var strangeEdits = []func(r *rand.Rand, s *sallyport.Show){
	func(r *rand.Rand, s *sallyport.Show) { s.Park.Lanes = without(r, s.Park.Lanes) },
	func(r *rand.Rand, s *sallyport.Show) { s.Park.Lines = without(r, s.Park.Lines) },
	func(r *rand.Rand, s *sallyport.Show) { s.Vehicles = without(r, s.Vehicles) },
	func(r *rand.Rand, s *sallyport.Show) { s.Serials = without(r, s.Serials) },
	func(r *rand.Rand, s *sallyport.Show) { s.Days = without(r, s.Days) },
	func(r *rand.Rand, s *sallyport.Show) { s.Vehicles = twice(r, s.Vehicles) },
	func(r *rand.Rand, s *sallyport.Show) { s.Serials = twice(r, s.Serials) },
	func(r *rand.Rand, s *sallyport.Show) { s.Park.Lanes = twice(r, s.Park.Lanes) },
	func(r *rand.Rand, s *sallyport.Show) {
		if n := len(s.Vehicles); n > 0 {
			s.Vehicles[r.IntN(n)].Length = sallyport.Centimetres(r.Int64N(1<<40) - 1<<39)
		}
	},
	func(r *rand.Rand, s *sallyport.Show) {
		if n := len(s.Park.Lanes); n > 0 {
			s.Park.Lanes[r.IntN(n)].Length = sallyport.Centimetres(r.Int64N(3000) - 500)
		}
	},
	func(r *rand.Rand, s *sallyport.Show) {
		if n := len(s.Serials); n > 0 {
			x := &s.Serials[r.IntN(n)]
			x.ArenaIn, x.ArenaOut, x.HomeBy = any3(r), any3(r), any3(r)
		}
	},
	func(r *rand.Rand, s *sallyport.Show) {
		if n := len(s.Serials); n > 0 {
			x := &s.Serials[r.IntN(n)]
			x.Entries = append(without(r, x.Entries), sallyport.Entry{ID: "x", Unit: sallyport.UnitID(fmt.Sprint("ghost", r.IntN(2)))})
		}
	},
	func(r *rand.Rand, s *sallyport.Show) {
		s.Vehicles = append(s.Vehicles, sallyport.Vehicle{ID: sallyport.UnitID(fmt.Sprint("new", len(s.Vehicles))), Name: "New", Placeholder: true})
	},
}

func any3(r *rand.Rand) sallyport.Instant { return sallyport.Instant(r.Int64N(3 * 86400)) }

func without[T any](r *rand.Rand, list []T) []T {
	if len(list) == 0 {
		return list
	}
	i := r.IntN(len(list))
	return append(append([]T{}, list[:i]...), list[i+1:]...)
}

func twice[T any](r *rand.Rand, list []T) []T {
	if len(list) == 0 {
		return list
	}
	return append(append([]T{}, list...), list[r.IntN(len(list))])
}

// TestStrangeShows: whatever is done to a show, the server keeps it or says
// what is wrong; it never fails, and its table can always be looked at, held
// over and drawn.
func TestStrangeShows(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	r := rand.New(rand.NewPCG(3, 4))
	now := b.table(show)
	edits := 100
	if testing.Short() {
		edits = 20
	}
	for n := range edits {
		if n%10 == 0 { // from the beginning again
			now = good[desk.Table](b, "PUT", show+"/show", ShowEdit{"anew", small()}, at(now.Version)...)
		}
		edited := *now.Show
		for range 1 + r.IntN(2) {
			strangeEdits[r.IntN(len(strangeEdits))](r, &edited)
		}
		for _, x := range []struct {
			method, path string
			body         any
		}{
			{"POST", "/clashes", ShowTyped{&edited}},
			{"PUT", "/show", ShowEdit{"strange", &edited}},
			{"POST", "/held", desk.Put{Unit: "knot", Lane: "A2"}},
			{"POST", "/place", desk.Put{Unit: "dunlin", Lane: "A1"}},
			{"POST", "/fix", desk.FixAsk{Lanes: []sallyport.LaneID{"A1"}, Fixed: true}},
			{"GET", "/picture.svg?at=D1+12:00", nil},
			{"GET", "/show.xlsx", nil},
			{"GET", "/table", nil},
		} {
			a := b.ask(x.method, show+x.path, x.body, at(now.Version)...)
			if a.status >= 500 || x.method == "GET" && a.status != 200 {
				t.Fatalf("edit %d, %s: %d %s\n%s", n, x.path, a.status, a.body, must(json.Marshal(&edited))(t))
			}
			if x.path == "/table" || a.status == 200 && a.head.Get("ETag") != "" {
				now = b.table(show)
			}
		}
	}
}
