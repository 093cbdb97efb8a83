package workbook

import (
	"strings"

	sp "sallyport"
)

type (
	zone    = sp.Zone
	stretch = sp.Stretch
	lane    = sp.Lane
	line    = sp.Line
	spot    = sp.Spot
	pace    = sp.Pace
	person  = sp.Person
)

// foulRow is a foul with its line.
type foulRow struct {
	line sp.LineID
	sp.Foul
}

var zoneTable = table[zone]{
	kind: "zone", sheet: "Zones", keys: []string{"id", "name"}, also: "zone,areas,park zones,compounds",
	note: "Parts of the park that are opened and closed to the public as one.",
	columns: []column[zone]{
		textCol("name", "Name", "zone name,area", "", func(v *zone) *string { return &v.Name }),
		idCol("Zone", "id,zone id,code", "short and unique", func(v *zone) *sp.ZoneID { return &v.ID }),
		yesCol("public", "Public", "public zone,open to public,public may walk", "the public may walk in it when it is open", func(v *zone) *bool { return &v.Public }),
		yesCol("engines_with_public", "Engines with public", "engines allowed,engines,engines may run", "engines may run with public inside", func(v *zone) *bool { return &v.Engines }),
	},
	examples: [][]string{{"Orchard Green", "green", "yes", "no"}, {"Yard", "yard"}},
	into:     func(r *reading) *[]*zone { return &r.zones },
	from:     func(w *writing) []*zone { return pointers(w.show.Park.Zones) },
}

var stretchTable = table[stretch]{
	kind: "stretch", sheet: "Stretches", keys: []string{"id", "name"}, also: "stretch,frontage,frontage stretches,frontages,aprons",
	note: "Strips of frontage in front of several mouths: while a vehicle reverses in one, nothing else moves there.",
	columns: []column[stretch]{
		textCol("name", "Name", "stretch name,frontage", "", func(v *stretch) *string { return &v.Name }),
		idCol("Stretch", "id,stretch id,code", "", func(v *stretch) *sp.StretchID { return &v.ID }),
		lengthCol("depth_cm", "Depth", "width,clear depth", "", func(v *stretch) *sp.Centimetres { return &v.Depth }),
	},
	examples: [][]string{{"The Cobbles", "cobbles", "15.00"}},
	into:     func(r *reading) *[]*stretch { return &r.stretch },
	from:     func(w *writing) []*stretch { return pointers(w.show.Park.Stretches) },
}

var laneTable = table[lane]{
	kind: "lane", sheet: "Lanes", keys: []string{"id", "name"}, also: "lane,park,parking,parking lanes,vehicle park,lane list,park lanes",
	note: "One row a lane. Its length is needed. A row that holds nothing but a zone heads the lanes below it.",
	columns: []column[lane]{
		idCol("Lane", "id,lane id,lane no,lane number,no,number,code,lane code", "short and unique", func(v *lane) *sp.LaneID { return &v.ID }),
		textCol("name", "Name", "lane name,description,known as", "", func(v *lane) *string { return &v.Name }),
		lengthCol("length_cm", "Length", "len,usable length,lane length,l,clear length", "", func(v *lane) *sp.Centimetres { return &v.Length }),
		refCol("zone", "Zone", "area,compound,field,part of park", "", "zone", func(v *lane) *sp.ZoneID { return &v.Zone }),
		wordCol("kind", "Kind", "type,lane type,kind of lane", "dead-end: one mouth; through: in at the tail, out at the mouth; open: either end", laneWords, func(v *lane) *sp.LaneKind { return &v.Kind }),
		lengthCol("width_cm", "Width", "w,clear width,lane width", "", func(v *lane) *sp.Centimetres { return &v.Width }),
		massCol("max_mass_kg", "Greatest mass", "max mass,max weight,weight limit,mass limit,greatest weight,limit", "of one vehicle", func(v *lane) *sp.Kilograms { return &v.MaxMass }),
		wholeCol("max_deep", "Most deep", "max deep,deep,max vehicles,vehicles deep,most vehicles", "vehicles at once", 0, func(v *lane) *int { return &v.MaxDeep }),
		wordCol("drive_in", "Drive in", "entered,how entered,enter,driven in,in", "", driveInWords, func(v *lane) *sp.DriveIn { return &v.In }),
		extra(lengthCol("gap_cm", "Gap", "least gap,gap between vehicles,spacing", "least gap between neighbours", func(v *lane) *sp.Centimetres { return &v.Gap })),
		extra(yesCol("beside", "Room beside", "beside,room alongside,alongside", "for a slave lead", func(v *lane) *bool { return &v.Beside })),
		refCol("mouth", "Mouth faces", "mouth,stretch,frontage,mouth stretch,opens to", "a frontage stretch", "stretch", func(v *lane) *sp.StretchID { return &v.Mouth }),
		refCol("tail", "Tail faces", "tail,tail stretch,back opens to", "a frontage stretch, when it is not a dead end", "stretch", func(v *lane) *sp.StretchID { return &v.Tail }),
		extra(closedCol()),
		extra(placeCol("x_cm", "X", "east,easting,x position", "centre of the mouth, for drawing", func(v *lane) *sp.Centimetres { return &v.X })),
		extra(placeCol("y_cm", "Y", "south,y position", "y grows to the south", func(v *lane) *sp.Centimetres { return &v.Y })),
		extra(headingCol(func(v *lane) *int { return &v.Heading })),
	},
	examples: [][]string{
		{"Y1", "", "23.70", "yard", "dead-end", "3.60", "", "3", "reversed"}, {"Y2", "Pump Lane", "14.50", "yard", "open"}, {"C1", "", "44'", "green", "through"},
	},
	into: func(r *reading) *[]*lane { return &r.lanes },
	from: func(w *writing) []*lane { return pointers(w.show.Park.Lanes) },
	group: func(s source, v *lane, heading string) {
		s.do(func() {
			if v.Zone == "" {
				if id, ok := s.resolve("zone", heading); ok {
					v.Zone = sp.ZoneID(id)
				}
			}
		})
	},
}

