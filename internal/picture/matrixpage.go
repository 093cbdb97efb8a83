package picture

import (
	"fmt"
	"strings"

	"sallyport"
)

// pageMarks are the rules of the page of a matrix; NAME in double braces is a
// token.
const pageMarks = `
body{margin:0;padding:1rem;background:{{ground}};color:{{ink}};font:1rem/1.35 "Source Sans 3","Noto Sans","Segoe UI",Helvetica,Arial,sans-serif;font-variant-numeric:tabular-nums}
h1,h2{font-family:"Source Serif 4","Noto Serif",Georgia,serif;line-height:1.15}h1{font-size:1.75rem;margin:0 0 .75rem}h2{font-size:1.4rem;margin:1.75rem 0 .25rem}
p,li{max-width:46rem}.q{color:{{quiet}}}
.across{overflow-x:auto;margin:0 -1rem;padding-right:1rem}
table{border-collapse:separate;border-spacing:0}th,td{text-align:left;vertical-align:baseline;padding:.2rem .75rem .2rem 0;white-space:nowrap;border-bottom:1px solid {{rule}}}
thead th{font-size:.95rem;border-bottom:1.5px solid {{ink}}}
th:first-child{position:sticky;left:0;background:{{ground}};padding-left:1rem;font-weight:400;min-width:6.5rem;max-width:9rem;white-space:normal;overflow-wrap:break-word}
thead th:first-child{font-weight:700}li{margin-bottom:.25rem}
tr.part th{font-weight:700;padding-top:.75rem;max-width:none}tr.part th span{position:sticky;left:1rem;white-space:nowrap}
td b{font-weight:700}td .bars{display:block;height:4px}td .bars i{display:inline-block;height:4px;vertical-align:top}
i.gone{background:{{ink}}}i.kept{box-sizing:border-box;border:1px solid {{ink}};background:repeating-linear-gradient(45deg,{{quiet}} 0 1px,transparent 1px 4px)}
`

// pageStyle fills the rules with light, dark and print.
func pageStyle() string {
	fill := func(column func(token) string) string {
		pairs := make([]string, 0, 2*len(tokens))
		for _, t := range tokens {
			pairs = append(pairs, "{{"+t.name+"}}", column(t))
		}
		return strings.TrimSpace(strings.NewReplacer(pairs...).Replace(pageMarks))
	}
	return fill(func(t token) string { return t.light }) +
		"\n@media (prefers-color-scheme:dark){\n" + fill(func(t token) string { return t.dark }) + "\n}" +
		"\n@media print{\n" + fill(func(t token) string { return t.print }) + "\n}\n"
}

// pageKey says what the figures of the page mean.
const pageKey = "Each case is one failure by itself. First figure and solid bar: entries lost in the end. “2 of 5”: 2 in the end, 5 if nothing is done; the hatched bar is what the cures save. " +
	"Minutes: until the way is free; for a late start, how late it may be. Bars end at seven entries, the figures go on."

// MatrixPage returns what Matrix draws as a page of its own: the same rows,
// kinds of failure and figures as tables whose names stay in view when they
// are moved sideways on a phone, and the worst first above them, so many.
func MatrixPage(show *sallyport.Show, m *sallyport.FailureMatrix, worst int) []byte {
	p := &matrixPage{matrixSheet: matrixSheet{show: show, m: m, r: newRoster(show), rank: map[sallyport.CellRef]int{}}}
	title := oneLine(show.Name) + ": what failures do"
	p.WriteString(`<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="color-scheme" content="light dark"><link rel="icon" href="data:,">`)
	p.said("title", "", title)
	p.WriteString("<style>" + pageStyle() + "</style></head><body>\n")
	p.said("h1", "", title)
	p.said("p", "q", pageKey)
	p.worstFirst(min(worst, len(m.Worst)))
	day := 0
	for _, g := range matrixGroups(show, m) {
		if g.day != day {
			if day != 0 {
				p.WriteString("</tbody></table></div>\n")
			}
			day = g.day
			p.dayHead(day)
		}
		p.WriteString(fmt.Sprintf(`<tr class="part"><th colspan="%d" scope="colgroup">`, len(sallyport.FailureKinds)+1))
		p.said("span", "", oneLine(g.name))
		p.WriteString("</th></tr>\n")
		for _, i := range g.rows {
			p.tableRow(&m.Rows[i])
		}
	}
	if day != 0 {
		p.WriteString("</tbody></table></div>\n")
	}
	for _, text := range p.footWords() {
		p.said("p", "q", text)
	}
	p.WriteString("</body></html>\n")
	return p.Bytes()
}

// matrixPage is a page of a matrix being written.
type matrixPage struct{ matrixSheet }

// said writes an element with a text.
func (p *matrixPage) said(name, class, text string) {
	p.open(name, attribute{"class", class})
	p.text(text)
	p.WriteString("</" + name + ">\n")
}

// worstFirst lists the first cases of all.
func (p *matrixPage) worstFirst(n int) {
	if n == 0 {
		return
	}
	p.said("h2", "", "The worst first")
	p.WriteString("<ol>\n")
	for _, ref := range p.m.Worst[:n] {
		row, c := p.m.At(ref)
		p.WriteString("<li>")
		p.said("b", "", fmt.Sprintf("%s, %s, %s", oneLine(p.r.get(row.Unit).name), c.Kind, p.show.When(c.At)+":"))
		p.said("span", "", p.told(c))
		p.WriteString("</li>\n")
	}
	p.WriteString("</ol>\n")
}

// dayHead begins the table of a day.
func (p *matrixPage) dayHead(day int) {
	name := oneLine(dayTitle(p.show, day))
	p.said("h2", "", name)
	p.open("div", attribute{"class", "across"}, attribute{"tabindex", "0"}, attribute{"role", "group"}, attribute{"aria-label", name + ", can be moved sideways"})
	p.WriteString(`<table><thead><tr><th scope="col">vehicle</th>`)
	for _, k := range sallyport.FailureKinds {
		p.open("th", attribute{"scope", "col"})
		p.text(kindHead[k])
		p.WriteString("</th>")
	}
	p.WriteString("</tr></thead><tbody>\n")
}

// tableRow writes one row.
func (p *matrixPage) tableRow(row *sallyport.FailureRow) {
	p.open("tr")
	p.open("th", attribute{"scope", "row"})
	p.text(oneLine(p.r.get(row.Unit).name))
	p.WriteString("</th>")
	for _, k := range sallyport.FailureKinds {
		p.open("td")
		if c := row.Cell(k); c != nil {
			p.tableCell(c)
		} else {
			p.text("–")
		}
		p.WriteString("</td>")
	}
	p.WriteString("</tr>\n")
}

// tableCell writes the figures of a case and its bars.
func (p *matrixPage) tableCell(c *sallyport.FailureCell) {
	lost, minutes := figures(c)
	switch {
	case lost == "":
	case len(c.Left) > 1:
		p.said("b", "", lost)
	default:
		p.text(lost + " ")
	}
	p.said("span", map[bool]string{true: "", false: "q"}[lost == ""], minutes)
	left, all := min(len(c.Left), barMost), min(len(c.Lost), barMost)
	if lost == "" || all == 0 {
		return
	}
	p.WriteString(`<span class="bars">`)
	for _, bar := range []struct {
		class string
		n     int
	}{{"gone", left}, {"kept", all - left}} {
		if bar.n > 0 {
			p.WriteString(fmt.Sprintf(`<i class="%s" style="width:%spx"></i>`, bar.class, number(barUnit*float64(bar.n))))
		}
	}
	p.WriteString("</span>")
}
