package workbook

import (
	"strings"

	sp "sallyport"
)

type (
	closing     = sp.Closing
	resetWindow = sp.ResetWindow
)

// dayRow is a day with its date, if given.
type dayRow struct {
	sp.Day
	date   moment
	number int // when writing
}

// serialRow is a row of the order of events: a serial, or one of its entries.
type serialRow struct {
	sp.Serial
	entry   sp.Entry // what the row says of the entries it lists
	units   source
	leaving source
	lists   []*serialRow // the rows that say who takes part, itself first
}

// entryRow is a row of the sheet of entries.
type entryRow struct {
	sp.Entry
	serial source
	units  source
	owner  sp.SerialID // when writing
}

// dutyRow is a duty of one vehicle or several.
type dutyRow struct {
	sp.Duty
	units source
}

// placeRow is a stay of a plan made by hand.
type placeRow struct {
	sp.Placement
	units source
	after source
}

var dayTable = table[dayRow]{
	kind: "day", sheet: "Days", keys: []string{"name", "date"}, also: "day,show days,dates,calendar",
	note: "One row a day, in order. Without this sheet the days are told from the other sheets.",
	columns: []column[dayRow]{
		textCol("name", "Day", "name,day name,weekday", "", func(v *dayRow) *string { return &v.Name }),
		dateCol(),
		wordCol("kind", "Kind", "type,purpose,kind of day,what", "", dayKindWords, func(v *dayRow) *sp.DayKind { return &v.Kind }),
		instantCol("public_from", "Public from", "gates open,open,public in,opens", "the public is on site", func(v *dayRow) *sp.Instant { return &v.PublicFrom }),
		instantCol("public_to", "Public to", "gates close,close,public out,closes,public until", "", func(v *dayRow) *sp.Instant { return &v.PublicTo }),
		instantCol("engine_from", "Engines from", "engine from,engines start,first engine,engine hours from", "no engine outside these hours", func(v *dayRow) *sp.Instant { return &v.EngineFrom }),
		instantCol("engine_to", "Engines to", "engine to,engines stop,last engine,engine hours to,engines until", "", func(v *dayRow) *sp.Instant { return &v.EngineTo }),
		wholeCol("teams", "Marshal teams", "teams,marshals", "on duty at once", 0, func(v *dayRow) *int { return &v.Teams }),
	},
	examples: [][]string{
		{"Friday", "2027-06-25", "build-up", "", "", "7:00", "21:00", "3"},
		{"Saturday", "2027-06-26", "show", "9:30", "17:30", "7:00", "21:00", "4"},
	},
	into: func(r *reading) *[]*dayRow { return &r.days },
	from: func(w *writing) []*dayRow {
		rows := make([]*dayRow, len(w.show.Days))
		for i, d := range w.show.Days {
			rows[i] = &dayRow{Day: d, number: i + 1}
		}
		return rows
	},
	day: func(v *dayRow) sp.Instant { return sp.At(v.number, 0, 1) },
	done: func(r *reading, rec *record, v *dayRow) {
		rec.day = &moment{day: dayWord{number: len(r.days)}, hasDay: true}
	},
}

func dateCol() column[dayRow] {
	return column[dayRow]{
		field: "date", header: "Date", also: "on", help: "such as 2027-06-26 or 26 June 2027",
		read: func(s source, v *dayRow) {
			m, _, bad := cellMoment(s.cell)
			if bad != nil || !m.hasDay || !m.day.dated {
				s.say(Stop, "this is no date", "write it like 2027-06-26 or 26 June 2027")
				return
			}
			v.date = m
		},
		write: func(w *writing, v *dayRow) cell {
			if !w.cal.dated {
				return cell{}
			}
			return textCell(w.cal.date(v.number).String())
		},
	}
}

