// Package together runs parts of one piece of work side by side. When a part
// panics, so does who waits for them: a fault of one search ends that search,
// and not the whole program with everybody else's work in it.
package together

import (
	"fmt"
	"runtime/debug"
	"sync"
)

// Parts are parts of one piece of work, each on a goroutine of its own. The
// zero value is ready; it must not be copied.
type Parts struct {
	wait  sync.WaitGroup
	once  sync.Once
	fault *Fault // the first there was
}

// Fault is what Wait panics with: that with which a part has panicked, and where.
type Fault struct {
	Value any
	Stack string
}

// Error returns both, so that a program that ends by it says where.
func (f *Fault) Error() string { return fmt.Sprintf("%v\n\n%s", f.Value, f.Stack) }

// Go runs a part.
func (p *Parts) Go(part func()) {
	p.wait.Go(func() {
		defer func() {
			if v := recover(); v != nil {
				p.once.Do(func() { p.fault = FaultOf(v) })
			}
		}()
		part()
	})
}

// Wait waits until all parts have ended. When some have panicked, it panics
// with the *Fault of the first.
func (p *Parts) Wait() {
	p.wait.Wait()
	if p.fault != nil {
		panic(p.fault)
	}
}

// FaultOf returns the fault of a value that was just recovered: the one it is,
// when it comes from parts that were waited for, else one of here.
func FaultOf(v any) *Fault {
	if f, ok := v.(*Fault); ok {
		return f
	}
	return &Fault{Value: v, Stack: string(debug.Stack())}
}
