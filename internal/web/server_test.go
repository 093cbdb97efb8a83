package web

import (
	"bufio"
	"bytes"
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/store"
)

// small is a show that is planned in no time.
func small() *sallyport.Show {
	at := func(h, m int) sallyport.Instant { return sallyport.At(1, h, m) }
	vehicle := func(id, name string, length sallyport.Centimetres) sallyport.Vehicle {
		return sallyport.Vehicle{ID: sallyport.UnitID(id), Name: name, Class: "light wheeled", Length: length}
	}
	serial := func(id string, hour int, units ...string) sallyport.Serial {
		s := sallyport.Serial{
			ID: sallyport.SerialID(id), Name: "Serial " + id, Line: "north", FormFrom: at(hour, 0), FormUp: at(hour, 30),
			ArenaIn: at(hour+1, 0), ArenaOut: at(hour+1, 20), HomeBy: at(hour+2, 0), Travel: 300,
		}
		for i, u := range units {
			s.Entries = append(s.Entries, sallyport.Entry{ID: sallyport.EntryID(fmt.Sprintf("%s%c", id, 'a'+i)), Unit: sallyport.UnitID(u)})
		}
		return s
	}
	return &sallyport.Show{
		Format: sallyport.FormatShow, Name: "Small show", FirstDate: "2027-06-26",
		Days: []sallyport.Day{{Name: "Saturday", Kind: sallyport.ShowDay, EngineFrom: at(8, 0), EngineTo: at(20, 0)}},
		Park: sallyport.Park{
			Lanes: []sallyport.Lane{{ID: "A1", Length: 1200}, {ID: "A2", Length: 1200}},
			Lines: []sallyport.Line{{ID: "north", Name: "North Road", Length: 4000}},
		},
		Vehicles: []sallyport.Vehicle{vehicle("dunlin", "Dunlin", 400), vehicle("knot", "Knot", 450), vehicle("stint", "Stint", 500)},
		Serials:  []sallyport.Serial{serial("1", 9, "dunlin", "knot"), serial("2", 13, "stint", "dunlin")},
	}
}

// bench is a server at work, with its store.
type bench struct {
	*testing.T
	s    *Server
	kept *store.Store
	url  string
	stop func() error // ends it as a signal does, and waits
	log  *bytes.Buffer
}

// serving starts a server on this machine over a new store.
func serving(t *testing.T, change ...func(*Options)) *bench {
	t.Helper()
	kept := must(store.Open(t.Context(), filepath.Join(t.TempDir(), "shows.db"), store.Options{Now: time.Now}))(t)
	var log bytes.Buffer
	logger := slog.New(slog.NewTextHandler(&log, nil))
	who := must(NewWho(t.Context(), WhoOptions{Store: kept, Now: time.Now, Log: logger, Rand: rand.Reader, Loopback: true}))(t)
	o := Options{
		Store: kept, Who: who, Now: time.Now, Log: logger, Version: "test", Demo: small,
		Screens: fstest.MapFS{"index.html": {Data: []byte("<!doctype html>screens")}, "assets/app-1.js": {Data: []byte("1")}},
	}
	for _, c := range change {
		c(&o)
	}
	b := &bench{T: t, s: must(New(o))(t), kept: kept, log: &log}
	l := must(net.Listen("tcp", "127.0.0.1:0"))(t)
	b.url = "http://" + l.Addr().String()
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- Serve(ctx, l, b.s) }()
	over := false
	b.stop = func() error {
		if over {
			return nil
		}
		over = true
		cancel()
		return <-ended
	}
	t.Cleanup(func() {
		if err := b.stop(); err != nil {
			t.Error(err)
		}
		if err := kept.Close(); err != nil {
			t.Error(err)
		}
	})
	return b
}

