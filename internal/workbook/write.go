package workbook

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"github.com/xuri/excelize/v2"

	sp "sallyport"
)

// writing is a show on its way into sheets.
type writing struct {
	show   *sp.Show
	sketch []sp.Placement
	cal    calendar
	names  map[string]*names
	labels map[object]string
	day    int  // of the row being written; 0: none
	apart  bool // every entry has a row of its own
}

// newWriting knows all names of a show, so that cells say the name people
// know where it means one thing, and the id where not.
func newWriting(show *sp.Show, sketch []sp.Placement) *writing {
	w := &writing{show: show, sketch: sketch, names: map[string]*names{}, labels: map[object]string{}}
	w.cal.days = show.Days
	if d, bad := parseDay(show.FirstDate); bad == nil && d.dated && !d.noYear {
		w.cal.first, w.cal.dated = d.date, true
	}
	for _, kind := range referable {
		w.names[kind] = newNames(kind)
	}
	for i := range show.Vehicles {
		v := &show.Vehicles[i]
		w.take("unit", string(v.ID), vehicleLabels(v)...)
	}
	for _, c := range show.Combinations {
		w.take("unit", string(c.ID), c.Name)
	}
	p := &show.Park
	for _, z := range p.Zones {
		w.take("zone", string(z.ID))
	}
	for _, l := range p.Lanes {
		w.take("lane", string(l.ID))
	}
	for _, l := range p.Lines {
		w.take("line", string(l.ID), l.Name)
	}
	for _, s := range p.Spots {
		w.take("spot", string(s.ID), s.Name)
	}
	for _, s := range p.Stretches {
		w.take("stretch", string(s.ID))
	}
	for _, x := range show.People {
		w.take("person", string(x.ID), x.Name)
	}
	w.takeStays()
	return w
}

func (w *writing) take(kind, id string, labels ...string) {
	w.names[kind].add(id, labels...)
	if len(labels) > 0 && labels[0] != "" {
		w.labels[object{kind, id}] = labels[0]
	}
}

func (w *writing) takeStays() {
	for _, s := range w.show.Serials {
		w.take("serial", string(s.ID))
		w.take("stay", string(s.ID))
	}
	for _, d := range w.show.Duties {
		w.take("stay", string(d.ID))
	}
	for _, r := range w.show.Resets {
		w.take("stay", string(r.ID))
	}
}

// refer returns how a thing is named in a cell: by the name people know, when
// that means nothing else, or by its id.
func (w *writing) refer(kind, id string) string {
	label := w.labels[object{kind, id}]
	if label != "" && strings.TrimSpace(label) == label && !strings.ContainsAny(label, "+()\"") {
		if ids := w.names[kind].find(label); len(ids) == 1 && ids[0] == id {
			return label
		}
	}
	return id
}

// plainEntries lists the vehicles of a serial for a single cell; it is empty
// when something is said of an entry besides its vehicle, so that each needs
// a row of its own.
func (w *writing) plainEntries(s *sp.Serial) string {
	if w.apart {
		return ""
	}
	var items []string
	for _, e := range s.Entries {
		plain := len(e.Crew) == 0 && len(e.Reserves) == 0 && e.Driver == "" && e.Value == 0 && e.Join == ""
		if !plain || e.ID != entryID(s.ID, e.Unit) {
			return ""
		}
		items = append(items, w.refer("unit", string(e.Unit)))
	}
	if text := joinList(items); len(text) < maxText {
		return text
	}
	return ""
}

// leavingOrder names the entries of an order of leaving by their vehicles,
// where no entry's id could be taken for one.
func (w *writing) leavingOrder(s *sp.Serial) []string {
	names := map[sp.EntryID]string{}
	ids := map[string]bool{}
	for _, e := range s.Entries {
		names[e.ID] = w.refer("unit", string(e.Unit))
		ids[string(e.ID)] = true
	}
	var items []string
	for _, id := range s.Leaving {
		name, ok := names[id]
		if !ok || ids[name] {
			name = string(id)
		}
		items = append(items, name)
	}
	return items
}

// moment writes a moment: the time alone on the row's own day.
func (w *writing) moment(t sp.Instant) cell {
	switch {
	case t == 0:
		return cell{}
	case w.day > 0 && t.Day() == w.day:
		return textCell(t.Clock())
	}
	return textCell(t.String())
}

// writtenSheet is a sheet ready to be written in any format.
type writtenSheet struct {
	kind    *sheetKind
	headers []string
	rows    [][]cell
}

