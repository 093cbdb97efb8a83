package workbook

import (
	"fmt"
	"slices"
	"strings"
)

// layout is what a kind of sheet looks like: its name and its headers.
type layout struct {
	kind    string   // of the things on it, as in names and records
	sheet   string   // its name as written
	also    string   // other names, separated by commas
	keys    []string // fields of which a header row shows at least one
	heads   []head
	upright bool // one setting a row, its name in the first column
}

// head is a header that is looked for.
type head struct {
	field string
	names map[string]bool // folded, without spaces
	dim   *dimension
	bare  string
	spans bool
	upTo  int64
}

// hasHead reports whether a folded header is one of the layout's.
func (k *layout) hasHead(key string) bool {
	for _, h := range k.heads {
		if h.names[key] {
			return key != ""
		}
	}
	return false
}

// headCell is a header that was found.
type headCell struct {
	col     int
	row     int
	title   string
	index   int // of the head; -1: an extra column
	unit    *unit
	upTo    int64
	assumed bool // no header says the unit, the column's own was taken
	warned  bool
	again   int // the head that it means too, when warned of
}

// foundSheet is a sheet whose kind and headers are known.
type foundSheet struct {
	*sheet
	header int // index of its header row; -1: none
	heads  []*headCell
}

// newHead makes the head of a column.
func newHead(field, header, also string) head {
	h := head{field: field, names: map[string]bool{}}
	base, _, _ := strings.Cut(header, "(")
	for _, name := range append(strings.Split(also, ","), base, field) {
		if key := squash(name); key != "" {
			h.names[key] = true
		}
	}
	return h
}

// identify finds out what each sheet is, by its name or else by its headers.
func (r *reading) identify(sheets []*sheet) map[string][]*foundSheet {
	found := map[string][]*foundSheet{}
	known := 0
	for _, s := range sheets {
		if len(s.rows) == 0 {
			r.report(Problem{Sheet: s.name, Message: "the sheet is empty", Severity: Note})
			continue
		}
		k, f := r.identifyOne(s)
		if k == nil {
			continue
		}
		found[k.sheet] = append(found[k.sheet], f)
		r.checkHeads(k, f)
		known++
	}
	if known == 0 && len(r.problems) == 0 {
		r.report(Problem{Message: "there is nothing in it", Advice: "fill in the template and try again", Severity: Stop})
	} else if known == 0 && !r.stopped() {
		var names []string
		for i, s := range sheets {
			if i == 6 {
				names = append(names, "…")
				break
			}
			names = append(names, s.name)
		}
		r.report(Problem{
			Message: fmt.Sprintf("none of the sheets (%s) is one of a show", strings.Join(names, ", ")),
			Advice:  "it needs sheets such as Vehicles, Lanes and Serials with their headers; the template shows them", Severity: Stop,
		})
	}
	return found
}

// stopped reports whether a problem that stops planning is known already.
func (r *reading) stopped() bool {
	for _, p := range r.problems {
		if p.Severity == Stop {
			return true
		}
	}
	return false
}

func (r *reading) identifyOne(s *sheet) (*sheetKind, *foundSheet) {
	if k := kindByName(s.name); k != nil {
		if f := k.find(s); f != nil {
			return k, f
		}
		if k2, f := bestKind(s); k2 != nil {
			return k2, f
		}
		r.markUnread(k)
		r.report(Problem{
			Sheet: s.name, Message: "no row of headers was found",
			Advice: "put the headers into one row above the data, with at least " + k.keyHeader(), Severity: Stop,
		})
		return nil, nil
	}
	k, f := bestKind(s)
	if k == nil {
		r.report(Problem{Sheet: s.name, Message: "the sheet was left out: neither its name nor its headers are known", Advice: "name it as in the template if it belongs to the show", Severity: Note})
		return nil, nil
	}
	r.report(Problem{Sheet: s.name, Message: "the sheet was read as " + k.sheet + ", by its headers", Advice: "name it " + k.sheet, Severity: Assumed})
	return k, f
}

// markUnread notes that a sheet is there but could not be read, so that what
// it would have held is not missed.
func (r *reading) markUnread(k *sheetKind) {
	r.unread[k.kind] = true
	if k.kind == "vehicle" {
		r.unread["unit"] = true
	}
}

