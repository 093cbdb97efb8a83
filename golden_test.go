package sallyport_test

import (
	"fmt"
	"testing"

	sp "sallyport"
)

// strike is the tiny show in which striking an entry makes the plan dearer.
// There is one dead-end lane. Avocet stands in it, has a duty from one o'clock
// to four, and leaves at six; Bittern comes at two and leaves at eight.
func strike(withDuty bool) *sp.Show {
	hour := func(h int) sp.Window { return sp.Window{From: sp.At(1, h, 0), To: sp.At(1, h, 30)} }
	a, b := quiet("avocet"), quiet("bittern")
	a.Depart, b.Arrive, b.Depart = hour(18), hour(14), hour(20)
	s := &sp.Show{
		Format: sp.FormatShow, Name: "Strike", Days: []sp.Day{{Name: "Friday"}}, Weights: sp.DefaultWeights(),
		Park: sp.Park{
			Lanes: []sp.Lane{{ID: "A", Kind: sp.DeadEnd, Length: 1100, Gap: 50, In: sp.InReversed}},
			Spots: []sp.Spot{{ID: "verge", Use: sp.SpotAside}},
			Paces: paces(),
		},
		Vehicles: []sp.Vehicle{a, b},
	}
	if withDuty {
		s.Duties = []sp.Duty{{ID: "rides", Unit: "avocet", What: "rides", From: sp.At(1, 13, 5), To: sp.At(1, 16, 0)}}
	}
	return s
}

// everyPlan calls do with every workable plan of the tiny show: the moves that
// the show asks for, with up to two moves aside or back before each, tried
// one after the other and dropped as soon as the judge finds a fault.
func everyPlan(s *sp.Show, do func(p *sp.Plan)) {
	lane, away, onDuty := sp.AtLane("A", ""), sp.Pos{Kind: sp.InAway}, sp.Pos{Kind: sp.InDuty}
	type event struct {
		hour  int
		moves []sp.Move // one of them
	}
	var events []event
	if len(s.Duties) > 0 {
		events = append(events, event{13, []sp.Move{
			{Kind: sp.MoveDuty, Unit: "avocet", Duty: "rides", From: lane, To: onDuty},
			{Kind: sp.MoveDuty, Unit: "avocet", Duty: "rides", From: sp.AtSpot("verge"), To: onDuty},
		}})
	}
	events = append(events, event{14, []sp.Move{{Kind: sp.MoveArrive, Unit: "bittern", From: away, To: lane, Reverse: true}}})
	if len(s.Duties) > 0 {
		events = append(events, event{16, []sp.Move{{Kind: sp.MoveRelieve, Unit: "avocet", Duty: "rides", From: onDuty, To: lane, Reverse: true}}})
	}
	leaves := func(u sp.UnitID) []sp.Move {
		return []sp.Move{{Kind: sp.MoveDepart, Unit: u, From: lane, To: away}, {Kind: sp.MoveDepart, Unit: u, From: sp.AtSpot("verge"), To: away}}
	}
	events = append(events, event{18, leaves("avocet")}, event{20, leaves("bittern")})

	var extra []sp.Move
	for _, u := range []sp.UnitID{"avocet", "bittern"} {
		extra = append(extra,
			sp.Move{Kind: sp.MoveAside, Unit: u, From: lane, To: sp.AtSpot("verge")},
			sp.Move{Kind: sp.MoveBack, Unit: u, From: sp.AtSpot("verge"), To: lane, Reverse: true})
	}
	plan := &sp.Plan{Format: sp.FormatPlan, Start: []sp.LaneLayout{{Lane: "A", Units: []sp.UnitID{"avocet"}}}}
	start, _ := sp.StartState(s, plan)
	var from func(next, extras int)
	try := func(m sp.Move, next, extras int) {
		m.ID, m.Takes = sp.MoveID(fmt.Sprintf("m%d", len(plan.Moves)+1)), pace
		plan.Moves = append(plan.Moves, m)
		if _, faults := sp.Play(s, start, plan.Moves); len(faults) == 0 {
			from(next, extras)
		}
		plan.Moves = plan.Moves[:len(plan.Moves)-1]
	}
	from = func(next, extras int) {
		if next == len(events) {
			if sp.Check(s, plan).Workable() {
				do(plan)
			}
			return
		}
		at := sp.At(1, events[next].hour, 0)
		for _, m := range events[next].moves {
			m.Start = at
			try(m, next+1, 0)
		}
		if extras < 2 {
			for _, m := range extra {
				m.Start = at - sp.Instant(300*(2-extras))
				try(m, next, extras+1)
			}
		}
	}
	from(0, 0)
}

// Removing an entry (here a duty) can cost more: without it Avocet stands in
// the lane from the start, and Bittern, which comes later and leaves later,
// is in its way.
func TestStrikingAnEntryCanCostMore(t *testing.T) {
	cheapest := func(s *sp.Show) (best sp.Cost, plans int) {
		everyPlan(s, func(p *sp.Plan) {
			if c := sp.Evaluate(s, p); plans == 0 || c.Less(best) {
				best = c
			}
			plans++
		})
		return best, plans
	}
	given, plans := cheapest(strike(true))
	if plans < 10 || given.Total != 0 {
		t.Errorf("with the duty: %d plans, the cheapest costs %d, want nothing", plans, given.Total)
	}
	struck, plans := cheapest(strike(false))
	// Bittern is moved aside once, a minute with two people, and leaves from
	// there; or Avocet is, before Bittern comes.
	if plans < 3 || struck.Total != 120 || struck.Term(sp.TermAside).Count != 1 {
		t.Errorf("without the duty: %d plans, the cheapest costs %d with %d moves aside, want 120 with 1", plans, struck.Total, struck.Term(sp.TermAside).Count)
	}
}
