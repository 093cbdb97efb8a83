package web

import (
	"net/http"
	"strings"
)

// Health says whether the server can do its work. How much there is in it hears
// only who is signed in.
type Health struct {
	OK       bool   `json:"ok"`
	Version  string `json:"version"`
	Database string `json:"database"` // "good", or what is wrong with it
	Shows    *int   `json:"shows,omitempty"`
	Working  *int   `json:"jobs_working,omitempty"`
	Waiting  *int   `json:"jobs_waiting,omitempty"`
}

// health answers programs in JSON and people in words.
func (s *Server) health(c *call) (answer, error) {
	h := Health{OK: true, Version: s.Version, Database: "good"}
	list, err := s.Store.Shows(c.Context(), true)
	if err != nil {
		s.Log.Error("the database cannot be read", "error", err)
		h.OK, h.Database = false, "cannot be read"
	}
	if c.who.SignedIn() {
		working, waiting := s.jobs.counts()
		h.Working, h.Waiting = &working, &waiting
		if err != nil {
			h.Database = err.Error()
		} else {
			h.Shows = new(len(list))
		}
	}
	status := http.StatusOK
	if !h.OK {
		status = http.StatusServiceUnavailable
	}
	if !strings.Contains(c.Header.Get("Accept"), "text/html") {
		return answer{status: status, body: h}, nil
	}
	words := "Sallyport " + h.Version + " works.\n"
	if !h.OK {
		words = "Sallyport " + h.Version + " cannot do its work.\n"
	}
	words += "Database: " + h.Database + ".\n"
	return answer{status: status, raw: []byte(words), mime: "text/plain; charset=utf-8"}, nil
}

// counts returns how many jobs are at work and how many wait.
func (q *jobs) counts() (working, waiting int) {
	q.mu.Lock()
	defer q.mu.Unlock()
	for _, r := range q.list {
		switch r.State {
		case jobWorking:
			working++
		case jobWaiting:
			waiting++
		}
	}
	return working, waiting
}
