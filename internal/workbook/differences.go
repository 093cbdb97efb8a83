package workbook

import (
	"slices"
	"strconv"
	"strings"

	sp "sallyport"
)

// Difference is what is other about one thing on a sheet, in the words of the
// sheets.
type Difference struct {
	Sheet  string       `json:"sheet"`
	ID     string       `json:"id"`
	Name   string       `json:"name"`
	Change string       `json:"change"` // "new", "changed" or "gone"
	Fields []FieldSides `json:"fields"` // of one that is new or gone: all that is filled
}

// FieldSides is one cell before and after.
type FieldSides struct {
	Field string `json:"field"` // header of its column
	Was   string `json:"was"`
	Now   string `json:"now"`
}

// The kinds of change.
const (
	New     = "new"
	Changed = "changed"
	Gone    = "gone"
)

// Differences returns what one show has other than another, sheet by sheet as
// both would be written, each in the order of the second, then what is gone.
// Entries are compared one by one, however they are listed; their order is
// compared for each serial.
func Differences(was, now *sp.Show) []Difference {
	list := []Difference{}
	before, after := comparedSheets(was), comparedSheets(now)
	for i := range sheetKinds {
		list = append(list, before[i].differences(after[i])...)
	}
	return list
}

// comparedSheet is a sheet with its rows by what names them. Cells are
// compared with ids in them and shown with names.
type comparedSheet struct {
	kind *sheetKind
	rows []comparedRow
	at   map[string]int // rows of a name
	row  map[string]int // by key
}

type comparedRow struct {
	key, name    string
	group        string // the serial of an entry
	cells, shown map[string]string
	headers      []string
}

func comparedSheets(show *sp.Show) []comparedSheet {
	shown := newWriting(show, nil)
	ids := newWriting(show, nil)
	ids.labels, ids.apart, shown.apart = nil, true, true
	sheets := make([]comparedSheet, len(sheetKinds))
	for i := range sheetKinds {
		k := &sheetKinds[i]
		s := comparedSheet{kind: k, at: map[string]int{}, row: map[string]int{}}
		headers := k.headers(ids)
		names := k.write(shown)
		for n, cells := range k.write(ids) {
			row := comparedRow{cells: map[string]string{}, shown: map[string]string{}, headers: headers}
			for col, h := range headers {
				row.cells[h], row.shown[h] = cells[col].text, names[n][col].text
			}
			s.add(row)
		}
		sheets[i] = s
	}
	return sheets
}

// add names a row and keeps it; several of one name are counted.
func (s *comparedSheet) add(row comparedRow) {
	row.key, row.name = s.keyOf(row)
	if s.at[row.key]++; s.at[row.key] > 1 {
		row.key += " (" + strconv.Itoa(s.at[row.key]) + ")"
	}
	if s.kind.kind == "entry" {
		row.group = row.cells[s.header("serial")]
	}
	s.row[row.key] = len(s.rows)
	s.rows = append(s.rows, row)
}

// keyOf returns what names a row: its id, else the fields that every row of
// its sheet must have, with the serial or day they belong to; and what people
// call it.
func (s *comparedSheet) keyOf(row comparedRow) (key, name string) {
	if s.kind.upright {
		return row.cells["Setting"], row.cells["Setting"]
	}
	text := func(cells map[string]string, fields ...string) string {
		var parts []string
		for _, f := range fields {
			if t := cells[s.header(f)]; t != "" {
				parts = append(parts, t)
			}
		}
		return strings.Join(parts, ", ")
	}
	belongs := append([]string{"serial", "day"}, s.kind.keys...)
	if name = text(row.shown, "name"); name == "" {
		name = text(row.shown, s.kind.keys...)
	}
	if key = text(row.cells, "id"); key == "" {
		if key = text(row.cells, belongs...); s.kind.kind == "day" {
			key = name
		}
	}
	if name == "" {
		name = key
	}
	return key, name
}

// header returns the header of a field; "" when the sheet has none.
func (s *comparedSheet) header(field string) string {
	for i, h := range s.kind.heads {
		if h.field == field {
			return s.kind.titles[i].header
		}
	}
	return ""
}

func (s *comparedSheet) differences(now comparedSheet) []Difference {
	var list []Difference
	for i := range now.rows {
		row := &now.rows[i]
		old := s.find(row.key)
		if old == nil {
			list = append(list, Difference{s.kind.sheet, row.key, row.name, New, sides(nil, row)})
			continue
		}
		if fields := sides(old, row); len(fields) > 0 {
			list = append(list, Difference{s.kind.sheet, row.key, row.name, Changed, fields})
		}
	}
	for i := range s.rows {
		if row := &s.rows[i]; now.find(row.key) == nil {
			list = append(list, Difference{s.kind.sheet, row.key, row.name, Gone, sides(row, nil)})
		}
	}
	return append(list, s.orders(now)...)
}

func (s *comparedSheet) find(key string) *comparedRow {
	i, ok := s.row[key]
	if !ok {
		return nil
	}
	return &s.rows[i]
}

// sides lists the fields in which two rows differ; either may be nil.
func sides(was, now *comparedRow) []FieldSides {
	list := []FieldSides{}
	var headers []string
	if now != nil {
		headers = append(headers, now.headers...)
	}
	if was != nil {
		for _, h := range was.headers {
			if !slices.Contains(headers, h) {
				headers = append(headers, h)
			}
		}
	}
	of := func(row *comparedRow, h string) (cell, shown string) {
		if row == nil {
			return "", ""
		}
		return row.cells[h], row.shown[h]
	}
	for _, h := range headers {
		a, shownA := of(was, h)
		b, shownB := of(now, h)
		if a != b {
			list = append(list, FieldSides{h, shownA, shownB})
		}
	}
	return list
}

// orders compares, for each serial, the order of the entries that both have.
func (s *comparedSheet) orders(now comparedSheet) []Difference {
	var list []Difference
	done := map[string]bool{"": true}
	for i := range now.rows {
		group := now.rows[i].group
		if done[group] {
			continue
		}
		done[group] = true
		var was, is []*comparedRow
		for j := range s.rows {
			if s.rows[j].group == group && now.find(s.rows[j].key) != nil {
				was = append(was, &s.rows[j])
			}
		}
		for j := range now.rows {
			if now.rows[j].group == group && s.find(now.rows[j].key) != nil {
				is = append(is, &now.rows[j])
			}
		}
		if !slices.EqualFunc(was, is, func(a, b *comparedRow) bool { return a.key == b.key }) {
			serial := now.rows[i].shown[s.header("serial")]
			list = append(list, Difference{s.kind.sheet, group, serial, Changed, []FieldSides{{"Order", s.names(was), s.names(is)}}})
		}
	}
	return list
}

func (s *comparedSheet) names(rows []*comparedRow) string {
	names := make([]string, len(rows))
	for i, r := range rows {
		names[i] = r.shown[s.header("unit")]
	}
	return strings.Join(names, ", ")
}
