package workbook

import (
	"archive/zip"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strconv"
	"strings"
)

// The workbook is unpacked and read here as a stream instead of through a
// spreadsheet library: cells keep their type and their date formats, and
// neither memory nor time grows with what a file merely claims to hold.

// refusal is a source that cannot be read any further, with advice.
type refusal struct{ message, advice string }

func (r *refusal) Error() string { return r.message }

func refuse(advice, format string, args ...any) error {
	return &refusal{message: fmt.Sprintf(format, args...), advice: advice}
}

const adviceTooLarge = "keep only the sheets of the show, without pictures, and save it again"

// ReadXLSX reads a show from a workbook of the given size in bytes. The error
// lists every problem that stops planning; the Input is never nil.
func ReadXLSX(r io.ReaderAt, size int64) (*Input, error) {
	in := readXLSX(r, size)
	return in, in.err("")
}

func readXLSX(r io.ReaderAt, size int64) *Input {
	sheets, notes, err := openXLSX(r, size)
	if err != nil {
		var no *refusal
		if !errors.As(err, &no) {
			no = &refusal{message: fmt.Sprintf("the workbook is damaged (%v)", err), advice: "open it in a spreadsheet program and save it again as .xlsx"}
		}
		in := unreadable("", no.message, no.advice)
		in.Problems = append(in.Problems, notes...)
		return in
	}
	return interpret(sheets, notes)
}

// archive is an opened workbook with what may still be unpacked of it.
type archive struct {
	parts map[string]*zip.File
	left  int64
}

