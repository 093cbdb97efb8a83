package paper

import (
	"sort"
	"strconv"
	"strings"

	"sallyport"
)

// verdict is the summary in words.
type verdict struct {
	Workable   bool
	Headline   string
	Sentences  []string
	Faults     []faultRow
	OrderAlone []faultRow
	Terms      []termRow
	Total      string
	Bound      string
}

// faultRow is one fault.
type faultRow struct{ When, Rule, Sentence string }

// termRow is one term of the cost.
type termRow struct {
	Name   string
	Count  int
	Amount string
}

// verdict says what the plan is worth.
func (b *builder) verdict() verdict {
	report, cost := b.in.Report, b.in.Report.Cost
	v := verdict{Workable: report.Workable(), Total: amount(cost.Total)}
	if v.Workable {
		v.Headline = "Workable"
		v.Sentences = append(v.Sentences, "No rule is broken: every serial can be pulled out, formed up, brought home and put away.")
	} else {
		v.Headline = "Not workable"
		v.Sentences = append(v.Sentences, count(len(report.Faults), "fault", "faults")+" found; they are listed below.")
	}
	if n := len(b.plan.Unserved); n > 0 {
		v.Sentences = append(v.Sentences, count(n, "entry is", "entries are")+" not served, worth "+strconv.Itoa(cost.Lost)+" in all.")
	}
	if n := len(b.where(func(m sallyport.Move) bool { return m.Kind == sallyport.MoveAside })); n > 0 {
		v.Sentences = append(v.Sentences, count(n, "move", "moves")+" aside.")
	} else {
		v.Sentences = append(v.Sentences, "Nobody is moved aside.")
	}
	if v.Workable {
		v.Bound = boundWords(cost.Total, b.in.Bound)
		if len(report.OrderAlone) > 0 {
			v.Sentences = append(v.Sentences, "By order alone, "+count(len(report.OrderAlone), "place is", "places are")+
				" found where a delay could let two moves swap.")
		}
	}
	for _, t := range cost.Terms {
		if t.Count != 0 || t.Amount != 0 {
			v.Terms = append(v.Terms, termRow{t.Name, t.Count, amount(t.Amount)})
		}
	}
	v.Faults, v.OrderAlone = b.faults(report.Faults), b.faults(report.OrderAlone)
	return v
}

// boundWords says how far from the best possible a workable plan can be.
func boundWords(total, bound sallyport.Amount) string {
	switch {
	case bound == total:
		return "Best possible for the rules and figures given: no plan costs less."
	case bound <= 0:
		return "How much could still be saved is not known: no bound was computed."
	case bound > total:
		return "The bound given, " + amount(bound) + ", lies above the cost and so says nothing."
	}
	percent := (total - bound) * 100 / total
	return "No plan costs less than " + amount(bound) + ": at most " + amount(total-bound) +
		" (" + strconv.FormatInt(int64(percent), 10) + " %) could still be saved."
}

// faults returns faults as rows.
func (b *builder) faults(list []sallyport.Fault) []faultRow {
	out := make([]faultRow, len(list))
	for i, f := range list {
		row := faultRow{Rule: string(f.Rule), Sentence: f.Sentence}
		if f.At != 0 {
			row.When = b.shortDay(f.At) + " " + f.At.Clock()
		}
		if row.Sentence == "" {
			row.Sentence = strings.Join(b.unitNames(f.Units), ", ")
		}
		out[i] = row
	}
	return out
}

// reasonPart is the reasons of one term of the cost, dearest first.
type reasonPart struct {
	Name  string
	Items []reasonRow
	Rest  string // what is left out
}

// reasonRow is one reason.
type reasonRow struct{ Amount, Why string }

// reasonsShown is how many reasons of a term are printed.
const reasonsShown = 12

// reasons returns the dearest reasons of each term.
func reasons(cost sallyport.Cost) []reasonPart {
	var out []reasonPart
	for _, t := range cost.Terms {
		if len(t.Items) == 0 {
			continue
		}
		items := append([]sallyport.CostItem(nil), t.Items...)
		sort.SliceStable(items, func(i, j int) bool { return items[i].Amount > items[j].Amount })
		p := reasonPart{Name: t.Name}
		for _, it := range items[:min(len(items), reasonsShown)] {
			p.Items = append(p.Items, reasonRow{amount(it.Amount), it.Why})
		}
		if rest := items[len(p.Items):]; len(rest) > 0 {
			var sum sallyport.Amount
			for _, it := range rest {
				sum += it.Amount
			}
			p.Rest = count(len(rest), "smaller reason", "smaller reasons") + " left out here, " + amount(sum) + " together."
		}
		out = append(out, p)
	}
	return out
}
