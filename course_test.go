package sallyport_test

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"

	sp "sallyport"
)

// A course has the states of Play, in whatever order it is asked, also of
// plans that break rules.
func TestCourseIsPlay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, p := drawPlan(t, false)
		start, _ := sp.StartState(s, p)
		// Played again and again nearly everything is wrong, and there are moves
		// enough to pass several of the states that are kept.
		for again := p.Moves; len(again) > 0 && len(p.Moves) < 400; {
			p.Moves = append(p.Moves, again...)
		}
		states, _ := sp.Play(s, start, p.Moves)
		c := sp.NewCourse(sp.NewIndex(s), start, p.Moves)
		if c.Len() != len(p.Moves) {
			t.Fatalf("%d moves, want %d", c.Len(), len(p.Moves))
		}
		for range 20 {
			i := rapid.IntRange(0, len(p.Moves)).Draw(t, "before move")
			if i == 0 {
				if got := c.Before(0); !reflect.DeepEqual(got, start) {
					t.Fatalf("before all: %+v, want %+v", got, start)
				}
				continue
			}
			if got, want := c.Before(i), states[i-1]; !reflect.DeepEqual(got, want) {
				t.Fatalf("before move %d of %d: %+v, want %+v", i, len(p.Moves), got, want)
			}
		}
	})
}
