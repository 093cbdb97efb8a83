package sallyport_test

import (
	"fmt"
	"slices"

	sp "sallyport"

	"pgregory.net/rapid"
)

// names of invented vehicles, in the order they are used.
var birds = []sp.UnitID{"avocet", "bittern", "curlew", "dunlin", "egret", "fulmar", "garganey", "harrier"}

// span returns a pointer to a number of seconds.
func span(s sp.Seconds) *sp.Seconds { return &s }

// chance returns a pointer to a chance.
func chance(c sp.Chance) *sp.Chance { return &c }

// draw is a rapid source with short words for what the generators need. A
// calm one makes shows with room and time, and plans without slips.
type draw struct {
	t    *rapid.T
	calm bool
}

// below draws a whole number from 0 up to but not n, all about equally likely
// (rapid's own ranges favour small numbers, which makes for tight parks); it
// still shrinks to 0.
func (d draw) below(n int) int {
	return int(rapid.Uint64().Draw(d.t, "n") * 0x9e3779b97f4a7c15 >> 33 % uint64(n))
}

func (d draw) upTo(n int) int             { return d.below(n + 1) }
func (d draw) in(a, b int) int            { return a + d.below(b-a+1) }
func (d draw) oneIn(n int) bool           { return d.below(n) == n-1 }
func (d draw) cm(a, b int) sp.Centimetres { return sp.Centimetres(10 * d.in(a/10, b/10)) }

// slip is a mistake made one time in n.
func (d draw) slip(n int) bool { return !d.calm && d.oneIn(n) }

func pick[T any](d draw, from ...T) T { return from[d.below(len(from))] }

// pace is what every move takes at least in generated shows, but columns.
const pace = 60

// quiet returns a vehicle with every figure given, whose engine asks for
// nothing special.
func quiet(id sp.UnitID) sp.Vehicle {
	return sp.Vehicle{
		ID: id, Name: string(id), Length: 500, GapAhead: 10, GapBehind: 10,
		Gear: sp.Wheeled, Reverse: sp.ReverseYes, Start: sp.StartSelf, HandPeople: 4, ParkSpeed: 100,
		WarmUp: span(0), WarmWhere: sp.WarmOnLine, LongestIdle: span(0), HotRest: span(0), CoolDown: span(0),
		StartChance: chance(sp.Certain), FailChance: chance(0),
	}
}

// paces gives every kind of single move the same pace.
func paces() []sp.Pace {
	var all []sp.Pace
	for _, k := range []sp.MoveKind{
		sp.MoveArrive, sp.MovePullOut, sp.MoveReturn, sp.MoveAcross, sp.MoveAside, sp.MoveBack, sp.MoveCloseUp,
		sp.MoveReset, sp.MoveDuty, sp.MoveRelieve, sp.MoveDepart, sp.MoveCouple, sp.MovePart, sp.MoveTow, sp.MoveShift,
	} {
		all = append(all, sp.Pace{Kind: k, Takes: pace})
	}
	return append(all, sp.Pace{Takes: 1})
}

func (d draw) vehicle(id sp.UnitID) sp.Vehicle {
	v := quiet(id)
	v.Length = d.cm(300, 800)
	v.GapAhead, v.GapBehind = d.cm(10, 90), d.cm(10, 90)
	v.Width = pick[sp.Centimetres](d, 0, 200, 200, 250)
	v.Mass = pick[sp.Kilograms](d, 2000, 2000, 9000, 14000)
	if d.oneIn(3) {
		v.Reverse = pick(d, sp.ReverseShort, sp.ReverseNever)
		v.ReverseLimit = d.cm(500, 1500)
	}
	v.WarmUp, v.WarmWhere = span(sp.Seconds(60*d.upTo(4))), pick(d, sp.WarmInLane, sp.WarmAtMouth, sp.WarmOnLine)
	if d.oneIn(4) {
		v.LongestIdle, v.HotRest = span(sp.Minutes(int64(d.in(5, 20)))), span(sp.Minutes(int64(d.in(0, 40))))
	}
	v.CoolDown = span(sp.Seconds(60 * d.upTo(3)))
	v.StartChance = chance(sp.Chance(10_000 - 100*d.upTo(9)))
	v.Class = pick(d, "", "", "big")
	v.HandPeople = pick(d, 0, 4, 4, 4)
	if d.oneIn(4) {
		v.Start, v.StartClear = pick(d, sp.StartSlave, sp.StartTow), d.cm(100, 1300)
	}
	if d.oneIn(12) {
		v.OffRoad.From = sp.At(1, 9, 0) + sp.Instant(60*d.below(180))
	}
	if d.oneIn(8) {
		v.Arrive = sp.Window{From: sp.At(1, 7, 0), To: sp.At(1, 8, 0)}
	}
	if d.oneIn(8) {
		v.Depart = sp.Window{From: sp.At(1, 14, 0), To: sp.At(1, 18, 0)}
	}
	v.Standby = d.oneIn(8)
	v.StandsAlone = d.oneIn(12)
	return v
}

