package solve

import (
	"fmt"
	"slices"

	"sallyport"
)

// lateness is something that could not be made as it should be.
type lateness struct {
	move int
	by   sallyport.Seconds // past its deadline; 0: a limit that was not kept
	why  string            // what held it up, or the limit
}

// sentences returns what could not be made in time, one sentence for all
// moves of one sort, in the order of the first of each.
func (t *timetable) sentences() []string {
	type key struct {
		kind   sallyport.MoveKind
		serial sallyport.SerialID
		window sallyport.WindowID
		day    int
		broken string
	}
	var order []key
	all := map[key][]lateness{}
	for _, l := range t.late {
		m := &t.moves[l.move]
		k := key{kind: m.Kind, serial: m.Serial, window: m.Window, day: m.Start.Day()}
		if l.by == 0 {
			k.broken = l.why
		}
		if all[k] == nil {
			order = append(order, k)
		}
		all[k] = append(all[k], l)
	}
	var list []string
	for _, k := range order {
		if k.broken != "" {
			list = append(list, t.brokenSentence(all[k]))
		} else {
			list = append(list, t.lateSentence(all[k]))
		}
	}
	return list
}

// lateSentence tells moves of one sort that end too late.
func (t *timetable) lateSentence(list []lateness) string {
	worst := list[0]
	var units []sallyport.UnitID
	teams := false
	for _, l := range list {
		if l.by > worst.by {
			worst = l
		}
		teams = teams || l.why == whyTeams
		if u := t.moves[l.move].Unit; u != "" && !slices.Contains(units, u) {
			units = append(units, u)
		}
	}
	m := &t.moves[worst.move]
	held := ""
	if worst.why != "" {
		held = ", waiting for " + worst.why
	}
	if m.Unit == "" {
		return fmt.Sprintf("the %s of %s is %s late (%s)%s", m.Kind, t.ix.SerialName(m.Serial), worst.by.Words(), t.ix.Show.When(m.Start), held)
	}
	what := string(m.Kind)
	if m.Serial != "" {
		what += " of " + t.ix.SerialName(m.Serial)
	}
	text := fmt.Sprintf("%s: %s missing; %s is over at %s, due by %s%s", what, worst.by.Words(), t.ix.UnitName(m.Unit), t.ix.Show.When(m.Ends()), t.ix.Show.When(t.deadlines[worst.move]), held)
	if len(units) > 1 {
		text = fmt.Sprintf("%s: %d vehicles are late, the worst by %s; %s is over at %s, due by %s%s", what, len(units), worst.by.Words(), t.ix.UnitName(m.Unit), t.ix.Show.When(m.Ends()), t.ix.Show.When(t.deadlines[worst.move]), held)
	}
	if teams {
		text += t.teamsMissing(m)
	}
	return text
}

// teamsMissing says how many marshal teams would be needed for the moves of
// m's sort and serial one after the other in their time.
func (t *timetable) teamsMissing(m *sallyport.Move) string {
	have := t.ix.TeamsOn(m.Start.Day())
	s := t.ix.Serial(m.Serial)
	if s == nil || have == 0 {
		return fmt.Sprintf("; %d marshal teams are on duty", have)
	}
	from, to := s.FormFrom, s.FormUp
	if m.Kind == sallyport.MoveReturn {
		from, to = s.Back(), s.HomeBy
	}
	// All moves that need a team in that time count, of whatever serial.
	busy := sallyport.Seconds(0)
	for i := range t.moves {
		o := &t.moves[i]
		if o.Unit != "" && t.inPark(o) && (o.Serial == m.Serial && o.Kind == m.Kind || o.Start < to && from < o.Ends()) {
			busy += o.Takes
		}
	}
	need := have + 1
	if window := sallyport.Seconds(to - from); window > 0 {
		need = max(need, int((busy+window-1)/window))
	}
	return fmt.Sprintf("; %d marshal teams are on duty, about %d would be needed between %s and %s", have, need, t.ix.Show.When(from), to.Clock())
}

// brokenSentence tells moves of one sort that do not keep a limit.
func (t *timetable) brokenSentence(list []lateness) string {
	var units []sallyport.UnitID
	for _, l := range list {
		for _, u := range unitsOf(&t.moves[l.move]) {
			if !slices.Contains(units, u) {
				units = append(units, u)
			}
		}
	}
	m := &t.moves[list[0].move]
	what := string(m.Kind)
	if m.Serial != "" {
		what += " of " + t.ix.SerialName(m.Serial)
	}
	return fmt.Sprintf("%s at %s: %s cannot wait for %s", what, t.ix.Show.When(m.Start), t.ix.Names(units), list[0].why)
}
