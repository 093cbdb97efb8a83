package desk

import (
	"fmt"
	"slices"
	"strings"

	"sallyport"
)

// Row is one plan among several, side by side.
type Row struct {
	Variant     string           `json:"variant"`
	Workable    bool             `json:"workable"`
	Faults      int              `json:"faults"`
	Lost        int              `json:"lost"`         // value of entries given up
	Aside       int              `json:"moves_aside"`  // without putting back
	Resets      int              `json:"reset_moves"`  // vehicles lifted outside the serials
	Changes     int              `json:"lane_changes"` // homecomings into another lane
	HeldMinutes int64            `json:"held_back_min"`
	Risk        sallyport.Amount `json:"shut_in_risk"`
	Total       sallyport.Amount `json:"total"`
	Bound       sallyport.Amount `json:"bound"` // no plan costs less; 0: not known
}

// RowOf returns the row of an answer. Minutes held back include early
// pull-outs; parts of a minute count whole.
func RowOf(a *Answer, name string) Row {
	cost := a.Report.Cost
	aside, reset := asked(a)
	return Row{
		Variant: name, Workable: a.Report.Workable(), Faults: len(a.Report.Faults), Lost: cost.Lost, Aside: aside, Resets: reset,
		Changes: cost.Term(sallyport.TermChange).Count, HeldMinutes: heldMinutes(a), Risk: cost.Term(sallyport.TermRisk).Amount,
		Total: cost.Total, Bound: a.Bound,
	}
}

// leads reports whether some figure of the row is lower than in all others.
func (r Row) leads(others []Row) bool {
	for _, figure := range []func(r Row) int64{
		func(r Row) int64 { return int64(r.Aside) }, func(r Row) int64 { return int64(r.Resets) }, func(r Row) int64 { return int64(r.Changes) },
		func(r Row) int64 { return r.HeldMinutes }, func(r Row) int64 { return int64(r.Risk) },
	} {
		if !slices.ContainsFunc(others, func(o Row) bool { return figure(o) <= figure(r) }) {
			return true
		}
	}
	return false
}

// cheapest reports whether the row costs less in all than every other.
func (r Row) cheapest(others []Row) bool {
	return !slices.ContainsFunc(others, func(o Row) bool { return o.Total <= r.Total })
}

// heldMinutes is how long vehicles wait on a line, held back or early.
func heldMinutes(a *Answer) int64 {
	var wait sallyport.Seconds
	serials := map[sallyport.SerialID]*sallyport.Serial{}
	for i := range a.Show.Serials {
		serials[a.Show.Serials[i].ID] = &a.Show.Serials[i]
	}
	for _, m := range a.Plan.Moves {
		s := serials[m.Serial]
		switch {
		case s == nil:
		case m.Kind == sallyport.MoveReturn && m.Nominal > s.Back():
			wait += sallyport.Seconds(m.Nominal - s.Back())
		case m.Kind == sallyport.MovePullOut:
			from := m.Start
			if m.Nominal != 0 {
				from = m.Nominal
			}
			wait += max(0, sallyport.Seconds(s.FormFrom-from))
		}
	}
	return (int64(wait) + 59) / 60
}

// columns are the columns of a table of variants after their number.
var columns = []struct {
	head string
	cell func(r Row) string
}{
	{"workable", func(r Row) string {
		switch {
		case r.Workable:
			return "yes"
		case r.Faults == 1:
			return "no, 1 fault"
		}
		return fmt.Sprintf("no, %d faults", r.Faults)
	}},
	{"aside", func(r Row) string { return fmt.Sprint(r.Aside) }},
	{"resets", func(r Row) string { return fmt.Sprint(r.Resets) }},
	{"lane changes", func(r Row) string { return fmt.Sprint(r.Changes) }},
	{"held min", func(r Row) string { return fmt.Sprint(r.HeldMinutes) }},
	{"risk", func(r Row) string { return r.Risk.String() }},
	{"total", func(r Row) string { return r.Total.String() }},
	{"bound", func(r Row) string {
		switch {
		case !r.Workable:
			return "-" // it says nothing of a plan that breaks rules
		case r.Bound == 0 && r.Total > 0:
			return "not known"
		}
		return r.Bound.String()
	}},
}

// VariantTable sets variants side by side, a line each, numbered from first
// on, with their names under it.
func VariantTable(rows []Row, first int) []string {
	cells := [][]string{{""}}
	for _, c := range columns {
		cells[0] = append(cells[0], c.head)
	}
	for i, r := range rows {
		line := []string{fmt.Sprint(first + i)}
		for _, c := range columns {
			line = append(line, c.cell(r))
		}
		cells = append(cells, line)
	}
	widths := make([]int, len(cells[0]))
	for _, line := range cells {
		for i, c := range line {
			widths[i] = max(widths[i], len(c))
		}
	}
	var lines []string
	for _, line := range cells {
		var b strings.Builder
		for i, c := range line {
			fmt.Fprintf(&b, "  %*s", widths[i], c)
		}
		lines = append(lines, strings.TrimRight(b.String(), " "))
	}
	for i, r := range rows {
		lines = append(lines, fmt.Sprintf("  %*d: %s", widths[0], first+i, r.Variant))
	}
	return lines
}

// MovedSince returns the stays that a plan spends in another lane than an
// earlier one, in the order of the plan. Stays that the earlier plan does not
// have are left out.
func MovedSince(plan, earlier *sallyport.Plan) []Moved {
	was := sallyport.SketchOf(earlier)
	var list []Moved
	for _, p := range sallyport.SketchOf(plan) {
		i := slices.IndexFunc(was, func(o sallyport.Placement) bool { return o.Unit == p.Unit && o.After == p.After })
		if i >= 0 && was[i].Lane != p.Lane {
			list = append(list, Moved{Unit: p.Unit, After: p.After, Was: was[i].Lane, Now: p.Lane})
		}
	}
	return list
}

// Moved is a stay in another lane than before.
type Moved struct {
	Unit  sallyport.UnitID `json:"unit"`
	After string           `json:"after,omitempty"` // the serial, duty or reset after which it begins; empty: from the start
	Was   sallyport.LaneID `json:"was"`
	Now   sallyport.LaneID `json:"now"`
}

// titleOf names a set of changes.
func titleOf(changes []Change) string {
	var words []string
	for _, c := range changes {
		words = append(words, c.What)
	}
	return strings.Join(words, "; ")
}
