package web

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestSolo checks who is let in without an account.
func TestSolo(t *testing.T) {
	x := newWhoTable(t, func(o *WhoOptions) { o.Loopback, o.Solo = true, "Orla" })
	if code := x.Who.FirstCode(); code != "" {
		t.Errorf("alone there is a code %s", code)
	}
	for name, tt := range map[string]struct {
		ask
		status int
	}{
		"here":              {ask{}, 200},
		"by name":           {ask{host: "localhost:8080"}, 200},
		"by IPv6":           {ask{host: "[::1]:8080", from: "[::1]:50000"}, 200},
		"without port":      {ask{host: "127.0.0.1"}, 200},
		"rebound name":      {ask{host: "evil.example:8080"}, 421},
		"rebound localhost": {ask{host: "localhost.evil.example"}, 421},
		"no name":           {ask{host: " "}, 421},
		"network address":   {ask{host: "192.168.4.2:8080"}, 421},
		"passed on":         {ask{header: map[string]string{"X-Forwarded-For": "192.0.2.7"}}, 401},
		"passed on, new":    {ask{header: map[string]string{"Forwarded": "for=192.0.2.7"}}, 401},
		"not from here":     {ask{from: "192.168.4.9:50000"}, 401},
	} {
		t.Run(name, func(t *testing.T) {
			tt.method, tt.path = "GET", "/api/shows"
			if w := x.do(t, tt.ask); w.Code != tt.status {
				t.Errorf("status %d, want %d: %s", w.Code, tt.status, w.Body)
			}
		})
	}
	s := reads[Session](t, x.do(t, ask{method: "GET", path: "/api/session"}), 200)
	if s.Name != "Orla" || s.Role != Planner || !s.Solo || !s.SignedIn {
		t.Errorf("session %+v", s)
	}

	// With the first account that ends.
	body := map[string]string{"name": "Orla", "role": "crew", "password": "teal widgeon smew"}
	reads[Trouble](t, x.do(t, ask{method: "POST", path: "/api/accounts", body: body}), 422)
	body["role"] = "planner"
	reads[Account](t, x.do(t, ask{method: "POST", path: "/api/accounts", body: body}), 201)
	reads[Trouble](t, x.do(t, ask{method: "GET", path: "/api/shows"}), 401)
	w := x.do(t, ask{method: "POST", path: "/api/session", body: map[string]string{"name": "orla", "password": "teal widgeon smew"}})
	reads[Session](t, w, 200)
	if w := x.do(t, ask{method: "GET", path: "/api/shows", token: cookieOf(t, w).Value}); w.Code != 200 {
		t.Errorf("signed in: %d", w.Code)
	}
}

// TestOtherPages checks that no page of another server gets anything done or
// told.
func TestOtherPages(t *testing.T) {
	for name, tt := range map[string]struct {
		method, path string
		header       map[string]string
		refused      bool
	}{
		"own page":                   {"POST", "/api/shows", map[string]string{"Sec-Fetch-Site": "same-origin", "Origin": "http://127.0.0.1:8080"}, false},
		"no browser":                 {"POST", "/api/shows", nil, false},
		"other page":                 {"POST", "/api/shows", map[string]string{"Sec-Fetch-Site": "cross-site", "Origin": "http://evil.example"}, true},
		"other port":                 {"POST", "/api/shows", map[string]string{"Sec-Fetch-Site": "same-site", "Origin": "http://127.0.0.1:9999"}, true},
		"other page, old browser":    {"POST", "/api/shows", map[string]string{"Origin": "http://evil.example"}, true},
		"hidden origin":              {"POST", "/api/shows", map[string]string{"Origin": "null"}, true},
		"signs somebody in":          {"POST", "/api/session", map[string]string{"Sec-Fetch-Site": "cross-site"}, true},
		"stream of other page":       {"GET", "/api/shows/1/log", map[string]string{"Origin": "http://evil.example"}, true},
		"script of other page":       {"GET", "/api/shows/1/log", map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors"}, true},
		"stream of own page":         {"GET", "/api/shows/1/log", map[string]string{"Sec-Fetch-Site": "same-origin", "Sec-Fetch-Mode": "cors"}, false},
		"link to a picture":          {"GET", "/api/shows/1/picture.svg", map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}, false},
		"link to the table":          {"GET", "/", map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}, false},
		"delete by a form elsewhere": {"DELETE", "/api/joins/1", map[string]string{"Sec-Fetch-Site": "cross-site"}, true},
	} {
		t.Run(name, func(t *testing.T) {
			x := newWhoTable(t, alone)
			a := ask{method: tt.method, path: tt.path, header: tt.header}
			if tt.method == "POST" {
				a.body = `{"from": "empty", "name": "Fenmoor"}`
			}
			w := x.do(t, a)
			if refused := w.Code == http.StatusForbidden; refused != tt.refused {
				t.Errorf("status %d: %s", w.Code, w.Body)
			}
			list, err := x.Store.Shows(t.Context(), true)
			if err != nil {
				t.Fatal(err)
			}
			if tt.refused && len(list) != 1 {
				t.Error("it was done all the same")
			}
		})
	}
}

