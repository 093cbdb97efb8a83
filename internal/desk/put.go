package desk

import (
	"context"
	"fmt"
	"slices"

	"sallyport"
	"sallyport/internal/solve"
	"sallyport/internal/together"
)

// Put says where one stay is to be spent: of a unit, the one that begins after
// a serial or duty ("": its first).
type Put struct {
	Unit   sallyport.UnitID `json:"unit"`
	After  string           `json:"after"`
	Lane   sallyport.LaneID `json:"lane"`             // "": the unit is taken out of the plan, to the gate
	Place  int              `json:"place,omitempty"`  // of a first stay: from the mouth, 1 is nearest; 0: where it costs least
	Onward bool             `json:"onward,omitempty"` // the later stays that are spent in the same lane, too
}

func (p Put) placement() sallyport.Placement {
	return sallyport.Placement{Unit: p.Unit, After: p.After, Lane: p.Lane, Place: p.Place}
}

// PutHeld is what it would do to put a stay into a lane.
type PutHeld struct {
	Lane    sallyport.LaneID  `json:"lane"`
	Version int64             `json:"version"` // of the draft; filled in by who keeps it
	Fits    bool              `json:"fits"`    // nothing new is broken
	Cost    sallyport.Amount  `json:"cost"`    // more than now; less than 0: less
	Lost    int               `json:"lost"`    // value of entries lost more than now
	Says    []string          `json:"says"`    // worst first; empty: nothing changes
	Faults  []sallyport.Fault `json:"faults"`  // new ones

	NotChecked []string `json:"not_checked"`
}

// Hand is a plan taken in hand, with what it is worth now: made once for each
// state of a draft, then asked for one stay and lane after another. It may be
// used by one goroutine at a time.
type Hand struct {
	show   *sallyport.Show // complete
	ix     *sallyport.Index
	plan   *sallyport.Plan // nil: none yet
	hand   *solve.Hand
	faults []sallyport.Fault
	cost   sallyport.Cost
}

// NewHand takes a plan in hand; nil: nobody has a place yet.
func NewHand(show *sallyport.Show, plan *sallyport.Plan) (*Hand, error) {
	h := &Hand{show: sallyport.Complete(show), plan: plan}
	h.ix = sallyport.NewIndex(h.show)
	var err error
	if h.hand, err = solve.NewHand(h.show, plan); err != nil {
		return nil, err
	}
	if plan == nil {
		h.plan = h.laid(h.hand.Plan())
	}
	h.faults, h.cost = sallyport.Faults(h.show, h.plan), sallyport.Evaluate(h.show, h.plan)
	return h, nil
}

// laid gives the moves of a plan their times.
func (h *Hand) laid(plan *sallyport.Plan) *sallyport.Plan {
	start, _ := sallyport.StartState(h.show, plan)
	plan.Moves, _ = solve.Lay(h.show, start, plan.Moves) // what is late the judge will name
	return plan
}

// put returns the plan with a stay put elsewhere.
func (h *Hand) put(ask Put) (*sallyport.Plan, error) {
	plan, err := h.hand.Put(ask.placement(), ask.Onward)
	if err != nil {
		return nil, err
	}
	return h.laid(plan), nil
}

// Over says what it would do to put a stay into a lane: the plan is laid out
// anew with it and judged, nothing is kept.
func (h *Hand) Over(ask Put) (PutHeld, error) {
	held := PutHeld{Lane: ask.Lane, Says: []string{}, Faults: []sallyport.Fault{}, NotChecked: []string{"what delays would do to the plan"}}
	plan, err := h.put(ask)
	if err != nil {
		return held, err
	}
	var cost sallyport.Cost
	var priced together.Parts
	priced.Go(func() { cost = sallyport.Evaluate(h.show, plan) })
	faults := sallyport.Faults(h.show, plan)
	priced.Wait()
	held.Faults = append(held.Faults, newFaults(h.faults, faults)...)
	slices.SortStableFunc(held.Faults, func(a, b sallyport.Fault) int { return graveness(a.Rule) - graveness(b.Rule) })
	held.Fits = len(held.Faults) == 0
	held.Cost, held.Lost = cost.Total-h.cost.Total, cost.Lost-h.cost.Lost
	held.Says = append(held.Says, h.says(held.Faults, len(newFaults(faults, h.faults)), cost)...)
	return held, nil
}

// Hold is Over for a single question.
func Hold(_ context.Context, show *sallyport.Show, plan *sallyport.Plan, ask Put) (PutHeld, error) {
	h, err := NewHand(show, plan)
	if err != nil {
		return PutHeld{}, err
	}
	return h.Over(ask)
}

// Place returns the plan with a stay spent in another lane, its moves laid out
// anew. Nothing else is improved: all other stays keep their lanes, and what
// is wrong with it is said by the report, which leaves out what delays would
// do.
func Place(_ context.Context, show *sallyport.Show, plan *sallyport.Plan, ask Put) (*Answer, error) {
	h, err := NewHand(show, plan)
	if err != nil {
		return nil, err
	}
	placed, err := h.put(ask)
	if err != nil {
		return nil, err
	}
	return h.answer(placed), nil
}

