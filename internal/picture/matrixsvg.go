package picture

import (
	"fmt"
	"strings"

	"sallyport"
)

// Sizes of the picture of a matrix, in units of the drawing.
const (
	cellWide   = 96.0
	nameWide   = 124.0
	rowHigh    = 21.0
	groupHigh  = 24.0
	dayHigh    = 34.0
	barUnit    = 7.5 // of one entry
	barMost    = 7   // entries that a bar shows; more are said by the figure
	worstWide  = 380.0
	worstHigh  = 37.0
	worstGap   = 36.0
	matrixType = 11.5
	keyWide    = 346.0
	keyHigh    = 16.0
)

// matrixSheet is a picture of a matrix being drawn.
type matrixSheet struct {
	writer
	show *sallyport.Show
	m    *sallyport.FailureMatrix
	r    roster
	rank map[sallyport.CellRef]int // number in the list of the worst
}

// Matrix returns all failures as a drawing: entries by day and serial down,
// kinds of failure across, and the worst first beside them. A solid bar is the
// entries lost in the end, a hatched one what the cures save; the figures say
// the same. Nothing is told by colour.
func Matrix(show *sallyport.Show, m *sallyport.FailureMatrix) []byte {
	s := &matrixSheet{show: show, m: m, r: newRoster(show), rank: map[sallyport.CellRef]int{}}
	groups := matrixGroups(show, m)
	high := s.height(groups)
	list := min(len(m.Worst), max(10, int((high-s.top()-60)/worstHigh)), 40)
	for i, ref := range m.Worst[:list] {
		s.rank[ref] = i + 1
	}
	width := 2*margin + nameWide + cellWide*float64(len(sallyport.FailureKinds)) + worstGap + worstWide
	s.document(show.Name+": what failures do", width, max(high, s.top()+60+float64(list)*worstHigh))
	l := fit(oneLine(show.Name)+": what failures do", width-2*margin, 26, 10, 20, "")
	s.startAt(l.lines[0], "l h", margin, margin+10, l.size)
	for i, text := range s.key() {
		s.startAt(text, "l q", margin, margin+36+keyHigh*float64(i), matrixType)
	}
	top := s.top()
	y := s.rows(groups, top) + keyHigh
	for i, text := range s.foot() {
		s.startAt(text, "l q", margin, y+keyHigh*float64(i+1), matrixType)
	}
	s.worst(list, margin+nameWide+cellWide*float64(len(sallyport.FailureKinds))+worstGap, top)
	s.WriteString("</svg>\n")
	return s.Bytes()
}

// keyText says what the marks mean.
const keyText = "Each case is one failure by itself. Solid bar and first figure: entries lost in the end. Hatched bar: what the cures save; “2 of 5” is 2 in the end, 5 if nothing is done. " +
	"Minutes: until the way is free; for a late start, how late it may be. A raised number: its place among the worst, by the value of what is lost. Bars end at seven entries, the figures go on."

// key breaks what the marks mean into lines that a phone shows whole.
func (s *matrixSheet) key() []string {
	return keyLines(keyText)
}

func keyLines(text string) []string {
	return wrap(strings.Fields(text), keyWide, func(text string) float64 { return ems(text) * matrixType })
}

// foot breaks what was not checked and assumed into lines.
func (s *matrixSheet) foot() []string {
	var lines []string
	for _, text := range s.footWords() {
		lines = append(lines, keyLines(text)...)
	}
	return lines
}

// footWords says what was not checked and what was assumed of failures.
func (s *matrixSheet) footWords() []string {
	assumed := make([]string, len(s.m.Assumed))
	for i, a := range s.m.Assumed {
		assumed[i] = oneLine(a.Field + " " + a.Value)
	}
	said := func(list []string) string { return orID(oneLine(strings.Join(list, "; ")), "nothing") + "." }
	return []string{"Not checked: " + said(s.m.NotChecked), "Assumed: " + said(assumed)}
}

// top is where the rows begin.
func (s *matrixSheet) top() float64 { return margin + 48 + keyHigh*float64(len(s.key())) }

// height is that of the whole picture.
func (s *matrixSheet) height(groups []matrixGroup) float64 {
	high, day := s.top()+margin+keyHigh*float64(2+len(s.foot())), 0
	for _, g := range groups {
		if g.day != day {
			day = g.day
			high += dayHigh
		}
		high += groupHigh + rowHigh*float64(len(g.rows))
	}
	return high
}

// rows draws the matrix from y down and returns where it ends.
func (s *matrixSheet) rows(groups []matrixGroup, y float64) float64 {
	day := 0
	right := margin + nameWide + cellWide*float64(len(sallyport.FailureKinds))
	for _, g := range groups {
		if g.day != day {
			day = g.day
			s.startAt(oneLine(dayTitle(s.show, day)), "l h", margin, y+dayHigh/2, 16)
			for i, k := range sallyport.FailureKinds {
				s.startAt(kindHead[k], "l b", margin+nameWide+cellWide*float64(i), y+dayHigh/2+4, matrixType)
			}
			s.path("end", move(margin, y+dayHigh-3), line(right, y+dayHigh-3))
			y += dayHigh
		}
		l := fit(oneLine(g.name), right-margin, groupHigh, 8, 12.5, "")
		s.startAt(l.lines[0], "l h", margin, y+groupHigh*0.6, l.size)
		y += groupHigh
		for _, i := range g.rows {
			s.row(i, y)
			y += rowHigh
		}
	}
	return y
}