// closedCol lists the times in which nothing may stand in a lane.
func closedCol() column[lane] {
	return column[lane]{
		field: "closed", header: "Closed", also: "closed times,not available,blocked", help: "such as D3 10:00 - D3 12:00; several with semicolons",
		read: func(s source, v *lane) {
			for _, piece := range strings.FieldsFunc(s.cell.text, func(r rune) bool { return r == ';' || r == '\n' }) {
				if part := textCell(piece); part.kind != cellBlank {
					t := s
					t.cell = part
					t.window(func(w sp.Window) { v.Closed = append(v.Closed, w) })
				}
			}
		},
		write: func(_ *writing, v *lane) cell {
			var parts []string
			for _, c := range v.Closed {
				parts = append(parts, windowText(c))
			}
			return textCell(strings.Join(parts, "; "))
		},
	}
}

// headingCol is a direction in degrees.
func headingCol[T any](at func(*T) *int) column[T] {
	return wholeCol("heading", "Heading", "direction,degrees,bearing", "degrees from the mouth outward: 0 up the page, 90 right", -360, at)
}

var lineTable = table[line]{
	kind: "line", sheet: "Lines", keys: []string{"id", "name"}, also: "line,forming up lines,forming up,forming up line,form up lines,assembly lines",
	note: "The forming-up lines, where a serial is put in order before it leaves and where it stops on the way home.",
	columns: []column[line]{
		textCol("name", "Name", "line name,description", "", func(v *line) *string { return &v.Name }),
		idCol("Line", "id,line id,code", "", func(v *line) *sp.LineID { return &v.ID }),
		refCol("zone", "Zone", "area", "when the public may be there", "zone", func(v *line) *sp.ZoneID { return &v.Zone }),
		lengthCol("length_cm", "Length", "len,usable length,l", "empty: no limit", func(v *line) *sp.Centimetres { return &v.Length }),
		lengthCol("gap_cm", "Gap", "spacing,gap between vehicles", "", func(v *line) *sp.Centimetres { return &v.Gap }),
		wordCol("out", "Out", "order out,filling,filled,going out", "strict: filled in the serial's order; free: each to its own mark", outWords, func(v *line) *sp.OutRule { return &v.Out }),
		wordCol("home", "Home", "order home,coming home,return order", "", homeWords, func(v *line) *sp.HomeRule { return &v.Home }),
		yesCol("tail_leads", "Tail leads home", "tail leads,last out first home", "coming home, the last of the column leaves the line first", func(v *line) *bool { return &v.TailLeads }),
		extra(yesCol("emergency_route", "Emergency route", "route,fire route", "nothing may stand there", func(v *line) *bool { return &v.Route })),
		extra(placeCol("x_cm", "X", "east,easting", "head, for drawing", func(v *line) *sp.Centimetres { return &v.X })),
		extra(placeCol("y_cm", "Y", "south", "", func(v *line) *sp.Centimetres { return &v.Y })),
		extra(headingCol(func(v *line) *int { return &v.Heading })),
	},
	examples: [][]string{{"North Road", "north", "", "95.00", "1.00", "strict", "in order", ""}, {"South Hard", "south", "", "98.00", "", "free", "any order"}},
	into:     func(r *reading) *[]*line { return &r.lines },
	from:     func(w *writing) []*line { return pointers(w.show.Park.Lines) },
}

