package e2e

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/chromedp"

	"sallyport/bench/plant"
	"sallyport/internal/store"
)

// measuring skips a test unless figures are asked for: they say something only
// on a machine that does nothing else.
func measuring(t *testing.T) {
	t.Helper()
	if os.Getenv("SALLYPORT_MEASURE") == "" {
		t.Skip("SALLYPORT_MEASURE=1 measures")
	}
}

// worked returns the processor time that the main thread of a window has used,
// in milliseconds.
func worked(w *window) float64 {
	w.t.Helper()
	got, err := chromedp.Call(w.ctx, performance.GetMetrics, struct{}{})
	if err != nil {
		w.t.Fatal(err)
	}
	for _, m := range got.Metrics {
		if m.Name == "TaskDuration" {
			return m.Value * 1000
		}
	}
	w.t.Fatal("the browser does not say how long it worked")
	return 0
}

// countsWork makes a window count what worked returns.
func countsWork(w *window) {
	w.t.Helper()
	if _, err := chromedp.Call(w.ctx, performance.Enable, performance.EnableParams{TimeDomain: performance.EnableTimeDomainThreadTicks}); err != nil {
		w.t.Fatal(err)
	}
}

// used returns the processor time that the server has used, in milliseconds.
func (s *server) used(t *testing.T) float64 {
	t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", s.cmd.Process.Pid))
	if err != nil {
		t.Skip("this system does not say how much processor time a process has used")
	}
	fields := strings.Fields(string(text[strings.LastIndexByte(string(text), ')')+1:]))
	user, err := strconv.ParseFloat(fields[11], 64)
	if err != nil {
		t.Fatal(err)
	}
	system, err := strconv.ParseFloat(fields[12], 64)
	if err != nil {
		t.Fatal(err)
	}
	return (user + system) * 10 // ticks of 10 ms
}

// middleAndWorst returns the median and the greatest of some figures.
func middleAndWorst(list []float64) (middle, worst float64) {
	slices.Sort(list)
	return list[len(list)/2], list[len(list)-1]
}

// park-drawn is marked in the frame after vehicles have got their places.
const marksDrawn = `(() => { const look = () => {
	const e = document.querySelector('[data-unit][transform]');
	if (e && e.getBoundingClientRect().width > 0) requestAnimationFrame(() => performance.mark('park-drawn')); else requestAnimationFrame(look);
}; requestAnimationFrame(look); })()`

// TestMeasurePaint measures how long it takes until the park of the
// demonstration is drawn, each time in a new window with an empty cache.
func TestMeasurePaint(t *testing.T) {
	measuring(t)
	s := serve(t)
	var first, drawn, work []float64
	for range 7 {
		w := open(t)
		countsWork(w)
		if _, err := chromedp.Call(w.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: marksDrawn}); err != nil {
			t.Fatal(err)
		}
		do(w, chromedp.Navigate(s.url+"/#/1/park"))
		w.until("the park is drawn", `performance.getEntriesByName('park-drawn').length`)
		work = append(work, worked(w))
		first = append(first, js[float64](w, `performance.getEntriesByName('first-contentful-paint')[0].startTime`))
		drawn = append(drawn, js[float64](w, `performance.getEntriesByName('park-drawn')[0].startTime`))
	}
	m, x := middleAndWorst(first)
	t.Logf("first paint of anything: median %.0f ms, worst %.0f ms", m, x)
	m, x = middleAndWorst(drawn)
	t.Logf("park drawn: median %.0f ms, worst %.0f ms", m, x)
	m, x = middleAndWorst(work)
	t.Logf("processor time of the page until then: median %.0f ms, worst %.0f ms", m, x)
}

// TestMeasureHeld measures how long the server takes to answer what a vehicle
// would do in a lane, as the browser sees it, for every lane and six vehicles.
func TestMeasureHeld(t *testing.T) {
	measuring(t)
	s, w := serve(t), open(t)
	w.goes(s, "#/1/park", "The park")
	now := s.table(t)
	var all []float64
	units, used := 0, s.used(t)
	for _, x := range now.Stays {
		if x.After != "" || x.Lane == "" {
			continue
		}
		if units++; units > 6 {
			break
		}
		for _, lane := range now.Complete.Park.Lanes {
			if string(lane.ID) == x.Lane {
				continue
			}
			body, err := json.Marshal(map[string]string{"unit": x.Unit, "after": x.After, "lane": string(lane.ID)})
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, js[float64](w, fmt.Sprintf(`(async () => { const at = performance.now(); const a = await fetch('/api/shows/1/held', { method: 'POST', headers: { 'Content-Type': 'application/json', 'If-Match': '"%d"' }, body: %s }); await a.json(); return performance.now() - at; })()`, now.Version, quoted(string(body)))))
		}
	}
	used = s.used(t) - used
	m, x := middleAndWorst(all)
	t.Logf("held over a lane: %d answers, median %.1f ms, worst %.1f ms; processor time of the server %.1f ms each", len(all), m, x, used/float64(len(all)))
}

// TestMeasureFrames measures frames a second while the time line plays, with
// the demonstration and with 600 vehicles.
func TestMeasureFrames(t *testing.T) {
	measuring(t)
	ready(t)
	for _, c := range []struct {
		name string
		db   func(*testing.T) string
	}{{"58 vehicles", demoCopy}, {"600 vehicles", hundreds}} {
		t.Run(c.name, func(t *testing.T) {
			s, err := launch(c.db(t), "127.0.0.1:0")
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(s.kill)
			w := open(t)
			w.goes(s, "#/1/park", "The park")
			w.press("Next move")
			countsWork(w)
			w.press("Play")
			work := worked(w)
			got := js[struct{ Frames, Seconds, Longest, Slow float64 }](w, `new Promise((done) => {
				let frames = 0, slow = 0, longest = 0, begun = 0, last = 0;
				const frame = (now) => {
					if (!begun) begun = last = now; else { frames++; longest = Math.max(longest, now - last); if (now - last > 34) slow++; last = now; }
					if (now - begun > 8000) done({ frames, seconds: (now - begun) / 1000, longest, slow }); else requestAnimationFrame(frame);
				};
				requestAnimationFrame(frame);
			})`)
			work = worked(w) - work
			t.Logf("%.1f frames a second over %.1f s, longest %.0f ms, %.0f of %.0f over 34 ms; processor time of the page %.1f ms a frame", got.Frames/got.Seconds, got.Seconds, got.Longest, got.Slow, got.Frames, work/got.Frames)
			w.press("Pause")
		})
	}
}

// hundreds makes a database with a show of 600 vehicles and its plan.
func hundreds(t *testing.T) string {
	t.Helper()
	p, err := plant.Plant(plant.Options{Seed: 1, Vehicles: 600, Days: 1})
	if err != nil {
		t.Fatal(err)
	}
	db := filepath.Join(t.TempDir(), "hundreds.db")
	kept, err := store.Open(t.Context(), db, store.Options{Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := kept.Create(t.Context(), "", store.Content{Show: p.Show, Plan: p.Plan}, "measure"); err != nil {
		t.Fatal(err)
	}
	if err := kept.Close(); err != nil {
		t.Fatal(err)
	}
	return db
}
