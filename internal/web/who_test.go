package web

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
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
func newWhoTable(t *testing.T, set func(*WhoOptions)) *whoTable {
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

func (x *whoTable) do(t *testing.T, a ask) *httptest.ResponseRecorder {
	t.Helper()
	w := httptest.NewRecorder()
	x.ServeHTTP(w, x.request(t, a))
	return w
}

func (x *whoTable) request(t *testing.T, a ask) *http.Request {
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
func (x *whoTable) person(t *testing.T, name string, role Role) string {
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
			csp := h.Get("Content-Security-Policy")
			for _, part := range []string{"default-src 'self'", "frame-ancestors 'none'", "object-src 'none'", "base-uri 'none'"} {
				if !strings.Contains(csp, part) {
					t.Errorf("%s: the policy %q lacks %s", path, csp, part)
				}
			}
			if strings.Contains(csp, "script-src") && strings.Contains(csp, "unsafe") || strings.Contains(csp, "unsafe-eval") {
				t.Errorf("%s: the policy %q lets scripts in", path, csp)
			}
			if hsts := h.Get("Strict-Transport-Security"); (hsts != "") != own {
				t.Errorf("%s: own certificate %v, Strict-Transport-Security %q", path, own, hsts)
			}
		}
	}
}

// TestFirst makes the first account by the code that the server prints: once.
func TestFirst(t *testing.T) {
	x := newWhoTable(t, nil)
	code := x.Who.FirstCode()
	if s := reads[Session](t, x.do(t, ask{method: "GET", path: "/api/session"}), 200); !s.First || s.SignedIn {
		t.Errorf("before: %+v", s)
	}
	first := func(code, name, password string) *httptest.ResponseRecorder {
		return x.do(t, ask{method: "POST", path: "/api/first", body: FirstIn{code, name, password}})
	}
	reads[Trouble](t, first("", "Orla", "teal widgeon smew"), 401)
	reads[Trouble](t, first("BCD-FGH-JKM-NPQ", "Orla", "teal widgeon smew"), 401)
	reads[Trouble](t, first(code, "Orla", "short"), 422)
	reads[Trouble](t, first(code, " ", "teal widgeon smew"), 422)

	// Two at once: one is made.
	var wg sync.WaitGroup
	answers := make([]*httptest.ResponseRecorder, 2)
	for i := range answers {
		wg.Go(func() {
			answers[i] = first(strings.ToLower(code), fmt.Sprintf("Orla %d", i), "teal widgeon smew")
		})
	}
	wg.Wait()
	got := []int{answers[0].Code, answers[1].Code}
	slices.Sort(got)
	if !slices.Equal(got, []int{201, 401}) {
		t.Fatalf("two at once: %v", got)
	}
	if x.Who.FirstCode() != "" {
		t.Error("the code is still shown")
	}
	reads[Trouble](t, first(code, "Runa", "teal widgeon smew"), 401)
	list, err := x.Store.Accounts(t.Context())
	if err != nil || len(list) != 1 || list[0].Role != Planner {
		t.Fatalf("accounts %+v, %v", list, err)
	}
	for _, w := range answers {
		if w.Code == 201 {
			if w := x.do(t, ask{method: "GET", path: "/api/accounts", token: cookieOf(t, w).Value}); w.Code != 200 {
				t.Errorf("who made it is not signed in: %d", w.Code)
			}
		}
	}
	if s := reads[Session](t, x.do(t, ask{method: "GET", path: "/api/session"}), 200); s.First {
		t.Errorf("after: %+v", s)
	}

	// Started again there is no code, but for who asks for it.
	o := x.Who.WhoOptions
	again, err := NewWho(t.Context(), o)
	if err != nil || again.FirstCode() != "" {
		t.Errorf("again: %q, %v", again.FirstCode(), err)
	}
	o.NewPlanner = true
	if again, err = NewWho(t.Context(), o); err != nil || again.FirstCode() == "" {
		t.Errorf("asked for: %v", err)
	}
}

