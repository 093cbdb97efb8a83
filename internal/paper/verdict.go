package paper

import (
	"sort"
	"strings"

	"sallyport"
)

// verdict is the summary: sentences, and what they are about as tables.
type verdict struct {
	Workable   bool
	Sentences  []string // whether it is workable first
	Faults     []faultRow
	OrderAlone []faultRow
	Terms      []termRow
	Total      string
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
	report := b.in.Report
	v := verdict{
		Workable: report.Workable(), Sentences: b.in.Verdict, Total: report.Cost.Total.String(),
		Faults: b.faults(report.Faults), OrderAlone: b.faults(report.OrderAlone),
	}
	for _, t := range report.Cost.Terms {
		if t.Count != 0 || t.Amount != 0 {
			v.Terms = append(v.Terms, termRow{t.Name, t.Count, t.Amount.String()})
		}
	}
	return v
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
			p.Items = append(p.Items, reasonRow{it.Amount.String(), it.Why})
		}
		if rest := items[len(p.Items):]; len(rest) > 0 {
			var sum sallyport.Amount
			for _, it := range rest {
				sum += it.Amount
			}
			p.Rest = count(len(rest), "smaller reason", "smaller reasons") + " left out here, " + sum.String() + " together."
		}
		out = append(out, p)
	}
	return out
}
