package sallyport_test

import (
	"fmt"
	"slices"
	"sort"
	"strings"
	"testing"

	sp "sallyport"

	"pgregory.net/rapid"
)

// picture writes down what stands where, in the naive player's words.
func (w *world) picture() string {
	var lines []string
	for u, t := range w.at {
		switch t.kind {
		case sp.InLane:
			lines = append(lines, fmt.Sprintf("%s lane %s %d nose in %t", u, t.id, t.near, t.noseIn))
		case sp.InLine, sp.InSpot:
			lines = append(lines, fmt.Sprintf("%s %s %s %d", u, t.kind, t.id, slices.Index(w.those(t.kind, t.id), u)))
		default:
			lines = append(lines, fmt.Sprintf("%s %s", u, t.kind))
		}
	}
	sort.Strings(lines)
	return strings.Join(lines, "\n")
}

// pictureOf writes down a state of the judge in the same words.
func pictureOf(s sp.State) string {
	var lines []string
	for id, row := range s.Lanes {
		for _, x := range row {
			lines = append(lines, fmt.Sprintf("%s lane %s %d nose in %t", x.Unit, id, x.From, x.NoseIn))
		}
	}
	for id, row := range s.Lines {
		for i, u := range row {
			lines = append(lines, fmt.Sprintf("%s %s %s %d", u, sp.InLine, id, i))
		}
	}
	for id, row := range s.Spots {
		for i, u := range row {
			lines = append(lines, fmt.Sprintf("%s %s %s %d", u, sp.InSpot, id, i))
		}
	}
	for _, u := range s.Arena {
		lines = append(lines, fmt.Sprintf("%s %s", u, sp.InArena))
	}
	for _, u := range s.Duty {
		lines = append(lines, fmt.Sprintf("%s %s", u, sp.InDuty))
	}
	sort.Strings(lines)
	return strings.Join(lines, "\n")
}

// movesOf prints a plan for a failure message.
func movesOf(s *sp.Show, p *sp.Plan) string {
	var b strings.Builder
	for _, l := range s.Park.Lanes {
		fmt.Fprintf(&b, "lane %s %s %s in %s %d gap %d deep %d wide %d mass %d %s %s\n", l.ID, l.Zone, l.Kind, l.In, l.Length, l.Gap, l.MaxDeep, l.Width, l.MaxMass, l.Mouth, l.Tail)
	}
	for _, l := range s.Park.Lines {
		fmt.Fprintf(&b, "line %s %s %s tail %t %d gap %d %v\n", l.ID, l.Out, l.Home, l.TailLeads, l.Length, l.Gap, l.Fouls)
	}
	for _, v := range s.Vehicles {
		fmt.Fprintf(&b, "%s %d (%d %d) %s %d wide %d mass %d warm %d %s idle %d rest %d cool %d home %v standby %t alone %t apart %v start %s %d hand %d off %s arrive %v depart %v\n", v.ID, v.Length, v.GapAhead, v.GapBehind, v.Reverse, v.ReverseLimit, v.Width, v.Mass, *v.WarmUp, v.WarmWhere, *v.LongestIdle, *v.HotRest, *v.CoolDown, v.Home, v.Standby, v.StandsAlone, v.KeepApart, v.Start, v.StartClear, v.HandPeople, v.OffRoad.From, v.Arrive, v.Depart)
	}
	for _, x := range s.Serials {
		fmt.Fprintf(&b, "serial %+v\n", x)
	}
	fmt.Fprintf(&b, "teams %d day %+v closings %v zones %v\n", s.Park.Teams, s.Days[0], s.Closings, s.Park.Zones)
	for _, l := range p.Start {
		fmt.Fprintf(&b, "start %s %v nose in %v\n", l.Lane, l.Units, l.NoseIn)
	}
	for _, m := range p.Moves {
		fmt.Fprintf(&b, "%s %s +%d %s %s%v %s.%s.%s -> %s.%s.%s %s rev=%t hand=%t nominal=%s\n", m.ID, m.Start, m.Takes, m.Kind, m.Unit, m.Units,
			m.From.Kind, m.From.ID, m.From.End, m.To.Kind, m.To.ID, m.To.End, m.Serial, m.Reverse, m.ByHand, m.Nominal)
	}
	return b.String()
}

