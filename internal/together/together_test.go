package together

import (
	"strings"
	"sync/atomic"
	"testing"
)

// waited returns what Wait panics with; nil when it does not.
func waited(p *Parts) (v any) {
	defer func() { v = recover() }()
	p.Wait()
	return nil
}

func TestParts(t *testing.T) {
	var p Parts
	var sum atomic.Int64
	for i := range int64(10) {
		p.Go(func() { sum.Add(i) })
	}
	if v := waited(&p); v != nil || sum.Load() != 45 {
		t.Errorf("Wait panics with %v, the sum is %d", v, sum.Load())
	}
}

func sinks() { panic("a part sinks") }

// TestFaultOfAPart: who waits hears of it, with where it was, also through
// parts of parts; the other parts come to their end.
func TestFaultOfAPart(t *testing.T) {
	var outer Parts
	var ended atomic.Int64
	for i := range 4 {
		outer.Go(func() {
			var inner Parts
			inner.Go(func() {
				if i == 2 {
					sinks()
				}
			})
			inner.Wait()
			ended.Add(1)
		})
	}
	f, ok := waited(&outer).(*Fault)
	if !ok || f.Value != "a part sinks" || !strings.Contains(f.Stack, "together.sinks") {
		t.Fatalf("heard %+v", f)
	}
	if says := f.Error(); !strings.HasPrefix(says, "a part sinks\n") || !strings.Contains(says, "together.sinks") {
		t.Errorf("said as %s", says)
	}
	if ended.Load() != 3 {
		t.Errorf("%d of the others came to their end", ended.Load())
	}
}
