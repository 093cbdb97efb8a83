package clear

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	sp "sallyport"
)

// tiny draws a problem small enough for plain search: lanes of every kind in
// centimetres, places aside, ties, facings, and every rule of company.
func tiny(t *rapid.T) *Problem {
	p := &Problem{}
	lanes := rapid.IntRange(2, 3).Draw(t, "lanes")
	kinds := []Kind{Dead, Dead, Dead, Through, Either}
	for range lanes {
		p.Stands = append(p.Stands, Stand{
			Kind: rapid.SampledFrom(kinds).Draw(t, "kind"), Length: sp.Centimetres(rapid.IntRange(2, 5).Draw(t, "length")) * 100,
			Gap: sp.Centimetres(rapid.SampledFrom([]int{0, 0, 20}).Draw(t, "gap")), Deep: rapid.SampledFrom([]int{0, 0, 0, 3}).Draw(t, "deep"),
			Barred: [2]bool{rare(t, "mouth barred"), rare(t, "tail barred")}, Beside: rapid.Bool().Draw(t, "beside"),
			Depth: [2]sp.Centimetres{sp.Centimetres(rapid.SampledFrom([]int{0, 100}).Draw(t, "depth"))},
		})
	}
	for range rapid.IntRange(0, 2).Draw(t, "places aside") {
		st := Stand{Kind: Aside, Length: sp.Centimetres(rapid.SampledFrom([]int{0, 100, 250}).Draw(t, "aside length")), Gap: 10}
		if rare(t, "serves some") {
			for range lanes + 2 {
				st.Serves = append(st.Serves, rapid.Bool().Draw(t, "serves"))
			}
		}
		p.Stands = append(p.Stands, st)
	}
	for i := range rapid.IntRange(1, 6).Draw(t, "items") {
		p.Items = append(p.Items, tinyItem(t, p, i))
	}
	fill(t, p)
	return p
}

// rare is true in one case of eight.
func rare(t *rapid.T, what string) bool { return rapid.IntRange(0, 7).Draw(t, what) == 7 }

func tinyItem(t *rapid.T, p *Problem, i int) Item {
	it := Item{
		Order:  rapid.SampledFrom([]int{0, 0, 1, 2, 2, 3, 4}).Draw(t, "order"),
		Length: sp.Centimetres(rapid.SampledFrom([]int{60, 100, 100, 150}).Draw(t, "item length")),
		Ahead:  sp.Centimetres(rapid.SampledFrom([]int{0, 0, 30}).Draw(t, "ahead")), Behind: sp.Centimetres(rapid.SampledFrom([]int{0, 0, 40}).Draw(t, "behind")),
		Backs:   rapid.SampledFrom([]sp.Centimetres{Far, Far, Far, 0, 200}).Draw(t, "backs"),
		Carried: rare(t, "carried"), Fixed: rare(t, "fixed"), Slave: rare(t, "slave"), Standby: rare(t, "standby"), Alone: rare(t, "alone"),
	}
	if rare(t, "clear") {
		it.Clear = 60
	}
	if i > 0 && rare(t, "apart") {
		it.Apart = []int{0}
	}
	for s := range p.Stands {
		if rare(t, "no way") {
			continue
		}
		switch p.Stands[s].Kind {
		case Aside:
			it.Ways = append(it.Ways, Way{To: s, Price: 3})
		case Dead:
			it.Ways = append(it.Ways, Way{To: s, End: sp.Mouth, Reverse: !rare(t, "nose in"), Price: 2})
		case Through:
			it.Ways = append(it.Ways, Way{To: s, End: sp.Tail, Reverse: rare(t, "tail in"), Price: 2})
		case Either:
			it.Ways = append(it.Ways, Way{To: s, End: sp.Mouth, Reverse: rapid.Bool().Draw(t, "reverse"), Price: 2}, Way{To: s, End: sp.Tail, Reverse: rapid.Bool().Draw(t, "reverse by the tail"), Price: 2})
		}
	}
	return it
}

// fill puts the items into the lanes, wherever there is room for them.
func fill(t *rapid.T, p *Problem) {
	for i := range p.Items {
		s := rapid.IntRange(0, len(p.Stands)-1).Draw(t, "stand")
		for range p.Stands {
			st := &p.Stands[s]
			var used sp.Centimetres
			for _, h := range st.Holds {
				used = max(used, h.From+p.Items[h.Item].Length+50)
			}
			if st.Length == 0 || used+p.Items[i].Length <= st.Length {
				st.Holds = append(st.Holds, Held{Item: i, From: used, NoseIn: st.Kind != Aside && rare(t, "stands nose in")})
				break
			}
			s = (s + 1) % len(p.Stands)
		}
	}
	// Who found no room is not there.
	there := map[int]bool{}
	for _, st := range p.Stands {
		for _, h := range st.Holds {
			there[h.Item] = true
		}
	}
	for i := range p.Items {
		if !there[i] {
			p.Items[i].Order = 0
		}
	}
}

// TestAsPlainSearch compares the search with looking at every position.
func TestAsPlainSearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := tiny(t)
		for _, restricted := range []bool{true, false} {
			want := fewest(p, restricted)
			a := Solve(t.Context(), p, Options{Restricted: restricted})
			switch {
			case a.Found != (want >= 0) || !a.Proven:
				t.Fatalf("restricted %v: found %v, proven %v, but plain search says %d moves", restricted, a.Found, a.Proven, want)
			case a.Found && (a.Count != want || a.Bound != want):
				t.Fatalf("restricted %v: %d moves (at least %d), plain search needs %d", restricted, a.Count, a.Bound, want)
			case a.Found:
				if text := replay(p, a, restricted); text != "" {
					t.Fatalf("restricted %v: %s in %+v", restricted, text, a.Moves)
				}
			}
		}
	})
}

// replay makes the moves of an answer on plain positions and says what is
// wrong with them.
func replay(p *Problem, a Answer, restricted bool) string {
	x := make(plain, len(p.Stands))
	for s := range p.Stands {
		x[s] = p.Stands[s].Holds
	}
	x = goneWho(p, x)
	count := 0
	var price sp.Amount
	for _, m := range a.Moves {
		if m.To < 0 {
			continue
		}
		i := slices.IndexFunc(x[m.From], func(h Held) bool { return h.Item == m.Item })
		if i < 0 || !slices.Contains(waysOut(p, x, m.From, i), m.Leave) {
			return "an item that cannot leave its stand"
		}
		w := slices.IndexFunc(p.Items[m.Item].Ways, func(w Way) bool { return w.To == m.To && w.End == m.Enter && w.Reverse == m.Reverse })
		if w < 0 {
			return "a way that is not there"
		}
		to, ok := drivenIn(p, x, m.From, m.Item, p.Items[m.Item].Ways[w])
		if !ok {
			return "an item that does not fit"
		}
		y := slices.Clone(x)
		y[m.To] = to
		y[m.From] = slices.Delete(slices.Clone(x[m.From]), i, i+1)
		y = goneWho(p, y)
		if !slices.ContainsFunc(plainMoves(p, x, restricted), func(z plain) bool { return z.String() == y.String() }) {
			return "a move that is not to be made"
		}
		x, count, price = y, count+1, price+m.Price
	}
	if lowest(p, x) != 0 || count != a.Count || price != a.Price {
		return "moves that do not add up"
	}
	return ""
}
