package web

import (
	"context"
	"errors"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"sallyport"
	"sallyport/internal/store"
	"sallyport/internal/together"
)

// patient is work that goes on until it is stopped, and then gives what it has.
func patient(begun chan<- string) work {
	return func(ctx context.Context, change func(func(*Job))) (any, error) {
		id := ""
		change(func(j *Job) { j.Phase, id = "at it", j.ID })
		begun <- id
		<-ctx.Done()
		return "what there is", nil
	}
}

func TestJobIsStopped(t *testing.T) {
	t.Parallel()
	b := serving(t)
	b.planned()
	begun := make(chan string, 9)
	j := must(b.s.jobs.add(Job{Kind: "plan", Show: 1}, patient(begun)))(t)
	waiting := must(b.s.jobs.add(Job{Kind: "plan", Show: 1}, patient(begun)))(t)
	other := must(b.s.jobs.add(Job{Kind: "plan", Show: 2}, patient(begun)))(t)
	third := must(b.s.jobs.add(Job{Kind: "plan", Show: 3}, patient(begun)))(t)
	first := []string{<-begun, <-begun}
	if len(begun) != 0 || strings.Join(first, " ") != j.ID+" "+other.ID && strings.Join(first, " ") != other.ID+" "+j.ID {
		t.Errorf("at work are %v: one of a show, two in all", first)
	}
	b.bad(409, "GET", "/api/jobs/"+j.ID+"/result", nil)
	if x := good[Job](b, "DELETE", "/api/jobs/"+waiting.ID, nil); x.State != jobStopped || x.Ended == "" {
		t.Errorf("a waiting job is stopped as %+v", x)
	}
	b.bad(404, "GET", "/api/jobs/"+waiting.ID+"/result", nil)
	good[Job](b, "DELETE", "/api/jobs/"+j.ID, nil)
	if x := b.ended(j.ID); x.State != jobStopped {
		t.Errorf("ended as %+v", x)
	}
	if r := good[string](b, "GET", "/api/jobs/"+j.ID+"/result", nil); r != "what there is" {
		t.Errorf("what it had is %q", r)
	}
	if id := <-begun; id != third.ID {
		t.Errorf("then %s begins in place of %s", id, third.ID)
	}
	b.bad(404, "DELETE", "/api/jobs/none", nil)
	good[Job](b, "DELETE", "/api/jobs/"+j.ID, nil) // again: it stays as it is
}

// TestStopsGracefully: a server that is told to stop lets jobs keep what they
// have, ends its streams and answers what is under way.
func TestStopsGracefully(t *testing.T) {
	t.Parallel()
	b := serving(t)
	show := b.planned()
	next, _ := b.listen(show+"/events", "")
	begun := make(chan string, 1)
	var kept atomic.Bool
	must(b.s.jobs.add(Job{Kind: "plan", Show: 1}, func(ctx context.Context, change func(func(*Job))) (any, error) {
		r, err := patient(begun)(ctx, change)
		time.Sleep(50 * time.Millisecond)
		kept.Store(true)
		return r, err
	}))(t)
	<-begun
	if err := b.stop(); err != nil {
		t.Fatal(err)
	}
	if !kept.Load() {
		t.Error("the server did not wait for the job")
	}
	for h := next(); h.kind != "end"; h = next() {
		if h.kind == "job" && strings.Contains(h.data, `"failed"`) {
			t.Errorf("heard %s", h.data)
		}
	}
	if _, err := b.s.jobs.add(Job{Kind: "plan", Show: 1}, patient(begun)); troubleOf(err).Status != 503 {
		t.Errorf("a job after the end: %v", err)
	}
}

func TestJobThatFails(t *testing.T) {
	t.Parallel()
	b := serving(t)
	b.planned()
	j := b.ended(must(b.s.jobs.add(Job{Kind: "plan", Show: 1}, func(context.Context, func(func(*Job))) (any, error) { panic("a fault") }))(t).ID)
	if j.State != jobFailed || j.Trouble == nil || !strings.Contains(j.Trouble.Detail, "a fault") {
		t.Errorf("ended as %+v", j)
	}
	j = b.ended(must(b.s.jobs.add(Job{Kind: "plan", Show: 1}, func(context.Context, func(func(*Job))) (any, error) { return nil, errors.New("disk") }))(t).ID)
	if j.State != jobFailed || j.Trouble.Code != string(sallyport.CodeInternal) {
		t.Errorf("ended as %+v", j)
	}
	j = b.ended(must(b.s.jobs.add(Job{Kind: "plan", Show: 1}, func(context.Context, func(func(*Job))) (any, error) {
		var parts together.Parts
		parts.Go(func() { var none *sallyport.Plan; none.Show = "" })
		parts.Wait()
		return 1, nil
	}))(t).ID)
	if j.State != jobFailed || j.Trouble == nil || !strings.Contains(j.Trouble.Detail, "nil pointer") || strings.Contains(j.Trouble.Detail, "goroutine") {
		t.Errorf("a fault on a goroutine of the work: ended as %+v", j)
	}
	b.table("/api/shows/1") // the server lives
	if err := b.stop(); err != nil {
		t.Error(err)
	}
	for _, says := range []string{"a fault", "jobs_queue_test.go", "error=disk", "TestJobThatFails.func3.1"} {
		if !strings.Contains(b.log.String(), says) {
			t.Errorf("the log does not say %q: %s", says, b.log)
		}
	}
}

func TestJobsAreForgotten(t *testing.T) {
	t.Parallel()
	b := serving(t)
	b.planned()
	for range jobsKept + 5 {
		b.ended(must(b.s.jobs.add(Job{Kind: "plan", Show: 1}, func(context.Context, func(func(*Job))) (any, error) { return 1, nil }))(t).ID)
	}
	if n := len(good[[]Job](b, "GET", "/api/shows/1/jobs", nil)); n != jobsKept {
		t.Errorf("%d ended jobs are kept, %d should be", n, jobsKept)
	}
}

// TestJobsOfOnePerson: nobody can fill the queue for all others.
func TestJobsOfOnePerson(t *testing.T) {
	t.Parallel()
	b := serving(t)
	b.planned()
	begun := make(chan string, 9)
	add := func(show store.ShowID, author string) (Job, error) {
		return b.s.jobs.add(Job{Kind: "plan", Show: show, Author: author}, patient(begun))
	}
	first := must(add(1, "Runa"))(t) // at work, so it does not wait
	<-begun
	var last Job
	for range jobsAsked {
		last = must(add(1, "Runa"))(t)
	}
	_, err := add(1, "Runa")
	if x := troubleOf(err); err == nil || x.Status != 429 || !strings.Contains(x.Detail, "Runa has 3 jobs waiting") {
		t.Errorf("one more: %+v", x)
	}
	must(add(1, "Orla"))(t) // somebody else, and on another show
	must(add(2, "Runa"))(t)
	<-begun
	must(b.s.jobs.cancel(last.ID))(t)
	must(add(1, "Runa"))(t)
	must(b.s.jobs.cancel(first.ID))(t)
	<-begun
	if err := b.stop(); err != nil {
		t.Error(err)
	}
}
