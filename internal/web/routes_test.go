package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/workbook"
)

// TestEveryRouteHasRoles: a route says who may use it, or that everybody may,
// and not both.
func TestEveryRouteHasRoles(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, r := range routes() {
		name := r.method + " " + r.path
		if r.open == (len(r.roles) > 0) {
			t.Errorf("%s: say who may use it", name)
		}
		if r.says == "" || r.do == nil {
			t.Errorf("%s: say what it is, and do it", name)
		}
		if seen[name] {
			t.Errorf("%s is there twice", name)
		}
		seen[name] = true
	}
}

// TestOpenAPI: the description is OpenAPI 3.1 and has each route with its
// parameters, and each type that it names.
func TestOpenAPI(t *testing.T) {
	t.Parallel()
	b := serving(t)
	a := b.ask("GET", "/openapi.json", nil)
	var api struct {
		OpenAPI string `json:"openapi"`
		Paths   map[string]map[string]struct {
			OperationID string `json:"operationId"`
			Parameters  []struct{ Name, In string }
			Responses   map[string]any
			RequestBody *struct{ Content map[string]any }
		} `json:"paths"`
		Components struct {
			Schemas map[string]struct {
				Type       string
				Properties map[string]struct{ Type any }
			}
		}
	}
	if err := json.Unmarshal(a.body, &api); err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(api.OpenAPI, "3.1.") {
		t.Errorf("the description is OpenAPI %s", api.OpenAPI)
	}
	ids := map[string]bool{}
	for _, r := range routes() {
		op, ok := api.Paths[r.path][strings.ToLower(r.method)]
		if !ok {
			t.Errorf("%s %s is not described", r.method, r.path)
			continue
		}
		if ids[op.OperationID] {
			t.Errorf("two routes are called %s", op.OperationID)
		}
		ids[op.OperationID] = true
		match := false
		for _, p := range op.Parameters {
			match = match || p.Name == "If-Match"
		}
		if match != r.match || (op.RequestBody != nil) != (r.in != nil) || op.Responses["default"] == nil {
			t.Errorf("%s %s is described wrongly: %+v", r.method, r.path, op)
		}
	}
	for _, ref := range strings.Split(string(a.body), `"$ref":"#/components/schemas/`)[1:] {
		name, _, _ := strings.Cut(ref, `"`)
		if _, ok := api.Components.Schemas[name]; !ok {
			t.Errorf("the type %s is not described", name)
		}
	}
	if kind := api.Components.Schemas["Serial"].Properties["form_up"].Type; kind != "string" {
		t.Errorf("a moment is described as %v", kind)
	}
}

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

// TestTwoEditors: the second of two editors is told who was quicker and which
// version is kept; nothing of the first is written over.
func TestTwoEditors(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	first := good[desk.Table](b, "POST", show+"/place", desk.Put{Unit: "knot", Lane: "A2"}, at(1)...)
	if first.Version != 2 {
		t.Fatalf("saved as version %d", first.Version)
	}
	edited := small()
	edited.Name = "Mine"
	for _, x := range []struct {
		method, path string
		body         any
	}{
		{"POST", "/place", desk.Put{Unit: "dunlin", Lane: "A1"}},
		{"POST", "/held", desk.Put{Unit: "dunlin", Lane: "A1"}},
		{"PUT", "/show", ShowEdit{"x", edited}},
		{"POST", "/fix", desk.FixAsk{Units: []sallyport.UnitID{"knot"}, Fixed: true}},
		{"POST", "/issues", NewIssue{"x"}},
		{"POST", "/take", Take{"x"}},
	} {
		got := b.bad(412, x.method, show+x.path, x.body, at(1)...)
		if got.Code != "conflict" || got.Theirs == nil || got.Theirs.Version != 2 || got.Theirs.Author != "Planner" {
			t.Errorf("%s: %+v", x.path, got)
		}
		b.bad(428, x.method, show+x.path, x.body)
		b.bad(428, x.method, show+x.path, x.body, "If-Match", "*")
	}
	if now := b.table(show); now.Version != 2 || now.Show.Name != "Small show" {
		t.Errorf("kept is version %d of %s", now.Version, now.Show.Name)
	}
}

