package sallyport

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// Complete returns a copy of show in which every optional figure has a value,
// and in which Assumed lists each figure that was not given: what it was
// taken to be, why, and what it decides. Equal assumptions about several
// subjects are one line. The show itself is not changed; what Complete does
// not fill in is shared between the two. Completing twice changes nothing.
//
// Mass, width, height and brakes are never assumed: what depends on them is
// not checked where they are missing. Contradictions are Validate's business;
// Complete fills in what it can of any show.
func Complete(show *Show) *Show {
	c := &completer{show: cloned(show)}
	for _, step := range completions {
		step(c)
	}
	c.show.Assumed = append(slices.Clip(show.Assumed), c.grouped()...)
	return c.show
}

// completions are the steps of Complete; later ones use what earlier ones
// filled in.
var completions = []func(*completer){
	(*completer).names, (*completer).weights, (*completer).classes, (*completer).vehicles,
	(*completer).zones, (*completer).lanes, (*completer).lines, (*completer).spots, (*completer).combinations,
	(*completer).serials, (*completer).homeBy, (*completer).duties, (*completer).days, (*completer).closings, (*completer).resets, (*completer).paces, (*completer).towing,
}

// cloned copies as much of a show as Complete writes to.
func cloned(show *Show) *Show {
	s := *show
	s.Days = slices.Clone(s.Days)
	s.Park.Zones = slices.Clone(s.Park.Zones)
	s.Park.Lanes = slices.Clone(s.Park.Lanes)
	s.Park.Lines = slices.Clone(s.Park.Lines)
	s.Park.Spots = slices.Clone(s.Park.Spots)
	s.Park.Paces = slices.Clone(s.Park.Paces)
	s.Vehicles = slices.Clone(s.Vehicles)
	s.Combinations = slices.Clone(s.Combinations)
	s.Serials = slices.Clone(s.Serials)
	for i := range s.Serials {
		s.Serials[i].Entries = slices.Clone(s.Serials[i].Entries)
	}
	s.Duties = slices.Clone(s.Duties)
	s.Closings = slices.Clone(s.Closings)
	s.Resets = slices.Clone(s.Resets)
	s.Classes = slices.Clone(s.Classes)
	s.Weights.StartWords = maps.Clone(s.Weights.StartWords)
	return &s
}

// completer fills in a show and notes what it does.
type completer struct {
	show  *Show
	notes []note
}

// note is one assumption about one subject.
type note struct {
	kind, name string // "vehicle", "Dunlin"
	what       Assumption
}

// assume notes that a figure of one subject was not given.
func (c *completer) assume(kind, name, field, value, why, effect string) {
	c.notes = append(c.notes, note{kind, name, Assumption{Field: field, Value: value, Why: why, Effect: effect}})
}

// assumeOnce notes what stays as it is in the show, unless an earlier
// completion has noted it.
func (c *completer) assumeOnce(kind, name, field, value, why, effect string) {
	if slices.ContainsFunc(c.show.Assumed, func(a Assumption) bool { return a.Field == field && a.Value == value && a.Why == why }) {
		return
	}
	c.assume(kind, name, field, value, why, effect)
}

// mostNamed is how many subjects a line names before it counts them.
const mostNamed = 3

// grouped makes one line of all notes that say the same about subjects of one
// kind, in the order in which they were first noted.
func (c *completer) grouped() []Assumption {
	type key struct {
		kind string
		what Assumption
	}
	var order []key
	names := map[key][]string{}
	for _, n := range c.notes {
		k := key{n.kind, n.what}
		if names[k] == nil {
			order = append(order, k)
		}
		names[k] = append(names[k], n.name)
	}
	list := make([]Assumption, 0, len(order))
	for _, k := range order {
		a := k.what
		switch n := len(names[k]); {
		case k.kind == "" || k.kind == "show":
			a.Subject = "the show"
		case n == 1:
			a.Subject = k.kind + " " + names[k][0]
		case n <= mostNamed:
			a.Subject = plural(k.kind) + " " + strings.Join(names[k][:n-1], ", ") + " and " + names[k][n-1]
		default:
			a.Subject = fmt.Sprintf("%d %s", n, plural(k.kind))
		}
		list = append(list, a)
	}
	return list
}

// plural returns the plural of the nouns that assumptions are about.
func plural(noun string) string {
	switch {
	case strings.HasSuffix(noun, "y"):
		return strings.TrimSuffix(noun, "y") + "ies"
	case strings.HasSuffix(noun, "s"):
		return noun + "es"
	}
	return noun + "s"
}

// missing collects those figures of a bundle that are not given, so that one
// line can tell them together.
type missing []string

