package picture

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestFit holds that a name set into a box stays within it, at a size within
// bounds, and loses nothing unless it says so.
func TestFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := oneLine(rapid.OneOf(rapid.String(), rapid.SampledFrom(scripts)).Draw(t, "name"))
		width := rapid.Float64Range(20, 200).Draw(t, "width")
		height := rapid.Float64Range(10, 40).Draw(t, "height")
		l := fit(name, width, height, typeLeast, typeName, "¹²")
		if l.size > typeName || l.size < typeLeast-0.01 {
			t.Fatalf("type of %.1f", l.size)
		}
		tall := l.size * (1 + 1.08*float64(len(l.lines)-1))
		if tall > height*1.001 {
			t.Fatalf("%d lines of %.1f are higher than %.1f", len(l.lines), l.size, height)
		}
		for _, line := range l.lines {
			if w := ems(line) * l.size; w > width*1.001 {
				t.Fatalf("%q is %.1f wide, the box %.1f", line, w, width)
			}
		}
		whole := strings.Join(l.lines, " ")
		if !l.short && strings.ReplaceAll(whole, " ", "") != strings.ReplaceAll(name, " ", "") {
			t.Fatalf("%q became %q without a mark", name, whole)
		}
		if l.short && !strings.HasSuffix(whole, "…¹²") {
			t.Fatalf("%q is cut without a mark: %q", name, whole)
		}
	})
}

func TestHalves(t *testing.T) {
	for name, want := range map[string][2]string{
		"Great Grebe":        {"Great", "Grebe"},
		"Oyster-catcher":     {"Oyster-", "catcher"},
		"Avocet":             {"Avocet", ""},
		"A very long name":   {"A very", "long name"},
		"":                   {"", ""},
		"Sluice side lane 4": {"Sluice side", "lane 4"},
	} {
		a, b := halves(name)
		if a != want[0] || b != want[1] {
			t.Errorf("%q is halved into %q and %q", name, a, b)
		}
	}
}

func TestColumns(t *testing.T) {
	for text, want := range map[string]int{"Avocet": 6, "青鷺": 4, "e\u0301": 1, "Шило": 4, "🚜": 2, "": 0} {
		if got := textColumns(text); got != want {
			t.Errorf("%q takes %d columns, want %d", text, got, want)
		}
	}
}

func TestCutKeepsMarks(t *testing.T) {
	one := func(string) float64 { return 1 }
	if got := cut("e\u0301e\u0301e\u0301", 2, one); got != "e\u0301e\u0301" {
		t.Errorf("cut to %q", got)
	}
	if got := cut("👩\u200d🚒x", 1, one); got != "👩\u200d🚒" {
		t.Errorf("cut to %q", got)
	}
}