// lane draws a lane; the figures leave room for one to three vehicles.
func (d draw) lane(n int, zones []sp.Zone) sp.Lane {
	l := sp.Lane{
		ID: sp.LaneID(fmt.Sprintf("L%d", n)), Zone: pick(d, zones...).ID,
		Kind: pick(d, sp.DeadEnd, sp.Through, sp.Open), Length: d.cm(900, 2600), Gap: d.cm(20, 80),
		Mouth: pick[sp.StretchID](d, "front", "back", ""), Beside: d.oneIn(2),
	}
	l.In = pick(d, sp.InReversed, sp.InNose, sp.InEither, sp.InEither)
	if l.Kind != sp.DeadEnd {
		l.Tail = pick[sp.StretchID](d, "front", "back", "")
	}
	l.Width = pick[sp.Centimetres](d, 0, 300, 300, 220)
	l.MaxMass = pick[sp.Kilograms](d, 0, 0, 0, 10000)
	if d.oneIn(5) {
		l.MaxDeep = d.in(1, 3)
	}
	return l
}

// park draws a park of a few lanes, one or two lines and some spots.
func (d draw) park() sp.Park {
	p := sp.Park{
		Zones:     []sp.Zone{{ID: "north"}, {ID: "south", Public: d.oneIn(2), Engines: d.oneIn(4)}},
		Stretches: []sp.Stretch{{ID: "front", Depth: 900}, {ID: "back", Depth: 900}},
		Spots: []sp.Spot{
			{ID: "verge", Use: sp.SpotAside, Length: d.cm(600, 1600), Gap: 50},
			{ID: "green", Use: sp.SpotAside, Length: 2000, Gap: 50},
			{ID: "ramp", Use: sp.SpotLoading},
		},
		Teams: d.upTo(3),
		Paces: paces(),
	}
	for n := range d.in(2, 4) {
		p.Lanes = append(p.Lanes, d.lane(n+1, p.Zones))
	}
	for n := range d.in(1, 2) {
		l := sp.Line{
			ID: sp.LineID(fmt.Sprintf("line%d", n+1)), Length: d.cm(1500, 4000), Gap: d.cm(30, 100),
			Out: pick(d, sp.OutStrict, sp.OutFree), Home: pick(d, sp.HomeInOrder, sp.HomeAnyOrder), TailLeads: d.oneIn(3),
		}
		if d.oneIn(4) {
			from := d.cm(0, 1500)
			l.Fouls = []sp.Foul{{From: from, To: from + d.cm(100, 600), Lanes: []sp.LaneID{pick(d, p.Lanes...).ID}}}
		}
		p.Lines = append(p.Lines, l)
	}
	return p
}

