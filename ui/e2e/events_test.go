package e2e

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// timeCell is the selector of the cell in which the first serial of the day
// shown enters the arena.
const timeCell = `[role=grid] tbody tr.serial [data-cell="0-3"]`

// setsTime types a time into that cell, as into a spreadsheet, and waits until
// it is kept.
func setsTime(w *window, text, shows string) {
	w.t.Helper()
	w.until("the cell is there", `document.querySelector(`+quoted(timeCell)+`)?.getAttribute('aria-label').startsWith('Arena in')`)
	w.focus(timeCell)
	w.keys(text)
	w.until("what is typed stands in the cell", `document.activeElement.tagName === 'INPUT' && document.activeElement.value === `+quoted(text))
	w.keys(kb.Enter)
	w.until("the cell shows "+shows, `document.querySelector(`+quoted(timeCell)+`).textContent.trim().startsWith(`+quoted(shows)+`)`)
}

// TestEditPublishCompare changes times as in a spreadsheet, publishes twice,
// and looks at two issues side by side.
func TestEditPublishCompare(t *testing.T) {
	s, w := serve(t), open(t)
	w.goes(s, "#/1/events", "Order of events")
	setsTime(w, "1021", "10:21")
	w.sees("Kept: Opening column")
	w.goes(s, "#/1/issues", "Issues")
	w.fill(`document.querySelector('textarea')`, "for everybody")
	w.press("Publish Issue 1")
	w.sees("Issue 1 is published.")
	w.goes(s, "#/1/events", "Order of events")
	setsTime(w, "+10", "10:31")
	w.sees("Kept: Opening column")
	w.until("whole serials move", `document.querySelector('[data-cell="0-4"]').textContent.trim().startsWith('10:55')`)
	w.focus(timeCell)
	w.keys("9x", kb.Enter)
	w.sees("“9x” is not a time.")
	w.keys(kb.Escape)
	w.goes(s, "#/1/issues", "Issues")
	w.fill(`document.querySelector('textarea')`, "ten minutes later")
	w.press("Publish Issue 2")
	w.sees("Issue 2 is published.")
	w.sees("From Issue 1 to Issue 2")
	const row = `[...document.querySelectorAll('main table tr')].filter((r) => /arena in/i.test(r.innerText) && r.innerText.includes('10:21') && r.innerText.includes('10:31'))`
	w.until("the comparison has the time", row+`.length > 0`)
	if got := s.table(t); got.Issued != 2 {
		t.Errorf("%d issues are published, not 2", got.Issued)
	}
	js[chromedp.Void](w, `(() => { const [a, b] = document.querySelectorAll('main form.row select'); for (const [s, v] of [[a, 'issue:2'], [b, 'issue:1']]) { s.value = v; s.dispatchEvent(new Event('change', { bubbles: true })); } })()`)
	w.press("Compare")
	w.sees("From Issue 2 to Issue 1")
	w.until("the other way round was and is change places", fmt.Sprintf(`%s.some((r) => r.innerText.indexOf('10:31') < r.innerText.indexOf('10:21'))`, row))
}
