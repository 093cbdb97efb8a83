package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"time"
)

// Times of a stream of events.
const (
	heartbeat  = 15 * time.Second // between signs of life, so that nothing in between ends the connection
	streamTime = 30 * time.Second // for a client to take what is sent
	comeBack   = 2000             // milliseconds after which a client that lost the stream comes back
)

// draftEvent is the data of an event "draft".
type draftEvent struct {
	Version int64  `json:"version"`
	Author  string `json:"author"`
	What    string `json:"what"`
}

// numberEvent is the data of an event "issue" or "log".
type numberEvent struct {
	Number int `json:"number"`
}

// peopleEvent is the data of an event "people".
type peopleEvent struct {
	Names []string `json:"names"`
}

// events is the stream of what happens to a show: draft, issue, log, job,
// people; and reload when a client was away for too long.
func (s *Server) events(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	if _, err := s.Store.Show(c.Context(), id); err != nil {
		return answer{}, err
	}
	l, missed, err := s.hub.join(id, c.who, c.Header.Get("Last-Event-ID"))
	if err != nil {
		return answer{}, err
	}
	defer s.hub.leave(id, l)
	// Asked for only now, so that no version falls in between.
	draft, err := s.Store.Newest(c.Context(), id)
	if err != nil {
		return answer{}, err
	}
	h := c.w.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("Cache-Control", "no-store")
	h.Set("X-Accel-Buffering", "no")
	out := stream{w: c.w, control: http.NewResponseController(c.w)}
	out.line("retry: %d\n", comeBack)
	if missed {
		out.event(s.hub.id(l.heard), "reload", struct{}{})
	} else if c.Header.Get("Last-Event-ID") == "" {
		// What was saved between loading the table and listening.
		out.event(s.hub.id(l.heard), "draft", draftEvent{draft.Version, draft.Author, draft.What})
	}
	tick := time.NewTicker(heartbeat)
	defer tick.Stop()
	for out.flush() == nil {
		select {
		case <-c.Context().Done():
			return answer{}, errStreamed
		case <-s.hub.closed:
			return answer{}, errStreamed
		case <-tick.C:
			out.line(": still here\n\n")
		case <-l.wake:
			list, missed, names := s.hub.news(id, l)
			if missed {
				out.event(s.hub.id(l.heard), "reload", struct{}{})
			}
			for _, e := range list {
				if e.kind == "job" && !slices.Contains(marshals, c.who.Role) {
					continue // who may not see jobs
				}
				out.event(s.hub.id(e.number), e.kind, e.data)
			}
			if names != nil {
				out.event("", "people", peopleEvent{names})
			}
		}
	}
	return answer{}, errStreamed
}

// errStreamed says that the answer has been written already.
var errStreamed = fmt.Errorf("streamed: %w", http.ErrAbortHandler)

// stream writes server-sent events; after the first error it writes nothing.
type stream struct {
	w       http.ResponseWriter
	control *http.ResponseController
	err     error
}

func (s *stream) line(format string, args ...any) {
	if s.err != nil {
		return
	}
	if s.err = s.control.SetWriteDeadline(time.Now().Add(streamTime)); s.err == nil {
		_, s.err = fmt.Fprintf(s.w, format, args...)
	}
}

func (s *stream) event(id, kind string, data any) {
	text, err := json.Marshal(data)
	if err != nil {
		s.err = err
		return
	}
	if id != "" {
		s.line("id: %s\n", id)
	}
	s.line("event: %s\ndata: %s\n\n", kind, text)
}

func (s *stream) flush() error {
	if s.err == nil {
		s.err = s.control.Flush()
	}
	return s.err
}