// sheetsOf returns the sheets of a show: those that hold anything, and the
// three that every show needs.
func sheetsOf(show *sp.Show, sketch []sp.Placement) []writtenSheet {
	w := newWriting(show, sketch)
	var sheets []writtenSheet
	for i := range sheetKinds {
		k := &sheetKinds[i]
		s := writtenSheet{kind: k, headers: k.headers(w), rows: k.write(w)}
		if len(s.rows) > 0 || k.kind == "vehicle" || k.kind == "lane" || k.kind == "serial" {
			sheets = append(sheets, s.withoutEmpty())
		}
	}
	return sheets
}

// withoutEmpty leaves out columns that no row fills, but for those that the
// template shows.
func (s writtenSheet) withoutEmpty() writtenSheet {
	keep := make([]bool, len(s.headers))
	for col, header := range s.headers {
		for _, t := range s.kind.titles {
			keep[col] = keep[col] || t.header == header && !t.extra
		}
		keep[col] = keep[col] || s.kind.upright
		for _, row := range s.rows {
			keep[col] = keep[col] || row[col].kind != cellBlank
		}
	}
	out := writtenSheet{kind: s.kind}
	for col, header := range s.headers {
		if keep[col] {
			out.headers = append(out.headers, header)
		}
	}
	for _, row := range s.rows {
		var cells []cell
		for col, c := range row {
			if keep[col] {
				cells = append(cells, c)
			}
		}
		out.rows = append(out.rows, cells)
	}
	return out
}

// WriteXLSX writes a show, and a plan made by hand when there is one, as a
// workbook. ReadXLSX reads back an equal show.
func WriteXLSX(w io.Writer, show *sp.Show, sketch []sp.Placement) error {
	b, err := newBookWriter()
	if err != nil {
		return err
	}
	for _, s := range sheetsOf(show, sketch) {
		if err := b.add(s, nil, nil); err != nil {
			return err
		}
	}
	return b.finish(w)
}

// WriteCSV writes a show into a folder, one CSV file in UTF-8 for each sheet.
// The folder is made when it is not there; files of sheets the show does not
// have are removed, so that the folder holds this show only.
func WriteCSV(dir string, show *sp.Show, sketch []sp.Placement) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return sp.Errorf(sp.CodeInput, "check the name of the folder", "%s cannot be made (%s)", dir, reason(err))
	}
	written := map[string]bool{}
	for _, s := range sheetsOf(show, sketch) {
		var buf bytes.Buffer
		buf.WriteString("\ufeff") // tells spreadsheet programs that this is UTF-8
		c := csv.NewWriter(&buf)
		if err := c.Write(s.headers); err != nil {
			return err
		}
		for _, row := range s.rows {
			texts := make([]string, len(row))
			for i, cell := range row {
				texts[i] = cell.text
			}
			if err := c.Write(texts); err != nil {
				return err
			}
		}
		c.Flush()
		name := s.kind.sheet + ".csv"
		written[name] = true
		if err := os.WriteFile(filepath.Join(dir, name), buf.Bytes(), 0o644); err != nil {
			return sp.Errorf(sp.CodeInput, "check whether you may write there", "%s cannot be written (%s)", name, reason(err))
		}
	}
	for i := range sheetKinds {
		name := sheetKinds[i].sheet + ".csv"
		if written[name] {
			continue
		}
		if err := os.Remove(filepath.Join(dir, name)); err != nil && !os.IsNotExist(err) {
			return sp.Errorf(sp.CodeInput, "remove it by hand", "the old file %s cannot be removed (%s)", name, reason(err))
		}
	}
	return nil
}

// bookWriter writes sheets with one look.
type bookWriter struct {
	f                          *excelize.File
	head, plain, note, example int // styles of headers, rows, explanations, remarks
	sheets                     int
}

func newBookWriter() (*bookWriter, error) {
	b := &bookWriter{f: excelize.NewFile()}
	styles := []struct {
		into  *int
		style *excelize.Style
	}{
		{&b.head, &excelize.Style{
			Font: &excelize.Font{Bold: true}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"},
			Border: []excelize.Border{{Type: "bottom", Color: "333333", Style: 2}},
		}},
		{&b.plain, &excelize.Style{Alignment: &excelize.Alignment{Vertical: "top"}}},
		{&b.note, &excelize.Style{Font: &excelize.Font{Italic: true, Color: "555555"}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}},
		{&b.example, &excelize.Style{Font: &excelize.Font{Italic: true, Color: "777777"}, Alignment: &excelize.Alignment{Vertical: "top"}}},
	}
	for _, s := range styles {
		id, err := b.f.NewStyle(s.style)
		if err != nil {
			return nil, fmt.Errorf("style of a workbook: %w", err)
		}
		*s.into = id
	}
	return b, nil
}

