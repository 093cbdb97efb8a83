package workbook

import (
	"strconv"
	"strings"
)

// What is read at most. A show of a thousand vehicles is far below all of
// them; they keep a mistaken or hostile file from filling the memory.
const (
	maxFile    = 64 << 20  // bytes of a file
	maxContent = 64 << 20  // bytes of a workbook, unpacked
	maxParts   = 4000      // files inside a workbook
	maxSheets  = 100       // sheets of a workbook, files of a folder
	maxRows    = 50_000    // filled rows of a sheet
	maxColumns = 300       // columns of a sheet
	maxCells   = 1_500_000 // filled cells of all sheets
	maxText    = 32_767    // characters of a cell, as in spreadsheet programs
)

// cellKind says what a cell holds.
type cellKind uint8

// The kinds: cellTime is a number with a date or time format, num counts days
// as spreadsheets do; cellBroken shows an error such as #REF!, or a formula
// that was never worked out.
const (
	cellBlank cellKind = iota
	cellText
	cellNumber
	cellTime
	cellBroken
)

// cell is one cell of any source. text is what a person sees, trimmed; num is
// set for numbers and times. wide is the number of columns it was merged
// over, 0 or 1 when it was not.
type cell struct {
	kind cellKind
	wide uint16
	text string
	num  float64
}

// textCell returns a cell that holds s, blank when s is.
func textCell(s string) cell {
	s = strings.TrimSpace(s)
	if s == "" {
		return cell{}
	}
	return cell{kind: cellText, text: s}
}

// intCell returns a cell that holds a whole number; zero is blank.
func intCell(n int64) cell {
	if n == 0 {
		return cell{}
	}
	return cell{kind: cellNumber, text: strconv.FormatInt(n, 10), num: float64(n)}
}

// numberCell returns the cell of a spreadsheet's number. Nine decimals are
// kept: what follows is noise of its binary form.
func numberCell(n float64) cell {
	text := strconv.FormatFloat(n, 'f', 9, 64)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	if text == "-0" || text == "" {
		text = "0"
	}
	return cell{kind: cellNumber, text: text, num: n}
}

// sheetRow is one row with its number in the source, counted from 1.
type sheetRow struct {
	number int
	cells  []cell
}

// cell returns the cell in column col, counted from 0; blank beyond the end.
func (r sheetRow) cell(col int) cell {
	if col < len(r.cells) {
		return r.cells[col]
	}
	return cell{}
}

// filled counts the cells that hold something and returns the first of them.
func (r sheetRow) filled() (n, first int) {
	first = -1
	for i, c := range r.cells {
		if c.kind == cellBlank {
			continue
		}
		if n == 0 {
			first = i
		}
		n++
	}
	return n, first
}

// sheet is one sheet of a workbook or one CSV file: its filled rows only.
type sheet struct {
	name string
	rows []sheetRow
}

// columnName returns the letters of a column counted from 0: A, B … AA.
func columnName(col int) string {
	var letters []byte
	for col++; col > 0; col = (col - 1) / 26 {
		letters = append([]byte{byte('A' + (col-1)%26)}, letters...)
	}
	return string(letters)
}

// cellName returns "C7" for row 7 and column 2.
func cellName(row, col int) string { return columnName(col) + strconv.Itoa(row) }

// parseCellName reads "C7" as column 2, row 7.
func parseCellName(ref string) (row, col int, ok bool) {
	i := 0
	for ; i < len(ref) && i < 4; i++ {
		c := ref[i] &^ 0x20
		if c < 'A' || c > 'Z' {
			break
		}
		col = col*26 + int(c-'A') + 1
	}
	if i == 0 || len(ref)-i > 7 {
		return 0, 0, false
	}
	for _, c := range []byte(ref[i:]) {
		if c < '0' || c > '9' {
			return 0, 0, false
		}
		row = row*10 + int(c-'0')
	}
	return row, col - 1, row > 0
}
