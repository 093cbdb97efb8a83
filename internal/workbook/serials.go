package workbook

import (
	"fmt"
	"strings"

	sp "sallyport"
)

// settleSerials joins the rows of one serial, gives serials their ids, and
// has their lists of vehicles read.
func (r *reading) settleSerials() {
	r.joinRows()
	for i, s := range r.serials {
		if s.ID == "" {
			s.ID = sp.SerialID(slug(s.Name))
		}
		if s.ID == "" {
			s.ID = sp.SerialID(fmt.Sprintf("serial-%d", i+1))
		}
	}
	r.splitByDay()
	seen := map[sp.SerialID]*serialRow{}
	for _, s := range r.serials {
		if other := seen[s.ID]; other != nil {
			r.twice(s, other, "id", string(s.ID))
			continue
		}
		seen[s.ID] = s
		labels := []string{s.Name}
		if src, ok := r.at(s, "id"); ok && r.records[s].cells["id"] == src.col {
			labels = append(labels, src.cell.text)
		}
		r.names["serial"].add(string(s.ID), labels...)
		r.takeStay(s, "serial", string(s.ID), labels...)
	}
	for _, s := range r.serials {
		r.do(func() { s.readLists(r) })
	}
}

// joinRows makes one serial of rows that list one entry each: a row goes on
// with the serial above it when it names none, or the same.
func (r *reading) joinRows() {
	var joined []*serialRow
	for _, row := range r.serials {
		if len(joined) > 0 {
			if above := joined[len(joined)-1]; r.goesOn(above, row) {
				above.lists = append(above.lists, row)
				continue
			}
		}
		row.lists = []*serialRow{row}
		joined = append(joined, row)
	}
	r.serials = joined
}

// goesOn reports whether a row belongs to the serial above it. What both rows
// say must then agree.
func (r *reading) goesOn(above, row *serialRow) bool {
	a, b := r.records[above], r.records[row]
	if !row.units.filled() || a.sheet != b.sheet {
		return false
	}
	same := func(field string) (both, equal bool) {
		x, okX := a.cells[field]
		y, okY := b.cells[field]
		return okX && okY, okX && okY && squash(a.cellAt(x).text) == squash(b.cellAt(y).text)
	}
	named := false
	for _, field := range []string{"id", "name", "day"} {
		_, inRow := b.cells[field]
		both, equal := same(field)
		if inRow && (!both || !equal) {
			return false
		}
		named = named || inRow && field != "day"
	}
	if !named {
		if _, timed := b.cells["arena_in"]; timed {
			if _, equal := same("arena_in"); !equal {
				return false
			}
		}
	}
	for _, field := range []string{"form_from", "form_up", "arena_in", "arena_out", "home_by", "line", "travel_s"} {
		if both, equal := same(field); both && !equal {
			s, _ := r.at(row, field)
			x, _ := r.at(above, field)
			s.say(Stop, fmt.Sprintf("row %d says %s for the same serial", a.row, x.cell.text), "make both the same, or give the serials different numbers")
		}
	}
	return true
}

// splitByDay gives serials that are counted afresh on each day ids of their
// own: serial 3 of Friday becomes fri-3. When one number is used on several
// days, all numbers get their day in front.
func (r *reading) splitByDay() {
	on := map[sp.SerialID]map[int]int{}
	for _, s := range r.serials {
		if on[s.ID] == nil {
			on[s.ID] = map[int]int{}
		}
		on[s.ID][r.serialDay(s)]++
	}
	afresh := false
	for _, days := range on {
		afresh = afresh || len(days) > 1 && days[0] == 0
	}
	if !afresh {
		return
	}
	for _, s := range r.serials {
		day := r.serialDay(s)
		numbered := strings.Trim(string(s.ID), "0123456789") == ""
		if day > 0 && (numbered || len(on[s.ID]) > 1) {
			s.ID = sp.SerialID(r.daySlug(day) + "-" + string(s.ID))
		}
	}
}

// daySlug is a short word for a day: its first three letters when they tell
// it from all others, else its number.
func (r *reading) daySlug(day int) string {
	short := func(i int) string {
		word := slug(r.cal.days[i].Name)
		return word[:min(3, len(word))]
	}
	mine := short(day - 1)
	for i := range r.cal.days {
		if i != day-1 && short(i) == mine || mine == "" || mine == "day" {
			return fmt.Sprintf("d%d", day)
		}
	}
	return mine
}

// serialDay returns the day of a serial's row, or of one of its times; 0 when
// it is not known.
func (r *reading) serialDay(s *serialRow) int {
	rec := r.records[s]
	if rec.day != nil {
		if day, bad := r.cal.find(rec.day.day, rec.day.dayText); bad == nil && day <= len(r.cal.days) {
			return day
		}
	}
	for _, field := range []string{"arena_in", "form_up", "form_from"} {
		col, ok := rec.cells[field]
		if !ok {
			continue
		}
		if m, _, bad := cellMoment(rec.cellAt(col)); bad == nil && m.hasDay {
			if day, bad := r.cal.find(m.day, m.dayText); bad == nil && day <= len(r.cal.days) {
				return day
			}
		}
	}
	return 0
}

