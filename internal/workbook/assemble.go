package workbook

import (
	"fmt"

	sp "sallyport"
)

// assemble puts the show together from what was read.
func (r *reading) assemble() {
	s := &r.show
	s.Format = sp.FormatShow
	for i, d := range r.days {
		r.cal.days[i] = d.Day
	}
	s.Days = r.cal.days
	byID := map[sp.LineID]*line{}
	for _, l := range r.lines {
		byID[l.ID] = l
	}
	for _, f := range r.fouls {
		if l := byID[f.line]; l != nil {
			l.Fouls = append(l.Fouls, f.Foul)
		}
	}
	s.Park.Zones, s.Park.Stretches, s.Park.Lanes = values(r.zones), values(r.stretch), values(r.lanes)
	s.Park.Lines, s.Park.Spots, s.Park.Paces = values(r.lines), values(r.spots), values(r.paces)
	s.Vehicles, s.Combinations, s.People = values(r.vehicles), values(r.combos), values(r.people)
	s.Closings, s.Resets, s.Classes = values(r.closings), values(r.resets), values(r.classes)
	for _, x := range r.serials {
		s.Serials = append(s.Serials, x.Serial)
	}
	for _, d := range r.duties {
		s.Duties = append(s.Duties, d.Duty)
	}
	if r.weights != nil {
		s.Weights = *r.weights
	}
	r.whereClosings()
	r.where[object{"show", ""}] = r.records[&r.show]
	if r.records[&r.show] == nil {
		delete(r.where, object{"show", ""})
	}
	for key, rec := range r.where {
		if rec == nil {
			delete(r.where, key)
		}
	}
}

// whereClosings notes the cells of closings of zones that are closed once; a
// closing has no id that would tell it from another of its zone.
func (r *reading) whereClosings() {
	times := map[sp.ZoneID]int{}
	for _, c := range r.closings {
		times[c.Zone]++
	}
	for _, c := range r.closings {
		if times[c.Zone] == 1 {
			r.where[object{"closing", string(c.Zone)}] = r.records[c]
		}
	}
}

// needed are the kinds without which there is nothing to plan.
var needed = []struct{ kind, advice string }{
	{"vehicle", "add one with at least a column Vehicle"},
	{"lane", "add one with at least the columns Lane and Length (m)"},
	{"serial", "add one with at least a time and the columns Serial and Vehicles"},
}

// checkRequired reports sheets that are missing or have no rows, and lanes
// without a length.
func (r *reading) checkRequired(found map[string][]*foundSheet) {
	if len(found) == 0 {
		return
	}
	rows := map[string]int{"vehicle": len(r.vehicles), "lane": len(r.lanes), "serial": len(r.serials)}
	for _, n := range needed {
		sheet := sheetOf(n.kind)
		switch {
		case rows[n.kind] > 0:
		case len(found[sheet]) > 0:
			if !r.stoppedIn(found[sheet][0].name) {
				r.report(Problem{Sheet: found[sheet][0].name, Message: "the sheet has headers, but nothing below them", Advice: "fill in at least one row", Severity: Stop})
			}
		case !r.unread[n.kind]:
			r.report(Problem{Message: "there is no sheet " + sheet, Advice: n.advice, Severity: Stop})
		}
	}
	for _, l := range r.lanes {
		if s, ok := r.at(l, "length_cm"); ok && l.Length == 0 && !r.stoppedAt(s) {
			if _, filled := s.rec.cells["length_cm"]; !filled {
				s = s.under(found["Lanes"], "length_cm")
			}
			s.say(Stop, fmt.Sprintf("lane %s has no length", l.ID), "measure it from the mouth to the closed end or the tail")
		}
	}
	for _, x := range r.serials {
		s, ok := r.at(x, "id")
		if !ok {
			continue
		}
		if len(x.Entries) == 0 && !r.given["entry"] && !r.unread["unit"] && !r.stoppedInRow(s.rec) {
			s.say(Assumed, fmt.Sprintf("serial %s names no vehicle yet", x.ID), "list its vehicles in order")
		}
	}
}

// under returns the source's empty cell in the column of a field, when its
// sheet has one.
func (s source) under(sheets []*foundSheet, field string) source {
	for _, f := range sheets {
		for _, h := range f.heads {
			if f.sheet == s.rec.sheet && h.index >= 0 && laneTable.columns[h.index].field == field {
				s.col, s.cell = h.col, cell{}
			}
		}
	}
	return s
}

// stoppedIn reports whether a sheet has a problem that stops planning.
func (r *reading) stoppedIn(sheet string) bool {
	for _, p := range r.problems {
		if p.Severity == Stop && p.Sheet == sheet {
			return true
		}
	}
	return false
}

// stoppedAt reports whether the cell has a problem that stops planning
// already.
func (r *reading) stoppedAt(s source) bool {
	for _, p := range r.problems {
		if p.Severity == Stop && p.Sheet == s.rec.sheet.name && p.Row == s.rec.row && (p.Column == s.col+1 || p.Field == s.field) {
			return true
		}
	}
	return false
}

// stoppedInRow reports whether a row has a problem that stops planning.
func (r *reading) stoppedInRow(rec *record) bool {
	for _, p := range r.problems {
		if p.Severity == Stop && p.Sheet == rec.sheet.name && p.Row == rec.row {
			return true
		}
	}
	return false
}

// contradict adds what the show itself has wrong to what its cells have
// wrong, so that both are seen in one pass. A source whose cells are all in
// order is judged by its user.
func (in *Input) contradict() {
	if len(in.Stops()) == 0 || in.Show == nil || len(in.Show.Vehicles) == 0 || len(in.Show.Park.Lanes) == 0 {
		return
	}
	type place struct {
		sheet string
		row   int
	}
	seen := map[place]bool{} // what follows from a row that could not be read says nothing new
	for _, p := range in.Stops() {
		seen[place{p.Sheet, p.Row}] = true
	}
	for _, p := range in.Contradictions() {
		if p.Severity == Stop && p.Row > 0 && !seen[place{p.Sheet, p.Row}] && len(in.Problems) < maxProblems {
			in.Problems = append(in.Problems, p)
		}
	}
}
