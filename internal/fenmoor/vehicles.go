package fenmoor

import sp "sallyport"

// Contingents and classes as they are written in the demonstration show.
const (
	own      = "Fenmoor"
	guests   = "guests"
	regiment = "Saltings Regiment"

	light   = "light wheeled"
	heavy   = "heavy wheeled"
	half    = "half-tracked"
	carrier = "tracked carrier"
	tracks  = "heavy tracked"
	steam   = "steam"
	towed   = "towed"
)

func vehicles() []sp.Vehicle {
	all := collection()
	all = append(all, guestVehicles()...)
	return append(all, regimentVehicles()...)
}

// stand sets what all vehicles of one contingent share.
func stand(contingent string, zone sp.ZoneID, list []sp.Vehicle) []sp.Vehicle {
	for i := range list {
		list[i].Contingent = contingent
		if len(list[i].Zones) == 0 {
			list[i].Zones = []sp.ZoneID{zone}
		}
	}
	return list
}

// collection returns Fenmoor's own vehicles. Those with an arrival come from
// the outer sheds on Wednesday; the others stand in the park already.
func collection() []sp.Vehicle {
	morning := sp.Window{From: sp.At(wed, 9, 0), To: sp.At(wed, 12, 0)}
	afternoon := sp.Window{From: sp.At(wed, 13, 0), To: sp.At(wed, 16, 0)}
	return stand(own, yard, []sp.Vehicle{
		{ID: "avocet", Name: "Avocet", Number: "F 1", Class: light, Length: 360, Width: 165, Mass: 1100, StartWord: sp.StartsWell, UsualDriver: "tolliver"},
		{ID: "dunlin", Name: "Dunlin", Number: "F 2", Class: light, Length: 345, Width: 160, Mass: 1050, StartWord: sp.StartsWell, UsualDriver: "wray"},
		{ID: "sanderling", Name: "Sanderling", Number: "F 3", Class: light, Length: 338, Width: 158, Mass: 980, UsualDriver: "quill", HandPeople: 3},
		{ID: "stint", Name: "Stint", Number: "F 4", Class: light, Length: 310, Width: 150, Mass: 760, Start: sp.StartCrank, HandPeople: 3, Nicknames: []string{"Little Stint"}},
		{ID: "plover", Name: "Plover", Number: "F 5", Class: light, Length: 395, Width: 172, Mass: 1480, UsualDriver: "marram"},
		{ID: "turnstone", Name: "Turnstone", Number: "F 6", Class: light, Length: 420, Width: 178, Mass: 1750},
		{ID: "redshank", Name: "Redshank", Number: "F 7", Class: light, Length: 410, Width: 175, StartWord: sp.NeedsCoaxing, UsualDriver: "fennick"},
		{ID: "greenshank", Name: "Greenshank", Number: "F 8", Class: light, Length: 435, Width: 180, Mass: 1900, Arrive: morning},
		{ID: "knot", Name: "Knot", Number: "F 9", Class: light, Width: 170, Mass: 1350, Note: "length not measured yet"},
		{ID: "ruff", Name: "Ruff", Number: "F 10", Class: light, Length: 445, Width: 185, Mass: 2100, Arrive: morning, UsualDriver: "ostler"},

		{ID: "curlew", Name: "Curlew", Number: "F 11", Class: heavy, Length: 680, Width: 240, Mass: 7200, UsualDriver: "hassock"},
		{ID: "whimbrel", Name: "Whimbrel", Number: "F 12", Class: heavy, Length: 645, Width: 235, Mass: 6400, StartWord: sp.StartsWell, KeepTogether: []sp.UnitID{"curlew"}},
		{ID: "godwit", Name: "Godwit", Number: "F 13", Class: heavy, Length: 720, Width: 245, Mass: 8900, Arrive: morning, UsualDriver: "sallow"},
		{ID: "lapwing", Name: "Lapwing", Number: "F 14", Class: heavy, Length: 610, Width: 230, Mass: 5600, UsualDriver: "tolliver"},
		{ID: "oystercatcher", Name: "Oystercatcher", Number: "F 15", Class: heavy, Length: 780, Width: 250, Mass: 11800, Nicknames: []string{"Oyster"}, Arrive: morning, StartWord: sp.NeedsCoaxing},
		{ID: "snipe", Name: "Snipe", Number: "F 16", Class: heavy, Length: 590, Width: 228, Mass: 5200},
		{ID: "stilt", Name: "Stilt", Number: "F 17", Class: heavy, Length: 640, Width: 238, Mass: 7900, UsualDriver: "reedham", Note: "tractor of the Smew gun"},
		{ID: "heron", Name: "Heron", Number: "F 18", Class: heavy, Length: 760, Width: 248, Mass: 12400, Standby: true, StartWord: sp.StartsWell, UsualDriver: "dyker", Home: sp.Home{Lane: "R1", Binding: sp.Fixed, Reason: "recovery vehicle, must get out at any time"}},
		{ID: "pelican", Name: "Pelican", Number: "F 19", Class: heavy, Length: 790, Width: 250, Mass: 13600, Standby: true, StartWord: sp.StartsWell, UsualDriver: "causey", Home: sp.Home{Lane: "R1", Binding: sp.Fixed, Reason: "recovery vehicle, must get out at any time"}},

		{ID: "gadwall", Name: "Gadwall", Number: "F 20", Class: half, Length: 625, Width: 222, Mass: 8300, UsualDriver: "osier"},
		{ID: "wigeon", Name: "Wigeon", Number: "F 21", Class: half, Length: 618, Width: 222, Mass: 8100, UsualDriver: "bulrush"},
		{ID: "pochard", Name: "Pochard", Number: "F 22", Class: half, Length: 640, Width: 224, Mass: 8800, Start: sp.StartSlave, StartWord: sp.NeedsCoaxing, Note: "batteries go flat overnight"},
		{ID: "shoveler", Name: "Shoveler", Number: "F 23", Class: half, Length: 655, Width: 225, Mass: 9100, Arrive: afternoon},
		{ID: "pintail", Name: "Pintail", Number: "F 24", Class: half, Length: 600, Width: 220, Arrive: afternoon, UsualDriver: "withy"},

		{ID: "coot", Name: "Coot", Number: "F 25", Class: carrier, Length: 375, Width: 206, Mass: 3900, StartWord: sp.StartsWell, UsualDriver: "lodeman"},
		{ID: "moorhen", Name: "Moorhen", Number: "F 26", Class: carrier, Length: 375, Width: 206, Mass: 3900, UsualDriver: "pingle"},
		{ID: "crake", Name: "Crake", Number: "F 27", Class: carrier, Length: 368, Width: 205, Mass: 3700, StartWord: sp.NeedsCoaxing},
		{ID: "dabchick", Name: "Dabchick", Number: "F 28", Class: carrier, Length: 412, Width: 211, Mass: 4300, UsualDriver: "sluice"},
		{ID: "grebe", Name: "Grebe", Number: "F 29", Class: carrier, Length: 485, Width: 244, Mass: 7400, Arrive: afternoon},
		{ID: "gallinule", Name: "Gallinule", Number: "F 30", Class: carrier, Length: 470, Width: 240, Mass: 7100, Arrive: afternoon, StartWord: sp.DoubtfulStart},

		{ID: "bittern", Name: "Bittern", Number: "F 31", Class: tracks, Length: 690, Width: 274, Mass: 27000, UsualDriver: "holm"},
		{ID: "spoonbill", Name: "Spoonbill", Number: "F 32", Class: tracks, Length: 735, Width: 290, Mass: 31500, StartWord: sp.NeedsCoaxing, UsualDriver: "carr"},
		{ID: "ibis", Name: "Ibis", Number: "F 33", Class: tracks, Length: 660, Width: 268, Mass: 24000, Reverse: sp.ReverseNever, Note: "reverse gear under repair: does not reverse at all", Arrive: afternoon},
		{ID: "stork", Name: "Stork", Number: "F 34", Class: tracks, Length: 780, Width: 305, Mass: 36500, Arrive: morning, UsualDriver: "levee"},
		{ID: "cormorant", Name: "Cormorant", Number: "F 35", Class: tracks, Length: 820, Width: 312, Mass: 41000, StartWord: sp.DoubtfulStart, Arrive: morning},
		{ID: "eider", Name: "Eider", Number: "F 36", Class: tracks, Length: 710, Width: 282, Mass: 29500, UsualDriver: "meare"},

		{ID: "whooper", Name: "Whooper", Number: "F 37", Class: steam, Length: 620, Width: 235, Mass: 10500, LightUp: sp.Minutes(240), NeverAlone: true, MaxRuns: 2, UsualDriver: "stoker", Home: sp.Home{Lane: "P1", Binding: sp.Fixed, Reason: "water at the pump"}},
		{ID: "smew", Name: "Smew gun", Number: "F 38", Class: towed, Length: 480, Width: 215, Mass: 2300, Nicknames: []string{"Smew"}},
	})
}