func (m *missing) add(format string, args ...any) { *m = append(*m, fmt.Sprintf(format, args...)) }

func (m missing) text() string { return strings.Join(m, ", ") }

// fill sets *field to value when it is zero and reports whether it did.
func fill[T comparable](field *T, value T) bool {
	var zero T
	if *field != zero || value == zero {
		return false
	}
	*field = value
	return true
}

// fillPtr sets *field to a new value when it is not given.
func fillPtr[T any](field **T, value T) bool {
	if *field != nil {
		return false
	}
	*field = &value
	return true
}

// named returns a thing's name, else its id.
func named[T ~string](name string, id T) string {
	if name != "" {
		return name
	}
	return string(id)
}

// unusedID returns base, or base with a number, such that taken is false.
func unusedID(base string, taken func(string) bool) string {
	id := base
	for n := 2; taken(id); n++ {
		id = fmt.Sprintf("%s-%d", base, n)
	}
	return id
}

func (c *completer) names() {
	fill(&c.show.Format, FormatShow)
	if fill(&c.show.Name, "Show") {
		c.assume("show", "", "name", c.show.Name, "none is given", "only what the papers are headed with")
	}
}

// weights fills in prices. Once any weight is given, the others that are zero
// are meant to be zero.
func (c *completer) weights() {
	w, d := &c.show.Weights, DefaultWeights()
	if w.IsZero() {
		fill(&w.Told, d.Told)
		fill(&w.Issue, d.Issue)
		fill(&w.Together, d.Together)
		fill(&w.IdlePercent, d.IdlePercent)
		fill(&w.HeavyFrom, d.HeavyFrom)
		fill(&w.HeavyMetre, d.HeavyMetre)
		w.Entry, w.Change = d.Entry, d.Change
		c.assume("show", "", "weights", fmt.Sprintf("a change of lane %d, a stay outside a told lane %d, an entry at risk %d people-seconds …", d.Change, w.Told, d.Entry), fromMemory, "which of several workable plans is called the best")
	}
	if fill(&w.People, d.People) {
		c.assume("show", "", "people for one driven move", fmt.Sprint(w.People), "a driver and a banksman", "the price of every move in the park")
	}
	if w.StartWords == nil {
		w.StartWords = map[StartWord]Chance{}
	}
	for _, word := range startWords {
		if _, ok := w.StartWords[word]; !ok {
			w.StartWords[word] = d.StartWords[word]
			if slices.ContainsFunc(c.show.Vehicles, func(v Vehicle) bool { return v.StartWord == word && v.StartChance == nil && v.StartsTried == 0 }) {
				c.assume("word", strconv.Quote(string(word)), "start chance", d.StartWords[word].percent(), fromMemory, "shut-in risk")
			}
		}
	}
}

// startWords lists the words for a start chance from best to worst.
var startWords = []StartWord{StartsWell, NeedsCoaxing, NeverSeen, DoubtfulStart}

// percent returns a chance as "97.5 %".
func (c Chance) percent() string {
	if c%100 == 0 {
		return fmt.Sprintf("%d %%", c/100)
	}
	return strings.TrimRight(fmt.Sprintf("%d.%02d", c/100, c%100), "0") + " %"
}

// paces appends the default paces when some kind of move has none.
func (c *completer) paces() {
	p := &c.show.Park
	given := len(p.Paces)
	var kinds []string
	for _, d := range DefaultPaces() {
		covered := slices.ContainsFunc(p.Paces, func(q Pace) bool {
			return (q.Kind == "" || q.Kind == d.Kind) && (q.Gear == "" || q.Gear == d.Gear)
		})
		if covered {
			continue
		}
		p.Paces = append(p.Paces, d)
		if d.Takes > 0 && !slices.Contains(kinds, string(d.Kind)) {
			kinds = append(kinds, string(d.Kind))
		}
	}
	switch {
	case len(kinds) == 0:
	case given == 0:
		c.assume("show", "", "time for each kind of move", "1 to 10 min, by kind of move and gear", fromMemory, "how early pull-outs begin, whether returns are home in time, and the price of every move")
	default:
		c.assume("show", "", "time for some kinds of move", strings.Join(kinds, ", ")+" as usual", fromMemory, "planned times and the price of these moves")
	}
}

// towing fills in the rule for who may tow whom.
func (c *completer) towing() {
	if fill(&c.show.Park.TowPercent, UsualTowPercent) {
		c.assume("show", "", AssumedTow, fmt.Sprintf("%d %% of the towing vehicle's", UsualTowPercent), fromMemory+", a commercial rule", "who may tow whom")
	}
}
