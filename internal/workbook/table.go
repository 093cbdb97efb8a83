package workbook

import (
	"strings"
	"unicode"

	sp "sallyport"
)

// sheetKind is one kind of sheet: how it is recognised, read and written.
type sheetKind struct {
	layout
	note     string // what the person who fills it in has to know
	titles   []title
	examples [][]string
	read     func(*reading, *foundSheet)
	write    func(*writing) [][]cell // rows under the headers
	headers  func(*writing) []string
}

// title is a header of the template.
type title struct {
	header, help string
	choices      []string
	extra        bool
}

// table describes a kind of sheet with one thing a row.
type table[T any] struct {
	kind, sheet, also, note string
	keys                    []string
	columns                 []column[T]
	examples                [][]string
	into                    func(*reading) *[]*T           // where the things are kept
	from                    func(*writing) []*T            // those to write
	day                     func(*T) sp.Instant            // of the row, when it has a day
	keep                    func(*T) *map[string]string    // where extra columns are kept; nil: nowhere
	group                   func(source, *T, string)       // applies a group row to a thing below it
	follows                 func(*reading, *record) bool   // a row without its key that belongs to the one above
	done                    func(*reading, *record, *T)    // when a row has been read
	isGroup                 func(*foundSheet, string) bool // a row with one text that is surely a heading
	days                    bool                           // headings are days
}

// asKind makes a sheetKind of a table.
func asKind[T any](t table[T]) sheetKind {
	k := sheetKind{
		layout: layout{kind: t.kind, sheet: t.sheet, also: t.also, keys: t.keys}, note: t.note, examples: t.examples,
	}
	for _, c := range t.columns {
		h := newHead(c.field, c.header, c.also)
		h.dim, h.bare, h.spans, h.upTo = c.dim, c.bare, c.spans, c.upTo
		k.heads = append(k.heads, h)
		k.titles = append(k.titles, title{c.header, c.help, c.choices, c.extra})
	}
	k.read = func(r *reading, f *foundSheet) { t.readRows(r, f) }
	k.write, k.headers = t.writeRows, t.writeHeaders
	return k
}

// keyHeader names the columns of which one is needed, for advice.
func (k *sheetKind) keyHeader() string {
	var names []string
	for _, key := range k.keys {
		for i, h := range k.heads {
			if h.field == key {
				names = append(names, k.titles[i].header)
			}
		}
	}
	return strings.Join(names, " or ")
}

// readRows reads the rows below the header.
func (t *table[T]) readRows(r *reading, f *foundSheet) {
	heading, headingSource := "", source{}
	var alone []source // rows with nothing but a name
	several := 0
	for _, row := range f.rows[f.header+1:] {
		n, first := row.filled()
		if isRemark(row) || n == 0 || t.repeats(f, row) {
			continue
		}
		rec := &record{sheet: f.sheet, row: row.number, first: first, cells: map[string]int{}}
		s := source{reading: r, rec: rec, col: first, field: t.kind, cell: row.cells[first]}
		if n == 1 && t.heads(f, s) {
			text := strings.TrimSpace(strings.TrimRight(s.cell.text, ": "))
			if t.days && heading != "" && !isDay(nil, text) {
				continue // "Morning programme" below "Saturday"
			}
			heading, headingSource = text, s
			continue
		}
		if n > 1 && isTotal(row, first) {
			s.say(Note, "the row was taken for a sum and left out", "")
			continue
		}
		if n == 1 {
			alone = append(alone, s)
		} else {
			several++
		}
		t.readRow(r, f, rec, row, heading, headingSource)
	}
	if t.group != nil && !t.days && len(alone) > 0 && several >= 3 && len(alone)*4 <= several {
		for _, s := range alone {
			s.say(Assumed, "the row holds only a name and was read as a "+t.kind+" of which nothing else is known", "if it is a heading for the rows below, end it with a colon")
		}
	}
}

// totals are first cells of rows that sum up those above.
var totals = map[string]bool{"total": true, "totals": true, "sum": true, "grandtotal": true, "subtotal": true, "count": true}

// isTotal reports whether a row sums up those above: it says so, and holds
// nothing but numbers besides.
func isTotal(row sheetRow, first int) bool {
	if !totals[squash(row.cells[first].text)] {
		return false
	}
	for _, c := range row.cells[first+1:] {
		if c.kind == cellText && strings.IndexFunc(c.text, unicode.IsDigit) != 0 {
			return false
		}
	}
	return true
}

// repeats reports whether a row is the header row once more.
func (t *table[T]) repeats(f *foundSheet, row sheetRow) bool {
	same := 0
	for _, h := range f.heads {
		if h.index >= 0 && row.cell(h.col).text != h.title {
			return false
		}
		same++
	}
	return same > 1
}

// heads reports whether a row with a single filled cell is a heading for the
// rows below rather than a thing of which only the name is known: it is
// merged over several columns, ends with a colon, stands in another column
// than the name, or says so by its words.
func (t *table[T]) heads(f *foundSheet, s source) bool {
	if s.cell.kind != cellText && s.cell.kind != cellTime {
		return false
	}
	if t.isGroup != nil && t.isGroup(f, s.cell.text) {
		return true
	}
	if t.group == nil {
		return false
	}
	inKey := false
	for _, h := range f.heads {
		if h.index < 0 || h.col != s.col {
			continue
		}
		for _, key := range t.keys {
			inKey = inKey || t.columns[h.index].field == key
		}
	}
	return s.cell.wide > 1 || strings.HasSuffix(s.cell.text, ":") || !inKey
}