// TestPlainOrigin: over TLS a page that came without it is another server's.
func TestPlainOrigin(t *testing.T) {
	x := newWhoTable(t, func(o *WhoOptions) { o.Secure = true })
	token := x.person(t, "Orla", Planner)
	for origin, want := range map[string]int{"https://192.168.4.2:8080": 201, "http://192.168.4.2:8080": 403} {
		w := x.do(t, ask{method: "POST", path: "/api/shows", token: token, body: `{"from": "empty", "name": "Fenmoor"}`, header: map[string]string{"Origin": origin}})
		if w.Code != want {
			t.Errorf("%s: %d %s", origin, w.Code, w.Body)
		}
	}
}

// TestHeaders checks what browsers are told about every answer.
func TestHeaders(t *testing.T) {
	for _, own := range []bool{false, true} {
		x := newWhoTable(t, func(o *WhoOptions) { o.Loopback, o.Lasting = true, own })
		for _, path := range []string{"/", "/api/shows", "/api/none", "/none", "/health", "/api/shows/1/picture.svg"} {
			h := x.do(t, ask{method: "GET", path: path}).Header()
			for name, want := range map[string]string{"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "no-referrer"} {
				if got := h.Get(name); got != want {
					t.Errorf("%s: %s is %q, want %q", path, name, got, want)
				}
			}
			if cache := h.Get("Cache-Control"); path != "/" && cache != "no-store" {
				t.Errorf("%s: %q lets others keep it", path, cache)
			}
			csp := h.Get("Content-Security-Policy")
			for _, part := range []string{"default-src 'self'", "frame-ancestors 'none'", "object-src 'none'", "base-uri 'none'"} {
				if !strings.Contains(csp, part) {
					t.Errorf("%s: the policy %q lacks %s", path, csp, part)
				}
			}
			if strings.Contains(csp, "script-src") && strings.Contains(csp, "unsafe") || strings.Contains(csp, "unsafe-eval") {
				t.Errorf("%s: the policy %q lets scripts in", path, csp)
			}
			if cache := x.do(t, ask{method: "GET", path: "/api/shows/1/table"}).Header().Get("Cache-Control"); cache != "private, no-cache" {
				t.Errorf("the table: %q", cache)
			}
			if hsts := h.Get("Strict-Transport-Security"); (hsts != "") != own {
				t.Errorf("%s: own certificate %v, Strict-Transport-Security %q", path, own, hsts)
			}
		}
	}
}

// knows them.
func TestLargeForms(t *testing.T) {
	x := newWhoTable(t, nil)
	planner := x.person(t, "Orla", Planner)
	for _, path := range []string{"/api/session", "/api/join", "/api/first", "/api/accounts", "/api/joins"} {
		body := `{"name": "` + strings.Repeat("x", maxForm) + `"}`
		if w := x.do(t, ask{method: "POST", path: path, token: planner, body: body}); w.Code != http.StatusRequestEntityTooLarge || !strings.Contains(w.Body.String(), "16 kB") {
			t.Errorf("%s: %d %s", path, w.Code, w.Body)
		}
	}
	if w := x.do(t, ask{method: "POST", path: "/api/shows/import", token: planner, body: strings.Repeat("x", maxUpload+1)}); w.Code != http.StatusRequestEntityTooLarge {
		t.Errorf("import: %d %s", w.Code, w.Body)
	}
	if w := x.do(t, ask{method: "POST", path: "/api/shows", token: planner, body: strings.Repeat(" ", maxJSON+1)}); w.Code != http.StatusRequestEntityTooLarge {
		t.Errorf("a show: %d %s", w.Code, w.Body)
	}
}

