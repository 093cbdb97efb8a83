package solve

import (
	"testing"

	"sallyport"
	"sallyport/bench/plant"
)

// cheapestPartition tries all ways to give each lane one column or none.
func cheapestPartition(m *master) int64 {
	least := map[int]int64{0: 0}
	for g := range m.groups {
		gr := &m.groups[g]
		for _, length := range gr.lengths {
			next := map[int]int64{}
			for set, cost := range least {
				keep(next, set, cost)
				for _, c := range gr.cols {
					mask := 0
					for _, i := range c.units {
						mask |= 1 << i
					}
					if c.need <= length && set&mask == 0 {
						keep(next, set|mask, cost+c.cost)
					}
				}
			}
			least = next
		}
	}
	if cost, ok := least[1<<len(m.units)-1]; ok {
		return cost
	}
	return impossible
}

func keep(list map[int]int64, set int, cost int64) {
	if old, ok := list[set]; !ok || cost < old {
		list[set] = cost
	}
}

// TestBranchesFindTheCheapestPartition compares with trying all, with all
// columns listed, and with most of them left out at first.
func TestBranchesFindTheCheapestPartition(t *testing.T) {
	all := func(int64) bool { return true }
	compared, listed, total := 0, 0, 0
	for seed := range uint64(min(12, smallShows(t, 3))) {
		for k, c := range smallMasters(t, plant.Options{Seed: seed, Vehicles: 11, Plain: seed%2 == 0}) {
			m, want := c.all, c.least
			few, lists := c.master(120)
			r := &root{newNode(few), lists, noLimit, 0}
			raised := int64(0)
			complete := r.complete(want, func(b int64) { raised = b }, all)
			if raised > want*dualScale {
				t.Errorf("seed %d, anchor %d: with columns listed by reduced cost the bound is %d/%d, the cheapest partition costs %d", seed, k, raised, dualScale, want)
			}
			for _, x := range []*master{m, few} {
				if x == few && !complete {
					continue
				}
				compared++
				x.limit = want
				n := newNode(x)
				if result := n.within(all); result != found || n.costOf(n.chosen) != want*dualScale {
					t.Errorf("seed %d, anchor %d: within %d the branches come to %d at %d/%d", seed, k, want, result, n.costOf(n.chosen), dualScale)
				}
				x.limit = want - 1
				if result := newNode(x).within(all); want > 0 && result != refuted {
					t.Errorf("seed %d, anchor %d: within %d the branches come to %d", seed, k, want-1, result)
				}
			}
			if complete {
				listed, total = listed+len(few.groups[0].cols), total+len(m.groups[0].cols)
			}
		}
	}
	t.Logf("%d compared; %d of %d columns listed", compared, listed, total)
	if listed == 0 {
		t.Error("columns left out were never listed")
	}
}

// smallMaster is the choice of homes at one anchor of a small show.
type smallMaster struct {
	p     *problem
	a     *anchor
	free  freedom
	unit  int64
	all   *master // with all columns listed
	least int64   // what its cheapest partition costs
}

// smallMasters returns those of a planted show that have a partition, by the
// number of their anchor. Nobody is held back in a plain show.
func smallMasters(t *testing.T, opt plant.Options) map[int]smallMaster {
	t.Helper()
	opt.Lanes, opt.Entries, opt.Spare = 4, 2, 12
	planted, err := plant.Plant(opt)
	if err != nil {
		t.Fatal(err)
	}
	p := compile(sallyport.Complete(planted.Show))
	free := freedom{holds: !opt.Plain, resets: true}
	list := map[int]smallMaster{}
	for k, a := range p.anchors(p.allTimes()) {
		c := smallMaster{p: p, a: a, free: free, unit: p.costUnit(free)}
		c.all, _ = c.master(impossible)
		if c.least = cheapestPartition(c.all); c.least < impossible {
			list[k] = c
		}
	}
	return list
}

// master lists the columns that cost no more than cut.
func (c smallMaster) master(cut int64) (*master, []*enumeration) {
	return newMaster(c.p, c.a, c.free, cut, c.unit, func(int64) bool { return true })
}
