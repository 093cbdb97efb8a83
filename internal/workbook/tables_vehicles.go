package workbook

import (
	"strings"

	sp "sallyport"
)

type vehicle = sp.Vehicle

// groupWords in a row that holds nothing else make it a heading.
var groupWords = map[string]bool{
	"guest": true, "guests": true, "visitor": true, "visitors": true, "visiting": true, "own": true, "ours": true, "vehicles": true,
	"section": true, "contingent": true, "group": true, "regiment": true, "club": true, "collection": true, "invited": true,
}

func isGroupText(_ *foundSheet, text string) bool {
	for _, w := range strings.Fields(fold(text)) {
		if groupWords[w] {
			return true
		}
	}
	return false
}

var vehicleTable = table[vehicle]{
	kind: "vehicle", sheet: "Vehicles", keys: []string{"name"},
	also: "vehicle,vehicle register,fleet,fleet register,register,inventory,exhibits,machines,participants,runners,our vehicles,vehicles taking part,entry register",
	note: "One row a vehicle. Only the name is needed; what is empty is assumed by class and listed. Columns may stand in any order, more may be added.",
	columns: []column[vehicle]{
		textCol("name", "Vehicle", "name,vehicle name,exhibit,machine,title,description of vehicle,make and model,type and name", "what people call it", func(v *vehicle) *string { return &v.Name }),
		idCol("Id", "vehicle id,key,code,ref,reference,short name", "short and unique; made from the name when empty", func(v *vehicle) *sp.UnitID { return &v.ID }),
		textCol("number", "Number", "no,nr,fleet number,fleet no,reg,registration,reg no,registration number,plate,vrn,census number,serial number,painted number,arena number", "painted or plate number", func(v *vehicle) *string { return &v.Number }),
		textsCol("nicknames", "Nicknames", "nickname,also called,aka,alias,aliases,known as,other names", "separated by semicolons", func(v *vehicle) *[]string { return &v.Nicknames }),
		textCol("owner", "Owner", "owned by,keeper,owner name,belongs to,exhibitor", "", func(v *vehicle) *string { return &v.Owner }),
		textCol("contingent", "Contingent", "group,party,section,unit,club,from,organisation", "own, guests, a regiment …", func(v *vehicle) *string { return &v.Contingent }),
		textCol("class", "Class", "kind,type,category,vehicle type,vehicle class,kind of vehicle", "a class of the sheet Classes or a built-in one; decides what is assumed", func(v *vehicle) *string { return &v.Class }),
		upTo(lengthCol("length_cm", "Length", "len,overall length,length overall,length as parked,l,loa,parked length", "as parked, with overhang", func(v *vehicle) *sp.Centimetres { return &v.Length }), 4000),
		upTo(lengthCol("width_cm", "Width", "w,overall width,width overall,breadth", "", func(v *vehicle) *sp.Centimetres { return &v.Width }), 1000),
		upTo(lengthCol("height_cm", "Height", "h,overall height,height overall", "", func(v *vehicle) *sp.Centimetres { return &v.Height }), 1000),
		massCol("mass_kg", "Mass", "weight,wt,gross weight,combat weight,laden weight,all up weight,gvw,weight laden,kerb weight", "never assumed", func(v *vehicle) *sp.Kilograms { return &v.Mass }),
		extra(lengthCol("gap_ahead_cm", "Gap ahead", "gap in front,front gap,own gap ahead", "own gap in front of the nose", func(v *vehicle) *sp.Centimetres { return &v.GapAhead })),
		extra(lengthCol("gap_behind_cm", "Gap behind", "rear gap,own gap behind", "own gap behind", func(v *vehicle) *sp.Centimetres { return &v.GapBehind })),
		wordCol("gear", "Gear", "running gear,drive,wheels or tracks,wheels tracks,tracks or wheels,tracks wheels,tracked or wheeled,propulsion", "what it runs on", gearWords, func(v *vehicle) *sp.Gear { return &v.Gear }),
		reverseCol("Reverse", func(v *vehicle) (*sp.ReverseRule, *sp.Centimetres) { return &v.Reverse, &v.ReverseLimit }),
		extra(lengthCol("reverse_limit_cm", "Reverse limit", "reverses up to,reverse at most", "with reverse: short", func(v *vehicle) *sp.Centimetres { return &v.ReverseLimit })),
		wordCol("start", "Start", "starting,started by,how started,start method,starts by", "how the engine is started", startWords, func(v *vehicle) *sp.StartRule { return &v.Start }),
		extra(lengthCol("start_clear_cm", "Clear ahead to start", "start clear,clear ahead,tow start distance", "needed to start by tow", func(v *vehicle) *sp.Centimetres { return &v.StartClear })),
		handCol(),
		extra(lengthCol("turning_circle_cm", "Turning circle", "turning", "", func(v *vehicle) *sp.Centimetres { return &v.TurningCircle })),
		extra(yesCol("turns_on_spot", "Turns on the spot", "neutral turn,spins", "", func(v *vehicle) *bool { return &v.TurnsOnSpot })),
		extra(speedCol("park_speed_cm_s", "Park speed", "speed,speed in the park,walking speed", "in the park", func(v *vehicle) *sp.Centimetres { return &v.ParkSpeed })),
		spanPtrCol("warm_up_s", "Warm-up", "warm up time,warming up,warm up,warmup", "", func(v *vehicle) **sp.Seconds { return &v.WarmUp }),
		extra(wordCol("warm_where", "Warmed up where", "warm where,warm up place,where warmed up", "", warmWords, func(v *vehicle) *sp.WarmPlace { return &v.WarmWhere })),
		extra(spanPtrCol("longest_idle_s", "Longest idle", "max idle,idle limit,idling", "0: no limit", func(v *vehicle) **sp.Seconds { return &v.LongestIdle })),
		extra(spanPtrCol("hot_rest_s", "Rest before hot restart", "hot rest,hot restart,rest", "", func(v *vehicle) **sp.Seconds { return &v.HotRest })),
		extra(spanPtrCol("cool_down_s", "Cool-down", "cooling,cool down time,cooldown", "", func(v *vehicle) **sp.Seconds { return &v.CoolDown })),
		extra(spanCol("light_up_s", "Light-up", "lighting up,light up time,steam raising", "steam: from cold to moving", func(v *vehicle) *sp.Seconds { return &v.LightUp })),
		extra(yesCol("never_alone", "Never unattended", "never alone,attended", "", func(v *vehicle) *bool { return &v.NeverAlone })),
		extra(wholeCol("max_runs", "Most runs a day", "max runs,runs a day,runs per day,most runs", "", 0, func(v *vehicle) *int { return &v.MaxRuns })),
		extra(spanCol("max_running_s", "Most arena minutes a day", "max running,running time,arena time a day", "", func(v *vehicle) *sp.Seconds { return &v.MaxRunning })),
		startChanceCol(),
		extra(wholeCol("starts_tried", "Starts tried", "start tries,starts attempted,tried to start,start attempts,times tried", "from your records: how often it was to start", 0, func(v *vehicle) *int { return &v.StartsTried })),
		extra(wholeCol("starts_failed", "Starts failed", "failed starts,failures to start,did not start,start failures,times failed", "of these, how often it did not", 0, func(v *vehicle) *int { return &v.StartsFail })),
		startWordCol(),
		extra(chancePtrCol("fail_chance", "Chance of failing in a run", "fail chance,failure chance,breakdown chance", "", func(v *vehicle) **sp.Chance { return &v.FailChance })),
		refsCol("zones", "Zones", "zone,zones allowed,allowed zones,area,areas", "where it may stand; empty: anywhere", "zone", func(v *vehicle) *[]sp.ZoneID { return &v.Zones }),
		refCol("home.lane", "Home lane", "home,lane,parked in,stands in,parking lane,home place,allocated lane", "", "lane", func(v *vehicle) *sp.LaneID { return &v.Home.Lane }),
		wordCol("home.binding", "Home is", "home binding,binding,pinned,home fixed,home firm", "free, told or fixed", bindingWords, func(v *vehicle) *sp.Binding { return &v.Home.Binding }),
		extra(textCol("home.reason", "Home because", "home reason,reason,reason for home,why there", "", func(v *vehicle) *string { return &v.Home.Reason })),
		extra(yesCol("stands_alone", "Stands alone", "alone,alone in lane", "shares its lane with nobody", func(v *vehicle) *bool { return &v.StandsAlone })),
		extra(refsCol("keep_together", "Keep together", "keep with,together with,together", "vehicles it should share a zone with", "unit", func(v *vehicle) *[]sp.UnitID { return &v.KeepTogether })),
		extra(refsCol("keep_apart", "Keep apart", "apart from,not with,keep away from", "vehicles it must never share a lane with", "unit", func(v *vehicle) *[]sp.UnitID { return &v.KeepApart })),
		yesCol("standby", "Standby", "must be able to leave,always free,emergency vehicle", "must be able to leave at any time", func(v *vehicle) *bool { return &v.Standby }),
		extra(yesCol("owner_only", "Owner only", "moved by owner only,only owner drives", "not moved in a reset without its owner", func(v *vehicle) *bool { return &v.OwnerOnly })),
		windowCol("arrive", "Arrives", "arrival,arrives on,arriving,first day,from day,comes,arrival time", "such as Thu 10:00 - 16:00; empty: there from the start", func(v *vehicle) *sp.Window { return &v.Arrive }),
		windowCol("depart", "Leaves", "departure,departs,leaving,last day,goes,departure time,leaves on", "such as from Sun 12:00; empty: stays to the end", func(v *vehicle) *sp.Window { return &v.Depart }),
		windowCol("off_road", "Off the road", "vor,broken down,withdrawn,unserviceable,off road", "such as until Sat 9:00", func(v *vehicle) *sp.Window { return &v.OffRoad }),
		refCol("usual_driver", "Usual driver", "driver,driven by,main driver,drivers name", "", "person", func(v *vehicle) *sp.PersonID { return &v.UsualDriver }),
		extra(refsCol("drivers", "Other drivers", "drivers,second driver,reserve drivers,can also be driven by", "", "person", func(v *vehicle) *[]sp.PersonID { return &v.Drivers })),
		yesCol("placeholder", "To be confirmed", "tbc,placeholder,unconfirmed,provisional", "stands for a vehicle not yet named", func(v *vehicle) *bool { return &v.Placeholder }),
		textCol("note", "Note", "notes,remarks,remark,comment,comments", "", func(v *vehicle) *string { return &v.Note }),
	},
	examples: [][]string{
		{"Avocet", "avocet", "F 1", "", "", "Fenmoor", "light wheeled", "3.60", "1.65", "", "1100"},
		{"Whooper", "", "F 37", "Old Whoop", "", "Fenmoor", "steam", "20' 4\"", "", "", "10.5 t"},
		{"Dunlin", "", "", "", "", "Fenmoor", "light wheeled", "345 cm"},
		{"Redshank"},
		{"Crane", "", "", "", "", "", "heavy wheeled"},
		{"Smew gun", "", "", "", "", "", "towed"},
		{"Heron", "", "F 18", "", "", "", "heavy wheeled", "7.60"},
	},
	into: func(r *reading) *[]*vehicle { return &r.vehicles },
	from: func(w *writing) []*vehicle { return pointers(w.show.Vehicles) },
	keep: func(v *vehicle) *map[string]string { return &v.Extra },
	group: func(_ source, v *vehicle, heading string) {
		if v.Contingent == "" {
			v.Contingent = heading
		}
	},
	isGroup: isGroupText,
}

