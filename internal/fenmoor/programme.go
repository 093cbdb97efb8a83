package fenmoor

import (
	"strings"

	sp "sallyport"
)

// slot is one line of the programme as the arena's people write it: the
// moment the column enters, how long it stays, and who, in order.
type slot struct {
	day    int
	at     int // hour and minute as one number: 1020 is 10:20
	lasts  int // minutes in the arena
	name   string
	line   sp.LineID
	units  string
	manner func(*sp.Serial) // what is special about it; may be nil
}

// programme lists 24 serials. North Road (strict) and South Hard (free) are
// used in turn, so that one column can come home while the next forms up.
var programme = []slot{
	{fri, 1020, 25, "Opening column", north, "greenshank gallinule shoveler shelduck barnacle bittern avocet godwit redshank", nil},
	{fri, 1110, 25, "Light and nimble", south, "plover garganey dunlin turnstone teal knot ruff mallard stint", reserve("ruff", "sanderling")},
	{fri, 1200, 25, "Carriers across the dyke", north, "moorhen wigeon warbler crake bunting dabchick coot reedling pintail", nil},
	{fri, 1250, 20, "The supply run", south, "snipe jabiru pochard jacana dipper lapwing greenshank curlew", reserve("lapwing", "plover", "redshank")},
	{fri, 1340, 20, "Half past tracks", north, "cormorant ruff grebe smew-team gallinule shoveler sanderling", worth("smew-team", 3)},
	{fri, 1430, 25, "Steam and wheels", south, "godwit redshank brent whooper greylag greenshank turnstone goosander", worth("whooper", 3)},
	{fri, 1520, 25, "The heavies", north, "merganser ibis pochard barnacle pintail spoonbill stork eider", leaving("stork eider ibis pochard barnacle pintail spoonbill merganser")},
	{fri, 1610, 25, "Salute at the dyke", south, "crake kingfisher lapwing egret bunting brolga wagtail dunlin plover grebe", nil},

	{sat, 1020, 25, "Regiment on parade", north, "cormorant jacana dipper egret eider jabiru stint knot", nil},
	{sat, 1110, 20, "Messengers", south, "ruff plover avocet kingfisher oystercatcher redshank reedling sanderling brolga", reserve("oystercatcher", "turnstone")},
	{sat, 1200, 25, "Owners' ring", north, "goosander scaup garganey whimbrel merganser brent wigeon gadwall", nil},
	{sat, 1250, 25, "Half-track chase", south, "dabchick shoveler gallinule mallard pochard pintail teal grebe greylag", nil},
	{sat, 1340, 25, "Gun drill", north, "smew-team eider bittern crake spoonbill oystercatcher godwit", worth("smew-team", 3)},
	{sat, 1430, 20, "The long convoy", south, "bunting lapwing whimbrel knot turnstone jabiru dunlin snipe wagtail", joined("dunlin")},
	{sat, 1520, 25, "Heavy ground", north, "ibis reedling wigeon cormorant egret brolga dunlin", nil},
	{sat, 1610, 25, "Evening column", south, "scaup brent coot dabchick stint moorhen sanderling greylag greenshank teal", reserve("stint", "redshank")},

	{sun, 1020, 25, "Drumhead column", north, "kingfisher stint dipper oystercatcher curlew jacana avocet", nil},
	{sun, 1110, 25, "Owners' choice", south, "barnacle gadwall pochard shelduck shoveler scaup goosander garganey", nil},
	{sun, 1200, 25, "Pulled from the mud", north, "snipe stork mallard merganser eider teal ibis whimbrel", reserve("snipe", "godwit")},
	{sun, 1250, 20, "Carrier race", south, "kingfisher grebe moorhen reedling coot wagtail gallinule bunting", nil},
	{sun, 1340, 25, "Steam hour", north, "gadwall greenshank plover sanderling smew-team whooper knot", worth("whooper", 3)},
	{sun, 1430, 20, "Wheels of the marsh", south, "oystercatcher ruff godwit turnstone stint lapwing curlew dunlin", reserve("dunlin", "avocet")},
	{sun, 1520, 25, "Tracks at the ford", north, "eider shoveler cormorant stork pintail shelduck wigeon barnacle spoonbill", leaving("spoonbill eider stork cormorant shoveler pintail wigeon barnacle shelduck")},
	{sun, 1610, 25, "Farewell", south, "crake warbler brolga coot plover whimbrel kingfisher redshank", nil},
}

var dayNames = map[int]string{fri: "fri", sat: "sat", sun: "sun"}

func serials() []sp.Serial {
	var list []sp.Serial
	count := map[int]int{}
	for _, s := range programme {
		count[s.day]++
		list = append(list, s.serial(count[s.day]))
	}
	return list
}

// serial writes the slot out: pull-outs from forty minutes before the arena,
// on the line ten minutes before, five minutes of road, home within half an
// hour of reaching the line again.
func (s slot) serial(nth int) sp.Serial {
	in := sp.At(s.day, s.at/100, s.at%100)
	minutes := func(n int) sp.Instant { return sp.Instant(sp.Minutes(int64(n))) }
	serial := sp.Serial{
		ID: sp.SerialID(dayNames[s.day] + "-" + string(rune('0'+nth))), Name: s.name, Line: s.line,
		FormFrom: in - minutes(40), FormUp: in - minutes(10), ArenaIn: in, ArenaOut: in + minutes(s.lasts),
		HomeBy: in + minutes(s.lasts+35), Travel: sp.Minutes(5),
	}
	for _, unit := range strings.Fields(s.units) {
		serial.Entries = append(serial.Entries, sp.Entry{ID: entryID(serial.ID, unit), Unit: sp.UnitID(unit)})
	}
	if s.manner != nil {
		s.manner(&serial)
	}
	return serial
}

func entryID(serial sp.SerialID, unit string) sp.EntryID {
	return sp.EntryID(string(serial) + "/" + unit)
}

// entry returns the serial's entry of the unit; the programme names no other.
func entry(serial *sp.Serial, unit string) *sp.Entry {
	for i := range serial.Entries {
		if serial.Entries[i].Unit == sp.UnitID(unit) {
			return &serial.Entries[i]
		}
	}
	panic("fenmoor: " + string(serial.ID) + " has no entry of " + unit)
}

// reserve names who takes the place of unit, first choice first.
func reserve(unit string, by ...sp.UnitID) func(*sp.Serial) {
	return func(s *sp.Serial) { entry(s, unit).Reserves = append([]sp.UnitID(nil), by...) }
}

// worth says how much worse it is to lose unit's entry than any other.
func worth(unit string, value int) func(*sp.Serial) {
	return func(s *sp.Serial) { entry(s, unit).Value = value }
}

// joined sends unit from this serial straight to its next one.
func joined(unit string) func(*sp.Serial) {
	return func(s *sp.Serial) { entry(s, unit).Join = sp.JoinLine }
}

// leaving gives the order in which the column leaves the arena.
func leaving(units string) func(*sp.Serial) {
	return func(s *sp.Serial) {
		for _, unit := range strings.Fields(units) {
			s.Leaving = append(s.Leaving, entry(s, unit).ID)
		}
	}
}
