package desk

import (
	"fmt"
	"strings"

	"sallyport"
)

// Words puts an explanation into sentences. Of one that was stopped nothing is
// said of changes that were only looked at.
func (x *Explanation) Words(stopped bool) []string {
	if len(x.Reasons) == 0 {
		return []string{"The plan costs nothing, so there is nothing to explain."}
	}
	lines := []string{fmt.Sprintf("The plan costs %s weighted people-seconds. The dearest reasons:", x.Cost.Total)}
	term := ""
	for _, r := range x.Reasons {
		if r.Term != term {
			term = r.Term
			lines = append(lines, "", strings.ToUpper(term[:1])+term[1:]+", "+x.Cost.Term(term).Amount.String()+" in all")
		}
		lines = append(lines, fmt.Sprintf("  %s (%s)", r.Item.Why, r.Item.Amount))
		for _, f := range r.Forced {
			if f == r.Item.Why {
				continue // said already
			}
			lines = append(lines, "    because "+f)
		}
		switch {
		case r.Cure != nil:
			lines = append(lines, fmt.Sprintf("    spared when: %s; the plan then costs %s, %s%s", r.Cure.Change, r.Cure.After.Total, difference(r.Cure.Saves), worth(r.Cure.Saves)))
		case r.Tried > 0 && stopped:
			lines = append(lines, fmt.Sprintf("    nothing that spares it was found before the end; %d changes were looked at", r.Tried))
		case r.Tried > 0:
			lines = append(lines, fmt.Sprintf("    none of the %d changes tried spares it", r.Tried))
		}
	}
	if x.LeftOut > 0 {
		lines = append(lines, "", fmt.Sprintf("%d cheaper reasons are left out.", x.LeftOut))
	}
	if len(x.NotTried) > 0 {
		lines = append(lines, "Not tried: "+strings.Join(x.NotTried, "; ")+".")
	}
	return lines
}

// difference says what a change saves.
func difference(saves int64) string {
	switch {
	case saves > 0:
		return sallyport.Amount(saves).String() + " less"
	case saves < 0:
		return sallyport.Amount(-saves).String() + " more"
	}
	return "the same"
}

// worth warns of a cure that costs more than it spares.
func worth(saves int64) string {
	if saves < 0 {
		return " (dearer than it was: not worth it by itself)"
	}
	return ""
}
