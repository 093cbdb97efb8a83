package web

import (
	"crypto/rand"
	"fmt"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

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

// TestCut: with another password or role, or when an account is blocked, what
// is being answered to it ends, also a stream that was open already.
func TestCut(t *testing.T) {
	for _, change := range []string{`{"blocked": true}`, `{"password": "four words apart here"}`, `{"role": "viewer"}`} {
		t.Run(change, func(t *testing.T) { testCut(t, change) })
	}
}

func testCut(t *testing.T, change string) {
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
	reads[Account](t, x.do(t, ask{method: "PATCH", path: fmt.Sprintf("/api/accounts/%d", a.ID), token: planner, body: change}), 200)
	select {
	case <-ended:
	case <-time.After(5 * time.Second):
		t.Error("the stream goes on")
	}
}
