package main

import (
	"time"

	"sallyport"
	"sallyport/internal/desk"
)

// mostSeconds is the longest time limit, a day.
const mostSeconds = 24 * 3600

// budget is how long to look for a plan.
type budget struct {
	Seconds float64 `help:"Stop after this many seconds with the best plan so far. Such a plan cannot be repeated exactly." placeholder:"N"`
	Steps   int64   `help:"Stop after this many steps: the same show, seed and steps always give the same plan." placeholder:"N"`
	Seed    uint64  `help:"Seed of the search; 1 when it is not given." default:"1" placeholder:"N"`
	Workers int     `help:"Searches side by side; any number gives the same plan. 0: one for each processor." default:"0" placeholder:"N"`
}

// options returns what the budget says.
func (b budget) options() (desk.PlanOptions, error) {
	if b.Seconds < 0 || b.Steps < 0 || b.Workers < 0 {
		return desk.PlanOptions{}, sallyport.Errorf(sallyport.CodeInput, "leave it out for the usual budget", "seconds, steps and workers cannot be negative")
	}
	if !(b.Seconds <= mostSeconds) { // so that NaN is refused too
		return desk.PlanOptions{}, sallyport.Errorf(sallyport.CodeInput, "give fewer, or --steps", "--seconds %g is not a time of a day at most", b.Seconds)
	}
	return desk.PlanOptions{
		Seed: b.Seed, Steps: b.Steps, Limit: time.Duration(b.Seconds * float64(time.Second)), Workers: b.Workers, Now: time.Now,
	}, nil
}
