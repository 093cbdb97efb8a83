package e2e

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// window is a browser window with cookies and storage of its own.
type window struct {
	t   *testing.T
	ctx context.Context

	mu     sync.Mutex
	heard  []string // errors of the console, and requests that failed
	expect []string // pieces of those that a test brings about
	urls   map[string]string
}

// open opens a window, 1366 by 768 pixels, light. When the test ends, what the
// console or the network complained of fails it.
func open(t *testing.T) *window {
	t.Helper()
	ready(t)
	ctx, cancel := chromedp.NewContext(bench.browser, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	w := &window{t: t, ctx: ctx, urls: map[string]string{}}
	if err := chromedp.Listen(ctx, w.listen); err != nil {
		t.Fatal(err)
	}
	for _, on := range []func() error{
		func() error { _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); return err },
		func() error {
			_, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: finding})
			return err
		},
	} {
		if err := on(); err != nil {
			t.Fatal(err)
		}
	}
	w.size(1366, 768, 1)
	t.Cleanup(w.report)
	return w
}

func (w *window) listen(event any) {
	w.mu.Lock()
	defer w.mu.Unlock()
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		text := e.ExceptionDetails.Text
		if e.ExceptionDetails.Exception != nil {
			text += " " + e.ExceptionDetails.Exception.Description
		}
		w.heard = append(w.heard, "exception: "+text)
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError || e.Entry.Level == log.EntryLevelWarning {
			w.heard = append(w.heard, e.Entry.Text+" "+e.Entry.URL)
		}
	case *runtime.EventConsoleAPICalled:
		if e.Type == "error" || e.Type == "warning" || e.Type == "assert" {
			var args []string
			for _, a := range e.Args {
				args = append(args, string(a.Value)+a.Description)
			}
			w.heard = append(w.heard, fmt.Sprintf("console %s: %s", e.Type, strings.Join(args, " ")))
		}
	case *network.EventRequestWillBeSent:
		w.urls[string(e.RequestID)] = e.Request.URL
	case *network.EventLoadingFailed:
		if !e.Canceled {
			w.heard = append(w.heard, fmt.Sprintf("request failed: %s %s", w.urls[string(e.RequestID)], e.ErrorText))
		}
	case *network.EventResponseReceived:
		if e.Response.Status >= 400 {
			w.heard = append(w.heard, fmt.Sprintf("answer %d: %s", e.Response.Status, e.Response.URL))
		}
	}
}

// expects names complaints that a test brings about, by a piece of them.
func (w *window) expects(pieces ...string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.expect = append(w.expect, pieces...)
}

func (w *window) report() {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, h := range w.heard {
		if !slices.ContainsFunc(w.expect, func(piece string) bool { return strings.Contains(h, piece) }) {
			w.t.Errorf("the browser complains: %s", h)
		}
	}
}

// finding is a script in every page: it finds what people see.
const finding = `window.e2e = {
  seen: (e) => { const b = e.getBoundingClientRect(), s = getComputedStyle(e); return b.width > 0 && b.height > 0 && s.visibility !== 'hidden' && e.checkVisibility(); },
  says: (e) => (e.getAttribute('aria-label') || e.innerText || e.textContent || '').replace(/\s+/g, ' ').trim(),
  // control finds a button, link, field or summary by its name, whole or from its beginning.
  control: (name, within = document) => {
    const fields = [...within.querySelectorAll('label')].filter((l) => e2e.says(l).startsWith(name)).flatMap((l) => l.htmlFor ? [document.getElementById(l.htmlFor)] : [...l.querySelectorAll('input, select, textarea')]);
    const all = [...within.querySelectorAll('button, a, summary, [role=button], [role=slider], input, textarea, select')].filter((e) => e2e.says(e).startsWith(name) && e2e.says(e) !== '');
    const found = [...all.filter((e) => e2e.says(e) === name), ...all, ...fields].filter((e) => e && e2e.seen(e));
    return document.querySelector('dialog[open]') ? found.find((e) => e.closest('dialog[open]')) ?? found[0] : found[0];
  },
  middle: (e) => { const b = e.getBoundingClientRect(); return { x: b.x + b.width / 2, y: b.y + b.height / 2 }; },
};`

// js runs a script in the window and returns its value.
func js[T any](w *window, script string) T {
	w.t.Helper()
	ctx, cancel := context.WithTimeout(w.ctx, patience)
	defer cancel()
	got, err := chromedp.Run(ctx, chromedp.Evaluate[T](script, chromedp.EvalAwaitPromise))
	if err != nil {
		w.t.Fatalf("%.300s: %s", script, err)
	}
	return got
}

// quoted writes a text as a script has it.
func quoted(text string) string {
	b, err := json.Marshal(text)
	if err != nil {
		panic(err) // a text is always written
	}
	return string(b)
}

// until waits for an expression to become true.
func (w *window) until(what, script string) {
	w.t.Helper()
	if !w.within(patience, script) {
		w.t.Fatalf("it never came to this: %s\nthe window shows: %.1500s", what, js[string](w, `[...document.querySelectorAll('.trouble, dialog[open], .state, main')].map(e2e.says).join(' / ')`))
	}
}

