package workbook

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	sp "sallyport"
)

// referable are the kinds of thing that cells name. A unit is a vehicle or a
// combination.
var referable = []string{"unit", "zone", "stretch", "lane", "line", "spot", "person", "serial", "stay"}

// names finds things of one kind by what people call them: the id, or a
// name, number or nickname without regard to case, spaces and punctuation.
type names struct {
	kind   string
	ids    map[string]bool
	exact  map[string][]string // ids by label as written
	folded map[string][]string // ids by label without case, spaces, punctuation
	labels []string            // in the order in which they came, for suggestions
}

func newNames(kind string) *names {
	return &names{kind: kind, ids: map[string]bool{}, exact: map[string][]string{}, folded: map[string][]string{}}
}

// add makes a thing known by its id and labels.
func (n *names) add(id string, labels ...string) {
	n.ids[id] = true
	for _, label := range append(slices.Clone(labels), id) {
		label = strings.TrimSpace(label)
		if label == "" {
			continue
		}
		n.exact[label] = addOnce(n.exact[label], id)
		if key := squash(label); key != "" {
			n.folded[key] = addOnce(n.folded[key], id)
		}
		n.labels = append(n.labels, label)
	}
}

func addOnce(list []string, s string) []string {
	for _, have := range list {
		if have == s {
			return list
		}
	}
	return append(list, s)
}

// find returns the ids that text may mean: the one with exactly that id, else
// those called exactly so, else those called so when case, spaces and
// punctuation do not count.
func (n *names) find(text string) []string {
	text = strings.TrimSpace(text)
	if n.ids[text] {
		return []string{text}
	}
	if ids := n.exact[text]; len(ids) > 0 {
		return ids
	}
	if key := squash(text); key != "" {
		return n.folded[key]
	}
	return nil
}

// knows reports whether text means exactly one thing.
func (n *names) knows(text string) bool { return len(n.find(text)) == 1 }

// knowsOne is knows for text in a cell that may list several things. What is
// not written exactly as a name, but is a list of names, is the list: "1, 2"
// does not mean vehicle 12.
func (n *names) knowsOne(text string) bool {
	text = strings.TrimSpace(text)
	if !n.knows(text) {
		return false
	}
	if n.ids[text] || len(n.exact[text]) > 0 {
		return true
	}
	if len(splitQuoted(text, hardSeparators)) > 1 {
		return false
	}
	list := splitLoose(text, looseSeparators, func(string) bool { return false })
	return len(list) < 2 || slices.ContainsFunc(list, func(part string) bool { return !n.knows(part) })
}

// resolve returns the id a cell names. An unknown name is reported with the
// one obvious near miss, when there is one, but never taken for it.
func (s source) resolve(kind, text string) (string, bool) {
	n := s.names[kind]
	text = strings.TrimSpace(text)
	ids := n.find(text)
	if len(ids) == 0 {
		// "Avocet (F 1)": the part before the brackets decides.
		if before, _, ok := strings.Cut(text, "("); ok && strings.HasSuffix(text, ")") {
			ids = n.find(before)
		}
	}
	if len(ids) == 0 {
		ids = n.find(withoutKind(kind, text)) // "serial 2", "lane A1"
	}
	switch {
	case len(ids) == 1:
		return ids[0], true
	case len(ids) > 1:
		sort.Strings(ids)
		s.say(Stop, fmt.Sprintf("%q may be any of %s", text, strings.Join(ids, ", ")), "write the id")
		return "", false
	}
	if s.unread[kind] {
		return "", false // its sheet could not be read; that is reported
	}
	near, ok := "", false
	if s.suggestions < maxSuggestions && len(n.labels) <= 20_000 {
		near, ok = nearest(text, n.labels, func(a, b string) bool { return slices.Equal(n.find(a), n.find(b)) })
		s.suggestions++
	}
	if ok {
		s.say(Stop, fmt.Sprintf("there is no %s %q", kindWord(kind), shorten(text)), fmt.Sprintf("write %s if that is meant, or add it to the sheet %s", near, sheetOf(kind)))
		return "", false
	}
	if id, made := s.grow(kind, text); made {
		return id, true
	}
	s.say(Stop, fmt.Sprintf("there is no %s %q", kindWord(kind), shorten(text)), "correct the name or add it to the sheet "+sheetOf(kind))
	return "", false
}

// withoutKind takes a leading word off that only says what is named.
func withoutKind(kind, text string) string {
	word, rest, ok := strings.Cut(text, " ")
	switch w := strings.ToLower(word); {
	case !ok:
	case w == kind, w == "no.", w == "no", kind == "stay" && (w == "serial" || w == "duty" || w == "reset"):
		return rest
	}
	return ""
}

// grow makes a zone, stretch or line that is only mentioned, in a source that
// has no sheet for them, and people anywhere.
func (s source) grow(kind, text string) (string, bool) {
	r := s.reading
	if kind != "person" && r.given[kind] || squash(text) == "" {
		return "", false
	}
	id := r.freeID(kind, text)
	switch kind {
	case "zone":
		r.zones = append(r.zones, &sp.Zone{ID: sp.ZoneID(id), Name: text})
	case "stretch":
		r.stretch = append(r.stretch, &sp.Stretch{ID: sp.StretchID(id), Name: text})
	case "line":
		r.lines = append(r.lines, &sp.Line{ID: sp.LineID(id), Name: text})
	case "person":
		r.people = append(r.people, &sp.Person{ID: sp.PersonID(id), Name: text})
		if r.given[kind] {
			s.say(Note, fmt.Sprintf("%q is not on the sheet People and was added", text), "add the person there, or correct the name")
		}
	default:
		return "", false
	}
	r.names[kind].add(id, text)
	return id, true
}