// guestVehicles returns what single owners bring; they come on Thursday, one
// on Friday morning, and one has to be on the road by Sunday noon.
func guestVehicles() []sp.Vehicle {
	day := sp.Window{From: sp.At(thu, 10, 0), To: sp.At(thu, 16, 0)}
	late := sp.Window{From: sp.At(sun, 17, 45), To: sp.At(sun, 20, 30)}
	return stand(guests, green, []sp.Vehicle{
		{ID: "teal", Name: "Teal", Owner: "Winnie Thorogate", Class: light, Length: 355, Width: 162, Mass: 1020, OwnerOnly: true, Arrive: day, Depart: late, UsualDriver: "thorogate", Home: sp.Home{Lane: "G1", Binding: sp.Told, Reason: "written in the letter of invitation"}},
		{ID: "garganey", Name: "Garganey", Owner: "Piers Ashlode", Class: light, Length: 425, Width: 176, Mass: 1600, OwnerOnly: true, Arrive: day, Depart: sp.Window{From: sp.At(sun, 12, 10), To: sp.At(sun, 13, 5)}, UsualDriver: "ashlode", Note: "has to be on the road by Sunday noon or shortly after"},
		{ID: "scaup", Name: "Scaup", Owner: "Dorrit Fulmarsh", Class: light, Length: 440, Width: 180, Arrive: day, Depart: late, StartWord: sp.NeverSeen},
		{ID: "goosander", Name: "Goosander", Owner: "Amos Sedgeworth", Class: heavy, Length: 665, Width: 238, Mass: 6900, OwnerOnly: true, Arrive: day, Depart: late, UsualDriver: "sedgeworth"},
		{ID: "merganser", Name: "Merganser", Owner: "Amos Sedgeworth", Class: heavy, Length: 630, Width: 232, Mass: 6100, Arrive: day, Depart: late, KeepTogether: []sp.UnitID{"goosander"}},
		{ID: "shelduck", Name: "Shelduck", Owner: "Hester Clay", Class: half, Length: 622, Width: 222, Mass: 8200, Arrive: day, Depart: late, UsualDriver: "clay", Home: sp.Home{Lane: "G4", Binding: sp.Told, Reason: "told on the telephone"}},
		{ID: "brent", Name: "Brent", Owner: "Lorimer Stathe", Class: carrier, Length: 380, Width: 207, Mass: 4000, Arrive: day, Depart: late, StartWord: sp.NeverSeen},
		{ID: "barnacle", Name: "Barnacle", Owner: "Lorimer Stathe", Class: carrier, Length: 380, Width: 207, Mass: 4000, Arrive: day, Depart: late, StartWord: sp.NeverSeen},
		{ID: "greylag", Name: "Greylag", Owner: "the Ouseby family", Class: heavy, Length: 705, Width: 244, Mass: 8600, Arrive: sp.Window{From: sp.At(fri, 7, 30), To: sp.At(fri, 8, 45)}, Depart: late, UsualDriver: "ouseby"},
		{ID: "mallard", Name: "Mallard", Owner: "Jory Penfold", Class: light, Length: 400, Width: 174, Mass: 1500, Start: sp.StartCrank, Arrive: day, Depart: late, UsualDriver: "penfold"},
	})
}

