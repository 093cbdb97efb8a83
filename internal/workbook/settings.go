package workbook

import (
	"strings"

	sp "sallyport"
)

// settings describes a sheet with one setting a row: its name in the first
// column, its value in the next.
type settings[T any] struct {
	kind, sheet, also, note string
	columns                 []column[T]
	target                  func(*reading) *T
	from                    func(*writing) *T // nil: nothing to write
}

var showSettings = settings[sp.Show]{
	kind: "show", sheet: "Show", also: "settings,general,about,event,the show,title,info",
	note: "What concerns the whole show.",
	columns: []column[sp.Show]{
		textCol("name", "Show", "name,show name,title,event,event name", "", func(v *sp.Show) *string { return &v.Name }),
		firstDateCol(),
		textCol("time_zone", "Time zone", "zone,timezone,tz", "such as Europe/London", func(v *sp.Show) *string { return &v.Zone }),
		wholeCol("teams", "Marshal teams", "teams,teams on duty", "on duty at once; empty: not checked", 0, func(v *sp.Show) *int { return &v.Park.Teams }),
		towPercentCol(),
	},
	target: func(r *reading) *sp.Show { return &r.show },
	from:   func(w *writing) *sp.Show { return w.show },
}

// towPercentCol is the rule for towing, "45" or "45 %".
func towPercentCol() column[sp.Show] {
	c := wholeCol("tow_percent", "Greatest towed mass (%)", "greatest towed mass,towed mass,tow percent,towing rule,most towed", "in percent of the towing vehicle's mass; empty: 45, a commercial rule from memory", 1, func(v *sp.Show) *int { return &v.Park.TowPercent })
	read := c.read
	c.read = func(s source, v *sp.Show) {
		s.cell.text = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(s.cell.text), "%"))
		read(s, v)
	}
	return c
}

func firstDateCol() column[sp.Show] {
	return column[sp.Show]{
		field: "first_date", header: "First date", also: "first day,start date,begins,from,date,dates", help: "of day 1, such as 2027-06-23",
		read: func(s source, v *sp.Show) {
			m, _, bad := cellMoment(s.cell)
			if bad != nil || !m.hasDay || !m.day.dated || m.day.noYear {
				s.say(Stop, "this is no date", "write it like 2027-06-23 or 23 June 2027")
				return
			}
			v.FirstDate = m.day.date.String()
		},
		write: func(_ *writing, v *sp.Show) cell { return textCell(v.FirstDate) },
	}
}

var weightSettings = settings[sp.Weights]{
	kind: "weights", sheet: "Weights", also: "weight,costs,prices,cost weights",
	note: "What everything a plan can be criticised for costs, in weighted people-seconds. Rows that are missing keep their built-in figures.",
	columns: []column[sp.Weights]{
		weightCol("people", "People for one move", "people", "driver and banksman", func(v *sp.Weights) *int { return &v.People }),
		weightCol("entry", "Lost entry", "entry", "of value 1, for the shut-in risk", func(v *sp.Weights) *sp.Amount { return &v.Entry }),
		weightCol("change", "Change of lane", "change,changes", "a vehicle comes home to another lane", func(v *sp.Weights) *sp.Amount { return &v.Change }),
		weightCol("told", "Away from a told lane", "told", "one stay", func(v *sp.Weights) *sp.Amount { return &v.Told }),
		weightCol("issue", "Change from the last issue", "issue", "one stay", func(v *sp.Weights) *sp.Amount { return &v.Issue }),
		weightCol("together", "Kept together", "together", "one night of a pair in different zones", func(v *sp.Weights) *sp.Amount { return &v.Together }),
		weightCol("idle_percent", "Idling (%)", "idling,idle percent,idle", "of one person's time", func(v *sp.Weights) *int { return &v.IdlePercent }),
		heavyFromCol(),
		weightCol("heavy_metre", "Heavy metre", "heavy metre reversed", "one metre reversed by a heavy vehicle", func(v *sp.Weights) *sp.Amount { return &v.HeavyMetre }),
		chanceWordCol(sp.StartsWell), chanceWordCol(sp.NeedsCoaxing), chanceWordCol(sp.DoubtfulStart), chanceWordCol(sp.NeverSeen),
	},
	target: func(r *reading) *sp.Weights {
		if r.weights == nil {
			w := sp.DefaultWeights()
			r.weights = &w
		}
		return r.weights
	},
	from: func(w *writing) *sp.Weights {
		if w.show.Weights.IsZero() {
			return nil
		}
		return &w.show.Weights
	},
}

