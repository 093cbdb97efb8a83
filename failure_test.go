package sallyport_test

import (
	"math"
	"strings"
	"testing"

	sp "sallyport"
)

// Jeffreys means (s + ½) / (n + 1), computed in double precision from the
// formula (Jeffreys 1946) and rounded to 1/10,000.
func TestChanceFromRecords(t *testing.T) {
	for _, c := range []struct {
		tried, failed int
		want          sp.Chance
	}{
		{10, 1, 8636}, // .86364
		{5, 0, 9167},  // .91667
		{20, 2, 8810}, // .88095
		{4, 1, 7000},
		{3, 3, 1250},
		{0, 0, 5000},
		{1_000_000_000, 0, 10000},
		{math.MaxInt, 0, 10000},
		{math.MaxInt, math.MaxInt, 0},
		{math.MinInt, 5, 5000},
	} {
		if got := sp.ChanceFromRecords(c.tried, c.failed); got != c.want {
			t.Errorf("%d of %d failed: %d, want %d", c.failed, c.tried, got, c.want)
		}
	}
}

// A figure goes before records, records before a word, a word before a class.
func TestStartChanceGoesBefore(t *testing.T) {
	figure := sp.Chance(9300)
	for _, c := range []struct {
		name string
		v    sp.Vehicle
		want sp.Chance
	}{
		{"figure", sp.Vehicle{StartChance: &figure, StartsTried: 10, StartsFail: 1, StartWord: sp.StartsWell}, 9300},
		{"records", sp.Vehicle{StartsTried: 10, StartsFail: 1, StartWord: sp.StartsWell}, 8636},
		{"word", sp.Vehicle{StartWord: sp.StartsWell}, 9900},
		{"class", sp.Vehicle{}, 9800},
	} {
		c.v.ID, c.v.Name, c.v.Class = "knot", "Knot", "light wheeled"
		s := &sp.Show{Vehicles: []sp.Vehicle{c.v}}
		full := sp.Complete(s)
		if got := *full.Vehicles[0].StartChance; got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
		again := sp.Complete(full)
		if got := *again.Vehicles[0].StartChance; got != c.want {
			t.Errorf("%s, completed twice: %d, want %d", c.name, got, c.want)
		}
	}
}

func TestRecordsAreAssumptions(t *testing.T) {
	s := sp.Complete(&sp.Show{Vehicles: []sp.Vehicle{{ID: "knot", Name: "Knot", StartsTried: 10, StartsFail: 1}}})
	for _, a := range s.Assumed {
		if a.Field == "start chance" && strings.Contains(a.Why, "9 of 10") && a.Value == "86.36 %" {
			return
		}
	}
	t.Errorf("no assumption says where the start chance comes from: %v", s.Assumed)
}

func TestRecordsThatCannotBe(t *testing.T) {
	for _, c := range []struct {
		name          string
		tried, failed int
		word          sp.StartWord
		severity      sp.Severity // of the problem; empty: none
	}{
		{"fewer failed than tried", 4, 1, "", ""},
		{"more failed than tried", 1, 4, "", sp.Stop},
		{"failed, none tried", 0, 1, "", sp.Stop},
		{"below zero", -1, 0, "", sp.Stop},
		{"records and a word", 4, 1, sp.DoubtfulStart, sp.Note},
	} {
		s := &sp.Show{Vehicles: []sp.Vehicle{{ID: "knot", Name: "Knot", StartsTried: c.tried, StartsFail: c.failed, StartWord: c.word}}}
		var got sp.Severity
		for _, p := range sp.Validate(s) {
			if strings.HasPrefix(p.Field, "starts ") {
				got = p.Severity
			}
		}
		if got != c.severity {
			t.Errorf("%s: %q, want %q", c.name, got, c.severity)
		}
	}
}

// The pair of the message of 1977 that quotes the rule: 32,000 lb behind
// 71,000 lb are 45.07 %, so whole 45 percent do not quite allow it.
func TestMayTow(t *testing.T) {
	for _, c := range []struct {
		name         string
		tower, towed sp.Kilograms
		percent      int
		may, known   bool
	}{
		{"the quoted pair", 71_000, 32_000, 45, false, true},
		{"the quoted pair at 46", 71_000, 32_000, 46, true, true},
		{"just at the limit", 20_000, 9_000, 45, true, true},
		{"just above", 20_000, 9_001, 45, false, true},
		{"no mass of the towing vehicle", 0, 9_000, 45, false, false},
		{"no mass of the towed vehicle", 20_000, 0, 45, false, false},
	} {
		may, known := sp.MayTow(&sp.Unit{Mass: c.tower}, &sp.Unit{Mass: c.towed}, c.percent)
		if may != c.may || known != c.known {
			t.Errorf("%s: may %v known %v, want %v %v", c.name, may, known, c.may, c.known)
		}
	}
}
