package solve

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"
)

// The value of duals is the least of all histories of each lane, found here by
// trying every column after every other; with columns left out it is no more.
func TestValueOfMorningsJoined(t *testing.T) {
	count := func(int64) bool { return true }
	n := smallShows(t, 60)
	compared, lower := 0, 0
	for seed := range n {
		rnd := rand.New(rand.NewPCG(uint64(seed), 10))
		p := compile(nightsShow(rnd))
		free := freedom{holds: seed%2 == 0, resets: seed%3 > 0}
		days := p.days(p.allTimes())
		var masters []*master
		for _, a := range days {
			a.linked = true
			m, _ := newMaster(p, a, free, impossible, 1, count)
			masters = append(masters, m)
		}
		if slices.Contains(masters, nil) {
			continue
		}
		var duals [][]int64
		for _, m := range masters {
			list := make([]int64, len(m.units))
			for i := range list {
				list[i] = rnd.Int64N(2000*dualScale) - 300*dualScale
			}
			duals = append(duals, list)
		}
		value, _ := newChain(p, days, masters, free).value(duals)
		if want := plainValue(p, days, masters, free, duals); value != want {
			t.Errorf("seed %d: the value is %d, want %d", seed, value, want)
		}
		compared++
		left := leaveOut(rnd, p, masters, duals)
		c := newChain(p, days, masters, free)
		for k := range left {
			copy(c.nights[k].left, left[k])
		}
		less, _ := c.value(duals)
		if less > value {
			t.Errorf("seed %d: with columns left out the value is %d, above %d", seed, less, value)
		}
		if less < value {
			lower++
		}
	}
	t.Logf("%d compared, %d lower with columns left out", compared, lower)
	if compared < n*3/4 || lower == 0 {
		t.Errorf("too little compared: %d of %d, %d lower", compared, n, lower)
	}
}

// plainValue is the value of duals, unit by unit and column by column.
func plainValue(p *problem, days []*anchor, masters []*master, free freedom, duals [][]int64) int64 {
	var sum int64
	for _, list := range duals {
		for _, d := range list {
			sum += d
		}
	}
	for l := range p.lanes {
		var costs []int64 // of what begins with each column of the night after
		var after [][]int32
		for k := len(masters) - 1; k >= 0; k-- {
			sets, own := columnsOf(p, masters[k], duals[k], int32(l))
			now := slices.Clone(own)
			for i := range sets {
				if after == nil {
					continue
				}
				best := impossible
				for j := range after {
					x := costs[j]
					for u := range p.units {
						in, then := slices.Contains(sets[i], int32(u)), slices.Contains(after[j], int32(u))
						known := days[k].fixed[u] != none && days[k+1].fixed[u] != none
						if in != then && known {
							x += p.changeLeast(&p.units[u], days[k].at, days[k+1].at, free) * dualScale / 2
						}
					}
					best = min(best, x)
				}
				now[i] += best
			}
			costs, after = now, sets
		}
		sum += slices.Min(costs)
	}
	return sum
}

// columnsOf returns what may stand in a lane on a night, nothing included, and
// what each costs above its duals.
func columnsOf(p *problem, m *master, duals []int64, l int32) (sets [][]int32, costs []int64) {
	sets, costs = append(sets, nil), append(costs, 0)
	for g := range m.groups {
		if !slices.Contains(m.groups[g].lanes, l) {
			continue
		}
		for _, col := range m.groups[g].cols {
			if col.need > p.lanes[l].length {
				continue
			}
			var set []int32
			x := col.cost * dualScale
			for _, i := range col.units {
				set = append(set, m.units[i])
				x -= duals[i]
			}
			sets, costs = append(sets, set), append(costs, x)
		}
	}
	return sets, costs
}

// leaveOut drops some columns and returns, by night and lane, what the cheapest
// of them for the lane costs above its duals.
func leaveOut(rnd *rand.Rand, p *problem, masters []*master, duals [][]int64) (left [][]int64) {
	for k, m := range masters {
		list := slices.Repeat([]int64{impossible}, len(p.lanes))
		for g := range m.groups {
			gr := &m.groups[g]
			gr.cols = slices.DeleteFunc(gr.cols, func(c column) bool {
				if rnd.IntN(5) > 0 {
					return false
				}
				x := c.cost * dualScale
				for _, i := range c.units {
					x -= duals[k][i]
				}
				for i, l := range gr.lanes {
					if c.need <= gr.lengths[i] {
						list[l] = min(list[l], x)
					}
				}
				return true
			})
		}
		left = append(left, list)
	}
	return left
}

// However little is listed of what is missing, the bound is no more than what
// the same duals are worth with all columns.
func TestMorningsJoinedWithColumnsLeftOut(t *testing.T) {
	n := smallShows(t, 100)
	compared, above, lower := 0, 0, 0
	for seed := range n {
		rnd := rand.New(rand.NewPCG(uint64(seed), 11))
		p := compile(nightsShow(rnd))
		free := freedom{resets: true}
		v := newProver(context.Background(), p, free, bound{})
		v.rest, v.budget = func() bool { return true }, noLimit
		c := v.mornings(p.days(p.allTimes()), 0)
		v.stop()
		if c == nil || !slices.Contains(c.whole, false) {
			continue
		}
		ch := newChain(p, c.days, c.masters(), free)
		c.duals, _ = ch.rise(c.duals, ch.programme(), map[string]bool{}, func(int64) {}, v.step)
		v.bound = bound{}
		if _, ok := c.list(rnd.Int64N(300)*dualScale, v); !ok {
			continue
		}
		got := int64(v.bound.total)
		var masters []*master
		for _, a := range c.days {
			m, _ := newMaster(p, a, free, impossible, 1, v.step)
			masters = append(masters, m)
		}
		value, _ := newChain(p, c.days, masters, free).value(c.duals)
		compared++
		if got > 0 {
			above++
		}
		most := (max(0, value)+dualScale-1)/dualScale + p.boundReverse()
		switch most = (most + v.unit - 1) / v.unit * v.unit; {
		case got > most:
			t.Errorf("seed %d: the bound is %d, above %d", seed, got, most)
		case got < most:
			lower++
		}
	}
	t.Logf("%d compared, %d above nothing, %d lower than with all columns", compared, above, lower)
	if compared < n/4 || above < n/10 || lower == 0 {
		t.Errorf("too little compared: %d of %d, %d above nothing, %d lower", compared, n, above, lower)
	}
}
