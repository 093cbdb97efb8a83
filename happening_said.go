package sallyport

import "slices"

// findings are what first parade says of a unit, each in place of the others.
var findings = []HappeningKind{HappenHere, HappenElsewhere, HappenLimits, HappenDoNotMove}

// LastSaid returns what holds of a log in which some things were said anew, in
// its order. Of what is said of one unit at one moment a finding of first
// parade takes the place of all earlier findings, late starts and failures; a
// late start or a failure takes the place of an earlier one of its kind only,
// so that a unit fit with limits can start late too. All else is kept as it
// was said. Happenings without a moment are at one moment.
func LastSaid(said []Happening) []Happening {
	var list []Happening
	for _, h := range said {
		finding := slices.Contains(findings, h.Kind)
		about := func(o Happening) bool {
			if o.Unit != h.Unit || o.At != h.At {
				return false
			}
			return o.Kind == h.Kind || finding && (slices.Contains(findings, o.Kind) || o.Kind == HappenLate || o.Kind == HappenFailed)
		}
		if finding || h.Kind == HappenLate || h.Kind == HappenFailed {
			list = slices.DeleteFunc(list, about)
		}
		list = append(list, h)
	}
	return list
}