// reverseCol reads yes, no, short, or the distance itself: "20 m".
func reverseCol[T any](header string, at func(*T) (*sp.ReverseRule, *sp.Centimetres)) column[T] {
	c := wordCol("reverse", header, "reverses,can reverse,reversing,reverse gear,backwards", "yes, never, or short with the metres: short 20 m", reverseWords,
		func(v *T) *sp.ReverseRule { rule, _ := at(v); return rule })
	plainRead := c.read
	c.read = func(s source, v *T) {
		text := strings.TrimSpace(strings.ToLower(s.cell.text))
		text = strings.TrimSuffix(strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(text, "short"), " only")), " only")
		rule, limit := at(v)
		if n, bad := aLength.measure(text, nil); bad == nil && n > 0 {
			*rule, *limit = sp.ReverseShort, sp.Centimetres(n)
			return
		}
		plainRead(s, v)
	}
	return c
}

// handCol reads the people needed to push a vehicle, or no.
func handCol() column[vehicle] {
	c := wholeCol("hand_people", "People to push it", "by hand,push,people by hand,pushed by,hand people", "empty or no: not by hand", 0, func(v *vehicle) *int { return &v.HandPeople })
	number := c.read
	c.read = func(s source, v *vehicle) {
		if yes, ok := yesNo(s.cell.text); ok && !yes {
			return
		}
		number(s, v)
	}
	return c
}

