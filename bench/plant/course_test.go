package plant

import (
	"fmt"
	"runtime"
	"testing"

	sp "sallyport"
)

// BenchmarkCourse compares what looking at every state of a planted plan takes,
// one after the other and against the order, when all states are kept (Play)
// and when one in many is (Course). heap-MB is what stays in memory meanwhile.
func BenchmarkCourse(b *testing.B) {
	for _, n := range []int{600, 2000} {
		p, err := Plant(Options{Seed: 1, Vehicles: n, Zones: max(1, n/200), Spare: 15, NobodyAside: true, Exchanges: n / 20})
		if err != nil {
			b.Fatal(err)
		}
		show := sp.Complete(p.Show)
		ix, moves := sp.NewIndex(show), p.Plan.Moves
		start, _ := sp.StartState(show, p.Plan)
		b.Run(fmt.Sprintf("%d/all kept", n), func(b *testing.B) {
			for b.Loop() {
				before := heap()
				states, _ := sp.Play(show, start, moves)
				b.ReportMetric(heap()-before, "heap-MB")
				b.ReportMetric(float64(len(moves)), "moves")
				runtime.KeepAlive(states)
			}
		})
		for _, way := range []struct {
			name string
			at   func(i int) int
		}{
			{"one in many, onwards", func(i int) int { return i }},
			{"one in many, backwards", func(i int) int { return len(moves) - i }},
		} {
			b.Run(fmt.Sprintf("%d/%s", n, way.name), func(b *testing.B) {
				for b.Loop() {
					before := heap()
					c := sp.NewCourse(ix, start, moves)
					b.ReportMetric(heap()-before, "heap-MB")
					step := max(1, len(moves)/100)
					for i := 0; i <= len(moves); i += step {
						c.Before(way.at(i))
					}
					runtime.KeepAlive(c)
				}
			})
		}
	}
}

// heap returns what lives on the heap, in MB.
func heap() float64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return float64(m.HeapAlloc) / 1e6
}
