package picture

import (
	"encoding/json"
	"os"
	"strconv"
	"testing"

	"sallyport"
)

// small returns the invented show and plan of testdata and what stands before
// every move.
func small(t testing.TB) (*sallyport.Show, *sallyport.Plan, []sallyport.State) {
	t.Helper()
	var show sallyport.Show
	var plan sallyport.Plan
	read(t, "testdata/small.show.json", &show)
	read(t, "testdata/small.plan.json", &plan)
	full := sallyport.Complete(&show)
	if faults := sallyport.Check(full, &plan).Faults; len(faults) > 0 {
		t.Fatalf("the fixture is not workable: %v", faults)
	}
	start, _ := sallyport.StartState(full, &plan)
	states, _ := sallyport.Play(full, start, plan.Moves)
	return full, &plan, append([]sallyport.State{start}, states...)
}

func read(t testing.TB, path string, into any) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, into); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
}

// scripts are names that are hard to set: long, in other scripts, hostile.
var scripts = []string{
	"Avocet", "Great Crested Grebe of the Outer Saltings", "Шилоклювка", "青鷺", "أبو قردان", "Κορμοράνος", "นกกระยาง",
	"बगुला", "<b>&\"'", "Supercalifragilisticwarbler", "🚜 Dunlin", "Oystercatcher-on-the-Wold", "X",
}

// crowded returns a show of 60 vehicles packed into 40 lanes without
// positions, with lines, spots and names of every sort, and its state.
func crowded() (*sallyport.Show, sallyport.State) {
	show := &sallyport.Show{Name: "Crowded", Days: []sallyport.Day{{Name: "Only day"}}}
	state := sallyport.State{
		At: sallyport.At(1, 9, 0), Lanes: map[sallyport.LaneID][]sallyport.Standing{},
		Lines: map[sallyport.LineID][]sallyport.UnitID{}, Spots: map[sallyport.SpotID][]sallyport.UnitID{},
	}
	gears := []sallyport.Gear{sallyport.Wheeled, sallyport.HalfTracked, sallyport.Tracked, sallyport.SteamGear, sallyport.TowedItem, ""}
	kinds := []sallyport.LaneKind{sallyport.DeadEnd, sallyport.Through, sallyport.Open}
	for i := range 40 {
		id := sallyport.LaneID("L" + strconv.Itoa(i+1))
		l := sallyport.Lane{
			ID: id, Kind: kinds[i%3], Length: sallyport.Centimetres(1200 + 90*(i%5)), Width: sallyport.Centimetres(300 + 20*(i%4)),
			Zone: sallyport.ZoneID("zone " + strconv.Itoa(i/9)), Mouth: sallyport.StretchID("front " + strconv.Itoa(i/6)),
		}
		if i%7 == 0 {
			l.Name = scripts[i%len(scripts)]
		}
		show.Park.Lanes = append(show.Park.Lanes, l)
	}
	for i := range 60 {
		v := sallyport.Vehicle{
			ID: sallyport.UnitID("v" + strconv.Itoa(i)), Name: scripts[i%len(scripts)], Gear: gears[i%len(gears)],
			Length: sallyport.Centimetres(300 + 20*(i%12)), Width: sallyport.Centimetres(160 + 15*(i%10)),
		}
		show.Vehicles = append(show.Vehicles, v)
		switch {
		case i < 52:
			lane := show.Park.Lanes[i%40]
			from := sallyport.Centimetres(10)
			if i >= 40 {
				first := show.Vehicles[i-40]
				from += first.Length + 60
			}
			state.Lanes[lane.ID] = append(state.Lanes[lane.ID], sallyport.Standing{Unit: v.ID, From: from, NoseIn: i%4 == 1})
		case i < 56:
			state.Lines["north"] = append(state.Lines["north"], v.ID)
		case i < 58:
			state.Spots["aside"] = append(state.Spots["aside"], v.ID)
		case i < 59:
			state.Arena = append(state.Arena, v.ID)
		}
	}
	show.Park.Lines = []sallyport.Line{{ID: "north", Length: 6000}, {ID: "south", Name: "The long way round by the sea wall"}}
	show.Park.Spots = []sallyport.Spot{{ID: "aside", Use: sallyport.SpotAside, Length: 2500}, {ID: "fire", Use: sallyport.SpotAside, Route: true}}
	state.OffRoad = []sallyport.UnitID{"v3"}
	return show, state
}

// onGrid gives the lanes, lines and spots of a show positions: banks of lanes
// that look north, east, south and west.
func onGrid(show *sallyport.Show) {
	for i := range show.Park.Lanes {
		l := &show.Park.Lanes[i]
		bank, n := i/10, sallyport.Centimetres(i%10)
		l.Heading = bank * 90
		switch l.Heading {
		case 0, 180:
			l.X, l.Y = 2000+450*n, 4000+sallyport.Centimetres(bank)*3000
		default:
			l.X, l.Y = 9000+sallyport.Centimetres(bank)*2500, 2000+450*n
		}
	}
	for i := range show.Park.Lines {
		show.Park.Lines[i].X, show.Park.Lines[i].Y, show.Park.Lines[i].Heading = 1000, 14000+sallyport.Centimetres(i)*800, 270
	}
}