// TestSignIn checks passwords, cookies and what a wrong one is told.
func TestSignIn(t *testing.T) {
	const password = "teal widgeon smew"
	x := newWhoTable(t, nil)
	planner := x.person(t, "Orla", Planner)
	a := reads[Account](t, x.do(t, ask{method: "POST", path: "/api/accounts", token: planner, body: NewAccount{"Runa", Marshal, password}}), 201)
	sign := func(name, password, token string) *httptest.ResponseRecorder {
		return x.do(t, ask{method: "POST", path: "/api/session", token: token, body: SignIn{name, password}})
	}
	wrong := sign("Runa", "teal widgeon smee", "").Body.String()
	if unknown := sign("Sten", password, "").Body.String(); unknown != wrong {
		t.Errorf("an unknown name is told %s, a wrong password %s", unknown, wrong)
	}
	if x.do(t, ask{method: "GET", path: "/api/shows", token: ""}).Code != 401 {
		t.Error("signed in all the same")
	}

	// A token that somebody else has put into the browser is not taken over.
	planted, err := newToken(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	w := sign("  RUNA ", password, planted)
	s := reads[Session](t, w, 200)
	c := cookieOf(t, w)
	if s.Name != "Runa" || s.Role != Marshal || !s.SignedIn || s.Solo || !s.Account {
		t.Errorf("session %+v", s)
	}
	if c.Value == planted || len(c.Value) < 43 || !c.HttpOnly || c.SameSite != http.SameSiteLaxMode || c.Path != "/" || c.Domain != "" || c.Secure || c.Name != "sallyport" {
		t.Errorf("cookie %+v", c)
	}
	if x.do(t, ask{method: "GET", path: "/api/shows", token: planted}).Code != 401 {
		t.Error("the planted token is signed in")
	}

	// Signing in again rotates the token: the earlier one is over.
	second := cookieOf(t, sign("Runa", password, c.Value))
	if second.Value == c.Value || x.do(t, ask{method: "GET", path: "/api/shows", token: c.Value}).Code != 401 {
		t.Error("the earlier token is still good")
	}

	// Signing out ends it, on the server too.
	out := x.do(t, ask{method: "DELETE", path: "/api/session", token: second.Value})
	if c := cookieOf(t, out); out.Code != 204 || c.MaxAge >= 0 || c.Value != "" {
		t.Errorf("signing out: %d, %+v", out.Code, c)
	}
	if x.do(t, ask{method: "GET", path: "/api/shows", token: second.Value}).Code != 401 {
		t.Error("the token is good after signing out")
	}

	// So do a block and a new password; a blocked account is told nothing else.
	third := cookieOf(t, sign("Runa", password, ""))
	path := fmt.Sprintf("/api/accounts/%d", a.ID)
	reads[Account](t, x.do(t, ask{method: "PATCH", path: path, token: planner, body: `{"blocked": true}`}), 200)
	if x.do(t, ask{method: "GET", path: "/api/shows", token: third.Value}).Code != 401 {
		t.Error("blocked, and still in")
	}
	if blocked := sign("Runa", password, "").Body.String(); blocked != wrong {
		t.Errorf("a blocked account is told %s", blocked)
	}
	reads[Account](t, x.do(t, ask{method: "PATCH", path: path, token: planner, body: `{"blocked": false}`}), 200)
	fourth := cookieOf(t, sign("Runa", password, ""))
	other := cookieOf(t, sign("Runa", password, ""))
	changed := x.do(t, ask{method: "PUT", path: "/api/session/password", token: fourth.Value, body: NewPassword{"not it at all", "smew garganey teal"}})
	reads[Trouble](t, changed, 422)
	changed = x.do(t, ask{method: "PUT", path: "/api/session/password", token: fourth.Value, body: NewPassword{password, "smew garganey teal"}})
	reads[Session](t, changed, 200)
	for token, want := range map[string]int{fourth.Value: 401, other.Value: 401, cookieOf(t, changed).Value: 200} {
		if got := x.do(t, ask{method: "GET", path: "/api/shows", token: token}).Code; got != want {
			t.Errorf("after a new password: %d, want %d", got, want)
		}
	}

	// What was done and tried is in the trail; no password is.
	var said []string
	for _, l := range reads[[]AuditLine](t, x.do(t, ask{method: "GET", path: "/api/audit", token: planner}), 200) {
		said = append(said, l.Who+" "+l.What)
		if l.From != "192.168.4.9" {
			t.Errorf("from %q", l.From)
		}
	}
	text := strings.Join(said, "\n")
	for _, want := range []string{"Orla made an account for Runa, marshal", "Runa signed in", "tried to sign in as Runa with a wrong password", "a name that is not known", "Runa signed out", "blocked account of Runa", "Runa changed their password", "changed the account of Runa: blocked"} {
		if !strings.Contains(text, want) {
			t.Errorf("the trail does not say %q:\n%s", want, text)
		}
	}
	if strings.Contains(text, "teal") {
		t.Errorf("a password is in the trail:\n%s", text)
	}
}

// TestSecureCookie checks that over TLS the cookie cannot be set or read by
// others.
func TestSecureCookie(t *testing.T) {
	x := newWhoTable(t, func(o *WhoOptions) { o.Secure = true })
	w := x.do(t, ask{method: "POST", path: "/api/first", body: FirstIn{x.Who.FirstCode(), "Orla", "teal widgeon smew"}})
	reads[Session](t, w, 201)
	if c := cookieOf(t, w); c.Name != "__Host-sallyport" || !c.Secure || !c.HttpOnly || c.Path != "/" || c.Domain != "" {
		t.Errorf("cookie %+v", c)
	}
}

// TestIdle checks that a session ends by itself, and is renewed by use.
func TestIdle(t *testing.T) {
	x := newWhoTable(t, nil)
	token := x.person(t, "Orla", Planner)
	for range 3 {
		x.pass(13 * 24 * time.Hour)
		w := x.do(t, ask{method: "GET", path: "/api/shows", token: token})
		if w.Code != 200 || cookieOf(t, w).Value != token {
			t.Fatalf("used within two weeks: %d", w.Code)
		}
	}
	x.pass(15 * 24 * time.Hour)
	if w := x.do(t, ask{method: "GET", path: "/api/shows", token: token}); w.Code != 401 {
		t.Errorf("after two weeks: %d", w.Code)
	}
}

// TestLinks makes a link, uses it, and ends it.
func TestLinks(t *testing.T) {
	x := newWhoTable(t, func(o *WhoOptions) {
		o.Addresses = func() []string {
			return []string{"https://localhost:8443", "https://192.168.4.2:8443", "https://10.0.0.2:8443"}
		}
	})
	planner := x.person(t, "Orla", Planner)
	link := reads[JoinLink](t, x.do(t, ask{method: "POST", path: "/api/joins", token: planner, body: NewJoin{Role: Crew, Note: "gate", Hours: 12}}), 201)
	if !strings.HasPrefix(link.URL, "https://192.168.4.2:8443/#/join/") || !strings.HasSuffix(link.URL, link.Code) || !strings.HasPrefix(link.QR, "<svg") {
		t.Errorf("link %+v", link)
	}
	if until, err := time.Parse(time.RFC3339, link.Until); err != nil || !until.Equal(x.now().Add(12*time.Hour)) {
		t.Errorf("until %s", link.Until)
	}
	reads[Trouble](t, x.do(t, ask{method: "POST", path: "/api/joins", token: planner, body: NewJoin{Role: Crew, Hours: 12, Address: "https://evil.example"}}), 422)
	for _, hours := range []int{-1, 0, 2000, 1 << 60} {
		reads[Trouble](t, x.do(t, ask{method: "POST", path: "/api/joins", token: planner, body: NewJoin{Role: Crew, Hours: hours}}), 422)
	}
	for _, l := range reads[[]JoinLink](t, x.do(t, ask{method: "GET", path: "/api/joins", token: planner}), 200) {
		if l.Code != "" || l.URL != "" || l.QR != "" {
			t.Errorf("the list gives the code away: %+v", l)
		}
	}
	// Read aloud: no hyphens, small letters.
	spoken := strings.ToLower(strings.ReplaceAll(link.Code, "-", " "))
	w := x.do(t, ask{method: "POST", path: "/api/join", body: JoinIn{spoken, "Tove"}})
	s := reads[Session](t, w, 200)
	if s.Name != "Tove" || s.Role != Crew || s.Account {
		t.Errorf("session %+v", s)
	}
	token := cookieOf(t, w).Value
	if w := x.do(t, ask{method: "GET", path: "/api/shows/1/log", token: token}); w.Code != 200 {
		t.Errorf("crew looks at the log: %d", w.Code)
	}
	reads[Trouble](t, x.do(t, ask{method: "POST", path: "/api/join", body: JoinIn{link.Code, "Sten"}}), 401)
	reads[Trouble](t, x.do(t, ask{method: "PUT", path: "/api/session/password", token: token, body: NewPassword{"", "teal widgeon smew"}}), 422)
	if got := reads[JoinLink](t, x.do(t, ask{method: "DELETE", path: fmt.Sprintf("/api/joins/%d", link.ID), token: planner}), 200); got.By != "Tove" || got.Ended == "" {
		t.Errorf("ended %+v", got)
	}
	if w := x.do(t, ask{method: "GET", path: "/api/shows/1/log", token: token}); w.Code != 401 {
		t.Errorf("after the end: %d", w.Code)
	}
}

// TestCut checks that who is blocked hears nothing more on a stream that is
// open already.
func TestCut(t *testing.T) {
	x := newWhoTable(t, nil)
	planner := x.person(t, "Orla", Planner)
	crew := x.person(t, "Runa", Crew)
	listening := make(chan int, 1)
	ended := make(chan struct{})
	h := x.Who.Guard(everyone, http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		listening <- 1
		<-r.Context().Done()
		close(ended)
	}))
	go h.ServeHTTP(httptest.NewRecorder(), x.request(t, ask{method: "GET", path: "/", token: crew}))
	<-listening
	a, err := x.Store.AccountOf(t.Context(), "Runa")
	if err != nil {
		t.Fatal(err)
	}
	reads[Account](t, x.do(t, ask{method: "PATCH", path: fmt.Sprintf("/api/accounts/%d", a.ID), token: planner, body: `{"blocked": true}`}), 200)
	select {
	case <-ended:
	case <-time.After(5 * time.Second):
		t.Error("the stream goes on")
	}
}