// freeID returns an id made from a name, with a number when it is taken.
func (r *reading) freeID(kind, name string) string {
	n := r.names[kind]
	base := slug(name)
	if base == "" {
		base = strings.ReplaceAll(kindWord(kind), " ", "-")
	}
	id := base
	for i := 2; n.ids[id]; i++ {
		id = fmt.Sprintf("%s-%d", base, i)
	}
	return id
}

// kindWord returns what a kind is called in a sentence.
func kindWord(kind string) string {
	switch kind {
	case "unit":
		return "vehicle"
	case "line":
		return "forming-up line"
	case "stay":
		return "serial, duty or reset"
	}
	return kind
}

// sheetOf returns the sheet on which a kind of thing is listed.
func sheetOf(kind string) string {
	switch kind {
	case "unit":
		return "Vehicles"
	case "stay":
		return "Serials"
	}
	for _, k := range sheetKinds {
		if k.kind == kind {
			return k.sheet
		}
	}
	return kind
}

// splitList splits a cell that lists names. Line ends and semicolons always
// separate; commas, slashes, ampersands and "and" only where what stands
// around them is not itself a name. Double quotes keep a name together.
func splitList(text string, known func(string) bool) []string {
	var items []string
	for _, piece := range splitQuoted(text, hardSeparators) {
		if unquoted, ok := unquote(piece); ok {
			items = append(items, unquoted)
			continue
		}
		items = append(items, splitLoose(piece, looseSeparators, known)...)
	}
	return items
}

// hardSeparators always separate.
const hardSeparators = "\n;"

// looseSeparators separate only what is no name together.
var looseSeparators = []string{",", "/", "&", " and "}

// splitTexts splits a cell that lists plain texts, at line ends, semicolons and
// commas outside double quotes.
func splitTexts(text string) []string {
	var items []string
	for _, piece := range splitQuoted(text, "\n;,") {
		if item, quoted := unquote(piece); item != "" || quoted {
			items = append(items, item)
		}
	}
	return items
}

// splitLoose splits by the first separator that occurs, and the parts by the
// others, but keeps what is a name.
func splitLoose(piece string, seps []string, known func(string) bool) []string {
	piece = strings.TrimSpace(piece)
	if piece == "" {
		return nil
	}
	if known(piece) || len(seps) == 0 {
		return []string{piece}
	}
	var parts []string
	if len(seps[0]) == 1 {
		parts = splitQuoted(piece, seps[0])
	} else {
		parts = strings.Split(piece, seps[0])
	}
	parts = joinKnown(parts, seps[0], known)
	var items []string
	for _, p := range parts {
		if unquoted, ok := unquote(p); ok {
			items = append(items, unquoted)
			continue
		}
		items = append(items, splitLoose(p, seps[1:], known)...)
	}
	return items
}

// joinKnown puts parts together again that are a name only together, such as
// "Curlew, first of two".
func joinKnown(parts []string, sep string, known func(string) bool) []string {
	if len(parts) < 2 || len(parts) > 200 {
		return parts
	}
	var joined []string
	for i := 0; i < len(parts); {
		end := i + 1
		for j := min(i+4, len(parts)); j > i+1; j-- {
			if known(strings.TrimSpace(strings.Join(parts[i:j], sep))) {
				end = j
				break
			}
		}
		joined = append(joined, strings.Join(parts[i:end], sep))
		i = end
	}
	return joined
}

// splitQuoted splits at any of the separators outside double quotes and
// brackets; what is never closed does not protect.
func splitQuoted(text, separators string) []string {
	var parts []string
	start, depth := 0, 0
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c == '"' && strings.TrimSpace(text[start:i]) == "":
			i += quotedLength(text[i:])
		case c == '(' && strings.IndexByte(text[i:], ')') > 0:
			depth++
		case c == ')' && depth > 0:
			depth--
		case depth == 0 && strings.IndexByte(separators, c) >= 0:
			parts = append(parts, text[start:i])
			start = i + 1
		}
	}
	return append(parts, text[start:])
}

// quotedLength returns how far the closing quote is from the opening one at
// the start of s; 0 when it is never closed.
func quotedLength(s string) int {
	for i := 1; i < len(s); i++ {
		if s[i] != '"' {
			continue
		}
		if i+1 < len(s) && s[i+1] == '"' {
			i++
			continue
		}
		return i
	}
	return 0
}

// unquote takes the double quotes off a name; doubled ones inside stand for
// one.
func unquote(s string) (string, bool) {
	s = strings.TrimSpace(s)
	if len(s) < 2 || s[0] != '"' || s[len(s)-1] != '"' {
		return s, false
	}
	return strings.ReplaceAll(s[1:len(s)-1], `""`, `"`), true
}

// joinList writes names so that splitList reads them back.
func joinList(items []string) string {
	quoted := make([]string, len(items))
	for i, s := range items {
		quoted[i] = s
		if strings.ContainsAny(s, "\n;,/&\"()+") || strings.Contains(s, " and ") || strings.TrimSpace(s) != s || s == "" {
			quoted[i] = `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
		}
	}
	return strings.Join(quoted, "; ")
}