// said lists the faults of a judgement by rule, move and unit, for the rules
// and moves that can be compared.
func said(faults []sp.Fault, keep func(breach) bool) []string {
	var all []string
	for _, f := range faults {
		b := breach{rule: f.Rule, move: f.Move}
		if len(f.Units) > 0 {
			b.unit = f.Units[0]
		}
		if keep(b) {
			all = append(all, b.String())
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

func (b breach) String() string {
	if b.move == "" && (b.rule == sp.RuleFit || b.rule == sp.RuleStandby) {
		b.unit = "" // of two who may not share a lane either is right
	}
	return fmt.Sprintf("%s | %s | %s", b.rule, b.move, b.unit)
}

// breaks are the rules after which nothing is certain.
var breaks = []sp.Rule{sp.RuleBlocked, sp.RuleOverfull, sp.RuleNotThere, sp.RuleLate}

// ofWhole are the rules about a plan as a whole.
var ofWhole = []sp.Rule{sp.RuleMissing, sp.RuleUnserved, sp.RuleDuty, sp.RuleMorning, sp.RuleWindow, sp.RuleWrongUnit}

// paired are the rules about several moves at one time, which mean little
// when the list is out of order.
var paired = []sp.Rule{sp.RuleTeams, sp.RuleFrontage, sp.RuleLaneEnd, sp.RuleWarmUp, sp.RuleMorning, sp.RulePerson, sp.RuleNoDriver}

func TestPlayAgainstNaivePlayer(t *testing.T) {
	count := map[sp.Rule]int{}
	n := 0
	rapid.Check(t, func(t *rapid.T) {
		d := draw{t: t}
		s := d.smallShow()
		p := d.plan(s)
		v := judge(s, p)
		n++
		tally(count, v, p)

		start, _ := sp.StartState(s, p)
		states, _ := sp.Play(s, start, p.Moves)
		if len(states) != len(p.Moves) {
			t.Fatalf("%d states after %d moves", len(states), len(p.Moves))
		}
		for i, w := range v.states {
			if i > v.broken {
				break
			}
			got := start
			if i > 0 {
				got = states[i-1]
			}
			if a, b := w.picture(), pictureOf(got); a != b {
				t.Fatalf("after move %d\nnaive:\n%s\njudge:\n%s\n%s", i, a, b, movesOf(s, p))
			}
		}
		breaking := map[sp.Rule]bool{}
		for _, b := range v.place {
			if v.broken >= 0 && v.broken < len(p.Moves) && b.move == p.Moves[v.broken].ID && slices.Contains(breaks, b.rule) {
				breaking[b.rule] = true
			}
		}
		certain := map[sp.MoveID]bool{"": true}
		for i, m := range p.Moves {
			certain[m.ID] = i <= v.broken
		}
		sorted := slices.IsSortedFunc(p.Moves, func(a, b sp.Move) int { return int(a.Start - b.Start) })
		keep := func(b breach) bool {
			if !sorted && slices.Contains(paired, b.rule) {
				return false
			}
			if v.broken >= 0 && v.broken < len(p.Moves) && b.move == p.Moves[v.broken].ID {
				return breaking[b.rule] // one broken rule may bring others along
			}
			if slices.Contains(ofWhole, b.rule) && (b.move == "" || b.rule == sp.RuleWrongUnit) {
				return v.broken == len(p.Moves)
			}
			return certain[b.move] && (v.broken >= 0 || b.rule != sp.RuleStandby)
		}
		report := sp.Check(s, p)
		var want []string
		for _, b := range slices.Concat(v.place, v.clock, v.whole) {
			if keep(b) {
				want = append(want, b.String())
			}
		}
		slices.Sort(want)
		want = slices.Compact(want)
		got := said(report.Faults, keep)
		if !slices.Equal(got, want) {
			t.Fatalf("only naive: %q\nonly judge: %q\n%s", minus(want, got), minus(got, want), movesOf(s, p))
		}
	})
	var keys []string
	for r, k := range count {
		keys = append(keys, fmt.Sprintf("%5d %s", k, r))
	}
	sort.Strings(keys)
	t.Logf("of %d plans:\n%s", n, strings.Join(keys, "\n"))
}

func minus(a, b []string) []string {
	return slices.DeleteFunc(slices.Clone(a), func(x string) bool { return slices.Contains(b, x) })
}

func tally(count map[sp.Rule]int, v verdict, p *sp.Plan) {
	seen := map[sp.Rule]bool{}
	for _, b := range slices.Concat(v.place, v.clock, v.whole) {
		seen[b.rule] = true
	}
	for r := range seen {
		count[r]++
	}
	if len(seen) == 0 {
		count["nothing"]++
	}
	if v.broken < len(p.Moves) {
		count["broken"]++
	}
	count["moves"] += len(p.Moves)
}