// idleWords may stand in the name of a sheet without changing what it is.
var idleWords = map[string]bool{
	"final": true, "draft": true, "copy": true, "of": true, "list": true, "sheet": true, "the": true, "all": true, "new": true, "our": true,
	"show": true, "for": true, "table": true, "v1": true, "v2": true, "v3": true, "issue": true, "updated": true, "current": true,
}

// kindByName finds a kind of sheet by the name of a sheet; years, numbers and
// idle words do not count.
func kindByName(name string) *sheetKind {
	var words []string
	for _, w := range strings.Fields(fold(name)) {
		if !idleWords[w] && strings.Trim(w, "0123456789") != "" {
			words = append(words, w)
		}
	}
	for _, key := range []string{squash(name), strings.Join(words, "")} {
		for i := range sheetKinds {
			for _, n := range append(strings.Split(sheetKinds[i].also, ","), sheetKinds[i].sheet) {
				if key != "" && squash(n) == key {
					return &sheetKinds[i]
				}
			}
		}
	}
	return nil
}

// bestKind finds the kind of sheet whose headers fit best: at least two, and
// half of all headers, must be known. Among equals the earlier kind is taken.
func bestKind(s *sheet) (*sheetKind, *foundSheet) {
	var best *sheetKind
	var bestFound *foundSheet
	score := 0
	for i := range sheetKinds {
		k := &sheetKinds[i]
		if k.upright {
			continue
		}
		f := k.find(s)
		if f == nil {
			continue
		}
		known := 0
		for _, h := range f.heads {
			if h.index >= 0 {
				known++
			}
		}
		if known >= 2 && known*2 >= len(f.heads) && known > score {
			best, bestFound, score = k, f, known
		}
	}
	return best, bestFound
}

// headerRows is how far down a header row is looked for.
const headerRows = 40

// find looks for the header row: the one with the most known headers, a key
// among them. Upright sheets have none.
func (k *layout) find(s *sheet) *foundSheet {
	if k.upright {
		return &foundSheet{sheet: s, header: -1}
	}
	var best *foundSheet
	most := 0
	for i := 0; i < len(s.rows) && i < headerRows; i++ {
		if isRemark(s.rows[i]) {
			continue
		}
		heads, known, key := k.match(s.rows[i])
		if key && known > most {
			best, most = &foundSheet{sheet: s, header: i, heads: heads}, known
		}
	}
	return best
}

// match reads a row as headers.
func (k *layout) match(row sheetRow) (heads []*headCell, known int, key bool) {
	taken := map[int]bool{}
	for col, c := range row.cells {
		if c.kind == cellBlank {
			continue
		}
		h := &headCell{col: col, row: row.number, title: c.text, index: -1}
		if c.kind == cellText {
			h.index, h.unit = k.matchOne(c.text)
		}
		if h.index >= 0 && taken[h.index] {
			h.index, h.warned, h.again = -1, true, h.index
		}
		if h.index >= 0 {
			taken[h.index] = true
			known++
			h.upTo = k.heads[h.index].upTo
			for _, f := range k.keys {
				key = key || k.heads[h.index].field == f
			}
		}
		heads = append(heads, h)
	}
	for _, h := range heads {
		if h.warned && k.besideNumber(heads, h, taken) {
			known++
		}
	}
	return heads, known, key
}

// besideNumber settles what h means, whose meaning a header before it has
// taken, when one of the two counts and the other names and no other header is
// a name: in "No | Serial" and "Serial | No" the number is the id and the
// serial the name.
func (k *layout) besideNumber(heads []*headCell, h *headCell, taken map[int]bool) bool {
	name := slices.IndexFunc(k.heads, func(x head) bool { return x.field == "name" })
	i := slices.IndexFunc(heads, func(o *headCell) bool { return o.index == h.again })
	if name < 0 || taken[name] || i < 0 || k.heads[h.again].field != "id" {
		return false
	}
	counts := func(o *headCell) bool {
		switch squash(o.title) {
		case "no", "nr", "number", "item":
			return true
		}
		return false
	}
	first := heads[i]
	if counts(first) == counts(h) {
		return false
	}
	h.index, h.warned = name, false
	if counts(h) {
		h.index, first.index = first.index, name
	}
	taken[name] = true
	return true
}

