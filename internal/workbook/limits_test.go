package workbook

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"encoding/binary"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"
)

// zeros is an endless source of spaces.
type zeros struct{}

func (zeros) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = ' '
	}
	return len(p), nil
}

// bomb returns a workbook whose first sheet unpacks to size bytes. When lie is
// set, the archive claims that it holds only a few.
func bomb(t *testing.T, size int64, lie bool) []byte {
	t.Helper()
	var buf bytes.Buffer
	z := zip.NewWriter(&buf)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.BestSpeed) })
	put := func(name, head string, fill int64, tail string) {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(w, io.MultiReader(strings.NewReader(head), io.LimitReader(zeros{}, fill), strings.NewReader(tail))); err != nil {
			t.Fatal(err)
		}
	}
	put("[Content_Types].xml", "<Types/>", 0, "")
	put("_rels/.rels", `<Relationships><Relationship Id="r1" Type="x/officeDocument" Target="xl/workbook.xml"/></Relationships>`, 0, "")
	put("xl/workbook.xml", `<workbook><sheets><sheet name="Vehicles" r:id="r1"/></sheets></workbook>`, 0, "")
	put("xl/_rels/workbook.xml.rels", `<Relationships><Relationship Id="r1" Type="x/worksheet" Target="worksheets/sheet1.xml"/></Relationships>`, 0, "")
	put("xl/worksheets/sheet1.xml", `<worksheet><sheetData>`, size, `</sheetData></worksheet>`)
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	data := buf.Bytes()
	if lie {
		for i := 0; i+46 < len(data); i++ {
			if bytes.HasPrefix(data[i:], []byte("PK\x01\x02")) && binary.LittleEndian.Uint32(data[i+24:]) > 1<<20 {
				binary.LittleEndian.PutUint32(data[i+24:], 1000)
			}
		}
	}
	return data
}

func TestZipBomb(t *testing.T) {
	for name, lie := range map[string]bool{"honest": false, "lying": true} {
		t.Run(name, func(t *testing.T) {
			data := bomb(t, 200<<20, lie)
			if len(data) > 4<<20 {
				t.Fatalf("the bomb has %d bytes", len(data))
			}
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			start := time.Now()
			_, err := ReadXLSX(bytes.NewReader(data), int64(len(data)))
			took := time.Since(start)
			runtime.ReadMemStats(&after)
			want := "unpacks to"
			if lie {
				want = "damaged" // a part longer than it claims to be is never unpacked further
			}
			if err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("the error is %v", err)
			}
			if used := (after.TotalAlloc - before.TotalAlloc) >> 20; used > 300 {
				t.Errorf("reading took %d MB of memory", used)
			}
			if took > 5*time.Second {
				t.Errorf("reading took %s", took)
			}
		})
	}
}

// tall returns a workbook with a sheet of n vehicles, and lanes and serials.
func tall(t testing.TB, n int) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	if err := f.SetSheetName("Sheet1", "Vehicles"); err != nil {
		t.Fatal(err)
	}
	w, err := f.NewStreamWriter("Vehicles")
	if err != nil {
		t.Fatal(err)
	}
	rows := [][]any{{"Id", "Vehicle", "Number", "Length (m)", "Width (m)", "Mass (kg)", "Owner", "Contingent", "Class", "Note"}}
	for i := range n {
		rows = append(rows, []any{fmt.Sprintf("v%d", i), fmt.Sprintf("Vehicle %d", i), fmt.Sprintf("F %d", i), 3.5, 1.6, 1100 + i%50, "Fenmoor", "own", "light wheeled", "a remark"})
	}
	for i, row := range rows {
		if err := w.SetRow(cellName(i+1, 0), row); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	for sheet, cells := range map[string][][]any{
		"Lanes": {{"Lane", "Length (m)"}, {"A1", 20}}, "Serials": {{"Serial", "Time", "Vehicles"}, {"1", "10:30", "Vehicle 7"}},
	} {
		if _, err := f.NewSheet(sheet); err != nil {
			t.Fatal(err)
		}
		for i, row := range cells {
			if err := f.SetSheetRow(sheet, cellName(i+1, 0), &row); err != nil {
				t.Fatal(err)
			}
		}
	}
	var buf bytes.Buffer
	if err := f.Write(&buf); err != nil {
		t.Fatal(err)
	}
	return buf.Bytes()
}

func TestTenThousandRows(t *testing.T) {
	data := tall(t, 10_000)
	start := time.Now()
	in, err := ReadXLSX(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	if took := time.Since(start); took > 5*time.Second {
		t.Errorf("reading took %s", took)
	}
	if len(in.Show.Vehicles) != 10_000 || in.Show.Vehicles[9_999].Name != "Vehicle 9999" {
		t.Errorf("read %d vehicles", len(in.Show.Vehicles))
	}
}

func BenchmarkTenThousandRows(b *testing.B) {
	data := tall(b, 10_000)
	for b.Loop() {
		if _, err := ReadXLSX(bytes.NewReader(data), int64(len(data))); err != nil {
			b.Fatal(err)
		}
	}
}

// Ten thousand rows that are all wrong are reported in good time, and not on
// ten thousand lines.
func TestTenThousandMistakes(t *testing.T) {
	var b strings.Builder
	b.WriteString("Vehicle,Length (m),Home lane\n")
	for i := range 10_000 {
		fmt.Fprintf(&b, "Vehicle %d,long,Lane %d\n", i, i)
	}
	start := time.Now()
	in := readTables([]tableFile{
		{"Vehicles.csv", []byte(b.String())}, {"Lanes.csv", []byte("Lane,Length (m)\nA1,20\n")}, {"Serials.csv", []byte("Serial,Time,Vehicles\n1,10:30,Vehicle 1\n")},
	})
	if took := time.Since(start); took > 10*time.Second {
		t.Errorf("reading took %s", took)
	}
	if n := len(in.Stops()); n < 100 || n > maxProblems+1 {
		t.Errorf("%d problems are listed", n)
	}
	if last := in.Problems[len(in.Problems)-1]; !strings.Contains(last.Message, "not listed") {
		t.Errorf("the last problem is %s", last)
	}
}

func TestLimits(t *testing.T) {
	long := strings.Repeat("x", maxText*4+10)
	cases := map[string]struct{ csv, want string }{
		"rows":    {"Vehicle\n" + strings.Repeat("a\n", maxRows+1), "more than 50000 filled rows"},
		"columns": {"Vehicle" + strings.Repeat(",", maxColumns) + "x\na\n", "more than 300 columns"},
		"text":    {"Vehicle,Note\na," + long + "\n", "more than 32767 characters"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			in := readTables([]tableFile{{"Vehicles.csv", []byte(c.csv)}})
			if err := in.err(""); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("the error is %.300v", err)
			}
		})
	}
}