// weightCol is a whole number that is written also when it is zero: a row that
// is missing keeps the built-in figure.
func weightCol[N ~int | ~int64](field, header, also, help string, at func(*sp.Weights) *N) column[sp.Weights] {
	c := wholeCol(field, header, also, help, 0, at)
	c.write = func(_ *writing, v *sp.Weights) cell { return intOrZero(int64(*at(v))) }
	return c
}

func heavyFromCol() column[sp.Weights] {
	c := massCol("heavy_from_kg", "Heavy from", "heavy,heavy from mass", "reversing is counted from this mass", func(v *sp.Weights) *sp.Kilograms { return &v.HeavyFrom })
	c.read = func(s source, v *sp.Weights) {
		s.quantity(aMass, true, false, func(n int64) { v.HeavyFrom = sp.Kilograms(n) })
	}
	c.write = func(_ *writing, v *sp.Weights) cell { return intOrZero(int64(v.HeavyFrom)) }
	return c
}

// chanceWordCol is the chance a word for starting stands for.
func chanceWordCol(word sp.StartWord) column[sp.Weights] {
	return column[sp.Weights]{
		field: string(word), header: "Chance: " + string(word), also: string(word), help: "percent",
		read: func(s source, v *sp.Weights) {
			s.chanceOf(func(c sp.Chance) {
				if v.StartWords == nil {
					v.StartWords = map[sp.StartWord]sp.Chance{}
				}
				v.StartWords[word] = c
			})
		},
		write: func(_ *writing, v *sp.Weights) cell {
			if c, ok := v.StartWords[word]; ok {
				return chanceCell(c)
			}
			return cell{}
		},
	}
}

// asSettings makes a sheetKind of settings.
func asSettings[T any](t settings[T]) sheetKind {
	k := sheetKind{layout: layout{kind: t.kind, sheet: t.sheet, also: t.also, upright: true}, note: t.note}
	for _, c := range t.columns {
		h := newHead(c.field, c.header, c.also)
		h.dim, h.bare, h.spans = c.dim, c.bare, c.spans
		k.heads = append(k.heads, h)
		k.titles = append(k.titles, title{c.header, c.help, c.choices, false})
	}
	k.read = func(r *reading, f *foundSheet) { t.readRows(r, f, &k) }
	k.headers = func(*writing) []string { return []string{"Setting", "Value"} }
	k.write = func(w *writing) [][]cell {
		v := t.from(w)
		if v == nil {
			return nil
		}
		var rows [][]cell
		for _, c := range t.columns {
			rows = append(rows, []cell{textCell(c.header), c.write(w, v)})
		}
		return rows
	}
	return k
}

func (t *settings[T]) readRows(r *reading, f *foundSheet, k *sheetKind) {
	for _, row := range f.rows {
		n, first := row.filled()
		if n == 0 || isRemark(row) {
			continue
		}
		name := row.cells[first]
		index, u := k.matchOne(name.text)
		rec := &record{sheet: f.sheet, row: row.number, first: first, cells: map[string]int{}}
		s := source{reading: r, rec: rec, col: first, field: t.kind, cell: name}
		switch {
		case name.kind != cellText || index < 0 && n == 1:
			continue // a title
		case index < 0 && settingTitle[squash(name.text)]:
			continue
		case index < 0:
			s.say(Note, "this setting is not known and was left out", "")
			continue
		case n == 1:
			continue
		}
		s.col = first + 1
		for row.cell(s.col).kind == cellBlank {
			s.col++
		}
		s.cell, s.field, s.unit = row.cell(s.col), t.columns[index].field, u
		if s.unit == nil && k.heads[index].dim != nil {
			if bare, ok := k.heads[index].dim.units["kg"]; ok {
				s.unit = &bare
			}
		}
		rec.cells[s.field] = s.col
		v := t.target(r)
		if r.records[v] == nil {
			r.records[v] = rec
		}
		if help := s.col > first+1 && strings.HasPrefix(s.cell.text, "# "); help || s.broken() {
			continue
		}
		t.columns[index].read(s, v)
	}
}

// settingTitle are headers above settings.
var settingTitle = map[string]bool{"setting": true, "settings": true, "what": true, "item": true, "field": true}
