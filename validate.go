package sallyport

import (
	"fmt"
	"slices"
)

// Validate returns everything in a show that contradicts itself, all at once,
// and what is worth a look. A show with no problem of severity Stop can be
// planned; whether a workable plan exists is another question. The show may
// have gaps: what follows from assumed figures is judged too, as Complete
// would assume them. The order is that of the rules, then of the show.
func Validate(show *Show) []Problem {
	v := &validator{raw: show, show: Complete(show)}
	v.ix = NewIndex(v.show)
	for _, rule := range validations {
		rule(v)
	}
	return v.problems
}

// validations are the rules of Validate, each about one kind of mistake.
var validations = []func(*validator){
	(*validator).something, (*validator).ids, (*validator).words, (*validator).figures,
	(*validator).parkReferences, (*validator).unitReferences, (*validator).programmeReferences, (*validator).peopleReferences,
	(*validator).combinations, (*validator).windows, (*validator).days, (*validator).closings, (*validator).serialTimes,
	(*validator).twiceInSerial, (*validator).twoPlaces, (*validator).presence, (*validator).runs, (*validator).bookings, (*validator).columns,
	(*validator).lanesForAll, (*validator).fixedHomes, (*validator).companions, (*validator).standbys, (*validator).nights,
}

// validator collects problems. raw is the show as given, show and ix are
// completed.
type validator struct {
	raw, show *Show
	ix        *Index
	problems  []Problem
}

// thing is what a problem is about.
type thing struct{ kind, id, name string }

func (t thing) subject() string { return t.kind + " " + t.name }

// stop and note record a problem; the message is a format.
func (v *validator) stop(t thing, field, value, advice, format string, args ...any) {
	v.report(Stop, t, field, value, advice, format, args...)
}

func (v *validator) note(t thing, field, value, advice, format string, args ...any) {
	v.report(Note, t, field, value, advice, format, args...)
}

func (v *validator) report(s Severity, t thing, field, value, advice, format string, args ...any) {
	v.problems = append(v.problems, Problem{
		Severity: s, Kind: t.kind, ID: t.id, Subject: t.subject(), Field: field, Value: value,
		Message: v.raw.words(format, args...), Advice: advice,
	})
}

// The things that problems are about.
func vehicleThing(x *Vehicle) thing { return thing{"vehicle", string(x.ID), named(x.Name, x.ID)} }
func laneThing(x *Lane) thing       { return thing{"lane", string(x.ID), string(x.ID)} }
func lineThing(x *Line) thing       { return thing{"line", string(x.ID), named(x.Name, x.ID)} }
func spotThing(x *Spot) thing       { return thing{"spot", string(x.ID), named(x.Name, x.ID)} }
func zoneThing(x *Zone) thing       { return thing{"zone", string(x.ID), named(x.Name, x.ID)} }
func stretchThing(x *Stretch) thing { return thing{"stretch", string(x.ID), named(x.Name, x.ID)} }
func serialThing(x *Serial) thing   { return thing{"serial", string(x.ID), named(x.Name, x.ID)} }
func entryThing(x *Entry) thing     { return thing{"entry", string(x.ID), named(string(x.ID), x.Unit)} }

func dutyThing(x *Duty) thing         { return thing{"duty", string(x.ID), named(string(x.ID), x.Unit)} }
func personThing(x *Person) thing     { return thing{"person", string(x.ID), named(x.Name, x.ID)} }
func resetThing(x *ResetWindow) thing { return thing{"reset window", string(x.ID), string(x.ID)} }
func classThing(x *Class) thing       { return thing{"class", x.Name, x.Name} }

func combinationThing(x *Combination) thing {
	return thing{"combination", string(x.ID), named(x.Name, x.ID)}
}

func closingThing(x *Closing) thing {
	return thing{"closing", string(x.Zone), fmt.Sprintf("of zone %s at %s", x.Zone, x.Closed)}
}

func dayThing(n int, x *Day) thing {
	return thing{"day", fmt.Sprint(n), named(x.Name, fmt.Sprint(n))}
}

// unitThing returns what a unit is: a vehicle or a combination.
func unitThing(u *Unit) thing {
	kind := "vehicle"
	if u.Combination {
		kind = "combination"
	}
	return thing{kind, string(u.ID), u.Name}
}

var showThing = thing{"show", "", "as a whole"}

// something reports a show that lacks what every plan needs.
func (v *validator) something() {
	if len(v.raw.Vehicles) == 0 {
		v.stop(showThing, "vehicles", "", "give at least a vehicle's name", "there are no vehicles")
	}
	if len(v.raw.Park.Lanes) == 0 {
		v.stop(showThing, "lanes", "", "give at least one lane with its length", "there are no lanes")
	}
	if len(v.raw.Serials) == 0 {
		v.note(showThing, "serials", "", "add the order of events", "there are no serials, so nothing has to leave its place")
	}
}

