package sallyport_test

import (
	"fmt"
	"slices"
	"testing"

	sp "sallyport"

	"pgregory.net/rapid"
)

// This file is the naive player's own reading of the prices: each term is
// added up on its own, from the states before and after each move.

func (w *world) awkward(u sp.UnitID) int64 {
	for _, c := range w.show.Classes {
		if c.Name == w.vehicle(u).Class {
			return int64(c.Awkward)
		}
	}
	return 100
}

// drive is the price of one move in the park.
func (w *world) drive(m sp.Move) int64 {
	if m.ByHand {
		return pace * int64(w.vehicle(m.Unit).HandPeople)
	}
	return pace * int64(w.show.Weights.People) * w.awkward(m.Unit) / 100
}

// cost adds up all terms of a plan whose places are certain.
func (v verdict) cost(plan *sp.Plan) map[string]int64 {
	w := v.states[0]
	weights := w.show.Weights
	sum := map[string]int64{}
	told := func(u sp.UnitID, lane string) {
		if h := w.vehicle(u).Home; h.Binding == sp.Told && string(h.Lane) != lane {
			sum[sp.TermHome] += int64(weights.Told)
		}
	}
	for u, t := range w.at {
		told(u, t.id)
	}
	for i, m := range plan.Moves {
		before, after := v.states[i], v.states[i+1]
		s := w.serial(m.Serial)
		idle := func(wait sp.Instant) int64 { return int64(wait) * int64(weights.IdlePercent) / 100 }
		switch m.Kind {
		case sp.MoveAside:
			sum[sp.TermAside] += w.drive(m)
			if !m.ByHand {
				sum[sp.TermAside] += int64(*w.vehicle(m.Unit).WarmUp) * w.awkward(m.Unit) / 100
			}
		case sp.MoveBack:
			sum[sp.TermAside] += w.drive(m)
		case sp.MoveCloseUp:
			sum[sp.TermCloseUp] += w.drive(m)
		case sp.MoveReset:
			if !slices.ContainsFunc(plan.Moves[:i], func(b sp.Move) bool { return b.Kind == sp.MoveReset && b.Unit == m.Unit && b.Window == m.Window }) {
				sum[sp.TermReset] += w.drive(m) * int64(w.show.Resets[0].Awkward) / 100
			}
		case sp.MoveReturn:
			if m.Nominal > s.Back() {
				sum[sp.TermHold] += idle(m.Nominal - s.Back())
			}
		case sp.MovePullOut:
			from := m.Start
			if m.Nominal > 0 {
				from = m.Nominal
			}
			if from < s.FormFrom {
				sum[sp.TermEarly] += idle(s.FormFrom - from)
			}
		}
		left := lastLeft(plan.Moves[:i], m.Unit)
		switch {
		case m.Kind == sp.MoveReturn || m.Kind == sp.MoveRelieve:
			if left != "" && left != m.To.ID {
				sum[sp.TermChange] += int64(weights.Change)
			}
			told(m.Unit, m.To.ID)
		case m.Kind == sp.MoveBack && left != m.To.ID: // a new stay
			sum[sp.TermChange] += int64(weights.Change)
			told(m.Unit, m.To.ID)
		case (m.Kind == sp.MoveReset || m.Kind == sp.MoveArrive) && m.To.Kind == sp.InLane:
			told(m.Unit, m.To.ID)
		}
		sum[sp.TermReverse] += reversedMetres(m, before, after) * int64(weights.HeavyMetre)
		sum[sp.TermRisk] += v.risk(plan.Moves, i)
	}
	for d := 1; d < len(w.show.Days); d++ {
		now := atDawn(d, v.states, plan.Moves)
		for i, a := range w.show.Vehicles {
			for _, b := range w.show.Vehicles[i+1:] {
				x, y := now.at[a.ID], now.at[b.ID]
				together := slices.Contains(a.KeepTogether, b.ID) || slices.Contains(b.KeepTogether, a.ID)
				if together && x.kind == sp.InLane && y.kind == sp.InLane && w.lane(x.id).Zone != w.lane(y.id).Zone {
					sum[sp.TermTogether] += int64(weights.Together)
				}
			}
		}
	}
	return sum
}

