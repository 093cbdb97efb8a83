package solve

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"sallyport"
)

// naive makes untimed plans for tests without any search: everybody goes back
// to the first lane with room, and whoever stands in the way is moved aside.
type naive struct {
	show  *sallyport.Show
	ix    *sallyport.Index
	rnd   *rand.Rand
	lanes map[sallyport.LaneID][]sallyport.UnitID // mouth first
	at    map[sallyport.UnitID]sallyport.LaneID
	tail  map[sallyport.LaneID]sallyport.Centimetres // free at the tail of a through lane
	moves []sallyport.Move
	start []sallyport.LaneLayout
}

// looseShow returns a random show with plenty of time, lanes and teams.
func looseShow(rnd *rand.Rand) *sallyport.Show {
	show := &sallyport.Show{Name: "test", Park: sallyport.Park{
		Zones:     []sallyport.Zone{{ID: "yard"}, {ID: "green", Public: true}},
		Stretches: []sallyport.Stretch{{ID: "east", Depth: 1000}, {ID: "west", Depth: 1000}},
		Lines: []sallyport.Line{
			{ID: "north", Length: 12000, Out: sallyport.OutStrict, Home: sallyport.HomeInOrder},
			{ID: "south", Length: 12000, Fouls: []sallyport.Foul{{From: 3000, To: 3600, Lanes: []sallyport.LaneID{"L1"}}}},
			{ID: "spare"},
		},
		Spots: []sallyport.Spot{{ID: "corner", Use: sallyport.SpotAside, Length: 4000}, {ID: "meadow", Use: sallyport.SpotAside}},
		Teams: 1 + rnd.IntN(3),
	}}
	for i := range 5 {
		l := sallyport.Lane{ID: sallyport.LaneID(fmt.Sprintf("L%d", i)), Zone: "yard", Length: sallyport.Centimetres(1200 + rnd.IntN(900)), Mouth: "east"}
		l.Kind = []sallyport.LaneKind{sallyport.DeadEnd, sallyport.DeadEnd, sallyport.Through, sallyport.Open}[rnd.IntN(4)]
		if rnd.IntN(3) == 0 {
			l.Zone, l.Mouth = "green", "west"
		}
		show.Park.Lanes = append(show.Park.Lanes, l)
	}
	n := 4 + rnd.IntN(6)
	for i := range n {
		v := sallyport.Vehicle{ID: sallyport.UnitID(fmt.Sprintf("v%d", i)), Name: fmt.Sprintf("Vehicle %d", i), Length: sallyport.Centimetres(300 + rnd.IntN(300))}
		v.Class = []string{"light wheeled", "tracked carrier", "heavy tracked", "half-tracked"}[rnd.IntN(4)]
		if rnd.IntN(2) == 0 {
			v.UsualDriver = sallyport.PersonID(fmt.Sprintf("p%d", rnd.IntN(3)))
			v.Drivers = []sallyport.PersonID{sallyport.PersonID(fmt.Sprintf("d%d", i))}
		}
		v.WarmWhere = []sallyport.WarmPlace{sallyport.WarmInLane, sallyport.WarmAtMouth, sallyport.WarmOnLine}[rnd.IntN(3)]
		if rnd.IntN(3) == 0 {
			v.HandPeople = 3
		}
		if rnd.IntN(3) == 0 {
			v.Arrive = sallyport.Window{From: sallyport.At(1, 7, 0), To: sallyport.At(1, 9, 0)}
		}
		if rnd.IntN(4) == 0 {
			v.Depart = sallyport.Window{From: sallyport.At(2, 18, 0), To: sallyport.At(2, 21, 0)}
		}
		show.Vehicles = append(show.Vehicles, v)
	}
	for d := 1; d <= 2; d++ {
		show.Days = append(show.Days, sallyport.Day{Name: fmt.Sprint(d), Kind: sallyport.ShowDay, EngineFrom: sallyport.At(d, 6, 0), EngineTo: sallyport.At(d, 22, 0), PublicFrom: sallyport.At(d, 9, 0), PublicTo: sallyport.At(d, 18, 0)})
		for k := range 1 + rnd.IntN(3) {
			in := sallyport.At(d, 11+2*k, 0)
			s := sallyport.Serial{
				ID: sallyport.SerialID(fmt.Sprintf("s%d%d", d, k)), Line: []sallyport.LineID{"north", "south", "spare"}[rnd.IntN(3)],
				FormFrom: in - sallyport.Instant(sallyport.Minutes(45)), ArenaIn: in, HomeBy: in + sallyport.Instant(sallyport.Minutes(65)),
			}
			for _, i := range rnd.Perm(n)[:1+rnd.IntN(n)] {
				s.Entries = append(s.Entries, sallyport.Entry{Unit: sallyport.UnitID(fmt.Sprintf("v%d", i))})
			}
			show.Serials = append(show.Serials, s)
			show.Closings = append(show.Closings, sallyport.Closing{Zone: "green", Closed: in - sallyport.Instant(sallyport.Minutes(75)), Reopened: in + sallyport.Instant(sallyport.Minutes(90))})
		}
	}
	for _, i := range rnd.Perm(n)[:2] {
		u := sallyport.UnitID(fmt.Sprintf("v%d", i))
		show.Duties = append(show.Duties, sallyport.Duty{ID: sallyport.DutyID("fuel-" + u), Unit: u, What: "fuel", From: sallyport.At(1, 20, 15), To: sallyport.At(1, 20, 45)})
	}
	show.Resets = []sallyport.ResetWindow{{ID: "evening", From: sallyport.At(1, 18, 30), To: sallyport.At(1, 19, 45)}}
	return sallyport.Complete(show)
}