func TestHeldAndPlaced(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	before := b.table(show)
	for _, lane := range before.Complete.Park.Lanes {
		ask := desk.Put{Unit: "stint", Lane: lane.ID}
		held := good[desk.PutHeld](b, "POST", show+"/held", ask, at(1)...)
		if held.Lane != lane.ID || held.Version != 1 {
			t.Errorf("held is %+v", held)
		}
	}
	if x := b.table(show); x.Version != 1 {
		t.Errorf("holding has saved version %d", x.Version)
	}
	b.bad(404, "POST", show+"/place", desk.Put{Unit: "stint", Lane: "Z9"}, at(1)...)
	for _, place := range []int{-1, 9} {
		for _, path := range []string{"/place", "/held"} {
			if got := b.bad(422, "POST", show+path, desk.Put{Unit: "stint", Lane: "A1", Place: place}, at(1)...); !strings.Contains(got.Detail, fmt.Sprintf("no place %d", place)) {
				t.Errorf("%s: %+v", path, got)
			}
		}
	}
	b.bad(400, "POST", show+"/place", map[string]any{"unit": "stint", "row": "A1"}, at(1)...)
	fixed := good[desk.Table](b, "POST", show+"/fix", desk.FixAsk{Units: []sallyport.UnitID{"stint"}, Fixed: true}, at(1)...)
	if fixed.Version != 2 || fixed.Show.Vehicles[2].Home.Binding != sallyport.Fixed {
		t.Errorf("fixed is %+v", fixed.Show.Vehicles[2].Home)
	}
	b.bad(422, "POST", show+"/fix", desk.FixAsk{Fixed: true}, at(2)...)
}

