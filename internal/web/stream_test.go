package web

import (
	"context"
	"net"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"sallyport/internal/desk"
)

// TestStreamOutlivesLimits: a stream of events goes on beyond the times that
// requests and answers have.
func TestStreamOutlivesLimits(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	h := b.s.limits()
	h.ReadHeaderTimeout, h.ReadTimeout, h.WriteTimeout, h.IdleTimeout = 200*time.Millisecond, 200*time.Millisecond, 200*time.Millisecond, 200*time.Millisecond
	l := must(net.Listen("tcp", "127.0.0.1:0"))(t)
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- b.s.serve(ctx, l, h) }()
	b.url = "http://" + l.Addr().String()
	next, _ := b.listen(show+"/events", "")
	hear(t, next, "draft")
	time.Sleep(600 * time.Millisecond)
	b.s.hub.tell(1, "log", numberEvent{7})
	hear(t, next, "log")
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}

// TestStreamOfJobs: who may not see jobs does not hear of them either, but of
// all else.
func TestStreamOfJobs(t *testing.T) {
	t.Parallel()
	x := newWhoTable(t, nil)
	x.person(t, "Orla", Planner)
	for role, sees := range map[Role]bool{Planner: true, Marshal: true, Crew: false, Viewer: false} {
		token := x.person(t, "a "+string(role), role)
		ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
		w := &listening{ResponseWriter: httptest.NewRecorder(), wrote: make(chan string, 100)}
		ended := make(chan struct{})
		go func() {
			x.ServeHTTP(w, x.request(t, ask{method: "GET", path: "/api/shows/1/events", token: token, ctx: ctx}))
			close(ended)
		}()
		text := w.until(t, "event: people")
		x.hub.tell(1, "job", Job{ID: "7"})
		x.hub.tell(1, "log", numberEvent{1})
		text += w.until(t, "event: log")
		if strings.Contains(text, "event: job") != sees {
			t.Errorf("a %s hears %s", role, text)
		}
		cancel()
		<-ended
	}
}

// listening is a client of which a test reads as it is written.
type listening struct {
	http.ResponseWriter
	wrote chan string
}

func (l *listening) Write(p []byte) (int, error) {
	l.wrote <- string(p)
	return len(p), nil
}

func (l *listening) Flush()                           {}
func (l *listening) SetWriteDeadline(time.Time) error { return nil }

// until returns what is written until some text is.
func (l *listening) until(t testing.TB, text string) (all string) {
	t.Helper()
	for !strings.Contains(all, text) {
		select {
		case part := <-l.wrote:
			all += part
		case <-time.After(10 * time.Second):
			t.Fatalf("%q is not written, but %s", text, all)
		}
	}
	return all
}

// TestManyStreams: nobody takes all streams for himself, and others have theirs
// all the while.
func TestManyStreams(t *testing.T) {
	t.Parallel()
	h := newHub(time.Unix(0, 0))
	orla := Person{Name: "Orla", account: 1}
	for range streamsEach {
		if _, _, err := h.join(1, orla, ""); err != nil {
			t.Fatal(err)
		}
	}
	if _, _, err := h.join(2, orla, ""); err == nil {
		t.Error("one more is let in")
	}
	l, _, err := h.join(1, Person{Name: "Runa", join: 1}, "")
	if err != nil {
		t.Fatal(err)
	}
	if _, _, names := h.news(1, l); !slices.Equal(names, []string{"Orla", "Runa"}) {
		t.Errorf("here are %q", names)
	}
	for _, x := range slices.Clone(h.rooms[1].listeners) {
		h.leave(1, x)
	}
	if _, _, err := h.join(2, orla, ""); err != nil {
		t.Errorf("all have left: %v", err)
	}
}

// TestOthersHearOfWhatWasSaved: also when the browser that has saved is gone by
// then.
func TestOthersHearOfWhatWasSaved(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	next, _ := b.listen(show+"/events", "")
	hear(t, next, "draft")
	ctx, gone := context.WithCancel(t.Context())
	c := &call{Request: httptest.NewRequestWithContext(ctx, "POST", show+"/place", nil), w: httptest.NewRecorder()}
	d := must(b.kept.Draft(t.Context(), 1))(t)
	d = must(b.kept.SaveDraft(t.Context(), 1, d.Version, d.Content, "Orla", "typed"))(t)
	gone()
	a := must(b.s.saved(c, d))(t)
	if a.version != 2 || len(a.raw) == 0 {
		t.Errorf("the answer is of version %d", a.version)
	}
	if h := hear(t, next, "draft"); !strings.Contains(h.data, `"version":2`) {
		t.Errorf("the others hear %s", h.data)
	}
	if x := good[desk.Table](b, "GET", show+"/table", nil); x.Undo == nil || x.Undo.What != "typed" {
		t.Errorf("to take back: %+v", x.Undo)
	}
}
