package sallyport

import "sync"

// courseStep is of how many moves a course keeps one state. Fewer would make
// looking back quick and large, more slow and small.
const courseStep = 128

// Course is a plan as played, for those who look at what stands where before
// some of its moves: it keeps one state in courseStep and plays the moves in
// between when asked. Asking for states one after the other plays every move
// once; a step back plays courseStep moves at most. It may be asked from
// several goroutines.
type Course struct {
	ix    *Index
	moves []Move
	kept  []State // before moves 0, courseStep, 2·courseStep …

	mu   sync.Mutex
	from *Player // stands before move at
	now  Instant
	at   int
}

// NewCourse plays moves from a state. What breaks rules is played as far as it
// makes sense, as by Play. The show must be complete.
func NewCourse(ix *Index, state State, moves []Move) *Course {
	c := &Course{ix: ix, moves: moves}
	c.begin(state, 0)
	c.kept = append(c.kept, state)
	for i := courseStep; i <= len(moves); i += courseStep {
		c.advance(i)
		c.kept = append(c.kept, c.state())
	}
	return c
}

// begin puts the course before move i, where things stand as in state.
func (c *Course) begin(state State, i int) {
	c.from, c.now, c.at = NewPlayer(c.ix, state), state.At, i
	c.from.structure = true
}

// advance plays on to move i.
func (c *Course) advance(i int) {
	for ; c.at < i; c.at++ {
		m := &c.moves[c.at]
		c.from.Do(m)
		c.from.faults = c.from.faults[:0]
		c.now = max(c.now, m.Start)
	}
}

// state returns what stands where now.
func (c *Course) state() State {
	s := c.from.State()
	s.At = c.now
	return s
}

// Len returns the number of moves.
func (c *Course) Len() int { return len(c.moves) }

// Before returns what stands where before move i, counted from 0; before
// move Len is after all.
func (c *Course) Before(i int) State {
	c.mu.Lock()
	defer c.mu.Unlock()
	if i == 0 {
		return c.kept[0]
	}
	if k := i / courseStep; i < c.at || k > c.at/courseStep {
		c.begin(c.kept[k], k*courseStep)
	}
	c.advance(i)
	return c.state()
}
