package desk

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"sallyport"
)

// Reason says why one item of a plan's cost is there, and what would spare it.
type Reason struct {
	Term   string             `json:"term"`
	Item   sallyport.CostItem `json:"item"`
	Forced []string           `json:"forced"` // which vehicles and serials force it, a sentence each
	Cure   *Cure              `json:"cure,omitempty"`
	Tried  int                `json:"tried"` // changes that were looked at for it
}

// Cure is the cheapest change found that spares an item.
type Cure struct {
	Change string         `json:"change"` // in words: "Dunlin goes in serial sat-5 instead of sat-4"
	People []string       `json:"people"` // what it changes for whom
	After  sallyport.Cost `json:"-"`
	Lost   int            `json:"lost_after"`
	Total  int64          `json:"total_after"`
	Saves  int64          `json:"saves"`      // base less total after; negative when it costs more
	Term   int64          `json:"term_after"` // what is left of the item's own term
}

// Explanation is why a plan costs what it costs.
type Explanation struct {
	Cost     sallyport.Cost   `json:"cost"`
	Base     sallyport.Amount `json:"base,omitempty"` // what it costs planned again without changes, when cures were looked for
	Reasons  []Reason         `json:"reasons"`        // most expensive first within each term
	LeftOut  int              `json:"left_out"`       // items not looked at, because others cost more
	NotTried []string         `json:"not_tried"`      // kinds of change that were not looked for

	workable bool
}

// ExplainOptions bounds the work of Explain.
type ExplainOptions struct {
	PerTerm int      // items of each term that are explained; 0: 3
	Cures   bool     // also look for cures, by planning changed shows
	Planner *Planner // needed for cures
}

// explained lists the terms that are explained, and how.
var explained = []struct {
	term   string
	forced func(h *history, item sallyport.CostItem, i int) []string // i: its move, -1 for the start layout
}{
	{sallyport.TermAside, (*history).whyAside},
	{sallyport.TermReset, (*history).whyReset},
	{sallyport.TermCloseUp, (*history).whyCloseUp},
	{sallyport.TermHold, (*history).whyWait},
	{sallyport.TermEarly, (*history).whyWait},
	{sallyport.TermChange, (*history).whyChange},
	{sallyport.TermHome, (*history).whyHome},
	{sallyport.TermRisk, (*history).whyRisk},
	{sallyport.TermTogether, (*history).whyTogether},
}

// Explain says, for the dearest items of each term, which vehicles and serials
// force them and, when asked, the cheapest change of the order of events or
// the park that would spare them, found by planning again. report is called
// after each change that was looked at. The show must be complete.
func Explain(ctx context.Context, show *sallyport.Show, plan *sallyport.Plan, opt ExplainOptions, report func(done, all int)) (*Explanation, error) {
	if opt.PerTerm == 0 {
		opt.PerTerm = 3
	}
	h := newHistory(show, plan)
	x := &Explanation{Cost: sallyport.Evaluate(show, plan)}
	if opt.Cures {
		report := sallyport.Check(show, plan)
		x.workable = report.Workable()
	}
	for _, e := range explained {
		items := mergeAsides(x.Cost.Term(e.term))
		slices.SortStableFunc(items, func(a, b sallyport.CostItem) int { return cmp.Compare(b.Amount, a.Amount) })
		if len(items) > opt.PerTerm {
			x.LeftOut += len(items) - opt.PerTerm
			items = items[:opt.PerTerm]
		}
		for _, item := range items {
			x.Reasons = append(x.Reasons, Reason{Term: e.term, Item: item, Forced: e.forced(h, item, h.move(item))})
		}
	}
	if !opt.Cures {
		return x, nil
	}
	if plan.From != nil {
		x.NotTried = []string{"cures: the plan does not begin on the first morning"}
		return x, nil
	}
	x.NotTried = append([]string{"two changes at once (sallyport advise tries them)"}, notTried...)
	return x, findCures(ctx, h, x, opt.Planner, report)
}