// row draws one row of cells.
func (s *matrixSheet) row(i int, y float64) {
	row := &s.m.Rows[i]
	mid := y + rowHigh/2
	right := margin + nameWide + cellWide*float64(len(sallyport.FailureKinds))
	s.path("side", move(margin, y+rowHigh), line(right, y+rowHigh))
	name := fit(oneLine(s.r.get(row.Unit).name), nameWide-8, rowHigh, 7, matrixType, "")
	s.startAt(strings.Join(name.lines, " "), "l", margin, mid-2.5, min(name.size, matrixType))
	for n, k := range sallyport.FailureKinds {
		x := margin + nameWide + cellWide*float64(n)
		at := -1
		for c := range row.Cells {
			if row.Cells[c].Kind == k {
				at = c
			}
		}
		if at < 0 {
			s.startAt("–", "l q", x, mid, matrixType)
			continue
		}
		s.cell(&row.Cells[at], s.rank[sallyport.CellRef{Row: i, Cell: at}], x, y)
	}
}

// cell draws one cell: the bars below, the figures above them.
func (s *matrixSheet) cell(c *sallyport.FailureCell, rank int, x, y float64) {
	lost, minutes := figures(c)
	class := "l"
	if len(c.Left) > 1 || c.Kind == sallyport.FailLate && c.Takes < 300 {
		class = "l b"
	}
	mid := y + rowHigh/2 - 2.5
	if rank > 0 {
		s.startAt(fmt.Sprint(rank), "l n", x-ems(fmt.Sprint(rank))*8-2, mid-2, 8)
	}
	if lost == "" {
		s.startAt(minutes, class, x, mid, matrixType)
		return
	}
	s.startAt(lost, class, x, mid, matrixType)
	if minutes != "" {
		s.startAt(minutes, "l q", x+47, mid, matrixType-1)
	}
	left, all := min(len(c.Left), barMost), min(len(c.Lost), barMost)
	if left > 0 {
		s.path("lost", move(x, y+rowHigh-3.2), line(x+barUnit*float64(left), y+rowHigh-3.2))
	}
	if all > left {
		a, b := x+barUnit*float64(left), x+barUnit*float64(all)
		s.path("bar", move(a, y+rowHigh-5), line(b, y+rowHigh-5), line(b, y+rowHigh-1.4), line(a, y+rowHigh-1.4), "Z")
		s.path("k", move(a, y+rowHigh-5), line(b, y+rowHigh-5), line(b, y+rowHigh-1.4), line(a, y+rowHigh-1.4), "Z")
	}
}

// worst lists the first cases of all.
func (s *matrixSheet) worst(n int, x, y float64) {
	s.startAt("The worst first", "l h", x, y+dayHigh/2, 16)
	s.path("end", move(x, y+dayHigh-3), line(x+worstWide, y+dayHigh-3))
	y += dayHigh + 6
	for i, ref := range s.m.Worst[:n] {
		row, c := s.m.At(ref)
		head := fmt.Sprintf("%d  %s, %s, %s", i+1, oneLine(s.r.get(row.Unit).name), c.Kind, s.show.When(c.At))
		s.startAt(shorten(head, worstWide, matrixType), "l b", x, y+8, matrixType)
		s.startAt(shorten(s.told(c), worstWide, matrixType-0.5), "l", x, y+23, matrixType-0.5)
		y += worstHigh
	}
}

// shorten cuts a line of text to a width.
func shorten(text string, width, size float64) string {
	if ems(text)*size <= width {
		return text
	}
	return cut(text, width/size-ems("…"), ems) + "…"
}

// told says in short what a failure does and what is done about it.
func (s *matrixSheet) told(c *sallyport.FailureCell) string {
	lost, minutes := figures(c)
	text := lost + " lost"
	if lost == "" {
		text = "may be " + minutes + " late"
	}
	for _, x := range c.Cures {
		switch x.Kind {
		case sallyport.CureTow:
			text += "; tow by " + oneLine(s.r.get(x.By).name) + ", " + minutes
		case sallyport.CurePush:
			text += fmt.Sprintf("; push, %d people, %s", x.People, minutes)
		case sallyport.CureReserve:
			text += "; reserve " + oneLine(s.r.get(x.By).name)
		}
	}
	if c.NoTow != "" {
		text += "; no vehicle known to tow it"
	}
	if len(c.ShutIn) > 0 {
		text += "; shut in: " + strings.Join(s.r.names(c.ShutIn), ", ")
	}
	return text
}
