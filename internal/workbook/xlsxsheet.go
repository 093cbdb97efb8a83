package workbook

import (
	"encoding/xml"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// sheetReader collects the cells of one sheet while its part streams by.
type sheetReader struct {
	*book
	sheet   *sheet
	row     sheetRow
	col     int // of the cell being read
	kind    string
	style   int
	formula bool
	text    strings.Builder
	inValue bool
	phon    bool
	merges  []merge
}

// merge is a merged range; rows and columns as in cells.
type merge struct{ top, left, bottom, right int }

// readSheet reads one sheet: the filled rows, with merged cells spread out.
func (b *book) readSheet(p sheetPart) (*sheet, error) {
	s := &sheetReader{book: b, sheet: &sheet{name: p.name}}
	err := b.tokens(p.part, func(t xml.Token) error {
		switch t := t.(type) {
		case xml.StartElement:
			return s.start(t)
		case xml.EndElement:
			return s.end(t.Name.Local)
		case xml.CharData:
			if s.inValue && !s.phon {
				if s.text.Len() > maxText*4 {
					return refuse("shorten it", "a cell in row %d holds more than %d characters", s.row.number, maxText)
				}
				s.text.Write(t)
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	s.spread()
	return s.sheet, nil
}

func (s *sheetReader) start(e xml.StartElement) error {
	switch e.Name.Local {
	case "row":
		s.row = sheetRow{number: s.row.number + 1}
		if n, err := strconv.Atoi(attr(e, "r")); err == nil {
			if n < s.row.number {
				return fmt.Errorf("row %d comes after row %d", n, s.row.number-1)
			}
			s.row.number = n
		}
		s.col = -1
	case "c":
		s.col++
		if _, col, ok := parseCellName(attr(e, "r")); ok {
			s.col = col
		}
		s.kind, s.style, s.formula = attr(e, "t"), -1, false
		if n, err := strconv.Atoi(attr(e, "s")); err == nil {
			s.style = n
		}
		s.text.Reset()
	case "f":
		s.formula = true
	case "v", "t":
		s.inValue = true
	case "rPh":
		s.phon = true
	case "mergeCell":
		s.addMerge(attr(e, "ref"))
	}
	return nil
}

func (s *sheetReader) end(local string) error {
	switch local {
	case "v", "t":
		s.inValue = false
	case "rPh":
		s.phon = false
	case "c":
		return s.put(s.value())
	case "row":
		if len(s.row.cells) == 0 {
			return nil
		}
		if len(s.sheet.rows) >= maxRows {
			return refuse("split the sheet or remove what does not belong to the show", "there are more than %d filled rows", maxRows)
		}
		s.sheet.rows = append(s.sheet.rows, s.row)
		s.row.cells = nil
	}
	return nil
}

// value makes a cell of what was read between its tags.
func (s *sheetReader) value() cell {
	text := strings.TrimSpace(s.text.String())
	switch s.kind {
	case "s":
		if n, err := strconv.Atoi(text); err == nil && n >= 0 && n < len(s.strings) {
			return textCell(s.strings[n])
		}
		return cell{}
	case "inlineStr", "str":
		return textCell(unescape(text))
	case "b":
		if text == "1" {
			return textCell("yes")
		}
		return textCell("no")
	case "e":
		return cell{kind: cellBroken, text: text}
	case "d":
		return textCell(strings.Replace(text, "T", " ", 1))
	}
	if text == "" {
		if s.formula {
			return cell{kind: cellBroken, text: "formula without a result"}
		}
		return cell{}
	}
	n, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(n) || math.IsInf(n, 0) {
		return textCell(text)
	}
	if s.style >= 0 && s.style < len(s.times) && s.times[s.style] && n >= 0 && n < 2_958_466 {
		if s.date1904 && n >= 1 {
			n += 1462
		}
		return timeCell(n)
	}
	if math.Abs(n) > 1e15 {
		return textCell(text)
	}
	return numberCell(n)
}

var escaped = regexp.MustCompile(`_x[0-9A-Fa-f]{4}_`)

// unescape undoes the escapes of characters that XML cannot hold (ECMA-376
// part 1, 22.9.2.19): _x000D_ is a carriage return.
func unescape(text string) string {
	if !strings.Contains(text, "_x") {
		return text
	}
	return escaped.ReplaceAllStringFunc(text, func(m string) string {
		n, err := strconv.ParseUint(m[2:6], 16, 16)
		if err != nil || n == 0 || n >= 0xd800 && n < 0xe000 {
			return m
		}
		return string(rune(n))
	})
}

// put stores a cell of the current row; blank ones cost nothing.
func (s *sheetReader) put(c cell) error {
	if c.kind == cellBlank || s.col < 0 {
		return nil // s.col is below zero at the end of a cell that never began
	}
	if s.col >= maxColumns {
		return refuse("remove what stands out there", "%s lies beyond column %d", cellName(s.row.number, s.col), maxColumns)
	}
	if s.cells++; s.cells > maxCells {
		return refuse(adviceTooLarge, "the workbook has more than %d filled cells", maxCells)
	}
	for len(s.row.cells) < s.col {
		s.row.cells = append(s.row.cells, cell{})
	}
	if s.col < len(s.row.cells) {
		s.row.cells[s.col] = c
		return nil
	}
	s.row.cells = append(s.row.cells, c)
	return nil
}

func (s *sheetReader) addMerge(ref string) {
	a, b, ok := strings.Cut(ref, ":")
	if !ok || len(s.merges) >= maxRows {
		return
	}
	top, left, ok1 := parseCellName(a)
	bottom, right, ok2 := parseCellName(b)
	if ok1 && ok2 && top <= bottom && left <= right && left < maxColumns {
		s.merges = append(s.merges, merge{top, left, bottom, min(right, maxColumns-1)})
	}
}

// spread repeats the value of cells merged downwards in each of their rows,
// as far as these hold anything else, and notes how wide cells merged to the
// side are.
func (s *sheetReader) spread() {
	byNumber := make(map[int]int, len(s.sheet.rows))
	for i, r := range s.sheet.rows {
		byNumber[r.number] = i
	}
	for _, m := range s.merges {
		i, ok := byNumber[m.top]
		if !ok {
			continue
		}
		c := s.sheet.rows[i].cell(m.left)
		if c.kind == cellBlank {
			continue
		}
		c.wide = uint16(m.right - m.left + 1)
		s.sheet.rows[i].cells[m.left] = c
		for ; i < len(s.sheet.rows) && s.sheet.rows[i].number <= m.bottom; i++ {
			row := &s.sheet.rows[i]
			for len(row.cells) <= m.left {
				row.cells = append(row.cells, cell{})
			}
			if row.cells[m.left].kind == cellBlank {
				s.cells++
				row.cells[m.left] = c
			}
			if s.cells > maxCells {
				return
			}
		}
	}
}
