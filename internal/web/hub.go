package web

import (
	"net/http"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"sallyport/internal/store"
)

// ringSize is how many events of a show are kept for clients that come back.
const ringSize = 256

// How many streams there may be. One person has few; without accounts all are
// one person.
const (
	streamsEach = 100
	streamsAll  = 1000
)

// event is one thing that clients of a show hear of.
type event struct {
	number int64  // in the order in which things happened, over all shows
	key    string // an event takes the place of an earlier one with its key; "": of none
	kind   string
	data   any
}

// hub tells clients what happens to the show they look at. A slow client never
// holds up the others: each reads from the ring at its own pace, and one that
// is too far behind is told to load everything anew.
type hub struct {
	mu     sync.Mutex
	run    string // names this run of the server, so that numbers of an earlier one are known as such
	last   int64
	rooms  map[store.ShowID]*room
	closed chan struct{}
}

// room is one show with those who listen to it.
type room struct {
	ring      []event
	first     int64 // number before the oldest in the ring: who has heard that one misses nothing
	listeners []*listener
	names     []string // of those, each once, in order
}

// listener is one client.
type listener struct {
	who    Person
	heard  int64
	people bool          // who is here has changed
	wake   chan struct{} // holds one
}

func newHub(now time.Time) *hub {
	return &hub{run: strconv.FormatInt(now.UnixMicro(), 36), rooms: map[store.ShowID]*room{}, closed: make(chan struct{})}
}

func (h *hub) room(id store.ShowID) *room {
	r := h.rooms[id]
	if r == nil {
		r = &room{first: h.last}
		h.rooms[id] = r
	}
	return r
}

// tell tells all who listen to a show.
func (h *hub) tell(id store.ShowID, kind string, data any) { h.tellLatest(id, "", kind, data) }

// tellLatest tells something of which only the latest matters, by its key.
func (h *hub) tellLatest(id store.ShowID, key, kind string, data any) {
	h.mu.Lock()
	defer h.mu.Unlock()
	r := h.room(id)
	h.last++
	if key != "" {
		r.ring = slices.DeleteFunc(r.ring, func(e event) bool { return e.key == key })
	}
	r.ring = append(r.ring, event{h.last, key, kind, data})
	if n := len(r.ring) - ringSize; n > 0 {
		r.first = r.ring[n-1].number
		r.ring = slices.Delete(r.ring, 0, n)
	}
	for _, l := range r.listeners {
		l.nudge()
	}
}

func (l *listener) nudge() {
	select {
	case l.wake <- struct{}{}:
	default: // it is awake already
	}
}

// count returns how many streams there are, and how many of them one person has.
func (h *hub) count(who Person) (all, theirs int) {
	for _, r := range h.rooms {
		all += len(r.listeners)
		for _, l := range r.listeners {
			if l.who.account == who.account && l.who.join == who.join {
				theirs++
			}
		}
	}
	return all, theirs
}

// join adds a client. after is the id of the last event it has heard; "": none.
// missed reports that it has heard some, and what came then is no longer known.
// Too many streams are refused.
func (h *hub) join(id store.ShowID, who Person, after string) (l *listener, missed bool, err error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if all, theirs := h.count(who); theirs >= streamsEach || all >= streamsAll {
		return nil, false, refuse(http.StatusTooManyRequests, "too many streams", "close some of its pages", "the table is open in too many places at once: %d, of which %d are of %s", all, theirs, who.Name)
	}
	r := h.room(id)
	l = &listener{who: who, heard: h.last, wake: make(chan struct{}, 1)}
	if after != "" {
		run, text, _ := strings.Cut(after, "-")
		n, err := strconv.ParseInt(text, 10, 64)
		if err == nil && run == h.run && n >= r.first && n <= h.last {
			l.heard = n
		} else {
			missed = true
		}
	}
	r.listeners = append(r.listeners, l)
	r.peopleChanged()
	return l, missed, nil
}

// leave takes a client out.
func (h *hub) leave(id store.ShowID, l *listener) {
	h.mu.Lock()
	defer h.mu.Unlock()
	r := h.room(id)
	r.listeners = slices.DeleteFunc(r.listeners, func(x *listener) bool { return x == l })
	r.peopleChanged()
}

func (r *room) peopleChanged() {
	r.names = make([]string, len(r.listeners))
	for i, l := range r.listeners {
		r.names[i] = l.who.Name
	}
	slices.Sort(r.names)
	r.names = slices.Compact(r.names)
	for _, l := range r.listeners {
		l.people = true
		l.nudge()
	}
}

// news returns what a client has not heard yet. missed reports that some of it
// is no longer known. names are all who listen, each once, in order; nil when
// that has not changed.
func (h *hub) news(id store.ShowID, l *listener) (list []event, missed bool, names []string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	r := h.room(id)
	if l.heard < r.first {
		missed = true
	} else {
		for _, e := range r.ring {
			if e.number > l.heard {
				list = append(list, e)
			}
		}
	}
	l.heard = h.last
	if l.people {
		l.people, names = false, r.names
	}
	return list, missed, names
}

// id returns what a client says when it comes back.
func (h *hub) id(number int64) string { return h.run + "-" + strconv.FormatInt(number, 10) }

// close ends all streams.
func (h *hub) close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	select {
	case <-h.closed:
	default:
		close(h.closed)
	}
}
