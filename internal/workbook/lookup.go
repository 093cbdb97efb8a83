package workbook

import (
	"sort"
	"strings"

	sp "sallyport"
)

// Lookup finds things of a show by what people call them, as cells do: the
// id, or a name, number or nickname, without regard to case, spaces and
// punctuation.
type Lookup struct{ names map[string]*names }

// NewLookup returns a lookup of the vehicles and combinations ("unit"), zones,
// lanes, lines, spots, serials and people ("person") of a show.
func NewLookup(show *sp.Show) *Lookup {
	w := newWriting(show, nil)
	for i := range show.Serials {
		w.take("serial", string(show.Serials[i].ID), show.Serials[i].Name)
	}
	return &Lookup{w.names}
}

// Find returns the id of the one thing of these kinds that text means. The
// error says what it could mean otherwise: several things, or the one near
// miss.
func (l *Lookup) Find(text string, kinds ...string) (string, error) {
	var found, near, words []string
	for _, kind := range kinds {
		n := l.names[kind]
		words = append(words, kindWord(kind))
		ids := n.find(text)
		if len(ids) == 0 {
			ids = n.find(withoutKind(kind, text))
		}
		for _, id := range ids {
			found = addOnce(found, id)
		}
		if label, ok := nearest(text, n.labels, func(a, b string) bool { return sameIDs(n.find(a), n.find(b)) }); ok {
			near = addOnce(near, label)
		}
	}
	kind := strings.Join(words, ", ")
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		sort.Strings(found)
		return "", sp.Errorf(sp.CodeInput, "write the id", "%q may be any of %s", text, strings.Join(found, ", "))
	case len(near) > 0:
		return "", sp.Errorf(sp.CodeNotFound, "write "+strings.Join(near, " or ")+" if that is meant", "the show has no %s %q", kind, text)
	}
	return "", sp.Errorf(sp.CodeNotFound, "write it as the workbook does", "the show has no %s %q", kind, text)
}

func sameIDs(a, b []string) bool { return strings.Join(a, "\n") == strings.Join(b, "\n") }
