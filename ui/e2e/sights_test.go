package e2e

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"
)

// sight is something that people look at: its address, the heading by which it
// is known, and what else has to be done to come to it.
type sight struct {
	name, hash, heading string
	open                func(w *window, s *server)
}

// sights are all screens, with the parts of them that have to be opened, in
// the order in which they are looked at: with the last ones everybody has to
// sign in.
var sights = []sight{
	{name: "shows", hash: "#/", heading: "Shows"},
	{name: "park", hash: "#/1/park", heading: "The park"},
	{name: "park in hand", hash: "#/1/park", heading: "The park", open: inHand},
	{name: "events", hash: "#/1/events", heading: "Order of events"},
	{name: "stands", hash: "#/1/stands", heading: "As it stands"},
	{name: "stands elsewhere", hash: "#/1/stands", heading: "As it stands", open: func(w *window, _ *server) { w.press("Elsewhere"); w.sees("Number from the mouth") }},
	{name: "stands replanned", hash: "#/1/stands", heading: "As it stands", open: replanned},
	{name: "register", hash: "#/1/register", heading: "Register", open: func(w *window, _ *server) { w.press("Avocet"); w.sees("Running gear") }},
	{name: "register park", hash: "#/1/register", heading: "Register", open: func(w *window, _ *server) { w.press("Park editor"); w.sees("Site picture") }},
	{name: "register workbook", hash: "#/1/register", heading: "Register", open: func(w *window, _ *server) { w.press("Workbook"); w.sees("Take the draft away as") }},
	{name: "plan", hash: "#/1/plan", heading: "Plan", open: func(w *window, _ *server) {
		w.until("what failures do is drawn", `[...document.querySelectorAll('main img')].some((i) => i.complete && i.naturalWidth > 0)`)
	}},
	{name: "issues", hash: "#/1/issues", heading: "Issues", open: compared},
	{name: "question", hash: "#/1/issues", heading: "Issues", open: func(w *window, _ *server) { w.press("Put back as draft: Issue 1"); w.sees("Put it back") }},
	{name: "who, alone", hash: "#/who", heading: "Who may"},
	{name: "join", hash: "#/join/BCDFGHJKLMNP", heading: "You have been given a link"},
	{name: "sign in", hash: "#/", heading: "Sign in"},
	{name: "who, on a network", hash: "#/who", heading: "", open: signedIn},
}

const (
	planner  = "Wilma Reed"
	password = "dunlin sedge lapwing"
)

// inHand picks a vehicle up and points at a lane.
func inHand(w *window, s *server) {
	w.showsWhole()
	for _, x := range s.table(w.t).Stays {
		if x.After == "" && x.Lane != "" && js[bool](w, drawnAt(x.Unit, x.Lane)) {
			w.focus(fmt.Sprintf(`[data-unit=%q]`, x.Unit))
			break
		}
	}
	w.keys(kb.Enter)
	w.sees("in hand")
	w.keys(kb.ArrowRight, kb.ArrowLeft)
	w.until("all lanes are judged", `!document.querySelector('.lane.asking')`)
}

// replanned shows what was replanned when the show was made ready.
func replanned(w *window, _ *server) {
	w.press("Replan")
	w.until("what changes is told", `/things? changes?/i.test(document.body.innerText)`)
}

// compared compares the newest issue with the draft.
func compared(w *window, _ *server) {
	w.press("Compare with the draft: Issue 1")
	w.sees("What it does to the cost")
}

// signedIn signs in, and makes a link.
func signedIn(w *window, s *server) {
	w.until("it is known who this is", `document.querySelector('main h1')`)
	if js[bool](w, `document.querySelector('main h1').textContent !== 'Who may'`) {
		w.fill(`document.querySelector('[autocomplete=username]')`, planner)
		w.fill(`document.querySelector('[type=password]')`, password)
		w.press("Sign in")
	}
	w.sees("Links for one person each")
	w.press("Make a link")
	w.sees("Shown this once.")
}

// eventful makes the demonstration show one with an issue, edits, a log, and
// results of every kind of long work.
func eventful(t *testing.T, s *server) {
	t.Helper()
	must := func(method, path string, version int64, body, v any) {
		t.Helper()
		if err := s.ask(method, path, version, body, v); err != nil {
			t.Fatal(err)
		}
	}
	now := s.table(t)
	must("POST", "/api/shows/1/issues", now.Version, map[string]string{"note": "for everybody"}, nil)
	unit := now.Complete.Serials[0].Entries[0].Unit
	must("POST", "/api/shows/1/log", 0, map[string]any{"happenings": []map[string]any{
		{"kind": "do not move", "at": "D2 06:30", "unit": unit},
	}}, nil)
	kinds := []map[string]any{
		{"kind": "explain", "seconds": 2},
		{"kind": "variants", "seconds": 2},
		{"kind": "advise", "seconds": 3},
		{"kind": "failures"},
		{"kind": "replan", "seconds": 2, "at": "D2 06:30"},
	}
	for _, ask := range kinds {
		var job struct{ ID, State string }
		must("POST", "/api/shows/1/jobs", 0, ask, &job)
		for end := time.Now().Add(2 * patience); job.State == "waiting" || job.State == "working"; time.Sleep(50 * time.Millisecond) {
			must("GET", "/api/jobs/"+job.ID, 0, nil, &job)
			if time.Now().After(end) {
				t.Fatalf("%v does not end", ask)
			}
		}
		if job.State != "done" {
			t.Fatalf("%v: %s", ask, job.State)
		}
	}
	edited := s.table(t)
	edited.Show.Serials[0].Name += ", with music"
	must("PUT", "/api/shows/1/show", edited.Version, map[string]any{"what": "a new name", "show": edited.Show}, nil)
}
