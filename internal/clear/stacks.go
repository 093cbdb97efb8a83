package clear

import (
	"fmt"
	"io"

	sp "sallyport"
)

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

// ReadStacks reads piles as block relocation instances have them: the number
// of piles and of blocks, then for each pile its height and its blocks, bottom
// to top.
func ReadStacks(r io.Reader) ([][]int, error) {
	next := func(what string, most int) (int, error) {
		var n int
		if _, err := fmt.Fscan(r, &n); err != nil {
			return 0, fmt.Errorf("%s cannot be read: %w", what, err)
		}
		if n < 0 || n > most {
			return 0, fmt.Errorf("%s is %d, which is not between 0 and %d", what, n, most)
		}
		return n, nil
	}
	const most = 100_000
	count, err := next("the number of piles", most)
	if err != nil {
		return nil, err
	}
	blocks, err := next("the number of blocks", most)
	if err != nil {
		return nil, err
	}
	piles := make([][]int, count)
	for s := range piles {
		height, err := next("the height of a pile", blocks)
		if err != nil {
			return nil, err
		}
		for range height {
			n, err := next("a block", most)
			if err != nil {
				return nil, err
			}
			piles[s] = append(piles[s], n)
		}
	}
	return piles, nil
}