// makePlan plays the show naively; it reports false when somebody finds no
// room.
func makePlan(show *sallyport.Show, rnd *rand.Rand) (*sallyport.Plan, bool) {
	n := &naive{show: show, ix: sallyport.NewIndex(show), rnd: rnd, lanes: map[sallyport.LaneID][]sallyport.UnitID{}, at: map[sallyport.UnitID]sallyport.LaneID{}, tail: map[sallyport.LaneID]sallyport.Centimetres{}}
	ok := n.play()
	return &sallyport.Plan{Start: n.start, Moves: n.moves}, ok
}

func (n *naive) play() bool {
	for _, id := range n.ix.UnitIDs {
		if n.ix.Unit(id).Arrive == (sallyport.Window{}) {
			lane := n.room(id)
			if lane == "" {
				return false
			}
			n.enter(id, lane)
		}
	}
	n.start = []sallyport.LaneLayout{}
	for _, l := range n.show.Park.Lanes {
		if len(n.lanes[l.ID]) > 0 {
			n.start = append(n.start, sallyport.LaneLayout{Lane: l.ID, Units: slices.Clone(n.lanes[l.ID])})
		}
	}
	for _, id := range n.ix.UnitIDs {
		if u := n.ix.Unit(id); u.Arrive != (sallyport.Window{}) {
			if !n.into(sallyport.Move{Kind: sallyport.MoveArrive, Unit: id, From: sallyport.Pos{Kind: sallyport.InAway}, Start: u.Arrive.From}) {
				return false
			}
		}
	}
	evening := false
	for _, p := range n.phases() {
		if p.serial.ArenaIn.Day() == 2 && !evening {
			evening = true
			if !n.reset() || !n.duties() {
				return false
			}
		}
		if !p.play(p.serial) {
			return false
		}
	}
	for _, id := range n.ix.UnitIDs {
		if u := n.ix.Unit(id); u.Depart != (sallyport.Window{}) {
			if !n.out(sallyport.Move{Kind: sallyport.MoveDepart, Unit: id, To: sallyport.Pos{Kind: sallyport.InAway}, Start: u.Depart.From}) {
				return false
			}
		}
	}
	return true
}

// serialPhase is the pull-outs or the returns of a serial.
type serialPhase struct {
	at     sallyport.Instant
	serial *sallyport.Serial
	play   func(*sallyport.Serial) bool
}

func (n *naive) phases() []serialPhase {
	var list []serialPhase
	for _, s := range n.ix.SerialsInTime {
		list = append(list, serialPhase{s.FormFrom, s, n.serialOut}, serialPhase{s.ArenaOut, s, n.serialHome})
	}
	slices.SortStableFunc(list, func(a, b serialPhase) int { return int(a.at - b.at) })
	return list
}

func (n *naive) serialOut(s *sallyport.Serial) bool {
	for _, e := range s.Entries {
		if !n.out(sallyport.Move{Kind: sallyport.MovePullOut, Unit: e.Unit, To: sallyport.AtLine(s.Line), Serial: s.ID, Entry: e.ID, Start: s.FormFrom}) {
			return false
		}
	}
	return true
}

func (n *naive) serialHome(s *sallyport.Serial) bool {
	var units []sallyport.UnitID
	for _, e := range s.Entries {
		units = append(units, e.Unit)
	}
	arena := sallyport.Pos{Kind: sallyport.InArena}
	n.moves = append(n.moves,
		sallyport.Move{Kind: sallyport.MoveOut, Units: units, From: sallyport.AtLine(s.Line), To: arena, Serial: s.ID},
		sallyport.Move{Kind: sallyport.MoveHome, Units: units, From: arena, To: sallyport.AtLine(s.HomeLine), Serial: s.ID})
	home := slices.Clone(units)
	if n.ix.Line(s.HomeLine).Home == sallyport.HomeAnyOrder {
		n.rnd.Shuffle(len(home), func(i, j int) { home[i], home[j] = home[j], home[i] })
	}
	for _, id := range home {
		if !n.into(sallyport.Move{Kind: sallyport.MoveReturn, Unit: id, From: sallyport.AtLine(s.HomeLine), Serial: s.ID, Start: s.Back()}) {
			return false
		}
	}
	return true
}

