package e2e

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"
)

// notice is what these tests need of what people have to be told.
type notice struct{ Vehicle, Now, Was string }

// TestFirstParade steps through first parade by keyboard, with six findings,
// replans, and sees only what changes.
func TestFirstParade(t *testing.T) {
	s, w := serve(t), open(t)
	before := s.table(t)
	if err := s.ask("POST", "/api/shows/1/issues", before.Version, map[string]string{"note": "for everybody"}, nil); err != nil {
		t.Fatal(err)
	}
	w.goes(s, "#/1/stands", "As it stands")
	w.until("the round begins", `/^1 of \d+/.test(document.querySelector('.progress')?.innerText ?? '')`)
	all := js[int](w, `Number(/of (\d+)/.exec(document.querySelector('.progress').innerText)[1])`)
	if all < 50 {
		t.Fatalf("%d vehicles are looked at, fewer than are in the park", all)
	}
	begun := time.Now()
	elsewhere := ""
	findings := map[int]func(){
		4:  func() { w.keys("d", kb.Enter) },
		11: func() { w.keys("l", " ", kb.Enter) },
		17: func() { elsewhere = w.standsElsewhere() },
		23: func() { w.keys("d"); w.panel("Until"); w.keys("12:00", kb.Enter) },
		30: func() { w.keys("l"); w.panel("May not reverse"); w.keys(kb.Tab, "1", kb.Enter) },
		41: func() { w.keys("l"); w.panel("May not reverse"); w.keys(kb.Tab, kb.Tab, "10:45", kb.Enter) },
	}
	for n := 1; n <= all; n++ {
		w.until(fmt.Sprintf("number %d is asked for", n), fmt.Sprintf(`document.querySelector('.progress')?.innerText.startsWith('%d of ')`, n))
		if find := findings[n]; find != nil {
			find()
		} else {
			w.keys(kb.Enter)
		}
	}
	w.sees(fmt.Sprintf("All %d looked at.", all))
	w.sees("6 are not as planned:")
	w.sees("All answers are sent.")
	t.Logf("%d vehicles were stepped through in %s", all, time.Since(begun).Round(100*time.Millisecond))
	var log []struct{ Happening struct{ Kind, Lane string } }
	if err := s.ask("GET", "/api/shows/1/log", 0, nil, &log); err != nil {
		t.Fatal(err)
	}
	kinds := map[string]int{}
	for _, l := range log {
		kinds[l.Happening.Kind]++
		if l.Happening.Kind == "elsewhere" && l.Happening.Lane != elsewhere {
			t.Errorf("it was said to stand in %s, the log has %s", elsewhere, l.Happening.Lane)
		}
	}
	if kinds["do not move"] != 2 || kinds["elsewhere"] != 1 || kinds["fit with limits"] != 2 || kinds["late start"] != 1 || kinds["here"] != all-6 {
		t.Errorf("the log has %v", kinds)
	}
	w.press("On to replanning")
	w.press("Replan from ")
	w.until("it is at work, or done", `document.querySelector('.replan progress') || /things? changes?/.test(document.body.innerText)`)
	w.press("Stop, keep what there is")
	w.until("it has ended", `!document.querySelector('.replan progress') && /things? changes?/.test(document.body.innerText)`)
	onlyChanges(t, w, s, len(before.Plan.Moves))
	w.press("Take it into the draft")
	w.sees("It is in the draft.")
	w.press("Publish")
	w.sees("Published as Issue 2.")
}

// standsElsewhere says of the vehicle in question that it stands in the lane
// with most room, and returns the lane.
func (w *window) standsElsewhere() string {
	w.t.Helper()
	w.keys("e")
	w.panel("In which lane does it stand?")
	lane := js[string](w, `[...document.querySelectorAll('.panel .lanes button')].sort((a, b) => parseFloat(b.querySelector('small').innerText) - parseFloat(a.querySelector('small').innerText))[0].firstChild.textContent.trim()`)
	w.keys(strings.ToLower(lane), kb.Enter)
	return lane
}

// panel waits for a question of first parade, with the keyboard in its first
// field.
func (w *window) panel(asks string) {
	w.t.Helper()
	w.until("the question “"+asks+"”, with the keyboard in it", `document.activeElement.tagName === 'INPUT' && document.activeElement.closest('.panel')?.innerText.includes(`+quoted(asks)+`)`)
}

// onlyChanges checks that exactly the notices of the newest replanning are
// shown, each of which says something new.
func onlyChanges(t *testing.T, w *window, s *server, moves int) {
	t.Helper()
	var jobs []struct{ ID, Kind string }
	if err := s.ask("GET", "/api/shows/1/jobs", 0, nil, &jobs); err != nil {
		t.Fatal(err)
	}
	var result struct{ Notices []notice }
	if err := s.ask("GET", "/api/jobs/"+jobs[0].ID+"/result", 0, nil, &result); err != nil {
		t.Fatal(err)
	}
	if n := len(result.Notices); n == 0 || n >= moves/2 {
		t.Errorf("%d notices, of a plan of %d moves", n, moves)
	}
	for _, n := range result.Notices {
		if n.Now == n.Was {
			t.Errorf("%s is told %q, which it knows", n.Vehicle, n.Now)
		}
	}
	js[bool](w, `(() => { document.querySelectorAll('.replan details').forEach((d) => { d.open = true; }); return true; })()`)
	if rows := js[int](w, `document.querySelectorAll('.replan tbody tr').length`); rows != len(result.Notices) {
		t.Errorf("%d rows are shown for %d notices", rows, len(result.Notices))
	}
	for _, n := range result.Notices[:min(3, len(result.Notices))] {
		w.until("“"+n.Now+"” is shown", `[...document.querySelectorAll('.replan tbody tr')].some((r) => r.innerText.includes(`+quoted(n.Vehicle)+`) && r.innerText.includes(`+quoted(n.Now)+`))`)
	}
}
