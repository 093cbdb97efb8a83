package picture

import "strings"

// token is one colour of the looks, for light, dark and print. The same
// table stands in docs/looks.md; a test compares them.
type token struct{ name, light, dark, print string }

// tokens are all colours there are.
var tokens = []token{
	{"ground", "#f5f0e3", "#171b18", "#ffffff"},
	{"lane", "#fcfaf3", "#212723", "#ffffff"},
	{"ink", "#1e2620", "#ebe5d6", "#000000"},
	{"quiet", "#595b4e", "#b0ac9b", "#333333"},
	{"rule", "#b3aa92", "#4c534b", "#8a8a8a"},
	{"accent", "#943a10", "#f2a36e", "#000000"},
	{"tint", "#f4ddc9", "#4b2f1c", "#e2e2e2"},
}

// marks are the rules of the pictures; NAME in double braces is a token.
const marks = `
.sp{font-family:"Source Sans 3","Noto Sans","Segoe UI",Helvetica,Arial,sans-serif;background:{{ground}}}
.sp text{fill:{{ink}};text-anchor:middle}
.sp .l{text-anchor:start}.sp .b{font-weight:700}
.sp text.q{fill:{{quiet}}}
.sp text.f{stroke:{{lane}};stroke-width:3;paint-order:stroke}
.sp text.z{fill:{{quiet}};font-family:"Source Serif 4","Noto Serif",Georgia,serif;font-style:italic;letter-spacing:.06em}
.sp .h{font-family:"Source Serif 4","Noto Serif",Georgia,serif;font-weight:700}
.sp .ground{fill:{{ground}};stroke:none}
.sp .bed{fill:{{lane}};stroke:none}
.sp .side{fill:none;stroke:{{rule}};stroke-width:1}
.sp .end{fill:none;stroke:{{ink}};stroke-width:2.6}
.sp .stretch{fill:{{rule}};opacity:.22;stroke:none}
.sp .bar{fill:url(#sp-bar);stroke:none}
.sp .u{fill:{{lane}};stroke:{{ink}};stroke-width:1.1;stroke-linejoin:round}
.sp .due{fill:{{tint}};stroke:{{accent}};stroke-width:3}
.sp .nose{fill:{{accent}};stroke:none}
.sp .guess{stroke-dasharray:4 2.5}
.sp .w{fill:none;stroke:{{ink}};stroke-width:2.6}
.sp .t{fill:none;stroke:{{ink}};stroke-width:2.8;stroke-dasharray:1.7 1.3}
.sp .k{fill:none;stroke:{{ink}};stroke-width:1.1}
.sp .vor{fill:none;stroke:{{quiet}};stroke-width:1}
.sp .arrow{fill:none;stroke:{{accent}};stroke-width:1.8}
.sp .tip{fill:{{accent}};stroke:none}
.sp .lost{fill:none;stroke:{{ink}};stroke-width:3.6}
.sp text.n{fill:{{accent}};font-weight:700}
.sp .hatch{stroke:{{quiet}};stroke-width:1}
`

// paint fills the marks with one column of the tokens.
func paint(column func(token) string) string {
	pairs := make([]string, 0, 2*len(tokens))
	for _, t := range tokens {
		pairs = append(pairs, "{{"+t.name+"}}", column(t))
	}
	return strings.TrimSpace(strings.NewReplacer(pairs...).Replace(marks))
}

// Style returns the style sheet of the pictures for light, dark and print.
// It uses plain colours, no variables, so that drawing programs read it too.
func Style() string {
	return paint(func(t token) string { return t.light }) +
		"\n@media (prefers-color-scheme:dark){\n" + paint(func(t token) string { return t.dark }) + "\n}" +
		"\n@media print{\n" + paint(func(t token) string { return t.print }) + "\n}\n"
}

// patterns are the definitions that pictures refer to.
const patterns = `<pattern id="sp-bar" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path class="hatch" d="M0 0V7"/></pattern>`

// Defs returns an empty SVG element with the definitions that pictures drawn
// with Options.Inline refer to; a page holds it once, before them.
func Defs() string {
	return `<svg class="sp" width="0" height="0" style="position:absolute" aria-hidden="true"><defs>` + patterns + `</defs></svg>`
}