// mergeAsides puts a move aside and its putting back into one item.
func mergeAsides(t sallyport.CostTerm) []sallyport.CostItem {
	if t.Name != sallyport.TermAside {
		return slices.Clone(t.Items)
	}
	var items []sallyport.CostItem
	for _, it := range t.Items {
		i := slices.IndexFunc(items, func(o sallyport.CostItem) bool {
			return o.Units[0] == it.Units[0] && o.Serial == it.Serial && o.Lane == it.Lane && o.At.Day() == it.At.Day()
		})
		if i >= 0 {
			items[i].Amount += it.Amount
			continue
		}
		items = append(items, it)
	}
	return items
}

// history is a plan as played, for looking back and ahead.
type history struct {
	show   *sallyport.Show
	plan   *sallyport.Plan
	ix     *sallyport.Index
	course *sallyport.Course
	byID   map[sallyport.MoveID]int
	exits  map[sallyport.UnitID][]int // moves out of lanes, in order
	enters map[sallyport.UnitID][]int // moves into lanes, in order
}

func newHistory(show *sallyport.Show, plan *sallyport.Plan) *history {
	h := &history{show: show, plan: plan, ix: sallyport.NewIndex(show), byID: map[sallyport.MoveID]int{}, exits: map[sallyport.UnitID][]int{}, enters: map[sallyport.UnitID][]int{}}
	start, _ := sallyport.StartState(show, plan)
	h.course = sallyport.NewCourse(h.ix, start, plan.Moves)
	for i, m := range plan.Moves {
		h.byID[m.ID] = i
		if m.Kind == sallyport.MoveAside || m.Kind == sallyport.MoveBack || m.Kind == sallyport.MoveCloseUp {
			continue
		}
		if m.From.Kind == sallyport.InLane {
			h.exits[m.Unit] = append(h.exits[m.Unit], i)
		}
		if m.To.Kind == sallyport.InLane {
			h.enters[m.Unit] = append(h.enters[m.Unit], i)
		}
	}
	return h
}

// move returns the number of an item's move, -1 when it has none.
func (h *history) move(item sallyport.CostItem) int {
	if i, ok := h.byID[item.Move]; ok {
		return i
	}
	return -1
}

// nextExit returns the first planned move after i that takes a unit out of a
// lane for good, -1 when there is none.
func (h *history) nextExit(u sallyport.UnitID, i int) int {
	for _, k := range h.exits[u] {
		if k > i {
			return k
		}
	}
	return -1
}

// lastEnter returns the last move before i that put a unit into a lane, -1
// when it has stood there from the start.
func (h *history) lastEnter(u sallyport.UnitID, i int) int {
	last := -1
	for _, k := range h.enters[u] {
		if k < i {
			last = k
		}
	}
	return last
}

// cameIn says since when a unit stands in its lane.
func (h *history) cameIn(u sallyport.UnitID, i int) string {
	k := h.lastEnter(u, i)
	if k < 0 {
		return "from the start"
	}
	m := h.plan.Moves[k]
	switch {
	case m.Kind == sallyport.MoveReset:
		return fmt.Sprintf("since the reset on %s", h.show.When(m.Start))
	case m.Serial != "":
		return fmt.Sprintf("since coming home from %s on %s", h.ix.SerialName(m.Serial), h.show.When(m.Start))
	}
	return fmt.Sprintf("since %s", h.show.When(m.Start))
}

// goesOut says when and what for a unit next leaves its lane.
func (h *history) goesOut(u sallyport.UnitID, i int) string {
	k := h.nextExit(u, i)
	if k < 0 {
		return "is not needed again"
	}
	m := h.plan.Moves[k]
	switch {
	case m.Kind == sallyport.MoveReset:
		return fmt.Sprintf("is moved again in the reset on %s", h.show.When(m.Start))
	case m.Kind == sallyport.MoveDepart:
		return fmt.Sprintf("leaves for good on %s", h.show.When(m.Start))
	case m.Serial != "":
		return fmt.Sprintf("is next needed for %s on %s", h.ix.SerialName(m.Serial), h.show.When(m.Start))
	case h.ix.Duty(m.Duty) != nil:
		return fmt.Sprintf("is next needed for %s on %s", h.ix.Duty(m.Duty).What, h.show.When(m.Start))
	}
	return fmt.Sprintf("next leaves on %s", h.show.When(m.Start))
}

