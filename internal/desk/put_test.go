package desk_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sallyport"
	"sallyport/internal/desk"
)

// lanesOf returns the lane of every stay by its id.
func lanesOf(show *sallyport.Show, plan *sallyport.Plan) map[string]sallyport.LaneID {
	lanes := map[string]sallyport.LaneID{}
	for _, s := range desk.NewTable(show, plan, desk.TableOptions{}).Stays {
		lanes[s.ID] = s.Lane
	}
	return lanes
}

// differing lists the ids of stays that two plans have in different lanes.
func differing(a, b map[string]sallyport.LaneID) []string {
	var list []string
	for id, lane := range a {
		if b[id] != lane {
			list = append(list, fmt.Sprint(id, ": ", lane, " or ", b[id]))
		}
	}
	for id := range b {
		if _, ok := a[id]; !ok {
			list = append(list, id+" is new")
		}
	}
	slices.Sort(list)
	return list
}

// checking is a test, or one check of a property.
type checking interface {
	Helper()
	Fatal(args ...any)
	Fatalf(format string, args ...any)
	Context() context.Context
}

// puttingLaw puts a stay of a plan into a lane. What holding it over the lane
// said is what putting it there gives; the other stays keep their lanes; and
// put back, all stand as they stood.
func puttingLaw(t checking, show *sallyport.Show, plan *sallyport.Plan, s desk.Stay, lane sallyport.LaneID) {
	t.Helper()
	hand, err := desk.NewHand(show, plan)
	if err != nil {
		t.Fatal(err)
	}
	before, cost := lanesOf(show, plan), sallyport.Evaluate(show, plan)
	workable := len(sallyport.Faults(show, plan)) == 0
	ask := desk.Put{Unit: s.Unit, After: s.After, Lane: lane}
	held, err := hand.Over(ask)
	if err != nil {
		t.Fatal(err)
	}
	a := placed(t, show, plan, ask)
	if got := a.Report.Cost.Total - cost.Total; got != held.Cost || a.Report.Cost.Lost-cost.Lost != held.Lost {
		t.Fatalf("held it costs %d more, put %d", held.Cost, got)
	}
	if workable && held.Fits != a.Report.Workable() {
		t.Fatalf("fits %v, workable %v: %v", held.Fits, a.Report.Workable(), a.Report.Faults)
	}
	if len(held.Says) == 0 && (held.Cost != 0 || !held.Fits) {
		t.Fatalf("nothing is said of %+v", held)
	}
	after := lanesOf(show, a.Plan)
	if after[s.ID] != lane {
		t.Fatalf("%s is in %s", s.ID, after[s.ID])
	}
	if s.Lane == "" {
		return // the others of the unit came with it
	}
	moved := differing(before, after)
	if lane == s.Lane && len(moved) > 0 || len(moved) > 1 || len(moved) == 1 && !strings.HasPrefix(moved[0], s.ID+":") {
		t.Fatalf("put %+v of %s: %v", ask, s.ID, moved)
	}
	back := placed(t, show, a.Plan, desk.Put{Unit: s.Unit, After: s.After, Lane: s.Lane})
	if d := differing(before, lanesOf(show, back.Plan)); len(d) > 0 {
		t.Fatalf("put back: %v", d)
	}
}

func TestPuttingLawOnTheDemonstration(t *testing.T) {
	show, plan := demo()
	stays := desk.NewTable(show, plan, desk.TableOptions{}).Stays
	for i := range 12 {
		puttingLaw(t, show, plan, stays[(i*41)%len(stays)], show.Park.Lanes[(i*5)%len(show.Park.Lanes)].ID)
	}
}

// TestPuttingLawOnSmallShows fills small parks by hand, rightly or wrongly.
func TestPuttingLawOnSmallShows(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		show := alley()
		kinds := []sallyport.LaneKind{sallyport.DeadEnd, sallyport.Through, sallyport.Open}
		for i := range show.Park.Lanes {
			show.Park.Lanes[i].Kind = rapid.SampledFrom(kinds).Draw(rt, "kind")
			show.Park.Lanes[i].Length = sallyport.Centimetres(rapid.IntRange(450, 1800).Draw(rt, "length"))
		}
		show.Park.Spots = []sallyport.Spot{{ID: "aside", Use: sallyport.SpotAside}}
		for n := range rapid.IntRange(0, 4).Draw(rt, "more serials") {
			id := sallyport.SerialID(fmt.Sprint("more", n))
			s := sallyport.Serial{ID: id, ArenaIn: sallyport.At(1, 15+n, 30), ArenaOut: sallyport.At(1, 15+n, 45)}
			for _, v := range show.Vehicles {
				if rapid.Bool().Draw(rt, "is in it") {
					s.Entries = append(s.Entries, sallyport.Entry{ID: sallyport.EntryID(string(id) + "/" + string(v.ID)), Unit: v.ID})
				}
			}
			show.Serials = append(show.Serials, s)
		}
		show = sallyport.Complete(show)
		lane := func(what string) sallyport.LaneID { return rapid.SampledFrom(show.Park.Lanes).Draw(rt, what).ID }
		none, err := desk.Refit(rt.Context(), show, nil)
		if err != nil {
			rt.Fatal(err)
		}
		plan := none.Plan
		for _, v := range show.Vehicles {
			if rapid.IntRange(0, 5).Draw(rt, "stays at the gate") > 0 {
				plan = placed(rt, show, plan, desk.Put{Unit: v.ID, Lane: lane("first lane")}).Plan
			}
		}
		stays := desk.NewTable(show, plan, desk.TableOptions{}).Stays
		puttingLaw(rt, show, plan, rapid.SampledFrom(stays).Draw(rt, "stay"), lane("lane"))
	})
}

