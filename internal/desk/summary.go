package desk

import (
	"fmt"
	"slices"
	"strings"

	"sallyport"
)

// faultsSaid and swapsSaid are how many faults, and faults by order alone, a
// summary names; it says how many more there are.
const (
	faultsSaid = 12
	swapsSaid  = 4
)

// Summary says in sentences what the answer's plan is worth: the verdict, then
// what was not checked and what was assumed.
func (a *Answer) Summary() []string { return append(a.Verdict(), Footing(a.Report)...) }

// Verdict says in sentences whether the plan is workable; what is wrong, or
// what it costs and whether that is the best possible; what a delay can spoil.
func (a *Answer) Verdict() []string {
	faults := a.Report.Faults
	if a.Workable() {
		faults = a.besides()
	}
	lines := append(a.opening(), faultLines(a.Show, faults, faultsSaid)...)
	lines = append(lines, a.movesLine())
	lines = append(lines, a.costLines()...)
	lines = append(lines, a.boundLines()...)
	if len(a.Report.OrderAlone) > 0 {
		lines = append(lines, a.orderAlone()+":")
		lines = append(lines, faultLines(a.Show, a.Report.OrderAlone, swapsSaid)...)
	}
	return lines
}

// sentences is the verdict without its lists of faults and costs, for a page
// that has them as tables.
func (a *Answer) sentences() []string {
	lines := append(a.opening(), a.movesLine())
	lines = append(lines, a.boundLines()...)
	if len(a.Report.OrderAlone) > 0 {
		lines = append(lines, a.orderAlone()+".")
	}
	return lines
}

// opening is what comes first: whether the plan is workable, and why not.
func (a *Answer) opening() []string {
	lines := a.headline()
	if a.Interrupted {
		lines = append(lines, "The work was stopped early: this is the best plan found until then.")
	}
	return append(lines, a.Why...)
}

// boundLines says how far a workable plan can be from the best possible.
func (a *Answer) boundLines() []string {
	if !a.Report.Workable() {
		return nil
	}
	return []string{BoundSentence(a.Report.Cost.Total, a.Bound)}
}

// orderAlone counts what a delay could spoil; its end is the caller's.
func (a *Answer) orderAlone() string {
	return fmt.Sprintf("By order alone, %s where a delay could let two moves change places", count(len(a.Report.OrderAlone), "place is found", "places are found"))
}

// headline is the first sentence, or two.
func (a *Answer) headline() []string {
	lost, faults := len(a.Plan.Unserved), count(len(a.Report.Faults), "fault", "faults")
	switch {
	case a.Workable() && len(a.Report.Faults) > 0:
		return append(a.losses(), asideSentence(a.Plan))
	case !a.Report.Workable() && lost > 0:
		return []string{fmt.Sprintf("Not workable: %s given up, %s in all.", count(lost, "entry is", "entries are"), faults)}
	case !a.Report.Workable():
		return []string{"Not workable: " + faults + "."}
	}
	lines := []string{"Workable: every serial can be pulled out, formed up, brought home and put away."}
	return append(lines, asideSentence(a.Plan))
}

// asideSentence says how often somebody is moved aside.
func asideSentence(plan *sallyport.Plan) string {
	aside, back := 0, 0
	for _, m := range plan.Moves {
		switch m.Kind {
		case sallyport.MoveAside:
			aside++
		case sallyport.MoveBack:
			back++
		}
	}
	if aside == 0 {
		return "Nobody is moved aside."
	}
	return fmt.Sprintf("%s aside, %d put back.", count(aside, "move", "moves"), back)
}

// movesLine says how much the plan is.
func (a *Answer) movesLine() string {
	lanes, first, moves := 0, 0, 0
	for _, l := range a.Plan.Start {
		if len(l.Units) > 0 {
			lanes++
			first += len(l.Units)
		}
	}
	arrive := 0
	for _, m := range a.Plan.Moves {
		if len(m.Units) == 0 {
			moves++
		}
		if m.Kind == sallyport.MoveArrive {
			arrive++
		}
	}
	entries := 0
	for _, s := range a.Show.Serials {
		entries += len(s.Entries)
	}
	text := fmt.Sprintf("%s with %s in %s", count(len(a.Show.Serials), "serial", "serials"), count(entries, "entry", "entries"), count(len(a.Show.Days), "day", "days"))
	text += fmt.Sprintf("; %s in %s at the start", count(first, "stands", "stand"), count(lanes, "lane", "lanes"))
	if arrive > 0 {
		text += fmt.Sprintf(", %d more arrive", arrive)
	}
	return text + fmt.Sprintf("; %s in all.", count(moves, "move", "moves"))
}

