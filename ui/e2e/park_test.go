package e2e

import (
	"fmt"
	"slices"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// unfit returns a stay that can be picked up on the park screen, and a lane in
// which it does not fit, with what is to be said of it.
func unfit(t *testing.T, w *window, s *server, now table) (stay, heldAnswer) {
	t.Helper()
	for _, of := range now.Stays {
		if of.After != "" || of.Lane == "" || !js[bool](w, drawnAt(of.Unit, of.Lane)) {
			continue
		}
		for _, lane := range now.Complete.Park.Lanes {
			if string(lane.ID) == of.Lane {
				continue
			}
			if h := s.held(t, now.Version, of, string(lane.ID)); !h.Fits && len(h.Says) > 0 {
				return of, h
			}
		}
	}
	t.Fatal("every vehicle fits into every lane")
	return stay{}, heldAnswer{}
}

// drawnAt says in the window whether a unit is drawn within a lane.
func drawnAt(unit, lane string) string {
	return fmt.Sprintf(`(() => {
		const hull = document.querySelector('[data-unit=%[1]q] .hull'), ground = document.querySelector('[data-lane=%[2]q] .ground');
		if (!hull || !ground || !e2e.seen(hull)) return false;
		const at = e2e.middle(hull), b = ground.getBoundingClientRect();
		return at.x >= b.left && at.x <= b.right && at.y >= b.top && at.y <= b.bottom;
	})()`, unit, lane)
}

// showsWhole makes the drawing show the whole park.
func (w *window) showsWhole() {
	w.t.Helper()
	w.press("Fit")
}

// TestPickUpByPointer drags a vehicle over a lane in which it does not fit,
// reads the warning, puts it down all the same, and takes that back.
func TestPickUpByPointer(t *testing.T) {
	s, w := serve(t), open(t)
	w.goes(s, "#/1/park", "The park")
	w.showsWhole()
	now := s.table(t)
	if !now.Workable {
		t.Fatal("the demonstration is to begin with a workable plan")
	}
	of, held := unfit(t, w, s, now)
	from := js[point](w, fmt.Sprintf(`e2e.middle(document.querySelector('[data-unit=%q] .hull'))`, of.Unit))
	to := js[point](w, fmt.Sprintf(`e2e.middle(document.querySelector('[data-lane=%q] .ground'))`, held.Lane))
	w.mouse(chromedp.MouseMoved, from, false)
	w.mouse(chromedp.MousePressed, from, true)
	for i := range 10 {
		part := float64(i+1) / 10
		w.mouse(chromedp.MouseMoved, point{from.X + (to.X-from.X)*part, from.Y + (to.Y-from.Y)*part}, true)
	}
	w.until("the vehicle follows the pointer", fmt.Sprintf(`document.querySelector('[data-unit=%q]').classList.contains('lifted')`, of.Unit))
	w.sees("in hand")
	w.sees("does not fit")
	w.sees(held.Says[0])
	w.until("the lane is marked as one in which it does not fit", fmt.Sprintf(`document.querySelector('[data-lane=%q]').matches('.not.over')`, held.Lane))
	w.mouse(chromedp.MouseReleased, to, true)
	w.sees("Not workable")
	w.until("it stands in the lane", drawnAt(of.Unit, held.Lane))
	put := s.table(t)
	if put.Version != now.Version+1 || put.Workable {
		t.Errorf("after putting it down: version %d, workable %t", put.Version, put.Workable)
	}
	if !slices.ContainsFunc(put.Stays, func(x stay) bool { return x.ID == of.ID && x.Lane == held.Lane }) {
		t.Errorf("the server does not have %s in lane %s", of.ID, held.Lane)
	}
	undoRedo(t, w, s, now, put, of, held.Lane)
}

// undoRedo takes an edit back by its button and makes it again by keys.
func undoRedo(t *testing.T, w *window, s *server, before, after table, of stay, lane string) {
	t.Helper()
	w.press("Undo: ")
	w.until("it is back in its lane", drawnAt(of.Unit, of.Lane))
	if got := s.table(t); got.Workable != before.Workable || got.Redo == nil {
		t.Errorf("after undo: workable %t, to redo %v", got.Workable, got.Redo)
	}
	w.until("there is something to redo", `!e2e.control('Redo: ').disabled`)
	w.focus("#screen")
	w.ctrl('y')
	w.until("it stands in the lane again", drawnAt(of.Unit, lane))
	if got := s.table(t); got.Workable != after.Workable {
		t.Errorf("after redo: workable %t", got.Workable)
	}
	w.ctrl('z')
	w.until("it is back once more", drawnAt(of.Unit, of.Lane))
}

// TestPickUpByKeyboard does the same with the keyboard alone.
func TestPickUpByKeyboard(t *testing.T) {
	s, w := serve(t), open(t)
	w.goes(s, "#/1/park", "The park")
	w.showsWhole()
	now := s.table(t)
	of, _ := unfit(t, w, s, now)
	w.focus(fmt.Sprintf(`[data-unit=%q]`, of.Unit))
	w.keys(kb.Enter)
	w.sees("in hand")
	w.sees("where it stands now")
	keys := []string{kb.ArrowRight, kb.ArrowUp, kb.ArrowLeft, kb.ArrowDown}
	lane := ""
	for i := 0; lane == "" && i < 40; i++ {
		w.keys(keys[i/10])
		if over := js[string](w, `document.querySelector('.lane.over')?.dataset.lane ?? ''`); over != "" && over != of.Lane {
			if h := s.held(t, now.Version, of, over); !h.Fits && len(h.Says) > 0 {
				lane = over
				w.sees(h.Says[0])
			}
		}
	}
	if lane == "" {
		t.Fatal("no lane in which it does not fit is reached by arrow keys")
	}
	w.keys(kb.Escape)
	w.until("it is left where it was", drawnAt(of.Unit, of.Lane))
	if got := s.table(t); got.Version != now.Version {
		t.Errorf("Escape left version %d, not %d", got.Version, now.Version)
	}
	w.focus(fmt.Sprintf(`[data-unit=%q]`, of.Unit))
	w.keys(kb.Enter)
	w.sees("in hand")
	for i := 0; i < 40 && js[string](w, `document.querySelector('.lane.over')?.dataset.lane ?? ''`) != lane; i++ {
		w.keys(keys[i/10])
	}
	w.keys(kb.Enter)
	w.until("it stands in the lane", drawnAt(of.Unit, lane))
	w.sees("Not workable")
	undoRedo(t, w, s, now, s.table(t), of, lane)
}

// TestRunThroughADay goes through a day move by move, then plays it.
func TestRunThroughADay(t *testing.T) {
	s, w := serve(t), open(t)
	w.goes(s, "#/1/park", "The park")
	now := s.table(t)
	const clock = `Number(document.querySelector('.time [role=slider]').getAttribute('aria-valuenow'))`
	day := now.Complete.Days[len(now.Complete.Days)-2].Name
	w.press(day)
	w.until("the day begins with its first move", `document.querySelector('.time [role=slider]').getAttribute('aria-valuetext').startsWith(`+quoted(day)+`)`)
	at := js[float64](w, clock)
	places := `[...document.querySelectorAll('[data-unit]')].filter(e2e.seen).map((e) => e.getAttribute('transform')).join()`
	before, changed := js[string](w, places), 0
	for range 12 {
		w.press("Next move")
		w.until("the clock goes on", fmt.Sprintf(`%s > %f`, clock, at))
		at = js[float64](w, clock)
		if after := js[string](w, places); after != before {
			before, changed = after, changed+1
		}
	}
	if changed < 6 {
		t.Errorf("the park changed at %d of 12 moves", changed)
	}
	w.press("Move before")
	w.until("the clock goes back", fmt.Sprintf(`%s < %f`, clock, at))
	w.focus(".time [role=slider]")
	w.keys(kb.Home)
	w.until("the day is at its beginning", fmt.Sprintf(`%s < %f`, clock, at))
	first := js[float64](w, clock)
	w.keys(kb.ArrowRight)
	w.until("an arrow key goes to the next move", fmt.Sprintf(`%s > %f`, clock, first))
	js[chromedp.Void](w, `(() => { const s = document.querySelector('.time select'); s.value = [...s.options].at(-1).value; s.dispatchEvent(new Event('change', { bubbles: true })); })()`)
	w.press("Play")
	w.until("vehicles stand at places between", fmt.Sprintf(`%s > %f`, clock, first+600))
	w.until("it plays on", fmt.Sprintf(`%s > %f`, clock, first+2400))
	w.press("Pause")
	w.sees("Play")
	stands := js[float64](w, clock)
	w.keys(kb.End)
	if later := js[float64](w, clock); later < stands {
		t.Errorf("the clock went from %f back to %f", stands, later)
	}
}