// Refit lays a plan out for a show that has changed: everybody keeps his lane,
// new serials and duties are driven from where the vehicle stands, and who has
// no lane, or had one that is no more, stands at the gate: he is left out, and
// his entries are given up. A nil plan gives one in which all do.
func Refit(_ context.Context, show *sallyport.Show, plan *sallyport.Plan) (*Answer, error) {
	h, err := NewHand(show, nil)
	if err != nil {
		return nil, err
	}
	if plan == nil {
		return h.answer(h.plan), nil
	}
	if h.hand, err = solve.NewHand(h.show, plan); err != nil {
		return nil, err
	}
	return h.answer(h.laid(h.hand.Plan())), nil
}

// answer has a plan judged without what delays would do.
func (h *Hand) answer(plan *sallyport.Plan) *Answer {
	a := &Answer{Show: h.show, Plan: plan, Report: judged(h.show, h.ix, plan), Why: h.hand.Why(plan)}
	a.Bound = keptBound(h.show, plan)
	if a.Report.Cost.Lost > 0 || a.Bound > a.Report.Cost.Total {
		a.Bound = 0
	}
	return a
}

// newFaults returns the faults of now that before has not; of several alike as
// many as are more. Times and sentences do not make a fault another one, for
// they change with every move.
func newFaults(before, now []sallyport.Fault) []sallyport.Fault {
	had := map[string]int{}
	for _, f := range before {
		had[faultKey(f)]++
	}
	var list []sallyport.Fault
	for _, f := range now {
		if k := faultKey(f); had[k] > 0 {
			had[k]--
			continue
		}
		list = append(list, f)
	}
	return list
}

func faultKey(f sallyport.Fault) string {
	return fmt.Sprint(f.Rule, "|", f.Place, "|", f.Units, "|", f.Serial, "|", f.Entry)
}

// grave are the rules of which a breach is said first.
var grave = []sallyport.Rule{
	sallyport.RuleUnserved, sallyport.RuleMissing, sallyport.RuleBlocked, sallyport.RuleFit, sallyport.RuleOverfull, sallyport.RuleHome,
	sallyport.RuleReverse, sallyport.RuleStart, sallyport.RuleStandby, sallyport.RuleRoute, sallyport.RuleReserve,
}

func graveness(r sallyport.Rule) int {
	if i := slices.Index(grave, r); i >= 0 {
		return i
	}
	return len(grave)
}

// heldSaid is how many sentences are said of a stay held over a lane.
const heldSaid = 8

// says puts into words what would change, worst first: what is newly broken,
// what is put right, what costs more, dearest first, and what is spared.
func (h *Hand) says(faults []sallyport.Fault, mended int, cost sallyport.Cost) []string {
	lines := h.faultsSaid(faults)
	if mended > 0 {
		lines = append(lines, count(mended, "fault of now is put right.", "faults of now are put right."))
	}
	more, spared := newItems(h.cost, cost), newItems(cost, h.cost)
	for _, x := range more {
		lines = append(lines, fmt.Sprintf("%s more: %s", x.Amount, x.Why))
	}
	for _, x := range spared {
		lines = append(lines, fmt.Sprintf("%s less: %s", x.Amount, x.Why))
	}
	if n := len(lines) - heldSaid; n > 1 {
		lines = append(lines[:heldSaid], "And "+count(n, "thing more.", "things more."))
	}
	return lines
}

// faultsSaid says each fault once, with its first time and how often it comes
// again.
func (h *Hand) faultsSaid(faults []sallyport.Fault) []string {
	times, lines := map[string]int{}, []string{}
	for _, f := range faults {
		times[f.Sentence]++
	}
	for _, f := range faults {
		n := times[f.Sentence]
		if n == 0 {
			continue
		}
		times[f.Sentence] = 0
		text := fmt.Sprintf("%s (%s)", f.Sentence, f.Rule)
		if f.At != 0 {
			text = h.show.When(f.At) + ": " + text
		}
		if n > 1 {
			text += ", and " + count(n-1, "time", "times") + " more"
		}
		lines = append(lines, text)
	}
	return lines
}

// newItems returns the reasons of the cost now that it had not before, dearest
// first. Of one that has become dearer only the difference counts; whom else it
// concerns does not make it another.
func newItems(before, now sallyport.Cost) []sallyport.CostItem {
	had := map[string]sallyport.Amount{}
	key := func(term string, x *sallyport.CostItem) string {
		return fmt.Sprint(term, "|", x.Units[:min(1, len(x.Units))], "|", x.Serial, "|", x.Lane)
	}
	for _, t := range before.Terms {
		for i := range t.Items {
			had[key(t.Name, &t.Items[i])] += t.Items[i].Amount
		}
	}
	var list []sallyport.CostItem
	for _, t := range now.Terms {
		for _, x := range t.Items {
			k := key(t.Name, &x)
			known := min(had[k], x.Amount)
			had[k] -= known
			if x.Amount -= known; x.Amount > 0 {
				list = append(list, x)
			}
		}
	}
	slices.SortStableFunc(list, func(a, b sallyport.CostItem) int { return int(b.Amount - a.Amount) })
	return list
}
