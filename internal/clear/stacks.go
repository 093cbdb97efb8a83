package clear

import sp "sallyport"

// Stacks returns the block relocation problem: piles bottom to top, of blocks
// that leave in the order of their numbers, none higher than height; 0: no
// limit. Every block may go onto every pile.
func Stacks(piles [][]int, height int) *Problem {
	p := &Problem{}
	ways := make([]Way, len(piles))
	for s := range piles {
		ways[s] = Way{To: s, End: sp.Mouth, Reverse: true}
	}
	for _, pile := range piles {
		st := Stand{Kind: Dead, Length: sp.Centimetres(height)}
		for i, n := range pile {
			st.Holds = append([]Held{{Item: len(p.Items), From: sp.Centimetres(height - i - 1)}}, st.Holds...)
			p.Items = append(p.Items, Item{Order: n, Length: 1, Backs: Far, Ways: ways})
		}
		p.Stands = append(p.Stands, st)
	}
	return p
}