// matchOne finds the head a header means, and the unit it says: "Length (ft)",
// "Length in feet", "length_cm".
func (k *layout) matchOne(text string) (int, *unit) {
	text = strings.TrimRight(strings.TrimSpace(text), "*:")
	base, inside := text, ""
	if open := strings.IndexAny(text, "(["); open >= 0 {
		base = text[:open]
		if end := strings.IndexAny(text[open:], ")]"); end > 0 {
			inside = text[open+1 : open+end]
			base += " " + text[open+end+1:]
		}
	}
	full := squash(text)
	for i, h := range k.heads {
		if h.names[full] && full != "" {
			words := strings.Fields(fold(text))
			return i, h.unitWord(words[len(words)-1])
		}
	}
	if key := squash(base); key != "" && inside != "" {
		for i, h := range k.heads {
			if h.names[key] {
				return i, h.unitWord(inside)
			}
		}
	}
	words := strings.Fields(fold(strings.ReplaceAll(base, "/", " ")))
	for cut := 1; cut <= 2 && cut < len(words); cut++ {
		key := strings.Join(words[:len(words)-cut], "")
		for i, h := range k.heads {
			if !h.names[key] || h.dim == nil && !h.spans {
				continue
			}
			word := strings.TrimPrefix(strings.Join(words[len(words)-cut:], " "), "in ")
			if u := h.unitWord(word); u != nil {
				return i, u
			}
		}
	}
	return -1, nil
}

// unitWord reads the unit a header says; nil when it says none.
func (h head) unitWord(text string) *unit {
	text = tidyQuantity(text)
	if h.spans {
		if n, ok := spanUnits[text]; ok {
			return &unit{name: text, num: n, den: 1}
		}
		return nil
	}
	if h.dim == nil {
		return nil
	}
	if u, ok := h.dim.units[strings.ReplaceAll(text, " ", "")]; ok {
		return &u
	}
	for _, w := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '/' || r == '&' || r == ',' || r == '.' }) {
		if u, ok := h.dim.units[w]; ok && (w != "in" || text == "in") {
			return &u
		}
	}
	return nil
}

// checkHeads gives columns their own units where the header says none, and
// reports headers that cannot be used.
func (r *reading) checkHeads(k *sheetKind, f *foundSheet) {
	for _, h := range f.heads {
		if h.warned {
			r.sayHead(f, h, Assumed, "another column has the same meaning; this one is only kept as it is", "rename or remove one of the two")
			h.warned = false
		}
		if h.index < 0 {
			continue
		}
		head := k.heads[h.index]
		if h.unit != nil && h.unit.ask != "" {
			r.sayHead(f, h, Stop, fmt.Sprintf("%q has more than one meaning", h.unit.name), h.unit.ask)
			h.warned = true
		}
		if h.unit == nil && head.dim != nil && head.bare != "" {
			u := head.dim.units[head.bare]
			h.unit, h.assumed = &u, true
		}
	}
}

func (r *reading) sayHead(f *foundSheet, h *headCell, severity Severity, message, advice string) {
	r.report(Problem{
		Sheet: f.name, Cell: cellName(h.row, h.col), Row: h.row, Column: h.col + 1, Field: "header", Value: h.title,
		Message: message, Advice: advice, Severity: severity,
	})
}

// headerSaysUnit reports whether a bare number in the cell's column has a
// known unit; when not, that is said once, at the header.
func (s source) headerSaysUnit(d *dimension) bool {
	h := s.head
	switch {
	case h == nil || s.unit == nil && h.warned || h.unit != nil && h.unit.ask != "":
		return h == nil
	case s.unit == nil:
		h.warned = true
		s.sayAt(h, Stop, "the numbers in this column have no unit", "put it into the header, such as "+d.example())
		return false
	case h.assumed && !h.warned:
		h.warned = true
		s.sayAt(h, Assumed, "the header says no unit: bare numbers are read as "+s.unit.name, fmt.Sprintf("write %s (%s)", strings.TrimSpace(h.title), s.unit.name))
	}
	return true
}

func (s source) sayAt(h *headCell, severity Severity, message, advice string) {
	s.sayHead(&foundSheet{sheet: s.rec.sheet}, h, severity, message, advice)
}

// isRemark reports whether a row is a remark: its first filled cell starts
// with "# ".
func isRemark(row sheetRow) bool {
	_, first := row.filled()
	if first < 0 {
		return false
	}
	text := row.cells[first].text
	return text == "#" || strings.HasPrefix(text, "# ")
}
