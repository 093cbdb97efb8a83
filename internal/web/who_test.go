package web

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"sallyport/internal/fenmoor"
	"sallyport/internal/store"
)

// whoTable is a server under test, with a clock that stands until it is moved.
type whoTable struct {
	*Server
	folder string
	mu     sync.Mutex
	at     time.Time
}

func (x *whoTable) now() time.Time {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.at
}

func (x *whoTable) pass(d time.Duration) {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.at = x.at.Add(d)
}

// newWhoTable starts a server with options changed by set, and one show.
func newWhoTable(t testing.TB, set func(*WhoOptions)) *whoTable {
	t.Helper()
	x := &whoTable{folder: t.TempDir(), at: time.Date(2027, 6, 24, 6, 0, 0, 0, time.UTC)}
	kept, err := store.Open(t.Context(), filepath.Join(x.folder, "shows.db"), store.Options{Now: x.now})
	if err != nil {
		t.Fatal(err)
	}
	log := slog.New(slog.DiscardHandler)
	o := WhoOptions{Store: kept, Now: x.now, Log: log, Rand: rand.Reader}
	if set != nil {
		set(&o)
	}
	who, err := NewWho(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	if x.Server, err = New(Options{Store: kept, Who: who, Now: x.now, Log: log, Version: "test", Demo: fenmoor.Show}); err != nil {
		t.Fatal(err)
	}
	if _, err := kept.Create(t.Context(), "", store.Content{Show: fenmoor.Show()}, "Orla"); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := x.Close(context.Background()); err != nil {
			t.Error(err)
		}
		if err := kept.Close(); err != nil {
			t.Error(err)
		}
	})
	return x
}

// alone makes it a server for its own machine only.
func alone(o *WhoOptions) { o.Loopback = true }

// ask is a request in a test; what is not given is as from a browser on the
// table's own page.
type ask struct {
	method, path string
	body         any // a string is sent as it is
	token        string
	from         string
	header       map[string]string
	host         string
	ctx          context.Context
}

func (x *whoTable) do(t testing.TB, a ask) *httptest.ResponseRecorder {
	t.Helper()
	w := httptest.NewRecorder()
	x.ServeHTTP(w, x.request(t, a))
	return w
}

func (x *whoTable) request(t testing.TB, a ask) *http.Request {
	t.Helper()
	var body io.Reader
	switch b := a.body.(type) {
	case nil:
	case string:
		body = strings.NewReader(b)
	default:
		text, err := json.Marshal(b)
		if err != nil {
			t.Fatal(err)
		}
		body = bytes.NewReader(text)
	}
	ctx := a.ctx
	if ctx == nil {
		ctx = t.Context()
	}
	r := httptest.NewRequestWithContext(ctx, a.method, a.path, body)
	r.Host, r.RemoteAddr = "192.168.4.2:8080", "192.168.4.9:50000"
	if x.Who.Loopback {
		r.Host, r.RemoteAddr = "127.0.0.1:8080", "127.0.0.1:50000"
	}
	if a.from != "" {
		r.RemoteAddr = a.from
	}
	if a.host != "" {
		r.Host = a.host
	}
	if a.token != "" {
		r.AddCookie(&http.Cookie{Name: x.Who.cookie(), Value: a.token})
	}
	for k, v := range a.header {
		r.Header.Set(k, v)
	}
	return r
}

// reads fails unless the answer has the status, and reads its JSON.
func reads[T any](t *testing.T, w *httptest.ResponseRecorder, status int) T {
	t.Helper()
	var v T
	if w.Code != status {
		t.Fatalf("status %d, want %d: %s", w.Code, status, w.Body)
	}
	if w.Body.Len() > 0 {
		if err := json.Unmarshal(w.Body.Bytes(), &v); err != nil {
			t.Fatalf("%s: %v", w.Body, err)
		}
	}
	return v
}

// cookieOf returns the cookie that an answer sets.
func cookieOf(t *testing.T, w *httptest.ResponseRecorder) *http.Cookie {
	t.Helper()
	list := w.Result().Cookies()
	if len(list) != 1 {
		t.Fatalf("%d cookies are set: %v", len(list), list)
	}
	return list[0]
}

// person makes an account without the cost of a password, signs it in, and