func TestPuttingWhereItStandsChangesNothing(t *testing.T) {
	show, plan := demo()
	for _, s := range desk.NewTable(show, plan, desk.TableOptions{}).Stays[:8] {
		held, err := desk.Hold(t.Context(), show, plan, desk.Put{Unit: s.Unit, After: s.After, Lane: s.Lane, Onward: true})
		if err != nil || !held.Fits || held.Cost != 0 || len(held.Says) > 0 {
			t.Errorf("%s in %s: %+v, %v", s.ID, s.Lane, held, err)
		}
	}
}

// alley is a park of two lanes, each with room for two of three small vehicles.
func alley() *sallyport.Show {
	zero, sure := sallyport.Seconds(0), sallyport.Certain
	vehicle := func(id string, name string) sallyport.Vehicle {
		return sallyport.Vehicle{
			ID: sallyport.UnitID(id), Name: name, Length: 400, Reverse: sallyport.ReverseYes, Start: sallyport.StartSelf,
			WarmUp: &zero, LongestIdle: &zero, HotRest: &zero, CoolDown: &zero, StartChance: &sure,
		}
	}
	serial := func(id string, hour int, units ...string) sallyport.Serial {
		s := sallyport.Serial{ID: sallyport.SerialID(id), ArenaIn: sallyport.At(1, hour, 0), ArenaOut: sallyport.At(1, hour, 20)}
		for _, u := range units {
			s.Entries = append(s.Entries, sallyport.Entry{ID: sallyport.EntryID(id + "/" + u), Unit: sallyport.UnitID(u)})
		}
		return s
	}
	return &sallyport.Show{
		Name: "alley", Days: []sallyport.Day{{Name: "Saturday"}},
		Park: sallyport.Park{
			Lanes: []sallyport.Lane{{ID: "A", Length: 900, Gap: 50}, {ID: "B", Length: 900, Gap: 50}},
			Lines: []sallyport.Line{{ID: "north", Length: 10_000}},
		},
		Vehicles: []sallyport.Vehicle{vehicle("avocet", "Avocet"), vehicle("bittern", "Bittern"), vehicle("crake", "Crake")},
		Serials:  []sallyport.Serial{serial("1", 10, "avocet"), serial("2", 12, "bittern"), serial("3", 14, "crake")},
	}
}

func placed(t checking, show *sallyport.Show, plan *sallyport.Plan, puts ...desk.Put) *desk.Answer {
	t.Helper()
	var a *desk.Answer
	for _, p := range puts {
		var err error
		if a, err = desk.Place(t.Context(), show, plan, p); err != nil {
			t.Fatal(err)
		}
		plan = a.Plan
	}
	return a
}