// reset moves whoever stands nearest the mouth of some lane to another lane,
// by way of a spot.
func (n *naive) reset() bool {
	if len(n.show.Resets) == 0 {
		return true
	}
	w := n.show.Resets[0]
	for _, l := range n.show.Park.Lanes {
		if len(n.lanes[l.ID]) == 0 || n.rnd.IntN(2) == 0 {
			continue
		}
		id := n.lanes[l.ID][0]
		n.leave(id)
		n.moves = append(n.moves, sallyport.Move{Kind: sallyport.MoveReset, Unit: id, From: sallyport.AtLane(l.ID, ""), To: sallyport.AtSpot(""), Window: w.ID, Start: w.From})
		if !n.into(sallyport.Move{Kind: sallyport.MoveReset, Unit: id, From: sallyport.AtSpot(""), Window: w.ID, Start: w.From}) {
			return false
		}
	}
	return true
}

func (n *naive) duties() bool {
	for _, d := range n.show.Duties {
		if !n.out(sallyport.Move{Kind: sallyport.MoveDuty, Unit: d.Unit, To: sallyport.Pos{Kind: sallyport.InDuty}, Duty: d.ID, Start: d.From}) {
			return false
		}
	}
	for _, d := range n.show.Duties {
		if !n.into(sallyport.Move{Kind: sallyport.MoveRelieve, Unit: d.Unit, From: sallyport.Pos{Kind: sallyport.InDuty}, Duty: d.ID, Start: d.To}) {
			return false
		}
	}
	return true
}

// room returns a lane with room for a unit, "" when there is none. The lane
// that a line fouls is used by nobody who comes from it.
func (n *naive) room(id sallyport.UnitID) sallyport.LaneID {
	first := n.rnd.IntN(len(n.show.Park.Lanes))
	for i := range n.show.Park.Lanes {
		l := &n.show.Park.Lanes[(first+i)%len(n.show.Park.Lanes)]
		u := n.ix.Unit(id)
		need := u.Length + l.Gap
		var used sallyport.Centimetres
		for _, o := range n.lanes[l.ID] {
			used += n.ix.Unit(o).Length + l.Gap
		}
		if l.Kind == sallyport.Through {
			used = n.tail[l.ID]
		}
		// An open lane's start layout is packed from the mouth.
		if l.Kind == sallyport.Open && n.start == nil {
			continue
		}
		if len(n.ix.FoulsOf(l.ID)) == 0 && used+need <= l.Length+l.Gap {
			return l.ID
		}
	}
	return ""
}

func (n *naive) enter(id sallyport.UnitID, lane sallyport.LaneID) {
	n.at[id] = lane
	l := n.ix.Lane(lane)
	if l.Kind == sallyport.Through {
		if len(n.lanes[lane]) == 0 {
			n.tail[lane] = 0
		}
		n.lanes[lane] = append(n.lanes[lane], id)
		n.tail[lane] += n.ix.Unit(id).Length + l.Gap
		return
	}
	n.lanes[lane] = slices.Insert(n.lanes[lane], 0, id)
}

func (n *naive) leave(id sallyport.UnitID) {
	lane := n.at[id]
	n.lanes[lane] = slices.DeleteFunc(n.lanes[lane], func(o sallyport.UnitID) bool { return o == id })
	if len(n.lanes[lane]) == 0 {
		n.tail[lane] = 0
	}
	delete(n.at, id)
}

// into brings a unit into some lane.
func (n *naive) into(m sallyport.Move) bool {
	lane := n.room(m.Unit)
	if lane == "" {
		return false
	}
	n.enter(m.Unit, lane)
	m.To, m.Reverse = sallyport.AtLane(lane, ""), n.ix.Lane(lane).Kind != sallyport.Through
	n.moves = append(n.moves, m)
	return true
}

// out takes a unit out of its lane, moves aside whoever is in the way, and
// brings them back.
func (n *naive) out(m sallyport.Move) bool {
	lane := n.at[m.Unit]
	inWay := slices.Clone(n.lanes[lane][:slices.Index(n.lanes[lane], m.Unit)])
	for _, o := range inWay {
		n.leave(o)
		byHand := n.ix.Unit(o).HandPeople > 0
		n.moves = append(n.moves, sallyport.Move{Kind: sallyport.MoveAside, ByHand: byHand, Unit: o, From: sallyport.AtLane(lane, ""), To: sallyport.AtSpot(""), Serial: m.Serial, Start: m.Start})
	}
	n.leave(m.Unit)
	m.From = sallyport.AtLane(lane, "")
	n.moves = append(n.moves, m)
	for _, o := range slices.Backward(inWay) {
		if !n.into(sallyport.Move{Kind: sallyport.MoveBack, Unit: o, From: sallyport.AtSpot(""), Serial: m.Serial, Start: m.Start}) {
			return false
		}
	}
	return true
}
