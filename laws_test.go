package sallyport_test

import (
	"reflect"
	"slices"
	"testing"

	sp "sallyport"

	"pgregory.net/rapid"
)

// drawPlan draws a small show and a plan for it.
func drawPlan(t *rapid.T, calm bool) (*sp.Show, *sp.Plan) {
	d := draw{t: t, calm: calm}
	s := d.smallShow()
	return s, d.plan(s)
}

// price is what a plan costs, term by term, without the reasons; and how
// often it breaks each rule.
type price struct {
	lost   int
	total  sp.Amount
	terms  map[string]sp.Amount
	counts map[string]int
	faults map[sp.Rule]int
}

func priceOf(s *sp.Show, p *sp.Plan) price {
	c := sp.Evaluate(s, p)
	x := price{lost: c.Lost, total: c.Total, terms: map[string]sp.Amount{}, counts: map[string]int{}, faults: map[sp.Rule]int{}}
	for _, term := range c.Terms {
		x.terms[term.Name], x.counts[term.Name] = term.Amount, term.Count
	}
	for _, f := range sp.Check(s, p).Faults {
		x.faults[f.Rule]++
	}
	return x
}

func (x price) plus(y price) price {
	z := price{lost: x.lost + y.lost, total: x.total + y.total, terms: map[string]sp.Amount{}, counts: map[string]int{}, faults: map[sp.Rule]int{}}
	for _, a := range []price{x, y} {
		for k, v := range a.terms {
			z.terms[k] += v
			z.counts[k] += a.counts[k]
		}
		for k, v := range a.faults {
			z.faults[k] += v
		}
	}
	return z
}

// mapped returns a deep copy in which every string or number of a type that
// change knows is changed. It goes through everything, so that no field can
// be forgotten.
func mapped[T any](x T, change func(v reflect.Value)) T {
	return deep(reflect.ValueOf(x), change).Interface().(T)
}

func deep(v reflect.Value, change func(v reflect.Value)) reflect.Value {
	out := reflect.New(v.Type()).Elem()
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			out.Set(reflect.New(v.Type().Elem()))
			out.Elem().Set(deep(v.Elem(), change))
		}
	case reflect.Slice:
		if !v.IsNil() {
			out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
			for i := range v.Len() {
				out.Index(i).Set(deep(v.Index(i), change))
			}
		}
	case reflect.Map:
		if !v.IsNil() {
			out.Set(reflect.MakeMap(v.Type()))
			for _, k := range v.MapKeys() {
				out.SetMapIndex(deep(k, change), deep(v.MapIndex(k), change))
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			out.Field(i).Set(deep(v.Field(i), change))
		}
	default:
		out.Set(v)
	}
	change(out)
	return out
}

// renaming changes every id by f.
func renaming(f func(id string) string) func(v reflect.Value) {
	return func(v reflect.Value) {
		switch x := v.Interface().(type) {
		case sp.UnitID, sp.ZoneID, sp.LaneID, sp.LineID, sp.SpotID, sp.StretchID, sp.SerialID, sp.EntryID, sp.DutyID, sp.PersonID, sp.WindowID, sp.MoveID:
			if v.String() != "" {
				v.SetString(f(v.String()))
			}
		case sp.Pos:
			if x.ID != "" {
				x.ID = f(x.ID)
				v.Set(reflect.ValueOf(x))
			}
		}
	}
}

// shifting moves every given moment by some seconds.
func shifting(by sp.Instant) func(v reflect.Value) {
	return func(v reflect.Value) {
		if x, ok := v.Interface().(sp.Instant); ok && x != 0 {
			v.Set(reflect.ValueOf(x + by))
		}
	}
}

func reversed(id string) string {
	b := []byte(id)
	slices.Reverse(b)
	return string(b)
}

func same(t *rapid.T, what string, want, got price) {
	if !reflect.DeepEqual(want, got) {
		t.Fatalf("%s: the plan was judged\n%+v\nand now\n%+v", what, want, got)
	}
}

func TestRenamingChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, p := drawPlan(t, false)
		same(t, "other names", priceOf(s, p), priceOf(mapped(s, renaming(reversed)), mapped(p, renaming(reversed))))
	})
}

func TestEqualLanesAreInterchangeable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := draw{t: t}
		s := d.smallShow()
		one := s.Park.Lanes[0].ID
		for i := range s.Vehicles {
			if s.Vehicles[i].Home.Lane == one {
				s.Vehicles[i].Home = sp.Home{}
			}
		}
		for i := range s.Park.Lines {
			s.Park.Lines[i].Fouls = nil
		}
		twin := s.Park.Lanes[0]
		twin.ID = "twin"
		s.Park.Lanes = append(s.Park.Lanes, twin)
		p := d.plan(s)
		swap := func(id string) string {
			switch id {
			case string(one):
				return "twin"
			case "twin":
				return string(one)
			}
			return id
		}
		same(t, "equal lanes swapped", priceOf(s, p), priceOf(s, mapped(p, renaming(swap))))
	})
}

func TestShiftInTimeChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, p := drawPlan(t, false)
		before := priceOf(s, p)
		minutes := rapid.IntRange(-60, 60).Draw(t, "minutes")
		by := shifting(sp.Instant(60 * minutes))
		same(t, "shifted within the day", before, priceOf(mapped(s, by), mapped(p, by)))
		// Whole days later, with empty days before.
		days := rapid.IntRange(1, 3).Draw(t, "days")
		by = shifting(sp.At(days+1, 0, 0))
		for i := range s.Vehicles {
			s.Vehicles[i].KeepTogether = nil // there would be more nights
		}
		before = priceOf(s, p)
		later := mapped(s, by)
		for range days {
			later.Days = append([]sp.Day{{Name: "before", Kind: sp.BuildUp}}, later.Days...)
		}
		same(t, "shifted by days", before, priceOf(later, mapped(p, by)))
	})
}

// apart gives everything in a show and plan a prefix, and takes away what two
// parks would have to share: the day's hours and marshal teams.
func apart(s *sp.Show, p *sp.Plan, prefix string) (*sp.Show, *sp.Plan) {
	f := renaming(func(id string) string { return prefix + id })
	s, p = mapped(s, f), mapped(p, f)
	s.Park.Teams = 0
	for i := range s.Days {
		s.Days[i] = sp.Day{Name: s.Days[i].Name, PublicFrom: sp.At(i+1, 9, 30), PublicTo: sp.At(i+1, 17, 0)}
	}
	return s, p
}

func TestCostsOfTwoParksAdd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s1, p1 := drawPlan(t, false)
		s2, p2 := drawPlan(t, false)
		s1, p1 = apart(s1, p1, "west-")
		s2, p2 = apart(s2, p2, "east-")
		want := priceOf(s1, p1).plus(priceOf(s2, p2))
		for _, p := range []*sp.Plan{p1, p2} {
			if !slices.IsSortedFunc(p.Moves, func(a, b sp.Move) int { return int(a.Start - b.Start) }) {
				t.Skip("merging would put the list in order")
			}
		}
		s := mapped(s1, func(reflect.Value) {})
		s.Park.Zones = append(s.Park.Zones, s2.Park.Zones...)
		s.Park.Lanes = append(s.Park.Lanes, s2.Park.Lanes...)
		s.Park.Lines = append(s.Park.Lines, s2.Park.Lines...)
		s.Park.Spots = append(s.Park.Spots, s2.Park.Spots...)
		s.Park.Stretches = append(s.Park.Stretches, s2.Park.Stretches...)
		s.Vehicles = append(s.Vehicles, s2.Vehicles...)
		s.Serials = append(s.Serials, s2.Serials...)
		s.Duties = append(s.Duties, s2.Duties...)
		s.Closings = append(s.Closings, s2.Closings...)
		s.Resets = append(s.Resets, s2.Resets...)
		p := &sp.Plan{Start: append(slices.Clone(p1.Start), p2.Start...), Moves: append(slices.Clone(p1.Moves), p2.Moves...)}
		slices.SortStableFunc(p.Moves, func(a, b sp.Move) int { return int(a.Start - b.Start) })
		same(t, "two parks together", want, priceOf(s, p))
	})
}

