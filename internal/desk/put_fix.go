package desk

import (
	"slices"

	"sallyport"
)

// FixAsk says what is to be fixed, or let go again.
type FixAsk struct {
	Units []sallyport.UnitID `json:"units,omitempty"`
	Lanes []sallyport.LaneID `json:"lanes,omitempty"` // all who stand there
	At    sallyport.Instant  `json:"at,omitzero"`     // where they stand then; not given: where they spend most of their stays, of equals the first
	Fixed bool               `json:"fixed"`
}

// Fix returns the show as given, with the homes of units fixed where the plan
// has them, or of those fixed let go. The planner then fills in the rest
// around them. All that is wrong with what was asked is told at once.
func Fix(show *sallyport.Show, plan *sallyport.Plan, ask FixAsk) (*sallyport.Show, error) {
	complete := sallyport.Complete(show)
	ix := sallyport.NewIndex(complete)
	stays := staysOf(ix, plan)
	var problems []sallyport.Problem
	wrong := func(message, advice string) {
		problems = append(problems, sallyport.Problem{Message: message, Advice: advice})
	}
	homes := map[sallyport.UnitID]sallyport.LaneID{}
	for _, id := range ask.Units {
		u := ix.Unit(id)
		if u == nil {
			wrong("there is no vehicle "+string(id), "look at the register")
			continue
		}
		lane := standsIn(stays, id, ask.At)
		if lane == "" && ask.Fixed {
			wrong(u.Name+" has no place that could be fixed", "put it into a lane first")
			continue
		}
		homes[id] = lane
	}
	for _, lane := range ask.Lanes {
		if ix.Lane(lane) == nil {
			wrong("there is no lane "+string(lane), "look at the list of lanes")
			continue
		}
		for _, id := range ix.UnitIDs {
			if u := ix.Unit(id); standsIn(stays, id, ask.At) == lane || !ask.Fixed && u.Home.Lane == lane {
				homes[id] = lane
			}
		}
	}
	if err := problemsError(problems); err != nil {
		return nil, err
	}
	fixed := *show
	fixed.Vehicles, fixed.Combinations = slices.Clone(show.Vehicles), slices.Clone(show.Combinations)
	for i := range fixed.Vehicles {
		v := &fixed.Vehicles[i]
		if lane, asked := homes[v.ID]; asked {
			v.Home = fixedHome(v.Home, lane, ask.Fixed)
		}
	}
	for i := range fixed.Combinations {
		c := &fixed.Combinations[i]
		if lane, asked := homes[c.ID]; asked {
			c.Home = fixedHome(c.Home, lane, ask.Fixed)
		}
	}
	return &fixed, nil
}

// fixedHome returns a home that is fixed in a lane, or no longer fixed. What
// people were told stays told.
func fixedHome(home sallyport.Home, lane sallyport.LaneID, fixed bool) sallyport.Home {
	switch {
	case fixed && home.Lane == lane:
		home.Binding = sallyport.Fixed
		return home
	case fixed:
		return sallyport.Home{Lane: lane, Binding: sallyport.Fixed}
	case home.Binding == sallyport.Fixed:
		home.Binding = sallyport.Free
	}
	return home
}

// standsIn returns in which lane a unit stands at a moment, or, when none is
// given, spends most of its stays; "" when in none.
func standsIn(stays []Stay, unit sallyport.UnitID, at sallyport.Instant) sallyport.LaneID {
	times := map[sallyport.LaneID]int{}
	most := sallyport.LaneID("")
	for _, s := range stays {
		switch {
		case s.Unit != unit || s.Lane == "":
		case at != 0 && s.From <= at && (s.To == 0 || at < s.To):
			return s.Lane
		case at == 0:
			times[s.Lane]++
		}
	}
	for _, s := range stays {
		if s.Unit == unit && times[s.Lane] > times[most] {
			most = s.Lane
		}
	}
	return most
}
