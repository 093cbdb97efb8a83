// Package workbook reads a show from spreadsheets (XLSX), a folder of CSV
// files or the project's own JSON, and writes all three. Everything a person
// typed goes through one neutral layer: a source becomes sheets of cells, one
// interpreter finds the header rows, maps columns to fields, reads units and
// times and collects every problem in one pass, each with sheet, cell, value
// and what to do about it.
package workbook

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	sp "sallyport"
)

// Severity says what a problem does to planning.
type Severity string

// Stop is a contradiction or something unreadable: no planning before it is
// put right. Assumed was read in one of several possible ways, or filled in;
// a person should look at it. Note was left out, and does no harm.
const (
	Stop    Severity = "stop"
	Assumed Severity = "assumed"
	Note    Severity = "note"
)

// Problem is one finding in a source, with the place to look at. Row and
// Column count from 1 and are 0 when the finding is about a whole sheet or
// file; Cell is then empty. In JSON, Cell is the path of the value, such as
// /vehicles/3/length_cm, and Row and Column are line and column of the file
// when they are known.
type Problem struct {
	Sheet    string   `json:"sheet,omitempty"`
	Cell     string   `json:"cell,omitempty"`
	Row      int      `json:"row,omitempty"`
	Column   int      `json:"column,omitempty"`
	Field    string   `json:"field,omitempty"`
	Value    string   `json:"value,omitempty"`
	Message  string   `json:"message"`
	Advice   string   `json:"advice,omitempty"`
	Severity Severity `json:"severity"`
}