// show draws a small show of one day with every figure given, and up to three
// serials that may be under way at the same time.
func (d draw) smallShow() *sp.Show {
	s := &sp.Show{
		Format: sp.FormatShow, Name: "Small", Park: d.park(), Weights: sp.DefaultWeights(),
		Classes: []sp.Class{{Name: "big", Gear: sp.Wheeled, Awkward: 155}},
		Days:    []sp.Day{{Name: "Friday", Kind: sp.ShowDay}, {Name: "Saturday", Kind: sp.ShowDay}},
	}
	if d.oneIn(2) {
		s.Days[0].PublicFrom, s.Days[0].PublicTo = sp.At(1, 9, 30), sp.At(1, 17, 0)
	}
	if d.oneIn(2) {
		s.Days[0].EngineFrom, s.Days[0].EngineTo = sp.At(1, d.in(8, 9), 0), sp.At(1, d.in(13, 18), 0)
	}
	for _, id := range birds[:d.in(2, 6)] {
		v := d.vehicle(id)
		v.Home.Lane = pick(d, s.Park.Lanes...).ID
		v.Home.Binding = pick(d, sp.Free, sp.Free, sp.Free, sp.Told, sp.Fixed)
		if !d.calm && d.oneIn(3) {
			v.UsualDriver = pick[sp.PersonID](d, "kim", "lee")
			v.Drivers = pick(d, nil, []sp.PersonID{"ash"})
		}
		if d.oneIn(8) {
			v.KeepApart = []sp.UnitID{birds[0]}
		}
		if d.oneIn(3) {
			v.KeepTogether = []sp.UnitID{birds[1]}
		}
		s.Vehicles = append(s.Vehicles, v)
	}
	from := sp.At(1, 9, 0)
	for n := range d.in(1, 3) {
		line := pick(d, s.Park.Lines...).ID
		x := sp.Serial{
			ID: sp.SerialID(fmt.Sprintf("S%d", n+1)), Line: line, HomeLine: line,
			FormFrom: from, FormUp: from + sp.Instant(60*d.in(8, 20)), Travel: 120,
		}
		x.ArenaIn = x.FormUp + sp.Instant(60*d.in(2, 10))
		x.ArenaOut = x.ArenaIn + sp.Instant(60*d.in(5, 20))
		x.HomeBy = x.ArenaOut + sp.Instant(60*d.in(8, 25))
		for i, u := range rapid.Permutation(s.Vehicles).Draw(d.t, "entries")[:d.in(1, min(4, len(s.Vehicles)))] {
			e := sp.Entry{ID: sp.EntryID(fmt.Sprintf("%s-%d", x.ID, i+1)), Unit: u.ID, Value: d.in(1, 3)}
			if d.oneIn(6) {
				e.Reserves = []sp.UnitID{pick(d, s.Vehicles...).ID}
			}
			x.Entries = append(x.Entries, e)
		}
		if d.oneIn(4) {
			for _, i := range rapid.Permutation(x.Entries).Draw(d.t, "leaving") {
				x.Leaving = append(x.Leaving, i.ID)
			}
		}
		d.crews(x.Entries)
		s.Serials = append(s.Serials, x)
		s.Closings = append(s.Closings, sp.Closing{Zone: "south", Closed: from - 1200, ToClear: 600, Clear: from - sp.Instant(60*d.upTo(5)), Reopened: x.HomeBy + sp.Instant(60*d.upTo(6))})
		from = pick(d, x.HomeBy+1800, x.HomeBy+1800, x.ArenaIn)
	}
	d.join(s)
	s.Closings = disjoint(s.Closings)
	s.Resets = []sp.ResetWindow{{ID: "evening", From: sp.At(1, 19, 0), To: sp.At(1, 21, 0), Awkward: 150}}
	if d.oneIn(4) {
		s.Duties = []sp.Duty{{ID: "fuel", Unit: pick(d, s.Vehicles...).ID, What: "fuel", From: sp.At(1, 8, 20), To: sp.At(1, 8, 40)}}
	}
	if d.calm {
		relax(s)
	}
	return s
}

// crews names drivers for some entries.
func (d draw) crews(entries []sp.Entry) {
	for i := range entries {
		if !d.calm && d.oneIn(4) {
			entries[i].Driver = pick[sp.PersonID](d, "kim", "lee", "ash")
		}
		if !d.calm && d.oneIn(12) {
			entries[i].Crew = []sp.PersonID{pick[sp.PersonID](d, "kim", "robin")}
		}
	}
}

