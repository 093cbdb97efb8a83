package workbook

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	sp "sallyport"
	"sallyport/internal/fenmoor"
)

func TestReadByPath(t *testing.T) {
	dir := t.TempDir()
	show := fenmoor.Show()
	var book, text bytes.Buffer
	if err := WriteXLSX(&book, show, nil); err != nil {
		t.Fatal(err)
	}
	if err := WriteJSON(&text, show); err != nil {
		t.Fatal(err)
	}
	folder := filepath.Join(dir, "csv")
	if err := WriteCSV(folder, show, nil); err != nil {
		t.Fatal(err)
	}
	write := func(name string, data []byte) string {
		t.Helper()
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, data, 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	for _, path := range []string{write("show.xlsx", book.Bytes()), write("show.json", text.Bytes()), folder, write("noname", book.Bytes()), write("show.txt", text.Bytes())} {
		in, err := Read(path)
		if err != nil {
			t.Errorf("%s: %v", filepath.Base(path), err)
			continue
		}
		sameShow(t, show, in.Show)
	}
	empty := filepath.Join(dir, "nothing")
	if err := os.Mkdir(empty, 0o755); err != nil {
		t.Fatal(err)
	}
	books := filepath.Join(dir, "books")
	if err := os.Mkdir(books, 0o755); err != nil {
		t.Fatal(err)
	}
	write("books/show.xlsx", book.Bytes())
	for path, want := range map[string]string{
		filepath.Join(dir, "missing.xlsx"): "cannot be opened",
		write("empty.csv", nil):            "the file is empty",
		empty:                              "holds no CSV file",
		books:                              "name that file instead of the folder",
		write("one.csv", []byte("Lane,Length (m)\nA1,20\n")): "there is no sheet Vehicles",
	} {
		_, err := Read(path)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: the error is %v", filepath.Base(path), err)
			continue
		}
		if e, ok := err.(*sp.Error); !ok || e.Code != sp.CodeInput {
			t.Errorf("%s: the error has no code of bad input", filepath.Base(path))
		}
	}
}

// A folder that is written again holds nothing of the show before.
func TestWriteCSVReplacesTheOldShow(t *testing.T) {
	dir := t.TempDir()
	if err := WriteCSV(dir, fenmoor.Show(), []sp.Placement{{Unit: "avocet", Lane: "Y1", Place: 1}}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "notes.txt"), []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	small := &sp.Show{
		Format: sp.FormatShow, Days: []sp.Day{{Name: "Saturday"}}, Park: sp.Park{Lanes: []sp.Lane{{ID: "A1", Length: 2000}}},
		Vehicles: []sp.Vehicle{{ID: "a", Name: "A"}}, Serials: []sp.Serial{{ID: "1", ArenaIn: sp.At(1, 10, 0), Entries: []sp.Entry{{ID: "e", Unit: "a"}}}},
	}
	in := throughCSV(t, dir, small, nil)
	sameShow(t, small, in.Show)
	if len(in.Sketch) > 0 {
		t.Errorf("places of the old show are left: %v", in.Sketch)
	}
	if _, err := os.Stat(filepath.Join(dir, "notes.txt")); err != nil {
		t.Errorf("a file that is no sheet is gone: %v", err)
	}
}

func TestWritingIsDeterministic(t *testing.T) {
	var first, second bytes.Buffer
	for _, buf := range []*bytes.Buffer{&first, &second} {
		if err := WriteXLSX(buf, fenmoor.Show(), nil); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Error("the same show gives two different workbooks")
	}
	if !bytes.Equal(Schema(), Schema()) {
		t.Error("two schemas differ")
	}
}

func TestPlanRoundTrip(t *testing.T) {
	plan := &sp.Plan{
		Format: sp.FormatPlan, Show: "Fenmoor", Key: sp.Key{Version: "1", Seed: 7, Steps: 9, Show: "abc"},
		Start: []sp.LaneLayout{{Lane: "Y1", Units: []sp.UnitID{"avocet"}, NoseIn: []sp.UnitID{"avocet"}}},
		Moves: []sp.Move{{
			ID: "m1", Kind: sp.MovePullOut, Unit: "avocet", From: sp.AtLane("Y1", sp.Mouth), To: sp.AtLine("north"), Serial: "1", Entry: "1/avocet",
			Start: sp.At(1, 10, 0), Takes: 180, Nominal: sp.At(1, 9, 0), Marshals: 1, After: []sp.Wait{{Line: "north"}},
		}},
		Unserved: []sp.EntryID{"2/knot"},
	}
	var buf bytes.Buffer
	if err := WritePlanJSON(&buf, plan); err != nil {
		t.Fatal(err)
	}
	validate(t, buf.Bytes())
	got, err := ReadPlanJSON(&buf)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(plan, got); diff != "" {
		t.Errorf("the plan changed (-written +read):\n%s", diff)
	}
	var show bytes.Buffer
	if err := WriteJSON(&show, fenmoor.Show()); err != nil {
		t.Fatal(err)
	}
	if _, err := ReadPlanJSON(&show); err == nil {
		t.Error("a show was read as a plan")
	}
}