// TestFillingAnEmptyPark begins at the gate: vehicles come in one by one, the
// rest by the planner.
func TestFillingAnEmptyPark(t *testing.T) {
	show := alley()
	none, err := desk.Refit(t.Context(), show, nil)
	if err != nil || none.Report.Workable() || len(none.Why) != 3 || len(none.Plan.Unserved) != 3 {
		t.Fatalf("%+v, %v", none, err)
	}
	if lanes := lanesOf(show, none.Plan); lanes["avocet/"] != "" || len(lanes) != 3 {
		t.Errorf("stays of nobody: %v", lanes)
	}
	if why := desk.NewTable(show, none.Plan, desk.TableOptions{}).Why; !slices.Equal(why, none.Why) {
		t.Errorf("the table says %q, not %q", why, none.Why)
	}
	first := placed(t, show, none.Plan, desk.Put{Unit: "avocet", Lane: "A"})
	if lanes := lanesOf(show, first.Plan); lanes["avocet/"] != "A" || lanes["avocet/1"] != "A" || lanes["crake/"] != "" {
		t.Errorf("stays: %v", lanes)
	}
	all := placed(t, show, first.Plan, desk.Put{Unit: "bittern", Lane: "A"}, desk.Put{Unit: "crake", Lane: "B"})
	// Avocet, back in front of Bittern, has to be moved aside once and put back.
	if !all.Report.Workable() || all.Report.Cost.Term(sallyport.TermAside).Count != 2 {
		t.Errorf("%v", all.Verdict())
	}
	// Who goes out first was put in front.
	if u := all.Plan.Start[0].Units; !slices.Equal(u, []sallyport.UnitID{"avocet", "bittern"}) {
		t.Errorf("lane A: %v", u)
	}
	// Put behind by hand, Avocet has Bittern moved aside besides.
	held, err := desk.Hold(t.Context(), show, all.Plan, desk.Put{Unit: "avocet", Lane: "A", Place: 2})
	if err != nil || !held.Fits || held.Cost <= 0 || len(held.Says) == 0 || !strings.Contains(strings.Join(held.Says, " "), "Bittern") {
		t.Errorf("Avocet behind Bittern: %+v, %v", held, err)
	}
	// There is no place 3 for the second of two, but for a third.
	if _, err := desk.Hold(t.Context(), show, all.Plan, desk.Put{Unit: "avocet", Lane: "A", Place: 3}); err == nil || !strings.Contains(err.Error(), "from 1, nearest to the mouth, to 2") {
		t.Errorf("a third place of two: %v", err)
	}
	third := placed(t, show, all.Plan, desk.Put{Unit: "crake", Lane: "A", Place: 3})
	if u := third.Plan.Start[0].Units; !slices.Equal(u, []sallyport.UnitID{"avocet", "bittern", "crake"}) {
		t.Errorf("lane A: %v", u)
	}
	// A third in lane A is one too many.
	held, err = desk.Hold(t.Context(), show, all.Plan, desk.Put{Unit: "crake", Lane: "A"})
	if err != nil || held.Fits || !slices.ContainsFunc(held.Faults, func(f sallyport.Fault) bool { return f.Rule == sallyport.RuleOverfull }) {
		t.Errorf("three in lane A: %+v, %v", held, err)
	}
	// Taken out again it stands at the gate.
	out := placed(t, show, all.Plan, desk.Put{Unit: "bittern", Lane: ""})
	if lanes := lanesOf(show, out.Plan); lanes["bittern/"] != "" || lanes["avocet/"] != "A" || len(out.Plan.Unserved) != 1 {
		t.Errorf("stays: %v, unserved %v", lanes, out.Plan.Unserved)
	}
}

func TestPutOnward(t *testing.T) {
	show := alley()
	show.Serials = append(show.Serials, sallyport.Serial{ID: "4", ArenaIn: sallyport.At(1, 16, 0), ArenaOut: sallyport.At(1, 16, 20), Entries: []sallyport.Entry{{ID: "4/avocet", Unit: "avocet"}}})
	all := placed(t, show, nil, desk.Put{Unit: "avocet", Lane: "A"}, desk.Put{Unit: "bittern", Lane: "B"}, desk.Put{Unit: "crake", Lane: "B"})
	one := lanesOf(show, placed(t, show, all.Plan, desk.Put{Unit: "avocet", After: "1", Lane: "B"}).Plan)
	if one["avocet/"] != "A" || one["avocet/1"] != "B" || one["avocet/4"] != "A" {
		t.Errorf("one stay: %v", one)
	}
	onward := lanesOf(show, placed(t, show, all.Plan, desk.Put{Unit: "avocet", After: "1", Lane: "B", Onward: true}).Plan)
	if onward["avocet/"] != "A" || onward["avocet/1"] != "B" || onward["avocet/4"] != "B" {
		t.Errorf("onward: %v", onward)
	}
}

func TestPutRefuses(t *testing.T) {
	show, plan := demo()
	moment := *plan
	moment.From = &sallyport.State{At: sallyport.At(3, 12, 0)}
	team := show.Combinations[0]
	tests := []struct {
		name string
		plan *sallyport.Plan
		ask  desk.Put
		code sallyport.Code
		says string
	}{
		{"no such vehicle", plan, desk.Put{Unit: "pegasus", Lane: "Y1"}, sallyport.CodeNotFound, "pegasus"},
		{"no such lane", plan, desk.Put{Unit: "dunlin", Lane: "Z9"}, sallyport.CodeNotFound, "Z9"},
		{"no such stay", plan, desk.Put{Unit: "dunlin", After: "fri-1", Lane: "Y1"}, sallyport.CodeNotFound, "Dunlin"},
		{"part of a combination", plan, desk.Put{Unit: team.Tower, Lane: "Y1"}, sallyport.CodeInput, team.Name},
		{"a place before the mouth", plan, desk.Put{Unit: "dunlin", Lane: "Y1", Place: -1}, sallyport.CodeInput, "place -1"},
		{"a place before the mouth, of a later stay", plan, desk.Put{Unit: "dunlin", After: "fri-2", Lane: "Y1", Place: -3}, sallyport.CodeInput, "place -3"},
		{"a place beyond the end", plan, desk.Put{Unit: "dunlin", Lane: "Y1", Place: 99}, sallyport.CodeInput, "no place 99 in lane Y1"},
		{"a plan from a moment", &moment, desk.Put{Unit: "dunlin", Lane: "Y1"}, sallyport.CodeInput, "D3 12:00"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			_, err := desk.Hold(t.Context(), show, test.plan, test.ask)
			var known *sallyport.Error
			if !errors.As(err, &known) || known.Code != test.code || !strings.Contains(err.Error(), test.says) {
				t.Errorf("error %v", err)
			}
		})
	}
}
