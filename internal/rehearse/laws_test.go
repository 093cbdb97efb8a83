package rehearse_test

import (
	"context"
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	sp "sallyport"
	"sallyport/bench/plant"
	"sallyport/internal/rehearse"
)

// planted returns a planted show, complete, and its plan: small ones for many
// seeds.
func planted(t *testing.T, seed uint64) (*sp.Show, *sp.Plan) {
	t.Helper()
	p, err := plant.Plant(plant.Options{Seed: seed, Vehicles: 16, Lanes: 6, Days: 2, Serials: 5, Entries: 4, Spare: 10, NobodyAside: seed%2 == 0, Exchanges: 1})
	if err != nil {
		t.Fatal(err)
	}
	for i := range p.Show.Vehicles {
		if i%3 == 0 {
			p.Show.Vehicles[i].HandPeople = 4
		}
		if i%2 == 0 {
			p.Show.Vehicles[i].Mass = sp.Kilograms(1000 + 700*i)
		}
	}
	show := sp.Complete(p.Show)
	if r := sp.Check(show, p.Plan); !r.Workable() {
		t.Fatalf("seed %d: the planted plan has faults: %v", seed, r.Faults[0])
	}
	return show, p.Plan
}

const seeds = 12

// Whoever the shut-in risk counts as shut in is shut in when the failure is
// played, entry for entry: the cost and the matrix agree.
func TestMatrixAgreesWithRisk(t *testing.T) {
	items := 0
	for seed := range uint64(seeds) {
		show, plan := planted(t, seed)
		m := matrix(t, show, plan, rehearse.Options{Only: []sp.FailureKind{sp.FailInLane}})
		ix := sp.NewIndex(show)
		cells := map[sp.MoveID]*sp.FailureCell{}
		for i := range m.Rows {
			if c := m.Rows[i].Cell(sp.FailInLane); c != nil {
				cells[m.Rows[i].Move] = c
			}
		}
		for _, item := range sp.Evaluate(show, plan).Term(sp.TermRisk).Items {
			c := cells[item.Move]
			if c == nil {
				t.Fatalf("seed %d: no cell for %s", seed, item.Why)
			}
			items++
			for _, u := range item.Units[1:] {
				if !slices.Contains(c.ShutIn, u) {
					t.Errorf("seed %d: %s; but shut in are %v", seed, item.Why, c.ShutIn)
				}
				for _, e := range ix.EntriesOf(u) {
					if e.Serial.FormUp >= item.At && e.Serial.FormUp.Day() == item.At.Day() && !slices.Contains(c.Lost, e.Entry.ID) {
						t.Errorf("seed %d: %s; but %s is not lost", seed, item.Why, e.Entry.ID)
					}
				}
			}
		}
	}
	if items < 50 {
		t.Errorf("only %d risks were compared", items)
	}
}

// Cures never lose what is not lost when nothing is done, and the failed
// vehicle's own entries are always among those lost when it does not start.
func TestCuresOnlySave(t *testing.T) {
	for seed := range uint64(4) {
		show, plan := planted(t, seed)
		m := matrix(t, show, plan, rehearse.Options{})
		for i := range m.Rows {
			for _, c := range m.Rows[i].Cells {
				where := fmt.Sprintf("seed %d: %s %s %s", seed, m.Rows[i].Unit, c.Kind, c.At)
				if c.LeftValue > c.LostValue {
					t.Errorf("%s: %d left of %d", where, c.LeftValue, c.LostValue)
				}
				if e := m.Rows[i].Entry; e != "" && c.Kind == sp.FailInLane && !slices.Contains(c.Lost, e) {
					t.Errorf("%s: its own entry is not lost", where)
				}
				for k := 1; k < len(c.Cures) && c.Kind != sp.FailLate; k++ {
					if slices.Index(sp.CureKinds, c.Cures[k-1].Kind) > slices.Index(sp.CureKinds, c.Cures[k].Kind) {
						t.Errorf("%s: %s comes before %s", where, c.Cures[k-1].Kind, c.Cures[k].Kind)
					}
				}
			}
		}
	}
}

// The worst come first.
func TestWorstFirst(t *testing.T) {
	show, plan := planted(t, 1)
	m := matrix(t, show, plan, rehearse.Options{})
	cells := 0
	for i := range m.Rows {
		cells += len(m.Rows[i].Cells)
	}
	if len(m.Worst) != cells || cells == 0 {
		t.Fatalf("%d of %d cells are in the list", len(m.Worst), cells)
	}
	for i := 1; i < cells; i++ {
		_, a := m.At(m.Worst[i-1])
		_, b := m.At(m.Worst[i])
		if a.LeftValue < b.LeftValue {
			t.Errorf("number %d leaves %d, number %d leaves %d", i, a.LeftValue, i+1, b.LeftValue)
		}
	}
}

// The matrix does not depend on the number of goroutines.
func TestWorkers(t *testing.T) {
	show, plan := planted(t, 3)
	one, three := matrix(t, show, plan, rehearse.Options{Workers: 1}), matrix(t, show, plan, rehearse.Options{Workers: 3})
	if d := cmp.Diff(one, three); d != "" {
		t.Error(d)
	}
}

// Who asks no longer gets what is done, and is told.
func TestStopped(t *testing.T) {
	show, plan := planted(t, 3)
	ctx, stop := context.WithCancel(context.Background())
	stop()
	m, err := rehearse.Matrix(ctx, show, plan, rehearse.Options{}, nil)
	if err == nil || m == nil || len(m.Rows) != 0 {
		t.Errorf("rows %v, error %v", m, err)
	}
}
