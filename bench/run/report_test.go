package main

import (
	"io"
	"math"
	"strings"
	"testing"
	"time"

	sp "sallyport"
	"sallyport/internal/solve"
)

func TestSeconds(t *testing.T) {
	for d, want := range map[time.Duration]string{
		30 * time.Second:        "30",
		250 * time.Millisecond:  "0.25",
		1500 * time.Millisecond: "1.5",
		never:                   "never",
	} {
		if got := seconds(d); got != want {
			t.Errorf("seconds(%d) = %q, want %q", d, got, want)
		}
	}
}

func TestMedianAndWorst(t *testing.T) {
	runs := []measured{{bound: 7}, {bound: 1}, {bound: 3}, {bound: math.MaxInt64}}
	value := func(m measured) (int64, bool) { return int64(m.bound), m.bound < 100 }
	if got, want := amounts(runs, value), "3 (7)"; got != want {
		t.Errorf("amounts: %q, want %q", got, want)
	}
	if got := amounts(nil, value); got != "–" {
		t.Errorf("amounts of nothing: %q", got)
	}
	late := []measured{{first: time.Second}, {first: never}, {first: 2 * time.Second}}
	if got, want := times(late, func(m measured) time.Duration { return m.first }), "2 (never)"; got != want {
		t.Errorf("times: %q, want %q", got, want)
	}
}

// cost returns a cost with so many moves aside.
func cost(aside int, total sp.Amount) sp.Cost {
	return sp.Cost{Total: total, Terms: []sp.CostTerm{{Name: sp.TermAside, Amount: total, Count: aside}}}
}

func TestNoteKeepsTheBestAtEachMoment(t *testing.T) {
	at := []time.Duration{time.Second, 5 * time.Second}
	m := measured{first: never, nobody: never, at: make([]*sp.Cost, 2)}
	m.note(solve.Progress{Cost: cost(0, 1)}, 0, at) // not workable: no plan
	m.note(solve.Progress{Workable: true, Cost: cost(2, 90)}, 500*time.Millisecond, at)
	m.note(solve.Progress{Workable: true, Cost: cost(0, 40)}, 2*time.Second, at)
	m.note(solve.Progress{Workable: true, Cost: cost(0, 10)}, 5010*time.Millisecond, at)
	if m.first != 500*time.Millisecond || m.nobody != 2*time.Second {
		t.Errorf("first %v, nobody aside %v", m.first, m.nobody)
	}
	if m.at[0].Total != 90 || m.at[1].Total != 10 {
		t.Errorf("cost %d at 1 s and %d at 5 s, want 90 and 10", m.at[0].Total, m.at[1].Total)
	}
}

func TestFlags(t *testing.T) {
	for _, c := range []struct {
		args string
		want string // part of the error; empty: none
	}{
		{"-table full -spare 5,15 -at 0.5,2", ""},
		{"-table nothing", "no table"},
		{"-spare much", "whole number of percent"},
		{"-at 5,1", "do not rise"},
		{"-at 0", "not a number of seconds"},
		{"-workers 0", "0 workers"},
	} {
		_, err := parse(strings.Fields(c.args), io.Discard)
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%s: error %v, want %q", c.args, err, c.want)
		}
	}
}

func TestReportHasOneLineForEachSpareRoom(t *testing.T) {
	c := cost(1, 50)
	r := &report{table: tables[0], settings: settings{seeds: 1, at: []time.Duration{time.Second}, command: "again"}}
	for _, spare := range []int{5, 15} {
		r.groups = append(r.groups, group{spare: spare, runs: []measured{{first: time.Second, nobody: never, at: []*sp.Cost{&c}, planted: cost(0, 60), judged: c, bound: 50}}})
	}
	var b strings.Builder
	if err := r.write(&b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"| 5 % | 1 (1) | never (never) | 50 (50) | 60 (60) | 1 of 1 | 50 (50) | 1 of 1 | 0 of 1 | 0 of 1 |",
		"| 15 % | 0 | 50 (50) | 1 (1); 50 (50) |",
		"`again`",
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %q in\n%s", want, b.String())
		}
	}
}

func TestTheProcessorsClockEndsTheWork(t *testing.T) {
	c, err := processor(1)
	if err != nil {
		t.Skip(err)
	}
	before := c.now()
	ctx, cancel := c.limit(t.Context(), 20*time.Millisecond)
	defer cancel()
	for ctx.Err() == nil { // work, so that the clock goes on
	}
	if used := c.now() - before; used < 20*time.Millisecond {
		t.Errorf("stopped after %v", used)
	}
}