// regimentVehicles returns the visiting regiment; it stands in its own zone.
func regimentVehicles() []sp.Vehicle {
	come := sp.Window{From: sp.At(wed, 13, 0), To: sp.At(wed, 17, 0)}
	leave := sp.Window{From: sp.At(sun, 17, 45), To: sp.At(sun, 20, 30)}
	list := stand(regiment, camp, []sp.Vehicle{
		{ID: "kingfisher", Name: "Kingfisher", Number: "S 01", Class: light, Length: 390, Width: 175, Mass: 1700, UsualDriver: "sapper-ives"},
		{ID: "dipper", Name: "Dipper", Number: "S 02", Class: light, Length: 390, Width: 175, Mass: 1700},
		{ID: "warbler", Name: "Warbler", Number: "S 11", Class: carrier, Length: 495, Width: 245, Mass: 9600},
		{ID: "bunting", Name: "Bunting", Number: "S 12", Class: carrier, Length: 495, Width: 245, Mass: 9600, UsualDriver: "lance-pryor"},
		{ID: "reedling", Name: "Reedling", Number: "S 13", Class: carrier, Length: 495, Width: 245, Mass: 9600},
		{ID: "wagtail", Name: "Wagtail", Number: "S 14", Class: carrier, Placeholder: true, Note: "fourth carrier, to be confirmed"},
		{ID: "egret", Name: "Egret", Number: "S 21", Class: tracks, Length: 740, Width: 300, Mass: 28800, UsualDriver: "corporal-haddow"},
		{ID: "brolga", Name: "Brolga", Number: "S 22", Class: tracks, Length: 740, Width: 300, Mass: 28800},
		{ID: "jacana", Name: "Jacana", Number: "S 31", Class: heavy, Length: 760, Width: 250, Mass: 12900},
		{ID: "jabiru", Name: "Jabiru", Number: "S 32", Class: heavy, Length: 760, Width: 250, Mass: 12900},
	})
	for i := range list {
		list[i].Owner = regiment
		list[i].Arrive, list[i].Depart = come, leave
	}
	return list
}

// combinations returns the gun with its tractor, which stand and move as one.
func combinations() []sp.Combination {
	return []sp.Combination{{
		ID: "smew-team", Name: "Stilt and the Smew gun", Tower: "stilt", Towed: []sp.UnitID{"smew"},
		CoupleAt: "gun-park", Takes: sp.Minutes(6),
	}}
}
