package workbook

import (
	"fmt"
	"slices"
	"strings"

	sp "sallyport"
)

// Pasted is what rows copied from a spreadsheet make of a show.
type Pasted struct {
	Show     *sp.Show
	Problems []Problem // by row and column of what was pasted
}

// pastedHeads are the columns that rows without headers are taken to have.
var pastedHeads = []string{"Serial", "Name", "Line", "Form up by", "Arena in", "Arena out", "Home by", "Vehicles"}

// Paste reads rows copied from a spreadsheet into the order of events of a
// show, which is not changed. With a row of headers the columns may be any of
// the sheets of serials or of entries; without, they are those of pastedHeads.
// day, counted from 1, is that of times which name none; 0: not given. A serial
// whose id, or whose number on that day, the show has already is changed in
// what the columns say; others are new. Nothing is silently dropped: what
// cannot be read is a problem with its row and column.
func Paste(show *sp.Show, day int, text string) Pasted {
	x := pasting{show: show, day: day}
	if day < 0 || day > len(show.Days) {
		return Pasted{show, []Problem{{Message: fmt.Sprintf("the show has no day %d", day), Advice: fmt.Sprintf("it has %s", plural(len(show.Days), "day")), Severity: Stop}}}
	}
	rows, err := pastedRows(text)
	if err != nil {
		no := err.(*refusal)
		return Pasted{show, []Problem{{Message: no.message, Advice: no.advice, Severity: Stop}}}
	}
	if len(rows) == 0 {
		return Pasted{show, []Problem{{Message: "nothing was pasted", Advice: "copy rows in a spreadsheet first", Severity: Stop}}}
	}
	return x.read(rows)
}

// pastedRows splits what was copied into rows; spreadsheets put tabs between
// cells.
func pastedRows(text string) ([]sheetRow, error) {
	data, err := readable([]byte(text))
	if err != nil {
		return nil, err
	}
	text = string(data)
	p := splitter{text: text, sep: '\t'}
	if !strings.Contains(text, "\t") {
		p.sep = separator(text)
	}
	var rows []sheetRow
	for p.more() {
		row, err := p.record()
		if err != nil {
			return nil, err
		}
		if n, _ := row.filled(); n > 0 {
			rows = append(rows, row)
		}
		if len(rows) > maxRows {
			return nil, refuse("paste less at once", "there are more than %d filled rows", maxRows)
		}
	}
	return rows, nil
}

// pasting is one paste.
type pasting struct {
	show   *sp.Show
	day    int
	kind   *sheetKind
	fields map[string]bool // that the columns say
}

func (x *pasting) read(rows []sheetRow) Pasted {
	rows = x.headed(rows)
	w := newWriting(x.show, nil)
	w.apart = true
	var sheets []*sheet
	for i := range sheetKinds {
		k := &sheetKinds[i]
		switch {
		case k == x.kind:
			sheets = append(sheets, &sheet{name: k.sheet, rows: rows})
		case k.kind == "entry" && !x.fields["entries"]:
			// No column says who takes part: that no row does is no finding.
			sheets = append(sheets, &sheet{name: k.sheet, rows: []sheetRow{{number: 1, cells: textCells(k.headers(w))}}})
		case k.kind == "entry", k.kind == "serial" && x.kind.kind == "serial":
		default:
			if s := sheetToRead(k, w); len(s.rows) > 1 {
				sheets = append(sheets, s)
			}
		}
	}
	in := interpret(sheets, nil)
	out := Pasted{Show: x.merge(in)}
	for _, p := range in.Problems {
		if p.Sheet == x.kind.sheet && p.Row > 0 {
			p.Sheet = ""
			out.Problems = append(out.Problems, p)
		}
	}
	return out
}

// sheetToRead is a sheet of the show as it would be written.
func sheetToRead(k *sheetKind, w *writing) *sheet {
	s := &sheet{name: k.sheet, rows: []sheetRow{{number: 1, cells: textCells(k.headers(w))}}}
	for i, cells := range k.write(w) {
		s.rows = append(s.rows, sheetRow{number: i + 2, cells: cells})
	}
	return s
}

