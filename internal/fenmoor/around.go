package fenmoor

import (
	"strings"

	sp "sallyport"
)

// closings returns when the public is kept out of the green and the camp:
// from before the first engine of a serial there to after the last has
// cooled. On Sunday the green stays closed until Garganey has left.
func closings() []sp.Closing {
	ten := sp.Minutes(10)
	return []sp.Closing{
		{Zone: green, Closed: sp.At(fri, 9, 0), ToClear: ten, Reopened: sp.At(fri, 12, 20)},
		{Zone: camp, Closed: sp.At(fri, 10, 45), ToClear: ten, Reopened: sp.At(fri, 14, 0)},
		{Zone: green, Closed: sp.At(fri, 13, 15), ToClear: ten, Reopened: sp.At(fri, 16, 30)},
		{Zone: camp, Closed: sp.At(fri, 14, 55), ToClear: ten, Reopened: sp.At(fri, 17, 20)},

		{Zone: camp, Closed: sp.At(sat, 9, 0), ToClear: ten, Reopened: sp.At(sat, 12, 20)},
		{Zone: green, Closed: sp.At(sat, 10, 45), ToClear: ten, Reopened: sp.At(sat, 14, 0)},
		{Zone: camp, Closed: sp.At(sat, 13, 15), ToClear: ten, Reopened: sp.At(sat, 16, 30)},
		{Zone: green, Closed: sp.At(sat, 14, 55), ToClear: ten, Reopened: sp.At(sat, 17, 20)},

		{Zone: camp, Closed: sp.At(sun, 9, 0), ToClear: ten, Reopened: sp.At(sun, 11, 30)},
		{Zone: green, Closed: sp.At(sun, 9, 55), ToClear: ten, Reopened: sp.At(sun, 13, 20)},
		{Zone: camp, Closed: sp.At(sun, 11, 35), ToClear: sp.Minutes(8), Reopened: sp.At(sun, 14, 0)},
		{Zone: green, Closed: sp.At(sun, 14, 5), ToClear: ten, Reopened: sp.At(sun, 16, 30)},
		{Zone: camp, Closed: sp.At(sun, 14, 55), ToClear: ten, Reopened: sp.At(sun, 17, 20)},
	}
}

// errand is one duty as the duty list on the cabin wall has it.
type errand struct {
	day      int
	from, to int // hour and minute as one number
	what     string
	place    string
	units    string
}

var errands = []errand{
	{fri, 915, 1745, "static display", "by the bandstand", "scaup oystercatcher"},
	{fri, 1000, 1320, "recovery cover", "arena gate", "heron"},
	{fri, 1335, 1710, "recovery cover", "arena gate", "pelican"},
	{fri, 1145, 1250, "rides", "ride circuit", "grebe gallinule"},
	{fri, 1750, 1820, "fuel", "bowser", "bittern spoonbill cormorant"},

	{sat, 915, 1745, "static display", "by the bandstand", "shelduck stork"},
	{sat, 1000, 1320, "recovery cover", "arena gate", "pelican"},
	{sat, 1335, 1710, "recovery cover", "arena gate", "heron"},
	{sat, 1300, 1420, "rides", "ride circuit", "coot moorhen"},
	{sat, 1300, 1420, "rides", "family circuit", "plover"},
	{sat, 1750, 1820, "fuel", "bowser", "gadwall pochard eider"},

	{sun, 915, 1745, "static display", "by the bandstand", "bittern"},
	{sun, 1000, 1320, "recovery cover", "arena gate", "heron"},
	{sun, 1335, 1710, "recovery cover", "arena gate", "pelican"},
	{sun, 1220, 1420, "rides", "ride circuit", "crake dabchick"},
	{sun, 1410, 1520, "rides", "family circuit", "redshank"},
}

func duties() []sp.Duty {
	var list []sp.Duty
	for _, e := range errands {
		for _, unit := range strings.Fields(e.units) {
			list = append(list, sp.Duty{
				ID: sp.DutyID(dayNames[e.day] + "-" + strings.ReplaceAll(e.what, " ", "-") + "/" + unit), Unit: sp.UnitID(unit),
				What: e.what, Place: e.place,
				From: sp.At(e.day, e.from/100, e.from%100), To: sp.At(e.day, e.to/100, e.to%100),
			})
		}
	}
	return list
}
