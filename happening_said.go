package sallyport

import "slices"

// What first parade says of a unit, each in place of the others; what says
// where it stands; and what holds it where it is.
var (
	findings = []HappeningKind{HappenHere, HappenElsewhere, HappenLimits, HappenDoNotMove}
	standing = []HappeningKind{HappenHere, HappenElsewhere}
	holding  = []HappeningKind{HappenLate, HappenFailed, HappenDoNotMove}
)

// LastSaid returns what holds of a log in which some things were said anew, in
// its order. Of one unit
//   - a finding of first parade takes the place of all findings, late starts
//     and failures said before it of the same moment,
//   - here and elsewhere take the place of those said before of any moment,
//   - a late start, a failure and do not move take the place of those said
//     before of any other moment, and of their own kind of the same one.
//
// So a unit fit with limits can start late too, and one that was not to be
// moved yesterday is not free because it is here today. All else is kept as it
// was said.
func LastSaid(said []Happening) []Happening {
	var list []Happening
	for _, h := range said {
		list = append(slices.DeleteFunc(list, func(o Happening) bool { return o.Unit != "" && o.Unit == h.Unit && h.replaces(o) }), h)
	}
	return list
}

// replaces reports whether a happening takes the place of one of the same unit
// that was said before it.
func (h Happening) replaces(o Happening) bool {
	both := func(kinds []HappeningKind) bool {
		return slices.Contains(kinds, h.Kind) && slices.Contains(kinds, o.Kind)
	}
	if both(standing) || both(holding) && (h.At != o.At || h.Kind == o.Kind) {
		return true
	}
	return h.At == o.At && slices.Contains(findings, h.Kind) && (slices.Contains(findings, o.Kind) || slices.Contains(holding, o.Kind))
}
