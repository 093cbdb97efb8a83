package e2e

import "testing"

// TestPlanStopPlan looks for a plan, watches how far it is, stops it, and looks
// again.
func TestPlanStopPlan(t *testing.T) {
	s, w := serve(t), open(t)
	w.goes(s, "#/1/plan", "Plan")
	const field = `[...document.querySelectorAll('section')].find((s) => s.querySelector('h2')?.textContent === 'Look for a better plan')`
	w.until("the part that looks for plans", field)
	w.fill(field+`.querySelector('input[inputmode=numeric]')`, "300")
	w.press("Look for a plan")
	w.until("it says what it is doing", field+`.querySelector('[role=progressbar]')`)
	const line = `(` + field + `.querySelector('.progress p')?.innerText ?? '')`
	w.until("it says what it has so far", `/ steps/.test(`+line+`)`)
	said := js[string](w, line)
	w.until("it goes on saying so", line+` !== '' && `+line+` !== `+quoted(said))
	w.press("Stop, and keep what there is")
	w.until("it has stopped", field+`.innerText.includes('Stopped: this is what there was by then')`)
	after := s.table(t)
	if !after.Workable {
		t.Error("after stopping the plan is not workable any more")
	}
	w.fill(field+`.querySelector('input[inputmode=numeric]')`, "2")
	w.press("Look again")
	w.until("it is at work again", field+`.querySelector('[role=progressbar]') || /Done|in the draft|stays/.test(`+field+`.innerText)`)
	w.until("it has ended", `!`+field+`.querySelector('[role=progressbar]')`)
	w.until("it says what became of it", `/The plan is in the draft|Nothing better than the present plan/.test(`+field+`.innerText)`)
	if got := s.table(t); !got.Workable || got.Version < after.Version {
		t.Errorf("version %d, workable %t", got.Version, got.Workable)
	}
}
