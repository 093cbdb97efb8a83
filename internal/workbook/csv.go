package workbook

import (
	"bytes"
	"fmt"
	"io/fs"
	"path"
	"sort"
	"strings"
	"unicode/utf8"
)

// tableFile is one CSV file.
type tableFile struct {
	name string
	data []byte
}

// ReadCSV reads a show from the CSV files in the top folder of fsys, one file
// a sheet; the name of the file is the name of the sheet. Separators may be
// commas, semicolons or tabs. The error lists every problem that stops
// planning; the Input is never nil.
func ReadCSV(fsys fs.FS) (*Input, error) {
	in := readFolder(fsys)
	return in, in.err("")
}

func readFolder(fsys fs.FS) *Input {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return unreadable("", "the folder cannot be read ("+reason(err)+")", "check its name and whether you may read it")
	}
	var files []tableFile
	other := ""
	var total int64
	for _, e := range entries {
		ext := strings.ToLower(path.Ext(e.Name()))
		if e.IsDir() || strings.HasPrefix(e.Name(), ".") || ext != ".csv" && ext != ".tsv" {
			if ext == ".xlsx" || ext == ".json" {
				other = e.Name()
			}
			continue
		}
		if len(files) >= maxSheets {
			return unreadable("", fmt.Sprintf("the folder holds more than %d CSV files", maxSheets), "keep only those of the show")
		}
		info, err := e.Info()
		if err == nil {
			total += info.Size()
		}
		if total > maxFile {
			return unreadable(e.Name(), fmt.Sprintf("the CSV files have more than %d MB together", maxFile>>20), "keep only those of the show")
		}
		data, err := fs.ReadFile(fsys, e.Name())
		if err != nil {
			return unreadable(e.Name(), "the file cannot be read ("+reason(err)+")", "check whether you may read it")
		}
		files = append(files, tableFile{e.Name(), data})
	}
	if len(files) == 0 {
		advice := "put one CSV file for each sheet into it, such as Vehicles.csv, Lanes.csv and Serials.csv"
		if other != "" {
			advice = "to read " + other + ", name that file instead of the folder"
		}
		return unreadable("", "the folder holds no CSV file", advice)
	}
	sort.Slice(files, func(i, j int) bool { return files[i].name < files[j].name })
	return readTables(files)
}

// readTables reads CSV files as the sheets of one show.
func readTables(files []tableFile) *Input {
	var sheets []*sheet
	var problems []Problem
	cells := 0
	for _, f := range files {
		s, err := splitCSV(f, &cells)
		if err != nil {
			no := err.(*refusal)
			problems = append(problems, Problem{Sheet: f.name, Message: no.message, Advice: no.advice, Severity: Stop})
			continue
		}
		sheets = append(sheets, s)
	}
	if len(sheets) == 0 {
		return &Input{Problems: problems}
	}
	return interpret(sheets, problems)
}

// readable checks that a file is UTF-8 text and takes the byte order mark off.
func readable(data []byte) ([]byte, error) {
	if bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")) {
		return nil, refuse("save it as CSV in UTF-8", "the file is in UTF-16")
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return nil, refuse("save the sheet as CSV in UTF-8", "the file is no text (line %d holds a zero byte)", lineAt(data, i))
	}
	if utf8.Valid(data) {
		return data, nil
	}
	for i := 0; i < len(data); {
		r, n := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && n == 1 {
			return nil, refuse("save it as CSV in UTF-8 (spreadsheet programs offer it in the list of file types); as it stands, letters with accents would be lost",
				"line %d is not UTF-8: byte 0x%02X after %q; it looks like Windows-1252 or Latin-1", lineAt(data, i), data[i], tailOfLine(data[:i]))
		}
		i += n
	}
	return data, nil
}

// lineAt returns the number of the line that holds byte i.
func lineAt(data []byte, i int) int { return bytes.Count(data[:i], []byte("\n")) + 1 }

// tailOfLine returns the last few characters before a bad byte.
func tailOfLine(data []byte) string {
	line := data[bytes.LastIndexByte(data, '\n')+1:]
	runes := []rune(string(line))
	return string(runes[max(0, len(runes)-20):])
}