// readRow reads one row into a thing.
func (t *table[T]) readRow(r *reading, f *foundSheet, rec *record, row sheetRow, heading string, headingSource source) {
	v := new(T)
	keyed := false
	for _, h := range f.heads {
		if h.index < 0 || row.cell(h.col).kind == cellBlank {
			continue
		}
		field := t.columns[h.index].field
		rec.cells[field] = h.col
		for _, key := range t.keys {
			if field == key {
				if !keyed {
					rec.first = h.col
				}
				keyed = true
			}
		}
	}
	if !keyed && (t.follows == nil || !t.follows(r, rec)) {
		s := source{reading: r, rec: rec, col: rec.first, field: t.kind, cell: row.cells[rec.first]}
		s.say(Stop, "the row has nothing under "+t.header(t.keys[0]), "fill it in, or empty the row; a remark starts with # and a space")
		return
	}
	r.records[v] = rec
	*t.into(r) = append(*t.into(r), v)
	for _, h := range f.heads {
		c := row.cell(h.col)
		if c.kind == cellBlank {
			continue
		}
		s := source{reading: r, rec: rec, col: h.col, field: "", cell: c, unit: h.unit, head: h}
		if h.index < 0 {
			t.keepExtra(v, s)
			continue
		}
		col := t.columns[h.index]
		s.field = col.field
		if !s.broken() && col.read != nil {
			col.read(s, v)
		}
	}
	t.keepBeyond(r, f, rec, row, v)
	if heading != "" && t.group != nil {
		t.group(headingSource, v, heading)
	}
	if t.done != nil {
		t.done(r, rec, v)
	}
}

func (t *table[T]) header(field string) string {
	for _, c := range t.columns {
		if c.field == field {
			base, _, _ := strings.Cut(c.header, " (")
			return base
		}
	}
	return field
}

// keepExtra keeps a cell of a column that means nothing here.
func (t *table[T]) keepExtra(v *T, s source) {
	if t.keep == nil || s.cell.kind == cellBroken {
		return
	}
	m := t.keep(v)
	if *m == nil {
		*m = map[string]string{}
	}
	(*m)[s.head.title] = s.cell.text
}

// keepBeyond keeps cells in columns without any header.
func (t *table[T]) keepBeyond(r *reading, f *foundSheet, rec *record, row sheetRow, v *T) {
	known := map[int]bool{}
	for _, h := range f.heads {
		known[h.col] = true
	}
	for col, c := range row.cells {
		if c.kind != cellBlank && !known[col] {
			h := &headCell{title: "column " + columnName(col)}
			t.keepExtra(v, source{reading: r, rec: rec, col: col, cell: c, head: h})
		}
	}
}

// writeHeaders returns the headers of a sheet written for a show: all columns
// that some row fills, and those of the template.
func (t *table[T]) writeHeaders(w *writing) []string {
	var headers []string
	for _, c := range t.columns {
		if c.write != nil {
			headers = append(headers, c.header)
		}
	}
	return append(headers, t.extraKeys(w)...)
}

// extraKeys lists the extra columns of all things, in alphabetical order.
func (t *table[T]) extraKeys(w *writing) []string {
	if t.keep == nil {
		return nil
	}
	all := map[string]bool{}
	for _, v := range t.from(w) {
		for key := range *t.keep(v) {
			all[key] = true
		}
	}
	return sortedKeys(all)
}

// writeRows returns the cells of all things.
func (t *table[T]) writeRows(w *writing) [][]cell {
	keys := t.extraKeys(w)
	var rows [][]cell
	for _, v := range t.from(w) {
		w.day = 0
		if t.day != nil {
			if at := t.day(v); at > 0 && at.Day() <= len(w.show.Days) {
				w.day = at.Day()
			}
		}
		var row []cell
		for _, c := range t.columns {
			if c.write != nil {
				row = append(row, c.write(w, v))
			}
		}
		for _, key := range keys {
			row = append(row, textCell((*t.keep(v))[key]))
		}
		rows = append(rows, row)
	}
	return rows
}

// dayCol is the day of a row; times in the row without a day of their own are
// of that day.
func dayCol[T any]() column[T] {
	return column[T]{
		field: "day", header: "Day", also: "date,day of show,show day,weekday,when", help: "name or date of the day, or D1, D2 …",
		read: func(s source, _ *T) { s.setDay() },
		write: func(w *writing, _ *T) cell {
			if w.day == 0 {
				return cell{}
			}
			return textCell(w.cal.name(w.day))
		},
	}
}

// setDay makes the cell the day of its row.
func (s source) setDay() {
	m := moment{dayText: s.cell.text, hasDay: true}
	switch {
	case s.cell.kind == cellTime && s.cell.num >= 2:
		m, _, _ = cellMoment(s.cell)
	case s.cell.kind == cellNumber:
		s.cell.text = "D" + s.cell.text
		fallthrough
	default:
		day, bad := parseDay(s.cell.text)
		if bad != nil {
			s.stop(bad)
			s.rec.badDay = true
			return
		}
		m.day = day
	}
	s.mention(m)
	s.rec.day, s.rec.dayFrom = &m, &s
}

// idCol is the id of a thing.
func idCol[T any, S ~string](header, also, help string, at func(*T) *S) column[T] {
	return textCol("id", header, also, help, at)
}