// add writes one sheet: remarks above the headers, and below them an
// explanation of the columns and example rows, which are remarks too.
func (b *bookWriter) add(s writtenSheet, remarks []string, examples [][]string) error {
	name := s.kind.sheet
	if b.sheets == 0 {
		if err := b.f.SetSheetName("Sheet1", name); err != nil {
			return err
		}
	} else if _, err := b.f.NewSheet(name); err != nil {
		return err
	}
	b.sheets++
	sw, err := b.f.NewStreamWriter(name)
	if err != nil {
		return err
	}
	for col, width := range s.widths() {
		if err := sw.SetColWidth(col+1, col+1, width); err != nil {
			return err
		}
	}
	top := len(remarks) + 1
	pane := &excelize.Panes{Freeze: true, YSplit: top, TopLeftCell: cellName(top+1, 0), ActivePane: "bottomLeft"}
	if err := sw.SetPanes(pane); err != nil {
		return err
	}
	row := 0
	put := func(style int, cells []cell) error {
		row++
		values := make([]any, len(cells))
		for i, c := range cells {
			values[i] = excelize.Cell{StyleID: style, Value: c.value()}
		}
		return sw.SetRow(cellName(row, 0), values)
	}
	for _, text := range remarks {
		if err := put(b.example, textCells([]string{text})); err != nil {
			return err
		}
	}
	if err := put(b.head, textCells(s.headers)); err != nil {
		return err
	}
	for i, cells := range examples {
		style := b.example
		if i == 0 {
			style = b.note
		}
		if err := put(style, textCells(cells)); err != nil {
			return err
		}
	}
	for _, cells := range s.rows {
		if err := put(b.plain, cells); err != nil {
			return err
		}
	}
	if err := sw.Flush(); err != nil {
		return err
	}
	return b.choices(s, top)
}

// choices adds drop-down lists to columns that take only certain words; any
// other spelling that can be read stays allowed.
func (b *bookWriter) choices(s writtenSheet, top int) error {
	if s.kind.upright {
		return nil
	}
	for col, header := range s.headers {
		for _, t := range s.kind.titles {
			if t.header != header || len(t.choices) == 0 {
				continue
			}
			dv := excelize.NewDataValidation(true)
			dv.SetSqref(cellName(top+1, col) + ":" + cellName(top+1000, col))
			if err := dv.SetDropList(t.choices); err != nil {
				continue // longer than a drop-down list may be
			}
			dv.ShowErrorMessage = false
			if err := b.f.AddDataValidation(s.kind.sheet, dv); err != nil {
				return err
			}
		}
	}
	return nil
}

func (b *bookWriter) finish(w io.Writer) error {
	b.f.SetActiveSheet(0)
	if err := b.f.SetDocProps(&excelize.DocProperties{Creator: "Sallyport", Created: "2027-01-01T00:00:00Z", Modified: "2027-01-01T00:00:00Z"}); err != nil {
		return err
	}
	var buf bytes.Buffer
	if err := b.f.Write(&buf); err != nil {
		return err
	}
	if err := b.f.Close(); err != nil {
		return err
	}
	return inOrder(w, buf.Bytes())
}

// inOrder writes the parts of a workbook in the order of their names, so that
// the same show gives the same file, byte for byte.
func inOrder(w io.Writer, book []byte) error {
	z, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	if err != nil {
		return fmt.Errorf("parts of a workbook: %w", err)
	}
	sort.Slice(z.File, func(i, j int) bool { return z.File[i].Name < z.File[j].Name })
	out := zip.NewWriter(w)
	for _, f := range z.File {
		if err := out.Copy(f); err != nil {
			return fmt.Errorf("part %s of a workbook: %w", f.Name, err)
		}
	}
	return out.Close()
}

// value returns what is stored in a workbook's cell.
func (c cell) value() any {
	switch c.kind {
	case cellBlank:
		return nil
	case cellNumber:
		return c.num
	}
	return c.text
}

func textCells(texts []string) []cell {
	cells := make([]cell, len(texts))
	for i, t := range texts {
		cells[i] = textCell(t)
	}
	return cells
}

// widths returns how wide columns are, in characters.
func (s writtenSheet) widths() []float64 {
	widths := make([]float64, len(s.headers))
	for col, header := range s.headers {
		longest := 0
		for _, word := range strings.Fields(header) {
			longest = max(longest, len([]rune(word)))
		}
		for _, row := range s.rows {
			if col < len(row) {
				longest = max(longest, len([]rune(row[col].text)))
			}
		}
		widths[col] = float64(min(max(longest+2, 9), 40))
	}
	return widths
}