// TestShowHalfTyped: a show that contradicts itself is kept, with what is wrong
// said and the plan as it was; put right, it is laid out again.
func TestShowHalfTyped(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	half := small()
	half.Serials[0].FormUp = half.Serials[0].ArenaOut + 600
	got := good[desk.Table](b, "PUT", show+"/show", ShowEdit{"times", half}, at(1)...)
	if len(got.Problems) == 0 || got.Plan == nil || got.Version != 2 {
		t.Errorf("half typed: version %d, problems %v", got.Version, got.Problems)
	}
	if p := b.bad(422, "POST", show+"/held", desk.Put{Unit: "knot", Lane: "A2"}, at(2)...); len(p.Problems) == 0 {
		t.Errorf("held over a contradiction: %+v", p)
	}
	got = good[desk.Table](b, "PUT", show+"/show", ShowEdit{"times", small()}, at(2)...)
	if len(got.Problems) != 0 || !got.Workable {
		t.Errorf("put right: %v %v", got.Problems, got.Verdict)
	}
	// A vehicle and its serials more: it stands at the gate.
	more := small()
	more.Vehicles = append(more.Vehicles, sallyport.Vehicle{ID: "ruff", Name: "Ruff", Class: "light wheeled", Length: 400})
	more.Serials[1].Entries = append(more.Serials[1].Entries, sallyport.Entry{ID: "2c", Unit: "ruff"})
	got = good[desk.Table](b, "PUT", show+"/show", ShowEdit{"Ruff", more}, at(3)...)
	gate := 0
	for _, s := range got.Stays {
		if s.Unit == "ruff" && s.Lane == "" {
			gate++
		}
	}
	if gate != 1 {
		t.Errorf("the new vehicle stands in %+v", got.Stays)
	}
	for _, x := range []struct {
		status int
		body   string
	}{
		{400, `{"what":"x","show":{"name":"X","colour":"red"}}`},
		{400, `{"what":"x","show":{"name":7}}`},
		{400, `{"what":"x","show":{"serials":[{"id":"1","form_up":"ten"}]}}`},
		{400, `{"what":"x"`},
		{400, ``},
		{400, `{"what":"x"} {}`},
		{422, `{"what":"x"}`},
		{422, `{"what":"x","show":{"format":"sallyport-show/9","name":"X"}}`},
	} {
		b.bad(x.status, "PUT", show+"/show", []byte(x.body), at(4)...)
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

func TestComparedAndClashes(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	good[IssueLine](b, "POST", show+"/issues", NewIssue{"first"}, at(1)...)
	if list := good[[]IssueLine](b, "GET", show+"/issues", nil); len(list) != 1 || list[0].Note != "first" {
		t.Errorf("issues: %+v", list)
	}
	x := good[comparisonBody](b, "GET", show+"/compare?a=issue:1&b=draft", nil)
	if x.A != "Issue 1" || x.B != "Draft 1" || len(x.Events)+len(x.Moved)+len(x.Notices) != 0 {
		t.Errorf("compared with itself: %+v", x)
	}
	later := small()
	later.Serials[0].ArenaIn += 300
	good[desk.Table](b, "PUT", show+"/show", ShowEdit{"later", later}, at(1)...)
	if x = good[comparisonBody](b, "GET", show+"/compare?a=issue:1&b=draft", nil); len(x.Events) == 0 {
		t.Errorf("a serial is later: %+v", x.Comparison)
	}
	for _, q := range []string{"", "?a=draft", "?a=draft&b=issue", "?a=draft&b=issue:x", "?a=copy:-1&b=draft"} {
		b.bad(422, "GET", show+"/compare"+q, nil)
	}
	b.bad(404, "GET", show+"/compare?a=issue:7&b=draft", nil)
	b.bad(404, "GET", show+"/compare?a=copy:1&b=draft", nil)
	busy := small()
	busy.Serials[1].FormFrom, busy.Serials[1].FormUp = busy.Serials[0].ArenaIn, busy.Serials[0].ArenaOut
	if list := good[[]desk.Clash](b, "POST", show+"/clashes", ShowTyped{busy}); len(list) == 0 {
		t.Error("Dunlin is in two serials at once, and nothing clashes")
	}
	b.bad(422, "POST", show+"/clashes", ShowTyped{})
	b.bad(404, "POST", "/api/shows/9/clashes", ShowTyped{busy})
}

func TestLog(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	here := sallyport.Happening{Kind: sallyport.HappenHere, Unit: "knot"}
	lines := good[[]LogLine](b, "POST", show+"/log", Said{[]sallyport.Happening{here, {Kind: sallyport.HappenLimits, Unit: "dunlin", NoReverse: true}}})
	if len(lines) != 2 || lines[1].Number != 2 || lines[0].Says != "Knot is here" || lines[0].Author != "Planner" {
		t.Errorf("said: %+v", lines)
	}
	if lines = good[[]LogLine](b, "GET", show+"/log?after=1", nil); len(lines) != 1 {
		t.Errorf("after the first: %+v", lines)
	}
	b.bad(422, "POST", show+"/log", Said{})
	b.bad(422, "POST", show+"/log", Said{[]sallyport.Happening{{Kind: "flew away"}}})
	// What can never be applied would stand in the way of every replan for good.
	if x := b.bad(422, "POST", show+"/log", Said{[]sallyport.Happening{here, {Kind: sallyport.HappenHere}, {Kind: sallyport.HappenElsewhere, Unit: "knot", Lane: "nowhere"}}}); len(x.Problems) != 2 {
		t.Errorf("refused for %+v", x.Problems)
	}
	if rest := good[[]LogLine](b, "GET", show+"/log", nil); len(rest) != 2 {
		t.Errorf("written down are %+v", rest)
	}
	b.bad(404, "GET", "/api/shows/9/log", nil)
	b.bad(404, "POST", "/api/shows/9/log", Said{[]sallyport.Happening{here}})
}

func TestScreens(t *testing.T) {
	t.Parallel()
	b := serving(t)
	for path, cache := range map[string]string{"/": "no-cache", "/join/abc": "no-cache", "/assets/app-1.js": "public, max-age=31536000, immutable"} {
		a := b.ask("GET", path, nil)
		if a.status != 200 || a.head.Get("Cache-Control") != cache || !strings.HasPrefix(a.head.Get("Content-Security-Policy"), "default-src 'self'") {
			t.Errorf("%s: %d %v", path, a.status, a.head)
		}
	}
	b.bad(404, "GET", "/assets/app-0.js", nil)
	b.bad(404, "GET", "/../go.mod", nil)
	b.bad(404, "GET", "/api/nothing", nil)
	b.bad(405, "POST", "/", nil)
	bare := serving(t, func(o *Options) { o.Screens = nil })
	if a := bare.ask("GET", "/", nil); a.status != 200 || !bytes.Contains(a.body, []byte("make ui")) {
		t.Errorf("without screens: %d %s", a.status, a.body)
	}
}

// TestTooMuch: what is too large is refused before it fills the memory.
func TestTooMuch(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	huge := []byte(`{"what":"` + strings.Repeat("x", maxJSON) + `"}`)
	b.bad(http.StatusRequestEntityTooLarge, "PUT", show+"/show", huge, at(1)...)
	b.bad(http.StatusRequestEntityTooLarge, "POST", "/api/shows/import", make([]byte, maxUpload+1))
	b.bad(http.StatusRequestEntityTooLarge, "POST", show+"/preview", make([]byte, maxUpload+1))
	if x := b.table(show); x.Version != 1 {
		t.Errorf("version %d", x.Version)
	}
}
