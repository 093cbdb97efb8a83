package workbook

import (
	"fmt"
	"regexp"
	"strings"

	sp "sallyport"
)

// item is one unit named in a list, with reserves named beside it.
type item struct {
	unit     sp.UnitID
	reserves []sp.UnitID
}

var (
	confirmed  = regexp.MustCompile(`(?i)[\s,(]+(?:to be confirmed|t\.b\.c\.?|tbc|unconfirmed)\s*\)?(\s*(?:$|[,/&]|and ))`)
	holder     = regexp.MustCompile(`(?i)^(\d{1,2}|one|two|three|four|five|six|seven|eight|nine|ten|an?)\s*[x×]?\s+(.+?)\s*tbc$`)
	holderBack = regexp.MustCompile(`(?i)^(.+?)\s*[x×]\s*(\d{1,2})\s*tbc$`)
	inReserve  = regexp.MustCompile(`(?i)\s*[(\[]\s*(?:in reserve|reserves?|res\.?)\s*:?\s*([^)\]]+)[)\]]\s*$`)
	counted    = regexp.MustCompile(`^\s*(?:\d{1,3}[.)]|[-*•])\s+`)
)

var countWords = map[string]int{"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10}

// holderClasses are the words for placeholders, and the classes they mean.
var holderClasses = []word{
	{"light wheeled", "light vehicle, car, light car, jeep, light wheel, light, motorcycle, bike"},
	{"heavy wheeled", "lorry, lorrie, truck, heavy vehicle, wheel, wheeled vehicle, armoured car, heavy wheel, bus"},
	{"half-tracked", "half track, halftrack"},
	{"tracked carrier", "carrier, light tracked"},
	{"heavy tracked", "tank, tracked vehicle, heavy, heavie, track"},
	{"steam", "steam engine, steam tractor, engine, traction engine, steamer"},
	{"towed", "gun, trailer, towed gun, towed item"},
	{"vehicle", "vehicle, guest, visitor, vehicles"},
}

// items reads a list of units: names in order, placeholders such as "2
// carriers tbc", combinations such as "Heron + Egret gun", and reserves in
// brackets: "Avocet (reserve Dunlin)".
func (s source) items() []item {
	if !s.filled() {
		return nil
	}
	n := s.names["unit"]
	known := func(piece string) bool {
		return n.knowsOne(piece) || n.knowsOne(counted.ReplaceAllString(piece, ""))
	}
	if n.knowsOne(s.cell.text) {
		return []item{{unit: sp.UnitID(n.find(s.cell.text)[0])}}
	}
	var items []item
	for _, piece := range splitQuoted(s.cell.text, hardSeparators) {
		if name, quoted := unquote(piece); quoted {
			items = append(items, s.itemsOf(name)...)
			continue
		}
		if !known(piece) {
			piece = confirmed.ReplaceAllString(piece, " tbc$1") // "two carriers, to be confirmed" is one item
		}
		for _, one := range splitLoose(piece, looseSeparators, known) {
			items = append(items, s.itemsOf(one)...)
		}
	}
	return items
}

func (s source) itemsOf(piece string) []item {
	n := s.names["unit"]
	if !n.knows(piece) {
		piece = strings.TrimSpace(counted.ReplaceAllString(piece, ""))
	}
	if n.knows(piece) {
		return []item{{unit: sp.UnitID(n.find(piece)[0])}}
	}
	if m := inReserve.FindStringSubmatchIndex(piece); m != nil {
		return s.withReserves(piece[:m[0]], piece[m[2]:m[3]])
	}
	if found, ok := s.placeholders(piece); ok {
		return found
	}
	if strings.Contains(piece, "+") {
		if id, ok := s.coupled(piece); ok {
			return []item{{unit: id}}
		}
		return nil
	}
	if name, tbc := strings.CutSuffix(piece, " tbc"); tbc {
		if full := name + " to be confirmed"; n.knows(full) {
			return []item{{unit: sp.UnitID(n.find(full)[0])}}
		}
		piece = strings.TrimSpace(name)
	}
	if piece == "" {
		return nil
	}
	if id, ok := s.resolve("unit", piece); ok {
		return []item{{unit: sp.UnitID(id)}}
	}
	return nil
}

// withReserves reads "Avocet (reserve Dunlin)".
func (s source) withReserves(first, reserves string) []item {
	items := s.itemsOf(strings.TrimSpace(first))
	for _, name := range splitList(reserves, s.names["unit"].knowsOne) {
		id, ok := s.resolve("unit", name)
		if ok && len(items) == 1 {
			items[0].reserves = append(items[0].reserves, sp.UnitID(id))
		}
	}
	return items
}

// placeholders reads "2 carriers tbc": vehicles not yet named. The first of a
// kind is the same vehicle wherever it is written, and so is the second.
func (s source) placeholders(piece string) ([]item, bool) {
	count, what := 0, ""
	if m := holder.FindStringSubmatch(piece); m != nil {
		what = m[2]
		if count = countWords[strings.ToLower(m[1])]; count == 0 {
			count = int(atoi(m[1]))
		}
	} else if m := holderBack.FindStringSubmatch(piece); m != nil {
		count, what = int(atoi(m[2])), m[1]
	}
	if count == 0 {
		return nil, false
	}
	name := strings.TrimSpace(what)
	class, ok := s.holderClass(name)
	if !ok {
		near := make([]string, 0, len(holderClasses))
		for _, w := range holderClasses {
			near = append(near, w.value)
		}
		s.say(Stop, fmt.Sprintf("%q is no kind of vehicle", name), "write one of "+strings.Join(near, ", "))
		return nil, true
	}
	items := make([]item, count)
	for i := range items {
		items[i].unit = s.holderUnit(class, singular(name), i+1)
	}
	s.say(Assumed, fmt.Sprintf("read as %s of the class %s not yet named", plural(count, "vehicle"), class), "name them when they are known")
	return items, true
}

// holderClass returns the class a word for vehicles means.
func (s source) holderClass(name string) (string, bool) {
	for _, text := range []string{name, singular(name)} {
		for _, c := range s.classes {
			if squash(c.Name) == squash(text) {
				return c.Name, true
			}
		}
		if class, ok := findWord(holderClasses, text); ok {
			return class, true
		}
	}
	return "", false
}

// singular takes a plural's s off.
func singular(name string) string {
	lower := strings.ToLower(name)
	if len(name) > 4 && strings.HasSuffix(lower, "ies") {
		return name[:len(name)-3] + "y"
	}
	if len(name) > 3 && strings.HasSuffix(lower, "s") {
		return name[:len(name)-1]
	}
	return name
}

// holderUnit returns the nth placeholder of a kind, and makes it when there
// is none yet.
func (s source) holderUnit(class, name string, n int) sp.UnitID {
	key := fmt.Sprintf("%s %d", squash(name), n)
	if id, ok := s.holders[key]; ok {
		return id
	}
	label := fmt.Sprintf("%s %d (to be confirmed)", strings.ToUpper(name[:1])+name[1:], n)
	id := sp.UnitID(s.freeID("unit", fmt.Sprintf("%s tbc %d", name, n)))
	v := &vehicle{ID: id, Name: label, Class: class, Placeholder: true}
	r := s.reading
	r.vehicles = append(r.vehicles, v)
	r.records[v] = s.rec
	r.names["unit"].add(string(id), label)
	r.where[object{"vehicle", string(id)}] = s.rec
	r.holders[key] = id
	return id
}

// coupled reads "Heron + Egret gun": the combination of these parts, made
// when there is none yet.
func (s source) coupled(piece string) (sp.UnitID, bool) {
	var parts []sp.UnitID
	for _, p := range strings.Split(piece, "+") {
		id, ok := s.resolve("unit", p)
		if !ok {
			return "", false
		}
		parts = append(parts, sp.UnitID(id))
	}
	for _, c := range s.combos {
		if c.Tower == parts[0] && len(c.Towed) == len(parts)-1 && sameUnits(c.Towed, parts[1:]) {
			return c.ID, true
		}
	}
	r := s.reading
	var names []string
	for _, p := range parts {
		names = append(names, r.unitName(p))
	}
	name := strings.Join(names, " + ")
	c := &combination{ID: sp.UnitID(r.freeID("unit", name)), Name: name, Tower: parts[0], Towed: parts[1:]}
	r.combos = append(r.combos, c)
	r.records[c] = s.rec
	r.where[object{"combination", string(c.ID)}] = s.rec
	r.names["unit"].add(string(c.ID), name)
	s.say(Assumed, name+" was read as a combination, coupled from the start", "list it on the sheet Combinations with its length and where it is coupled")
	return c.ID, true
}

func sameUnits(a, b []sp.UnitID) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}