// TestGuessing lets somebody guess a thousand codes, and passwords.
func TestGuessing(t *testing.T) {
	for name, where := range map[string]func(i int) string{
		"from one address":    func(int) string { return "192.0.2.7:1000" },
		"from one network":    func(i int) string { return fmt.Sprintf("[2001:db8::%x]:1000", i+1) },
		"from many addresses": func(i int) string { return fmt.Sprintf("192.0.%d.%d:1000", 2+i/200, 1+i%200) },
	} {
		t.Run(name, func(t *testing.T) {
			x := newWhoTable(t, nil)
			planner := x.person(t, "Orla", Planner)
			link := reads[JoinLink](t, x.do(t, ask{method: "POST", path: "/api/joins", token: planner, body: NewJoin{Role: Planner, Hours: 24}}), 201)
			looked := 0
			for i := range 1000 {
				code, err := newCode(rand.Reader)
				if err != nil {
					t.Fatal(err)
				}
				w := x.do(t, ask{method: "POST", path: "/api/join", from: where(i), body: JoinIn{code, "Sten"}})
				switch w.Code {
				case http.StatusUnauthorized:
					looked++
				case http.StatusTooManyRequests:
					if w.Header().Get("Retry-After") == "" || !strings.Contains(w.Body.String(), "seconds") {
						t.Fatalf("slowed without saying for how long: %s", w.Body)
					}
				default:
					t.Fatalf("guess %d: %d %s", i, w.Code, w.Body)
				}
				x.pass(100 * time.Millisecond)
			}
			// 100 seconds: ten at once and one each six, or sixty and one each.
			if most := map[string]int{"from many addresses": 60 + 101}[name]; looked > max(most, 10+17) {
				t.Errorf("%d of 1000 guesses were looked at", looked)
			}
			// Once it is quiet who has the code comes in.
			x.pass(time.Minute)
			reads[Session](t, x.do(t, ask{method: "POST", path: "/api/join", from: where(0), body: JoinIn{link.Code, "Tove"}}), 200)
		})
	}
}

