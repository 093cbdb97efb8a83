package desk

import (
	"slices"

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
// have moved: of the lanes, lines and other places in which anything is other
// than before, all who stand there, and who stood there and is nowhere now. When
// somebody has come off the road, or back on it, that is everybody.
func placesChanged(ix *sallyport.Index, before, now *sallyport.State) map[sallyport.UnitID]FilmPlace {
	p := placing{ix: ix, off: map[sallyport.UnitID]bool{}, places: map[sallyport.UnitID]FilmPlace{}}
	for _, u := range now.OffRoad {
		p.off[u] = true
	}
	all := !slices.Equal(before.OffRoad, now.OffRoad)
	// First all who were somewhere are away, then they are found again.
	for lane, list := range before.Lanes {
		if all || !same(list, now.Lanes[lane]) {
			for _, x := range list {
				p.away(x.Unit)
			}
		}
	}
	awayFrom(&p, all, before.Lines, now.Lines)
	awayFrom(&p, all, before.Spots, now.Spots)
	arena, duty := all || !slices.Equal(before.Arena, now.Arena), all || !slices.Equal(before.Duty, now.Duty)
	if arena {
		p.away(before.Arena...)
	}
	if duty {
		p.away(before.Duty...)
	}
	for lane, list := range now.Lanes {
		if all || !same(before.Lanes[lane], list) {
			for _, x := range list {
				p.places[x.Unit] = FilmPlace{In: string(sallyport.InLane), ID: string(lane), From: x.From, NoseIn: x.NoseIn, OffRoad: p.off[x.Unit]}
			}
		}
	}
	for line, list := range now.Lines {
		if all || !slices.Equal(before.Lines[line], list) {
			p.row(sallyport.InLine, string(line), gapOn(ix.Line(line)), list)
		}
	}
	for spot, list := range now.Spots {
		if all || !slices.Equal(before.Spots[spot], list) {
			p.row(sallyport.InSpot, string(spot), gapAt(ix.Spot(spot)), list)
		}
	}
	if arena {
		p.inside(sallyport.InArena, now.Arena)
	}
	if duty {
		p.inside(sallyport.InDuty, now.Duty)
	}
	return p.places
}

func gapOn(l *sallyport.Line) sallyport.Centimetres {
	if l == nil {
		return 0
	}
	return l.Gap
}

func gapAt(s *sallyport.Spot) sallyport.Centimetres {
	if s == nil {
		return 0
	}
	return s.Gap
}

// placing collects places.
type placing struct {
	ix     *sallyport.Index
	off    map[sallyport.UnitID]bool
	places map[sallyport.UnitID]FilmPlace
}

func (p *placing) away(units ...sallyport.UnitID) {
	for _, u := range units {
		p.places[u] = FilmPlace{In: string(sallyport.InAway), OffRoad: p.off[u]}
	}
}

// awayFrom takes all away who were on lines or spots that have changed.
func awayFrom[K comparable](p *placing, all bool, before, now map[K][]sallyport.UnitID) {
	for k, list := range before {
		if all || !slices.Equal(list, now[k]) {
			p.away(list...)
		}
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
