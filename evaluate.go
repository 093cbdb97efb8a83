package sallyport

import (
	"fmt"
	"slices"
)

// Evaluate returns what a plan costs, term by term with reasons. It plays the
// plan by its order only; a plan that is not workable gets a cost as far as
// its moves make sense. The show must be complete.
func Evaluate(show *Show, plan *Plan) Cost {
	return newEvaluator(NewIndex(show), plan).cost()
}

// EvaluateSince is Evaluate with the changes from an issue already published
// counted too.
func EvaluateSince(show *Show, plan, issued *Plan) Cost {
	e := newEvaluator(NewIndex(show), plan)
	e.issued = issued
	return e.cost()
}

type evaluator struct {
	ix     *Index
	plan   *Plan
	issued *Plan
	price  Prices
	player *Player
	terms  map[string]*CostTerm
	left   map[UnitID]LaneID // lane last left for an absence
	lifted map[WindowID]map[UnitID]bool
	exits  map[UnitID][]exitMove // moves out of lanes still to come, in order
	nights []Instant
}

// exitMove is a planned move of a unit out of a lane.
type exitMove struct {
	index int
	end   End
}

func newEvaluator(ix *Index, plan *Plan) *evaluator {
	e := &evaluator{
		ix: ix, plan: plan, price: NewPrices(ix), terms: map[string]*CostTerm{},
		left: map[UnitID]LaneID{}, lifted: map[WindowID]map[UnitID]bool{}, exits: map[UnitID][]exitMove{},
	}
	state, _ := startState(ix, plan)
	e.player = NewPlayer(ix, state)
	e.player.structure = true
	for _, t := range e.player.mornings {
		if t.Day() > 1 { // no night goes before the first morning
			e.nights = append(e.nights, t)
		}
	}
	for i, m := range plan.Moves {
		if m.From.Kind == InLane && m.Kind != MoveCloseUp {
			e.exits[m.Unit] = append(e.exits[m.Unit], exitMove{i, m.From.End})
		}
	}
	return e
}

// cost plays the plan and adds up.
func (e *evaluator) cost() Cost {
	for _, name := range Terms {
		e.terms[name] = &CostTerm{Name: name}
	}
	if e.plan.From == nil {
		for _, l := range e.plan.Start {
			for _, u := range l.Units {
				e.told(u, l.Lane, nil)
			}
		}
	}
	for i := range e.plan.Past {
		if m := &e.plan.Past[i]; e.ix.Unit(m.Unit) != nil {
			e.leaving(i, m, e.ix.Unit(m.Unit))
		}
	}
	e.player.resume(e.plan.Past)
	for i := range e.plan.Moves {
		m := &e.plan.Moves[i]
		for len(e.nights) > 0 && e.nights[0] <= m.Start {
			e.night(e.nights[0])
		}
		u := e.ix.Unit(m.Unit)
		known := u != nil && e.ix.HasPos(m.From) && e.ix.HasPos(m.To)
		if known {
			for _, term := range beforeTerms {
				term(e, i, m, u)
			}
		}
		e.player.Do(m)
		if known {
			for _, term := range afterTerms {
				term(e, i, m, u)
			}
		}
	}
	for len(e.nights) > 0 {
		e.night(e.nights[0])
	}
	e.sinceIssue()
	var c Cost
	for _, name := range Terms {
		c.Terms = append(c.Terms, *e.terms[name])
		c.Total += e.terms[name].Amount
	}
	for _, id := range unserved(e.ix, e.plan) {
		c.Lost += e.ix.Entry(id).Worth()
	}
	return c
}

// add books one reason.
func (e *evaluator) add(term string, item CostItem) {
	t := e.terms[term]
	t.Amount += item.Amount
	t.Count++
	t.Items = append(t.Items, item)
}

func itemOf(m *Move, amount Amount, units []UnitID, lane string, format string, args ...any) CostItem {
	return CostItem{Amount: amount, Units: units, Move: m.ID, Serial: m.Serial, Lane: LaneID(lane), At: m.Start, Why: fmt.Sprintf(format, args...)}
}

// beforeTerms see the park as it is before a move, afterTerms as it is after.
var beforeTerms = []func(e *evaluator, i int, m *Move, u *Unit){
	(*evaluator).risk, (*evaluator).reversingOut, (*evaluator).leaving,
}

var afterTerms = []func(e *evaluator, i int, m *Move, u *Unit){
	(*evaluator).moves, (*evaluator).waits, (*evaluator).reversingIn, (*evaluator).coming,
}