// whyAside says whom a unit moved aside lets out, and how both came there.
func (h *history) whyAside(item sallyport.CostItem, i int) []string {
	if i < 0 {
		return nil
	}
	lane := h.plan.Moves[i].From.ID
	u := item.Units[0]
	var lines []string
	for k := i + 1; k < len(h.plan.Moves); k++ {
		m := h.plan.Moves[k]
		if m.Unit == u && m.Kind != sallyport.MoveAside {
			break
		}
		if m.From.Kind != sallyport.InLane || m.From.ID != lane || m.Kind == sallyport.MoveAside || m.Kind == sallyport.MoveCloseUp {
			continue
		}
		lines = append(lines, fmt.Sprintf("%s stands behind it in lane %s %s and %s", h.ix.UnitName(m.Unit), lane, h.cameIn(m.Unit, k), h.goesOut(m.Unit, k-1)))
	}
	return append(lines, fmt.Sprintf("%s stands in front %s and %s", h.ix.UnitName(u), h.cameIn(u, i), h.goesOut(u, i)))
}

// whyReset says what would have gone wrong had the unit stayed.
func (h *history) whyReset(item sallyport.CostItem, i int) []string {
	if i < 0 || h.plan.Moves[i].From.Kind != sallyport.InLane {
		return nil
	}
	m := h.plan.Moves[i]
	lines := h.clash(m.Unit, sallyport.LaneID(m.From.ID), h.course.Before(i), i)
	if len(lines) == 0 {
		lines = []string{fmt.Sprintf("%s stands in the way of others put right in the same reset, and %s", h.ix.UnitName(m.Unit), h.goesOut(m.Unit, i))}
	}
	return lines
}

// clash says who in a lane bars a unit standing there, or is barred by it,
// before the unit's next way out after move i.
func (h *history) clash(u sallyport.UnitID, lane sallyport.LaneID, s sallyport.State, i int) []string {
	if h.ix.Lane(lane).Kind != sallyport.DeadEnd {
		return nil
	}
	list := s.Lanes[lane]
	at := slices.IndexFunc(list, func(x sallyport.Standing) bool { return x.Unit == u })
	mine := h.nextExit(u, i)
	due := func(k int) int {
		if k < 0 {
			return len(h.plan.Moves)
		}
		return k
	}
	var lines []string
	for j, other := range list {
		if other.Unit == u {
			continue
		}
		theirs := h.nextExit(other.Unit, i)
		me, they := h.ix.UnitName(u), h.ix.UnitName(other.Unit)
		switch {
		case j < at && due(theirs) > due(mine):
			lines = append(lines, fmt.Sprintf("in lane %s %s would stand behind %s: %s %s, %s %s", lane, me, they, me, h.goesOut(u, i), they, h.goesOut(other.Unit, i)))
		case j > at && due(theirs) < due(mine):
			lines = append(lines, fmt.Sprintf("in lane %s %s would stand in front of %s: %s %s, %s %s", lane, me, they, they, h.goesOut(other.Unit, i), me, h.goesOut(u, i)))
		}
	}
	return lines
}

// whyChange says what bars the lane that a unit left.
func (h *history) whyChange(item sallyport.CostItem, i int) []string {
	if i < 0 {
		return nil
	}
	u := item.Units[0]
	for k := i - 1; k >= 0; k-- {
		if m := h.plan.Moves[k]; m.Unit == u && m.From.Kind == sallyport.InLane {
			return h.whyNot(u, sallyport.LaneID(m.From.ID), i)
		}
	}
	return nil
}