func must[T any](v T, err error) func(t testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// reply is an answer that was read whole.
type reply struct {
	status int
	head   http.Header
	body   []byte
}

// ask sends one request. body is sent as JSON, or as it is when it is bytes.
// extra are header fields and their values.
func (b *bench) ask(method, path string, body any, extra ...string) reply {
	b.Helper()
	var in io.Reader
	switch v := body.(type) {
	case nil:
	case []byte:
		in = bytes.NewReader(v)
	default:
		in = bytes.NewReader(must(json.Marshal(v))(b))
	}
	r := must(http.NewRequestWithContext(b.Context(), method, b.url+path, in))(b)
	for i := 0; i < len(extra); i += 2 {
		r.Header.Set(extra[i], extra[i+1])
	}
	a := must(http.DefaultClient.Do(r))(b)
	defer a.Body.Close()
	return reply{a.StatusCode, a.Header, must(io.ReadAll(a.Body))(b)}
}

// good asks for what has to work, and reads the answer.
func good[T any](b *bench, method, path string, body any, extra ...string) T {
	b.Helper()
	a := b.ask(method, path, body, extra...)
	if a.status >= 300 {
		b.Fatalf("%s %s: %d %s", method, path, a.status, a.body)
	}
	var v T
	if len(a.body) > 0 {
		if err := json.Unmarshal(a.body, &v); err != nil {
			b.Fatalf("%s %s: %v in %s", method, path, err, a.body)
		}
	}
	return v
}

// bad asks for what must be refused with a status, and returns the trouble.
func (b *bench) bad(status int, method, path string, body any, extra ...string) Trouble {
	b.Helper()
	a := b.ask(method, path, body, extra...)
	if a.status != status {
		b.Fatalf("%s %s: %d in place of %d: %s", method, path, a.status, status, a.body)
	}
	var t Trouble
	if err := json.Unmarshal(a.body, &t); err != nil {
		b.Fatalf("%s %s: %v in %s", method, path, err, a.body)
	}
	if t.Status != status || t.Detail == "" || t.Code == "" || t.Title == "" || a.head.Get("Content-Type") != "application/problem+json" {
		b.Fatalf("%s %s: a poor answer: %s", method, path, a.body)
	}
	return t
}

// at returns the header that says which version a change is made from.
func at(version int64) []string { return []string{"If-Match", tag(version)} }

// plan is the plan of the small show, made once.
var plan = sync.OnceValues(func() (*sallyport.Plan, error) {
	show, _, err := desk.Prepare(small(), nil)
	if err != nil {
		return nil, err
	}
	a, err := desk.Plan(context.Background(), show, desk.PlanOptions{Seed: 1, Steps: 10_000, Workers: 1}, nil)
	if err != nil {
		return nil, err
	}
	return a.Plan, nil
})

// planned keeps the small show with its plan and returns its path.
func (b *bench) planned() string {
	b.Helper()
	p := *must(plan())(b)
	made := must(b.kept.Create(b.Context(), "", store.Content{Show: small(), Plan: &p}, "Orla"))(b)
	return fmt.Sprintf("/api/shows/%d", made.ID)
}

// table returns the table of a show.
func (b *bench) table(show string) desk.Table {
	b.Helper()
	return good[desk.Table](b, "GET", show+"/table", nil)
}

// heard is one event of a stream.
type heard struct{ id, kind, data string }

// listen opens a stream of events. next waits for the next event; it fails
// the test after a while.
func (b *bench) listen(path, after string) (next func() heard, hangUp func()) {
	b.Helper()
	ctx, cancel := context.WithTimeout(b.Context(), 2*time.Minute)
	r := must(http.NewRequestWithContext(ctx, "GET", b.url+path, nil))(b)
	if after != "" {
		r.Header.Set("Last-Event-ID", after)
	}
	a := must(http.DefaultClient.Do(r))(b)
	b.Cleanup(func() { cancel(); a.Body.Close() })
	if a.StatusCode != http.StatusOK || a.Header.Get("Content-Type") != "text/event-stream" || a.Header.Get("Content-Encoding") != "" {
		b.Fatalf("%s: %d %v", path, a.StatusCode, a.Header)
	}
	lines := bufio.NewScanner(a.Body)
	return func() heard {
		b.Helper()
		var h heard
		for lines.Scan() {
			field, text, _ := strings.Cut(lines.Text(), ": ")
			switch field {
			case "id":
				h.id = text
			case "event":
				h.kind = text
			case "data":
				h.data = text
			case "":
				if h.kind != "" {
					return h
				}
			}
		}
		return heard{kind: "end"}
	}, cancel
}

// hear waits for an event of a kind and returns it.
func hear(t testing.TB, next func() heard, kind string) heard {
	t.Helper()
	for {
		h := next()
		if h.kind == kind {
			return h
		}
		if h.kind == "end" {
			t.Fatalf("the stream ended before %q came", kind)
		}
	}
}
