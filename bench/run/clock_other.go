//go:build !unix

package main

import "errors"

// processor fails: the processor's time is read on Unix only.
func processor(int) (clock, error) {
	return clock{}, errors.New("the processor's time cannot be read on this system: leave -cpu out")
}
