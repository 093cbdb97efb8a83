package web

import (
	"net/http"
	"net/http/httptest"
	"testing"
)

// BenchmarkGuard is what finding out who asks adds to every request.
func BenchmarkGuard(b *testing.B) {
	x := newWhoTable(b, nil)
	r := x.request(b, ask{method: "GET", path: "/", token: x.person(b, "Orla", Planner)})
	h := x.Who.Guard(everyone, http.HandlerFunc(func(http.ResponseWriter, *http.Request) {}))
	for b.Loop() {
		w := httptest.NewRecorder()
		if h.ServeHTTP(w, r); w.Code != http.StatusOK {
			b.Fatal(w.Code)
		}
	}
}

// BenchmarkPassword is what checking one password costs.
func BenchmarkPassword(b *testing.B) {
	x := newWhoTable(b, nil)
	for b.Loop() {
		if ok, err := x.Who.fits(b.Context(), x.Who.unknown, "not it at all"); ok || err != nil {
			b.Fatal(ok, err)
		}
	}
}