// risk books the chance that the unit does not start and shuts others in.
func (e *evaluator) risk(i int, m *Move, u *Unit) {
	exits := e.exits[m.Unit]
	for len(exits) > 0 && exits[0].index <= i {
		exits = exits[1:]
	}
	e.exits[m.Unit] = exits
	switch m.Kind {
	case MovePullOut, MoveDuty, MoveAside, MoveShift:
	default:
		return
	}
	if m.From.Kind != InLane || m.ByHand {
		return
	}
	value := 0
	var behind []UnitID
	for _, v := range e.behind(m.Unit, LaneID(m.From.ID)) {
		if n := e.ix.ValueLater(v, m.Start); n > 0 {
			value += n
			behind = append(behind, v)
		}
	}
	if amount := e.price.Risk(u, value); amount > 0 {
		e.add(TermRisk, itemOf(m, amount, append([]UnitID{u.ID}, behind...), m.From.ID,
			"if %s does not start on %s, %s cannot get out of lane %s that day", u.Name, e.ix.Show.When(m.Start), e.ix.Names(behind), m.From.ID))
	}
}

// behind returns who is shut in when u does not leave its lane.
func (e *evaluator) behind(u UnitID, lane LaneID) []UnitID {
	list := e.player.lanes[lane]
	i := slices.IndexFunc(list, func(s Standing) bool { return s.Unit == u })
	if i < 0 {
		return nil
	}
	var units []UnitID
	for j, s := range list {
		switch {
		case j == i:
		case e.ix.Lane(lane).Kind != Open:
			if j > i {
				units = append(units, s.Unit)
			}
		default:
			// Shut in when its next way out passes u.
			exits := e.exits[s.Unit]
			if len(exits) > 0 && (j > i) == (exits[0].end != Tail) {
				units = append(units, s.Unit)
			}
		}
	}
	return units
}

// reversing books the metres a heavy unit reverses through a lane end.
func (e *evaluator) reversing(m *Move, u *Unit, lane LaneID, end End) {
	if m.ByHand || m.Kind == MoveTow {
		return
	}
	l := e.ix.Lane(lane)
	for _, s := range e.player.lanes[lane] {
		if s.Unit != u.ID {
			continue
		}
		far := s.From + u.Length
		if end == Tail {
			far = l.Length - s.From
		}
		if amount := e.price.Reverse(u, far); amount > 0 {
			e.add(TermReverse, itemOf(m, amount, []UnitID{u.ID}, string(lane), "%s reverses %s at lane %s", u.Name, far.Metres(), lane))
		}
	}
}

func (e *evaluator) reversingOut(_ int, m *Move, u *Unit) {
	if m.From.Kind != InLane || m.Kind == MoveCloseUp {
		return
	}
	lane := e.ix.Lane(LaneID(m.From.ID))
	end := exit(lane, m.From.End, true)
	for _, s := range e.player.lanes[lane.ID] {
		if s.Unit == u.ID && (end == Mouth) == s.NoseIn {
			e.reversing(m, u, lane.ID, end)
		}
	}
}

func (e *evaluator) reversingIn(_ int, m *Move, u *Unit) {
	if m.To.Kind == InLane && m.Kind != MoveCloseUp && m.Reverse {
		lane := e.ix.Lane(LaneID(m.To.ID))
		e.reversing(m, u, lane.ID, exit(lane, m.To.End, false))
	}
}

// leaving remembers which lane a unit left.
func (e *evaluator) leaving(_ int, m *Move, u *Unit) {
	switch m.Kind {
	case MovePullOut, MoveDuty, MoveAside, MoveShift:
		if m.From.Kind == InLane {
			e.left[u.ID] = LaneID(m.From.ID)
		}
	}
}

// coming books what a stay in this lane costs.
func (e *evaluator) coming(_ int, m *Move, u *Unit) {
	if m.To.Kind != InLane {
		return
	}
	lane := LaneID(m.To.ID)
	switch m.Kind {
	case MoveReturn, MoveRelieve, MoveShift, MoveBack:
		if m.Kind == MoveBack && e.left[u.ID] == lane {
			return // put back where it was, it goes on with its stay
		}
		if from := e.left[u.ID]; from != "" && from != lane && e.price.w.Change > 0 {
			e.add(TermChange, itemOf(m, e.price.w.Change, []UnitID{u.ID}, m.To.ID, "%s left lane %s and comes home to %s", u.Name, from, lane))
		}
		e.told(u.ID, lane, m)
	case MoveArrive, MoveReset, MoveTow:
		e.told(u.ID, lane, m)
	}
}

// told books a stay outside the lane a unit's people were told.
func (e *evaluator) told(id UnitID, lane LaneID, m *Move) {
	u := e.ix.Unit(id)
	if u == nil || u.Home.Binding != Told || u.Home.Lane == lane || e.price.w.Told == 0 {
		return
	}
	if m == nil {
		m = &Move{}
	}
	e.add(TermHome, itemOf(m, e.price.w.Told, []UnitID{id}, string(lane), "%s stands in lane %s; its people were told %s", u.Name, lane, u.Home.Lane))
}