// returns its token.
func (x *whoTable) person(t testing.TB, name string, role Role) string {
	t.Helper()
	a, err := x.Store.AccountOf(t.Context(), name)
	if err != nil {
		if a, err = x.Store.AddAccount(t.Context(), name, role, x.Who.unknown); err != nil {
			t.Fatal(err)
		}
	}
	token, err := newToken(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := x.Store.BeginSession(t.Context(), a, tokenSum(token), nil); err != nil {
		t.Fatal(err)
	}
	return token
}

// mayUse says who may use each route, written down apart from the routes
// themselves: planner, marshal, crew, viewer; "*" for who is not signed in.
var mayUse = map[string]string{
	"GET /health":                     "*",
	"GET /openapi.json":               "PMCV",
	"GET /api/session":                "*",
	"POST /api/session":               "*",
	"DELETE /api/session":             "*",
	"PUT /api/session/password":       "PMCV",
	"POST /api/join":                  "*",
	"POST /api/first":                 "*",
	"GET /api/shows":                  "PMCV",
	"POST /api/shows":                 "P",
	"POST /api/shows/import":          "P",
	"PATCH /api/shows/{id}":           "P",
	"GET /api/shows/{id}/export.zip":  "P",
	"GET /api/shows/{id}/show.xlsx":   "PMCV",
	"GET /api/shows/{id}/plan.json":   "P",
	"GET /api/shows/{id}/table":       "PMCV",
	"PUT /api/shows/{id}/show":        "P",
	"POST /api/shows/{id}/held":       "P",
	"POST /api/shows/{id}/place":      "P",
	"POST /api/shows/{id}/fix":        "P",
	"POST /api/shows/{id}/undo":       "P",
	"POST /api/shows/{id}/redo":       "P",
	"POST /api/shows/{id}/restore":    "P",
	"GET /api/shows/{id}/history":     "P",
	"GET /api/shows/{id}/copies":      "P",
	"POST /api/shows/{id}/copies":     "P",
	"POST /api/shows/{id}/clashes":    "P",
	"GET /api/shows/{id}/issues":      "PMCV",
	"POST /api/shows/{id}/issues":     "P",
	"GET /api/shows/{id}/compare":     "PMCV",
	"POST /api/shows/{id}/preview":    "P",
	"POST /api/shows/{id}/take":       "P",
	"POST /api/shows/{id}/paste":      "P",
	"POST /api/shows/{id}/jobs":       "PM",
	"GET /api/shows/{id}/jobs":        "PM",
	"GET /api/jobs/{job}":             "PM",
	"DELETE /api/jobs/{job}":          "PM",
	"GET /api/jobs/{job}/result":      "PM",
	"POST /api/jobs/{job}/choose":     "P",
	"GET /api/shows/{id}/log":         "PMC",
	"POST /api/shows/{id}/log":        "PM",
	"GET /api/shows/{id}/picture.svg": "PMCV",
	"GET /api/shows/{id}/events":      "PMCV",
	"GET /api/accounts":               "P",
	"POST /api/accounts":              "P",
	"PATCH /api/accounts/{id}":        "P",
	"GET /api/joins":                  "P",
	"POST /api/joins":                 "P",
	"DELETE /api/joins/{id}":          "P",
	"GET /api/audit":                  "P",
}

var letters = map[Role]string{Planner: "P", Marshal: "M", Crew: "C", Viewer: "V"}

// TestRoles asks every route as every role and as nobody.
func TestRoles(t *testing.T) {
	x := newWhoTable(t, nil)
	tokens := map[Role]string{}
	for _, role := range store.Roles() {
		tokens[role] = x.person(t, "a "+string(role), role)
	}
	asked := map[string]bool{}
	for _, r := range routes() {
		name := r.method + " " + r.path
		may, known := mayUse[name]
		if !known {
			t.Errorf("%s: the test does not say who may", name)
			continue
		}
		path := strings.NewReplacer("{id}", "1", "{job}", "none").Replace(r.path)
		if strings.HasPrefix(r.path, "/api/accounts/") {
			path = strings.Replace(path, "1", "99", 1) // nobody
		}
		asked[name] = true
		one := func(token string) int {
			// A stream goes on until its reader goes away.
			ctx, stop := context.WithTimeout(t.Context(), 5*time.Second)
			if r.stream {
				ctx, stop = context.WithTimeout(t.Context(), 50*time.Millisecond)
			}
			defer stop()
			a := ask{method: r.method, path: path, token: token, ctx: ctx}
			if r.method != "GET" && r.method != "DELETE" {
				a.body = "{}"
			}
			return x.do(t, a).Code
		}
		if may == "*" {
			if !r.open {
				t.Errorf("%s is not open", name)
			}
			if got := one(""); got == http.StatusForbidden || got >= 500 {
				t.Errorf("%s, not signed in: %d", name, got)
			}
			continue
		}
		if r.open {
			t.Errorf("%s is open", name)
		}
		if got := one(""); got != http.StatusUnauthorized {
			t.Errorf("%s, not signed in: %d, want 401", name, got)
		}
		for role, token := range tokens {
			got := one(token)
			allowed := strings.Contains(may, letters[role])
			switch {
			case allowed && (got == http.StatusUnauthorized || got == http.StatusForbidden || got >= 500):
				t.Errorf("%s as %s: %d", name, role, got)
			case !allowed && got != http.StatusForbidden:
				t.Errorf("%s as %s: %d, want 403", name, role, got)
			}
		}
	}
	for name := range mayUse {
		if !asked[name] {
			t.Errorf("%s: there is no such route", name)
		}
	}
}

// TestRouteSaysWhoMay checks that no route was forgotten: one that says

// nothing serves nobody.
func TestRouteSaysWhoMay(t *testing.T) {
	for _, r := range routes() {
		if r.open == (len(r.roles) > 0) {
			t.Errorf("%s %s: say either roles or open", r.method, r.path)
		}
	}
	x := newWhoTable(t, nil)
	w := httptest.NewRecorder()
	x.Who.Guard(nil, http.HandlerFunc(func(http.ResponseWriter, *http.Request) { t.Error("served") })).
		ServeHTTP(w, x.request(t, ask{method: "GET", path: "/", token: x.person(t, "Orla", Planner)}))
	if w.Code != http.StatusForbidden {
		t.Errorf("without roles: %d", w.Code)
	}
}

// TestMarshalJobs checks that a marshal may start a replan and no other work.
func TestMarshalJobs(t *testing.T) {
	x := newWhoTable(t, nil)
	x.person(t, "Orla", Planner)
	token := x.person(t, "Runa", Marshal)
	for _, kind := range jobKinds {
		w := x.do(t, ask{method: "POST", path: "/api/shows/1/jobs", token: token, body: map[string]any{"kind": kind.name, "steps": 1}})
		if may := kind.name == "replan"; may == (w.Code == http.StatusForbidden) {
			t.Errorf("%s as marshal: %d", kind.name, w.Code)
		}
	}
}

// TestCut checks that who is blocked hears nothing more on a stream that is

// TestGuessingPasswords slows who guesses at one account from anywhere, and

// TestLargeForms checks that nobody makes the server read much before it
