package sallyport

import (
	"fmt"
	"slices"
)

// CheckSaid returns what keeps a happening from ever being applied, whatever
// stands where and whatever else has happened: what its kind needs is not
// given, or something is named that none of the shows has. To be asked before
// it is written into a log, out of which nothing can be taken. n is its number
// among those said at once.
func CheckSaid(n int, h Happening, shows ...*Index) []Problem {
	var list []Problem
	wrong := func(field, value, advice, format string, args ...any) {
		list = append(list, Problem{
			Severity: Stop, Kind: "happening", ID: fmt.Sprint(n), Subject: string(h.Kind), Field: field, Value: value,
			Message: string(h.Kind) + ": " + fmt.Sprintf(format, args...), Advice: advice,
		})
	}
	for _, ref := range happeningRefs {
		value := ref.value(&h)
		switch {
		case value == "" && slices.Contains(ref.needed, h.Kind):
			wrong(ref.field, "", "name a "+ref.what+" of the show", "no %s is named", ref.what)
		case value != "" && !slices.ContainsFunc(shows, func(ix *Index) bool { return ref.known(ix, value) }):
			wrong(ref.field, value, "name a "+ref.what+" of the show", "there is no %s %q", ref.what, value)
		}
	}
	if h.Kind == HappenReserve && h.Reserve != "" && h.Reserve == h.Unit {
		wrong("reserve", string(h.Reserve), "name another", "a vehicle is no reserve of itself")
	}
	if h.Kind == HappenLimits && !h.NoReverse && h.MaxRuns <= 0 {
		wrong("limits", "", "say that it may not reverse, or how often it may run", "no limit is given")
	}
	return list
}

// happeningRefs are the things that a happening names, and the kinds that need
// them.
var happeningRefs = []struct {
	field, what string
	value       func(h *Happening) string
	known       func(ix *Index, id string) bool
	needed      []HappeningKind
}{
	{
		"unit", "vehicle", func(h *Happening) string { return string(h.Unit) }, knownUnit,
		[]HappeningKind{HappenLate, HappenFailed, HappenHere, HappenElsewhere, HappenLimits, HappenDoNotMove, HappenReserve},
	},
	{"reserve", "vehicle as reserve", func(h *Happening) string { return string(h.Reserve) }, knownUnit, []HappeningKind{HappenReserve}},
	{
		"lane", "lane", func(h *Happening) string { return string(h.Lane) },
		func(ix *Index, id string) bool { return ix.Lane(LaneID(id)) != nil },
		[]HappeningKind{HappenElsewhere, HappenLane},
	},
	{
		"serial", "serial", func(h *Happening) string { return string(h.Serial) }, knownSerial,
		[]HappeningKind{HappenCancelled, HappenDelayed, HappenSwapped, HappenReserve},
	},
	{"other", "serial to swap with", func(h *Happening) string { return string(h.Other) }, knownSerial, []HappeningKind{HappenSwapped}},
}

func knownUnit(ix *Index, id string) bool   { return ix.Unit(UnitID(id)) != nil }
func knownSerial(ix *Index, id string) bool { return ix.Serial(SerialID(id)) != nil }
