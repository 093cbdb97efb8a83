package plant

import (
	"errors"
	"fmt"
	"reflect"
	"sort"
	"testing"

	sp "sallyport"
)

// span is a stay as the test sees it: moments count pull-outs and returns of
// the whole show in order of time.
type span struct {
	unit     sp.UnitID
	from, to int
	place    int
}

// spans turns placements back into stays per lane, from the show alone.
func spans(t *testing.T, p *Planted) map[sp.LaneID][]span {
	t.Helper()
	type turn struct {
		at   sp.Instant
		id   string
		back bool
	}
	var turns []turn
	for _, s := range p.Show.Serials {
		turns = append(turns, turn{s.FormFrom, string(s.ID), false}, turn{s.Back(), string(s.ID), true})
	}
	sort.Slice(turns, func(i, j int) bool { return turns[i].at < turns[j].at })
	out, back := map[string]int{}, map[string]int{}
	for i, x := range turns {
		if x.back {
			back[x.id] = i + 1
		} else {
			out[x.id] = i + 1
		}
	}
	runs := map[sp.UnitID][]string{}
	for _, s := range p.Show.Serials {
		for _, e := range s.Entries {
			runs[e.Unit] = append(runs[e.Unit], string(s.ID))
		}
	}
	lanes := map[sp.LaneID][]span{}
	seen := map[sp.UnitID]int{}
	for _, place := range p.Places {
		n := seen[place.Unit]
		seen[place.Unit]++
		s := span{unit: place.Unit, to: forever, place: place.Place}
		if n > 0 {
			if place.After != runs[place.Unit][n-1] {
				t.Fatalf("stay %d of %s begins after %q, want %q", n+1, place.Unit, place.After, runs[place.Unit][n-1])
			}
			s.from = back[place.After]
		}
		if n < len(runs[place.Unit]) {
			s.to = out[runs[place.Unit][n]]
		}
		if s.from >= s.to {
			t.Fatalf("stay %d of %s ends before it begins", n+1, place.Unit)
		}
		lanes[place.Lane] = append(lanes[place.Lane], s)
	}
	for _, v := range p.Show.Vehicles {
		if seen[v.ID] != len(runs[v.ID])+1 {
			t.Fatalf("%s has %d runs and %d stays", v.ID, len(runs[v.ID]), seen[v.ID])
		}
	}
	return lanes
}