// Turning time round turns arrivals into departures; what crosses still does.
func TestReversedTimeKeepsCrossings(t *testing.T) {
	inTheWay := func(all []stay) (n int) {
		show := plainYard(len(all), 3, sp.DeadEnd)
		_, faults := sp.Play(show, sp.State{}, movesOfStays(show, all))
		for _, f := range faults {
			n += len(f.Units) - 1
		}
		return n
	}
	rapid.Check(t, func(t *rapid.T) {
		all := drawStays(t, 3)
		var back []stay
		for _, s := range all {
			back = append(back, stay{100 - s.to, 100 - s.from, s.lane})
		}
		slices.SortFunc(back, func(a, b stay) int { return a.from - b.from })
		if a, b := inTheWay(all), inTheWay(back); a != b {
			t.Fatalf("%d in the way forwards, %d backwards: %v", a, b, all)
		}
	})
}

// A plan may be played in pieces, and cut off anywhere.
func TestPlayInPieces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, p := drawPlan(t, false)
		start, _ := sp.StartState(s, p)
		whole, faults := sp.Play(s, start, p.Moves)
		if len(p.Moves) == 0 {
			return
		}
		k := rapid.IntRange(0, len(p.Moves)-1).Draw(t, "cut")
		first, early := sp.Play(s, start, p.Moves[:k])
		middle := start
		if k > 0 {
			middle = first[k-1]
		}
		second, _ := sp.Play(s, middle, p.Moves[k:])
		for i, state := range append(first, second...) {
			if a, b := pictureOf(whole[i]), pictureOf(state); a != b {
				t.Fatalf("after move %d, cut before move %d:\n%s\nnot\n%s", i+1, k+1, b, a)
			}
		}
		// What is wrong with the first moves does not depend on later ones,
		// but for what looks ahead: the last pull-out of a serial.
		for _, f := range early {
			if f.Rule != sp.RuleReserve && !slices.ContainsFunc(faults, func(g sp.Fault) bool {
				return f.Rule == g.Rule && f.Move == g.Move && slices.Equal(f.Units, g.Units)
			}) {
				t.Fatalf("fault of a part that the whole does not have: %+v", f)
			}
		}
	})
}

// A plan cut off is judged, not refused: what is missing is said.
func TestPartialPlansAreJudged(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, p := drawPlan(t, true)
		part := *p
		part.Moves = p.Moves[:rapid.IntRange(0, len(p.Moves)).Draw(t, "moves")]
		v := judge(s, &part)
		if v.broken != len(part.Moves) {
			t.Skip("places are not certain")
		}
		report := sp.Check(s, &part)
		lost, missing := 0, 0
		for _, b := range v.whole {
			if b.rule == sp.RuleMissing {
				missing++
				lost += b.value
			}
		}
		said := 0
		for _, f := range report.Faults {
			if f.Rule == sp.RuleMissing {
				said++
			}
		}
		if said != missing || report.Cost.Lost != lost {
			t.Fatalf("%d entries worth %d are not served, the judge says %d worth %d", missing, lost, said, report.Cost.Lost)
		}
	})
}

