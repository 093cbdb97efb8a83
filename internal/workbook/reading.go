package workbook

import (
	"fmt"
	"path"
	"sort"
	"strings"

	sp "sallyport"
)

// What is reported at most: a sheet read with the wrong separator would fill
// pages otherwise. Suggestions for misspelt names are costly to find.
const (
	maxProblems    = 1000
	maxSuggestions = 100
)

// record is the row from which one thing was read.
type record struct {
	sheet   *sheet
	row     int
	first   int            // column of the cell that names it
	cells   map[string]int // column of each field that was filled
	day     *moment        // of the row, when it has a day
	badDay  bool           // it has one, but that cannot be used; reported already
	dayFrom *source        // the cell that says it
}

// reading is the state of reading one source. Everything that refers to
// something else, or to a day, waits in later until all sheets are read.
type reading struct {
	show        sp.Show
	sketch      []sp.Placement
	problems    []Problem
	unreported  int
	suggestions int
	sheetOrder  map[string]int

	vehicles []*sp.Vehicle
	combos   []*sp.Combination
	zones    []*sp.Zone
	stretch  []*sp.Stretch
	lanes    []*sp.Lane
	lines    []*sp.Line
	spots    []*sp.Spot
	people   []*sp.Person
	days     []*dayRow
	serials  []*serialRow
	entries  []*entryRow
	duties   []*dutyRow
	fouls    []*foulRow
	closings []*sp.Closing
	resets   []*sp.ResetWindow
	classes  []*sp.Class
	paces    []*sp.Pace
	places   []*placeRow
	weights  *sp.Weights

	given     map[string]bool // kinds of thing that have a sheet
	unread    map[string]bool // kinds of which a sheet was found but could not be read
	records   map[any]*record // by pointer to the thing
	names     map[string]*names
	cal       calendar
	mentioned []moment // days named anywhere, in order
	later     []func()
	holders   map[string]sp.UnitID // placeholders by class and number
	where     map[object]*record
}

func newReading() *reading {
	r := &reading{
		sheetOrder: map[string]int{}, given: map[string]bool{}, unread: map[string]bool{}, records: map[any]*record{}, names: map[string]*names{},
		holders: map[string]sp.UnitID{}, where: map[object]*record{},
	}
	for _, kind := range referable {
		r.names[kind] = newNames(kind)
	}
	return r
}

// interpret makes a show of sheets; the problems found while opening them are
// kept.
func interpret(sheets []*sheet, problems []Problem) *Input {
	r := newReading()
	r.problems = append(r.problems, problems...)
	for i, s := range sheets {
		r.sheetOrder[s.name] = i
	}
	for _, p := range problems {
		if k := kindByName(strings.TrimSuffix(p.Sheet, path.Ext(p.Sheet))); k != nil && p.Severity == Stop {
			r.markUnread(k)
		}
	}
	found := r.identify(sheets)
	for _, k := range sheetKinds {
		for _, f := range found[k.sheet] {
			r.given[k.kind] = true
			k.read(r, f)
		}
	}
	r.settleDays()
	r.settleIDs()
	for i := 0; i < len(r.later); i++ {
		r.later[i]()
	}
	r.assemble()
	r.checkRequired(found)
	in := &Input{Show: &r.show, Sketch: r.sketch, where: r.where, Problems: r.problems}
	in.contradict()
	r.problems = in.Problems
	in.Problems = r.sorted()
	return in
}

// report keeps a problem.
func (r *reading) report(p Problem) {
	if len(r.problems) >= maxProblems {
		r.unreported++
		return
	}
	r.problems = append(r.problems, p)
}

// sorted returns the problems in the order of sheets, rows and columns, each
// once.
func (r *reading) sorted() []Problem {
	sort.SliceStable(r.problems, func(i, j int) bool {
		a, b := r.problems[i], r.problems[j]
		if a.Sheet != b.Sheet {
			if x, y := r.sheetOrder[a.Sheet], r.sheetOrder[b.Sheet]; x != y {
				return x < y
			}
			return a.Sheet < b.Sheet
		}
		if a.Row != b.Row {
			return a.Row < b.Row
		}
		return a.Column < b.Column
	})
	var list []Problem
	seen := map[Problem]bool{}
	for _, p := range r.problems {
		if !seen[p] {
			list = append(list, p)
		}
		seen[p] = true
	}
	if r.unreported > 0 {
		list = append(list, Problem{Message: fmt.Sprintf("%d more findings are not listed", r.unreported), Advice: "put these right first and read again", Severity: Stop})
	}
	return list
}

// source is one cell on its way into a field.
type source struct {
	*reading
	rec   *record
	col   int
	field string
	cell  cell
	unit  *unit // of bare numbers: from the header, or the column's own
	head  *headCell
}

// given reports whether the source is a filled cell.
func (s source) filled() bool { return s.reading != nil && s.cell.kind != cellBlank }

// report keeps a problem about the cell.
func (s source) say(severity Severity, message, advice string) {
	s.report(Problem{
		Sheet: s.rec.sheet.name, Cell: cellName(s.rec.row, s.col), Row: s.rec.row, Column: s.col + 1,
		Field: s.field, Value: s.cell.text, Message: message, Advice: advice, Severity: severity,
	})
}

// stop keeps a mistake about the cell.
func (s source) stop(m *mistake) { s.say(Stop, m.message, m.advice) }

// broken reports cells that show an error, and whether the cell is one.
func (s source) broken() bool {
	if s.cell.kind != cellBroken {
		return false
	}
	if strings.HasPrefix(s.cell.text, "formula") {
		s.say(Stop, "the formula was never worked out", "open the workbook in a spreadsheet program and save it again, or type the value")
	} else {
		s.say(Stop, "the cell shows an error of the spreadsheet", "correct the formula or type the value")
	}
	return true
}

// at returns a source for the record of a thing that was read, about one of
// its fields; ok is false when the thing came from no cell.
func (r *reading) at(thing any, field string) (source, bool) {
	rec := r.records[thing]
	if rec == nil {
		return source{}, false
	}
	col, ok := rec.cells[field]
	if !ok {
		col = rec.first
	}
	return source{reading: r, rec: rec, col: col, field: field, cell: rec.cellAt(col)}, true
}

// cellAt returns a cell of the record's row.
func (rec *record) cellAt(col int) cell {
	rows := rec.sheet.rows
	i := sort.Search(len(rows), func(i int) bool { return rows[i].number >= rec.row })
	if i < len(rows) && rows[i].number == rec.row {
		return rows[i].cell(col)
	}
	return cell{}
}

// do runs f when all sheets are read and all ids are known.
func (r *reading) do(f func()) { r.later = append(r.later, f) }