var serialTable = table[serialRow]{
	kind: "serial", sheet: "Serials", keys: []string{"id", "name", "entries"},
	also: "serial,order of events,programme,program,running order,schedule,timetable,events,displays,arena programme,running orders,arena,order",
	note: "One row a serial with its vehicles in one cell, or one row an entry. Only the order and one time are needed. A row that holds nothing but a day heads those below it.",
	columns: []column[serialRow]{
		idCol("Serial", "id,serial id,serial no,serial number,no,nr,number,item,ser,event no,code", "short and unique, or counted on each day", func(v *serialRow) *sp.SerialID { return &v.ID }),
		dayCol[serialRow](),
		textCol("name", "Name", "title,serial name,display,event,what,description,subject", "", func(v *serialRow) *string { return &v.Name }),
		refCol("line", "Line", "forming up line,form up on,forming up,formed up on,assembly", "", "line", func(v *serialRow) *sp.LineID { return &v.Line }),
		extra(refCol("home_line", "Home line", "line home,comes home to,return line", "on the way home, where it differs", "line", func(v *serialRow) *sp.LineID { return &v.HomeLine })),
		instantCol("form_from", "Form from", "forming up from,pull out from,pull out,start forming,form up from,called", "a pull-out before this is early", func(v *serialRow) *sp.Instant { return &v.FormFrom }),
		instantCol("form_up", "Form up by", "form up,formed up,formed up by,on line by,on the line by,ready by,form up time,assemble", "all on the line by", func(v *serialRow) *sp.Instant { return &v.FormUp }),
		instantCol("arena_in", "Arena in", "in,enters,start,start time,time,begins,enter arena,from,arena from,time in,on", "", func(v *serialRow) *sp.Instant { return &v.ArenaIn }),
		instantCol("arena_out", "Arena out", "out,leaves,end,end time,finish,ends,leave arena,to,until,arena until,time out,off", "", func(v *serialRow) *sp.Instant { return &v.ArenaOut }),
		instantCol("home_by", "Home by", "parked by,back by,all home,home", "all parked by", func(v *serialRow) *sp.Instant { return &v.HomeBy }),
		spanCol("travel_s", "Travel", "travel time,to arena,road time,journey", "from line to arena, and back", func(v *serialRow) *sp.Seconds { return &v.Travel }),
		{
			field: "entries", header: "Vehicles", also: "vehicle,entries,entry,order,taking part,participants,running order,who,line up,vehicles in order,units,lineup,vehicles taking part,running order of vehicles",
			help:  "in order, separated by commas, or one vehicle a row",
			read:  func(s source, v *serialRow) { v.units = s },
			write: func(w *writing, v *serialRow) cell { return textCell(w.plainEntries(&v.Serial)) },
		},
		extra(refCol("driver", "Driver", "driven by", "with one vehicle a row", "person", func(v *serialRow) *sp.PersonID { return &v.entry.Driver })),
		extra(refsCol("reserves", "Reserves", "reserve,in reserve,spare", "with one vehicle a row", "unit", func(v *serialRow) *[]sp.UnitID { return &v.entry.Reserves })),
		extra(column[serialRow]{
			field: "leaving", header: "Leaving order", also: "order out,leaves in order,order of leaving,exit order", help: "where it differs",
			read: func(s source, v *serialRow) { v.leaving = s },
			write: func(w *writing, v *serialRow) cell {
				return textCell(joinList(w.leavingOrder(&v.Serial)))
			},
		}),
		textCol("note", "Note", "notes,remarks,remark,comment,comments", "", func(v *serialRow) *string { return &v.Note }),
	},
	examples: [][]string{
		{"1", "Saturday", "Opening column", "North Road", "9:40", "10:10", "10:20", "10:45", "11:15", "5", "Avocet, Dunlin, Whooper, 2 carriers tbc"},
		{"2", "Saturday", "Second column", "South Hard", "", "", "11:40", "12:00"},
	},
	into: func(r *reading) *[]*serialRow { return &r.serials },
	from: func(w *writing) []*serialRow {
		rows := make([]*serialRow, len(w.show.Serials))
		for i, s := range w.show.Serials {
			rows[i] = &serialRow{Serial: s}
		}
		return rows
	},
	day:     func(v *serialRow) sp.Instant { return firstOf(v.ArenaIn, v.FormUp, v.FormFrom, v.ArenaOut) },
	isGroup: isDay, days: true,
	group: func(s source, v *serialRow, heading string) { s.headDay(v, heading) },
}

// isDay reports whether a text is surely a day.
func isDay(_ *foundSheet, text string) bool {
	day, bad := parseDay(strings.TrimRight(text, ": "))
	return bad == nil && (day.number > 0 || day.dated || day.weekly)
}

// headDay gives a thing the day of the group row above it.
func (s source) headDay(thing any, heading string) {
	rec := s.records[thing]
	if rec == nil || rec.day != nil || rec.badDay {
		return
	}
	h := s
	h.rec = &record{sheet: s.rec.sheet, row: s.rec.row, first: s.rec.first, cells: map[string]int{}}
	h.cell.text = heading
	h.setDay()
	rec.badDay, rec.dayFrom = h.rec.badDay, h.rec.dayFrom
	if rec.day = h.rec.day; rec.day != nil {
		rec.day.loose = !isDay(nil, heading)
	}
}

// firstOf returns the first moment that is given.
func firstOf(times ...sp.Instant) sp.Instant {
	for _, t := range times {
		if t != 0 {
			return t
		}
	}
	return 0
}

