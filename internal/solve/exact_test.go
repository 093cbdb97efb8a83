package solve

import (
	"container/heap"
	"encoding/binary"
	"slices"

	"sallyport"
)

// exact finds the cheapest plan of a small show by trying everything: a
// cheapest-first search over whole parks, action by action. It shares nothing
// with the search but the tables of the problem. Plain, it may do what the
// search does; wide, also what the bound must allow for: resets, holding back,
// early pull-outs, waiting aside for hours and putting back elsewhere.
type exact struct {
	p     *problem
	wide  bool
	most  int // states, at most
	queue exactQueue
	best  map[string]int64
	nodes []exactNode
	ends  [][]int32 // by unit: its events in order
	rank  []int32   // by event: place in its group
}

// parked is a unit in a lane.
type parked struct {
	unit int8
	nose bool // away from the mouth
	tail bool // will leave by the tail
	from int32
}

// whereabouts of a unit outside the lanes.
const (
	exactAway = iota
	exactIn
	exactAside
	exactLifted
)

// exactPark is one state.
type exactPark struct {
	group int32
	next  []int8 // by unit: its next event
	where []int8
	left  []int8 // lane last left
	lift  uint32 // units paid for in this window
	lanes [][]parked
}

type exactNode struct {
	park   exactPark
	cost   int64
	parent int32
	moves  []sallyport.Move
}

type exactQueue []exactItem

type exactItem struct {
	cost int64
	node int32
}

func (q exactQueue) Len() int { return len(q) }
func (q exactQueue) Less(i, j int) bool {
	return q[i].cost < q[j].cost || q[i].cost == q[j].cost && q[i].node > q[j].node
}
func (q exactQueue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *exactQueue) Push(x any)   { *q = append(*q, x.(exactItem)) }
func (q *exactQueue) Pop() any {
	last := len(*q) - 1
	x := (*q)[last]
	*q = (*q)[:last]
	return x
}

// exactOf returns the least cost and a plan that has it. found is false when
// no plan serves everything; done is false when there were too many states.
func exactOf(p *problem, wide bool, most int) (cost int64, plan *sallyport.Plan, found, done bool) {
	x := &exact{p: p, wide: wide, most: most, best: map[string]int64{}, ends: make([][]int32, len(p.units)), rank: make([]int32, len(p.events))}
	for e := range p.events {
		u := p.stays[p.events[e].stay].unit
		x.ends[u] = append(x.ends[u], int32(e))
	}
	start := exactPark{next: make([]int8, len(p.units)), where: make([]int8, len(p.units)), left: make([]int8, len(p.units)), lanes: make([][]parked, len(p.lanes))}
	for u := range start.left {
		start.left[u] = -1
	}
	x.push(start, 0, -1, nil)
	for x.queue.Len() > 0 {
		it := heap.Pop(&x.queue).(exactItem)
		n := &x.nodes[it.node]
		if x.best[n.park.key()] < it.cost {
			continue
		}
		if int(n.park.group) == len(p.groups) {
			return it.cost, x.plan(it.node), true, true
		}
		if len(x.nodes) > most {
			return 0, nil, false, false
		}
		x.expand(it.node, it.cost)
	}
	return 0, nil, false, true
}

func (s *exactPark) key() string {
	b := make([]byte, 0, 64)
	b = append(b, byte(s.group))
	for u := range s.next {
		b = append(b, byte(s.next[u]), byte(s.where[u]), byte(s.left[u]))
	}
	b = binary.AppendUvarint(b, uint64(s.lift))
	for _, l := range s.lanes {
		for _, k := range l {
			f := byte(0)
			if k.nose {
				f |= 1
			}
			if k.tail {
				f |= 2
			}
			b = append(b, byte(k.unit), f)
			b = binary.AppendVarint(b, int64(k.from))
		}
		b = append(b, 255)
	}
	return string(b)
}

func (s *exactPark) clone() exactPark {
	c := *s
	c.next, c.where, c.left = slices.Clone(s.next), slices.Clone(s.where), slices.Clone(s.left)
	c.lanes = slices.Clone(s.lanes)
	return c
}

func (x *exact) push(s exactPark, cost int64, parent int32, moves []sallyport.Move) {
	k := s.key()
	if old, ok := x.best[k]; ok && old <= cost {
		return
	}
	x.best[k] = cost
	x.nodes = append(x.nodes, exactNode{s, cost, parent, moves})
	heap.Push(&x.queue, exactItem{cost, int32(len(x.nodes) - 1)})
}

// expand pushes everything that can be done next.
func (x *exact) expand(at int32, cost int64) {
	s := x.nodes[at].park
	x.goOn(at, &s, cost)
	gr := &x.p.groups[s.group]
	for u := range x.p.units {
		switch s.where[u] {
		case exactAway:
			x.comeIn(at, &s, gr, u, cost)
		case exactAside:
			x.putBack(at, &s, gr, u, cost)
			x.outFromAside(at, &s, gr, u, cost)
		case exactLifted:
			x.setDown(at, &s, gr, u, cost)
		case exactIn:
			x.goOut(at, &s, gr, u, cost)
		}
	}
	if gr.kind == groupStart {
		return
	}
	for l, list := range s.lanes {
		for i := range list {
			x.closeUp(at, &s, gr, l, i, cost)
			x.aside(at, &s, gr, l, i, cost)
			x.lift(at, &s, gr, l, i, cost)
		}
	}
}

// due is the next event of a unit, none when it has no more.
func (x *exact) due(s *exactPark, u int) int32 {
	if int(s.next[u]) < len(x.ends[u]) {
		return x.ends[u][s.next[u]]
	}
	return none
}

// inTurn reports whether an event's elders in its ordered group have happened.
func (x *exact) inTurn(s *exactPark, e int32) bool {
	gr := &x.p.groups[x.p.events[e].group]
	if !gr.ordered {
		return true
	}
	for f := gr.first; f < e; f++ {
		v := x.p.stays[x.p.events[f].stay].unit
		if x.due(s, int(v)) != none && x.due(s, int(v)) <= f {
			return false
		}
	}
	return true
}

// goOn passes to the next group when nothing is left to do in this one.
func (x *exact) goOn(at int32, s *exactPark, cost int64) {
	last := int(s.group)+1 == len(x.p.groups)
	for u := range x.p.units {
		switch {
		case s.where[u] == exactLifted:
			return
		case s.where[u] == exactAside && (!x.wide || last || x.night(s.group)):
			return
		}
		e := x.due(s, u)
		if e == none || x.p.events[e].group > s.group {
			continue
		}
		g := x.p.events[e].group
		if x.p.events[e].out || !x.wide || last || x.night(s.group) || x.p.groups[g].kind != groupHome {
			return
		}
	}
	c := s.clone()
	c.group++
	c.lift = 0
	if x.p.groups[s.group].kind == groupStart {
		for l := range c.lanes {
			c.lanes[l] = slices.Clone(c.lanes[l])
			if !x.pack(l, c.lanes[l]) {
				return
			}
		}
	}
	x.push(c, cost, at, nil)
}
