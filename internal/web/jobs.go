package web

import (
	"bytes"
	"math"
	"net/http"
	"slices"
	"time"

	"sallyport"
	"sallyport/internal/store"
)

// JobAsk says which work is wanted, and how much of it. Seconds and Steps
// bound the search; without either the usual number of steps.
type JobAsk struct {
	Kind    string            `json:"kind"`
	Seconds float64           `json:"seconds,omitempty"`
	Steps   int64             `json:"steps,omitempty"`
	Seed    uint64            `json:"seed,omitempty"`
	Stand   bool              `json:"stand,omitempty"` // plan: it is to stand any one failure to start
	Most    int               `json:"most,omitempty"`  // advise: changes at once; explain: reasons of each kind
	Only    []string          `json:"only,omitempty"`  // advise: kinds of change
	Keep    []string          `json:"keep,omitempty"`  // advise: ids that are left alone
	At      sallyport.Instant `json:"at,omitempty"`    // replan
}

// mostSeconds is the longest search that can be asked for.
const mostSeconds = 3600

func (a JobAsk) check() error {
	if !(a.Seconds >= 0 && a.Seconds <= mostSeconds) || math.IsNaN(a.Seconds) {
		return sallyport.Errorf(sallyport.CodeInput, "give up to an hour, or steps", "%g seconds is no time to search", a.Seconds)
	}
	if a.Steps < 0 || a.Most < 0 {
		return sallyport.Errorf(sallyport.CodeInput, "leave them out for the usual", "steps and most cannot be negative")
	}
	return nil
}

func (a JobAsk) limit() time.Duration { return time.Duration(a.Seconds * float64(time.Second)) }

// newJob puts work on a show into the queue.
func (s *Server) newJob(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	var ask JobAsk
	if err := c.json(&ask); err != nil {
		return answer{}, err
	}
	if err := ask.check(); err != nil {
		return answer{}, err
	}
	at := slices.IndexFunc(jobKinds, func(k jobKind) bool { return k.name == ask.Kind })
	if at < 0 {
		return answer{}, sallyport.Errorf(sallyport.CodeInput, "/openapi.json lists them", "%q is no kind of job", ask.Kind)
	}
	kind := jobKinds[at]
	if !slices.Contains(kind.roles, c.who.Role) {
		return answer{}, refuse(http.StatusForbidden, "not allowed", "ask a planner", "a %s may not start this job", c.who.Role)
	}
	show, err := s.Store.Show(c.Context(), id)
	if err != nil {
		return answer{}, err
	}
	if kind.saves && !show.Archived.IsZero() {
		return answer{}, sallyport.Errorf(sallyport.CodeInput, "take it out of the archive, or duplicate it", "%s is archived and cannot be changed", show.Name)
	}
	d, err := s.Store.Draft(c.Context(), id)
	if err != nil {
		return answer{}, err
	}
	do, err := kind.begin(s, jobInput{ask: ask, draft: d, author: c.who.Name})
	if err != nil {
		return answer{}, err
	}
	j, err := s.jobs.add(Job{Kind: ask.Kind, Show: id, Version: d.Version, Author: c.who.Name}, do)
	return answer{status: http.StatusAccepted, body: j}, err
}

// jobsOf lists the jobs of a show, the newest first.
func (s *Server) jobsOf(c *call) (answer, error) {
	id, err := c.show()
	if err != nil {
		return answer{}, err
	}
	if _, err := s.Store.Show(c.Context(), id); err != nil {
		return answer{}, err
	}
	return answer{body: s.jobs.of(id)}, nil
}

func (s *Server) job(c *call) (answer, error) {
	j, err := s.jobs.job(c.PathValue("job"))
	return answer{body: j}, err
}

func (s *Server) stopJob(c *call) (answer, error) {
	j, err := s.jobs.cancel(c.PathValue("job"))
	return answer{body: j}, err
}

// resultBody is what a result gives when it is asked for.
type resultBody interface{ body() any }

func (s *Server) jobResult(c *call) (answer, error) {
	_, result, err := s.jobs.result(c.PathValue("job"))
	if err != nil {
		return answer{}, err
	}
	if r, ok := result.(resultBody); ok {
		return answer{body: r.body()}, nil
	}
	return answer{body: result}, nil
}

// Choice names what of a result goes into the draft: a set of changes or a
// variant, numbered from 1; neither: what a replan gives.
type Choice struct {
	Set     int `json:"set,omitempty"`
	Variant int `json:"variant,omitempty"`
}

// chooser is a result of which something can be taken into the draft. base is
// the show that it was made from, which taking it may put another in place of;
// nil: whatever the draft holds.
type chooser interface {
	base() *sallyport.Show
	choose(c Choice) (content store.Content, what string, err error)
}

// choose takes a part of a result into the draft.
func (s *Server) choose(c *call) (answer, error) {
	version, err := c.version()
	if err != nil {
		return answer{}, err
	}
	var ask Choice
	if err := c.json(&ask); err != nil {
		return answer{}, err
	}
	j, result, err := s.jobs.result(c.PathValue("job"))
	if err != nil {
		return answer{}, err
	}
	from, ok := result.(chooser)
	if !ok {
		return answer{}, sallyport.Errorf(sallyport.CodeInput, "start a job that offers some", "a job of kind %s has nothing to choose from", j.Kind)
	}
	d, err := s.draftAsSeen(c, j.Show, version)
	if err != nil {
		return answer{}, err
	}
	if base := from.base(); base != nil && !sameShow(base, d.Content.Show) {
		return answer{}, refuse(http.StatusConflict, "changed", "start the job again", "the show has been changed since the job began; what it offers would undo that")
	}
	content, what, err := from.choose(ask)
	if err != nil {
		return answer{}, err
	}
	return s.save(c, j.Show, version, content, what)
}

// sameShow reports whether two shows are written alike.
func sameShow(a, b *sallyport.Show) bool {
	x, errX := toJSON(a)
	y, errY := toJSON(b)
	return errX == nil && errY == nil && bytes.Equal(x, y)
}
