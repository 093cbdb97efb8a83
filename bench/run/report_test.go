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
	runs := []measured{{Risk: 7}, {Risk: 1}, {Risk: 3}, {Risk: math.MaxInt64}}
	value := func(m measured) (int64, bool) { return int64(m.Risk), m.Risk < 100 }
	if got, want := amounts(runs, value), "3 (7)"; got != want {
		t.Errorf("amounts: %q, want %q", got, want)
	}
	if got := amounts(nil, value); got != "–" {
		t.Errorf("amounts of nothing: %q", got)
	}
	late := []measured{{First: time.Second}, {First: never}, {First: 2 * time.Second}}
	if got, want := times(late, func(m measured) time.Duration { return m.First }), "2 (never)"; got != want {
		t.Errorf("times: %q, want %q", got, want)
	}
}

// cost returns a cost with so many moves aside.
func cost(aside int, total sp.Amount) sp.Cost {
	return sp.Cost{Total: total, Terms: []sp.CostTerm{{Name: sp.TermAside, Amount: total, Count: aside}}}
}

func TestNoteKeepsTheBestAtEachMoment(t *testing.T) {
	at := secondsOf(1, 5, 9)
	m := measured{First: never, Nobody: never, Proven: never, At: make([]moment, 3)}
	m.note(solve.Progress{Cost: cost(0, 1), Bound: 7}, 0, at) // not workable: no plan
	m.note(solve.Progress{Workable: true, Cost: cost(2, 90), Bound: 7}, 500*time.Millisecond, at)
	m.note(solve.Progress{Workable: true, Cost: cost(0, 40), Bound: 8}, 2*time.Second, at)
	m.note(solve.Progress{Workable: true, Cost: cost(0, 10), Bound: 10}, 9010*time.Millisecond, at)
	if m.First != 500*time.Millisecond || m.Nobody != 2*time.Second || m.Proven != 9010*time.Millisecond {
		t.Errorf("first %v, nobody aside %v, proven %v", m.First, m.Nobody, m.Proven)
	}
	for i, want := range []struct{ cost, bound sp.Amount }{{90, 7}, {40, 8}, {10, 10}} {
		if m.At[i].Cost.Total != want.cost || m.At[i].Bound != want.bound {
			t.Errorf("at %v: cost %d, bound %d; want %v", at[i], m.At[i].Cost.Total, m.At[i].Bound, want)
		}
	}
	if m.At[1].proven() || !m.At[2].proven() {
		t.Error("proven where the bound meets the cost, and only there")
	}
}

func TestFlags(t *testing.T) {
	for _, c := range []struct {
		args string
		want string // part of the error; empty: none
	}{
		{"-table full,demo -spare 5,15 -at 0.5,2", ""},
		{"-table all -keep there -print", ""},
		{"-print", "give -keep too"},
		{"-sizes many", "whole number of vehicles"},
		{"-seeds 0", "0 seeds"},
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

func TestReportHasOneLineForEachSpareRoomAndMoment(t *testing.T) {
	c, planted := cost(1, 300), cost(0, 360)
	r := &report{table: anytime{name: "plan", plain: true}, settings: settings{seeds: 1, spares: []int{5, 15}, at: secondsOf(1, 3), command: "again"}, missing: 4}
	for _, spare := range []int{5, 15} {
		r.groups = append(r.groups, group{spare: spare, runs: []measured{{
			First: time.Second, Nobody: never, At: []moment{{Bound: 20}, {Cost: &c, Bound: 60}}, Planted: &planted, Judged: c, Risk: 77,
		}}})
	}
	var b strings.Builder
	if err := r.write(&b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"| 5 % | 1 (1) | never (never) | 360 (360) | 1 of 1 | 0 of 1 | 0 of 1 | 77 (77) |",
		"| 15 % | 1 | 1 of 1 | – | – | – | 20 (20) | – | – | 0 of 1 |",
		"| 15 % | 3 | 0 of 1 | 300 (300) | 1 (1) | 0 (0) | 60 (60) | 240 (240) | 2 (2) | 0 of 1 |",
		"| 15 % | 300 (300) | 1 (1); 300 (300) |",
		"`again`", "4 cases are missing",
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
