package picture

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// luminance is the relative luminance of a colour (WCAG 2.2).
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	n, err := strconv.ParseUint(strings.TrimPrefix(hex, "#"), 16, 32)
	if err != nil || len(hex) != 7 {
		t.Fatalf("%q is no colour", hex)
	}
	part := func(shift uint) float64 {
		c := float64(n>>shift&255) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*part(16) + 0.7152*part(8) + 0.0722*part(0)
}

func contrast(t *testing.T, a, b string) float64 {
	x, y := luminance(t, a), luminance(t, b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// TestContrast holds that text reaches 4.5 : 1 on every ground it is set on
// and outlines that carry meaning 3 : 1 (WCAG 2.2, AA).
func TestContrast(t *testing.T) {
	columns := map[string]func(token) string{
		"light": func(t token) string { return t.light },
		"dark":  func(t token) string { return t.dark },
		"print": func(t token) string { return t.print },
	}
	need := map[string]float64{"ink": 7, "quiet": 4.5, "accent": 4.5}
	for look, column := range columns {
		c := map[string]string{}
		for _, tok := range tokens {
			c[tok.name] = column(tok)
		}
		for text, least := range need {
			for _, ground := range []string{"ground", "lane", "tint"} {
				if text != "ink" && ground == "tint" {
					continue // only names are set on the tint
				}
				if got := contrast(t, c[text], c[ground]); got < least {
					t.Errorf("%s: %s on %s has %.2f : 1, needs %.1f", look, text, ground, got, least)
				}
			}
		}
		if got := contrast(t, c["accent"], c["tint"]); got < 3 {
			t.Errorf("%s: the outline of who is due has %.2f : 1", look, got)
		}
	}
}

// TestLooksTable holds that docs/looks.md gives the tokens the code has.
func TestLooksTable(t *testing.T) {
	doc, err := os.ReadFile("../../docs/looks.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, tok := range tokens {
		row := "| " + tok.name + " | `" + tok.light + "` | `" + tok.dark + "` | `" + tok.print + "` |"
		if !strings.Contains(string(doc), row) {
			t.Errorf("docs/looks.md lacks the row %s", row)
		}
	}
}

func TestStyleHasNoHoles(t *testing.T) {
	s := Style()
	if strings.Contains(s, "{{") || strings.Contains(s, "}}\n.") || strings.Contains(s, "var(") {
		t.Errorf("the style has holes or variables:\n%s", s)
	}
	if strings.Count(s, "{") != strings.Count(s, "}") {
		t.Error("braces do not match")
	}
}
