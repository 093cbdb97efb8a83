package web

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"slices"
	"sync"
	"time"

	"sallyport"
	"sallyport/internal/store"
	"sallyport/internal/together"
)

// The states of a Job.
const (
	jobWaiting = "waiting"
	jobWorking = "working"
	jobDone    = "done"
	jobStopped = "stopped" // by somebody, or with the server; what there was by then is kept
	jobFailed  = "failed"
)

// Job is a piece of long work, as it is told.
type Job struct {
	ID       string           `json:"id"`
	Kind     string           `json:"kind"`
	Show     store.ShowID     `json:"show"`
	Version  int64            `json:"version"` // of the draft from which it works
	Author   string           `json:"author"`
	Begun    string           `json:"begun"`
	Ended    string           `json:"ended,omitempty"`
	State    string           `json:"state"`
	Phase    string           `json:"phase,omitempty"`
	Done     int              `json:"done,omitempty"`
	All      int              `json:"all,omitempty"`
	Steps    int64            `json:"steps,omitempty"`
	Cost     *sallyport.Cost  `json:"cost,omitempty"`
	Bound    sallyport.Amount `json:"bound,omitempty"`
	Workable bool             `json:"workable,omitempty"`
	Saved    int64            `json:"saved,omitempty"` // version of the draft in which the result was kept
	Kept     int              `json:"kept,omitempty"`  // number of the saved copy, when the draft had changed meanwhile
	Trouble  *Trouble         `json:"trouble,omitempty"`

	soFar any // a result before the end, for those who cannot wait
}

// work is what a job does. It calls change to tell how far it is, and returns
// its result; when ctx ends, the best it has by then.
type work func(ctx context.Context, change func(func(*Job))) (result any, err error)

// Limits of jobs.
const (
	jobsKept  = 20                     // ended jobs whose result is kept
	jobsAhead = 20                     // jobs that may wait
	jobsAsked = 3                      // of them by one person on one show
	tellEvery = 200 * time.Millisecond // of one job, at most so often
)

// running is a job with its work.
type running struct {
	Job
	do     work
	result any
	ctx    context.Context
	stop   context.CancelFunc
	told   time.Time
	later  *time.Timer // tells what has changed since
	stack  string      // of a fault of the program
}

// jobs is the queue: in order of asking, at most one at work on a show, and so
// many at once in all.
type jobs struct {
	mu      sync.Mutex
	ctx     context.Context
	most    int
	now     func() time.Time
	hub     *hub
	log     *slog.Logger
	list    []*running // oldest first
	made    int
	closed  bool // nobody begins any more
	working sync.WaitGroup
}

func newJobs(ctx context.Context, most int, now func() time.Time, h *hub, log *slog.Logger) *jobs {
	return &jobs{ctx: ctx, most: most, now: now, hub: h, log: log}
}

// add puts a job into the queue. Its kind, show, version and author are given.
func (q *jobs) add(j Job, do work) (Job, error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	waiting, asked := 0, 0
	for _, r := range q.list {
		if r.State != jobWaiting {
			continue
		}
		waiting++
		if r.Show == j.Show && r.Author == j.Author {
			asked++
		}
	}
	switch {
	case q.closed:
		return Job{}, refuse(503, "stopping", "ask again in a minute", "the server is being stopped")
	case asked >= jobsAsked:
		return Job{}, refuse(http.StatusTooManyRequests, "busy", "wait for them, or stop some", "%s has %d jobs waiting on this show already", j.Author, asked)
	case waiting >= jobsAhead:
		return Job{}, refuse(503, "busy", "wait for them, or stop some", "%d jobs are waiting already", waiting)
	}
	q.made++
	j.ID, j.Begun, j.State = fmt.Sprintf("%s-%d", q.hub.run, q.made), stamp(q.now()), jobWaiting
	r := &running{Job: j, do: do}
	r.ctx, r.stop = context.WithCancel(q.ctx)
	q.list = append(q.list, r)
	q.tell(r, true)
	q.begin()
	return r.Job, nil
}

// begin puts to work whoever may begin.
func (q *jobs) begin() {
	busy := map[store.ShowID]bool{}
	free := q.most
	for _, r := range q.list {
		if r.State == jobWorking {
			busy[r.Show] = true
			free--
		}
	}
	for _, r := range q.list {
		if r.State != jobWaiting || busy[r.Show] || free <= 0 || q.closed {
			continue
		}
		busy[r.Show] = true
		free--
		r.State = jobWorking
		q.tell(r, true)
		q.working.Go(func() { q.run(r) })
	}
}

