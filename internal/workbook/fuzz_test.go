package workbook

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sallyport/internal/fenmoor"
)

// promised checks what every reader promises for any input: an Input with a
// reason when there is no show, an error exactly when something stops
// planning, problems that say something, and a show that can be written.
func promised(t *testing.T, in *Input, err error) {
	t.Helper()
	if in == nil {
		t.Fatal("no Input")
	}
	if stops := len(in.Stops()); (stops > 0) != (err != nil) {
		t.Fatalf("%d problems stop planning, but the error is %v", stops, err)
	}
	if in.Show == nil && in.Plan == nil && err == nil {
		t.Fatal("neither show nor plan nor error")
	}
	for _, p := range in.Problems {
		if p.Message == "" || p.Severity == "" || p.Row > 0 && p.Column > 0 && p.Cell == "" {
			t.Fatalf("a problem that says nothing: %+v", p)
		}
	}
	if in.Show == nil {
		return
	}
	var buf bytes.Buffer
	if err := WriteJSON(&buf, in.Show); err != nil {
		t.Fatal(err)
	}
	for _, l := range in.Show.Park.Lanes {
		if l.Length < 0 {
			t.Fatalf("lane %s has a negative length", l.ID)
		}
	}
}

func FuzzXLSX(f *testing.F) {
	var fen, empty bytes.Buffer
	if err := WriteXLSX(&fen, fenmoor.Show(), nil); err != nil {
		f.Fatal(err)
	}
	if err := Template(&empty); err != nil {
		f.Fatal(err)
	}
	f.Add(fen.Bytes())
	f.Add(empty.Bytes())
	f.Add([]byte("PK\x03\x04"))
	f.Add([]byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"))
	f.Fuzz(func(t *testing.T, data []byte) {
		in, err := ReadXLSX(bytes.NewReader(data), int64(len(data)))
		promised(t, in, err)
		promised(t, readBytes("show.xlsx", data), readBytes("show.xlsx", data).err(""))
	})
}

// FuzzSheet fuzzes the inside of a workbook's sheet, which random bytes of a
// whole file hardly ever reach.
func FuzzSheet(f *testing.F) {
	for _, s := range []string{
		`<row r="1"><c r="A1" t="inlineStr"><is><t>Vehicle</t></is></c></row><row r="2"><c r="A2" t="s"><v>0</v></c></row>`,
		`<row><c><v>1e999</v></c><c t="e"><v>#REF!</v></c><c t="b"><v>1</v></c><c s="1"><v>46564.5</v></c></row>`,
		`<row r="3"><c r="ZZ3"><v>1</v></c></row></sheetData><mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells><sheetData>`,
		`<row r="5"/><row r="2"/>`,
		`<row r="1"><c r="B1"><f>A1</f></c></row>`,
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, rows string) {
		data := bookOf(t, map[string]string{"Vehicles": rows})
		in, err := ReadXLSX(bytes.NewReader(data), int64(len(data)))
		promised(t, in, err)
	})
}

func FuzzCSV(f *testing.F) {
	f.Add("Vehicle,Length (m)\nAvocet,3.6\n", "Lane,Length (m)\nA1,20\n", "Serial,Time,Vehicles\n1,10:30,Avocet\n")
	f.Add("sep=;\nVehicle;Length\n\"Avocet\";3,6\n", "Lane\tLength (ft)\nA1\t14'6\"\n", "Day,Serial,Vehicles\nSat,1,\"2 carriers tbc; Avocet + A1\"\n")
	f.Add("\ufeffVehicle\n\"", "\xff\xfe", "\x00")
	f.Add("Vehicle,Arrives,Leaves,Off the road\nA,Thu 10:00 - 16:00,by Sun,D1\n", "Lane,Closed\nA1,D1 10:00 - D1 09:00;Sat\n", "Serial,Day,In\n1,6/26,t\n")
	f.Fuzz(func(t *testing.T, vehicles, lanes, serials string) {
		in := readTables([]tableFile{{"Lanes.csv", []byte(lanes)}, {"Serials.csv", []byte(serials)}, {"Vehicles.csv", []byte(vehicles)}})
		promised(t, in, in.err(""))
	})
}

