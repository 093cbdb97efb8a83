package fenmoor

import sp "sallyport"

// The zones: the public walks in the green and the camp, not in the yard.
const (
	yard  sp.ZoneID = "yard"
	green sp.ZoneID = "green"
	camp  sp.ZoneID = "camp"
)

// The forming-up lines.
const (
	north sp.LineID = "north"
	south sp.LineID = "south"
)

func park() sp.Park {
	return sp.Park{
		Zones: []sp.Zone{
			{ID: yard, Name: "Yard"},
			{ID: green, Name: "Orchard Green", Public: true},
			{ID: camp, Name: "Regiment's Camp", Public: true},
		},
		Lanes:     lanes(),
		Stretches: stretches(),
		Lines:     lines(),
		Spots:     spots(),
		Teams:     4,
	}
}

// lanes returns the 24 lanes. The yard's northern bank opens to the south,
// its southern bank to the north, the green to the west and the camp to the
// south.
func lanes() []sp.Lane {
	return []sp.Lane{
		{ID: "Y1", Zone: yard, Kind: sp.DeadEnd, Length: 2420, Width: 360, MaxDeep: 3, Mouth: "cobbles", X: 2000, Y: 4200, Heading: 180},
		{ID: "Y2", Zone: yard, Kind: sp.DeadEnd, Length: 2240, Width: 360, MaxDeep: 3, Mouth: "cobbles", X: 2450, Y: 4200, Heading: 180},
		{ID: "Y3", Zone: yard, Kind: sp.DeadEnd, Length: 2120, Width: 360, MaxDeep: 3, Mouth: "cobbles", X: 2900, Y: 4200, Heading: 180},
		{ID: "Y4", Zone: yard, Kind: sp.DeadEnd, Length: 2040, Width: 360, MaxDeep: 3, Mouth: "cobbles", X: 3350, Y: 4200, Heading: 180, Beside: true},
		{ID: "Y5", Zone: yard, Kind: sp.DeadEnd, Length: 1900, Width: 340, MaxDeep: 3, Mouth: "cobbles", X: 3850, Y: 4200, Heading: 180, Beside: true},
		{ID: "Y6", Zone: yard, Kind: sp.DeadEnd, Length: 1820, Width: 340, MaxDeep: 3, Mouth: "cobbles", X: 4300, Y: 4200, Heading: 180},
		{ID: "T1", Name: "Long Shed, west door", Zone: yard, Kind: sp.Through, Length: 2000, Width: 380, MaxDeep: 3, Mouth: "shed", Tail: "back-lane", X: 5000, Y: 4200, Heading: 180},
		{ID: "T2", Name: "Long Shed, east door", Zone: yard, Kind: sp.Through, Length: 2050, Width: 380, MaxDeep: 3, Mouth: "shed", Tail: "back-lane", X: 5450, Y: 4200, Heading: 180},
		{ID: "P1", Name: "Pump Lane", Zone: yard, Kind: sp.Open, Length: 1450, Width: 360, MaxDeep: 2, Mouth: "shed", Tail: "back-lane", X: 6050, Y: 4200, Heading: 180, Beside: true},
		{ID: "R1", Name: "Recovery Lane", Zone: yard, Kind: sp.Open, Length: 1650, Width: 360, MaxDeep: 2, Mouth: "shed", Tail: "back-lane", X: 6550, Y: 4200, Heading: 180, Beside: true},
		{ID: "Y7", Zone: yard, Kind: sp.DeadEnd, Length: 1650, Width: 350, MaxDeep: 3, MaxMass: 30000, Mouth: "wall", X: 2100, Y: 5700},
		{ID: "Y8", Zone: yard, Kind: sp.DeadEnd, Length: 1530, Width: 350, MaxDeep: 3, MaxMass: 30000, Mouth: "wall", X: 2600, Y: 5700},
		{ID: "Y9", Zone: yard, Kind: sp.DeadEnd, Length: 1300, Width: 350, MaxDeep: 3, MaxMass: 12000, Mouth: "wall", X: 3100, Y: 5700},
		{ID: "Y10", Zone: yard, Length: 1200, Width: 320, MaxDeep: 3, MaxMass: 12000, Mouth: "wall", X: 3600, Y: 5700},
		{ID: "Y11", Zone: yard, Length: 850, MaxDeep: 2, MaxMass: 42000, Mouth: "wall", In: sp.InEither, X: 4100, Y: 5700},

		{ID: "G1", Zone: green, Kind: sp.DeadEnd, Length: 1100, Width: 340, MaxDeep: 3, MaxMass: 15000, Mouth: "gate", X: 8200, Y: 2000, Heading: 270},
		{ID: "G2", Zone: green, Kind: sp.DeadEnd, Length: 1250, Width: 340, MaxDeep: 3, MaxMass: 15000, Mouth: "gate", X: 8200, Y: 2550, Heading: 270},
		{ID: "G3", Zone: green, Kind: sp.DeadEnd, Length: 1300, Width: 340, MaxDeep: 3, MaxMass: 15000, Mouth: "gate", X: 8200, Y: 3100, Heading: 270},
		{ID: "G4", Zone: green, Kind: sp.DeadEnd, Length: 1200, Width: 340, MaxDeep: 3, MaxMass: 15000, Mouth: "gate", X: 8200, Y: 3650, Heading: 270, Beside: true},
		{ID: "G5", Name: "Avenue", Zone: green, Kind: sp.Open, Length: 1190, Width: 360, MaxDeep: 2, MaxMass: 15000, Mouth: "gate", Tail: "avenue", X: 8200, Y: 4250, Heading: 270},

		{ID: "C1", Zone: camp, Kind: sp.DeadEnd, Length: 1350, Width: 380, MaxDeep: 3, Mouth: "camp-front", X: 7450, Y: 8500, Heading: 180},
		{ID: "C2", Zone: camp, Kind: sp.DeadEnd, Length: 1750, Width: 380, MaxDeep: 3, Mouth: "camp-front", X: 8000, Y: 8500, Heading: 180},
		{ID: "C3", Zone: camp, Kind: sp.DeadEnd, Length: 1900, Width: 380, MaxDeep: 3, Mouth: "camp-front", X: 8550, Y: 8500, Heading: 180},
		{ID: "C4", Zone: camp, Kind: sp.Through, Length: 1920, Width: 380, MaxDeep: 3, Mouth: "camp-front", Tail: "camp-back", X: 9150, Y: 8500, Heading: 180},
	}
}

