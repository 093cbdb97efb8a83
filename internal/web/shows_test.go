package web

import (
	"bytes"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
)

func TestShows(t *testing.T) {
	t.Parallel()
	b := serving(t)
	if list := good[[]ShowLine](b, "GET", "/api/shows", nil); len(list) != 0 {
		t.Errorf("in a new file there are %v", list)
	}
	empty := good[ShowLine](b, "POST", "/api/shows", map[string]any{"name": "Next year", "from": "empty"})
	demo := good[ShowLine](b, "POST", "/api/shows", map[string]any{"from": "demo"})
	twin := good[ShowLine](b, "POST", "/api/shows", map[string]any{"from": map[string]any{"show": demo.ID}})
	if empty.Name != "Next year" || twin.Name != "Small show, copy" {
		t.Errorf("made are %+v, %+v", empty, twin)
	}
	if x := b.table("/api/shows/1"); x.Plan != nil || len(x.Verdict) == 0 || x.Stays == nil {
		t.Errorf("an empty show has the table %+v", x)
	}
	b.bad(400, "POST", "/api/shows", map[string]any{"from": "nothing"})
	b.bad(404, "POST", "/api/shows", map[string]any{"from": map[string]any{"show": 9}})

	renamed := good[ShowLine](b, "PATCH", "/api/shows/2", map[string]any{"name": "Other", "archived": true})
	if renamed.Name != "Other" || renamed.Archived == "" {
		t.Errorf("renamed and archived is %+v", renamed)
	}
	b.bad(422, "PUT", "/api/shows/2/show", ShowEdit{"x", small()}, at(1)...)
	b.bad(422, "POST", "/api/shows/2/jobs", JobAsk{Kind: "plan"})
	good[ShowLine](b, "PATCH", "/api/shows/2", map[string]any{"archived": false})
	b.bad(404, "PATCH", "/api/shows/9", map[string]any{"name": "x"})
	b.bad(404, "PATCH", "/api/shows/abc", map[string]any{"name": "x"})
	b.bad(400, "PATCH", "/api/shows/2", map[string]any{"colour": "x"})
	if list := good[[]ShowLine](b, "GET", "/api/shows", nil); len(list) != 3 || list[0].ID != 2 {
		t.Errorf("the list is %+v", list)
	}
	if nameless := good[ShowLine](b, "POST", "/api/shows", map[string]any{"from": "empty"}); nameless.Name != "New show" || demo.Name != "Small show" {
		t.Errorf("without a name an empty show is %q, the demonstration %q", nameless.Name, demo.Name)
	}
}

// TestTag: an unchanged table is not sent again; one that was published since
// is, for it says so.
func TestTag(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	a := b.ask("GET", show+"/table", nil)
	if a.head.Get("ETag") != `"1"` {
		t.Errorf("the tag is %s", a.head.Get("ETag"))
	}
	if a := b.ask("GET", show+"/table", nil, "If-None-Match", `"1"`); a.status != 304 || len(a.body) != 0 {
		t.Errorf("unchanged: %d with %d bytes", a.status, len(a.body))
	}
	if a := b.ask("GET", show+"/table", nil, "If-None-Match", `W/"1"`); a.status != 304 {
		t.Errorf("unchanged, compressed on the way: %d", a.status)
	}
	good[IssueLine](b, "POST", show+"/issues", NewIssue{"x"}, at(1)...)
	if a := b.ask("GET", show+"/table", nil, "If-None-Match", `"1"`); a.status != 200 || !bytes.Contains(a.body, []byte(`"issued":1`)) {
		t.Errorf("published meanwhile: %d", a.status)
	}
	if x := good[desk.Table](b, "GET", show+"/table?issue=1", nil); x.Issue != 1 || x.Version != 1 {
		t.Errorf("issue %d of version %d", x.Issue, x.Version)
	}
	b.bad(404, "GET", show+"/table?issue=2", nil)
	b.bad(422, "GET", show+"/table?issue=x", nil)
	b.bad(404, "GET", "/api/shows/5/table", nil)
	zipped := b.ask("GET", show+"/table", nil, "Accept-Encoding", "gzip")
	if zipped.head.Get("Content-Encoding") != "gzip" || !bytes.HasPrefix(zipped.body, []byte{0x1f, 0x8b}) {
		t.Errorf("compressed is %v", zipped.head)
	}
}

func TestFilesAndPictures(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	if a := b.ask("GET", show+"/export.zip", nil); a.status != 200 || !bytes.HasPrefix(a.body, []byte("PK")) || a.head.Get("Content-Disposition") != `attachment; filename="small-show.zip"` {
		t.Errorf("export: %d %v", a.status, a.head)
	} else if x := good[ShowLine](b, "POST", "/api/shows/import", a.body); x.Name != "Small show" || x.ID != 2 {
		t.Errorf("imported is %+v", x)
	}
	if p := b.bad(422, "POST", "/api/shows/import", []byte("no zip")); len(p.Problems) == 0 {
		t.Errorf("a damaged file: %+v", p)
	}
	if a := b.ask("GET", show+"/plan.json", nil); a.status != 200 || !bytes.Contains(a.body, []byte(sallyport.FormatPlan)) {
		t.Errorf("plan: %d", a.status)
	}
	if a := b.ask("GET", show+"/picture.svg?at=D1+10:00&dark=1", nil); a.status != 200 || !bytes.HasPrefix(a.body, []byte("<svg")) || a.head.Get("Content-Type") != "image/svg+xml" {
		t.Errorf("picture: %d %v", a.status, a.head)
	}
	for dark, has := range map[string]string{"": "@media (prefers-color-scheme:dark)", "1": "@media all", "0": "@media not all"} {
		if a := b.ask("GET", show+"/picture.svg?dark="+dark, nil); !bytes.Contains(a.body, []byte(has)) {
			t.Errorf("dark=%s: the drawing has no %s", dark, has)
		}
	}
	b.bad(422, "GET", show+"/picture.svg?at=noon", nil)
	good[ShowLine](b, "POST", "/api/shows", map[string]any{"name": "New", "from": "empty"})
	b.bad(404, "GET", "/api/shows/3/plan.json", nil)
	for _, file := range []string{"/export.zip", "/show.xlsx", "/plan.json", "/picture.svg"} {
		b.bad(404, "GET", "/api/shows/9"+file, nil)
	}
}
