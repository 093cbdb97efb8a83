// Package clear answers "how do we get this vehicle out now, with the fewest
// moves": which vehicles are moved out of the way, where to and in what order,
// so that one, several or all vehicles can leave their lanes. Problem and
// Solve are the bare question in whole numbers; Out asks it of a park.
package clear

import sp "sallyport"

// Kind says how vehicles come into a stand and leave it.
type Kind int

// The kinds of stand. Dead: in and out by the mouth. Through: in by the tail,
// out by the mouth. Either: in and out by both ends. Aside: off the lanes,
// where everybody can leave at any time.
const (
	Dead Kind = iota
	Through
	Either
	Aside
)

// The numbers of the ends of a stand in Stand.Barred and Stand.Depth.
const (
	mouthEnd = 0
	tailEnd  = 1
)

// Far is farther than anybody reverses.
const Far = sp.Centimetres(1) << 40

// Problem is who stands where, and who is to leave.
type Problem struct {
	Items  []Item
	Stands []Stand
}

// Item is one vehicle or combination.
type Item struct {
	Order   int            // who leaves: lower numbers first, equal ones in any order; 0: it stays
	Length  sp.Centimetres // 1 when only numbers count
	Ahead   sp.Centimetres // own gap in front of its nose
	Behind  sp.Centimetres // own gap behind
	Backs   sp.Centimetres // how far it reverses at most; 0: not at all
	Carried bool           // pushed by hand or towed: how it stands and starts does not matter
	Fixed   bool           // neither moves nor leaves
	Clear   sp.Centimetres // clear length ahead to be started
	Slave   bool           // needs somebody at its nose, or beside its lane, to be started
	Standby bool           // nobody may be put in its way
	Alone   bool           // shares a stand with nobody
	Apart   []int          // items with which it shares no lane
	Next    sp.Instant     // when it is to leave its stand later on, 0: not known; for prices only
	InWay   sp.Amount      // price of standing in the way of one who leaves earlier than it does
	Ways    []Way          // where it may be moved to
}

// Way is one way of driving into a stand.
type Way struct {
	To      int    // number of the stand
	End     sp.End // by which end; empty for Aside
	Reverse bool
	Price   sp.Amount
}

// Stand is a lane or a place to wait aside.
type Stand struct {
	Kind   Kind
	Length sp.Centimetres // 0: no limit (Dead and Aside only)
	Gap    sp.Centimetres
	Deep   int               // most items; 0: no limit
	Barred [2]bool           // mouth, tail: nobody moves through that end now
	Depth  [2]sp.Centimetres // clear length before the mouth and behind the tail
	Beside bool              // room alongside for a slave lead
	Serves []bool            // Aside: from which stands it may be used; nil: all
	Holds  []Held            // mouth first; of an Aside in order of arrival
}

// Held is one item in a stand.
type Held struct {
	Item   int
	From   sp.Centimetres // distance of its nearer edge from the mouth line
	NoseIn bool
}

// Options says how to look.
type Options struct {
	Restricted bool              // only those are moved who stand in the way of one who is to leave next
	Steps      int64             // most moves tried; 0: DefaultSteps
	Memory     int               // most positions remembered; 0: DefaultMemory
	Report     func(steps int64) // called now and then; nil: not
}

// DefaultSteps and DefaultMemory are the usual limits: a few seconds, and 100
// million bytes.
const (
	DefaultSteps  = 20_000_000
	DefaultMemory = 1 << 22
)

// Move is one move of an answer. To is -1 when the item leaves for good.
type Move struct {
	Item       int
	From, To   int
	Leave      sp.End // the end by which it leaves its stand; empty for Aside
	Enter      sp.End
	Reverse    bool // as it comes in
	ReverseOut bool
	Price      sp.Amount
}

// Answer is what Solve found.
type Answer struct {
	Found   bool
	Moves   []Move    // in order, those that leave included
	Count   int       // moves of those that do not leave with them
	Price   sp.Amount // of these
	Bound   int       // no way needs fewer moves than that
	Proven  bool      // there is none with fewer moves; when nothing is found: there is no way at all
	Stopped bool      // by the limits or by the caller, before all was looked at
	Steps   int64     // moves tried
}
