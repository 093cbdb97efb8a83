package workbook

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What docs/format.md says of sheets and of JSON is so.
func TestDocs(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "docs", "format.md"))
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	_, example, ok := strings.Cut(text, "```json\n")
	example, _, ok2 := strings.Cut(example, "```")
	if !ok || !ok2 {
		t.Fatal("there is no JSON example")
	}
	in := readBytes("show.json", []byte(example))
	if err := in.err(""); err != nil {
		t.Errorf("the example cannot be read: %v", err)
	}
	validate(t, []byte(example))
	for _, k := range sheetKinds {
		if !strings.Contains(text, k.sheet) {
			t.Errorf("the sheet %s is not described", k.sheet)
		}
	}
	_, table, _ := strings.Cut(text, "| sheet | one row is")
	table, _, _ = strings.Cut(table, "\n\n")
	for _, row := range strings.Split(table, "\n")[2:] {
		cells := strings.Split(row, "|")
		for _, name := range strings.FieldsFunc(cells[4], func(r rune) bool { return r == ',' || r == ';' }) {
			if strings.TrimSpace(name) != "" && kindByName(name) == nil {
				t.Errorf("no sheet is called %s", name)
			}
		}
	}
}
