package picture

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"sallyport"
)

func TestTerminalMarks(t *testing.T) {
	show, state, o := before(t)
	text := Terminal(show, state, o)
	for _, want := range []string{
		"A1             : <Bittern ", "<Avocet* ", "| 2.80 m free", // dead-end, due
		"<Heron#", // off the road
		"B1 Ropewalk    : <Fulmar and the Gull gun* : 6.70 m free at the tail", // through
		"B2 Sluice side : <Egret          : 9.60 m free at the tail",           // open
		"Empty: Long Causeway 45.00 m, Shingle patch 20.00 m",
		"1 10:00 Bittern, aside: A1 to Shingle patch",
		"4 10:06 Bittern, put back: Shingle patch to A1, in reverse",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing in\n%s", want, text)
		}
	}
	state.Lanes["B2"] = []sallyport.Standing{{Unit: "egret", From: 200, NoseIn: true}}
	if want := "Egret>          : 2.00 m free at the mouth, 7.60 m at the tail"; !strings.Contains(Terminal(show, state, o), want) {
		t.Errorf("%q is missing in\n%s", want, Terminal(show, state, o))
	}
	if strings.Contains(text, "\x1b") {
		t.Error("colour without being asked")
	}
	o.Colour = true
	if !strings.Contains(Terminal(show, state, o), ansiDue+"<Avocet*"+ansiOff) {
		t.Error("who is due does not stand out in colour")
	}
}

// TestTerminalWidth holds that no line is wider than asked, whatever the
// names are.
func TestTerminalWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		show, state := crowded()
		for i := range show.Vehicles {
			show.Vehicles[i].Name = rapid.OneOf(rapid.String(), rapid.SampledFrom(scripts)).Draw(t, "name")
		}
		show.Park.Lanes[0].Name = rapid.String().Draw(t, "lane")
		width := rapid.IntRange(40, 160).Draw(t, "width")
		text := Terminal(show, state, Options{Width: width, Due: []sallyport.UnitID{"v1"}, Moves: []sallyport.Move{{Unit: "v2", From: sallyport.AtLane("L1", "")}}})
		for _, line := range strings.Split(text, "\n") {
			if n := textColumns(line); n > width {
				t.Fatalf("%d columns, not %d: %q", n, width, line)
			}
		}
	})
}
