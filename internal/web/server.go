// Package web serves the planning table over HTTP: which page or answer a
// browser gets for which request, who may ask for it, and what others hear of
// it. docs/table.md describes routes, events and jobs.
//
// A handler loads from the store, calls one function of desk, and saves. The
// function routes lists every route with the roles that may use it.
package web

import (
	"context"
	"errors"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"time"

	"sallyport"
	"sallyport/internal/store"
)

// Options say how a server works. All but Screens, Demo and Searches are needed.
type Options struct {
	Store    *store.Store
	Who      *Who
	Now      func() time.Time
	Log      *slog.Logger
	Version  string                 // of the program
	Screens  fs.FS                  // the built screens; without index.html a page says how to build them
	Demo     func() *sallyport.Show // the demonstration show
	Searches int                    // jobs at work at once, each on another show; 0: 2
	Workers  int                    // processors for one search; 0: one for each
}

// Server answers requests. Make one with New; Close ends its jobs and streams.
type Server struct {
	Options
	handler  http.Handler
	hub      *hub
	jobs     *jobs
	tables   *tables
	previews *previews
	unpack   chan struct{}   // holds one while a file is unpacked
	work     context.Context // ends with Close: jobs go on from it
	stop     context.CancelFunc
}

// New returns a server. The caller closes it, and the store after it.
func New(o Options) (*Server, error) {
	if o.Store == nil || o.Who == nil || o.Now == nil || o.Log == nil {
		return nil, sallyport.Errorf(sallyport.CodeInternal, "", "a server needs a store, who may use it, a clock and a log")
	}
	if o.Searches == 0 {
		o.Searches = 2
	}
	s := &Server{Options: o, hub: newHub(o.Now()), tables: newTables(), previews: newPreviews(o.Now), unpack: make(chan struct{}, 1)}
	s.work, s.stop = context.WithCancel(context.Background())
	s.jobs = newJobs(s.work, o.Searches, o.Now, s.hub, o.Log)
	handler, err := s.serveMux()
	if err != nil {
		s.stop()
		return nil, err
	}
	s.handler = handler
	return s, nil
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// Close stops the jobs, waits until what they have found by then is kept, and
// ends all streams of events. It waits no longer than ctx.
func (s *Server) Close(ctx context.Context) error {
	s.jobs.close()
	s.stop()
	err := s.jobs.wait(ctx)
	s.hub.close()
	return err
}

// Limits against clients that are slow or send too much.
const (
	headerTime = 10 * time.Second // to send the header of a request
	bodyTime   = 2 * time.Minute  // to send all of it
	answerTime = 2 * time.Minute  // to take the answer; streams of events set their own
	idleTime   = 2 * time.Minute  // between requests of one connection
	stopTime   = 20 * time.Second // for jobs under way when the server is stopped
	lastTime   = 5 * time.Second  // for requests under way after that
	maxHeader  = 64 << 10         // bytes
)

// Serve answers what comes in at a listener until ctx ends, and then ends
// gracefully: jobs stop and keep the best they have, streams end, requests
// under way are answered.
func Serve(ctx context.Context, l net.Listener, s *Server) error {
	return s.serve(ctx, l, s.limits())
}

// limits returns the server of HTTP with its limits.
func (s *Server) limits() *http.Server {
	return &http.Server{
		Handler: s, ReadHeaderTimeout: headerTime, ReadTimeout: bodyTime, WriteTimeout: answerTime, IdleTimeout: idleTime,
		MaxHeaderBytes: maxHeader, ErrorLog: slog.NewLogLogger(s.Log.Handler(), slog.LevelDebug),
	}
}

func (s *Server) serve(ctx context.Context, l net.Listener, h *http.Server) error {
	ended := make(chan error, 1)
	go func() { ended <- h.Serve(l) }()
	var broken error
	select {
	case broken = <-ended:
	case <-ctx.Done():
	}
	late, cancel := context.WithTimeout(context.WithoutCancel(ctx), stopTime)
	defer cancel()
	err := errors.Join(broken, s.Close(late))
	last, cancel := context.WithTimeout(context.WithoutCancel(ctx), lastTime)
	defer cancel()
	switch stopped := h.Shutdown(last); {
	case errors.Is(stopped, context.DeadlineExceeded):
		err = errors.Join(err, h.Close()) // who is that slow is cut off
	default:
		err = errors.Join(err, stopped)
	}
	if broken != nil {
		return err
	}
	if served := <-ended; !errors.Is(served, http.ErrServerClosed) {
		err = errors.Join(err, served)
	}
	return err
}