// openArchive looks at what the file claims to hold before unpacking any of it.
func openArchive(r io.ReaderAt, size int64) (*archive, error) {
	if size > maxFile {
		return nil, refuse(adviceTooLarge, "the workbook has %d MB, at most %d are read", size>>20, maxFile>>20)
	}
	z, err := zip.NewReader(r, size)
	if err != nil {
		return nil, refuse("open it in a spreadsheet program and save it again as .xlsx", "the file is not a whole workbook")
	}
	if len(z.File) > maxParts {
		return nil, refuse(adviceTooLarge, "the workbook is made of %d parts, at most %d are read", len(z.File), maxParts)
	}
	a := &archive{parts: map[string]*zip.File{}, left: maxContent}
	var total uint64
	for _, f := range z.File {
		name := strings.ToLower(strings.TrimPrefix(path.Clean(strings.ReplaceAll(f.Name, `\`, "/")), "/"))
		if _, twice := a.parts[name]; !twice {
			a.parts[name] = f
		}
		if strings.HasSuffix(name, ".xml") || strings.HasSuffix(name, ".rels") {
			total += min(f.UncompressedSize64, 1<<40)
		}
	}
	if total > maxContent {
		return nil, refuse(adviceTooLarge, "the workbook unpacks to %d MB, at most %d are read", total>>20, maxContent>>20)
	}
	return a, nil
}

// bounded counts what is really unpacked, whatever the file claimed.
type bounded struct {
	io.ReadCloser
	a *archive
}

func (b bounded) Read(p []byte) (int, error) {
	if b.a.left <= 0 {
		return 0, refuse(adviceTooLarge, "the workbook unpacks to more than %d MB", maxContent>>20)
	}
	if int64(len(p)) > b.a.left {
		p = p[:b.a.left]
	}
	n, err := b.ReadCloser.Read(p)
	b.a.left -= int64(n)
	return n, err
}

// tokens calls f with every start element, end element and text of a part;
// a part that does not exist has none.
func (a *archive) tokens(name string, f func(xml.Token) error) error {
	file := a.parts[strings.ToLower(name)]
	if file == nil {
		return nil
	}
	rc, err := file.Open()
	if err != nil {
		return err
	}
	defer rc.Close()
	d := xml.NewDecoder(bounded{rc, a})
	for {
		t, err := d.RawToken()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		if err := f(t); err != nil {
			return err
		}
	}
}

// attr returns an attribute by its local name.
func attr(e xml.StartElement, local string) string {
	for _, a := range e.Attr {
		if a.Name.Local == local {
			return a.Value
		}
	}
	return ""
}

// book is what the parts around the sheets say.
type book struct {
	*archive
	stringPart, stylePart string
	strings               []string
	times                 []bool // per cell style: its numbers are dates or times
	date1904              bool
	cells                 int // filled cells so far
}

// sheetPart is a sheet and where it is kept.
type sheetPart struct {
	name, part string
	hidden     bool
}

// openXLSX unpacks the sheets of a workbook.
func openXLSX(r io.ReaderAt, size int64) ([]*sheet, []Problem, error) {
	a, err := openArchive(r, size)
	if err != nil {
		return nil, nil, err
	}
	b := &book{archive: a}
	parts, err := b.sheetParts()
	if err != nil {
		return nil, nil, err
	}
	if err := b.readStrings(); err != nil {
		return nil, nil, err
	}
	if err := b.readStyles(); err != nil {
		return nil, nil, err
	}
	var sheets []*sheet
	var notes []Problem
	for _, p := range parts {
		if p.hidden {
			notes = append(notes, Problem{Sheet: p.name, Message: "the sheet is hidden and was left out", Advice: "unhide it if it belongs to the show", Severity: Note})
			continue
		}
		s, err := b.readSheet(p)
		if err != nil {
			return nil, notes, fmt.Errorf("sheet %s: %w", p.name, err)
		}
		sheets = append(sheets, s)
	}
	return sheets, notes, nil
}

// relations returns the targets of a part's relations by id, and by type.
func (a *archive) relations(part string) (byID, byType map[string]string, err error) {
	byID, byType = map[string]string{}, map[string]string{}
	dir, base := path.Split(part)
	err = a.tokens(dir+"_rels/"+base+".rels", func(t xml.Token) error {
		if e, ok := t.(xml.StartElement); ok && e.Name.Local == "Relationship" {
			target := attr(e, "Target")
			if strings.HasPrefix(target, "/") {
				target = strings.TrimPrefix(target, "/")
			} else {
				target = path.Join(dir, target)
			}
			byID[attr(e, "Id")] = target
			byType[path.Base(attr(e, "Type"))] = target
		}
		return nil
	})
	return byID, byType, err
}

// sheetParts lists the sheets in the order of their tabs.
func (b *book) sheetParts() ([]sheetPart, error) {
	_, root, err := b.relations("")
	if err != nil {
		return nil, err
	}
	main := root["officeDocument"]
	if main == "" || b.parts[strings.ToLower(main)] == nil {
		main = "xl/workbook.xml"
	}
	if b.parts[main] == nil {
		return nil, b.notAWorkbook()
	}
	targets, types, err := b.relations(main)
	if err != nil {
		return nil, err
	}
	b.stringPart, b.stylePart = types["sharedStrings"], types["styles"]
	var parts []sheetPart
	err = b.tokens(main, func(t xml.Token) error {
		e, ok := t.(xml.StartElement)
		switch {
		case !ok:
		case e.Name.Local == "workbookPr":
			b.date1904 = attr(e, "date1904") == "1" || attr(e, "date1904") == "true"
		case e.Name.Local == "sheet":
			p := sheetPart{name: attr(e, "name"), hidden: strings.HasSuffix(strings.ToLower(attr(e, "state")), "hidden")}
			for _, at := range e.Attr {
				if at.Name.Local == "id" {
					p.part = targets[at.Value]
				}
			}
			if len(parts) >= maxSheets {
				return refuse(adviceTooLarge, "the workbook has more than %d sheets", maxSheets)
			}
			if strings.Contains(p.part, "worksheets") || b.parts[strings.ToLower(p.part)] != nil && !strings.Contains(p.part, "chartsheets") {
				parts = append(parts, p)
			}
		}
		return nil
	})
	return parts, err
}

// notAWorkbook says what a zip file is that is no XLSX.
func (b *book) notAWorkbook() error {
	switch {
	case b.parts["xl/workbook.bin"] != nil:
		return refuse("save it as .xlsx", "this is a binary workbook (.xlsb)")
	case b.parts["content.xml"] != nil && b.parts["mimetype"] != nil:
		return refuse("save it as .xlsx, or each sheet as CSV", "this is an OpenDocument file")
	case b.parts["word/document.xml"] != nil:
		return refuse("copy its tables into a workbook and save that as .xlsx", "this is a text document")
	}
	return refuse("give the workbook itself, or unpack the archive first", "this is an archive without a workbook in it")
}

// readStrings reads the texts that cells share.
func (b *book) readStrings() error {
	var text strings.Builder
	inText, phonetic := false, false
	return b.tokens(b.stringPart, func(t xml.Token) error {
		switch t := t.(type) {
		case xml.StartElement:
			switch t.Name.Local {
			case "si":
				text.Reset()
			case "t":
				inText = true
			case "rPh":
				phonetic = true
			}
		case xml.EndElement:
			switch t.Name.Local {
			case "si":
				b.strings = append(b.strings, strings.TrimSpace(unescape(text.String())))
			case "t":
				inText = false
			case "rPh":
				phonetic = false
			}
		case xml.CharData:
			if inText && !phonetic {
				text.Write(t)
			}
		}
		return nil
	})
}

// readStyles finds out which cell styles show numbers as dates or times.
func (b *book) readStyles() error {
	formats := map[int]bool{}
	inCells := false
	return b.tokens(b.stylePart, func(t xml.Token) error {
		switch t := t.(type) {
		case xml.StartElement:
			switch t.Name.Local {
			case "numFmt":
				if id, err := strconv.Atoi(attr(t, "numFmtId")); err == nil {
					formats[id] = isTimeFormat(attr(t, "formatCode"))
				}
			case "cellXfs":
				inCells = true
			case "xf":
				if inCells {
					id, err := strconv.Atoi(attr(t, "numFmtId"))
					custom, known := formats[id]
					b.times = append(b.times, err == nil && (custom || !known && builtInTime(id)))
				}
			}
		case xml.EndElement:
			if t.Name.Local == "cellXfs" {
				inCells = false
			}
		}
		return nil
	})
}

// builtInTime reports whether a number format that has no code in the file is
// a date or a time (ECMA-376 part 1, 18.8.30).
func builtInTime(id int) bool {
	return id >= 14 && id <= 22 || id >= 27 && id <= 36 || id >= 45 && id <= 47 || id >= 50 && id <= 58
}

// isTimeFormat reports whether a format code shows a date or a time.
func isTimeFormat(code string) bool {
	for i := 0; i < len(code); i++ {
		switch c := code[i] | 0x20; {
		case code[i] == '"':
			if end := strings.IndexByte(code[i+1:], '"'); end >= 0 {
				i += end + 1
			}
		case code[i] == '\\' || code[i] == '_' || code[i] == '*':
			i++
		case code[i] == '[':
			end := strings.IndexByte(code[i:], ']')
			if end < 0 {
				return false
			}
			if inner := strings.ToLower(code[i+1 : i+end]); strings.Trim(inner, "hms") == "" && inner != "" {
				return true
			}
			i += end
		case c == 'y' || c == 'm' || c == 'd' || c == 'h' || c == 's':
			return true
		case code[i] == ';':
			return false
		}
	}
	return false
}
