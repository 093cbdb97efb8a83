package web

import (
	"bytes"
	"encoding/json"
	"net/http"
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
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
