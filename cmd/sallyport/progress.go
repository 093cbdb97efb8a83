package main

import (
	"fmt"
	"os"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/solve"
)

// isTerminal reports whether w is a terminal with a person in front of it.
func isTerminal(w any) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// bar is a progress bar on a terminal; the nil bar, used in a pipe, shows
// nothing.
type bar struct {
	mu     sync.Mutex
	line   *progressbar.ProgressBar
	broken bool // the terminal cannot be written to: planning goes on without
	quit   chan struct{}
	done   sync.WaitGroup
}

// newBar returns a bar of so many units, nil when standard error is no
// terminal.
func (c *console) newBar(units int64, doing string) *bar {
	if !isTerminal(c.stderr) {
		return nil
	}
	return &bar{quit: make(chan struct{}), line: progressbar.NewOptions64(units,
		progressbar.OptionSetWriter(c.stderr),
		progressbar.OptionSetDescription(doing),
		progressbar.OptionSetWidth(24),
		progressbar.OptionSetElapsedTime(true),
		progressbar.OptionSetPredictTime(false),
		progressbar.OptionThrottle(100*time.Millisecond),
		progressbar.OptionClearOnFinish(),
	)}
}

// to moves the bar and changes its words.
func (b *bar) to(at int64, words string) {
	if b == nil {
		return
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.broken {
		return
	}
	if words != "" {
		b.line.Describe(words)
	}
	b.broken = b.line.Set64(at) != nil
}

// follow moves the bar with the clock until it is ended.
func (b *bar) follow(limit time.Duration) {
	if b == nil {
		return
	}
	b.done.Go(func() {
		begin, tick := time.Now(), time.NewTicker(200*time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-b.quit:
				return
			case <-tick.C:
				b.to(min(time.Since(begin), limit).Milliseconds(), "")
			}
		}
	})
}

// end takes the bar away.
func (b *bar) end() {
	if b == nil {
		return
	}
	close(b.quit)
	b.done.Wait()
	b.broken = b.line.Clear() != nil
}

// planning returns a bar for a search, and what moves it.
func (c *console) planning(o desk.PlanOptions) (*bar, func(solve.Progress)) {
	if o.Limit > 0 {
		b := c.newBar(o.Limit.Milliseconds(), "planning")
		b.follow(o.Limit)
		return b, func(p solve.Progress) { b.to(p.Elapsed.Milliseconds(), found(p)) }
	}
	b := c.newBar(o.Budget(), "planning")
	return b, func(p solve.Progress) { b.to(min(p.Steps, o.Budget()), found(p)) }
}

// found says how good the best plan is by now.
func found(p solve.Progress) string {
	switch {
	case p.Cost.Lost > 0 || !p.Workable:
		return "planning, no workable plan yet"
	case p.Cost.Term(sallyport.TermAside).Count > 0:
		return fmt.Sprintf("planning, %d moves aside and back, cost %s", p.Cost.Term(sallyport.TermAside).Count, p.Cost.Total)
	}
	return "planning, nobody aside, cost " + p.Cost.Total.String()
}
