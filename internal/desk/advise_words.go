package desk

import (
	"fmt"
	"strings"

	"sallyport"
)

// Planned is a show, as given, with its plan.
type Planned struct {
	Show   *sallyport.Show
	Answer *Answer
}

// Variants returns the shows and plans that the table has from number 1 on:
// the sets of changes, then the variants made by hand.
func (x *Advised) Variants() []Planned {
	var list []Planned
	for _, s := range x.Sets {
		list = append(list, Planned{s.Show, s.Answer})
	}
	return append(list, x.made...)
}

// Words says in sentences what was found, with all variants side by side.
func (x *Advised) Words() []string {
	rows := []Row{x.BaseRow}
	for i := range x.Sets {
		row := x.Sets[i].Row
		row.Variant = titleOf(x.Sets[i].Changes)
		rows = append(rows, row)
	}
	rows = append(rows, x.Also...)
	lines := []string{x.opening()}
	lines = append(lines, VariantTable(rows, 0)...)
	much := false
	for i := range x.Sets {
		lines = append(lines, "")
		if x.Sets[i].Heavy && !much {
			much = true
			lines = append(lines, "What asks much: the public misses something, or there must be more ground.")
		}
		lines = append(lines, x.Sets[i].words(i+1)...)
	}
	lines = append(lines, "", x.worked())
	if x.Searched() {
		lines = append(lines, "Not tried: "+strings.Join(x.NotTried, "; ")+".")
	}
	return append(lines, "Every variant is a new order of events or park: agree it with those it concerns before it is published.")
}

// Searched reports whether changes were looked for.
func (x *Advised) Searched() bool { return x.Looked > 0 }

// opening is the first sentence.
func (x *Advised) opening() string {
	text := fmt.Sprintf("The plan costs %s weighted people-seconds", x.Present.Total)
	if d := x.Present.Total - x.BaseRow.Total; x.Present.Lost == x.BaseRow.Lost && d > 0 {
		text += fmt.Sprintf("; planned again without any change, %s (row 0), from which savings are counted", x.BaseRow.Total)
	}
	switch {
	case len(x.Sets) > 0 && !x.BaseRow.Workable:
		return fmt.Sprintf("The plan is not workable: %s. What mends it or some of it, fewest changes first:", count(x.BaseRow.Faults, "fault", "faults"))
	case x.Searched() && !x.BaseRow.Workable:
		return fmt.Sprintf("The plan is not workable: %s. No change that was tried mends any.", count(x.BaseRow.Faults, "fault", "faults"))
	case len(x.Sets) > 0:
		return text + ". Fewest changes first:"
	case x.Searched():
		return text + ". No change that was tried brings it down."
	}
	return text + "."
}

// worked says how much was looked at.
func (x *Advised) worked() string {
	text := fmt.Sprintf("Looked at %s, planned %d of them to the end", count(x.Looked, "set of changes", "sets of changes"), x.Planned)
	if x.LeftOut > 0 {
		text += fmt.Sprintf("; %s for which less of the cost speaks left out, a longer --seconds tries more", count(x.LeftOut, "change", "changes"))
	}
	if x.Interrupted {
		return text + ". The work was stopped early: more may be found."
	}
	return text + "."
}

// words describes one set of changes.
func (s *Advice) words(n int) []string {
	lines := []string{fmt.Sprintf("%d, %s, %s: %s", n, count(len(s.Changes), "change", "changes"), s.gain(), s.spared())}
	for _, c := range s.Changes {
		lines = append(lines, "  "+c.What)
		for _, p := range c.People {
			lines = append(lines, "    "+p)
		}
	}
	if s.Stays == 0 {
		return append(lines, "  Nobody stands in another lane than now.")
	}
	return append(lines, fmt.Sprintf("  %s in another lane than now.", count(s.Stays, "stay is spent", "stays are spent")))
}

// gain says what a set is good for.
func (s *Advice) gain() string {
	switch {
	case s.Mends > 0 && s.Row.Workable:
		return "makes the plan workable"
	case s.Mends > 0:
		return fmt.Sprintf("%s fewer, %s left", count(s.Mends, "fault", "faults"), count(s.Row.Faults, "fault", "faults"))
	}
	return "saves " + sallyport.Amount(s.Saves).String()
}

// spared says in which terms a set saves and costs.
func (s *Advice) spared() string {
	var less, more []string
	for _, t := range s.Terms {
		if d := sallyport.Amount(t.Before - t.After); d > 0 {
			less = append(less, fmt.Sprintf("%s %s", d, t.Term))
		} else {
			more = append(more, fmt.Sprintf("%s %s", -d, t.Term))
		}
	}
	text := "less " + strings.Join(less, ", ")
	if len(less) == 0 {
		text = "no term of the cost less"
	}
	if len(more) > 0 {
		text += "; more " + strings.Join(more, ", ")
	}
	return text
}