// easier are changes of a show that take a restriction away. A workable plan
// stays workable and costs no more. Where reversing is limited or priced a
// longer lane is not easier, for vehicles stand deeper in it; and in an open
// lane a shorter vehicle leaves a shorter room behind.
var easier = []struct {
	name   string
	change func(d draw, s *sp.Show, p *sp.Plan)
}{
	{"a longer lane", func(d draw, s *sp.Show, p *sp.Plan) {
		l := &s.Park.Lanes[d.below(len(s.Park.Lanes))]
		l.Length += d.cm(10, 900)
	}},
	{"one more lane", func(d draw, s *sp.Show, p *sp.Plan) {
		s.Park.Lanes = append(s.Park.Lanes, sp.Lane{ID: "more", Kind: sp.DeadEnd, Length: 1000})
	}},
	{"a shorter vehicle", func(d draw, s *sp.Show, p *sp.Plan) {
		if v := &s.Vehicles[d.below(len(s.Vehicles))]; !standsInOpen(s, p, v.ID) {
			v.Length -= d.cm(10, 200)
		}
	}},
	{"one pin fewer", func(d draw, s *sp.Show, p *sp.Plan) { s.Vehicles[d.below(len(s.Vehicles))].Home = sp.Home{} }},
	{"strict to free", func(d draw, s *sp.Show, p *sp.Plan) { s.Park.Lines[0].Out = sp.OutFree }},
	{"in order to any order", func(d draw, s *sp.Show, p *sp.Plan) { s.Park.Lines[0].Home = sp.HomeAnyOrder }},
	{"a wider lane", func(d draw, s *sp.Show, p *sp.Plan) { s.Park.Lanes[0].Width = 0 }},
	{"deeper allowed", func(d draw, s *sp.Show, p *sp.Plan) { s.Park.Lanes[0].MaxDeep = 0 }},
}

// standsInOpen reports whether a plan ever puts a vehicle into an open lane.
func standsInOpen(s *sp.Show, p *sp.Plan, u sp.UnitID) bool {
	open := func(id sp.LaneID) bool {
		return slices.ContainsFunc(s.Park.Lanes, func(l sp.Lane) bool { return l.ID == id && l.Kind == sp.Open })
	}
	return slices.ContainsFunc(p.Start, func(l sp.LaneLayout) bool { return open(l.Lane) && slices.Contains(l.Units, u) }) ||
		slices.ContainsFunc(p.Moves, func(m sp.Move) bool { return m.Unit == u && open(sp.LaneID(m.To.ID)) })
}

func TestEasierShowsKeepPlansWorkable(t *testing.T) {
	tried := 0
	rapid.Check(t, func(t *rapid.T) {
		s, p := drawPlan(t, true)
		before := sp.Check(s, p)
		if !before.Workable() {
			t.Skip("not workable:", before.Faults[0].Rule)
		}
		tried++
		for _, e := range easier {
			easy := mapped(s, func(reflect.Value) {})
			e.change(draw{t: t}, easy, p)
			after := sp.Check(easy, p)
			if !after.Workable() {
				t.Fatalf("%s: %s\n%s", e.name, after.Faults[0].Sentence, movesOf(easy, p))
			}
			if before.Cost.Less(after.Cost) {
				t.Fatalf("%s: cost %d before, %d after", e.name, before.Cost.Total, after.Cost.Total)
			}
		}
	})
	t.Logf("%d workable plans", tried)
}

// Pinning what the plan does anyway changes nothing.
func TestPinningThePlansOwnLanes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, p := drawPlan(t, true)
		lanes := map[sp.UnitID][]sp.LaneID{}
		note := func(u sp.UnitID, l sp.LaneID) {
			if !slices.Contains(lanes[u], l) {
				lanes[u] = append(lanes[u], l)
			}
		}
		for _, l := range p.Start {
			for _, u := range l.Units {
				note(u, l.Lane)
			}
		}
		for _, m := range p.Moves {
			if m.To.Kind == sp.InLane {
				note(m.Unit, sp.LaneID(m.To.ID))
			}
		}
		for i := range s.Vehicles {
			s.Vehicles[i].Home = sp.Home{}
		}
		before := priceOf(s, p)
		for i := range s.Vehicles {
			if v := &s.Vehicles[i]; len(lanes[v.ID]) == 1 {
				v.Home = sp.Home{Lane: lanes[v.ID][0], Binding: sp.Fixed}
			}
		}
		same(t, "pinned", before, priceOf(s, p))
	})
}
