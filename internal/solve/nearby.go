package solve

import (
	"math/rand/v2"
	"slices"
)

// nearby is the places that are looked at for a unit which could go to very
// many: those that were left just now by the units being moved, and some
// others, first such with room for the unit for the whole show. So what a step
// of the search costs does not grow with the park.
type nearby struct {
	wide bool    // nearFirst others, not nearLater
	left []int32 // by the units being moved, in order
	list []int32 // in order; empty: all places are looked at
}

// How many places are looked at beside those left when the park is filled, for
// what goes wrong then takes long to put right, and afterwards; where there are
// hardly more all are. Those with room are found by looking at nearLooks at
// most.
const (
	nearFirst = 256
	nearLater = 40
	nearLooks = 4096
)

// keep notes the places that are left.
func (n *nearby) keep(places []int32) {
	n.left = n.left[:0]
	for _, pl := range places {
		if pl != none {
			n.left = append(n.left, pl)
		}
	}
	slices.Sort(n.left)
	n.left = slices.Compact(n.left)
}

// pick fills n.list for unit u; it reports false, and leaves the list empty,
// when all places are to be looked at.
func (n *nearby) pick(b *board, u int32, rnd *rand.Rand) bool {
	n.list = n.list[:0]
	un := &b.p.units[u]
	some := nearLater
	if n.wide {
		some = nearFirst
	}
	if len(un.places) < 2*some {
		return false
	}
	at := rnd.IntN(len(un.places))
	for looks := min(nearLooks, len(un.places)); looks > 0 && len(n.list) < some; looks-- {
		pl := un.places[at]
		if at++; at == len(un.places) {
			at = 0
		}
		if l := b.p.places[pl].lane; b.fits(l, un) {
			n.list = append(n.list, pl)
		}
	}
	for range some / 4 {
		n.list = append(n.list, un.places[rnd.IntN(len(un.places))])
	}
	n.list = append(n.list, n.left...)
	slices.Sort(n.list)
	n.list = slices.Compact(n.list)
	return true
}

// fits reports whether lane l is in use and the unit finds room in it even when
// it is fullest. Empty lanes are left to chance: filling the park from a few
// lanes at a time leaves fewer moves aside than beginning them all.
func (b *board) fits(l int32, un *unit) bool {
	return len(b.events[l]) > 0 && un.length+max(b.p.lanes[l].gap, un.ahead, un.behind) <= b.traces[l].room
}