// The template holds no show, but says so for each sheet that is needed; and
// its examples, taken for real rows, are a show.
func TestTemplate(t *testing.T) {
	var buf bytes.Buffer
	if err := Template(&buf); err != nil {
		t.Fatal(err)
	}
	in, err := ReadXLSX(bytes.NewReader(buf.Bytes()), int64(buf.Len()))
	if err == nil || len(in.Stops()) != 3 {
		t.Fatalf("the empty template reads: %v", err)
	}
	sheets, _, err := openXLSX(bytes.NewReader(buf.Bytes()), int64(buf.Len()))
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range sheets {
		for i := range s.rows {
			if i < 3 {
				continue // the remark, the headers, the explanations
			}
			c := &s.rows[i].cells[0]
			c.text = strings.TrimPrefix(c.text, "# ")
		}
	}
	in = interpret(sheets, nil)
	for _, p := range in.Stops() {
		t.Errorf("an example cannot be read: %s", p)
	}
	if len(in.Show.Vehicles) < 7 || len(in.Show.Serials) != 2 || len(in.Show.Serials[0].Entries) != 5 || len(in.Sketch) != 2 {
		t.Errorf("the examples read as %d vehicles, %d serials, %d places", len(in.Show.Vehicles), len(in.Show.Serials), len(in.Sketch))
	}
}

// validate checks a file against the schema, with a small validator of the
// keywords the schema uses.
func validate(t *testing.T, data []byte) {
	t.Helper()
	var schema map[string]any
	var doc any
	if err := json.Unmarshal(Schema(), &schema); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	fits := 0
	var all []string
	for _, option := range schema["oneOf"].([]any) {
		v := validator{defs: schema["$defs"].(map[string]any)}
		v.check("", option.(map[string]any), doc)
		if len(v.errors) == 0 {
			fits++
		}
		all = append(all, v.errors...)
	}
	if fits != 1 {
		t.Errorf("the file fits %d of the two formats: %.2000s", fits, strings.Join(all, "\n"))
	}
}

type validator struct {
	defs   map[string]any
	errors []string
}

func (v *validator) check(path string, s map[string]any, doc any) {
	bad := func(what string) { v.errors = append(v.errors, path+": "+what) }
	if ref, ok := s["$ref"].(string); ok {
		v.check(path, v.defs[strings.TrimPrefix(ref, "#/$defs/")].(map[string]any), doc)
	}
	if c, ok := s["const"]; ok && c != doc {
		bad("is not the constant")
	}
	if list, ok := s["enum"].([]any); ok {
		found := false
		for _, x := range list {
			found = found || x == doc
		}
		if !found {
			bad("is not one of the words")
		}
	}
	if pattern, ok := s["pattern"].(string); ok && !regexp.MustCompile(pattern).MatchString(doc.(string)) {
		bad("does not match " + pattern)
	}
	if want := s["type"]; want != nil && !hasType(want, doc) {
		bad("is of another type")
		return
	}
	switch doc := doc.(type) {
	case []any:
		for _, x := range doc {
			v.check(path+"/*", s["items"].(map[string]any), x)
		}
	case map[string]any:
		v.object(path, s, doc)
	}
}

func (v *validator) object(path string, s map[string]any, doc map[string]any) {
	for _, name := range listOf(s["required"]) {
		if _, ok := doc[name.(string)]; !ok {
			v.errors = append(v.errors, path+": lacks "+name.(string))
		}
	}
	properties, _ := s["properties"].(map[string]any)
	for key, x := range doc {
		if sub, ok := properties[key].(map[string]any); ok {
			v.check(path+"/"+key, sub, x)
		} else if sub, ok := s["additionalProperties"].(map[string]any); ok {
			v.check(path+"/"+key, sub, x)
		} else if s["additionalProperties"] == false {
			v.errors = append(v.errors, path+": has the unknown "+key)
		}
	}
}

