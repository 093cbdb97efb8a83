package sallyport

import "fmt"

// NotChecked lists what the judge did not look at, for this show.
func NotChecked(ix *Index) []string {
	list := []string{
		"ground, slopes, turning circles and room to manoeuvre",
		"weights, brakes and couplings for towing",
		"roads and gates between the lines and the arena",
		"delays in which more than two moves change places",
	}
	var noMass, noWidth, limitMass, limitWidth, drivers, closings, public int
	for _, id := range ix.UnitIDs {
		u := ix.Unit(id)
		if u.Mass == 0 {
			noMass++
		}
		if u.Width == 0 {
			noWidth++
		}
		if len(u.AllDrivers) > 0 {
			drivers++
		}
	}
	for _, l := range ix.Show.Park.Lanes {
		if l.MaxMass > 0 {
			limitMass++
		}
		if l.Width > 0 {
			limitWidth++
		}
	}
	for _, z := range ix.Show.Park.Zones {
		if z.Public {
			public++
		}
	}
	closings = len(ix.Show.Closings)
	add := func(when bool, format string, args ...any) {
		if when {
			list = append(list, fmt.Sprintf(format, args...))
		}
	}
	add(noMass > 0 && limitMass > 0, "the mass of %s, not given, against lanes with a greatest mass", countVehicles(noMass))
	add(noMass > 0, "whether %s without a mass count as heavy when reversing", countVehicles(noMass))
	add(noWidth > 0 && limitWidth > 0, "the width of %s, not given, against lanes with a width", countVehicles(noWidth))
	add(limitWidth == 0, "widths: no lane gives one")
	add(drivers == 0, "whether drivers are free: no vehicle names any")
	add(!ix.TeamsGiven(), "marshal teams: no number is given")
	add(public == 0, "the public: no zone is marked as open to it")
	add(public > 0 && closings == 0, "closings: none are given")
	return list
}

// countVehicles returns a number of vehicles in words: "1 vehicle".
func countVehicles(n int) string {
	if n == 1 {
		return "1 vehicle"
	}
	return fmt.Sprintf("%d vehicles", n)
}
