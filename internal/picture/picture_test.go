package picture

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/fenmoor"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// golden compares what was drawn with a file, or rewrites it.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := "testdata/" + name
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs from what is drawn now; look at it and run with -update if it is right", path)
	}
}

// before returns the options and state of the first serial's pull-out.
func before(t *testing.T) (*sallyport.Show, sallyport.State, Options) {
	show, plan, states := small(t)
	out, _ := plan.Phases("S1")
	o := Options{Title: "Saturday 10:00, pull-out of S1", Due: []sallyport.UnitID{"avocet", "fulmar-team", "curlew"}}
	for _, i := range out {
		o.Moves = append(o.Moves, plan.Moves[i])
	}
	return show, states[out[0]], o
}

func TestGolden(t *testing.T) {
	show, state, o := before(t)
	golden(t, "small.map.svg", SVG(show, state, o))
	o.Width = 80
	golden(t, "small.txt", []byte(Terminal(show, state, o)))
	for i := range show.Park.Lanes {
		l := &show.Park.Lanes[i]
		l.X, l.Y, l.Heading = 0, 0, 0
	}
	golden(t, "small.scheme.svg", SVG(show, state, o))
}

// wellFormed reads a drawing to its end and returns its text.
func wellFormed(t *testing.T, drawing []byte) string {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(drawing))
	var text strings.Builder
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return text.String()
		}
		if err != nil {
			t.Fatalf("not well formed: %v", err)
		}
		switch x := token.(type) {
		case xml.CharData:
			text.Write(x)
			text.WriteByte('\n')
		case xml.StartElement:
			for _, a := range x.Attr {
				if strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
					t.Fatalf("<%s %s=%q> is no number", x.Name.Local, a.Name.Local, a.Value)
				}
			}
		}
	}
}

func TestWellFormed(t *testing.T) {
	show, plan, states := small(t)
	crowd, crowdState := crowded()
	mapped, mappedState := crowded()
	onGrid(mapped)
	hostile := &sallyport.Show{
		Name: "</text><script>alert(1)</script>\x00\x1b[31m\xff",
		Park: sallyport.Park{
			Lanes: []sallyport.Lane{{ID: "<l>", Length: -5}, {ID: "", Length: 1 << 40}},
			Spots: []sallyport.Spot{{ID: "s", X: 5}}, Lines: []sallyport.Line{{ID: "x", Y: -4, Heading: -810}},
		},
		Vehicles:     []sallyport.Vehicle{{ID: "v", Name: "\x01\"'<&>"}},
		Combinations: []sallyport.Combination{{ID: "c", Tower: "nobody", Towed: []sallyport.UnitID{"v", "v"}}},
	}
	hostileState := sallyport.State{Lanes: map[sallyport.LaneID][]sallyport.Standing{"<l>": {{Unit: "c", From: -40}, {Unit: "stranger"}}, "no such lane": {{Unit: "v"}}}}
	moves := []sallyport.Move{{From: sallyport.AtLane("<l>", ""), To: sallyport.AtLane("", "")}, {From: sallyport.AtLane("no", "sideways")}}
	cases := []struct {
		name  string
		show  *sallyport.Show
		state sallyport.State
		o     Options
	}{
		{"small", show, states[3], Options{Moves: plan.Moves}},
		{"crowded scheme", crowd, crowdState, Options{Due: []sallyport.UnitID{"v1", "v2"}}},
		{"crowded map", mapped, mappedState, Options{Due: []sallyport.UnitID{"v1", "v2"}}},
		{"empty", &sallyport.Show{}, sallyport.State{}, Options{}},
		{"hostile", hostile, hostileState, Options{Due: []sallyport.UnitID{"c"}, Moves: moves}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			text := wellFormed(t, SVG(c.show, c.state, c.o))
			if strings.Contains(text, "\x1b") {
				t.Error("a control character came through")
			}
			c.o.Inline = true
			inline := SVG(c.show, c.state, c.o)
			wellFormed(t, inline)
			if bytes.Contains(inline, []byte("<style")) || bytes.Contains(inline, []byte("<defs")) {
				t.Error("an inline drawing brings its own style or definitions")
			}
			wellFormed(t, Strip(c.show, []Moment{{Title: "a", State: c.state}, {Title: "b & c", State: c.state, Due: c.o.Due, Moves: c.o.Moves}}, Options{Columns: 2}))
			if text := Terminal(c.show, c.state, c.o); strings.ContainsAny(text, "\x1b\x00") {
				t.Error("a control character came through to the terminal")
			}
		})
	}
	wellFormed(t, []byte(Defs()))
	wellFormed(t, Strip(show, nil, Options{}))
}

// TestNobodyLost holds that every unit of a state is named in every picture,
// in full: in its outline or in the notes.
func TestNobodyLost(t *testing.T) {
	show, state := crowded()
	mapped, _ := crowded()
	onGrid(mapped)
	for name, s := range map[string]*sallyport.Show{"scheme": show, "map": mapped} {
		squash := func(s string) string {
			return strings.NewReplacer(" ", "", "\n", "", "-", "").Replace(s)
		}
		drawn := squash(wellFormed(t, SVG(s, state, Options{})))
		shown := squash(Terminal(s, state, Options{}))
		for _, v := range s.Vehicles {
			if !strings.Contains(drawn, squash(v.Name)) {
				t.Errorf("%s: %q is not on the drawing", name, v.Name)
			}
			if !strings.Contains(shown, squash(v.Name)) {
				t.Errorf("%s: %q is not on the terminal", name, v.Name)
			}
		}
	}
}

