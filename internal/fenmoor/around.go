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

// errand is one duty as the duty list on the cabin wall has it. Their times lie
// where no column forms up or comes home.
type errand struct {
	day      int
	from, to int // hour and minute as one number
	what     string
	place    string
	units    string
}

var errands = []errand{
	{fri, 915, 1745, "static display", "by the bandstand", "scaup oystercatcher"},
	{fri, 935, 1301, "recovery cover", "arena gate", "heron"},
	{fri, 1259, 1710, "recovery cover", "arena gate", "pelican"},
	{fri, 1438, 1526, "rides", "ride circuit", "coot dabchick"},
	{fri, 1800, 1825, "fuel", "bowser", "bittern spoonbill cormorant"},

	{sat, 915, 1745, "static display", "by the bandstand", "barnacle stork"},
	{sat, 935, 1301, "recovery cover", "arena gate", "pelican"},
	{sat, 1259, 1710, "recovery cover", "arena gate", "heron"},
	{sat, 1258, 1436, "rides", "ride circuit", "coot moorhen"},
	{sat, 1258, 1436, "rides", "family circuit", "plover"},
	{sat, 1800, 1825, "fuel", "bowser", "gadwall pochard eider"},

	{sun, 915, 1745, "static display", "by the bandstand", "bittern"},
	{sun, 935, 1301, "recovery cover", "arena gate", "heron"},
	{sun, 1259, 1710, "recovery cover", "arena gate", "pelican"},
	{sun, 1208, 1436, "rides", "ride circuit", "crake dabchick"},
	{sun, 1348, 1436, "rides", "family circuit", "redshank"},
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