// headed finds out what the columns are; rows without headers get a row of
// them. Below the headers a row with the day heads those that name none.
func (x *pasting) headed(rows []sheetRow) []sheetRow {
	serials, entries := kindByName("Serials"), kindByName("Entries")
	heads, known, key := serials.match(rows[0])
	x.kind = serials
	if _, as, keyed := entries.match(rows[0]); keyed && as >= known && !timed(serials, heads) && !(known >= 2 && as < 2) {
		x.kind = entries
		heads, known, key = entries.match(rows[0])
	}
	if !key || known < 2 && len(heads) > 1 {
		x.kind = serials
		header := sheetRow{cells: textCells(pastedHeads)}
		heads, _, _ = serials.match(header)
		rows = append([]sheetRow{header}, rows...)
	}
	x.fields = map[string]bool{}
	for _, h := range heads {
		if h.index >= 0 {
			x.fields[x.kind.heads[h.index].field] = true
		}
	}
	if x.day > 0 && x.kind == serials {
		rows = slices.Insert(slices.Clone(rows), 1, sheetRow{cells: textCells([]string{fmt.Sprintf("D%d", x.day)})})
	}
	return rows
}

// timed reports whether any of the headers is that of a time of a serial.
func timed(k *sheetKind, heads []*headCell) bool {
	return slices.ContainsFunc(heads, func(h *headCell) bool {
		return h.index >= 0 && slices.Contains([]string{"form_from", "form_up", "arena_in", "arena_out", "home_by", "line"}, k.heads[h.index].field)
	})
}

// merge puts what was read into the show: vehicles and people that it did not
// have, and the serials.
func (x *pasting) merge(in *Input) *sp.Show {
	out := *x.show
	out.Vehicles, out.People, out.Serials = slices.Clone(out.Vehicles), slices.Clone(out.People), slices.Clone(out.Serials)
	out.Combinations = slices.Clone(out.Combinations)
	for _, v := range in.Show.Vehicles {
		if !slices.ContainsFunc(out.Vehicles, func(o sp.Vehicle) bool { return o.ID == v.ID }) {
			out.Vehicles = append(out.Vehicles, v)
		}
	}
	for _, c := range in.Show.Combinations {
		if !slices.ContainsFunc(out.Combinations, func(o sp.Combination) bool { return o.ID == c.ID }) {
			out.Combinations = append(out.Combinations, c)
		}
	}
	for _, p := range in.Show.People {
		if !slices.ContainsFunc(out.People, func(o sp.Person) bool { return o.ID == p.ID }) {
			out.People = append(out.People, p)
		}
	}
	for _, s := range in.Show.Serials {
		if x.kind.kind == "entry" {
			x.addEntries(&out, s)
			continue
		}
		i, id := x.known(&s)
		if i < 0 {
			s.ID = id
			s.Entries = ownIDs(s.ID, s.Entries, nil)
			out.Serials = append(out.Serials, s)
			continue
		}
		out.Serials[i] = x.changed(out.Serials[i], s)
	}
	return &out
}

// known returns the number of the show's serial that a pasted one is; -1 and
// the id that it gets when it is none. A bare number counts on its day.
func (x *pasting) known(s *sp.Serial) (int, sp.SerialID) {
	if i := slices.IndexFunc(x.show.Serials, func(o sp.Serial) bool { return o.ID == s.ID }); i >= 0 {
		return i, s.ID
	}
	day := x.day
	if t := firstOf(s.ArenaIn, s.FormUp, s.FormFrom, s.ArenaOut); t != 0 {
		day = t.Day()
	}
	before := ""
	for i, o := range x.show.Serials {
		prefix, number, ok := strings.Cut(string(o.ID), "-")
		if t := firstOf(o.ArenaIn, o.FormUp, o.FormFrom, o.ArenaOut); !ok || day == 0 || t.Day() != day || strings.Trim(number, "0123456789") != "" {
			continue
		}
		if number == string(s.ID) {
			return i, o.ID
		}
		before = prefix + "-"
	}
	if strings.Trim(string(s.ID), "0123456789") == "" {
		return -1, sp.SerialID(before) + s.ID
	}
	return -1, s.ID
}

