package e2e

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// sizes are the windows in which every screen is looked at; the last is one of
// 1366 by 768 pixels, enlarged to 200 %.
var sizes = []struct {
	name          string
	width, height int64
	scale         float64
}{{"1366", 1366, 768, 1}, {"1920", 1920, 1080, 1}, {"390", 390, 844, 1}, {"zoomed", 683, 384, 2}}

// axeFindings runs axe-core and returns what it finds serious or critical.
const axeFindings = `axe.run(document, { resultTypes: ['violations'], iframes: false }).then((r) => r.violations
	.filter((v) => v.impact === 'serious' || v.impact === 'critical')
	.map((v) => v.id + ' (' + v.impact + '): ' + v.nodes.slice(0, 3).map((n) => n.target.join(' ') + ' ' + (n.any[0]?.message ?? n.all[0]?.message ?? '')).join(' | ')))`

// cut lists what a window does not show whole: what sticks out of it at the
// side, and text that its own box cuts off without saying it elsewhere. What
// stands in a part that scrolls by itself is reached by scrolling.
const cut = `(() => {
	const room = document.documentElement.clientWidth, found = [];
	if (document.scrollingElement.scrollWidth > room) found.push('the page is ' + document.scrollingElement.scrollWidth + ' pixels wide in ' + room);
	const scrolls = (e) => { for (let p = e; p && p !== document.body; p = p.parentElement) { const o = getComputedStyle(p).overflowX; if (o === 'auto' || o === 'scroll') return true; } return false; };
	for (const e of document.querySelectorAll('body *')) {
		if (e.closest('svg, .unseen, .skip, option') || !e2e.seen(e) || ![...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim())) continue;
		const b = e.getBoundingClientRect(), what = e.tagName.toLowerCase() + ' “' + e2e.says(e).slice(0, 50) + '”';
		if ((b.right > room + 1 || b.left < -1) && !scrolls(e) && getComputedStyle(e).position !== 'fixed') found.push(what + ' sticks out');
		const o = getComputedStyle(e).overflowX;
		if ((o === 'hidden' || o === 'clip') && e.scrollWidth > e.clientWidth + 1 && !e.title) found.push(what + ' is cut');
	}
	return found.slice(0, 6);
})()`

// TestEveryScreen looks at every screen, light and dark, in windows of all
// sizes: axe-core finds nothing serious, and nothing is cut off. With
// SALLYPORT_SHOTS=FOLDER pictures are kept.
func TestEveryScreen(t *testing.T) {
	ready(t)
	axe, err := os.ReadFile(filepath.Join("..", "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		if os.Getenv(required) != "" {
			t.Fatal(err)
		}
		t.Skip("axe-core is not there: make ui installs it")
	}
	s := serve(t)
	eventful(t, s)
	w := open(t)
	for _, x := range sights {
		t.Run(x.name, func(t *testing.T) {
			w.during(t)
			if x.name == "sign in" {
				account := map[string]string{"name": planner, "password": password, "role": "planner"}
				if err := s.ask("POST", "/api/accounts", 0, account, nil); err != nil {
					t.Fatal(err)
				}
			}
			for _, size := range sizes {
				w.size(size.width, size.height, size.scale)
				w.light("light")
				do(w, chromedp.Navigate("about:blank"))
				w.goes(s, x.hash, x.heading)
				if x.open != nil {
					x.open(w, s)
				}
				for _, piece := range js[[]string](w, cut) {
					t.Errorf("in the window %s: %s", size.name, piece)
				}
				js[chromedp.Void](w, string(axe)+";0")
				for _, scheme := range []string{"light", "dark"} {
					w.light(scheme)
					for _, finding := range js[[]string](w, axeFindings) {
						t.Errorf("in the window %s, %s: %s", size.name, scheme, finding)
					}
					w.shoot(strings.ReplaceAll(x.name, ", ", "-"), size.name, scheme)
				}
			}
		})
	}
}

// shoot keeps a picture of the window, when pictures are asked for.
func (w *window) shoot(parts ...string) {
	w.t.Helper()
	folder := os.Getenv("SALLYPORT_SHOTS")
	if folder == "" {
		return
	}
	picture, err := chromedp.Run(w.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		w.t.Fatal(err)
	}
	name := strings.ReplaceAll(strings.Join(parts, "-"), " ", "-") + ".png"
	if err := os.WriteFile(filepath.Join(folder, name), picture, 0o600); err != nil {
		w.t.Fatal(err)
	}
}

// during makes a part of a test the one whose conditions the window fails.
func (w *window) during(t *testing.T) {
	whole := w.t
	w.t = t
	t.Cleanup(func() { w.t = whole })
}
