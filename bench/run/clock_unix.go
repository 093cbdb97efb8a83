//go:build unix

package main

import (
	"sync"
	"syscall"
	"time"
)

// processor returns a clock of the processor time this program has used,
// shared out over so many workers.
func processor(workers int) (clock, error) {
	read := func() (time.Duration, error) {
		var used syscall.Rusage
		err := syscall.Getrusage(syscall.RUSAGE_SELF, &used)
		return time.Duration(used.Utime.Nano()+used.Stime.Nano()) / time.Duration(workers), err
	}
	last, err := read()
	if err != nil {
		return clock{}, err
	}
	var mu sync.Mutex
	return clock{now: func() time.Duration {
		mu.Lock()
		defer mu.Unlock()
		if d, err := read(); err == nil {
			last = max(last, d)
		}
		return last
	}}, nil
}
