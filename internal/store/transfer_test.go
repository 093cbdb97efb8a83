package store

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"sallyport"
	"sallyport/internal/fenmoor"
)

// tContext is the context of tests whose T has none.
var tContext = context.Background()

type fataler interface{ Fatal(...any) }

func exportOf(t fataler, s *Store, id ShowID) *bytes.Reader {
	var b bytes.Buffer
	if err := s.Export(tContext, id, &b); err != nil {
		t.Fatal(err)
	}
	return bytes.NewReader(b.Bytes())
}

// full returns a store with a show that has one of everything.
func full(t testing.TB) (*Store, ShowID) {
	ctx, s := t.Context(), fresh(t)
	a := must(s.Create(ctx, "Fenmoor", Content{Show: fenmoor.Show()}, "Orla"))(t)
	must(s.Publish(ctx, a.ID, 1, "Orla", "first"))(t)
	must(s.SaveDraft(ctx, a.ID, 1, planned("second"), "Piet", ""))(t)
	must(s.Publish(ctx, a.ID, 2, "Piet", "second"))(t)
	must(s.RestoreIssue(ctx, a.ID, 2, 1, "Runa"))(t)
	must(s.Say(ctx, a.ID, []sallyport.Happening{{Kind: sallyport.HappenLate, Unit: "avocet", Until: sallyport.At(3, 9, 0)}}, "Runa"))(t)
	return s, a.ID
}

// TestTransfer: an imported show exports to the same as the one it came from.
func TestTransfer(t *testing.T) {
	s, id := full(t)
	file := exportOf(t, s, id)
	other := fresh(t)
	made, problems, err := other.Import(t.Context(), file, file.Size())
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	if made.Name != "Fenmoor" || made.Issues != 2 || made.Copies != 1 || made.Said != 1 {
		t.Errorf("imported %+v", made)
	}
	again := unpack(t, exportOf(t, other, made.ID))
	first := unpack(t, exportOf(t, s, id))
	var a, b exported
	for data, x := range map[string]*exported{again[listFile]: &a, first[listFile]: &b} {
		if err := json.Unmarshal([]byte(data), x); err != nil {
			t.Fatal(err)
		}
	}
	a.Exported = b.Exported
	if diff := cmp.Diff(b, a); diff != "" {
		t.Error(diff)
	}
	delete(again, listFile)
	delete(first, listFile)
	if !cmp.Equal(first, again) || len(first) != 6 {
		t.Errorf("%d files of content, and they differ: %v", len(first), !cmp.Equal(first, again))
	}
	must(other.Publish(t.Context(), made.ID, 3, "", ""))(t)
}

func unpack(t testing.TB, r *bytes.Reader) map[string]string {
	t.Helper()
	files := map[string]string{}
	for _, f := range must(zip.NewReader(r, r.Size()))(t).File {
		in := must(f.Open())(t)
		files[f.Name] = string(must(io.ReadAll(in))(t))
		if err := in.Close(); err != nil {
			t.Fatal(err)
		}
	}
	return files
}