// readLists reads who takes part in a serial.
func (s *serialRow) readLists(r *reading) {
	for _, l := range s.lists {
		r.addEntries(s, l.entry, l.units)
	}
}

// addEntries adds an entry for each vehicle a cell names; what the row says
// besides is the same for all, so a driver or an id is for one vehicle only.
func (r *reading) addEntries(s *serialRow, e sp.Entry, units source) {
	items := units.items()
	if len(items) > 1 && (e.Driver != "" || e.ID != "") {
		units.say(Stop, fmt.Sprintf("the row names %s, but one driver or id", plural(len(items), "vehicle")), "give each vehicle a row of its own")
		return
	}
	for _, item := range items {
		one := e
		one.Unit = item.unit
		one.Reserves = append(append([]sp.UnitID(nil), e.Reserves...), item.reserves...)
		r.addEntry(s, one, units)
	}
}

// addEntry adds an entry to a serial; a vehicle twice in one is a
// contradiction.
func (r *reading) addEntry(s *serialRow, e sp.Entry, from source) {
	for _, have := range s.Entries {
		if have.Unit == e.Unit {
			from.say(Stop, fmt.Sprintf("%s is in serial %s twice", r.unitName(e.Unit), s.ID), "strike it once, or name the vehicle that is meant")
			return
		}
	}
	s.Entries = append(s.Entries, e)
	if e.ID == "" {
		e.ID = entryID(s.ID, e.Unit)
		s.Entries[len(s.Entries)-1].ID = e.ID
	}
	key := object{"entry", string(e.ID)}
	if r.where[key] == nil {
		r.where[key] = from.rec
	}
}

// entryID returns the id of an entry that has none of its own.
func entryID(serial sp.SerialID, unit sp.UnitID) sp.EntryID {
	return sp.EntryID(string(serial) + "/" + string(unit))
}

// unitName returns what a unit is called.
func (r *reading) unitName(id sp.UnitID) string {
	for _, v := range r.vehicles {
		if v.ID == id {
			return v.Name
		}
	}
	return string(id)
}

// settleEntries puts the rows of the sheet of entries into their serials. A
// row without a serial belongs to that of the row above.
func (r *reading) settleEntries() {
	byID := map[string]*serialRow{}
	for _, s := range r.serials {
		byID[string(s.ID)] = s
	}
	var current *serialRow
	taken := map[sp.EntryID]*entryRow{}
	for _, e := range r.entries {
		r.do(func() {
			if e.ID != "" {
				if other := taken[e.ID]; other != nil {
					r.twice(e, other, "id", string(e.ID))
				}
				taken[e.ID] = e
			}
			if e.serial.filled() {
				id, ok := e.serial.resolveSerial()
				if current = byID[id]; !ok {
					return
				}
			}
			if current == nil {
				if !e.serial.filled() {
					e.units.say(Stop, "the row names no serial", "write the serial's number or name")
				}
				return
			}
			r.addEntries(current, e.Entry, e.units)
		})
	}
}

// resolveSerial resolves a serial; the row's day decides between serials that
// are counted afresh on each day.
func (s source) resolveSerial() (string, bool) {
	ids := s.names["serial"].find(s.cell.text)
	if len(ids) < 2 || s.rec.day == nil {
		return s.resolve("serial", s.cell.text)
	}
	day, bad := s.cal.find(s.rec.day.day, s.rec.day.dayText)
	if bad != nil {
		s.stop(bad)
		return "", false
	}
	for _, row := range s.reading.serials {
		for _, id := range ids {
			if string(row.ID) == id && s.serialDay(row) == day {
				return id, true
			}
		}
	}
	return s.resolve("serial", s.cell.text)
}

// settleLeaving reads the orders of leaving, when all entries are known.
func (r *reading) settleLeaving() {
	for _, s := range r.serials {
		if !s.leaving.filled() {
			continue
		}
		ids := map[string]bool{}
		for _, e := range s.Entries {
			ids[string(e.ID)] = true
		}
		known := func(text string) bool { return ids[text] || r.names["unit"].knowsOne(text) }
		for _, item := range splitList(s.leaving.cell.text, known) {
			if ids[item] {
				s.Leaving = append(s.Leaving, sp.EntryID(item))
				continue
			}
			unit, ok := s.leaving.resolve("unit", item)
			if !ok {
				continue
			}
			found := false
			for _, e := range s.Entries {
				if e.Unit == sp.UnitID(unit) {
					s.Leaving, found = append(s.Leaving, e.ID), true
				}
			}
			if !found {
				s.leaving.say(Stop, fmt.Sprintf("%s is not in this serial", item), "name only vehicles of the serial")
			}
		}
	}
}