// join joins some entries of vehicles that are in two serials running.
func (d draw) join(s *sp.Show) {
	for i := range s.Serials[1:] {
		for k := range s.Serials[i].Entries {
			e := &s.Serials[i].Entries[k]
			again := slices.ContainsFunc(s.Serials[i+1].Entries, func(x sp.Entry) bool { return x.Unit == e.Unit })
			if again && d.oneIn(3) {
				e.Join = pick(d, sp.JoinLine, sp.JoinArena)
			}
		}
	}
}

// relax takes away everything from a show that is about time, so that only
// lanes, lines and their orders are left to go wrong.
func relax(s *sp.Show) {
	s.Park.Teams, s.Closings, s.Park.Zones[1].Public = 0, nil, false
	for i := range s.Days {
		s.Days[i].EngineFrom, s.Days[i].EngineTo = 0, 0
	}
	for i := range s.Park.Lines {
		s.Park.Lines[i].Length, s.Park.Lines[i].Fouls = 0, nil
	}
	for i := range s.Park.Lanes {
		s.Park.Lanes[i].Length += 800
	}
	s.Park.Spots[0].Length, s.Park.Spots[1].Length = 0, 0
	for i := range s.Vehicles {
		v := &s.Vehicles[i]
		v.Reverse, v.Mass, v.Standby, v.StandsAlone, v.KeepApart = sp.ReverseYes, 0, false, false, nil
		v.Start, v.OffRoad, v.HandPeople = sp.StartSelf, sp.Window{}, 4
		v.WarmUp, v.LongestIdle, v.CoolDown = span(0), span(0), span(0)
	}
	now := sp.At(1, 9, 0)
	for i := range s.Serials {
		x := &s.Serials[i]
		x.FormFrom, x.FormUp, x.ArenaIn, x.ArenaOut, x.HomeBy = now, now+2400, now+3000, now+3900, now+7200
		now = x.HomeBy
	}
}

// disjoint drops closings that overlap the one before.
func disjoint(all []sp.Closing) []sp.Closing {
	var kept []sp.Closing
	for _, c := range all {
		if len(kept) == 0 || c.Closed >= kept[len(kept)-1].Reopened {
			kept = append(kept, c)
		}
	}
	return kept
}

// layout draws a start layout, most often one that has room.
func (d draw) layout(s *sp.Show) []sp.LaneLayout {
	rows := map[sp.LaneID][]sp.UnitID{}
	for _, v := range rapid.Permutation(s.Vehicles).Draw(d.t, "parking") {
		if v.Arrive != (sp.Window{}) && !d.slip(15) {
			continue
		}
		var room []sp.LaneID
		for _, l := range s.Park.Lanes {
			_, bad := begin(s, []sp.LaneLayout{{Lane: l.ID, Units: append(slices.Clone(rows[l.ID]), v.ID), NoseIn: nosesIn(l, append(slices.Clone(rows[l.ID]), v.ID))}})
			if len(bad) == 0 {
				room = append(room, l.ID)
			}
		}
		if len(room) == 0 && !d.oneIn(5) {
			continue
		}
		if len(room) == 0 {
			room = append(room, pick(d, s.Park.Lanes...).ID)
		}
		id := pick(d, room...)
		rows[id] = append(rows[id], v.ID)
	}
	var start []sp.LaneLayout
	for _, l := range s.Park.Lanes {
		if len(rows[l.ID]) > 0 {
			start = append(start, sp.LaneLayout{Lane: l.ID, Units: rows[l.ID], NoseIn: nosesIn(l, rows[l.ID])})
		}
	}
	return start
}

// nosesIn says who faces away from the mouth in a start layout: all of a
// dead-end lane driven in nose first and of a through lane driven in
// reversed; in open lanes, and where either way is allowed, the long ones.
func nosesIn(l sp.Lane, units []sp.UnitID) []sp.UnitID {
	switch {
	case l.Kind == sp.DeadEnd && l.In == sp.InNose, l.Kind == sp.Through && l.In == sp.InReversed:
		return units
	case l.Kind == sp.Open || l.In == sp.InEither:
		var some []sp.UnitID
		for _, u := range units {
			if len(u)%2 == 0 {
				some = append(some, u)
			}
		}
		return some
	}
	return nil
}