// moves books moves that only the park needs.
func (e *evaluator) moves(i int, m *Move, u *Unit) {
	how := ""
	if m.ByHand {
		how = " by hand"
	}
	switch m.Kind {
	case MoveAside:
		out := e.letOut(i, m)
		to := ""
		if len(out) > 0 {
			to = " to let out " + e.ix.Names(out)
		}
		e.add(TermAside, itemOf(m, e.price.Aside(u, m.ByHand), append([]UnitID{u.ID}, out...), m.From.ID, "%s is moved aside%s from lane %s%s", u.Name, how, m.From.ID, to))
	case MoveBack:
		e.add(TermAside, itemOf(m, e.price.Drive(MoveBack, u, m.ByHand), []UnitID{u.ID}, m.To.ID, "%s is put back%s into lane %s", u.Name, how, m.To.ID))
	case MoveCloseUp:
		e.add(TermCloseUp, itemOf(m, e.price.CloseUp(u), []UnitID{u.ID}, m.From.ID, "%s closes up in lane %s", u.Name, m.From.ID))
	case MoveReset:
		w := e.ix.Reset(m.Window)
		if w == nil || e.lifted[w.ID][u.ID] {
			return
		}
		if e.lifted[w.ID] == nil {
			e.lifted[w.ID] = map[UnitID]bool{}
		}
		e.lifted[w.ID][u.ID] = true
		e.add(TermReset, itemOf(m, e.price.Reset(u, w), []UnitID{u.ID}, m.From.ID, "%s is moved in reset window %s", u.Name, w.ID))
	}
}

// letOut returns who leaves the lane while the unit moved aside by move i is
// out of the way.
func (e *evaluator) letOut(i int, aside *Move) []UnitID {
	var out []UnitID
	for k := i + 1; k < len(e.plan.Moves); k++ {
		m := &e.plan.Moves[k]
		if m.Unit == aside.Unit {
			break
		}
		if m.From.Kind == InLane && m.From.ID == aside.From.ID && m.Kind != MoveAside && m.Kind != MoveCloseUp {
			out = append(out, m.Unit)
		}
	}
	return out
}

// waits books engines that wait on a line, held back or early.
func (e *evaluator) waits(_ int, m *Move, u *Unit) {
	s := e.ix.Serial(m.Serial)
	if s == nil {
		return
	}
	switch {
	case m.Kind == MoveReturn && m.Nominal > s.Back():
		wait := Seconds(m.Nominal - s.Back())
		e.add(TermHold, itemOf(m, e.price.Idle(wait), []UnitID{u.ID}, m.To.ID, "%s is held back on its line for %s", u.Name, wait.Words()))
	case m.Kind == MovePullOut:
		from := m.Start
		if m.Nominal != 0 {
			from = m.Nominal
		}
		if from < s.FormFrom {
			wait := Seconds(s.FormFrom - from)
			e.add(TermEarly, itemOf(m, e.price.Idle(wait), []UnitID{u.ID}, m.From.ID, "%s is pulled out %s early", u.Name, wait.Words()))
		}
	}
}

// night books pairs kept together that spend a night in different zones.
func (e *evaluator) night(t Instant) {
	e.nights = e.nights[1:]
	for _, pair := range e.ix.TogetherPairs {
		a, b := e.player.whereIs(pair[0]), e.player.whereIs(pair[1])
		if a.Kind != InLane || b.Kind != InLane || e.price.w.Together == 0 {
			continue
		}
		if za, zb := e.ix.ZoneOf(a), e.ix.ZoneOf(b); za != zb {
			e.add(TermTogether, CostItem{
				Amount: e.price.w.Together, Units: pair[:], At: t,
				Why: fmt.Sprintf("%s and %s are to be kept together but spend the night in zones %s and %s", e.ix.UnitName(pair[0]), e.ix.UnitName(pair[1]), e.ix.ZoneName(za), e.ix.ZoneName(zb)),
			})
		}
	}
}

// sinceIssue books stays in other lanes than in the last issue, and moves of
// which people are to be told another time or driver.
func (e *evaluator) sinceIssue() {
	if e.issued == nil || e.price.w.Issue == 0 {
		return
	}
	type stay struct {
		unit  UnitID
		after string
	}
	was := map[stay]LaneID{}
	for _, p := range SketchOf(e.issued) {
		was[stay{p.Unit, p.After}] = p.Lane
	}
	for _, p := range SketchOf(e.plan) {
		if old, ok := was[stay{p.Unit, p.After}]; ok && old != p.Lane {
			e.add(TermIssue, CostItem{
				Amount: e.price.w.Issue, Units: []UnitID{p.Unit}, Lane: p.Lane,
				Why: fmt.Sprintf("%s stands in lane %s; the last issue said %s", e.ix.UnitName(p.Unit), p.Lane, old),
			})
		}
	}
	for _, t := range ChangesSince(e.issued, e.plan) {
		if t.Was == nil || t.Now == nil || t.Now.Unit == "" || !t.Time && !t.Driver {
			continue
		}
		what := "at another time"
		if !t.Time {
			what = "with another driver"
		}
		e.add(TermIssue, CostItem{
			Amount: e.price.w.Issue, Units: []UnitID{t.Now.Unit}, Move: t.Now.ID, Serial: t.Now.Serial, At: t.Now.Start,
			Why: e.ix.Show.words("the %s of %s is %s than the last issue said: %s, not %s", t.Now.Kind, e.ix.UnitName(t.Now.Unit), what, t.Now.Start, t.Was.Start),
		})
	}
}
