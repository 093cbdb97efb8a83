package picture

import (
	"strings"
	"unicode"
)

// helvetica is the advance width of the characters from space to tilde in
// thousandths of the type size: the metrics of the plain sans face that all
// common replacements imitate (Adobe Core 14 AFM, Helvetica).
var helvetica = [...]int{
	278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278,
	556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556,
	1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778,
	667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556,
	333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556,
	556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
}

// widerFace allows for replacement faces that run wider than helvetica.
const widerFace = 1.1

// ems returns the width of text in units of its type size, a little generous.
func ems(text string) float64 {
	sum := 0.0
	for _, r := range text {
		switch {
		case r >= ' ' && int(r-' ') < len(helvetica):
			sum += float64(helvetica[r-' ']) / 1000 * widerFace
		case columns(r) == 0:
		case columns(r) == 2:
			sum += 1.05
		default:
			sum += 0.68
		}
	}
	return sum
}

// columns returns how many terminal columns a character takes: none for
// marks that join the character before, two for East Asian wide characters
// and pictographs (Unicode Standard Annex 11, W and F), else one.
func columns(r rune) int {
	switch {
	case r == 0x200D || r >= 0xFE00 && r <= 0xFE0F || unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case r < 0x1100:
		return 1
	case r <= 0x115F || r >= 0x2E80 && r <= 0x303E || r >= 0x3041 && r <= 0xA4CF ||
		r >= 0xAC00 && r <= 0xD7A3 || r >= 0xF900 && r <= 0xFAFF || r >= 0xFE30 && r <= 0xFE6F ||
		r >= 0xFF00 && r <= 0xFF60 || r >= 0xFFE0 && r <= 0xFFE6 || r >= 0x1F300 && r <= 0x1FAFF ||
		r >= 0x20000 && r <= 0x3FFFD:
		return 2
	}
	return 1
}

// textColumns returns the terminal columns of text.
func textColumns(text string) int {
	n := 0
	for _, r := range text {
		n += columns(r)
	}
	return n
}

// oneLine returns text fit for a single line: control and line characters
// become spaces, runs of spaces one.
func oneLine(text string) string {
	clean := strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == 0x2028 || r == 0x2029 || r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069 {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, "\uFFFD"))
	return strings.Join(strings.Fields(clean), " ")
}

// clusters splits text where it may be cut: a mark or joined character stays
// with the one before.
func clusters(text string) []string {
	var out []string
	joined := false
	for _, r := range text {
		if len(out) > 0 && (joined || columns(r) == 0 || unicode.Is(unicode.Mc, r)) {
			out[len(out)-1] += string(r)
		} else {
			out = append(out, string(r))
		}
		joined = r == 0x200D
	}
	return out
}

// cut returns the longest beginning of text whose measure is at most limit.
func cut(text string, limit float64, measure func(string) float64) string {
	out, used := "", 0.0
	for _, c := range clusters(text) {
		w := measure(c)
		if used+w > limit {
			break
		}
		out, used = out+c, used+w
	}
	return strings.TrimRight(out, " ")
}

// lettering is a name set into a box: one or two lines of one size.
type lettering struct {
	lines []string
	size  float64
	short bool // the name had to be cut; the last line ends in the note's mark
}

// fit sets name into a box of the given width and height with type between
// least and most: one line if that goes at a good size, else two lines, else
// a cut name with mark at its end.
func fit(name string, width, height, least, most float64, mark string) lettering {
	one := min(most, height*0.86, width/ems(name))
	first, second := halves(name)
	if second != "" {
		two := min(most, height*0.86/2.15, width/max(ems(first), ems(second)))
		if two > one*1.15 && two >= least {
			return lettering{lines: []string{first, second}, size: two}
		}
	}
	if one >= least {
		return lettering{lines: []string{name}, size: one}
	}
	size := min(least, height*0.86)
	end := "…" + mark
	return lettering{lines: []string{cut(name, width/size-ems(end), ems) + end}, size: size, short: true}
}

// halves splits a name at the space or after the hyphen nearest its middle;
// the second half is empty when there is none.
func halves(name string) (string, string) {
	whole, best, at := ems(name), 1e9, -1
	for i, r := range name {
		if r != ' ' && r != '-' || i == 0 {
			continue
		}
		if d := abs(ems(name[:i]) - whole/2); d < best {
			best, at = d, i
		}
	}
	if at < 0 || at == len(name)-1 {
		return name, ""
	}
	if name[at] == ' ' {
		return name[:at], name[at+1:]
	}
	return name[:at+1], name[at+1:]
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}

// superscript returns n in raised figures.
func superscript(n int) string {
	const raised = "⁰¹²³⁴⁵⁶⁷⁸⁹"
	figures := []rune(raised)
	out := ""
	for ; n > 0; n /= 10 {
		out = string(figures[n%10]) + out
	}
	return out
}

// wrap breaks words into lines of at most limit by measure; a word longer
// than that has a line of its own.
func wrap(words []string, limit float64, measure func(string) float64) []string {
	var lines []string
	line := ""
	for _, w := range words {
		if line != "" && measure(line+" "+w) > limit {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += w
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