// costLines gives the terms that cost anything.
func (a *Answer) costLines() []string {
	cost := a.Report.Cost
	var lines []string
	width := len("together")
	for _, t := range cost.Terms {
		if t.Count != 0 || t.Amount != 0 {
			width = max(width, len(t.Name))
		}
	}
	for _, t := range cost.Terms {
		if t.Count != 0 || t.Amount != 0 {
			lines = append(lines, fmt.Sprintf("  %-*s  %4d  %10s", width, t.Name, t.Count, t.Amount))
		}
	}
	if len(lines) == 0 {
		return []string{"It costs nothing."}
	}
	lines = append(lines, fmt.Sprintf("  %-*s        %10s", width, "together", cost.Total))
	return append([]string{"What it costs, in weighted people-seconds:"}, lines...)
}

// BoundSentence says how far a workable plan of this cost can be from the
// best possible.
func BoundSentence(total, bound sallyport.Amount) string {
	switch {
	case bound == total:
		return "It is the best possible for the rules and figures given."
	case bound <= 0 || bound > total:
		return "How much could still be saved is not known."
	}
	return fmt.Sprintf("No plan costs less than %s: at most %s (%d %%) could still be saved.", bound, total-bound, int64((total-bound)*100/total))
}

// faultLines gives faults as indented lines, the first said of them.
func faultLines(show *sallyport.Show, faults []sallyport.Fault, said int) []string {
	ix := sallyport.NewIndex(show)
	var lines []string
	for _, f := range faults[:min(len(faults), said)] {
		at := ""
		if f.At != 0 {
			at = show.When(f.At) + "  "
		}
		text := f.Sentence
		if text == "" {
			text = ix.Names(f.Units)
		}
		lines = append(lines, fmt.Sprintf("  %s%s (%s)", at, text, f.Rule))
	}
	if n := len(faults) - said; n > 0 {
		lines = append(lines, fmt.Sprintf("  … and %d more (%s); --json lists all", n, byRule(faults[said:])))
	}
	return lines
}

// byRule counts faults by rule, in the order in which the rules first come.
func byRule(faults []sallyport.Fault) string {
	counts := map[sallyport.Rule]int{}
	var rules []sallyport.Rule
	for _, f := range faults {
		if counts[f.Rule] == 0 {
			rules = append(rules, f.Rule)
		}
		counts[f.Rule]++
	}
	words := make([]string, len(rules))
	for i, r := range rules {
		words[i] = fmt.Sprintf("%s: %d", r, counts[r])
	}
	return strings.Join(words, ", ")
}

// Footing gives the lines with which every report ends: what was not checked
// and what was assumed.
func Footing(r sallyport.Report) []string {
	lines := append([]string{"Not checked:"}, indented(r.NotChecked)...)
	lines = append(lines, "Assumed:")
	return append(lines, indented(assumedWords(r.Assumed))...)
}

// FootWords gives the same in two paragraphs, for below a picture.
func FootWords(r sallyport.Report) []string {
	said := func(words []string) string {
		if len(words) == 0 {
			return "nothing."
		}
		return strings.Join(words, "; ") + "."
	}
	return []string{"Not checked: " + said(r.NotChecked), "Assumed: " + said(assumedWords(r.Assumed))}
}

// indented returns words as lines under a heading, "nothing" when there are
// none.
func indented(words []string) []string {
	if len(words) == 0 {
		return []string{"  nothing"}
	}
	lines := make([]string, len(words))
	for i, w := range words {
		lines[i] = "  " + w
	}
	return lines
}

// assumedWords gives the assumptions in short, those of one field and figure
// together.
func assumedWords(assumed []sallyport.Assumption) []string {
	const said = 14
	var words []string
	for _, a := range assumed {
		text := strings.TrimSpace(fmt.Sprintf("%s %s %s", a.Subject, a.Field, a.Value))
		if !slices.Contains(words, text) {
			words = append(words, text)
		}
	}
	if n := len(words) - said; n > 0 {
		words = append(words[:said], "and "+count(n, "figure", "figures")+" more; --json lists all")
	}
	return words
}