// splitCSV splits a file into rows and cells. Row numbers are those a
// spreadsheet program shows for the same file.
func splitCSV(f tableFile, cells *int) (*sheet, error) {
	data, err := readable(f.data)
	if err != nil {
		return nil, err
	}
	text := string(data)
	sep := byte(0)
	if first, rest, ok := strings.Cut(text, "\n"); ok || first != "" {
		first = strings.TrimSpace(first)
		if len(first) == 5 && strings.EqualFold(first[:4], "sep=") {
			sep = first[4]
			text = "\n" + rest
		}
	}
	if sep == 0 {
		sep = separator(text)
	}
	s := &sheet{name: strings.TrimSuffix(f.name, path.Ext(f.name))}
	p := splitter{text: text, sep: sep}
	for p.more() {
		row, err := p.record()
		if err != nil {
			return nil, err
		}
		n, _ := row.filled()
		if n == 0 {
			continue
		}
		if len(s.rows) >= maxRows {
			return nil, refuse("split the file or remove what does not belong to the show", "there are more than %d filled rows", maxRows)
		}
		if *cells += n; *cells > maxCells {
			return nil, refuse("remove what does not belong to the show", "the files have more than %d filled cells", maxCells)
		}
		s.rows = append(s.rows, row)
	}
	return s, nil
}

// separator tells which of comma, semicolon and tab splits the first lines
// into the most known headers, else into the most even columns; a comma when
// none does.
func separator(text string) byte {
	best, bestScore := byte(','), 0
	for _, sep := range []byte{',', ';', '\t'} {
		p := splitter{text: text, sep: sep}
		counts := map[int]int{}
		heads := 0
		for n := 0; n < 50 && p.more(); n++ {
			row, err := p.record()
			if err != nil {
				break
			}
			if len(row.cells) > 1 {
				counts[len(row.cells)]++
				heads = max(heads, knownHeads(row))
			}
		}
		score := 0
		for width, lines := range counts {
			score = max(score, lines*1000+min(width, 999))
		}
		if score += heads * 100_000; score > bestScore {
			best, bestScore = sep, score
		}
	}
	return best
}

// knownHeads counts the cells of a row that are a header of any sheet.
func knownHeads(row sheetRow) int {
	n := 0
	for _, c := range row.cells {
		base, _, _ := strings.Cut(c.text, "(")
		key := squash(base)
		for i := range sheetKinds {
			if sheetKinds[i].hasHead(key) {
				n++
				break
			}
		}
	}
	return n
}

// splitter walks through CSV text (RFC 4180, and what spreadsheets write).
type splitter struct {
	text string
	sep  byte
	pos  int
	row  int
}

func (p *splitter) more() bool { return p.pos < len(p.text) }

// record reads one row. A quoted cell may hold separators, line ends and
// doubled quotes; quotes inside an unquoted cell stand for themselves.
func (p *splitter) record() (sheetRow, error) {
	p.row++
	row := sheetRow{number: p.row}
	for {
		text, err := p.field()
		if err != nil {
			return row, err
		}
		if len(row.cells) >= maxColumns {
			if strings.TrimSpace(text) != "" {
				return row, refuse("remove what stands out there", "row %d has more than %d columns", p.row, maxColumns)
			}
		} else {
			row.cells = append(row.cells, textCell(text))
		}
		if p.pos >= len(p.text) {
			return row, nil
		}
		c := p.text[p.pos]
		p.pos++
		if c == p.sep {
			continue
		}
		if c == '\r' && p.pos < len(p.text) && p.text[p.pos] == '\n' {
			p.pos++
		}
		return row, nil
	}
}

// field reads one cell and stops at the separator or line end behind it.
func (p *splitter) field() (string, error) {
	if p.pos < len(p.text) && p.text[p.pos] == '"' {
		return p.quoted()
	}
	start := p.pos
	for p.pos < len(p.text) && p.text[p.pos] != p.sep && p.text[p.pos] != '\n' && p.text[p.pos] != '\r' {
		p.pos++
	}
	if p.pos-start > maxText*4 {
		return "", refuse("shorten it", "a cell in row %d holds more than %d characters", p.row, maxText)
	}
	return p.text[start:p.pos], nil
}

func (p *splitter) quoted() (string, error) {
	p.pos++
	var b strings.Builder
	for {
		i := strings.IndexByte(p.text[p.pos:], '"')
		if i < 0 || i > maxText*4 || b.Len() > maxText*4 {
			return "", refuse("close the quotation mark, or save the sheet as CSV again", "a quotation mark opened in row %d is not closed", p.row)
		}
		b.WriteString(p.text[p.pos : p.pos+i])
		p.pos += i + 1
		if p.pos < len(p.text) && p.text[p.pos] == '"' {
			b.WriteByte('"')
			p.pos++
			continue
		}
		// What follows the closing quote up to the separator belongs to the cell.
		start := p.pos
		for p.pos < len(p.text) && p.text[p.pos] != p.sep && p.text[p.pos] != '\n' && p.text[p.pos] != '\r' {
			p.pos++
		}
		b.WriteString(p.text[start:p.pos])
		return b.String(), nil
	}
}
