package workbook

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// fold returns the letters and digits of s in lower case without accents, and
// with a single space between words: "Half-Track  No. 7" is "half track no 7".
func fold(s string) string {
	var b strings.Builder
	gap := false
	add := func(r rune) {
		if gap && b.Len() > 0 {
			b.WriteByte(' ')
		}
		gap = false
		b.WriteRune(unicode.ToLower(r))
	}
	for i := 0; i < len(s); i++ {
		c := s[i]
		if c >= 0x80 {
			return foldMarks(s)
		}
		switch {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9':
			add(rune(c))
		case c != '\'':
			gap = true
		}
	}
	return b.String()
}

// foldMarks is fold for text beyond ASCII.
func foldMarks(s string) string {
	var b strings.Builder
	gap := false
	for _, r := range norm.NFKD.String(s) {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			if gap && b.Len() > 0 {
				b.WriteByte(' ')
			}
			gap = false
			b.WriteRune(unicode.ToLower(r))
		case unicode.Is(unicode.Mn, r) || r == '\'' || r == '\u2019':
		default:
			gap = true
		}
	}
	return b.String()
}

// squash is fold without the spaces; names are compared by it.
func squash(s string) string { return strings.ReplaceAll(fold(s), " ", "") }

// slug returns an id made from a name: "Smew gun" is "smew-gun".
func slug(s string) string { return strings.ReplaceAll(fold(s), " ", "-") }

// distance returns in how many places two words differ: letters put in, left
// out, changed, or two neighbours swapped (optimal string alignment). It stops
// counting beyond limit and then returns limit+1.
func distance(a, b string, limit int) int {
	x, y := []rune(a), []rune(b)
	if len(x)-len(y) > limit || len(y)-len(x) > limit {
		return limit + 1
	}
	before, prev, cur := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(x); i++ {
		cur[0] = i
		least := i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				cur[j] = min(cur[j], before[j-2]+1)
			}
			least = min(least, cur[j])
		}
		if least > limit {
			return limit + 1
		}
		before, prev, cur = prev, cur, before
	}
	return min(prev[len(y)], limit+1)
}

// nearest returns the one candidate that is an obvious near miss of word; ok
// is false when there is none or more than one. Short words allow one
// difference, longer ones two. Candidates that mean the same count as one.
func nearest(word string, candidates []string, same func(a, b string) bool) (string, bool) {
	key := squash(word)
	limit := 2
	switch n := len([]rune(key)); {
	case n < 3:
		return "", false
	case n < 6:
		limit = 1
	}
	best, found, twice := limit+1, "", false
	for _, c := range candidates {
		switch d := distance(key, squash(c), limit); {
		case d < best:
			best, found, twice = d, c, false
		case d == best && d <= limit && !twice:
			twice = !same(c, found)
		}
	}
	return found, best <= limit && !twice
}
