package workbook

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite what the golden cases expect")

// The golden cases in testdata/workbook are people's files as text. A case
// begins with a remark that says what it is about; then come its sheets,
// "== Vehicles", with cells between bars, or files, "== file Lanes.csv", as
// they are. A cell may start with n: (a number), t: (a date or time as a
// spreadsheet counts it), e: (an error) or w3: (merged over three columns).
// A row that is written ~ is blank. What is read from them follows, under
// "== reads": every problem, then every field of the show.
func TestGolden(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "workbook", "*.txt"))
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < 25 {
		t.Fatalf("there are only %d golden cases", len(files))
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			source, want, _ := strings.Cut(string(data), "== reads\n")
			got := describe(t, readCase(t, source))
			if *update {
				if err := os.WriteFile(file, []byte(source+"== reads\n"+got), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if got != want {
				t.Errorf("reads\n%s\nbut should read\n%s", got, want)
			}
		})
	}
}

// readCase reads the sheets or files of a case.
func readCase(t testing.TB, source string) *Input {
	t.Helper()
	var sheets []*sheet
	var files []tableFile
	for _, part := range strings.Split("\n"+source, "\n== ")[1:] {
		name, body, _ := strings.Cut(part, "\n")
		if file, ok := strings.CutPrefix(name, "file "); ok {
			if text, err := strconv.Unquote(strings.TrimSpace(body)); err == nil {
				body = text
			}
			files = append(files, tableFile{file, []byte(body)})
			continue
		}
		sheets = append(sheets, textSheet(t, name, body))
	}
	switch {
	case len(files) == 1:
		return readBytes(files[0].name, files[0].data)
	case len(files) > 1:
		return readTables(files)
	}
	return interpret(sheets, nil)
}

// textSheet makes a sheet of lines of text.
func textSheet(t testing.TB, name, body string) *sheet {
	t.Helper()
	s := &sheet{name: name}
	for i, text := range strings.Split(strings.TrimRight(body, "\n"), "\n") {
		if text == "~" || text == "" {
			continue
		}
		row := sheetRow{number: i + 1}
		for _, c := range strings.Split(text, "|") {
			row.cells = append(row.cells, textToCell(t, strings.TrimSpace(c)))
		}
		s.rows = append(s.rows, row)
	}
	return s
}

func textToCell(t testing.TB, text string) cell {
	t.Helper()
	kind, rest, ok := strings.Cut(text, ":")
	if !ok {
		return textCell(strings.ReplaceAll(text, `\n`, "\n"))
	}
	n, err := strconv.ParseFloat(rest, 64)
	switch {
	case kind == "n" && err == nil:
		return numberCell(n)
	case kind == "t" && err == nil:
		return timeCell(n)
	case kind == "e":
		return cell{kind: cellBroken, text: rest}
	case len(kind) == 2 && kind[0] == 'w' && isDigit(kind[1]):
		c := textCell(rest)
		c.wide = uint16(kind[1] - '0')
		return c
	}
	return textCell(strings.ReplaceAll(text, `\n`, "\n"))
}

// describe lists the problems and every field of the show that is given.
func describe(t *testing.T, in *Input) string {
	t.Helper()
	var b strings.Builder
	for _, p := range in.Problems {
		fmt.Fprintf(&b, "%s: %s\n", p.Severity, p)
	}
	if in.Show == nil {
		return b.String()
	}
	if len(in.Stops()) == 0 {
		// The words are those of the show's judge; here it matters where to look.
		for _, p := range in.Contradictions() {
			fmt.Fprintf(&b, "the judge of the show, %s: look at %s %s (%s)\n", p.Severity, p.Sheet, p.Cell, p.Field)
		}
	}
	var buf bytes.Buffer
	if err := WriteJSON(&buf, in.Show); err != nil {
		t.Fatal(err)
	}
	var tree any
	if err := json.Unmarshal(buf.Bytes(), &tree); err != nil {
		t.Fatal(err)
	}
	flatten(&b, "", tree)
	for _, p := range in.Sketch {
		fmt.Fprintf(&b, "place: %s after %q in %s, place %d\n", p.Unit, p.After, p.Lane, p.Place)
	}
	return b.String()
}

// flatten writes one line for each thing of the show.
func flatten(b *strings.Builder, path string, v any) {
	switch v := v.(type) {
	case map[string]any:
		simple := true
		for _, x := range v {
			if list, ok := x.([]any); ok && len(list) > 0 {
				if _, ok := list[0].(map[string]any); ok {
					simple = false
				}
			}
		}
		if simple && path != "" {
			fmt.Fprintf(b, "%s:", path)
			for _, key := range sortedKeys(v) {
				text, _ := json.Marshal(v[key])
				fmt.Fprintf(b, " %s=%s", key, text)
			}
			b.WriteString("\n")
			return
		}
		for _, key := range sortedKeys(v) {
			flatten(b, strings.TrimPrefix(path+"/"+key, "/"), v[key])
		}
	case []any:
		for i, x := range v {
			flatten(b, fmt.Sprintf("%s/%d", path, i), x)
		}
	case nil:
	default:
		if path != "format" {
			fmt.Fprintf(b, "%s: %v\n", path, v)
		}
	}
}
