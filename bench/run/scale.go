package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"runtime/debug"
	"runtime/metrics"
	"strings"
	"time"

	sp "sallyport"
	"sallyport/bench/plant"
)

// scaleTable measures shows of rising size. Everything grows alike: lanes as
// 24 to 58 vehicles, entries of a serial as 9 to 58, and the pairs that
// exchange lanes as 4 to 58; the number of days and serials stays.
var scaleTable = table{
	name: "scale", what: "planted shows of rising size (-sizes), nobody aside in the planted plan; only moves aside and changes cost anything",
	at: secondsOf(30), spares: []int{15}, run: scale,
}

// sized is what a show of one size gave.
type sized struct {
	Vehicles int `json:"vehicles"`
	Lanes    int `json:"lanes"`
	Stays    int `json:"stays"`
	measured
	Ends   time.Duration `json:"ends"`   // when the plan was there, laid out and checked
	Memory uint64        `json:"memory"` // most bytes held at once
}

// scale measures all sizes and writes the table.
func scale(ctx context.Context, s settings, out, log io.Writer) error {
	var b strings.Builder
	missing := 0
	for _, spare := range s.spares {
		var list []sized
		for _, n := range s.sizes {
			name := fmt.Sprintf("scale-spare%d-size%d", spare, n)
			m, ok, err := kept(ctx, s, name, s.how(), func() (sized, error) { return measureSize(ctx, n, spare, s) })
			if err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			if !ok {
				missing++
				continue
			}
			list = append(list, m)
			fmt.Fprintf(log, "%s: %s, %d MB\n", name, m.line(), m.Memory>>20)
		}
		writeSizes(&b, s, spare, list)
	}
	var text strings.Builder
	s.heading(&text, "scale", "Planted so that nobody is moved aside; three days of eight serials, dead-end lanes as 24 to 58 vehicles, entries of a serial as 9 to 58, exchanges of lanes as 4 to 58. Only moves aside (240, and 240 for putting back) and changes of lane (120) cost anything. One seed for each size. Memory is the most that the program held, looked at every 20 ms.", missing)
	_, err := io.WriteString(out, text.String()+b.String())
	return err
}

// measureSize plans one planted show of n vehicles.
func measureSize(ctx context.Context, n, spare int, s settings) (sized, error) {
	p, err := plant.Plant(plant.Options{Seed: 1, Vehicles: n, Spare: spare, NobodyAside: true, Exchanges: n * 4 / 58, Plain: true})
	if err != nil {
		return sized{}, err
	}
	show := sp.Complete(p.Show)
	r := sp.Check(show, p.Plan)
	if len(r.Faults) > 0 {
		return sized{}, errors.New("the planted plan is not workable")
	}
	planted := bare(r.Cost)
	m := sized{Vehicles: n, Lanes: len(show.Park.Lanes), Stays: p.Stays}
	p = nil
	debug.FreeOSMemory()
	stop := watchMemory(&m.Memory)
	start := s.clock.now()
	m.measured, _, err = plan(ctx, show, 1, s)
	m.Ends = s.clock.now() - start
	stop()
	m.Planted = &planted
	return m, err
}

// watchMemory keeps the most memory that the program holds in most until the
// function it returns is called.
func watchMemory(most *uint64) (stop func()) {
	samples := []metrics.Sample{{Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"}}
	look := func() {
		metrics.Read(samples)
		*most = max(*most, samples[0].Value.Uint64()-samples[1].Value.Uint64())
	}
	look()
	quit, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		tick := time.NewTicker(20 * time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-quit:
				look()
				return
			case <-tick.C:
				look()
			}
		}
	}()
	return func() { close(quit); <-done }
}

// writeSizes writes a line for each size, and how time and memory grow.
func writeSizes(b *strings.Builder, s settings, spare int, list []sized) {
	fmt.Fprintf(b, "Spare room %d %%:\n\n", spare)
	fmt.Fprintf(b, "| vehicles | lanes | stays | first workable plan, s | nobody moved aside, s | cost after %s s | moved aside | changes of lane | planted changes | cost of a vehicle | bound | gap in changes | all done, laid out and checked, s | with faults | memory, MB |\n", seconds(s.at[len(s.at)-1]))
	fmt.Fprintln(b, "|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|")
	for _, m := range list {
		last := m.last()
		cost, aside, changes, each, gap := "–", "–", "–", "–", "–"
		if last.Cost != nil {
			cost, aside, changes = fmt.Sprint(last.Cost.Total), fmt.Sprint(last.Cost.Term(sp.TermAside).Count), fmt.Sprint(last.Cost.Term(sp.TermChange).Count)
			each = fmt.Sprintf("%.1f", float64(last.Cost.Total)/float64(m.Vehicles))
			change := sp.DefaultWeights().Change
			gap = fmt.Sprint((last.gap() + change - 1) / change)
		}
		fmt.Fprintf(b, "| %d | %d | %d | %s | %s | %s | %s | %s | %d | %s | %d | %s | %s | %d | %d |\n", m.Vehicles, m.Lanes, m.Stays,
			seconds(m.First), seconds(m.Nobody), cost, aside, changes, m.Planted.Term(sp.TermChange).Count, each, last.Bound, gap, seconds(m.Ends), m.Faults, m.Memory>>20)
	}
	fmt.Fprintf(b, "\nGrowth with the number of vehicles n, by least squares over the logarithms: first workable plan as n^%s, nobody moved aside as n^%s, memory as n^%s.\n\n",
		exponent(list, func(m sized) float64 { return reached(m.First) }),
		exponent(list, func(m sized) float64 { return reached(m.Nobody) }),
		exponent(list, func(m sized) float64 { return float64(m.Memory) }))
}

// reached returns a time in seconds, 0 for never.
func reached(d time.Duration) float64 {
	if d == never {
		return 0
	}
	return d.Seconds()
}

// exponent returns the slope of the straight line through the logarithms of
// sizes and values with the least squares, to two places; values that are not
// positive are left out. It is "–" for fewer than two sizes.
func exponent(list []sized, value func(sized) float64) string {
	var n, sx, sy, sxx, sxy float64
	for _, m := range list {
		v := value(m)
		if v <= 0 {
			continue
		}
		x, y := math.Log(float64(m.Vehicles)), math.Log(v)
		n, sx, sy, sxx, sxy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	if d := n*sxx - sx*sx; n > 1 && d > 0 {
		return fmt.Sprintf("%.2f", (n*sxy-sx*sy)/d)
	}
	return "–"
}
