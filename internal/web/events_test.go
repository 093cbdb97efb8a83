package web

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"sallyport"
	"sallyport/internal/desk"
)

func TestStreamTellsOthers(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	next, _ := b.listen(show+"/events", "")
	if h := hear(t, next, "draft"); !strings.Contains(h.data, `"version":1`) {
		t.Errorf("a new listener hears %+v first", h)
	}
	if h := hear(t, next, "people"); h.data != `{"names":["Planner"]}` {
		t.Errorf("who is here: %s", h.data)
	}
	good[desk.Table](b, "POST", show+"/place", desk.Put{Unit: "knot", Lane: "A2"}, at(1)...)
	if h := hear(t, next, "draft"); h.data != `{"version":2,"author":"Planner","what":"Knot to A2"}` {
		t.Errorf("the others hear %s", h.data)
	}
	good[IssueLine](b, "POST", show+"/issues", NewIssue{"first"}, at(2)...)
	if h := hear(t, next, "issue"); h.data != `{"number":1}` {
		t.Errorf("the others hear %s", h.data)
	}
	good[[]LogLine](b, "POST", show+"/log", Said{[]sallyport.Happening{{Kind: sallyport.HappenHere, Unit: "knot"}}})
	if h := hear(t, next, "log"); h.data != `{"number":1}` {
		t.Errorf("the others hear %s", h.data)
	}
}

// TestStreamGoesOn: who comes back hears what he has missed, each once and in
// order; who was away for too long, or before the server was started anew, is
// told to load everything.
func TestStreamGoesOn(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	next, hangUp := b.listen(show+"/events", "")
	last := hear(t, next, "draft").id
	hangUp()
	say := func(n int) {
		for range n {
			good[[]LogLine](b, "POST", show+"/log", Said{[]sallyport.Happening{{Kind: sallyport.HappenHere, Unit: "knot"}}})
		}
	}
	say(3)
	next, hangUp = b.listen(show+"/events", last)
	for n := 1; n <= 3; n++ {
		h := hear(t, next, "log")
		if h.data != fmt.Sprintf(`{"number":%d}`, n) {
			t.Fatalf("entry %d comes as %s", n, h.data)
		}
		last = h.id
	}
	hangUp()
	next, hangUp = b.listen(show+"/events", last)
	say(1)
	if h := next(); h.kind == "log" && h.data != `{"number":4}` {
		t.Errorf("heard again: %s", h.data)
	}
	hangUp()
	for range ringSize + 1 {
		b.s.hub.tell(1, "log", numberEvent{5})
	}
	for _, after := range []string{last, "another-7", "nonsense"} {
		next, hangUp = b.listen(show+"/events", after)
		if h := next(); h.kind != "reload" {
			t.Errorf("after %s comes %+v in place of reload", after, h)
		}
		hangUp()
	}
}

// TestRingKeepsOneOfAJob: of a job's many signs of life only the latest is
// kept, so that they push out nothing else.
func TestRingKeepsOneOfAJob(t *testing.T) {
	t.Parallel()
	h := newHub(time.Unix(0, 0))
	l, _, _ := h.join(1, Person{Name: "Orla"}, "")
	h.tell(1, "draft", 1)
	for n := range 3 * ringSize {
		h.tellLatest(1, "job-1", "job", n)
	}
	list, missed, names := h.news(1, l)
	if missed || len(list) != 2 || list[0].kind != "draft" || list[1].data != 3*ringSize-1 {
		t.Errorf("kept are %v, missed %v", list, missed)
	}
	if len(names) != 1 {
		t.Errorf("who is here: %v", names)
	}
}

func TestStreamOfNoShow(t *testing.T) {
	t.Parallel()
	b := serving(t)
	b.bad(404, "GET", "/api/shows/7/events", nil)
}
