package desk

import (
	"slices"

	"sallyport"
	"sallyport/internal/solve"
)

// Problem is a problem of a show or of a file: what, where, and what to do.
type Problem struct {
	Message string `json:"message"`
	Hint    string `json:"hint,omitempty"`
	Where   string `json:"where,omitempty"`   // "Serials C12"
	Subject string `json:"subject,omitempty"` // "vehicle Dunlin"
	Field   string `json:"field,omitempty"`
}

// problemOf returns a problem of a show as the table has it.
func problemOf(p sallyport.Problem) Problem {
	return Problem{Message: p.Message, Hint: p.Advice, Subject: p.Subject, Field: p.Field}
}

// Step is what undo would take back, or redo make again.
type Step struct {
	What    string `json:"what"`
	Author  string `json:"author"`
	Version int64  `json:"version"`
}

// Table is all that the planning table shows of a draft or of an issue. What
// says whose it is and which (ID to Issued, Undo, Redo) is filled in by who
// keeps it.
type Table struct {
	ID       int64  `json:"id"`
	Name     string `json:"name"`
	Version  int64  `json:"version"`
	Author   string `json:"author"`
	Saved    string `json:"saved"`
	Archived bool   `json:"archived,omitempty"`
	Issue    int    `json:"issue,omitempty"` // when it is an issue
	Issued   int    `json:"issued"`          // number of the newest issue

	Show     *sallyport.Show `json:"show"`     // as given
	Complete *sallyport.Show `json:"complete"` // with every gap filled
	Plan     *sallyport.Plan `json:"plan,omitempty"`
	Problems []Problem       `json:"problems"` // contradictions; then nothing is planned
	Notes    []string        `json:"notes"`    // worth a look in the show

	Workable     bool                   `json:"workable"`
	BestPossible bool                   `json:"best_possible"`
	Bound        sallyport.Amount       `json:"bound"` // 0: not known
	Verdict      []string               `json:"verdict"`
	Why          []string               `json:"why,omitempty"`
	Faults       []sallyport.Fault      `json:"faults"`
	OrderAlone   []sallyport.Fault      `json:"order_alone"`
	Cost         *sallyport.Cost        `json:"cost,omitempty"`
	NotChecked   []string               `json:"not_checked"`
	Assumed      []sallyport.Assumption `json:"assumed"`

	Stays []Stay `json:"stays"`
	Film  *Film  `json:"film,omitempty"`
	Undo  *Step  `json:"undo,omitempty"`
	Redo  *Step  `json:"redo,omitempty"`
}

// TableOptions says how a table is made.
type TableOptions struct {
	Bound  sallyport.Amount // no plan that serves as much costs less; 0: the one kept with the plan, if it is still of this show
	Why    []string         // why no complete plan was found; none: who has no place is said
	Delays bool             // also look at what delays would do, which takes ten times as long
	Stop   func() bool      // when to give that up; nil: never
}

// NewTable returns the table of a show as given and its plan, which may be
// nil. A show that contradicts itself gets a table, too: what stands where by
// its plan, not judged.
func NewTable(show *sallyport.Show, plan *sallyport.Plan, o TableOptions) *Table {
	t := &Table{
		Name: show.Name, Show: show, Plan: plan, Problems: []Problem{}, Notes: []string{}, Why: o.Why,
		Faults: []sallyport.Fault{}, OrderAlone: []sallyport.Fault{}, NotChecked: []string{},
	}
	for _, p := range sallyport.Validate(show) {
		if p.Severity == sallyport.Stop {
			t.Problems = append(t.Problems, problemOf(p))
		} else {
			t.Notes = append(t.Notes, p.String())
		}
	}
	t.Complete = sallyport.Complete(show)
	played := t.Complete
	if plan != nil {
		now, problems := sallyport.ShowWith(t.Complete, plan.Happened)
		if len(problems) == 0 {
			played = now
		}
		for _, p := range problems {
			t.Problems = append(t.Problems, problemOf(p))
		}
	}
	ix := sallyport.NewIndex(played)
	t.Assumed = append([]sallyport.Assumption{}, played.Assumed...)
	t.Stays = staysOf(ix, plan)
	if plan != nil && len(t.Why) == 0 {
		t.Why = notPlaced(ix, t.Stays)
	}
	if plan != nil {
		t.Film = filmOf(played, ix, plan)
	}
	t.judge(played, ix, o)
	return t
}

// judge fills in what the judge says of the plan.
func (t *Table) judge(show *sallyport.Show, ix *sallyport.Index, o TableOptions) {
	switch {
	case len(t.Problems) > 0:
		t.Verdict = []string{"Nothing can be planned: " + count(len(t.Problems), "thing is", "things are") + " to be put right first."}
		t.NotChecked = append(t.NotChecked, "the plan, while something is to be put right")
		return
	case t.Plan == nil:
		t.Verdict = []string{"Not planned yet."}
		t.NotChecked = append(t.NotChecked, sallyport.NotChecked(ix)...)
		return
	}
	a := &Answer{Show: show, Plan: t.Plan, Report: judged(show, ix, t.Plan)}
	if o.Delays {
		stop := o.Stop
		if stop == nil {
			stop = func() bool { return false }
		}
		a.Report = sallyport.CheckUntil(show, t.Plan, stop)
	}
	if a.Bound = o.Bound; a.Bound == 0 {
		a.Bound = keptBound(show, t.Plan)
	}
	if a.Report.Cost.Lost > 0 || a.Bound > a.Report.Cost.Total {
		a.Bound = 0 // of plans that serve all and make only the planner's moves
	}
	t.Workable, t.BestPossible, t.Bound = a.Workable(), a.BestPossible(), a.Bound
	t.Verdict, t.Cost = a.sentences(), &a.Report.Cost
	t.Faults = append(t.Faults, a.Report.Faults...)
	t.OrderAlone = append(t.OrderAlone, a.Report.OrderAlone...)
	t.NotChecked = append(t.NotChecked, a.Report.NotChecked...)
}