// lastLeft is the lane a unit last drove out of, but for a reset.
func lastLeft(moves []sp.Move, u sp.UnitID) string {
	for _, m := range slices.Backward(moves) {
		if m.Unit == u && m.From.Kind == sp.InLane && (m.Kind == sp.MovePullOut || m.Kind == sp.MoveDuty || m.Kind == sp.MoveAside) {
			return m.From.ID
		}
	}
	return ""
}

// reversedMetres counts the whole metres that a heavy unit reverses out of
// its lane and into the next.
func reversedMetres(m sp.Move, before, after *world) int64 {
	if m.Kind == sp.MoveCloseUp || m.ByHand || before.vehicle(m.Unit).Mass < before.show.Weights.HeavyFrom {
		return 0
	}
	metres := 0
	in, out := before, after
	if t := in.at[m.Unit]; m.From.Kind == sp.InLane && t.kind == sp.InLane {
		lane := in.lane(t.id)
		_, possible := ends(lane.Kind)
		if end := endOf(m.From, possible); t.noseIn == (end == sp.Mouth) {
			metres += reachOf(t, lane, end) / 100
		}
	}
	if t := out.at[m.Unit]; m.To.Kind == sp.InLane && m.Reverse {
		lane := out.lane(t.id)
		possible, _ := ends(lane.Kind)
		metres += reachOf(t, lane, endOf(m.To, possible)) / 100
	}
	return int64(metres)
}

// risk is the price of the chance that the unit of move i does not start.
func (v verdict) risk(moves []sp.Move, i int) int64 {
	m, w := moves[i], v.states[i]
	if m.From.Kind != sp.InLane || m.ByHand || m.Kind != sp.MovePullOut && m.Kind != sp.MoveDuty && m.Kind != sp.MoveAside {
		return 0
	}
	value := 0
	for _, o := range w.those(sp.InLane, m.From.ID) {
		deeper := w.at[o].near > w.at[m.Unit].near
		shutIn := deeper
		if w.lane(m.From.ID).Kind == sp.Open {
			k := slices.IndexFunc(moves[i:], func(x sp.Move) bool { return x.Unit == o && x.From.Kind == sp.InLane && x.Kind != sp.MoveCloseUp })
			shutIn = k >= 0 && deeper == (moves[i+k].From.End != sp.Tail)
		}
		if o == m.Unit || !shutIn {
			continue
		}
		for _, s := range w.show.Serials {
			for _, e := range s.Entries {
				if e.Unit == o && s.FormUp >= m.Start && s.FormUp.Day() == m.Start.Day() {
					value += e.Value
				}
			}
		}
	}
	fails := int64(sp.Certain - *w.vehicle(m.Unit).StartChance)
	return fails * int64(value) * int64(w.show.Weights.Entry) / int64(sp.Certain)
}

func TestEvaluateAgainstNaivePrices(t *testing.T) {
	compared, total := 0, map[string]int64{}
	rapid.Check(t, func(t *rapid.T) {
		s, p := drawPlan(t, rapid.Bool().Draw(t, "calm"))
		v := judge(s, p)
		if v.broken != len(p.Moves) {
			t.Skip("places are not certain")
		}
		compared++
		want := v.cost(p)
		got := sp.Evaluate(s, p)
		var sum sp.Amount
		for _, term := range got.Terms {
			sum += term.Amount
			total[term.Name] += int64(term.Amount)
			if int64(term.Amount) != want[term.Name] {
				t.Fatalf("%s: the naive price is %d, Evaluate says %d: %+v\n%s", term.Name, want[term.Name], term.Amount, term.Items, movesOf(s, p))
			}
			var items sp.Amount
			for _, item := range term.Items {
				items += item.Amount
			}
			if items != term.Amount || term.Count != len(term.Items) {
				t.Fatalf("%s: the items add up to %d, the term is %d", term.Name, items, term.Amount)
			}
		}
		if sum != got.Total {
			t.Fatalf("the terms add up to %d, the total is %d", sum, got.Total)
		}
	})
	t.Log(compared, "plans, in all", fmt.Sprint(total))
}
