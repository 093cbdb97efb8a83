package workbook

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	sp "sallyport"
)

// bookOf returns a workbook made by hand, with the rows of each sheet as XML.
// Style 1 is a date with a time, style 2 a time, style 3 a number that looks
// like neither.
func bookOf(t testing.TB, sheets map[string]string) []byte {
	t.Helper()
	var buf bytes.Buffer
	z := zip.NewWriter(&buf)
	put := func(name, text string) {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	var tabs, rels strings.Builder
	for i, name := range sortedKeys(sheets) {
		fmt.Fprintf(&tabs, `<x:sheet name="%s" sheetId="%d" r:id="r%d"/>`, name, i+1, i)
		fmt.Fprintf(&rels, `<Relationship Id="r%d" Type="http://x/worksheet" Target="/xl/worksheets/s%d.xml"/>`, i, i)
		put(fmt.Sprintf("xl/worksheets/s%d.xml", i), "<worksheet><sheetData>"+sheets[name]+"</sheetData></worksheet>")
	}
	put("_rels/.rels", `<Relationships><Relationship Id="a" Type="http://x/officeDocument" Target="xl/workbook.xml"/></Relationships>`)
	put("xl/workbook.xml", `<?xml version="1.0"?><x:workbook><x:sheets>`+tabs.String()+`</x:sheets></x:workbook>`)
	put("xl/_rels/workbook.xml.rels", `<Relationships><Relationship Id="t" Type="http://x/sharedStrings" Target="texts.xml"/><Relationship Id="u" Type="http://x/styles" Target="other/looks.xml"/>`+rels.String()+`</Relationships>`)
	put("xl/other/looks.xml", `<styleSheet><numFmts><numFmt numFmtId="164" formatCode="[$-809]ddd\ d\ mmm\ hh:mm;@"/><numFmt numFmtId="165" formatCode="0.00&quot; days&quot;"/></numFmts>
		<cellXfs><xf numFmtId="0"/><xf numFmtId="164"/><xf numFmtId="20"/><xf numFmtId="165"/></cellXfs></styleSheet>`)
	put("xl/texts.xml", `<sst><si><r><t>Avo</t></r><r><t>cet</t></r><rPh><t>nonsense</t></rPh></si><si><t>two_x000A_lines</t></si></sst>`)
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return buf.Bytes()
}

func TestCellsOfAWorkbook(t *testing.T) {
	data := bookOf(t, map[string]string{"Vehicles": `
		<row r="2"><c r="B2" t="s"><v>0</v></c><c t="inlineStr"><is><t> in line </t></is></c><c r="F2" t="str"><f>A1</f><v>made</v></c></row>
		<row r="4"><c r="A4"><v>3.4500000000000002</v></c><c s="1"><v>46564.4375</v></c><c s="2"><v>0.4375</v></c><c s="3"><v>2</v></c>
			<c t="b"><v>1</v></c><c t="e"><v>#N/A</v></c><c><f>B7</f></c><c t="s"><v>1</v></c><c t="s"><v>77</v></c></row>`})
	sheets, notes, err := openXLSX(bytes.NewReader(data), int64(len(data)))
	if err != nil || len(notes) > 0 || len(sheets) != 1 {
		t.Fatalf("%d sheets, %v, %v", len(sheets), notes, err)
	}
	got := map[string]string{}
	kinds := map[string]cellKind{}
	for _, row := range sheets[0].rows {
		for col, c := range row.cells {
			if c.kind != cellBlank {
				got[cellName(row.number, col)], kinds[cellName(row.number, col)] = c.text, c.kind
			}
		}
	}
	want := map[string]string{
		"B2": "Avocet", "C2": "in line", "F2": "made", "A4": "3.45", "B4": "2027-06-26 10:30", "C4": "10:30", "D4": "2", "E4": "yes", "F4": "#N/A",
		"G4": "formula without a result", "H4": "two\nlines",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("cells (-want +got):\n%s", diff)
	}
	for cell, kind := range map[string]cellKind{"A4": cellNumber, "B4": cellTime, "C4": cellTime, "D4": cellNumber, "F4": cellBroken, "G4": cellBroken, "B2": cellText} {
		if kinds[cell] != kind {
			t.Errorf("%s is of kind %d, not %d", cell, kinds[cell], kind)
		}
	}
}

// A workbook as a spreadsheet program saves it: real dates and times, cells
// merged downwards and across, a hidden sheet.
func TestWorkbookOfASpreadsheetProgram(t *testing.T) {
	f := excelize.NewFile()
	defer f.Close()
	check := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	check(f.SetSheetName("Sheet1", "Order of events"))
	day := time.Date(2027, 6, 26, 0, 0, 0, 0, time.UTC)
	rows := [][]any{
		{"Programme of the midsummer show"},
		{},
		{"Day", "Serial", "Arena in", "Arena out", "Vehicle"},
		{day, 1, day.Add(10*time.Hour + 30*time.Minute), 10.5, "Avocet"},
		{nil, nil, nil, nil, "Dunlin"},
		{nil, 2, 0.5, 0.5 + 1.0/72, "Avocet"},
	}
	for i, row := range rows {
		check(f.SetSheetRow("Order of events", cellName(i+1, 0), &row))
	}
	clock, err := f.NewStyle(&excelize.Style{NumFmt: 20})
	check(err)
	check(f.SetCellStyle("Order of events", "C6", "D6", clock))
	check(f.SetCellValue("Order of events", "D4", "10:50"))
	check(f.MergeCell("Order of events", "A1", "E1"))
	check(f.MergeCell("Order of events", "A4", "A6"))
	check(f.MergeCell("Order of events", "B4", "B5"))
	for sheet, cells := range map[string][][]any{
		"Vehicles": {{"Vehicle", "Owner"}, {"Avocet", "Fenmoor"}, {"Dunlin"}}, "Lanes": {{"Lane", "Length (m)"}, {"A1", 20.5}}, "Old": {{"Vehicle", "Owner"}, {"Knot", "?"}},
	} {
		_, err := f.NewSheet(sheet)
		check(err)
		for i, row := range cells {
			check(f.SetSheetRow(sheet, cellName(i+1, 0), &row))
		}
	}
	check(f.MergeCell("Vehicles", "B2", "B3"))
	check(f.SetSheetVisible("Old", false))
	var buf bytes.Buffer
	check(f.Write(&buf))
	in, err := ReadXLSX(bytes.NewReader(buf.Bytes()), int64(buf.Len()))
	check(err)
	if v := in.Show.Vehicles; len(v) != 2 || v[1].Owner != "Fenmoor" {
		t.Errorf("vehicles: %+v", v)
	}
	want := []sp.Serial{
		{ID: "1", ArenaIn: sp.At(1, 10, 30), ArenaOut: sp.At(1, 10, 50), Entries: []sp.Entry{{ID: "1/avocet", Unit: "avocet"}, {ID: "1/dunlin", Unit: "dunlin"}}},
		{ID: "2", ArenaIn: sp.At(1, 12, 0), ArenaOut: sp.At(1, 12, 20), Entries: []sp.Entry{{ID: "2/avocet", Unit: "avocet"}}},
	}
	if diff := cmp.Diff(want, in.Show.Serials); diff != "" {
		t.Errorf("serials (-want +got):\n%s", diff)
	}
	if in.Show.FirstDate != "2027-06-26" || len(in.Show.Days) != 1 || in.Show.Days[0].Name != "Saturday" {
		t.Errorf("first date %q, days %+v", in.Show.FirstDate, in.Show.Days)
	}
	var hidden bool
	for _, p := range in.Problems {
		hidden = hidden || p.Sheet == "Old" && p.Severity == Note
	}
	if !hidden {
		t.Errorf("the hidden sheet is not mentioned: %v", in.Problems)
	}
}

func TestFilesThatAreNoWorkbooks(t *testing.T) {
	zipped := func(names ...string) []byte {
		var buf bytes.Buffer
		z := zip.NewWriter(&buf)
		for _, name := range names {
			if _, err := z.Create(name); err != nil {
				t.Fatal(err)
			}
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		return buf.Bytes()
	}
	whole := bookOf(t, map[string]string{"Vehicles": `<row><c><v>1</v></c></row>`})
	cases := map[string]struct {
		data []byte
		want string
	}{
		"empty":          {nil, "the file is empty"},
		"old workbook":   {[]byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1...."), "old .xls workbook or one locked"},
		"pdf":            {[]byte("%PDF-1.7"), "PDF"},
		"text":           {[]byte("hello"), "contents are not"},
		"cut off":        {whole[:len(whole)/2], "not a whole workbook"},
		"binary":         {zipped("xl/workbook.bin"), ".xlsb"},
		"open document":  {zipped("mimetype", "content.xml"), "OpenDocument"},
		"word processor": {zipped("word/document.xml"), "text document"},
		"other archive":  {zipped("holiday.jpg"), "archive without a workbook"},
		"no show":        {whole, "no row of headers"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			in := readBytes("show.xlsx", c.data)
			if err := in.err("show.xlsx"); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("the error is %v", err)
			}
		})
	}
}
