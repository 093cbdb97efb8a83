package sallyport

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// looseMoves is a plan of n vehicles that leave one lane each, all for one
// spot of limited length, none waiting for another.
func looseMoves(n int) (*Show, *Plan) {
	show := &Show{Park: Park{Spots: []Spot{{ID: "patch", Use: SpotAside, Length: Centimetres(n) * 1000}}}}
	plan := &Plan{}
	for i := range n {
		lane, unit := LaneID(fmt.Sprint("L", i)), UnitID(fmt.Sprint("v", i))
		show.Park.Lanes = append(show.Park.Lanes, Lane{ID: lane, Length: 1000})
		show.Vehicles = append(show.Vehicles, Vehicle{ID: unit, Length: 400})
		plan.Start = append(plan.Start, LaneLayout{Lane: lane, Units: []UnitID{unit}})
		plan.Moves = append(plan.Moves, Move{
			ID: MoveID(fmt.Sprint("m", i)), Kind: MoveAside, Unit: unit, From: AtLane(lane, Mouth), To: AtSpot("patch"),
			Start: At(1, 9, i), Takes: 60,
		})
	}
	return Complete(show), plan
}

// However many swaps there are to try, no more than the limit of moves are
// played, and every trial stays within what is said.
func TestTrialsKeepTheirLimit(t *testing.T) {
	show, plan := looseMoves(60)
	l := linksOf(NewIndex(show), plan.Moves)
	all, apart := l.trials(1 << 30)
	if apart != 0 || len(all) < 60 {
		t.Fatalf("%d trials, limit %d", len(all), apart)
	}
	few, apart := l.trials(500)
	if apart == 0 {
		t.Fatal("the limit is not said")
	}
	sum := 0
	for _, x := range few {
		far := l.overtaker[x.move] - x.move
		if x.first < x.move {
			far = x.move - x.first
		}
		if far > apart {
			t.Errorf("move %d is tried from %d on, but %d is the limit", x.move, x.first, apart)
		}
		sum += far
	}
	if sum > 500 {
		t.Errorf("%d moves are played, limit 500", sum)
	}
}

// A check that is stopped says what it did not look at; its faults and cost
// are those of the whole check.
func TestStoppedCheckSaysSo(t *testing.T) {
	show, plan := looseMoves(5)
	whole, stopped := Check(show, plan), CheckUntil(show, plan, func() bool { return true })
	if len(stopped.Faults) != len(whole.Faults) || stopped.Cost.Total != whole.Cost.Total {
		t.Errorf("%d faults, cost %d; the whole check finds %d, %d", len(stopped.Faults), stopped.Cost.Total, len(whole.Faults), whole.Cost.Total)
	}
	said := func(r Report) bool {
		return slices.ContainsFunc(r.NotChecked, func(s string) bool { return strings.Contains(s, "stopped") })
	}
	if !said(stopped) || said(whole) {
		t.Errorf("stopped: %q; whole: %q", stopped.NotChecked, whole.NotChecked)
	}
}