func listOf(v any) []any { list, _ := v.([]any); return list }

func hasType(want, doc any) bool {
	if list, ok := want.([]any); ok {
		for _, w := range list {
			if hasType(w, doc) {
				return true
			}
		}
		return false
	}
	switch doc := doc.(type) {
	case nil:
		return want == "null"
	case bool:
		return want == "boolean"
	case string:
		return want == "string"
	case float64:
		return want == "integer" && doc == float64(int64(doc))
	case []any:
		return want == "array"
	}
	return want == "object"
}

func TestSchema(t *testing.T) {
	var buf bytes.Buffer
	if err := WriteJSON(&buf, fenmoor.Show()); err != nil {
		t.Fatal(err)
	}
	validate(t, buf.Bytes())
	var schema map[string]any
	if err := json.Unmarshal(Schema(), &schema); err != nil {
		t.Fatal(err)
	}
	defs := schema["$defs"].(map[string]any)
	for name, fields := range required {
		def, ok := defs[name].(map[string]any)
		if !ok {
			t.Errorf("the schema has no %s", name)
			continue
		}
		for _, f := range fields {
			if _, ok := def["properties"].(map[string]any)[f]; !ok {
				t.Errorf("%s has no field %s", name, f)
			}
		}
	}
	v := validator{defs: defs}
	v.check("", map[string]any{"$ref": "#/$defs/Show"}, map[string]any{"format": "sallyport-show/1", "vehicles": "none"})
	if len(v.errors) == 0 {
		t.Error("a show without park and vehicles fits the schema")
	}
}

// Every word of the domain that a cell may hold is known to the lists here.
func TestWordListsAreWhole(t *testing.T) {
	for _, c := range sp.DefaultClasses() {
		if _, ok := findWord(holderClasses, c.Name); !ok {
			t.Errorf("no placeholder can be of the class %s", c.Name)
		}
	}
	for _, list := range [][]word{gearWords, reverseWords, startWords, warmWords, chanceWords, bindingWords, laneWords, driveInWords, outWords, homeWords, spotUseWords, dayKindWords, joinWords, moveKindWords} {
		seen := map[string]string{}
		for _, w := range list {
			for _, text := range append(strings.Split(w.also, ","), w.value) {
				key := squash(text)
				if other := seen[key]; key != "" && other != "" && other != w.value {
					t.Errorf("%q means %s and %s", text, other, w.value)
				}
				seen[key] = w.value
			}
		}
	}
}

// No header means two columns of one sheet.
func TestHeadersAreUnique(t *testing.T) {
	for _, k := range sheetKinds {
		seen := map[string]string{}
		for _, h := range k.heads {
			for name := range h.names {
				if other := seen[name]; other != "" {
					t.Errorf("on the sheet %s %q means %s and %s", k.sheet, name, other, h.field)
				}
				seen[name] = h.field
			}
		}
	}
	sheets := map[string]string{}
	for _, k := range sheetKinds {
		for _, name := range append(strings.Split(k.also, ","), k.sheet) {
			if other := sheets[squash(name)]; other != "" && other != k.sheet {
				t.Errorf("a sheet %q is %s and %s", name, other, k.sheet)
			}
			sheets[squash(name)] = k.sheet
		}
	}
}

func TestWhere(t *testing.T) {
	in := interpret([]*sheet{
		textSheet(t, "Fleet", "Vehicle | Overall length (ft)\nAvocet | 12"),
		textSheet(t, "Lanes", "Lane | Length (m)\nA1 | 20"),
		textSheet(t, "Serials", "Serial | Day | Time | Vehicles\n1 | Saturday | 10:30 | Avocet"),
	}, nil)
	for _, c := range []struct{ kind, id, field, want string }{
		{"vehicle", "avocet", "length_cm", "Fleet B2"},
		{"vehicle", "avocet", "length", "Fleet B2"},
		{"vehicle", "avocet", "mass", "Fleet A2"},
		{"lane", "A1", "length", "Lanes B2"},
		{"serial", "1", "arena in", "Serials C2"},
		{"entry", "1/avocet", "vehicle", "Serials D2"},
		{"vehicle", "bittern", "length", " "},
	} {
		sheet, cell, ok := in.Where(c.kind, c.id, c.field)
		if got := sheet + " " + cell; got != c.want || ok != (c.want != " ") {
			t.Errorf("%s of %s %s is at %q, not %q", c.field, c.kind, c.id, got, c.want)
		}
	}
}