// ids reports missing and doubled ids and missing names.
func (v *validator) ids() {
	s, seen := v.raw, newIDs(v)
	for i := range s.Vehicles {
		x := &s.Vehicles[i]
		seen.take("unit", vehicleThing(x))
		if x.Name == "" {
			v.stop(vehicleThing(x), "name", "", "give the name people know it by", "vehicle %q has no name", x.ID)
		}
	}
	each(seen, "unit", s.Combinations, combinationThing)
	each(seen, "zone", s.Park.Zones, zoneThing)
	each(seen, "lane", s.Park.Lanes, laneThing)
	each(seen, "stretch", s.Park.Stretches, stretchThing)
	each(seen, "line", s.Park.Lines, lineThing)
	each(seen, "spot", s.Park.Spots, spotThing)
	each(seen, "serial", s.Serials, serialThing)
	each(seen, "person", s.People, personThing)
	each(seen, "reset window", s.Resets, resetThing)
	// Entries and duties without an id get one.
	for i := range v.show.Serials {
		each(seen, "entry", v.show.Serials[i].Entries, entryThing)
	}
	each(seen, "duty", v.show.Duties, dutyThing)
	each(seen, "class", s.Classes, func(x *Class) thing { return thing{"class", fold(x.Name), x.Name} })
}

type idSet struct {
	v     *validator
	first map[[2]string]thing
}

func newIDs(v *validator) *idSet { return &idSet{v, map[[2]string]thing{}} }

func each[T any](s *idSet, family string, list []T, of func(*T) thing) {
	for i := range list {
		s.take(family, of(&list[i]))
	}
}

// take reports an id that is empty or already taken in its family.
func (s *idSet) take(family string, t thing) {
	key := [2]string{family, t.id}
	other, taken := s.first[key]
	switch {
	case t.id == "":
		s.v.stop(t, "id", "", "give each "+t.kind+" a short id of its own", "a %s has no id", t.kind)
	case taken:
		s.v.stop(t, "id", t.id, "give one of them another id", "the id %q is given twice, to %s and to %s", t.id, other.subject(), t.subject())
	default:
		s.first[key] = t
	}
}

// words reports words that are none of those a field can have.
func (v *validator) words() {
	s := v.raw
	for i := range s.Vehicles {
		x := &s.Vehicles[i]
		oneOf(v, vehicleThing(x), "gear", x.Gear, Wheeled, HalfTracked, Tracked, SteamGear, TowedItem)
		oneOf(v, vehicleThing(x), "reverse", x.Reverse, ReverseYes, ReverseShort, ReverseNever)
		oneOf(v, vehicleThing(x), "start", x.Start, StartSelf, StartSlave, StartCrank, StartTow)
		oneOf(v, vehicleThing(x), "warm-up place", x.WarmWhere, WarmInLane, WarmAtMouth, WarmOnLine)
		oneOf(v, vehicleThing(x), "home binding", x.Home.Binding, Free, Told, Fixed)
	}
	for i := range s.Combinations {
		x := &s.Combinations[i]
		oneOf(v, combinationThing(x), "reverse", x.Reverse, ReverseYes, ReverseShort, ReverseNever)
		oneOf(v, combinationThing(x), "home binding", x.Home.Binding, Free, Told, Fixed)
	}
	for i := range s.Classes {
		x := &s.Classes[i]
		oneOf(v, classThing(x), "gear", x.Gear, Wheeled, HalfTracked, Tracked, SteamGear, TowedItem)
		oneOf(v, classThing(x), "reverse", x.Reverse, ReverseYes, ReverseShort, ReverseNever)
		oneOf(v, classThing(x), "start", x.Start, StartSelf, StartSlave, StartCrank, StartTow)
		oneOf(v, classThing(x), "warm-up place", x.WarmWhere, WarmInLane, WarmAtMouth, WarmOnLine)
	}
	for i := range s.Park.Lanes {
		x := &s.Park.Lanes[i]
		oneOf(v, laneThing(x), "kind", x.Kind, DeadEnd, Through, Open)
		oneOf(v, laneThing(x), "driven in", x.In, InReversed, InNose, InEither)
	}
	for i := range s.Park.Lines {
		x := &s.Park.Lines[i]
		oneOf(v, lineThing(x), "out", x.Out, OutStrict, OutFree)
		oneOf(v, lineThing(x), "home", x.Home, HomeInOrder, HomeAnyOrder)
	}
	for i := range s.Park.Spots {
		x := &s.Park.Spots[i]
		oneOf(v, spotThing(x), "use", x.Use, SpotAside, SpotBreakdown, SpotLoading, SpotCoupling)
	}
	for i := range s.Days {
		oneOf(v, dayThing(i+1, &s.Days[i]), "kind", s.Days[i].Kind, BuildUp, ShowDay, BreakDown)
	}
	for i := range s.Serials {
		for j := range s.Serials[i].Entries {
			x := &s.Serials[i].Entries[j]
			oneOf(v, entryThing(x), "join", x.Join, JoinLine, JoinArena)
		}
	}
}

// oneOf reports a word that is given and not known.
func oneOf[T ~string](v *validator, t thing, field string, word T, known ...T) {
	if word == "" || slices.Contains(known, word) {
		return
	}
	list := make([]string, len(known))
	for i, k := range known {
		list[i] = fmt.Sprintf("%q", string(k))
	}
	v.stop(t, field, string(word), "write one of "+joinList(list), "%s of %s is %q, which is not known", field, t.subject(), string(word))
}

// joinList joins words as "a, b or c".
func joinList(words []string) string {
	text := ""
	for i, w := range words {
		switch {
		case i == 0:
		case i == len(words)-1:
			text += " or "
		default:
			text += ", "
		}
		text += w
	}
	return text
}
