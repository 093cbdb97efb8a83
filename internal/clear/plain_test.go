package clear

import (
	"fmt"
	"slices"

	sp "sallyport"
)

// plain is a position in the simplest form: stands, mouth first (an Aside in
// order of arrival).
type plain [][]Held

func (x plain) String() string { return fmt.Sprint([][]Held(x)) }

// fewest returns the fewest moves by looking at every position, nearest
// first; -1 when there is no way. It shares no code with the search.
func fewest(p *Problem, restricted bool) int {
	start := make(plain, len(p.Stands))
	for s := range p.Stands {
		start[s] = slices.Clone(p.Stands[s].Holds)
	}
	start = goneWho(p, start)
	seen := map[string]bool{start.String(): true}
	now := []plain{start}
	for n := 0; len(now) > 0; n++ {
		var next []plain
		for _, x := range now {
			if lowest(p, x) == 0 {
				return n
			}
			for _, y := range plainMoves(p, x, restricted) {
				if k := y.String(); !seen[k] {
					seen[k] = true
					next = append(next, y)
				}
			}
		}
		now = next
	}
	return -1
}

// lowest returns the lowest order of those still there, 0 when all have left.
func lowest(p *Problem, x plain) int {
	low := 0
	for _, list := range x {
		for _, h := range list {
			if o := p.Items[h.Item].Order; o > 0 && (low == 0 || o < low) {
				low = o
			}
		}
	}
	return low
}

// goneWho lets everybody leave who is to leave next and can.
func goneWho(p *Problem, x plain) plain {
	for s, list := range x {
		for i, h := range list {
			if low := lowest(p, x); low > 0 && p.Items[h.Item].Order == low && len(waysOut(p, x, s, i)) > 0 {
				y := slices.Clone(x)
				y[s] = slices.Delete(slices.Clone(list), i, i+1)
				return goneWho(p, y)
			}
		}
	}
	return x
}

// waysOut returns by which ends an item can be driven out now.
func waysOut(p *Problem, x plain, s, i int) []sp.End {
	st, list := p.Stands[s], x[s]
	h := list[i]
	it := p.Items[h.Item]
	if it.Fixed {
		return nil
	}
	if st.Kind == Aside {
		return []sp.End{""}
	}
	var out []sp.End
	if i == 0 && !st.Barred[0] {
		out = append(out, sp.Mouth)
	}
	if i == len(list)-1 && st.Kind == Either && !st.Barred[1] {
		out = append(out, sp.Tail)
	}
	return slices.DeleteFunc(out, func(end sp.End) bool { return !it.Carried && !drivesOut(p, x, s, i, end) })
}

// drivesOut reports whether an item gets out by its own engine.
func drivesOut(p *Problem, x plain, s, i int, end sp.End) bool {
	st, list := p.Stands[s], x[s]
	h := list[i]
	it := p.Items[h.Item]
	mouthFirst := !h.NoseIn
	if end == sp.Mouth && h.NoseIn && h.From+it.Length > it.Backs {
		return false
	}
	if end == sp.Tail && mouthFirst && st.Length-h.From > it.Backs {
		return false
	}
	// What is before its nose.
	free, alone := h.From+st.Depth[0], i == 0
	if i > 0 {
		free = h.From - list[i-1].From - p.Items[list[i-1].Item].Length
	}
	if h.NoseIn {
		free, alone = st.Length-h.From-it.Length+st.Depth[1], i == len(list)-1
		if !alone {
			free = list[i+1].From - h.From - it.Length
		}
	}
	if it.Slave && !alone && !st.Beside {
		return false
	}
	return it.Clear == 0 || free >= it.Clear
}

// plainMoves returns all positions one move away.
func plainMoves(p *Problem, x plain, restricted bool) []plain {
	var all []plain
	low := lowest(p, x)
	for s, list := range x {
		wanted := slices.ContainsFunc(list, func(h Held) bool { return p.Items[h.Item].Order == low })
		if restricted && (!wanted || p.Stands[s].Kind == Aside) {
			continue
		}
		for i, h := range list {
			if len(waysOut(p, x, s, i)) == 0 {
				continue
			}
			for _, w := range p.Items[h.Item].Ways {
				if to, ok := drivenIn(p, x, s, h.Item, w); ok {
					y := slices.Clone(x)
					y[w.To] = to
					y[s] = slices.Delete(slices.Clone(list), i, i+1)
					all = append(all, goneWho(p, y))
				}
			}
		}
	}
	return all
}

// drivenIn returns a stand with one item more.
func drivenIn(p *Problem, x plain, from, item int, w Way) ([]Held, bool) {
	st, list, it := p.Stands[w.To], x[w.To], p.Items[item]
	if from == w.To || st.Deep > 0 && len(list)+1 > st.Deep {
		return nil, false
	}
	if st.Kind == Aside {
		list = append(slices.Clone(list), Held{Item: item})
		var sum sp.Centimetres
		for i, h := range list {
			sum += p.Items[h.Item].Length
			if i > 0 {
				sum += max(st.Gap, p.Items[list[i-1].Item].Behind, p.Items[h.Item].Ahead)
			}
		}
		serves := st.Serves == nil || st.Serves[from]
		return list, serves && p.Stands[from].Kind != Aside && (st.Length == 0 || sum <= st.Length)
	}
	for _, h := range list {
		o := p.Items[h.Item]
		if it.Alone || o.Alone || slices.Contains(it.Apart, h.Item) || slices.Contains(o.Apart, item) {
			return nil, false
		}
		if o.Standby && st.Kind != Through || it.Standby && st.Kind != Dead {
			return nil, false
		}
	}
	h := Held{Item: item, NoseIn: w.End == sp.Mouth && !w.Reverse || w.End == sp.Tail && w.Reverse}
	side := func(h Held, toMouth bool) sp.Centimetres { // own gap on that side
		if toMouth != h.NoseIn {
			return p.Items[h.Item].Ahead
		}
		return p.Items[h.Item].Behind
	}
	var backs bool
	if w.End == sp.Mouth {
		if st.Barred[0] {
			return nil, false
		}
		h.From = st.Length - it.Length
		if len(list) > 0 {
			h.From = list[0].From - it.Length - max(st.Gap, side(h, false), side(list[0], true))
		}
		list = append([]Held{h}, list...)
		backs = h.From+it.Length <= it.Backs
	} else {
		if st.Barred[1] {
			return nil, false
		}
		if n := len(list); n > 0 {
			l := list[n-1]
			h.From = l.From + p.Items[l.Item].Length + max(st.Gap, side(l, false), side(h, true))
		}
		list = append(slices.Clone(list), h)
		backs = st.Length-h.From <= it.Backs
	}
	if w.Reverse && !it.Carried && !backs {
		return nil, false
	}
	return list, st.Length == 0 || h.From >= 0 && h.From+it.Length <= st.Length
}