func TestNothingOverlaps(t *testing.T) {
	show, state, o := before(t)
	crowd, crowdState := crowded()
	mapped, mappedState := crowded()
	onGrid(mapped)
	crowdMoves := Options{}
	for i := range 40 {
		crowdMoves.Moves = append(crowdMoves.Moves, sallyport.Move{From: sallyport.AtLane(sallyport.LaneID(fmt.Sprintf("L%d", i+1)), "")})
	}
	cases := []struct {
		name  string
		show  *sallyport.Show
		state sallyport.State
		o     Options
	}{
		{"small map", show, state, o},
		{"crowded scheme", crowd, crowdState, Options{}},
		{"crowded scheme with moves", crowd, crowdState, crowdMoves},
		{"crowded map", mapped, mappedState, crowdMoves},
		{"demonstration", sallyport.Complete(fenmoor.Show()), sallyport.State{}, Options{}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			sh := layOut(c.show, c.state, c.o)
			for i, a := range sh.taken {
				for _, b := range sh.taken[:i] {
					if overlap(a, b) {
						t.Errorf("two things lie on each other: %v and %v", b, a)
					}
				}
			}
			for _, n := range sh.captions {
				for _, a := range sh.taken {
					if n.class == "n" && overlap(n.box(), a) {
						t.Errorf("the number %s at %.0f, %.0f lies on %v", n.text, n.x, n.y, a)
					}
				}
			}
			for _, s := range sh.strips {
				for i, p := range s.units {
					end := p.from + u(p.unit.length)
					if p.from < -0.01 || end > s.length+0.01 {
						t.Errorf("%s reaches out of %s: %.1f to %.1f of %.1f", p.unit.name, s.id, p.from, end, s.length)
					}
					if u(p.unit.width) > s.width {
						t.Errorf("%s is wider than %s", p.unit.name, s.id)
					}
					if i > 0 && p.from < s.units[i-1].from+u(s.units[i-1].unit.length) {
						t.Errorf("%s stands on %s", p.unit.name, s.units[i-1].unit.name)
					}
				}
			}
		})
	}
}

func TestOverlap(t *testing.T) {
	cases := []struct {
		name string
		a, b quad
		want bool
	}{
		{"same", rect(0, 0, 10, 10), rect(0, 0, 10, 10), true},
		{"touching", rect(0, 0, 10, 10), rect(10, 0, 20, 10), false},
		{"apart", rect(0, 0, 10, 10), rect(0, 11, 10, 20), false},
		{"inside", rect(0, 0, 10, 10), rect(4, 4, 5, 5), true},
		{"turned beside a corner", rect(0, 0, 10, 10), strip{x: 17, y: 17, turn: 45}.box(-5, -5, 5, 5), false},
		{"turned over a corner", rect(0, 0, 10, 10), strip{x: 12, y: 12, turn: 45}.box(-5, -5, 5, 5), true},
	}
	for _, c := range cases {
		if got := overlap(c.a, c.b); got != c.want {
			t.Errorf("%s: overlap is %v", c.name, got)
		}
	}
}

func TestSameInputSamePicture(t *testing.T) {
	show, state := crowded()
	o := Options{Due: []sallyport.UnitID{"v5"}}
	first, text := SVG(show, state, o), Terminal(show, state, o)
	for range 5 {
		if !bytes.Equal(SVG(show, state, o), first) || Terminal(show, state, o) != text {
			t.Fatal("the same state was drawn in two ways")
		}
	}
}

func TestMoments(t *testing.T) {
	show, plan, states := small(t)
	titles := func(day int) []string {
		var out []string
		for _, m := range Moments(show, plan, day) {
			out = append(out, m.Title)
		}
		return out
	}
	want := []string{
		"Saturday, morning", "10:00 pull-out of S1 Opening <column>", "11:02 return of S1 Opening <column>",
		"12:40 pull-out of S2 Heavies", "14:02 return of S2 Heavies", "18:00 reset", "19:40 departures", "Saturday, night",
	}
	if got := titles(2); strings.Join(got, "|") != strings.Join(want, "|") {
		t.Errorf("Saturday is told as\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if got := titles(1); strings.Join(got, "|") != "Friday, morning|15:00 arrivals|Friday, night" {
		t.Errorf("Friday is told as %q", got)
	}
	if got := titles(3); len(got) != 1 {
		t.Errorf("a day without moves has %d pictures", len(got))
	}
	pull := Moments(show, plan, 2)[1]
	if fmt.Sprint(pull.Due) != "[avocet fulmar-team curlew]" || len(pull.Moves) != 5 {
		t.Errorf("the first pull-out has %v due and %d moves", pull.Due, len(pull.Moves))
	}
	night := Moments(show, plan, 2)[7]
	if fmt.Sprint(night.State) != fmt.Sprint(states[len(states)-1]) {
		t.Error("the night is not the last state")
	}
}

func TestNumberList(t *testing.T) {
	for want, n := range map[string][]int{"1": {1}, "1,2": {1, 2}, "1–3": {1, 2, 3}, "2,4–6,9": {2, 4, 5, 6, 9}} {
		if got := numberList(n); got != want {
			t.Errorf("%v is written %q, want %q", n, got, want)
		}
	}
}