// within reports whether an expression becomes true in some time.
func (w *window) within(time_ time.Duration, script string) bool {
	w.t.Helper()
	for end := time.Now().Add(time_); ; time.Sleep(30 * time.Millisecond) {
		if js[bool](w, `!!(`+script+`)`) {
			return true
		}
		if time.Now().After(end) {
			return false
		}
	}
}

// sees waits for a text to be seen in the window.
func (w *window) sees(text string) {
	w.t.Helper()
	w.until("“"+text+"” is seen", `document.body.innerText.replace(/\s+/g, ' ').includes(`+quoted(text)+`)`)
}

// goes opens an address of the server, and waits for a screen's heading.
func (w *window) goes(s *server, hash, heading string) {
	w.t.Helper()
	do(w, chromedp.Navigate(s.url+"/"+hash))
	w.until("the screen "+hash, `[...document.querySelectorAll('main h1, main h2')].some((h) => h.textContent.includes(`+quoted(heading)+`))`)
}

// do does something in the window.
func do(w *window, steps ...chromedp.Action[chromedp.Void]) {
	w.t.Helper()
	ctx, cancel := context.WithTimeout(w.ctx, patience)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		w.t.Fatal(err)
	}
}

// size sets how large the window is, in CSS pixels, and how many pixels of the
// device one of them is.
func (w *window) size(width, height int64, scale float64) {
	w.t.Helper()
	do(w, chromedp.EmulateViewport(width, height, chromedp.EmulateScale(scale)))
}

// light sets whether the device wants light or dark pages.
func (w *window) light(scheme string) {
	w.t.Helper()
	feature := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
		{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: "reduce"},
	}}
	if _, err := chromedp.Call(w.ctx, emulation.SetEmulatedMedia, feature); err != nil {
		w.t.Fatal(err)
	}
}

type point struct{ X, Y float64 }

// press clicks on a control with the mouse. It has to be enabled and not
// covered.
func (w *window) press(name string) {
	w.t.Helper()
	find := `e2e.control(` + quoted(name) + `)`
	w.until("there is “"+name+"”, enabled", find+` && !`+find+`.disabled`)
	js[chromedp.Void](w, find+`.scrollIntoView({ block: 'center', inline: 'center' })`)
	w.until("“"+name+"” is not covered", `(() => { const e = `+find+`, m = e2e.middle(e), on = document.elementFromPoint(m.x, m.y); return on && (e.contains(on) || on.contains(e)); })()`)
	at := js[point](w, `e2e.middle(`+find+`)`)
	do(w, chromedp.MouseClickXY(at.X, at.Y))
}

// keys presses keys, one after the other: each rune is one.
func (w *window) keys(keys ...string) {
	w.t.Helper()
	for _, r := range strings.Join(keys, "") {
		w.key(r, 0)
	}
}

// ctrl presses a key with the control key held.
func (w *window) ctrl(key rune) {
	w.t.Helper()
	w.key(key, kb.ModifierCtrl)
}

// key presses a key and lets it go, in two events as keyboards do: a third one
// for the letter would come in spite of a handler that takes the key.
func (w *window) key(r rune, with kb.Modifier) {
	w.t.Helper()
	k, ok := kb.Keys[r]
	if !ok {
		w.t.Fatalf("there is no key for %q", r)
	}
	down := input.DispatchKeyEventParams{
		Type: kb.KeyDown, Key: k.Key, Code: k.Code, NativeVirtualKeyCode: k.Native, WindowsVirtualKeyCode: k.Windows, Modifiers: with.Int64(),
	}
	up := down
	up.Type = kb.KeyUp
	if k.Print && with == 0 {
		down.Text, down.UnmodifiedText = k.Text, k.Unmodified
	}
	for _, event := range []input.DispatchKeyEventParams{down, up} {
		if _, err := chromedp.Call(w.ctx, input.DispatchKeyEvent, event); err != nil {
			w.t.Fatal(err)
		}
	}
}

// focus puts the keyboard on the first element that fits a selector.
func (w *window) focus(selector string) {
	w.t.Helper()
	w.until(selector+" has the keyboard", `(() => { const e = document.querySelector(`+quoted(selector)+`); e?.focus(); return e && document.activeElement === e; })()`)
}

// mouse moves the mouse to a point, pressed or not, or presses or releases it
// there.
func (w *window) mouse(kind input.DispatchMouseEventType, at point, pressed bool) {
	w.t.Helper()
	button := input.MouseButtonNone
	buttons := int64(0)
	if pressed {
		button, buttons = input.MouseButtonLeft, 1
	}
	do(w, chromedp.MouseEvent(kind, at.X, at.Y, chromedp.ButtonType(button), func(p *input.DispatchMouseEventParams) { p.Buttons, p.ClickCount = buttons, 1 }))
}

// fill types a text into a field in place of what is in it.
func (w *window) fill(field, text string) {
	w.t.Helper()
	w.until("the field "+field+" is there", field)
	js[chromedp.Void](w, `(() => { const f = `+field+`; f.scrollIntoView({ block: 'center' }); f.focus(); f.select(); })()`)
	w.typed(text)
	w.until("the field holds "+text, field+`.value === `+quoted(text))
}

// typed types a text where the keyboard is.
func (w *window) typed(text string) {
	w.t.Helper()
	if _, err := chromedp.Call(w.ctx, input.InsertText, input.InsertTextParams{Text: text}); err != nil {
		w.t.Fatal(err)
	}
}
