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

// The shut-in risk includes a blocker that must start to be moved aside; one
// that is pushed need not start. Dunlin, which starts nine times in ten,
// stands before Knot, which is due with an entry of value 2.
func TestRiskIncludesWhoIsMovedAside(t *testing.T) {
	at := func(h, m int) sp.Instant { return sp.At(1, h, m) }
	nine, none := sp.Chance(9000), sp.Seconds(0)
	show := sp.Complete(&sp.Show{
		Name: "Aside", Days: []sp.Day{{Name: "Saturday"}},
		Park: sp.Park{Lanes: []sp.Lane{{ID: "A1", Length: 1200}}, Lines: []sp.Line{{ID: "N"}}, Spots: []sp.Spot{{ID: "verge", Use: sp.SpotAside}}},
		Vehicles: []sp.Vehicle{
			{ID: "dunlin", Name: "Dunlin", Length: 400, StartChance: &nine, HandPeople: 3, WarmUp: &none},
			{ID: "knot", Name: "Knot", Length: 400, StartChance: &nine, WarmUp: &none},
		},
		Serials: []sp.Serial{{
			ID: "1", Line: "N", FormFrom: at(9, 0), FormUp: at(10, 0), ArenaIn: at(10, 30), ArenaOut: at(10, 50), HomeBy: at(11, 30), Travel: 300,
			Entries: []sp.Entry{{ID: "1a", Unit: "knot", Value: 2}},
		}},
	})
	lane, verge := sp.AtLane("A1", sp.Mouth), sp.AtSpot("verge")
	for _, byHand := range []bool{false, true} {
		plan := &sp.Plan{
			Format: sp.FormatPlan, Start: []sp.LaneLayout{{Lane: "A1", Units: []sp.UnitID{"dunlin", "knot"}}},
			Moves: []sp.Move{
				{ID: "1", Kind: sp.MoveAside, Unit: "dunlin", From: lane, To: verge, ByHand: byHand, Start: at(9, 10), Takes: 180, Marshals: 1},
				{ID: "2", Kind: sp.MovePullOut, Unit: "knot", From: lane, To: sp.AtLine("N"), Serial: "1", Entry: "1a", Start: at(9, 20), Takes: 180, Marshals: 1},
				{ID: "3", Kind: sp.MoveBack, Unit: "dunlin", From: verge, To: lane, Reverse: true, ByHand: byHand, Start: at(9, 30), Takes: 180, Marshals: 1},
			},
		}
		want := sp.Amount(2 * 6000 / 10) // one in ten of two entries at risk
		if byHand {
			want = 0
		}
		if got := sp.Evaluate(show, plan).Term(sp.TermRisk).Amount; got != want {
			t.Errorf("by hand %v: risk %d, want %d", byHand, got, want)
		}
	}
}
