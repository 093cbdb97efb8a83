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
