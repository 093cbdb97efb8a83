package rehearse_test

import (
	"context"
	"errors"
	"slices"
	"testing"

	"pgregory.net/rapid"

	sp "sallyport"
	"sallyport/bench/plant"
	"sallyport/internal/rehearse"
)

// Whatever a plan says, failures are played or an error says why not.
func TestStrangePlans(t *testing.T) {
	small, err := plant.Plant(plant.Options{Seed: 1, Vehicles: 8, Lanes: 3, Days: 1, Serials: 3, Entries: 2, Spare: 10})
	if err != nil {
		t.Fatal(err)
	}
	show, good := sp.Complete(small.Show), small.Plan
	units := []sp.UnitID{"", "nobody"}
	for _, v := range show.Vehicles {
		units = append(units, v.ID)
	}
	places := []sp.Pos{{}, {Kind: sp.InAway}, {Kind: sp.InArena}, {Kind: sp.InDuty}, sp.AtLane("nowhere", ""), sp.AtLine("nowhere"), sp.AtSpot("nowhere"), {Kind: "mid-air"}}
	for _, l := range show.Park.Lanes {
		places = append(places, sp.AtLane(l.ID, ""), sp.AtLane(l.ID, sp.Tail))
	}
	for _, l := range show.Park.Lines {
		places = append(places, sp.AtLine(l.ID))
	}
	for _, s := range show.Park.Spots {
		places = append(places, sp.AtSpot(s.ID))
	}
	kinds := []sp.MoveKind{
		sp.MoveArrive, sp.MovePullOut, sp.MoveOut, sp.MoveHome, sp.MoveReturn, sp.MoveAcross, sp.MoveAside, sp.MoveBack, sp.MoveCloseUp,
		sp.MoveReset, sp.MoveDuty, sp.MoveRelieve, sp.MoveDepart, sp.MoveCouple, sp.MovePart, sp.MoveTow, sp.MoveShift, "fly",
	}
	played, refused := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		plan := *good
		plan.Moves = slices.Clone(good.Moves)
		for range rapid.IntRange(1, 4).Draw(t, "slips") {
			if len(plan.Moves) == 0 {
				break
			}
			i := rapid.IntRange(0, len(plan.Moves)-1).Draw(t, "move")
			m := &plan.Moves[i]
			switch rapid.IntRange(0, 9).Draw(t, "slip") {
			case 0:
				plan.Moves = slices.Delete(plan.Moves, i, i+1)
			case 1:
				m.Unit = rapid.SampledFrom(units).Draw(t, "unit")
			case 2:
				m.From = rapid.SampledFrom(places).Draw(t, "from")
			case 3:
				m.To = rapid.SampledFrom(places).Draw(t, "to")
			case 4:
				m.Kind = rapid.SampledFrom(kinds).Draw(t, "kind")
			case 5:
				m.Serial = rapid.SampledFrom([]sp.SerialID{"", "none", show.Serials[0].ID}).Draw(t, "serial")
			case 6:
				m.Units = append(slices.Clone(m.Units), rapid.SampledFrom(units).Draw(t, "one more"))
			case 7:
				m.Start = sp.Instant(rapid.Int64Range(-200_000, 400_000).Draw(t, "start"))
			case 8:
				m.Entry = rapid.SampledFrom([]sp.EntryID{"", "none", show.Serials[1].Entries[0].ID}).Draw(t, "entry")
			case 9:
				m.ByHand, m.Reverse = !m.ByHand, !m.Reverse
			}
		}
		_, err := rehearse.Matrix(context.Background(), show, &plan, rehearse.Options{Workers: 1, Only: []sp.FailureKind{sp.FailInMouth, sp.FailOnRoad, sp.FailReversing, sp.FailInArena}}, nil)
		var known *sp.Error
		switch {
		case err == nil:
			played++
		case errors.As(err, &known) && known.Code == sp.CodeInput:
			refused++
		default:
			t.Fatal(err)
		}
	})
	if played == 0 || refused == 0 {
		t.Errorf("%d played, %d refused: the slips are all of one sort", played, refused)
	}
}