var foulTable = table[foulRow]{
	kind: "foul", sheet: "Fouls", keys: []string{"line"}, also: "foul,line fouls,barred mouths,fouled lanes",
	note: "Where a vehicle standing on a line bars the mouths of lanes.",
	columns: []column[foulRow]{
		refCol("line", "Line", "forming up line", "", "line", func(v *foulRow) *sp.LineID { return &v.line }),
		placeCol("from_cm", "From", "start,from head", "counted from the head", func(v *foulRow) *sp.Centimetres { return &v.From }),
		placeCol("to_cm", "To", "end,up to", "", func(v *foulRow) *sp.Centimetres { return &v.To }),
		refsCol("lanes", "Lanes", "lane,bars,fouls,mouths", "", "lane", func(v *foulRow) *[]sp.LaneID { return &v.Lanes }),
	},
	examples: [][]string{{"South Hard", "68.00", "75.00", "C1"}},
	into:     func(r *reading) *[]*foulRow { return &r.fouls },
	from: func(w *writing) []*foulRow {
		var rows []*foulRow
		for _, l := range w.show.Park.Lines {
			for _, f := range l.Fouls {
				rows = append(rows, &foulRow{l.ID, f})
			}
		}
		return rows
	},
}

var spotTable = table[spot]{
	kind: "spot", sheet: "Spots", keys: []string{"id", "name"}, also: "spot,waiting places,other places,aside spots,spots off the lanes",
	note: "Places off the lanes: for waiting aside, the breakdown bay, loading, coupling.",
	columns: []column[spot]{
		textCol("name", "Name", "spot name,description,place", "", func(v *spot) *string { return &v.Name }),
		idCol("Spot", "id,spot id,code", "", func(v *spot) *sp.SpotID { return &v.ID }),
		wordCol("use", "Use", "used for,purpose,for", "", spotUseWords, func(v *spot) *sp.SpotUse { return &v.Use }),
		lengthCol("length_cm", "Length", "len,room,l", "empty: no limit", func(v *spot) *sp.Centimetres { return &v.Length }),
		extra(lengthCol("gap_cm", "Gap", "spacing", "", func(v *spot) *sp.Centimetres { return &v.Gap })),
		refsCol("zones", "Zones", "zone,serves,for zones", "which it serves; empty: all", "zone", func(v *spot) *[]sp.ZoneID { return &v.Zones }),
		yesCol("emergency_route", "Emergency route", "route,fire route", "nothing may stand there", func(v *spot) *bool { return &v.Route }),
		extra(placeCol("x_cm", "X", "east,easting", "", func(v *spot) *sp.Centimetres { return &v.X })),
		extra(placeCol("y_cm", "Y", "south", "", func(v *spot) *sp.Centimetres { return &v.Y })),
	},
	examples: [][]string{{"Cinder Patch", "cinder-patch", "waiting aside", "28.00", "yard", ""}, {"Gun park", "gun-park", "coupling", "20.00"}},
	into:     func(r *reading) *[]*spot { return &r.spots },
	from:     func(w *writing) []*spot { return pointers(w.show.Park.Spots) },
}

var paceTable = table[pace]{
	kind: "pace", sheet: "Paces", keys: []string{"takes_s"}, also: "pace,minutes per move,move times,times per move",
	note: "How long one kind of move takes for one kind of gear. The first row that fits counts; an empty cell fits all.",
	columns: []column[pace]{
		wordCol("kind", "Move", "kind,kind of move", "", moveKindWords, func(v *pace) *sp.MoveKind { return &v.Kind }),
		wordCol("gear", "Gear", "running gear", "", gearWords, func(v *pace) *sp.Gear { return &v.Gear }),
		spanCol("takes_s", "Takes", "minutes,time,duration", "", func(v *pace) *sp.Seconds { return &v.Takes }),
	},
	into: func(r *reading) *[]*pace { return &r.paces },
	from: func(w *writing) []*pace { return pointers(w.show.Park.Paces) },
}

var personTable = table[person]{
	kind: "person", sheet: "People", keys: []string{"name"}, also: "person,persons,drivers,crew,crews,staff,volunteers,team,marshals,personnel",
	note: "Who drives, crews or marshals. Names on other sheets that are missing here are added.",
	columns: []column[person]{
		textCol("name", "Name", "person,full name,driver,volunteer", "", func(v *person) *string { return &v.Name }),
		idCol("Id", "person id,key,code,initials", "", func(v *person) *sp.PersonID { return &v.ID }),
		textsCol("roles", "Roles", "role,duties,job,jobs,function", "driver, crew, marshal …", func(v *person) *[]string { return &v.Roles }),
	},
	examples: [][]string{{"Bram Tolliver", "tolliver", "driver"}},
	into:     func(r *reading) *[]*person { return &r.people },
	from:     func(w *writing) []*person { return pointers(w.show.People) },
	keep:     func(v *person) *map[string]string { return &v.Extra },
	group: func(_ source, v *person, heading string) {
		if len(v.Roles) == 0 {
			v.Roles = []string{heading}
		}
	},
}