var entryTable = table[entryRow]{
	kind: "entry", sheet: "Entries", keys: []string{"unit"}, also: "entry,appearances,vehicles in serials,serial entries,crewing",
	note: "One row an entry, in the order of the serial. Not needed when the serials list their vehicles.",
	columns: []column[entryRow]{
		{
			field: "serial", header: "Serial", also: "serial id,in serial,serial no,event,serial name,display", help: "its id or name",
			read:  func(s source, v *entryRow) { v.serial = s },
			write: func(w *writing, v *entryRow) cell { return textCell(w.refer("serial", string(v.owner))) },
		},
		{
			field: "day", header: "Day", also: "date,show day", help: "when serials are counted on each day",
			read:  func(s source, _ *entryRow) { s.setDay() },
			write: func(*writing, *entryRow) cell { return cell{} },
		},
		{
			field: "unit", header: "Vehicle", also: "unit,entry,vehicles,combination,what", help: "a vehicle or a combination",
			read: func(s source, v *entryRow) { v.units = s },
			write: func(w *writing, v *entryRow) cell {
				return textCell(joinList([]string{w.refer("unit", string(v.Unit))}))
			},
		},
		refCol("driver", "Driver", "driven by", "", "person", func(v *entryRow) *sp.PersonID { return &v.Driver }),
		refsCol("crew", "Crew", "with,crew members", "separated by semicolons", "person", func(v *entryRow) *[]sp.PersonID { return &v.Crew }),
		refsCol("reserves", "Reserves", "reserve,spare,in reserve", "first choice first", "unit", func(v *entryRow) *[]sp.UnitID { return &v.Reserves }),
		wholeCol("value", "Value", "worth,importance", "what it is worth not to lose it; empty: 1", 0, func(v *entryRow) *int { return &v.Value }),
		wordCol("join", "Joined", "join,joined to next,stays out", "to the vehicle's next entry: line or arena", joinWords, func(v *entryRow) *sp.Join { return &v.Join }),
		entryIDCol(),
	},
	examples: [][]string{{"2", "Saturday", "Heron", "Bram Tolliver", "", "Redshank"}},
	into:     func(r *reading) *[]*entryRow { return &r.entries },
	from: func(w *writing) []*entryRow {
		var rows []*entryRow
		for i := range w.show.Serials {
			s := &w.show.Serials[i]
			if w.plainEntries(s) != "" {
				continue
			}
			for _, e := range s.Entries {
				rows = append(rows, &entryRow{Entry: e, owner: s.ID})
			}
		}
		return rows
	},
}

// entryIDCol leaves out ids that follow from serial and vehicle.
func entryIDCol() column[entryRow] {
	c := textCol("id", "Id", "entry id,key", "made from serial and vehicle when empty", func(v *entryRow) *sp.EntryID { return &v.ID })
	c.write = func(_ *writing, v *entryRow) cell {
		if v.ID == entryID(v.owner, v.Unit) {
			return cell{}
		}
		return textCell(string(v.ID))
	}
	return c
}

var dutyTable = table[dutyRow]{
	kind: "duty", sheet: "Duties", keys: []string{"unit"}, also: "duty,other duties,rides,fuelling,static,static display,absences,tasks",
	note: "Any other absence from the lane: fuel, rides, static display, recovery cover.",
	columns: []column[dutyRow]{
		{
			field: "unit", header: "Vehicle", also: "vehicles,unit,who", help: "one or several",
			read: func(s source, v *dutyRow) { v.units = s },
			write: func(w *writing, v *dutyRow) cell {
				return textCell(joinList([]string{w.refer("unit", string(v.Unit))}))
			},
		},
		textCol("what", "Duty", "what,task,purpose,reason,for", "", func(v *dutyRow) *string { return &v.What }),
		textCol("place", "Place", "where,location,at", "", func(v *dutyRow) *string { return &v.Place }),
		dayCol[dutyRow](),
		instantCol("from", "From", "start,start time,begins,leaves", "there from", func(v *dutyRow) *sp.Instant { return &v.From }),
		instantCol("to", "To", "until,end,end time,ends,back", "", func(v *dutyRow) *sp.Instant { return &v.To }),
		refCol("driver", "Driver", "driven by", "", "person", func(v *dutyRow) *sp.PersonID { return &v.Driver }),
		extra(textCol("id", "Id", "duty id,key", "", func(v *dutyRow) *sp.DutyID { return &v.ID })),
	},
	examples: [][]string{{"Heron", "recovery cover", "arena gate", "Saturday", "10:00", "13:20"}},
	into:     func(r *reading) *[]*dutyRow { return &r.duties },
	from: func(w *writing) []*dutyRow {
		rows := make([]*dutyRow, len(w.show.Duties))
		for i, d := range w.show.Duties {
			rows[i] = &dutyRow{Duty: d}
		}
		return rows
	},
	day:     func(v *dutyRow) sp.Instant { return v.From },
	isGroup: isDay, days: true,
	group: func(s source, v *dutyRow, heading string) { s.headDay(v, heading) },
}

