package sallyport_test

import (
	"testing"

	"sallyport"
)

// TestStateOfAnotherShow holds that a plan which goes on from a moment is
// judged although the show has lost who or what stood there, and that each is
// named once.
func TestStateOfAnotherShow(t *testing.T) {
	show := sallyport.Complete(&sallyport.Show{
		Vehicles: []sallyport.Vehicle{{ID: "avocet", Name: "Avocet", Length: 600}},
		Park:     sallyport.Park{Lanes: []sallyport.Lane{{ID: "A", Length: 3000}}},
	})
	stands := func(u sallyport.UnitID, from sallyport.Centimetres) sallyport.Standing {
		return sallyport.Standing{Unit: u, From: from}
	}
	plan := &sallyport.Plan{
		Format: sallyport.FormatPlan,
		From: &sallyport.State{
			At:    sallyport.At(1, 9, 0),
			Lanes: map[sallyport.LaneID][]sallyport.Standing{"A": {stands("gone", 0), stands("avocet", 900)}, "Z": {stands("gone too", 0)}},
			Lines: map[sallyport.LineID][]sallyport.UnitID{"nowhere": {"gone"}},
			Spots: map[sallyport.SpotID][]sallyport.UnitID{"nowhere": {"avocet"}},
			Arena: []sallyport.UnitID{"gone"}, OffRoad: []sallyport.UnitID{"gone"},
			Busy: map[sallyport.UnitID]sallyport.UnderWay{"gone": {Until: sallyport.At(1, 9, 5)}},
		},
		Moves: []sallyport.Move{{
			ID: "m1", Kind: sallyport.MoveAside, Unit: "avocet", From: sallyport.AtLane("A", ""), To: sallyport.AtSpot("nowhere"), Start: sallyport.At(1, 9, 10),
		}},
	}
	unknown := 0
	for _, f := range sallyport.Check(show, plan).Faults {
		if f.Rule == sallyport.RuleUnknown && f.Move == "" {
			unknown++
		}
	}
	if unknown != 5 { // gone, gone too, lane Z, line nowhere, spot nowhere
		t.Errorf("%d unknown names are told, there are 5", unknown)
	}
	if n := len(plan.From.Lanes["A"]); n != 2 {
		t.Errorf("the plan's own state was changed: %d stand in lane A", n)
	}
	state, _, _ := sallyport.StateAt(show, plan, sallyport.At(1, 9, 0))
	if list := state.Lanes["A"]; len(list) != 1 || list[0].Unit != "avocet" {
		t.Errorf("in lane A stand %v", list)
	}
}
