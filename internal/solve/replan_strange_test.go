package solve

import (
	"encoding/json"
	"os"
	"testing"

	"sallyport"
)

// TestStrangePlansAreReplanned holds that a last issue which names what the
// show does not have is gone on from like any other.
func TestStrangePlansAreReplanned(t *testing.T) {
	var given sallyport.Show
	var issued sallyport.Plan
	for path, into := range map[string]any{"../picture/testdata/small.show.json": &given, "../picture/testdata/small.plan.json": &issued} {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(data, into); err != nil {
			t.Fatalf("%s: %v", path, err)
		}
	}
	issued.Show = ""
	show := sallyport.Complete(&given)
	try := func(plan *sallyport.Plan, at sallyport.Instant) {
		state, past, rest := sallyport.StateAt(show, plan, at)
		var happened []sallyport.Happening
		for lane, list := range state.Lanes {
			if len(list) > 1 && sallyport.NewIndex(show).Unit(list[0].Unit) != nil && lane == plan.Start[0].Lane {
				happened = append(happened, sallyport.Happening{Kind: sallyport.HappenFailed, Unit: list[0].Unit})
			}
		}
		with, state, done, problems := sallyport.Apply(show, state, happened)
		if len(problems) > 0 {
			return
		}
		m := Moment{Show: with, State: state, Happened: done, Issued: plan, Past: past, Rest: rest}
		if c := Replan(t.Context(), m, Options{Steps: -1, Workers: 1}, nil); c == nil || c.Plan == nil {
			t.Error("there is no continuation")
		}
	}
	strange := []func(m *sallyport.Move){
		func(m *sallyport.Move) { m.Unit = "nobody" },
		func(m *sallyport.Move) { m.Serial = "nothing" },
		func(m *sallyport.Move) { m.Entry = "nothing" },
		func(m *sallyport.Move) { m.Serial, m.Duty = "", "nothing" },
		func(m *sallyport.Move) { m.From.ID = "nowhere" },
		func(m *sallyport.Move) { m.To.ID = "nowhere" },
		func(m *sallyport.Move) { m.To = sallyport.AtSpot("nowhere") },
		func(m *sallyport.Move) { m.To = sallyport.AtLane("nowhere", "") },
		func(m *sallyport.Move) { m.Kind = "levitate" },
		func(m *sallyport.Move) { m.Kind = sallyport.MoveTow },
		func(m *sallyport.Move) { m.Unit, m.Units = "", []sallyport.UnitID{"nobody"} },
		func(m *sallyport.Move) { m.Unit, m.Units = "", nil },
	}
	for i := range issued.Moves {
		for _, put := range strange {
			plan := issued
			plan.Moves = append([]sallyport.Move(nil), issued.Moves...)
			put(&plan.Moves[i])
			for _, late := range []sallyport.Instant{-60, 60} {
				try(&plan, issued.Moves[i].Start+late)
			}
		}
	}
	for i := range issued.Start {
		plan := issued
		plan.Start = append([]sallyport.LaneLayout(nil), issued.Start...)
		plan.Start[i].Units = append([]sallyport.UnitID{"nobody"}, issued.Start[i].Units...)
		try(&plan, issued.Moves[0].Start)
		plan.Start[i].Lane = "nowhere"
		try(&plan, issued.Moves[0].Start)
	}
	// A state that names what the show does not have.
	for _, at := range []sallyport.Instant{issued.Moves[0].Start, issued.Moves[len(issued.Moves)/2].Start} {
		state, past, _ := sallyport.StateAt(show, &issued, at)
		for lane := range state.Lanes {
			state.Lanes[lane] = append([]sallyport.Standing{{Unit: "nobody"}}, state.Lanes[lane]...)
		}
		state.Spots = map[sallyport.SpotID][]sallyport.UnitID{}
		for i := range show.Park.Spots {
			state.Spots[show.Park.Spots[i].ID] = []sallyport.UnitID{"nobody"}
		}
		state.Arena = append(state.Arena, "nobody")
		plan := issued
		plan.From, plan.Past = &state, past
		try(&plan, at)
	}
}
