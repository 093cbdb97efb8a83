package desk

import (
	"sallyport"
)

// FilmPlace is where one unit is. From is the distance of its nearer edge from
// the mouth line of its lane, or from the head of its line or spot.
type FilmPlace struct {
	In      string                `json:"in"` // a sallyport.PosKind
	ID      string                `json:"id,omitempty"`
	From    sallyport.Centimetres `json:"from_cm,omitempty"`
	NoseIn  bool                  `json:"nose_in,omitempty"`
	OffRoad bool                  `json:"off_road,omitempty"`
}

// FilmStep is one move with the places of all units that it changes.
type FilmStep struct {
	Move sallyport.MoveID               `json:"move"`
	At   sallyport.Instant              `json:"at"`
	Ends sallyport.Instant              `json:"ends"`
	To   map[sallyport.UnitID]FilmPlace `json:"to"`
}

// Film is how the park changes: what stands where at the start, then each move
// in the order in which the judge plays them.
type Film struct {
	From  sallyport.Instant              `json:"from"`
	To    sallyport.Instant              `json:"to"`
	Start map[sallyport.UnitID]FilmPlace `json:"start"`
	Steps []FilmStep                     `json:"steps"`
}

// filmOf plays a plan and notes what each move changes. Units that are away
// are in the film, too. The show must be complete.
func filmOf(show *sallyport.Show, ix *sallyport.Index, plan *sallyport.Plan) *Film {
	start, _ := sallyport.StartState(show, plan) // faults are the report's business, not the film's
	states, _ := sallyport.Play(show, start, plan.Moves)
	places := PlacesIn(ix, start)
	f := &Film{From: start.At, To: start.At, Start: map[sallyport.UnitID]FilmPlace{}, Steps: make([]FilmStep, 0, len(states))}
	for u, p := range places {
		f.Start[u] = p
	}
	if len(plan.Moves) > 0 && plan.From == nil {
		f.From = plan.Moves[0].Start
	}
	before := start
	for i := range states {
		m := &plan.Moves[i]
		step := FilmStep{Move: m.ID, At: m.Start, Ends: m.Ends(), To: map[sallyport.UnitID]FilmPlace{}}
		now := placesChanged(ix, &before, &states[i])
		for u, p := range now {
			if places[u] != p {
				places[u], step.To[u] = p, p
			}
		}
		f.Steps = append(f.Steps, step)
		f.To = max(f.To, step.Ends)
		before = states[i]
	}
	return f
}

// PlacesIn returns where every unit of a show is in a state: in a lane, on a
// line or a spot with its distance, in the arena, on duty, or away. Parts of a
// combination that is coupled are left out.
func PlacesIn(ix *sallyport.Index, s sallyport.State) map[sallyport.UnitID]FilmPlace {
	places := placesChanged(ix, &sallyport.State{}, &s)
	for _, id := range ix.UnitIDs {
		if _, placed := places[id]; !placed && ix.CombinationOf(id) == "" {
			places[id] = FilmPlace{In: string(sallyport.InAway)}
		}
	}
	return places
}

// placesChanged returns the places of those units that a change of state may
// have moved: all that stand where anything is other than before, and who was
// somewhere before and is nowhere now.
func placesChanged(ix *sallyport.Index, before, now *sallyport.State) map[sallyport.UnitID]FilmPlace {
	p := placing{ix: ix, off: map[sallyport.UnitID]bool{}, places: map[sallyport.UnitID]FilmPlace{}}
	for _, u := range now.OffRoad {
		p.off[u] = true
	}
	p.gone(before)
	all := len(before.OffRoad) != len(now.OffRoad)
	for lane, list := range now.Lanes {
		if all || !same(before.Lanes[lane], list) {
			for _, x := range list {
				p.places[x.Unit] = FilmPlace{In: string(sallyport.InLane), ID: string(lane), From: x.From, NoseIn: x.NoseIn, OffRoad: p.off[x.Unit]}
			}
		} else {
			for _, x := range list {
				delete(p.places, x.Unit)
			}
		}
	}
	for line, list := range now.Lines {
		gap := sallyport.Centimetres(0)
		if l := ix.Line(line); l != nil {
			gap = l.Gap
		}
		p.row(sallyport.InLine, string(line), gap, list)
	}
	for spot, list := range now.Spots {
		gap := sallyport.Centimetres(0)
		if s := ix.Spot(spot); s != nil {
			gap = s.Gap
		}
		p.row(sallyport.InSpot, string(spot), gap, list)
	}
	p.inside(sallyport.InArena, now.Arena)
	p.inside(sallyport.InDuty, now.Duty)
	return p.places
}

// placing collects places.
type placing struct {
	ix     *sallyport.Index
	off    map[sallyport.UnitID]bool
	places map[sallyport.UnitID]FilmPlace
}

// gone takes all who were somewhere as being away, until they are found.
func (p *placing) gone(before *sallyport.State) {
	away := func(u sallyport.UnitID) { p.places[u] = FilmPlace{In: string(sallyport.InAway), OffRoad: p.off[u]} }
	for _, list := range before.Lanes {
		for _, x := range list {
			away(x.Unit)
		}
	}
	for _, list := range before.Lines {
		for _, u := range list {
			away(u)
		}
	}
	for _, list := range before.Spots {
		for _, u := range list {
			away(u)
		}
	}
	for _, u := range before.Arena {
		away(u)
	}
	for _, u := range before.Duty {
		away(u)
	}
}

// row places units one behind the other from the head of a line or spot.
func (p *placing) row(in sallyport.PosKind, id string, gap sallyport.Centimetres, list []sallyport.UnitID) {
	from := sallyport.Centimetres(0)
	for _, u := range list {
		p.places[u] = FilmPlace{In: string(in), ID: id, From: from, OffRoad: p.off[u]}
		if x := p.ix.Unit(u); x != nil {
			from += x.Length + gap
		}
	}
}

func (p *placing) inside(in sallyport.PosKind, list []sallyport.UnitID) {
	for _, u := range list {
		p.places[u] = FilmPlace{In: string(in), OffRoad: p.off[u]}
	}
}

// same reports whether two lists of one lane are the same list: states share
// what has not changed.
func same(a, b []sallyport.Standing) bool {
	return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0])
}
