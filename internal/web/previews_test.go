package web

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/workbook"
)

// TestNamesOfFiles: whatever is sent as a file's name is one line of text.
func TestNamesOfFiles(t *testing.T) {
	t.Parallel()
	for sent, want := range map[string]string{
		"../../etc/passwd": "passwd", `C:\shows\a.xlsx`: "a.xlsx", "a%0A2027-06-24%20Orla.xlsx": "a2027-06-24 Orla.xlsx",
		"%E2%80%AExslx.a": "xslx.a", "%FF%FE": "?", "": "the file", "..": "..", "%zz": "%zz", "%2F": "the file", strings.Repeat("é", 500): strings.Repeat("é", 120),
	} {
		r := httptest.NewRequest("POST", "/", nil)
		r.Header.Set("X-File-Name", sent)
		if got := (&call{Request: r}).fileNameOf(); got != want {
			t.Errorf("%q is called %q, want %q", sent, got, want)
		}
	}
}

// TestManyEmptyVehicles: a small text that would be a very large show is
// refused before it is one.
func TestManyEmptyVehicles(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	text := []byte(`{"what":"x","show":{"vehicles":[` + strings.Repeat("{},", 300_000) + `{}]}}`)
	if x := b.bad(400, "PUT", show+"/show", text, at(1)...); !strings.Contains(x.Detail, "300001 values") {
		t.Errorf("said is %s", x.Detail)
	}
	file := []byte(`{"format":"sallyport-show/1","vehicles":[` + strings.Repeat("{},", 300_000) + `{}]}`)
	if p := good[desk.Preview](b, "POST", show+"/preview", file); len(p.Problems) != 1 || p.Token != "" {
		t.Errorf("preview: %+v", p.Problems)
	}
}

// TestFilesOneByOne: large files are unpacked one after the other, for each
// takes many times its size; who gives up waiting lets others go on.
func TestFilesOneByOne(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	file := must(json.Marshal(small()))(t)
	b.s.unpack <- struct{}{}
	for _, path := range []string{show + "/preview", "/api/shows/import"} {
		ctx, cancel := context.WithTimeout(t.Context(), 300*time.Millisecond)
		r := must(http.NewRequestWithContext(ctx, "POST", b.url+path, bytes.NewReader(file)))(t)
		if a, err := http.DefaultClient.Do(r); err == nil {
			a.Body.Close()
			t.Errorf("%s: answered while another is unpacked: %d", path, a.StatusCode)
		}
		cancel()
	}
	<-b.s.unpack
	if p := good[desk.Preview](b, "POST", show+"/preview", file); p.Token == "" {
		t.Errorf("afterwards: %+v", p)
	}
	many := small()
	for n := range 20_000 {
		many.People = append(many.People, sallyport.Person{ID: sallyport.PersonID(fmt.Sprint("p", n)), Name: "Orla"})
	}
	p := good[desk.Preview](b, "POST", show+"/preview", must(json.Marshal(many))(t))
	if p.Token != "" || len(p.Problems) != 1 || !strings.Contains(p.Problems[0].Message, "has 20007 vehicles") {
		t.Errorf("of very many: %+v", p.Problems)
	}
}

// TestPreviewAndTake: the workbook of a draft, looked at, changes nothing; one
// that was changed shows what, and is taken; one that is wrong says all at once.
func TestPreviewAndTake(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	own := b.ask("GET", show+"/show.xlsx", nil)
	if p := good[desk.Preview](b, "POST", show+"/preview", own.body, "X-File-Name", "C:\\shows\\own%20one.xlsx"); len(p.Differences)+len(p.Problems) != 0 || p.File != "own one.xlsx" || p.Token == "" {
		t.Errorf("its own workbook: %+v", p)
	}
	other := small()
	other.Vehicles[1].Length = 475
	var file bytes.Buffer
	if err := workbook.WriteXLSX(&file, other, nil); err != nil {
		t.Fatal(err)
	}
	p := good[desk.Preview](b, "POST", show+"/preview", file.Bytes())
	if len(p.Differences) != 1 || p.Differences[0].Name != "Knot" {
		t.Errorf("what changes: %+v", p.Differences)
	}
	got := good[desk.Table](b, "POST", show+"/take", Take{p.Token}, at(1)...)
	if got.Version != 2 || got.Show.Vehicles[1].Length != 475 || got.Plan == nil {
		t.Errorf("taken: version %d, %+v", got.Version, got.Show.Vehicles[1])
	}
	b.bad(404, "POST", show+"/take", Take{"nonsense"}, at(2)...)
	good[ShowLine](b, "POST", "/api/shows", map[string]any{"from": "demo"})
	b.bad(404, "POST", "/api/shows/2/take", Take{p.Token}, at(1)...) // of another show
	wrong := small()
	wrong.Serials[0].Entries[0].Unit = "nobody"
	wrong.Serials[1].Entries[0].Unit = "somebody"
	text := must(json.Marshal(wrong))(t)
	if p := good[desk.Preview](b, "POST", show+"/preview", text); len(p.Problems) < 2 || p.Token != "" {
		t.Errorf("what is wrong: %+v", p)
	}
	if p := good[desk.Preview](b, "POST", show+"/preview", []byte("neither")); len(p.Problems) == 0 {
		t.Errorf("no workbook at all: %+v", p)
	}
	b.bad(404, "POST", "/api/shows/9/preview", text)
	pasted := good[desk.Pasted](b, "POST", show+"/paste", PasteIn{Day: 1, Text: "3\tThird\tNorth Road\t16:00\t16:30\t16:50\t17:30\tKnot"})
	if len(pasted.Show.Serials) != 3 {
		t.Errorf("pasted: %+v", pasted.Problems)
	}
	b.bad(422, "POST", show+"/paste", PasteIn{Day: 4, Text: "x"})
}

// TestPreviewIsForgotten: what was read is kept for an hour.
func TestPreviewIsForgotten(t *testing.T) {
	t.Parallel()
	now := time.Unix(0, 0)
	p := newPreviews(func() time.Time { return now })
	const token = "made by chance"
	p.keep(preview{token: token, show: 1})
	if _, err := p.find(1, token); err != nil {
		t.Error(err)
	}
	now = now.Add(previewTime + time.Second)
	if _, err := p.find(1, token); err == nil {
		t.Error("it is kept longer than said")
	}
}
