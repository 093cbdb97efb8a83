package web

import (
	"crypto/rand"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"
)

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
