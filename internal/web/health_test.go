package web

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"
)

func TestHealth(t *testing.T) {
	t.Parallel()
	b := serving(t)
	b.planned()
	h := good[Health](b, "GET", "/health", nil)
	if !h.OK || h.Version != "test" || h.Database != "good" || h.Shows == nil || *h.Shows != 1 || h.Working == nil || h.Waiting == nil {
		t.Errorf("health is %+v", h)
	}
	if a := b.ask("GET", "/health", nil, "Accept", "text/html"); !strings.Contains(string(a.body), "Sallyport test works.") {
		t.Errorf("people read %s", a.body)
	}
}

// TestHealthForStrangers: on a network who is not signed in hears whether the
// server works, and nothing of what is in it.
func TestHealthForStrangers(t *testing.T) {
	x := newWhoTable(t, nil)
	says := func(token string) map[string]any {
		w := x.do(t, ask{method: "GET", path: "/health", token: token})
		return reads[map[string]any](t, w, http.StatusOK)
	}
	if h := says(""); len(h) != 3 || h["ok"] != true || h["version"] != "test" || h["database"] != "good" {
		t.Errorf("a stranger hears %v", h)
	}
	if h := says(x.person(t, "Orla", Planner)); h["shows"] != 1.0 || h["jobs_working"] != 0.0 || h["jobs_waiting"] != 0.0 {
		t.Errorf("a planner hears %v", h)
	}
}

// TestHealthOfABrokenDatabase: a stranger hears that it cannot be read, not why.
func TestHealthOfABrokenDatabase(t *testing.T) {
	x := newWhoTable(t, nil)
	if err := x.Store.Close(); err != nil {
		t.Fatal(err)
	}
	w := x.do(t, ask{method: "GET", path: "/health"})
	var h Health
	if err := json.Unmarshal(w.Body.Bytes(), &h); err != nil || w.Code != http.StatusServiceUnavailable || h.OK || h.Database != "cannot be read" {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}