func stretches() []sp.Stretch {
	return []sp.Stretch{
		{ID: "cobbles", Name: "The Cobbles", Depth: 750},
		{ID: "shed", Name: "Shed doors", Depth: 1200},
		{ID: "wall", Name: "Under the wall", Depth: 750},
		{ID: "back-lane", Name: "Back Lane", Depth: 900},
		{ID: "gate", Name: "Orchard Gate", Depth: 1300},
		{ID: "avenue", Name: "Avenue end", Depth: 800},
		{ID: "camp-front", Name: "Camp front", Depth: 700},
		{ID: "camp-back", Name: "Camp back"},
	}
}

// lines returns the two forming-up lines; both lead west, to the arena. A
// column of more than 56 m on South Hard stands before the mouth of C1.
func lines() []sp.Line {
	return []sp.Line{
		{ID: north, Name: "North Road", Length: 8000, Gap: 100, Out: sp.OutStrict, Home: sp.HomeInOrder, X: 1500, Y: 800, Heading: 270},
		{
			ID: south, Name: "South Hard", Length: 8200, Gap: 100, Out: sp.OutFree, Home: sp.HomeAnyOrder, X: 1500, Y: 9300, Heading: 270,
			Fouls: []sp.Foul{{From: 5600, To: 6300, Lanes: []sp.LaneID{"C1"}}},
		},
	}
}

func spots() []sp.Spot {
	return []sp.Spot{
		{ID: "cinder-patch", Name: "Cinder Patch", Use: sp.SpotAside, Length: 2800, Zones: []sp.ZoneID{yard}, X: 6900, Y: 5500},
		{ID: "orchard-edge", Name: "Orchard edge", Use: sp.SpotAside, Length: 1500, Zones: []sp.ZoneID{green}, X: 7700, Y: 1400},
		{ID: "camp-corner", Name: "Camp corner", Use: sp.SpotAside, Length: 1700, Zones: []sp.ZoneID{camp}, X: 9600, Y: 8000},
		{ID: "fire-road", Name: "Fire road", Use: sp.SpotAside, Length: 4000, Route: true, X: 6900, Y: 6150},
		{ID: "bay", Name: "Breakdown bay", Use: sp.SpotBreakdown, Length: 1800, X: 5000, Y: 7300},
		{ID: "hard", Name: "Loading hard", Use: sp.SpotLoading, Length: 3500, X: 7200, Y: 4800},
		{ID: "gun-park", Name: "Gun park", Use: sp.SpotCoupling, Length: 2000, X: 4700, Y: 6300},
	}
}