func pack(t fataler, files map[string]string) *bytes.Reader {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, text := range files {
		w, err := z.Create(name)
		if err == nil {
			_, err = io.WriteString(w, text)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return bytes.NewReader(b.Bytes())
}

// TestFaultyImports: everything that is wrong is told at once, and nothing is
// kept.
func TestFaultyImports(t *testing.T) {
	s, id := full(t)
	whole := exportOf(t, s, id)
	edit := func(file, old, new string) func(map[string]string) {
		return func(f map[string]string) {
			if !strings.Contains(f[file], old) {
				t.Fatalf("%s does not have %q", file, old)
			}
			f[file] = strings.Replace(f[file], old, new, 1)
		}
	}
	for name, tt := range map[string]struct {
		edits []func(map[string]string)
		want  []string
	}{
		"newer format":  {[]func(map[string]string){edit(listFile, FormatExport, "sallyport-export/9")}, []string{"sallyport-export/9"}},
		"no list":       {[]func(map[string]string){func(f map[string]string) { delete(f, listFile) }}, []string{"missing"}},
		"unknown field": {[]func(map[string]string){edit("draft-show.json", `"days"`, `"dayz"`)}, []string{"dayz"}},
		"last version":  {[]func(map[string]string){edit(listFile, `"version": 3`, `"version": 9223372036854775807`)}, []string{"version 9223372036854775807"}},
		"path outside":  {[]func(map[string]string){func(f map[string]string) { f["../../evil.db"] = "x" }}, []string{"nothing names this file"}},
		"several": {[]func(map[string]string){
			func(f map[string]string) { delete(f, "issue-1-show.json") },
			edit("issue-2-plan.json", "sallyport-plan/1", "sallyport-plan/2"),
			edit("copy-1-show.json", "{", "{{"),
			edit(listFile, `"late start"`, `"eclipse"`),
			edit(listFile, `"number": 2`, `"number": 3`),
		}, []string{"issue-1-show.json: it is missing", "sallyport-plan/2", "copy-1-show.json: it cannot be read", "eclipse", "number 3 in place of 2"}},
	} {
		t.Run(name, func(t *testing.T) {
			files := unpack(t, whole)
			for _, e := range tt.edits {
				e(files)
			}
			file := pack(t, files)
			_, problems, err := s.Import(t.Context(), file, file.Size())
			wants(t, err, sallyport.CodeInput, "nothing was imported")
			var said []string
			for _, p := range problems {
				said = append(said, p.String())
			}
			for _, w := range tt.want {
				if !strings.Contains(strings.Join(said, "\n"), w) {
					t.Errorf("%q does not say %q", said, w)
				}
			}
			if len(problems) != len(tt.want) {
				t.Errorf("%d problems, want %d: %q", len(problems), len(tt.want), said)
			}
		})
	}
	data := must(io.ReadAll(whole))(t)
	for _, n := range []int{0, 1, len(data) / 2, len(data) - 1} {
		_, problems, err := s.Import(t.Context(), bytes.NewReader(data[:n]), int64(n))
		wants(t, err, sallyport.CodeInput, "cut off")
		if len(problems) != 1 {
			t.Errorf("cut off after %d bytes: %v", n, problems)
		}
	}
	if list := must(s.Shows(t.Context(), true))(t); len(list) != 1 {
		t.Errorf("%d shows after imports that failed", len(list))
	}
}

// TestImportOfVeryMuch: small files that would unpack to very much are refused
// before they fill the memory or take long, and what is said of them is short.
func TestImportOfVeryMuch(t *testing.T) {
	s, id := full(t)
	whole := exportOf(t, s, id)
	many := func(value string, n int) string { return "[" + strings.Repeat(value+",", n-1) + value + "]" }
	for name, tt := range map[string]struct {
		edit func(map[string]string)
		want string
	}{
		"vehicles": {func(f map[string]string) {
			f["draft-show.json"] = `{"format":"sallyport-show/1","vehicles":` + many("{}", 1_000_000) + `}`
		}, "its lists hold 1000000 values"},
		"issues": {func(f map[string]string) { f[listFile] = `{"issues":` + many("{}", 1_000_000) + `}` }, "its lists hold 1000000 values"},
		"log": {func(f map[string]string) {
			f[listFile] = strings.Replace(f[listFile], `"log": [`, `"log": [`+strings.Repeat("{},", 50_000), 1)
		}, "is no time of a show"},
		"files": {func(f map[string]string) {
			for n := range maxFiles {
				f[fmt.Sprint(n)] = ""
			}
		}, "it holds 20007 files"},
	} {
		t.Run(name, func(t *testing.T) {
			files := unpack(t, whole)
			tt.edit(files)
			file := pack(t, files)
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			_, problems, err := s.Import(t.Context(), file, file.Size())
			runtime.ReadMemStats(&after)
			wants(t, err, sallyport.CodeInput, "nothing was imported")
			if len(problems) > maxWrong || !strings.Contains(problems[0].String(), tt.want) {
				t.Errorf("%d problems, the first: %s", len(problems), problems[0].String())
			}
			if mb := (after.TotalAlloc - before.TotalAlloc) >> 20; mb > 500 {
				t.Errorf("took %d MB", mb)
			}
		})
	}
}

// TestImportAny: whatever stands in the list, reading it ends without a panic,
// and what is found to be in order has a name and a draft, and is kept.
func TestImportAny(t *testing.T) {
	whole := map[string]string{
		"draft-show.json":   `{"format":"sallyport-show/1","name":"a"}`,
		"issue-1-show.json": `{"format":"sallyport-show/1","name":"b"}`,
		"issue-1-plan.json": `{"format":"sallyport-plan/1","show":"b"}`,
	}
	const list = `{"format":"sallyport-export/1","name":"a","created":"2027-01-10T18:00:00Z",
		"draft":{"version":1,"at":"2027-01-10T18:00:00Z","show":"draft-show.json"},
		"issues":[{"number":1,"version":1,"at":"2027-01-10T18:00:00Z","show":"issue-1-show.json","plan":"issue-1-plan.json"}],
		"log":[{"at":"2027-06-24T06:00:00Z","happening":{"kind":"here","unit":"avocet"}}]}`
	parts := []string{"", "null", "-1", "0", "1e99", "[]", "{}", `""`, "issue-1-show.json", "show.json", "\x00", "\\u0000", "\xff", "late start", "9999-12-31"}
	s := fresh(t)
	good := 0
	rapid.Check(t, func(t *rapid.T) {
		text := list
		for range rapid.IntRange(0, 3).Draw(t, "edits") {
			from := rapid.IntRange(0, len(text)).Draw(t, "from")
			to := min(len(text), from+rapid.IntRange(0, 20).Draw(t, "long"))
			text = text[:from] + rapid.SampledFrom(parts).Draw(t, "part") + text[to:]
		}
		files := maps.Clone(whole)
		files[listFile] = text
		file := pack(t, files)
		made, problems, err := s.Import(tContext, file, file.Size())
		if (err == nil) != (len(problems) == 0) {
			t.Fatalf("error %v with problems %v", err, problems)
		}
		if err != nil {
			return
		}
		good++
		d, err := s.Draft(tContext, made.ID)
		if err != nil || made.Name == "" || d.Version < 1 {
			t.Fatalf("imported %+v, draft %+v, %v", made, d, err)
		}
	})
	if good == 0 {
		t.Error("nothing could be imported")
	}
}
