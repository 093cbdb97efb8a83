package main

import (
	"io"
	"math"
	"slices"
	"strings"
	"testing"
)

func TestPoints(t *testing.T) {
	got := merged([]point{{1, 90}, {4, 50}, {9, 10}}, []point{{2, 70}, {3, 80}, {9, 20}})
	if want := []point{{1, 90}, {2, 70}, {4, 50}, {9, 10}}; !slices.Equal(got, want) {
		t.Errorf("merged %v, want %v", got, want)
	}
	if x := reached(got, 60); x != 4 {
		t.Errorf("60 reached after %v s, want 4", x)
	}
	if x := reached(got, 5); !math.IsInf(x, 1) {
		t.Errorf("5 reached after %v s, want never", x)
	}
	if c, ok := costAt(got, 3); !ok || c != 70 {
		t.Errorf("cost after 3 s is %d (%v), want 70", c, ok)
	}
	if _, ok := costAt(got, 0.5); ok {
		t.Error("a cost before the first plan")
	}
}

func TestFlags(t *testing.T) {
	for _, c := range []struct {
		args string
		want string // part of the error; empty: none
	}{
		{"-tables plan -spare 5 -at 1,2 -rivals highs -models column -starts scratch", ""},
		{"-tables full", `no "full"`},
		{"-rivals nobody", `no "nobody"`},
		{"-models plane", `no "plane"`},
		{"-starts yesterday", `no "yesterday"`},
		{"-at 0", "not a whole number"},
		{"-at 60,10", "do not rise"},
		{"-spare x", "not a whole number"},
		{"-seeds 0", "nothing to measure"},
	} {
		_, err := parse(strings.Fields(c.args), io.Discard)
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%s: error %v, want %q", c.args, err, c.want)
		}
	}
}

func TestReportComparesWithSallyport(t *testing.T) {
	s, err := parse(strings.Fields("-tables plan -spare 15 -seeds 3 -at 10,60 -rivals highs -models plain -starts scratch"), io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	s.out = t.TempDir()
	s.command = "again"
	for _, c := range s.shows() {
		o := &ours{Points: []point{{0.5, 500}, {2, 240}, {30, 120}}, Judged: verdict{Cost: 120}}
		if err := save(s.file(c), o); err != nil {
			t.Fatal(err)
		}
		for _, rc := range s.cases(c) {
			r := &ran{rivalCase: rc}
			if c.Seed > 1 && rc.Seconds == 60 {
				cost := int64(240 - 120*(c.Seed-2))
				r.Found, r.Cost, r.Points, r.Bound = true, cost, []point{{40, cost}}, 120
				r.Judged.Cost = cost
			}
			if err := save(s.file(rc), r); err != nil {
				t.Fatal(err)
			}
		}
	}
	var b strings.Builder
	if err := report(s, &b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"| **Sallyport** | | scratch | 3 of 3, 240 (240) | 3 of 3, 120 (120) | 0 (0) | 30 (30) | | | | 0 of 3 |",
		"| highs | plain | scratch | 0 of 3, none | 2 of 3, 120 (240) | 120 (0) | 40 (40) | 2 (30) | 1.33 (1.33) | 2, 1, 0 | 0 |",
		"`again`",
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %q in\n%s", want, b.String())
		}
	}
}
