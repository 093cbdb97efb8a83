package e2e

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/cdproto/fetch"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// heldUp is the next edit of the show that a window sends, held up on its way to
// the server, or the answer to it on its way back.
type heldUp struct {
	w      *window
	paused chan fetch.RequestID
}

// holdUp holds the next edit of the show up; answers: only its answer.
func (w *window) holdUp(answers bool) *heldUp {
	w.t.Helper()
	h := &heldUp{w: w, paused: make(chan fetch.RequestID, 8)}
	stage := fetch.RequestStageRequest
	if answers {
		stage = fetch.RequestStageResponse
	}
	if err := chromedp.Listen(w.ctx, func(event any) {
		if e, ok := event.(*fetch.EventRequestPaused); ok {
			h.paused <- e.RequestID
		}
	}); err != nil {
		w.t.Fatal(err)
	}
	params := fetch.EnableParams{Patterns: []*fetch.RequestPattern{{URLPattern: "*/api/shows/1/show", RequestStage: stage}}}
	if _, err := chromedp.Call(w.ctx, fetch.Enable, params); err != nil {
		w.t.Fatal(err)
	}
	return h
}

// wait waits until the edit, or its answer, is held up.
func (h *heldUp) wait() fetch.RequestID {
	h.w.t.Helper()
	select {
	case id := <-h.paused:
		return id
	case <-time.After(patience):
		h.w.t.Fatal("no edit is sent")
	}
	return ""
}

// letGo lets it and all later ones pass.
func (h *heldUp) letGo(id fetch.RequestID) {
	h.w.t.Helper()
	if _, err := chromedp.Call(h.w.ctx, fetch.ContinueRequest, fetch.ContinueRequestParams{RequestID: id}); err != nil {
		h.w.t.Fatal(err)
	}
	if _, err := chromedp.Call(h.w.ctx, fetch.Disable, struct{}{}); err != nil {
		h.w.t.Fatal(err)
	}
}

// lose loses it, as a network that breaks does.
func (h *heldUp) lose(id fetch.RequestID) {
	h.w.t.Helper()
	params := fetch.FailRequestParams{RequestID: id, ErrorReason: network.ErrorReasonConnectionAborted}
	if _, err := chromedp.Call(h.w.ctx, fetch.FailRequest, params); err != nil {
		h.w.t.Fatal(err)
	}
	if _, err := chromedp.Call(h.w.ctx, fetch.Disable, struct{}{}); err != nil {
		h.w.t.Fatal(err)
	}
}

// typesTime types a time into the cell of the first serial's arena time,
// without waiting for it to be kept.
func typesTime(w *window, text string) {
	w.t.Helper()
	w.focus(timeCell)
	w.keys(text, kb.Enter)
}

// arenaIn returns when the first serial enters the arena, as the server has it.
func arenaIn(t *testing.T, s *server) string {
	t.Helper()
	text, err := s.table(t).Show.Serials[0].ArenaIn.MarshalText()
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestTwoEditAtOnce has two people edit the same serial at once: the second is
// shown both versions and chooses, and nothing is overwritten silently.
func TestTwoEditAtOnce(t *testing.T) {
	s, one, two := serve(t), open(t), open(t)
	two.expects("412")
	one.goes(s, "#/1/events", "Order of events")
	two.goes(s, "#/1/events", "Order of events")
	one.until("the table is there", `document.querySelector(`+quoted(timeCell)+`)`)
	two.until("the table is there", `document.querySelector(`+quoted(timeCell)+`)`)

	edit := two.holdUp(false)
	typesTime(two, "1025")
	id := edit.wait()
	setsTime(one, "1022", "10:22")
	one.sees("Kept: Opening column")
	edit.letGo(id)
	two.sees("Somebody else has changed this show")
	two.sees("arena in 10:22")
	two.sees("arena in 10:25")
	if got := arenaIn(t, s); got != "D3 10:22" {
		t.Errorf("while the question is open the server has %s", got)
	}
	two.press("Leave what is kept")
	two.until("the second sees the first one's edit", `document.querySelector(`+quoted(timeCell)+`).textContent.includes('10:22')`)

	edit = two.holdUp(false)
	typesTime(two, "1026")
	id = edit.wait()
	setsTime(one, "1023", "10:23")
	one.sees("Kept: Opening column")
	edit.letGo(id)
	two.sees("arena in 10:23")
	two.press("Take mine")
	one.until("the first sees what the second chose", `document.querySelector(`+quoted(timeCell)+`).textContent.includes('10:26')`)
	if got := arenaIn(t, s); got != "D3 10:26" {
		t.Errorf("the server has %s", got)
	}
	one.press("Undo: ")
	two.until("undo brings the other version back, for both", `document.querySelector(`+quoted(timeCell)+`).textContent.includes('10:23')`)
}

// TestKilledInMidEdit kills the server while an edit is on its way: before it
// has come to the server, and after it was kept but not answered. The person
// goes on editing; when the server is back at its address everything is there.
func TestKilledInMidEdit(t *testing.T) {
	for _, c := range []struct {
		name  string
		after bool // the server has kept the edit
	}{{"before it was kept", false}, {"after it was kept", true}} {
		t.Run(c.name, func(t *testing.T) {
			s, w := serve(t), open(t)
			w.expects("ERR_", "request failed", "412") // an edit that was kept is asked for with the version before
			w.goes(s, "#/1/events", "Order of events")
			setsTime(w, "1021", "10:21")
			w.sees("Kept: Opening column")
			edit := w.holdUp(c.after)
			typesTime(w, "1022")
			id := edit.wait()
			s.kill()
			edit.lose(id)
			w.sees("Not saved yet: the server gives no answer.")
			w.until("the edit is not lost from sight", `document.querySelector(`+quoted(timeCell)+`).textContent.includes('10:22')`)
			s = s.again(t)
			w.until("the edit is saved", `/Draft \d+, saved/.test(document.querySelector('.state').innerText)`)
			if got := arenaIn(t, s); got != "D3 10:22" {
				t.Errorf("the server has %s", got)
			}
			if js[bool](w, `!!document.querySelector('dialog[open]')`) {
				t.Errorf("a question is asked: %s", js[string](w, `document.querySelector('dialog[open]').innerText`))
			}
			setsTime(w, "1024", "10:24")
			w.until("it goes on", fmt.Sprintf(`/Draft \d+, saved/.test(document.querySelector('.state').innerText) && document.querySelector(%q).textContent.includes('10:24')`, timeCell))
			w.sees("Kept: Opening column")
			if got := arenaIn(t, s); got != "D3 10:24" {
				t.Errorf("after going on the server has %s", got)
			}
		})
	}
}