// String returns the problem on one line: where, what stands there, what is
// wrong, what to do.
func (p Problem) String() string {
	var b strings.Builder
	b.WriteString(p.Sheet)
	if p.Cell != "" {
		if p.Sheet != "" {
			b.WriteString(" ")
		}
		b.WriteString(p.Cell)
	}
	if b.Len() > 0 {
		b.WriteString(": ")
	}
	if p.Value != "" {
		fmt.Fprintf(&b, "%q: ", shorten(p.Value))
	}
	b.WriteString(p.Message)
	if p.Advice != "" {
		b.WriteString("; ")
		b.WriteString(p.Advice)
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// shorten cuts what was typed to a length that leaves the message readable.
func shorten(s string) string {
	runes := []rune(s)
	if len(runes) <= 80 {
		return s
	}
	return string(runes[:77]) + "..."
}

// Input is what a source holds. Sketch is the plan made by hand on its sheet
// of places, Plan that of a plan file. Show is nil only when the source could
// not be read at all, or holds a plan.
type Input struct {
	Show     *sp.Show
	Sketch   []sp.Placement
	Plan     *sp.Plan
	Problems []Problem

	where map[object]*record
}

// object names one thing of a show: "vehicle" and its id.
type object struct{ kind, id string }

// Where returns the sheet and cell from which a field of a thing was read:
// the kind is a word such as vehicle, lane or serial, the field its name in
// the JSON format or in words. When that field has no cell of its own, the
// cell that names the thing is returned. ok is false for things that came
// from no cell.
func (in *Input) Where(kind, id, field string) (sheet, cell string, ok bool) {
	rec, col := in.locate(kind, id, field)
	if rec == nil {
		return "", "", false
	}
	return rec.sheet.name, cellName(rec.row, col), true
}

func (in *Input) locate(kind, id, field string) (*record, int) {
	if kind == "reset window" {
		kind = "reset"
	}
	rec := in.where[object{kind, id}]
	if rec == nil {
		return nil, 0
	}
	if col, ok := rec.cells[field]; ok {
		return rec, col
	}
	for _, k := range sheetKinds {
		if k.kind != kind {
			continue
		}
		for _, h := range k.heads {
			if col, ok := rec.cells[h.field]; ok && h.names[squash(field)] {
				return rec, col
			}
		}
	}
	if col, ok := rec.cells["entries"]; ok && kind == "entry" {
		return rec, col // listed in its serial's row
	}
	return rec, rec.first
}

// Contradictions returns what sallyport.Validate finds in the show, each with
// the sheet and cell to look at where there is one.
func (in *Input) Contradictions() []Problem {
	if in.Show == nil {
		return nil
	}
	var list []Problem
	for _, v := range sp.Validate(in.Show) {
		p := Problem{Field: v.Field, Value: v.Value, Message: v.Message, Advice: v.Advice, Severity: Note}
		if v.Severity == sp.Stop {
			p.Severity = Stop
		}
		if rec, col := in.locate(v.Kind, v.ID, v.Field); rec != nil {
			p.Sheet, p.Cell, p.Row, p.Column = rec.sheet.name, cellName(rec.row, col), rec.row, col+1
		}
		list = append(list, p)
	}
	return list
}

// Stops returns the problems that stop planning.
func (in *Input) Stops() []Problem {
	var stops []Problem
	for _, p := range in.Problems {
		if p.Severity == Stop {
			stops = append(stops, p)
		}
	}
	return stops
}

// err returns an error that lists every problem that stops planning, nil when
// there is none.
func (in *Input) err(name string) error {
	stops := in.Stops()
	if len(stops) == 0 {
		return nil
	}
	var b strings.Builder
	if name != "" {
		fmt.Fprintf(&b, "%s: ", name)
	}
	if len(stops) == 1 {
		b.WriteString(stops[0].String())
	} else {
		fmt.Fprintf(&b, "%d things to put right first", len(stops))
		for _, p := range stops {
			b.WriteString("\n  ")
			b.WriteString(p.String())
		}
	}
	return &sp.Error{Code: sp.CodeInput, Message: b.String()}
}

// unreadable returns an input with one problem about the whole source.
func unreadable(sheet, message, advice string) *Input {
	return &Input{Problems: []Problem{{Sheet: sheet, Message: message, Advice: advice, Severity: Stop}}}
}

// Read reads the file or folder at path: an XLSX workbook, a CSV file, a
// folder of CSV files, or a show or plan in JSON. What a file is, is told by
// its first bytes, then by its name. The error, if any, lists every problem
// that stops planning; the Input is returned with it, as far as it was read.
func Read(path string) (*Input, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, sp.Errorf(sp.CodeInput, "check the name of the file or folder", "%s cannot be opened (%s)", path, reason(err))
	}
	base := filepath.Base(path)
	if info.IsDir() {
		in, _ := ReadCSV(os.DirFS(path))
		return in, in.err(base)
	}
	if info.Size() > maxFile {
		in := unreadable("", fmt.Sprintf("the file has %d MB", info.Size()>>20), fmt.Sprintf("a show needs less than %d MB: remove pictures and other sheets", maxFile>>20))
		return in, in.err(base)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, sp.Errorf(sp.CodeInput, "check that you may read it", "%s cannot be read (%s)", path, reason(err))
	}
	in := readBytes(base, data)
	return in, in.err(base)
}

// reason returns the part of a file system error that does not repeat the path.
func reason(err error) string {
	if pe, ok := err.(*fs.PathError); ok {
		return pe.Err.Error()
	}
	return err.Error()
}

// ReadBytes reads a file that is not on the disk, as Read does; name is what it
// was called.
func ReadBytes(name string, data []byte) (*Input, error) {
	base := filepath.Base(name)
	if len(data) > maxFile {
		in := unreadable("", fmt.Sprintf("the file has %d MB", len(data)>>20), fmt.Sprintf("a show needs less than %d MB: remove pictures and other sheets", maxFile>>20))
		return in, in.err(base)
	}
	in := readBytes(base, data)
	return in, in.err(base)
}

// readBytes reads one file by its first bytes, then by its name.
func readBytes(base string, data []byte) *Input {
	trimmed := bytes.TrimLeft(bytes.TrimPrefix(data, []byte("\ufeff")), " \t\r\n")
	ext := strings.ToLower(filepath.Ext(base))
	switch {
	case len(trimmed) == 0:
		return unreadable("", "the file is empty", "fill in the template and try again")
	case bytes.HasPrefix(data, []byte("PK")):
		in, _ := ReadXLSX(bytes.NewReader(data), int64(len(data)))
		return in
	case bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0")):
		return unreadable("", "this is an old .xls workbook or one locked with a password", "open it in a spreadsheet program and save it as .xlsx without a password")
	case bytes.HasPrefix(data, []byte("%PDF")):
		return unreadable("", "this is a PDF, not a workbook", "ask for the spreadsheet it was printed from")
	case trimmed[0] == '{' || ext == ".json":
		in, _ := ReadJSON(bytes.NewReader(data))
		return in
	case ext == ".xlsx" || ext == ".xlsm":
		return unreadable("", "the name says workbook, but the contents are not one", "open it in a spreadsheet program and save it again as .xlsx")
	}
	return readTables([]tableFile{{name: base, data: data}})
}
