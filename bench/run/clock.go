package main

import (
	"context"
	"time"
)

// clock tells how long the planner has worked. The clock on the wall is right
// on a machine that does nothing else; on a shared one the processor's is
// fairer: it counts only the time this program was given.
type clock struct {
	now func() time.Duration // rising, from any moment
}

// wall returns the clock on the wall.
func wall() clock {
	start := time.Now()
	return clock{now: func() time.Duration { return time.Since(start) }}
}

// limit returns a context that ends when the clock has gone on by d.
func (c clock) limit(ctx context.Context, d time.Duration) (context.Context, context.CancelFunc) {
	ctx, cancel := context.WithCancel(ctx)
	end := c.now() + d
	go func() {
		tick := time.NewTicker(5 * time.Millisecond)
		defer tick.Stop()
		for c.now() < end {
			select {
			case <-ctx.Done():
				return
			case <-tick.C:
			}
		}
		cancel()
	}()
	return ctx, cancel
}
