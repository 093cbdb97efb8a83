package sallyport_test

import (
	"slices"

	sp "sallyport"
)

// spell is a time in which somebody is on a unit.
type spell struct {
	who      sp.PersonID
	unit     sp.UnitID
	move     sp.MoveID
	from, to sp.Instant
}

// aboard names who goes with a pull-out, a duty or a move across: the driver
// named for the move, else the entry's or the duty's, and the crew.
func (w *world) aboard(m sp.Move) []sp.PersonID {
	var all []sp.PersonID
	driver := m.Driver
	for _, s := range w.show.Serials {
		for _, e := range s.Entries {
			if e.ID == m.Entry {
				all = append(all, e.Crew...)
				if driver == "" {
					driver = e.Driver
				}
			}
		}
	}
	for _, d := range w.show.Duties {
		if d.ID == m.Duty && m.Entry == "" && driver == "" {
			driver = d.Driver
		}
	}
	if driver != "" {
		all = append(all, driver)
	}
	return all
}

// spells lists who is on what and when: from each pull-out or move to duty
// until the unit is put away again, or the last move is over.
func (w *world) spells(moves []sp.Move) []spell {
	var all []spell
	goes := func(m sp.Move) bool {
		return m.Kind == sp.MovePullOut || m.Kind == sp.MoveDuty || m.Kind == sp.MoveAcross
	}
	ends := func(m sp.Move) bool {
		return m.Kind == sp.MoveReturn || m.Kind == sp.MoveRelieve || m.Kind == sp.MoveDepart
	}
	for i, m := range moves {
		if !goes(m) {
			continue
		}
		begun := m // the move that begins the absence: a second pull-out without a return goes on with it
		for j := i - 1; j >= 0 && !(moves[j].Unit == m.Unit && ends(moves[j])); j-- {
			if moves[j].Unit == m.Unit && goes(moves[j]) {
				begun = moves[j]
			}
		}
		to := moves[len(moves)-1].Ends()
		if k := slices.IndexFunc(moves[i:], func(x sp.Move) bool { return x.Unit == m.Unit && ends(x) }); k >= 0 {
			to = moves[i+k].Ends()
		}
		for _, who := range w.aboard(m) {
			s := spell{who, m.Unit, begun.ID, begun.Start, max(to, begun.Start)}
			if !slices.Contains(all, s) {
				all = append(all, s)
			}
		}
	}
	return all
}

// people judges who is on two units at once, and for which extra moves nobody
// is free.
func (w *world) people(moves []sp.Move) (bad []breach) {
	all := w.spells(moves)
	for i, s := range all {
		for j, o := range all {
			first := o.from < s.from || o.from == s.from && j < i
			if first && o.who == s.who && o.unit != s.unit && o.to > s.from && s.to > s.from {
				bad = append(bad, breach{rule: sp.RulePerson, move: s.move, unit: s.unit})
			}
		}
	}
	for _, m := range moves {
		v := w.vehicle(m.Unit)
		early := m.Kind == sp.MovePullOut && m.Start < w.serial(m.Serial).FormFrom
		if m.ByHand || v.UsualDriver == "" || !early && m.Kind != sp.MoveAside && m.Kind != sp.MoveBack && m.Kind != sp.MoveReset {
			continue
		}
		may := append([]sp.PersonID{v.UsualDriver}, v.Drivers...)
		if m.Driver != "" {
			may = []sp.PersonID{m.Driver}
		}
		if !slices.ContainsFunc(may, func(who sp.PersonID) bool {
			return !slices.ContainsFunc(all, func(s spell) bool {
				return s.who == who && s.unit != m.Unit && s.from < m.Ends() && s.to > m.Start
			})
		}) {
			bad = append(bad, breach{rule: sp.RuleNoDriver, move: m.ID, unit: m.Unit})
		}
	}
	return bad
}
