package web

import (
	"net/http"
	"strings"
	"testing"
)

// TestWrongMethod: a path that is known says by which methods it can be asked
// for, also to nobody; one that is not known says so.
func TestWrongMethod(t *testing.T) {
	x := newWhoTable(t, nil)
	for _, c := range []struct {
		method, path string
		status       int
		allow        string
	}{
		{"PUT", "/health", 405, "GET, HEAD"},
		{"DELETE", "/api/shows", 405, "GET, HEAD, POST"},
		{"POST", "/api/shows/1/table", 405, "GET, HEAD"},
		{"GET", "/api/shows/1/place", 405, "POST"},
		{"OPTIONS", "/api/shows/1/show", 405, "PUT"},
		{"GET", "/api/shows/import", 405, "POST"},
		{"PATCH", "/api/jobs/some", 405, "DELETE, GET, HEAD"},
		{"POST", "/", 405, "GET, HEAD"},
		{"PUT", "/join/abc", 405, "GET, HEAD"},
		{"POST", "/nothing", 404, ""},
		{"GET", "/api/nothing", 404, ""},
		{"DELETE", "/api/shows/1/nothing", 404, ""},
		{"POST", "/api/shows/1/place", 401, ""},
	} {
		w := x.do(t, ask{method: c.method, path: c.path})
		if w.Code != c.status || w.Header().Get("Allow") != c.allow || w.Header().Get("Content-Type") != "application/problem+json" {
			t.Errorf("%s %s: %d, allowed %q, %s", c.method, c.path, w.Code, w.Header().Get("Allow"), w.Body)
		}
		if c.status == 405 && !strings.Contains(w.Body.String(), c.method) {
			t.Errorf("%s %s: says %s", c.method, c.path, w.Body)
		}
	}
}

// TestEveryMethod: no route says of itself that it does not know its method,
// and what a path does not know is always refused as such.
func TestEveryMethod(t *testing.T) {
	x := newWhoTable(t, nil)
	known := map[string]bool{}
	for _, r := range routes() {
		known[r.method+" "+r.path] = true
	}
	for _, r := range routes() {
		path := inPath.ReplaceAllString(r.path, "7")
		for _, method := range []string{http.MethodGet, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete} {
			if strings.HasSuffix(path, "/import") && method == http.MethodPatch {
				continue // taken for the number of a show
			}
			if got := x.do(t, ask{method: method, path: path}).Code; (got == http.StatusMethodNotAllowed) == known[method+" "+r.path] {
				t.Errorf("%s %s: %d", method, r.path, got)
			}
		}
	}
}
