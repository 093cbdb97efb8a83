package sallyport_test

import (
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/fenmoor"
)

func TestCheckSaid(t *testing.T) {
	show := sallyport.Complete(fenmoor.Show())
	ix := sallyport.NewIndex(show)
	lane, serial := show.Park.Lanes[0].ID, show.Serials[0].ID
	type h = sallyport.Happening
	for _, tt := range []struct {
		said h
		want []string
	}{
		{h{Kind: sallyport.HappenHere, Unit: "avocet"}, nil},
		{h{Kind: sallyport.HappenHere}, []string{"here: no vehicle is named"}},
		{h{Kind: sallyport.HappenHere, Unit: "nobody"}, []string{`there is no vehicle "nobody"`}},
		{h{Kind: sallyport.HappenElsewhere, Unit: "avocet", Lane: lane}, nil},
		{h{Kind: sallyport.HappenElsewhere, Unit: "nobody", Lane: "nowhere"}, []string{`no vehicle "nobody"`, `no lane "nowhere"`}},
		{h{Kind: sallyport.HappenElsewhere, Unit: "avocet"}, []string{"no lane is named"}},
		{h{Kind: sallyport.HappenLimits, Unit: "avocet", MaxRuns: 1}, nil},
		{h{Kind: sallyport.HappenLimits, Unit: "avocet"}, []string{"no limit is given"}},
		{h{Kind: sallyport.HappenReserve, Unit: "avocet", Reserve: "bittern", Serial: serial}, nil},
		{h{Kind: sallyport.HappenReserve, Unit: "avocet", Reserve: "avocet", Serial: serial}, []string{"no reserve of itself"}},
		{h{Kind: sallyport.HappenReserve}, []string{"no vehicle is named", "no vehicle as reserve is named", "no serial is named"}},
		{h{Kind: sallyport.HappenSwapped, Serial: serial, Other: "never"}, []string{`no serial to swap with "never"`}},
		{h{Kind: sallyport.HappenCancelled}, []string{"no serial is named"}},
		{h{Kind: sallyport.HappenLane, Lane: lane}, nil},
		{h{Kind: sallyport.HappenTeam}, nil},
		{h{Kind: sallyport.HappenFailed, Unit: "avocet", Lane: "nowhere"}, []string{`no lane "nowhere"`}},
	} {
		list := sallyport.CheckSaid(3, tt.said, sallyport.NewIndex(&sallyport.Show{}), ix)
		if len(list) != len(tt.want) {
			t.Errorf("%+v: %v, want %q", tt.said, list, tt.want)
			continue
		}
		for i, w := range tt.want {
			if !strings.Contains(list[i].Message, w) || list[i].ID != "3" || list[i].Advice == "" {
				t.Errorf("%+v: %+v, want %q", tt.said, list[i], w)
			}
		}
	}
}

// TestWhatIsRefusedCannotBeApplied: CheckSaid refuses nothing that Apply would
// take.
func TestWhatIsRefusedCannotBeApplied(t *testing.T) {
	show := sallyport.Complete(fenmoor.Show())
	ix := sallyport.NewIndex(show)
	state := sallyport.State{At: sallyport.At(1, 6, 0), Lanes: map[sallyport.LaneID][]sallyport.Standing{}}
	refused := 0
	for _, kind := range sallyport.HappeningKinds() {
		for bits := range 1 << 7 {
			pick := func(bit int, known, other string) string {
				if bits>>bit&1 == 1 {
					return known
				}
				return other
			}
			h := sallyport.Happening{
				Kind: kind, Unit: sallyport.UnitID(pick(0, "avocet", "")), Reserve: sallyport.UnitID(pick(1, "bittern", "avocet")), Lane: sallyport.LaneID(pick(2, string(show.Park.Lanes[0].ID), "")),
				Serial: sallyport.SerialID(pick(3, string(show.Serials[0].ID), "")), Other: sallyport.SerialID(pick(4, string(show.Serials[1].ID), "")),
				NoReverse: bits>>5&1 == 1, By: 600, Until: sallyport.At(4, 9, 0), Where: sallyport.FailureKind(pick(6, "", "in lane")),
			}
			if len(sallyport.CheckSaid(1, h, ix)) == 0 {
				continue
			}
			refused++
			if _, _, _, problems := sallyport.Apply(show, state, []sallyport.Happening{h}); len(problems) == 0 {
				t.Errorf("refused, but can be applied: %+v", h)
			}
		}
	}
	if refused == 0 {
		t.Error("nothing was refused")
	}
}