func plant(t *testing.T, opt Options) *Planted {
	t.Helper()
	p, err := Plant(opt)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestNobodyIsInTheWay(t *testing.T) {
	for _, spare := range []int{5, 10, 15, 25} {
		for seed := range uint64(5) {
			p := plant(t, Options{Seed: seed, Spare: spare, NobodyAside: true, Exchanges: 4})
			if p.Aside != 0 || p.Changes != 8 {
				t.Errorf("seed %d: %d aside, %d changes; want 0 and 8", seed, p.Aside, p.Changes)
			}
			for lane, list := range spans(t, p) {
				for i, a := range list {
					for _, b := range list[i+1:] {
						if a.from > b.from {
							a, b = b, a
						}
						if a.from < b.from && b.from < a.to && a.to < b.to {
							t.Errorf("seed %d lane %s: %v blocks %v", seed, lane, b, a)
						}
						if a.place > 0 && b.place > 0 && a.to != b.to && (a.to < b.to) != (a.place < b.place) {
							t.Errorf("seed %d lane %s: start places of %v and %v are the wrong way round", seed, lane, a, b)
						}
					}
				}
			}
		}
	}
}

func TestEverythingFits(t *testing.T) {
	for _, aside := range []bool{true, false} {
		p := plant(t, Options{Seed: 11, Spare: 5, NobodyAside: aside, Exchanges: 3})
		length := map[sp.UnitID]sp.Centimetres{}
		for _, v := range p.Show.Vehicles {
			length[v.ID] = v.Length
		}
		lanes := spans(t, p)
		for _, lane := range p.Show.Park.Lanes {
			for _, at := range lanes[lane.ID] {
				used, n := sp.Centimetres(0), 0
				for _, s := range lanes[lane.ID] {
					if s.from <= at.from && at.from < s.to {
						used += length[s.unit]
						n++
					}
				}
				used += sp.Centimetres(n-1) * lane.Gap
				if used > lane.Length || n > deepest {
					t.Errorf("lane %s of %s holds %d vehicles that need %s", lane.ID, lane.Length.Metres(), n, used.Metres())
				}
			}
		}
	}
}

// judged plays the plan and returns all faults and the cost.
func judged(p *Planted) ([]sp.Fault, sp.Cost) {
	show := sp.Complete(p.Show)
	start, faults := sp.StartState(show, p.Plan)
	_, more := sp.Play(show, start, p.Plan.Moves)
	return append(faults, more...), sp.Evaluate(show, p.Plan)
}

func TestTheJudgeAgreesWithWhatIsPublished(t *testing.T) {
	for _, opt := range []Options{
		{NobodyAside: true, Exchanges: 4, Spare: 5},
		{NobodyAside: true, Exchanges: 4, Spare: 15, Plain: true},
		{Spare: 10},
		{Spare: 25, Plain: true},
		{Vehicles: 300, Zones: 3, Spare: 15, Exchanges: 20},
	} {
		for seed := range uint64(3) {
			opt.Seed = seed
			p := plant(t, opt)
			faults, cost := judged(p)
			for _, f := range faults[:min(5, len(faults))] {
				t.Errorf("%+v: %s: %s", opt, f.Rule, f.Sentence)
			}
			aside, changes := 0, cost.Term(sp.TermChange)
			for _, m := range p.Plan.Moves {
				if m.Kind == sp.MoveAside {
					aside++
				}
			}
			if aside != p.Aside || changes.Count != p.Changes {
				t.Errorf("%+v: the plan has %d aside and %d changes, published are %d and %d", opt, aside, changes.Count, p.Aside, p.Changes)
			}
			if opt.Plain && cost.Total != changes.Amount+cost.Term(sp.TermAside).Amount {
				t.Errorf("%+v: more than moves aside and changes is priced: %+v", opt, cost)
			}
		}
	}
}

func TestThePlanIsWorkable(t *testing.T) {
	p := plant(t, Options{Seed: 1, NobodyAside: true, Exchanges: 4, Spare: 5})
	report := sp.Check(sp.Complete(p.Show), p.Plan)
	for _, f := range append(report.Faults, report.OrderAlone...) {
		t.Errorf("%s: %s", f.Rule, f.Sentence)
	}
}

func TestSpareRoomIsRight(t *testing.T) {
	for _, spare := range []int{0, 5, 10, 15, 25} {
		for seed := range uint64(20) {
			p := plant(t, Options{Seed: seed, Spare: spare, NobodyAside: true, Exchanges: 4})
			if got := p.Spare(); got < spare*100-1 || got > spare*100+150 {
				t.Errorf("seed %d: spare room %d/10000, want %d%% or little more", seed, got, spare)
			}
		}
	}
}

func TestSizeOfTheTask(t *testing.T) {
	for seed := range uint64(20) {
		p := plant(t, Options{Seed: seed, Spare: 15, NobodyAside: true, Exchanges: 4})
		if len(p.Show.Vehicles) != 58 || len(p.Show.Park.Lanes) != 24 || len(p.Show.Serials) != 24 || len(p.Show.Days) != 3 {
			t.Fatalf("seed %d: wrong sizes", seed)
		}
		if p.Stays < 265 || p.Stays > 290 {
			t.Errorf("seed %d: %d stays, want about 280", seed, p.Stays)
		}
		if p.Crosses < 3000 || p.Crosses > 7000 {
			t.Errorf("seed %d: %d crossing pairs, want about 5000", seed, p.Crosses)
		}
		for _, v := range p.Show.Vehicles {
			n := 0
			for _, s := range p.Show.Serials {
				for _, e := range s.Entries {
					if e.Unit == v.ID {
						n++
					}
				}
			}
			if n < 1 || n > 9 {
				t.Errorf("seed %d: %s has %d runs", seed, v.ID, n)
			}
		}
	}
}

func TestMovesAsideAreCounted(t *testing.T) {
	p := plant(t, Options{Seed: 2, Spare: 15})
	if p.Aside == 0 {
		t.Fatal("serials drawn from anywhere need nobody aside")
	}
	// Count again: a blocker stays over the pull-out of one that stands deeper.
	// With free order of equals the fewest are those that came strictly later
	// and leave strictly later.
	fewest := 0
	for _, list := range spans(t, p) {
		for _, b := range list {
			outs := map[int]bool{}
			for _, a := range list {
				if a.from < b.from && b.from < a.to && a.to < b.to {
					outs[a.to] = true
				}
			}
			fewest += len(outs)
		}
	}
	if fewest > p.Aside {
		t.Errorf("%d planted moves aside, but %d cannot be avoided in these lanes", p.Aside, fewest)
	}
}

func TestSameSeedSameShow(t *testing.T) {
	opt := Options{Seed: 5, Spare: 10, NobodyAside: true, Exchanges: 2}
	if !reflect.DeepEqual(plant(t, opt), plant(t, opt)) {
		t.Error("the same options give two shows")
	}
	other := opt
	other.Seed = 6
	if reflect.DeepEqual(plant(t, opt).Show.Serials, plant(t, other).Show.Serials) {
		t.Error("another seed gives the same programme")
	}
}

func TestLargeShows(t *testing.T) {
	for _, n := range []int{60, 600, 5000} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			p := plant(t, Options{Seed: 1, Vehicles: n, Zones: max(1, n/200), Spare: 15, NobodyAside: true, Exchanges: n / 20})
			if len(p.Show.Vehicles) != n || p.Changes != n/20*2 {
				t.Errorf("%d vehicles, %d changes", len(p.Show.Vehicles), p.Changes)
			}
		})
	}
}

func TestContradictionsAreRefused(t *testing.T) {
	for name, opt := range map[string]Options{
		"too few lanes":      {Vehicles: 60, Lanes: 10},
		"too many lanes":     {Vehicles: 10, Lanes: 20},
		"long serials":       {Entries: 50},
		"no spare room":      {Spare: -1},
		"too many zones":     {Zones: 100},
		"too many exchanges": {Days: 1, Serials: 1, Exchanges: 50},
		"too many days":      {Days: 400},
		"too many serials":   {Serials: 13},
		"negative exchanges": {Exchanges: -2},
	} {
		_, err := Plant(opt)
		var e *sp.Error
		if !errors.As(err, &e) || e.Code != sp.CodeInput || e.Hint == "" {
			t.Errorf("%s: error %v, want one of input with a hint", name, err)
		}
	}
}