// startChanceCol and startWordCol read figures and words alike.
func startChanceCol() column[vehicle] {
	c := chancePtrCol("start_chance", "Start chance", "chance of starting,starts percent", "percent; or say it in words in the next column", func(v *vehicle) **sp.Chance { return &v.StartChance })
	figure := c.read
	c.read = func(s source, v *vehicle) {
		if w, ok := findWord(chanceWords, s.cell.text); ok && s.cell.kind == cellText {
			v.StartWord = sp.StartWord(w)
			return
		}
		figure(s, v)
	}
	return extra(c)
}

func startWordCol() column[vehicle] {
	c := wordCol("start_word", "Starts", "reliability,start word,starting mood,starts how", "", chanceWords, func(v *vehicle) *sp.StartWord { return &v.StartWord })
	plainRead := c.read
	c.read = func(s source, v *vehicle) {
		if s.cell.kind == cellNumber || strings.HasSuffix(s.cell.text, "%") {
			s.chanceOf(func(n sp.Chance) { v.StartChance = &n })
			return
		}
		plainRead(s, v)
	}
	return c
}

type combination = sp.Combination

var combinationTable = table[combination]{
	kind: "combination", sheet: "Combinations", keys: []string{"name", "tower"},
	also: "combination,combos,towing,trains,tow list,tractors and guns,coupled",
	note: "One row for a towing vehicle with what it tows; it moves as one.",
	columns: []column[combination]{
		textCol("name", "Combination", "name,combination name,title", "", func(v *combination) *string { return &v.Name }),
		idCol("Id", "combination id,key,code", "", func(v *combination) *sp.UnitID { return &v.ID }),
		refCol("tower", "Towing vehicle", "tower,tractor,towed by,prime mover,tug,towing", "", "unit", func(v *combination) *sp.UnitID { return &v.Tower }),
		refsCol("towed", "Towed", "tows,trailer,trailers,gun,towed items,behind it", "nearest the towing vehicle first, separated by semicolons", "unit", func(v *combination) *[]sp.UnitID { return &v.Towed }),
		lengthCol("length_cm", "Length", "len,overall length,total length", "of the whole; empty: the parts and 0.50 m a coupling", func(v *combination) *sp.Centimetres { return &v.Length }),
		reverseCol("Reverse", func(v *combination) (*sp.ReverseRule, *sp.Centimetres) { return &v.Reverse, &v.ReverseLimit }),
		extra(lengthCol("reverse_limit_cm", "Reverse limit", "reverses up to", "with reverse: short", func(v *combination) *sp.Centimetres { return &v.ReverseLimit })),
		refCol("couple_at", "Coupled at", "couple at,coupling place,parted at,coupled where", "a spot", "spot", func(v *combination) *sp.SpotID { return &v.CoupleAt }),
		extra(spanCol("takes_s", "Takes", "coupling time,time to couple", "to couple or part", func(v *combination) *sp.Seconds { return &v.Takes })),
		refCol("home.lane", "Home lane", "home,lane,stands in", "", "lane", func(v *combination) *sp.LaneID { return &v.Home.Lane }),
		wordCol("home.binding", "Home is", "home binding,binding", "free, told or fixed", bindingWords, func(v *combination) *sp.Binding { return &v.Home.Binding }),
		extra(textCol("home.reason", "Home because", "home reason,reason", "", func(v *combination) *string { return &v.Home.Reason })),
	},
	examples: [][]string{{"Crane with the Smew gun", "smew-team", "Crane", "Smew gun", "", "never", "Gun park"}},
	into:     func(r *reading) *[]*combination { return &r.combos },
	from:     func(w *writing) []*combination { return pointers(w.show.Combinations) },
}