// TestPaths checks that no path leads out of what the server is to give.
func TestPaths(t *testing.T) {
	x := newWhoTable(t, alone)
	for _, path := range []string{"/../shows.db", "/assets/../../shows.db", "/assets/..%2f..%2fshows.db", "/%2e%2e/shows.db", "//etc/passwd", "/assets/%5c..%5cshows.db", "/shows.db", "/.git/config", "/assets/"} {
		r := x.request(t, ask{method: "GET", path: "/"})
		bare, err := r.URL.Parse("http://127.0.0.1" + path)
		if err != nil {
			t.Fatal(err)
		}
		r.URL.Path, r.URL.RawPath = bare.Path, bare.RawPath
		if strings.Contains(path, "..") { // Parse tidies it
			r.URL.Path, r.URL.RawPath = path, ""
		}
		w := httptest.NewRecorder()
		x.ServeHTTP(w, r)
		if w.Code == 200 || strings.Contains(w.Body.String(), "SQLite") {
			t.Errorf("%s: %d %.60s", path, w.Code, w.Body)
		}
	}
}

// TestImportPaths imports files whose parts want to be written elsewhere.
func TestImportPaths(t *testing.T) {
	x := newWhoTable(t, alone)
	before := under(t, filepath.Dir(x.folder))
	good := x.do(t, ask{method: "GET", path: "/api/shows/1/export.zip"})
	if good.Code != 200 {
		t.Fatalf("export: %d %s", good.Code, good.Body)
	}
	for _, name := range []string{"../evil.json", "/tmp/evil.json", `..\evil.json`, "a/../../evil.json", "C:/evil.json"} {
		for how, build := range map[string]func(*testing.T, []byte, string) []byte{"added": addPart, "named": renamePart} {
			w := x.do(t, ask{method: "POST", path: "/api/shows/import", body: string(build(t, good.Body.Bytes(), name))})
			if w.Code != http.StatusUnprocessableEntity {
				t.Errorf("%s, %s: %d %s", name, how, w.Code, w.Body)
			}
		}
	}
	list, err := x.Store.Shows(t.Context(), true)
	if err != nil || len(list) != 1 {
		t.Errorf("%d shows are kept, %v", len(list), err)
	}
	for path := range under(t, filepath.Dir(x.folder)) {
		if !before[path] && strings.Contains(path, "evil") {
			t.Errorf("%s was written", path)
		}
	}
	if _, err := os.Stat("/tmp/evil.json"); err == nil {
		t.Error("/tmp/evil.json was written")
	}
}

// under lists all files below a folder.
func under(t *testing.T, folder string) map[string]bool {
	t.Helper()
	found := map[string]bool{}
	err := filepath.WalkDir(folder, func(path string, _ os.DirEntry, err error) error {
		found[path] = true
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// parts copies a ZIP file part by part, under the names that name gives.
func parts(t *testing.T, data []byte, name func(string) string, text func([]byte) []byte, more string) []byte {
	t.Helper()
	in, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	add := func(name string, body []byte) {
		w, err := out.Create(name)
		if err == nil {
			_, err = w.Write(body)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, f := range in.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		add(name(f.Name), text(body))
	}
	if more != "" {
		add(more, []byte(`{"evil": true}`))
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// addPart adds a part of a name to an export.
func addPart(t *testing.T, data []byte, name string) []byte {
	return parts(t, data, func(n string) string { return n }, func(b []byte) []byte { return b }, name)
}

// renamePart gives the draft's part a name, and names it so in the list.
func renamePart(t *testing.T, data []byte, name string) []byte {
	quoted, err := json.Marshal(name)
	if err != nil {
		t.Fatal(err)
	}
	return parts(t, data, func(n string) string {
		if n == "draft-show.json" {
			return name
		}
		return n
	}, func(b []byte) []byte { return bytes.ReplaceAll(b, []byte(`"draft-show.json"`), quoted) }, "")
}