// judged is the judge's report without what delays would do.
func judged(show *sallyport.Show, ix *sallyport.Index, plan *sallyport.Plan) sallyport.Report {
	return sallyport.Report{
		Faults: sallyport.Faults(show, plan), Cost: sallyport.Evaluate(show, plan), Assumed: show.Assumed,
		NotChecked: append(sallyport.NotChecked(ix), "what delays would do to the plan"),
	}
}

// notPlaced says who has no place in a plan.
func notPlaced(ix *sallyport.Index, stays []Stay) []string {
	var list []string
	for _, s := range stays {
		if s.Lane == "" {
			list = append(list, ix.UnitName(s.Unit)+" has not been given a place.")
		}
	}
	return list
}

// KeepBound keeps an answer's bound with its plan, so that it is known as long
// as the show is the same. A bound of plans that do not serve all is not kept.
func KeepBound(a *Answer) {
	if a.Report.Cost.Lost == 0 && a.Plan.From == nil {
		a.Plan.Key.Bound = a.Bound
	}
}

// keptBound is the bound that was kept with a plan of this very show.
func keptBound(show *sallyport.Show, plan *sallyport.Plan) sallyport.Amount {
	if plan.Key.Bound == 0 || plan.Key.Show != solve.Fingerprint(show) {
		return 0
	}
	return plan.Key.Bound
}

// Stay is one unbroken period of a unit in one lane; in lane "" it stands for
// a unit that has found no room.
type Stay struct {
	ID    string            `json:"id"` // unit/after
	Unit  sallyport.UnitID  `json:"unit"`
	After string            `json:"after"` // serial, duty or reset window after which it begins; "": from the start
	Lane  sallyport.LaneID  `json:"lane"`
	From  sallyport.Instant `json:"from"`
	To    sallyport.Instant `json:"to"` // 0: to the end
	Fixed bool              `json:"fixed,omitempty"`
}

// staysOf lists the stays of a plan as SketchOf names them, with their times:
// from when the unit is in its lane until it begins to leave it. Who is put
// back after a move aside, or set down in the same lane in a reset, goes on
// with the stay. Units without any stay come
// last, in lane "".
func staysOf(ix *sallyport.Index, plan *sallyport.Plan) []Stay {
	list := []Stay{}
	seen := map[sallyport.UnitID]bool{}
	if plan != nil {
		s := stayList{open: map[sallyport.UnitID]int{}, lifted: map[sallyport.UnitID]sallyport.Instant{}}
		for _, l := range plan.Start {
			for _, u := range l.Units {
				s.begin(u, "", l.Lane, 0)
			}
		}
		for _, m := range slices.Concat(plan.Past, plan.Moves) {
			s.move(&m)
		}
		list = append(list, s.list...)
	}
	for i := range list {
		seen[list[i].Unit] = true
	}
	for _, id := range ix.UnitIDs {
		if ix.CombinationOf(id) == "" && !seen[id] {
			list = append(list, Stay{ID: string(id) + "/", Unit: id, From: ix.Unit(id).Arrive.From})
		}
	}
	for i := range list {
		if u := ix.Unit(list[i].Unit); u != nil {
			list[i].Fixed = list[i].Lane != "" && u.Home.Binding == sallyport.Fixed && u.Home.Lane == list[i].Lane
		}
	}
	return list
}

// stayList collects stays move by move.
type stayList struct {
	list []Stay
	open map[sallyport.UnitID]int // number of the stay that each is in

	lifted map[sallyport.UnitID]sallyport.Instant // when last, in a reset
}

func (s *stayList) begin(u sallyport.UnitID, after string, lane sallyport.LaneID, at sallyport.Instant) {
	if i, in := s.open[u]; in {
		if s.list[i].Lane == lane {
			return // lifted in a reset, and set down in its lane again
		}
		at := at
		if lifted, ok := s.lifted[u]; ok {
			at = lifted
		}
		s.end(u, at)
	}
	s.open[u] = len(s.list)
	s.list = append(s.list, Stay{ID: string(u) + "/" + after, Unit: u, After: after, Lane: lane, From: at})
}

func (s *stayList) end(u sallyport.UnitID, at sallyport.Instant) {
	if i, in := s.open[u]; in {
		s.list[i].To = max(at, 1)
		delete(s.open, u)
	}
}

func (s *stayList) move(m *sallyport.Move) {
	switch m.Kind {
	case sallyport.MovePullOut, sallyport.MoveDuty, sallyport.MoveDepart, sallyport.MoveTow:
		s.end(m.Unit, m.Start)
	case sallyport.MoveShift:
		if m.From.Kind == sallyport.InLane {
			s.end(m.Unit, m.Start)
		}
	case sallyport.MoveReset:
		if m.From.Kind == sallyport.InLane {
			s.lifted[m.Unit] = m.Start
		}
	}
	if after, ok := stayBegins(m); ok {
		s.begin(m.Unit, after, sallyport.LaneID(m.To.ID), m.Ends())
	}
}

// stayBegins returns after what the stay that a move begins comes; ok is false
// for moves that begin none.
func stayBegins(m *sallyport.Move) (after string, ok bool) {
	if m.To.Kind != sallyport.InLane {
		return "", false
	}
	switch m.Kind {
	case sallyport.MoveArrive:
		return "", true
	case sallyport.MoveReturn, sallyport.MoveShift:
		return string(m.Serial), true
	case sallyport.MoveRelieve:
		return string(m.Duty), true
	case sallyport.MoveReset:
		return string(m.Window), true
	}
	return "", false
}
