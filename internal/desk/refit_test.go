package desk_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/fenmoor"
)

// TestRefit changes the show under a plan.
func TestRefit(t *testing.T) {
	_, plan := demo()
	tests := []struct {
		name   string
		change func(*sallyport.Show)
		gate   []string // stays that have no lane any more
	}{
		{"nothing", func(*sallyport.Show) {}, nil},
		{"a vehicle is gone", func(s *sallyport.Show) {
			s.Vehicles = slices.DeleteFunc(s.Vehicles, func(v sallyport.Vehicle) bool { return v.ID == "dunlin" })
			for i := range s.Serials {
				s.Serials[i].Entries = slices.DeleteFunc(s.Serials[i].Entries, func(e sallyport.Entry) bool { return e.Unit == "dunlin" })
			}
			s.Duties = slices.DeleteFunc(s.Duties, func(d sallyport.Duty) bool { return d.Unit == "dunlin" })
		}, nil},
		{"a vehicle is new", func(s *sallyport.Show) {
			s.Vehicles = append(s.Vehicles, sallyport.Vehicle{ID: "dotterel", Name: "Dotterel", Length: 400})
		}, []string{"dotterel/"}},
		{"a serial is gone", func(s *sallyport.Show) { s.Serials = slices.Delete(s.Serials, 3, 4) }, nil},
		{"a serial is ten minutes later", func(s *sallyport.Show) {
			x := &s.Serials[2]
			x.ArenaIn += 600
			x.ArenaOut += 600
			x.HomeBy += 600
		}, nil},
		{"an entry is new", func(s *sallyport.Show) {
			s.Serials[0].Entries = append(s.Serials[0].Entries, sallyport.Entry{ID: "fri-1/curlew", Unit: "curlew"})
		}, nil},
		{"nothing is left", func(s *sallyport.Show) { s.Vehicles, s.Combinations, s.Serials, s.Duties = nil, nil, nil, nil }, nil},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			show := fenmoor.Show()
			before := lanesOf(show, plan)
			test.change(show)
			a, err := desk.Refit(t.Context(), show, plan)
			if err != nil {
				t.Fatal(err)
			}
			after := lanesOf(show, a.Plan)
			for id, lane := range after {
				was, there := before[id]
				switch {
				case slices.Contains(test.gate, id):
					if lane != "" {
						t.Errorf("%s is in %s", id, lane)
					}
				case there && was != lane:
					t.Errorf("%s was in %s, is in %s", id, was, lane)
				case !there && lane == "":
					t.Errorf("%s has no lane", id)
				}
			}
		})
	}
	t.Run("a lane is gone", func(t *testing.T) {
		show := fenmoor.Show()
		gone := plan.Start[0].Lane
		show.Park.Lanes = slices.DeleteFunc(show.Park.Lanes, func(l sallyport.Lane) bool { return l.ID == gone })
		a, err := desk.Refit(t.Context(), show, plan)
		if err != nil {
			t.Fatal(err)
		}
		after := lanesOf(show, a.Plan)
		for _, u := range plan.Start[0].Units {
			if after[string(u)+"/"] != "" {
				t.Errorf("%s, whose lane is gone, is in %s", u, after[string(u)+"/"])
			}
		}
		// The planner fills in who stands at the gate.
		show = sallyport.Complete(show)
		full, err := desk.Plan(t.Context(), show, desk.PlanOptions{Steps: 300_000, From: sallyport.SketchOf(a.Plan)}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if lanes := lanesOf(show, full.Plan); lanes[string(plan.Start[0].Units[0])+"/"] == "" {
			t.Errorf("the planner left %s at the gate: %v", plan.Start[0].Units[0], full.Why)
		}
	})
}

// TestRefitOfAPlanIsThePlan: laid out anew for its own show, a plan is what it
// was.
func TestRefitOfAPlanIsThePlan(t *testing.T) {
	show, plan := demo()
	a, err := desk.Refit(t.Context(), show, plan)
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Plan.Moves) != len(plan.Moves) || fmt.Sprint(a.Plan.Start) != fmt.Sprint(plan.Start) {
		t.Fatalf("%d moves, not %d", len(a.Plan.Moves), len(plan.Moves))
	}
	for i := range plan.Moves {
		if fmt.Sprint(a.Plan.Moves[i]) != fmt.Sprint(plan.Moves[i]) {
			t.Fatalf("move %d: %+v, was %+v", i, a.Plan.Moves[i], plan.Moves[i])
		}
	}
	if a.Plan.Key.Bound != plan.Key.Bound || a.Bound != plan.Key.Bound {
		t.Errorf("bound %d, was %d", a.Bound, plan.Key.Bound)
	}
}

func TestFix(t *testing.T) {
	show := alley()
	all := placed(t, show, nil, desk.Put{Unit: "avocet", Lane: "A"}, desk.Put{Unit: "bittern", Lane: "A"}, desk.Put{Unit: "crake", Lane: "B"})
	fixed, err := desk.Fix(show, all.Plan, desk.FixAsk{Units: []sallyport.UnitID{"crake"}, Lanes: []sallyport.LaneID{"A"}, Fixed: true})
	if err != nil {
		t.Fatal(err)
	}
	for i, lane := range []sallyport.LaneID{"A", "A", "B"} {
		if h := fixed.Vehicles[i].Home; h.Lane != lane || h.Binding != sallyport.Fixed {
			t.Errorf("home of %s: %+v", fixed.Vehicles[i].Name, h)
		}
	}
	if show.Vehicles[0].Home.Lane != "" {
		t.Error("the show that was given has changed")
	}
	for _, s := range desk.NewTable(fixed, all.Plan, desk.TableOptions{}).Stays {
		if !s.Fixed {
			t.Errorf("stay %s is not fixed", s.ID)
		}
	}
	// The planner keeps them there.
	a, err := desk.Plan(t.Context(), sallyport.Complete(fixed), desk.PlanOptions{Steps: 20_000}, nil)
	if err != nil || lanesOf(fixed, a.Plan)["crake/3"] != "B" || lanesOf(fixed, a.Plan)["avocet/1"] != "A" {
		t.Errorf("planned: %v, %v", lanesOf(fixed, a.Plan), err)
	}
	free, err := desk.Fix(fixed, all.Plan, desk.FixAsk{Units: []sallyport.UnitID{"avocet"}})
	if err != nil || free.Vehicles[0].Home.Binding != sallyport.Free || free.Vehicles[1].Home.Binding != sallyport.Fixed {
		t.Errorf("let go: %+v, %v", free.Vehicles[0].Home, err)
	}
	_, err = desk.Fix(show, nil, desk.FixAsk{Units: []sallyport.UnitID{"avocet", "pegasus"}, Lanes: []sallyport.LaneID{"Z"}, Fixed: true})
	if err == nil || !strings.Contains(err.Error(), "3 things") || !strings.Contains(err.Error(), "Avocet has no place") {
		t.Errorf("error %v", err)
	}
}