// run does the work of one job.
func (q *jobs) run(r *running) {
	result, err := q.safely(r)
	q.mu.Lock()
	defer q.mu.Unlock()
	var known *sallyport.Error
	switch {
	case err == nil && r.ctx.Err() == nil:
		r.State = jobDone
	case err == nil, errors.As(err, &known) && known.Code == sallyport.CodeInterrupted:
		r.State = jobStopped
	default:
		r.State = jobFailed
		t := troubleOf(err)
		r.Trouble = &t
		if t.Status >= http.StatusInternalServerError {
			q.log.Error("a job failed", "kind", r.Kind, "show", r.Show, "error", err, "stack", r.stack)
		}
	}
	r.result = result
	q.ended(r)
	q.begin()
}

// safely does the work; a fault of the program fails the job, not the server.
func (q *jobs) safely(r *running) (result any, err error) {
	defer func() {
		if p := recover(); p != nil {
			f := together.FaultOf(p)
			r.stack = f.Stack
			err = sallyport.Errorf(sallyport.CodeInternal, "please report this", "the work broke off: %v", f.Value)
		}
	}()
	return r.do(r.ctx, func(change func(*Job)) {
		q.mu.Lock()
		defer q.mu.Unlock()
		change(&r.Job)
		q.tell(r, false)
	})
}

// ended notes the end of a job, lets go what it worked from, and forgets the
// oldest.
func (q *jobs) ended(r *running) {
	r.Ended = stamp(q.now())
	r.do, r.soFar = nil, nil
	r.stop()
	q.tell(r, true)
	over := 0
	for _, x := range slices.Backward(q.list) {
		if x.Ended == "" {
			continue
		}
		if over++; over > jobsKept {
			q.list = slices.DeleteFunc(q.list, func(y *running) bool { return y == x })
		}
	}
}

// tell tells those who listen to the show: at once, or as soon as it may.
func (q *jobs) tell(r *running, atOnce bool) {
	now := time.Now()
	wait := tellEvery - now.Sub(r.told)
	switch {
	case atOnce || wait <= 0:
		if r.later != nil {
			r.later.Stop()
			r.later = nil
		}
		r.told = now
		q.hub.tellLatest(r.Show, r.ID, "job", r.Job)
	case r.later == nil:
		r.later = time.AfterFunc(wait, func() {
			q.mu.Lock()
			defer q.mu.Unlock()
			if r.later != nil && r.State == jobWorking {
				r.later = nil
				q.tell(r, true)
			}
		})
	}
}

// find returns a job.
func (q *jobs) find(id string) (*running, error) {
	for _, r := range q.list {
		if r.ID == id {
			return r, nil
		}
	}
	return nil, sallyport.Errorf(sallyport.CodeNotFound, "look at the list of jobs; they are forgotten when the server stops, and the oldest when there are many", "there is no job %s", id)
}

// job returns a job as it is now.
func (q *jobs) job(id string) (Job, error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	r, err := q.find(id)
	if err != nil {
		return Job{}, err
	}
	return r.Job, nil
}

// result returns what a job has found; of one at work what it has so far,
// where it tells that.
func (q *jobs) result(id string) (Job, any, error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	r, err := q.find(id)
	switch {
	case err != nil:
		return Job{}, nil, err
	case r.Ended == "" && r.soFar != nil:
		return r.Job, r.soFar, nil
	case r.Ended == "":
		return r.Job, nil, refuse(409, "not yet", "wait for its end", "the job is still %s", r.State)
	case r.result == nil:
		return r.Job, nil, sallyport.Errorf(sallyport.CodeNotFound, "start it again", "the job %s found nothing before its end", r.State)
	}
	return r.Job, r.result, nil
}

// of returns the jobs of a show, the newest first.
func (q *jobs) of(id store.ShowID) []Job {
	q.mu.Lock()
	defer q.mu.Unlock()
	list := []Job{}
	for _, r := range slices.Backward(q.list) {
		if r.Show == id {
			list = append(list, r.Job)
		}
	}
	return list
}

// cancel stops a job; what it has by then is kept. One that has ended stays
// as it is.
func (q *jobs) cancel(id string) (Job, error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	r, err := q.find(id)
	if err != nil {
		return Job{}, err
	}
	switch r.State {
	case jobWaiting:
		r.State = jobStopped
		q.ended(r)
	case jobWorking:
		r.stop()
	}
	return r.Job, nil
}

// close lets no job begin any more.
func (q *jobs) close() {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.closed = true
}

// wait waits for the work under way, whose context has ended; the queue is closed.
func (q *jobs) wait(ctx context.Context) error {
	ended := make(chan struct{})
	go func() {
		q.working.Wait()
		close(ended)
	}()
	select {
	case <-ended:
		return nil
	case <-ctx.Done():
		return sallyport.Errorf(sallyport.CodeInterrupted, "what they had found is lost, drafts are not", "jobs did not end in time")
	}
}