// changed returns a serial with what the columns say of it.
func (x *pasting) changed(old, s sp.Serial) sp.Serial {
	set := func(field string, put func()) {
		if x.fields[field] {
			put()
		}
	}
	set("name", func() { old.Name = s.Name })
	set("line", func() { old.Line = s.Line })
	set("home_line", func() { old.HomeLine = s.HomeLine })
	set("form_from", func() { old.FormFrom = s.FormFrom })
	set("form_up", func() { old.FormUp = s.FormUp })
	set("arena_in", func() { old.ArenaIn = s.ArenaIn })
	set("arena_out", func() { old.ArenaOut = s.ArenaOut })
	set("home_by", func() { old.HomeBy = s.HomeBy })
	set("travel_s", func() { old.Travel = s.Travel })
	set("note", func() { old.Note = s.Note })
	set("entries", func() { old.Entries = x.updated(old.ID, old.Entries, s.Entries) })
	set("leaving", func() {
		s.Leaving = slices.Clone(s.Leaving)
		for i, id := range s.Leaving {
			for _, e := range s.Entries {
				for _, o := range old.Entries {
					if e.ID == id && o.Unit == e.Unit {
						s.Leaving[i] = o.ID
					}
				}
			}
		}
		old.Leaving = s.Leaving
	})
	kept := map[sp.EntryID]bool{}
	for _, e := range old.Entries {
		kept[e.ID] = true
	}
	old.Leaving = slices.DeleteFunc(slices.Clone(old.Leaving), func(id sp.EntryID) bool { return !kept[id] })
	return old
}

// updated returns pasted entries with what the show knows of the same vehicles
// in that serial, where the columns do not say it.
func (x *pasting) updated(id sp.SerialID, old, pasted []sp.Entry) []sp.Entry {
	list := ownIDs(id, pasted, old)
	for i := range list {
		for _, o := range old {
			if o.Unit == list[i].Unit {
				list[i] = x.entry(o, list[i])
			}
		}
	}
	return list
}

// entry returns an entry of the show with what the columns say of it.
func (x *pasting) entry(old, e sp.Entry) sp.Entry {
	if x.fields["driver"] {
		old.Driver = e.Driver
	}
	if x.fields["crew"] {
		old.Crew = e.Crew
	}
	if x.fields["reserves"] || len(e.Reserves) > 0 {
		old.Reserves = e.Reserves
	}
	if x.fields["value"] {
		old.Value = e.Value
	}
	if x.fields["join"] {
		old.Join = e.Join
	}
	return old
}

// ownIDs gives entries ids of their serial, which may be another than the one
// that was pasted; none that the vehicles of old have.
func ownIDs(serial sp.SerialID, entries, old []sp.Entry) []sp.Entry {
	list := slices.Clone(entries)
	for i := range list {
		list[i].ID = entryID(serial, list[i].Unit)
		for n := 2; slices.ContainsFunc(old, func(o sp.Entry) bool { return o.ID == list[i].ID && o.Unit != list[i].Unit }); n++ {
			list[i].ID = sp.EntryID(fmt.Sprintf("%s-%d", entryID(serial, list[i].Unit), n))
		}
	}
	return list
}

// addEntries adds pasted entries to their serial: vehicles that it has already
// are changed, others come at its end.
func (x *pasting) addEntries(out *sp.Show, s sp.Serial) {
	i := slices.IndexFunc(out.Serials, func(o sp.Serial) bool { return o.ID == s.ID })
	if i < 0 || len(s.Entries) == 0 {
		return
	}
	old := &out.Serials[i]
	old.Entries = slices.Clone(old.Entries)
	for _, e := range s.Entries {
		at := slices.IndexFunc(old.Entries, func(o sp.Entry) bool { return o.Unit == e.Unit })
		if at < 0 {
			old.Entries = append(old.Entries, e)
			continue
		}
		old.Entries[at] = x.entry(old.Entries[at], e)
	}
}