type class = sp.Class

var classTable = table[class]{
	kind: "class", sheet: "Classes", keys: []string{"name"},
	also: "class,vehicle classes,assumptions,assumed figures,class figures",
	note: "Figures assumed for vehicles of a kind. A row replaces the built-in class of that name.",
	columns: []column[class]{
		textCol("name", "Class", "name,class name,kind", "", func(v *class) *string { return &v.Name }),
		wordCol("gear", "Gear", "running gear", "", gearWords, func(v *class) *sp.Gear { return &v.Gear }),
		lengthCol("length_cm", "Length", "len", "", func(v *class) *sp.Centimetres { return &v.Length }),
		wordCol("reverse", "Reverse", "reverses", "", reverseWords, func(v *class) *sp.ReverseRule { return &v.Reverse }),
		wordCol("start", "Start", "starting", "", startWords, func(v *class) *sp.StartRule { return &v.Start }),
		spanCol("warm_up_s", "Warm-up", "warm up time", "", func(v *class) *sp.Seconds { return &v.WarmUp }),
		wordCol("warm_where", "Warmed up where", "warm where", "", warmWords, func(v *class) *sp.WarmPlace { return &v.WarmWhere }),
		spanCol("longest_idle_s", "Longest idle", "max idle", "", func(v *class) *sp.Seconds { return &v.LongestIdle }),
		spanCol("hot_rest_s", "Rest before hot restart", "hot rest", "", func(v *class) *sp.Seconds { return &v.HotRest }),
		spanCol("cool_down_s", "Cool-down", "cooling", "", func(v *class) *sp.Seconds { return &v.CoolDown }),
		speedCol("park_speed_cm_s", "Park speed", "speed", "", func(v *class) *sp.Centimetres { return &v.ParkSpeed }),
		chanceCol("start_chance", "Start chance", "chance of starting", "", func(v *class) *sp.Chance { return &v.StartChance }),
		chanceCol("fail_chance", "Chance of failing in a run", "fail chance", "", func(v *class) *sp.Chance { return &v.FailChance }),
		wholeCol("awkward", "Awkwardness (%)", "awkwardness,awkward percent", "how hard one move is; 100 is a light car", 0, func(v *class) *int { return &v.Awkward }),
	},
	into: func(r *reading) *[]*class { return &r.classes },
	from: func(w *writing) []*class { return pointers(w.show.Classes) },
}