var closingTable = table[closing]{
	kind: "closing", sheet: "Closings", keys: []string{"zone"}, also: "closing,closures,closure,zone closings,public closures",
	note: "When a zone is closed to the public. Engines may start from when it is declared clear until it is reopened.",
	columns: []column[closing]{
		refCol("zone", "Zone", "area", "", "zone", func(v *closing) *sp.ZoneID { return &v.Zone }),
		dayCol[closing](),
		instantCol("closed", "Closed", "closed at,closes,from,close", "", func(v *closing) *sp.Instant { return &v.Closed }),
		spanCol("to_clear_s", "To clear", "minutes to clear,clearing,clearing time", "what clearing takes", func(v *closing) *sp.Seconds { return &v.ToClear }),
		instantCol("clear", "Declared clear by", "clear,clear by,declared clear", "empty: closed and the minutes to clear", func(v *closing) *sp.Instant { return &v.Clear }),
		instantCol("reopened", "Reopened", "reopens,reopened at,open again,to,until", "", func(v *closing) *sp.Instant { return &v.Reopened }),
	},
	examples: [][]string{{"green", "Saturday", "10:45", "10", "", "14:00"}},
	into:     func(r *reading) *[]*closing { return &r.closings },
	from:     func(w *writing) []*closing { return pointers(w.show.Closings) },
	day:      func(v *closing) sp.Instant { return v.Closed },
	isGroup:  isDay, days: true,
	group: func(s source, v *closing, heading string) { s.headDay(v, heading) },
}

var resetTable = table[resetWindow]{
	kind: "reset", sheet: "Resets", keys: []string{"from", "id"}, also: "reset,reset windows,evening moves,re parking,putting right",
	note: "Times outside the serials in which the park may be put right.",
	columns: []column[resetWindow]{
		idCol("Reset", "id,name,window,reset id", "short and unique", func(v *resetWindow) *sp.WindowID { return &v.ID }),
		dayCol[resetWindow](),
		instantCol("from", "From", "start,begins", "", func(v *resetWindow) *sp.Instant { return &v.From }),
		instantCol("to", "To", "until,end,latest end,ends", "latest end", func(v *resetWindow) *sp.Instant { return &v.To }),
		wholeCol("awkward", "Awkwardness (%)", "awkward,awkwardness,awkward percent", "100: as by day", 0, func(v *resetWindow) *int { return &v.Awkward }),
	},
	examples: [][]string{{"sat-evening", "Saturday", "18:30", "20:30", "120"}},
	into:     func(r *reading) *[]*resetWindow { return &r.resets },
	from:     func(w *writing) []*resetWindow { return pointers(w.show.Resets) },
	day:      func(v *resetWindow) sp.Instant { return v.From },
}

var placeTable = table[placeRow]{
	kind: "place", sheet: "Places", keys: []string{"unit"}, also: "plan,hand made plan,places,parking plan,where they stand,layout,placements,allocation",
	note: "A plan made by hand: in which lane each vehicle stands at the start and after each serial, duty or reset. Moves follow from it.",
	columns: []column[placeRow]{
		{
			field: "unit", header: "Vehicle", also: "unit,vehicles,name", help: "",
			read:  func(s source, v *placeRow) { v.units = s },
			write: func(w *writing, v *placeRow) cell { return textCell(w.refer("unit", string(v.Unit))) },
		},
		{
			field: "after", header: "After", also: "after serial,from,since,when", help: "start, or a serial, duty or reset",
			read: func(s source, v *placeRow) { v.after = s },
			write: func(w *writing, v *placeRow) cell {
				if v.After == "" && !w.names["stay"].ids["start"] {
					return textCell("start")
				}
				return textCell(w.refer("stay", v.After))
			},
		},
		refCol("lane", "Lane", "in lane,stands in,goes to", "", "lane", func(v *placeRow) *sp.LaneID { return &v.Lane }),
		wholeCol("place", "Place", "position,order", "from the mouth, 1 is nearest; for the start only", 0, func(v *placeRow) *int { return &v.Place }),
	},
	examples: [][]string{{"Avocet", "start", "Y1", "1"}, {"Avocet", "1", "Y2"}},
	into:     func(r *reading) *[]*placeRow { return &r.places },
	from: func(w *writing) []*placeRow {
		rows := make([]*placeRow, len(w.sketch))
		for i, p := range w.sketch {
			rows[i] = &placeRow{Placement: p}
		}
		return rows
	},
}