// TestGuessingPasswords slows who guesses at one account from anywhere, and
// counts none of those that were right.
func TestGuessingPasswords(t *testing.T) {
	x := newWhoTable(t, nil)
	planner := x.person(t, "Orla", Planner)
	reads[Account](t, x.do(t, ask{method: "POST", path: "/api/accounts", token: planner, body: NewAccount{"Runa", Marshal, "teal widgeon smew"}}), 201)
	sign := func(i int, name, password string) int {
		return x.do(t, ask{method: "POST", path: "/api/session", from: fmt.Sprintf("192.0.2.%d:1000", 1+i), body: SignIn{name, password}}).Code
	}
	for i := range 12 {
		if got := sign(0, "Runa", "teal widgeon smew"); got != 200 {
			t.Fatalf("right for the %d. time: %d", i+1, got)
		}
	}
	// Variants of a name are one name.
	names := []string{"Runa", " rUNA ", "\uff32una"} // the last begins with a full-width letter
	var got []int
	for i := range 12 {
		got = append(got, sign(i, names[i%3], "not it at all"))
	}
	if want := append(slices.Repeat([]int{401}, 10), 429, 429); !slices.Equal(got, want) {
		t.Errorf("answers %v", got)
	}
	if got := sign(20, "Orla", "not it at all"); got != 401 {
		t.Errorf("another account: %d", got)
	}
	x.pass(time.Minute)
	if got := sign(30, "Runa", "teal widgeon smew"); got != 200 {
		t.Errorf("a minute later: %d", got)
	}
}

// TestGateRemembersFew checks that the gate does not grow with who tries.
func TestGateRemembersFew(t *testing.T) {
	g := newGate(codeLimits)
	at := time.Date(2027, 6, 24, 6, 0, 0, 0, time.UTC)
	for i := range 3 * gateSize {
		g.try(at, fmt.Sprintf("10.%d.%d.%d", i>>16, i>>8&255, i&255), "")
		at = at.Add(time.Second)
	}
	if len(g.each) > gateSize {
		t.Errorf("it remembers %d addresses", len(g.each))
	}
}

// TestLargeForms checks that nobody makes the server read much before it
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