// whyHome says what bars the lane that a unit's people were told.
func (h *history) whyHome(item sallyport.CostItem, i int) []string {
	u := h.ix.Unit(item.Units[0])
	return h.whyNot(u.ID, u.Home.Lane, max(0, i))
}

// whyNot says why a unit could not come into a lane in place of move i.
func (h *history) whyNot(id sallyport.UnitID, laneID sallyport.LaneID, i int) []string {
	u, lane := h.ix.Unit(id), h.ix.Lane(laneID)
	s := h.course.Before(i)
	list := s.Lanes[laneID]
	var names []sallyport.UnitID
	free := lane.Length
	for _, x := range list {
		names = append(names, x.Unit)
		free -= h.ix.Unit(x.Unit).Length + lane.Gap
	}
	if free < u.Length && len(list) > 0 {
		return []string{fmt.Sprintf("lane %s is taken by %s then: %s has %s, %s are left", laneID, h.ix.Names(names), u.Name, u.Length.Metres(), max(0, free).Metres())}
	}
	trial := s
	trial.Lanes = map[sallyport.LaneID][]sallyport.Standing{laneID: slices.Insert(slices.Clone(list), 0, sallyport.Standing{Unit: id})}
	if lines := h.clash(id, laneID, trial, i); len(lines) > 0 {
		return lines
	}
	// The lane is free enough now; who comes there while the unit stands?
	end := h.nextExit(id, i)
	for k := i + 1; k < len(h.plan.Moves) && (end < 0 || k < end); k++ {
		m := h.plan.Moves[k]
		if m.To.Kind == sallyport.InLane && m.To.ID == string(laneID) && m.Kind != sallyport.MoveBack {
			return []string{fmt.Sprintf("lane %s is kept for %s, which comes there on %s and %s", laneID, h.ix.UnitName(m.Unit), h.show.When(m.Start), h.goesOut(m.Unit, k))}
		}
	}
	return []string{fmt.Sprintf("nothing in lane %s alone forces it; coming there was not cheaper as a whole", laneID)}
}

// whyWait says for what a unit waits on its line.
func (h *history) whyWait(item sallyport.CostItem, i int) []string {
	if i < 0 {
		return nil
	}
	m := h.plan.Moves[i]
	lane := m.To.ID
	if m.Kind == sallyport.MovePullOut {
		lane = m.From.ID
	}
	for _, w := range m.After {
		if k, ok := h.byID[w.Move]; ok && (h.plan.Moves[k].From.ID == lane || h.plan.Moves[k].To.ID == lane) {
			o := h.plan.Moves[k]
			return []string{fmt.Sprintf("it waits for the %s of %s at lane %s on %s", o.Kind, h.ix.UnitName(o.Unit), lane, h.show.When(o.Start))}
		}
	}
	return []string{item.Why}
}

// whyCloseUp says for whom room is made.
func (h *history) whyCloseUp(item sallyport.CostItem, i int) []string {
	if i < 0 {
		return nil
	}
	for k := i + 1; k < len(h.plan.Moves); k++ {
		if m := h.plan.Moves[k]; m.To.Kind == sallyport.InLane && m.To.ID == string(item.Lane) && m.Kind != sallyport.MoveCloseUp {
			return []string{fmt.Sprintf("it makes room in lane %s for %s, which comes there on %s and %s", item.Lane, h.ix.UnitName(m.Unit), h.show.When(m.Start), h.goesOut(m.Unit, k))}
		}
	}
	return nil
}

// whyRisk says how those came there who would be shut in.
func (h *history) whyRisk(item sallyport.CostItem, i int) []string {
	if i < 0 {
		return nil
	}
	var lines []string
	for _, u := range item.Units[1:] {
		lines = append(lines, fmt.Sprintf("%s stands behind it in lane %s %s and %s", h.ix.UnitName(u), item.Lane, h.cameIn(u, i), h.goesOut(u, i)))
	}
	return lines
}

// whyTogether has nothing to add: the item names the pair and its zones.
func (h *history) whyTogether(sallyport.CostItem, int) []string { return nil }
