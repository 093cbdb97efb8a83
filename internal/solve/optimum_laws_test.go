package solve

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"sallyport"
)

// lawShow returns the random small show of a seed, without limits or prices on
// reversing: where there are any, a longer lane or a shorter vehicle lets
// others stand deeper and need not be easier. Shows with an open lane are
// marked: the room left at its mouth is as long as whoever left it.
func lawShow(seed int) (show *sallyport.Show, open bool) {
	show = smallShow(rand.New(rand.NewPCG(uint64(seed), 2)))
	show.Weights.HeavyMetre = 0
	for i := range show.Vehicles {
		show.Vehicles[i].Reverse = sallyport.ReverseYes
	}
	return show, slices.ContainsFunc(show.Park.Lanes, func(l sallyport.Lane) bool { return l.Kind == sallyport.Open })
}

// optimumOf returns the least cost of a show; known is false when there were
// too many states, found when no plan serves everything.
func optimumOf(show *sallyport.Show) (cost int64, found, known bool) {
	cost, _, found, known = exactOf(compile(show), true, mostStates)
	return cost, found, known
}

// sortsFor reports whether a plan uses a vehicle as an occasion to put others
// in order: the exhaustive search moves vehicles aside and closes them up only
// for somebody who is due, so without that vehicle it may not.
func sortsFor(show *sallyport.Show, plan *sallyport.Plan, id sallyport.UnitID) bool {
	for _, term := range []string{sallyport.TermAside, sallyport.TermCloseUp} {
		for _, item := range sallyport.Evaluate(show, plan).Term(term).Items {
			if term == sallyport.TermCloseUp || slices.Contains(item.Units[1:], id) {
				return true
			}
		}
	}
	return false
}

// neverWorse are changes of a show that take a restriction away, each applied
// to a part of it chosen by n. They report whether the law holds for the show.
var neverWorse = []struct {
	name   string
	change func(show *sallyport.Show, open bool, n int) bool
}{
	{"a longer lane", func(s *sallyport.Show, open bool, n int) bool {
		s.Park.Lanes[n%len(s.Park.Lanes)].Length += sallyport.Centimetres(50 + 10*(n%90))
		return true
	}},
	{"one more lane", func(s *sallyport.Show, open bool, n int) bool {
		more := s.Park.Lanes[n%len(s.Park.Lanes)]
		more.ID = "more"
		s.Park.Lanes = append(s.Park.Lanes, more)
		return true
	}},
	{"a shorter vehicle", func(s *sallyport.Show, open bool, n int) bool {
		s.Vehicles[n%len(s.Vehicles)].Length -= sallyport.Centimetres(10 + n%200)
		return !open
	}},
	{"one pin fewer", func(s *sallyport.Show, open bool, n int) bool {
		i := slices.IndexFunc(s.Vehicles, func(v sallyport.Vehicle) bool { return v.Home.Lane != "" })
		if i >= 0 {
			s.Vehicles[i].Home = sallyport.Home{}
		}
		return i >= 0
	}},
	{"strict to free", func(s *sallyport.Show, open bool, n int) bool { s.Park.Lines[1].Out = sallyport.OutFree; return true }},
	{"in order to any order", func(s *sallyport.Show, open bool, n int) bool {
		s.Park.Lines[1].Home = sallyport.HomeAnyOrder
		return true
	}},
	{"a vehicle less, with all its stays", func(s *sallyport.Show, open bool, n int) bool {
		id := s.Vehicles[n%len(s.Vehicles)].ID
		_, plan, found, known := exactOf(compile(s), true, mostStates)
		if open || !found || !known || sortsFor(s, plan, id) {
			return false
		}
		withoutVehicle(s, id)
		return true
	}},
}

// withoutVehicle takes a vehicle out of a show, with its entries and duties.
func withoutVehicle(s *sallyport.Show, id sallyport.UnitID) {
	s.Vehicles = slices.DeleteFunc(s.Vehicles, func(v sallyport.Vehicle) bool { return v.ID == id })
	for i := range s.Serials {
		s.Serials[i].Entries = slices.DeleteFunc(s.Serials[i].Entries, func(e sallyport.Entry) bool { return e.Unit == id })
	}
	s.Serials = slices.DeleteFunc(s.Serials, func(x sallyport.Serial) bool { return len(x.Entries) == 0 })
	s.Duties = slices.DeleteFunc(s.Duties, func(d sallyport.Duty) bool { return d.Unit == id })
}

func TestOptimumIsNeverWorseWhenEasier(t *testing.T) {
	compared, better := 0, 0
	for seed := range smallShows(t, 60) {
		show, open := lawShow(seed)
		before, found, known := optimumOf(show)
		if !found || !known {
			continue
		}
		for _, e := range neverWorse {
			easy, _ := lawShow(seed)
			if !e.change(easy, open, seed) {
				continue
			}
			after, found, known := optimumOf(easy)
			if !known {
				continue
			}
			if !found || after > before {
				t.Errorf("seed %d, %s: the optimum costs %d, before %d (found %t)", seed, e.name, after, before, found)
			}
			compared++
			if after < before {
				better++
			}
		}
	}
	t.Logf("%d comparisons, %d cheaper", compared, better)
}

// TestOptimumOfTheSameShow changes what does not matter: names, the order of
// equal things, and all times by whole days.
func TestOptimumOfTheSameShow(t *testing.T) {
	compared := 0
	for seed := range smallShows(t, 60) {
		show, _ := lawShow(seed)
		want, found, known := optimumOf(show)
		if !known {
			continue
		}
		for _, e := range []struct {
			name   string
			change func(show *sallyport.Show)
		}{
			{"other names", func(s *sallyport.Show) { walk(reflect.ValueOf(s).Elem(), rename) }},
			{"lanes in another order", func(s *sallyport.Show) { slices.Reverse(s.Park.Lanes) }},
			{"vehicles in another order", func(s *sallyport.Show) { slices.Reverse(s.Vehicles) }},
			{"a day later", func(s *sallyport.Show) {
				walk(reflect.ValueOf(s).Elem(), aDayLater)
				s.Days = append([]sallyport.Day{{Name: "before"}}, s.Days...)
			}},
		} {
			same, _ := lawShow(seed)
			e.change(same)
			got, gotFound, gotKnown := optimumOf(same)
			if !gotKnown {
				continue
			}
			if got != want || gotFound != found {
				t.Errorf("seed %d, %s: the optimum costs %d (found %t), before %d (found %t)", seed, e.name, got, gotFound, want, found)
			}
			compared++
		}
	}
	t.Logf("%d comparisons", compared)
}

// walk calls do with every value in v that can be set.
func walk(v reflect.Value, do func(reflect.Value)) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			walk(v.Elem(), do)
		}
	case reflect.Slice:
		for i := range v.Len() {
			walk(v.Index(i), do)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			walk(v.Field(i), do)
		}
	}
	do(v)
}

// rename puts another name for every id; the order of names changes too.
func rename(v reflect.Value) {
	switch v.Interface().(type) {
	case sallyport.UnitID, sallyport.LaneID, sallyport.LineID, sallyport.SpotID, sallyport.SerialID, sallyport.EntryID, sallyport.DutyID, sallyport.WindowID, sallyport.ZoneID:
		b := []byte(v.String())
		for i, c := range b {
			if c >= '0' && c <= '9' {
				b[i] = '9' - (c - '0')
			}
		}
		v.SetString(string(b))
	}
}

func aDayLater(v reflect.Value) {
	if at, ok := v.Interface().(sallyport.Instant); ok && at != 0 {
		v.SetInt(int64(at + sallyport.At(2, 0, 0)))
	}
}
