package workbook

import (
	"fmt"
	"strings"

	sp "sallyport"
)

// settleIDs gives everything that has none an id made from its name, makes
// all names known, and reports what is given twice.
func (r *reading) settleIDs() {
	settle(r, "zone", "zone", r.zones, func(v *zone) (*sp.ZoneID, []string) { return &v.ID, []string{v.Name} })
	settle(r, "stretch", "stretch", r.stretch, func(v *stretch) (*sp.StretchID, []string) { return &v.ID, []string{v.Name} })
	settle(r, "lane", "lane", r.lanes, func(v *lane) (*sp.LaneID, []string) { return &v.ID, []string{v.Name} })
	settle(r, "line", "line", r.lines, func(v *line) (*sp.LineID, []string) { return &v.ID, []string{v.Name} })
	settle(r, "spot", "spot", r.spots, func(v *spot) (*sp.SpotID, []string) { return &v.ID, []string{v.Name} })
	settle(r, "person", "person", r.people, func(v *person) (*sp.PersonID, []string) { return &v.ID, []string{v.Name} })
	settle(r, "vehicle", "unit", r.vehicles, func(v *vehicle) (*sp.UnitID, []string) { return &v.ID, vehicleLabels(v) })
	settle(r, "combination", "unit", r.combos, func(v *combination) (*sp.UnitID, []string) { return &v.ID, []string{v.Name} })
	for _, c := range r.combos {
		if c.Name == "" {
			c.Name = string(c.ID)
		}
	}
	r.settleSerials()
	r.settleDuties()
	for i, v := range r.resets {
		if v.ID == "" {
			v.ID = sp.WindowID(fmt.Sprintf("reset-%d", i+1))
		}
		r.takeStay(v, "reset", string(v.ID))
	}
	r.settleEntries()
	r.do(r.settleLeaving)
	r.settlePlaces()
}

// vehicleLabels are the words by which a vehicle may be named.
func vehicleLabels(v *vehicle) []string {
	labels := append([]string{v.Name, v.Number}, v.Nicknames...)
	if v.Number != "" {
		labels = append(labels, v.Number+" "+v.Name, v.Name+" "+v.Number)
	}
	return labels
}

// settle gives ids to things of one kind and makes their names known. An id
// given twice is a contradiction; so is a name, unless both have ids of their
// own that tell them apart.
func settle[T any, S ~string](r *reading, kind, known string, list []*T, of func(*T) (*S, []string)) {
	n := r.names[known]
	own := map[*T]bool{}
	byID := map[string]*T{}
	byName := map[string]*T{}
	for _, v := range list {
		id, labels := of(v)
		name := squash(labels[0])
		other := byName[name]
		own[v] = *id != ""
		switch {
		case *id != "" && (byID[string(*id)] != nil || n.ids[string(*id)]):
			r.twice(v, byID[string(*id)], "id", string(*id))
			continue
		case name != "" && other != nil && !(own[v] && own[other]):
			r.twice(v, other, "name", labels[0])
			continue
		}
		if *id != "" {
			byID[string(*id)] = v
			n.ids[string(*id)] = true
		}
		if name != "" && other == nil {
			byName[name] = v
		}
	}
	for _, v := range list {
		id, labels := of(v)
		if *id == "" {
			first := ""
			for _, l := range labels {
				if first == "" {
					first = l
				}
			}
			*id = S(r.freeID(known, first))
			if first = strings.TrimSpace(first); kind == "lane" && !n.ids[first] {
				*id = S(first) // a lane is called what is painted on its board
			}
		}
		n.add(string(*id), labels...)
		r.where[object{kind, string(*id)}] = r.records[v]
	}
}

// twice reports something given twice, with the row of the other one.
func (r *reading) twice(v, other any, field, what string) {
	s, ok := r.at(v, field)
	if !ok {
		return
	}
	first := "already"
	if rec := r.records[other]; rec != nil && other != nil {
		first = fmt.Sprintf("already in row %d", rec.row)
		if rec.sheet != s.rec.sheet {
			first += " of " + rec.sheet.name
		}
	}
	s.say(Stop, fmt.Sprintf("the %s %q is there %s", field, what, first), "give each its own id, or remove one of the two rows")
}

// takeStay makes a serial, duty or reset known as something after which a
// stay can begin.
func (r *reading) takeStay(v any, kind, id string, labels ...string) {
	r.names["stay"].add(id, labels...)
	if _, there := r.where[object{kind, id}]; !there {
		r.where[object{kind, id}] = r.records[v]
	}
}

// settleDuties makes a duty for each vehicle of a row, and gives them ids.
func (r *reading) settleDuties() {
	rows := r.duties
	taken := map[sp.DutyID]*dutyRow{}
	for _, d := range rows {
		if d.ID == "" {
			continue
		}
		if other := taken[d.ID]; other != nil {
			r.twice(d, other, "id", string(d.ID))
		}
		taken[d.ID] = d
		r.takeStay(d, "duty", string(d.ID))
	}
	r.duties = nil
	for _, d := range rows {
		r.do(func() {
			for i, item := range d.units.items() {
				one := *d
				one.Unit = item.unit
				if d.ID == "" || i > 0 {
					one.ID = freeDuty(taken, d.What, item.unit)
				}
				taken[one.ID] = &one
				r.duties = append(r.duties, &one)
				r.records[&one] = r.records[d]
				r.takeStay(&one, "duty", string(one.ID))
			}
		})
	}
}

func freeDuty(taken map[sp.DutyID]*dutyRow, what string, unit sp.UnitID) sp.DutyID {
	base := slug(what)
	if base == "" {
		base = "duty"
	}
	id := sp.DutyID(base + "/" + string(unit))
	for i := 2; taken[id] != nil; i++ {
		id = sp.DutyID(fmt.Sprintf("%s-%d/%s", base, i, unit))
	}
	return id
}

// settlePlaces resolves the plan made by hand, last of all.
func (r *reading) settlePlaces() {
	for _, p := range r.places {
		r.do(func() {
			if !p.units.filled() {
				return
			}
			id, ok := p.units.resolve("unit", p.units.cell.text)
			if !ok {
				return
			}
			p.Unit = sp.UnitID(id)
			if p.after.filled() && (!startWord[squash(p.after.cell.text)] || r.names["stay"].ids[p.after.cell.text]) {
				after, ok := p.after.resolve("stay", p.after.cell.text)
				if !ok {
					return
				}
				p.After = after
			}
			r.do(func() { r.sketch = append(r.sketch, p.Placement) })
		})
	}
}

// startWord are the words for the first stay.
var startWord = map[string]bool{"start": true, "thestart": true, "begin": true, "beginning": true, "firstmorning": true, "arrival": true, "first": true}
