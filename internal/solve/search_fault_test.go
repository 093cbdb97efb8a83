package solve

import (
	"strings"
	"testing"

	"sallyport/internal/together"
)

// TestFaultOfAStream: a fault on the goroutine of one stream comes to who
// waits for the round.
func TestFaultOfAStream(t *testing.T) {
	for _, workers := range []int{1, 2} {
		s := &search{opt: Options{Workers: workers}, streams: []*stream{{}, {}}}
		var heard any
		func() {
			defer func() { heard = recover() }()
			s.each(func(st *stream) {
				if st == s.streams[1] {
					panic("a fault")
				}
			})
		}()
		f := together.FaultOf(heard)
		if f.Value != "a fault" || workers > 1 && !strings.Contains(f.Stack, "search_fault_test.go") {
			t.Errorf("%d workers: heard %v", workers, heard)
		}
	}
}