// FuzzGolden fuzzes all sheets at once, from the golden cases.
func FuzzGolden(f *testing.F) {
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "workbook", "*.txt"))
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		source, _, _ := strings.Cut(string(data), "== reads\n")
		f.Add(source)
	}
	f.Fuzz(func(t *testing.T, source string) {
		in := readCase(t, source)
		promised(t, in, in.err(""))
	})
}

func FuzzJSON(f *testing.F) {
	var buf bytes.Buffer
	if err := WriteJSON(&buf, fenmoor.Show()); err != nil {
		f.Fatal(err)
	}
	f.Add(buf.Bytes())
	f.Add([]byte(`{"format":"sallyport-plan/1","start":[{"lane":"A1","units":["a"]}],"moves":[{"id":"m","kind":"arrive","from":{"kind":"away"},"to":{"kind":"lane"},"start":"D1 10:00","takes_s":60}]}`))
	f.Add([]byte(`{"format":"sallyport-show/1","vehicles":[{"mass_kg":99999999999999999999}]}`))
	f.Add([]byte(`[[[[`))
	f.Fuzz(func(t *testing.T, data []byte) {
		in, err := ReadJSON(bytes.NewReader(data))
		promised(t, in, err)
		if in.Show == nil {
			return
		}
		// What could be read is written in a way that reads the same.
		var first, second bytes.Buffer
		if err := WriteJSON(&first, in.Show); err != nil {
			t.Fatal(err)
		}
		again, err := ReadJSON(bytes.NewReader(first.Bytes()))
		if err != nil {
			t.Fatalf("what was written cannot be read: %v", err)
		}
		if err := WriteJSON(&second, again.Show); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(first.Bytes(), second.Bytes()) || !json.Valid(first.Bytes()) {
			t.Fatal("reading and writing changed it")
		}
	})
}

func FuzzCellTime(f *testing.F) {
	for _, s := range []string{"10:30", "10.30", "1030 hrs", "10h30", "2 pm", "noon", "Sat 26 June 10:30", "D3 10:30:15", "26/6", "27.6.2027 14:00", "Thu 10:00 - 16:00", "until Sun", "24:00", "31/2"} {
		f.Add(s, 46564.4375)
	}
	f.Fuzz(func(t *testing.T, text string, serial float64) {
		if seconds, bad := timeOfDay(text); bad == nil && (seconds < 0 || seconds > daySeconds) {
			t.Fatalf("timeOfDay(%q) = %d", text, seconds)
		}
		cells := []cell{textCell(text)}
		if serial >= 0 && serial < 2_958_466 {
			cells = append(cells, timeCell(serial), numberCell(serial))
		}
		for _, c := range cells {
			m, _, bad := cellMoment(c)
			if bad == nil && (m.seconds < 0 || m.seconds > daySeconds) {
				t.Fatalf("cellMoment(%+v) = %+v", c, m)
			}
			if bad != nil && (bad.message == "" || bad.advice == "") {
				t.Fatalf("cellMoment(%+v): %+v", c, bad)
			}
			cellWindow(c)
		}
	})
}

func FuzzLength(f *testing.F) {
	for _, s := range []string{"14.5 m", "14'6\"", "14ft 6in", "4,35", "1 250 mm", "12 furlongs", "½", "20′ 4″", "999999999999999999 km", "1.000.000,5 cm", "-3"} {
		f.Add(s)
	}
	metre := lengthUnits["m"]
	f.Fuzz(func(t *testing.T, text string) {
		for _, d := range []*dimension{aLength, aMass} {
			for _, bare := range []*unit{nil, &metre} {
				n, bad := d.measure(text, bare)
				if bad == nil && (n > d.most || n < -d.most) {
					t.Fatalf("%q is a %s of %d", text, d.what, n)
				}
				if bad != nil && (bad.message == "" || bad.advice == "") {
					t.Fatalf("%q: %+v", text, bad)
				}
			}
		}
		if n, bad := span(text, 60); bad == nil && (n < 0 || n > mostSpan) {
			t.Fatalf("%q is a span of %d s", text, n)
		}
	})
}
