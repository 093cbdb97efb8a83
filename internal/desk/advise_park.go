package desk

import (
	"fmt"
	"slices"

	"sallyport"
)

// lineOf proposes a change of the lines that the serials of an item use.
func lineOf(h *history, item sallyport.CostItem, line func(s *sallyport.Serial) sallyport.LineID, suits func(l *sallyport.Line) bool, word, people string, apply func(l *sallyport.Line)) []Change {
	var list []Change
	for _, id := range h.concerned(item) {
		l := h.ix.Line(line(h.ix.Serial(id)))
		if l == nil || !suits(l) {
			continue
		}
		what := fmt.Sprintf("%s %s", nameOr(l.Name, l.ID), word)
		list = append(list, Change{
			What: what, People: []string{people}, key: what, about: []string{string(l.ID)},
			apply: func(s *sallyport.Show) {
				for i := range s.Park.Lines {
					if s.Park.Lines[i].ID == l.ID {
						apply(&s.Park.Lines[i])
					}
				}
			},
		})
	}
	return list
}

// nameOr returns a thing's name, its id when it has none.
func nameOr[T ~string](name string, id T) string {
	if name != "" {
		return name
	}
	return string(id)
}

// freeLine proposes that each entry drives to its own mark on a line that is
// filled strictly from the tail.
func freeLine(h *history, item sallyport.CostItem) []Change {
	return lineOf(h, item, func(s *sallyport.Serial) sallyport.LineID { return s.Line },
		func(l *sallyport.Line) bool { return l.Out == sallyport.OutStrict },
		"becomes a free line: each entry drives to its own mark",
		"Marshals on the line: marks for every entry, and room to pass those who stand.",
		func(l *sallyport.Line) { l.Out = sallyport.OutFree })
}

// anyOrderHome proposes that vehicles may leave a line for their lanes in any
// order.
func anyOrderHome(h *history, item sallyport.CostItem) []Change {
	return lineOf(h, item, func(s *sallyport.Serial) sallyport.LineID { return s.HomeLine },
		func(l *sallyport.Line) bool { return l.Home == sallyport.HomeInOrder },
		"is left in any order on the way home",
		"Marshals on the line: call vehicles home one by one, with room to pass those who stand.",
		func(l *sallyport.Line) { l.Home = sallyport.HomeAnyOrder })
}

// ofVehicles proposes changes of each of an item's vehicles.
func ofVehicles(h *history, item sallyport.CostItem, propose func(v *sallyport.Vehicle) []vehicleChange) []Change {
	var list []Change
	for i := range h.show.Vehicles {
		v := &h.show.Vehicles[i]
		if !slices.Contains(item.Units, v.ID) {
			continue
		}
		for _, p := range propose(v) {
			list = append(list, Change{
				What: p.what, People: []string{p.people}, key: p.what, about: []string{string(v.ID)},
				apply: func(s *sallyport.Show) {
					for i := range s.Vehicles {
						if s.Vehicles[i].ID == v.ID {
							p.apply(&s.Vehicles[i])
						}
					}
				},
			})
		}
	}
	return list
}

// vehicleChange is a change of one vehicle.
type vehicleChange struct {
	what, people string
	apply        func(v *sallyport.Vehicle)
}

// otherZone proposes that a vehicle of the item may stand in one more zone.
func otherZone(h *history, item sallyport.CostItem) []Change {
	return ofVehicles(h, item, func(v *sallyport.Vehicle) []vehicleChange {
		var list []vehicleChange
		for _, z := range h.show.Park.Zones {
			if len(v.Zones) == 0 || slices.Contains(v.Zones, z.ID) || !h.hasLane(z.ID) {
				continue
			}
			list = append(list, vehicleChange{
				what:   fmt.Sprintf("%s may stand in %s too", v.Name, h.ix.ZoneName(z.ID)),
				people: fmt.Sprintf("The people of %s: agree that it may stand in %s.", v.Name, h.ix.ZoneName(z.ID)),
				apply:  func(x *sallyport.Vehicle) { x.Zones = append(slices.Clone(x.Zones), z.ID) },
			})
		}
		return list
	})
}

func (h *history) hasLane(z sallyport.ZoneID) bool {
	return slices.ContainsFunc(h.show.Park.Lanes, func(l sallyport.Lane) bool { return l.Zone == z })
}

// freedHome proposes that a vehicle's lane need not be kept.
func freedHome(h *history, item sallyport.CostItem) []Change {
	return ofVehicles(h, item, func(v *sallyport.Vehicle) []vehicleChange {
		if v.Home.Binding != sallyport.Fixed && v.Home.Binding != sallyport.Told {
			return nil
		}
		people := fmt.Sprintf("The people of %s: they were told lane %s; tell them anew.", v.Name, v.Home.Lane)
		if v.Home.Binding == sallyport.Fixed {
			people = fmt.Sprintf("The people of %s: lane %s is fixed for it%s; ask them first.", v.Name, v.Home.Lane, because(v.Home.Reason))
		}
		return []vehicleChange{{
			what:   fmt.Sprintf("%s need not stand in lane %s", v.Name, v.Home.Lane),
			people: people, apply: func(x *sallyport.Vehicle) { x.Home = sallyport.Home{} },
		}}
	})
}

func because(reason string) string {
	if reason == "" {
		return ""
	}
	return " (" + reason + ")"
}

// longerLane proposes two and four metres more for the item's lane.
func longerLane(h *history, item sallyport.CostItem) []Change {
	l := h.ix.Lane(item.Lane)
	if l == nil {
		return nil
	}
	var list []Change
	for _, by := range []sallyport.Centimetres{200, 400} {
		list = append(list, Change{
			What:   fmt.Sprintf("lane %s %d m longer", l.ID, by/100),
			People: []string{fmt.Sprintf("Whoever marks out the park: lane %s is %s long, not %s; measure whether there is room.", l.ID, (l.Length + by).Metres(), l.Length.Metres())},
			key:    "longer " + string(l.ID), about: []string{string(l.ID)},
			apply: func(s *sallyport.Show) {
				for i := range s.Park.Lanes {
					if s.Park.Lanes[i].ID == l.ID {
						s.Park.Lanes[i].Length += by
					}
				}
			},
		})
	}
	return list
}

// beside is how far from a lane another like it is drawn.
const besideLane = 350

// newLane proposes one more lane like the item's.
func newLane(h *history, item sallyport.CostItem) []Change {
	l := h.ix.Lane(item.Lane)
	if l == nil {
		return nil
	}
	id := sallyport.LaneID(unusedLane(h, string(l.ID)))
	return []Change{{
		What:   fmt.Sprintf("one more lane %s like %s: %s, %s", id, l.ID, l.Kind, l.Length.Metres()),
		People: []string{fmt.Sprintf("Whoever marks out the park: one more lane beside %s; look whether there is room.", l.ID)},
		key:    "new " + string(l.ID), about: []string{string(l.ID)},
		apply: func(s *sallyport.Show) {
			for _, x := range s.Park.Lanes {
				if x.ID == l.ID {
					x.ID, x.Name = id, ""
					if x.X != 0 || x.Y != 0 {
						x.X += besideLane
					}
					s.Park.Lanes = append(s.Park.Lanes, x)
					return
				}
			}
		},
	}}
}

func unusedLane(h *history, like string) string {
	id := like + "b"
	for h.ix.Lane(sallyport.LaneID(id)) != nil {
		id += "b"
	}
	return id
}

// asideSpot proposes a place to wait aside for the item's zone, as long as
// the longest vehicle that may stand there.
func asideSpot(h *history, item sallyport.CostItem) []Change {
	l := h.ix.Lane(item.Lane)
	if l == nil || slices.ContainsFunc(h.ix.AsideSpots(l.Zone), func(s *sallyport.Spot) bool { return s.Length == 0 }) {
		return nil // there is room without limit
	}
	var length sallyport.Centimetres
	for _, id := range h.ix.UnitIDs {
		if u := h.ix.Unit(id); h.ix.CombinationOf(id) == "" && (len(u.Zones) == 0 || slices.Contains(u.Zones, l.Zone)) {
			length = max(length, u.Length)
		}
	}
	id := sallyport.SpotID("aside for " + string(l.Zone))
	return []Change{{
		What:   fmt.Sprintf("a place of %s to wait aside in %s", length.Metres(), h.ix.ZoneName(l.Zone)),
		People: []string{"Marshals: keep that place clear; nothing of the public there."},
		key:    string(id), about: []string{string(id)},
		apply: func(s *sallyport.Show) {
			spot := sallyport.Spot{ID: id, Use: sallyport.SpotAside, Length: length}
			if l.Zone != "" {
				spot.Zones = []sallyport.ZoneID{l.Zone}
			}
			s.Park.Spots = append(s.Park.Spots, spot)
		},
	}}
}

// How long an evening window is, and by how much one that exists is made
// longer; a shorter one is of no use.
const (
	eveningLong  = sallyport.Instant(3600)
	eveningMore  = sallyport.Instant(1800)
	eveningLeast = sallyport.Instant(1200)
)

// eveningWindow proposes to put vehicles right on the evening of the item's
// day or of the one before, or to take longer for it where that is planned.
func eveningWindow(h *history, item sallyport.CostItem) []Change {
	var list []Change
	for _, day := range []int{item.At.Day() - 1, item.At.Day()} {
		if item.At == 0 || day < 1 || day > len(h.show.Days) {
			continue
		}
		from, latest := h.evening(day)
		name := h.show.Days[day-1].Name
		if name == "" {
			name = fmt.Sprintf("day %d", day)
		}
		if w := h.windowAfter(day, from); w != nil {
			to := min(w.To+eveningMore, latest)
			if to > w.To {
				list = append(list, Change{
					What:   fmt.Sprintf("the reset window %s lasts to %s, not %s", w.ID, h.show.When(to), w.To.Clock()),
					People: []string{fmt.Sprintf("Marshals and drivers on the evening of %s: up to %s longer.", name, sallyport.Seconds(to-w.To).Words())},
					key:    "evening " + name, about: []string{string(w.ID)},
					apply: func(s *sallyport.Show) {
						for i := range s.Resets {
							if s.Resets[i].ID == w.ID {
								s.Resets[i].To = to
							}
						}
					},
				})
			}
			continue
		}
		to := min(from+eveningLong, latest)
		if to-from < eveningLeast {
			continue
		}
		id := sallyport.WindowID("evening " + name)
		list = append(list, Change{
			What:   fmt.Sprintf("vehicles are put right on the evening of %s, %s to %s", name, from.Clock(), to.Clock()),
			People: []string{fmt.Sprintf("Marshals and drivers on the evening of %s: stay until %s at most.", name, to.Clock())},
			key:    "evening " + name, about: []string{string(id)},
			apply: func(s *sallyport.Show) {
				s.Resets = append(s.Resets, sallyport.ResetWindow{ID: id, From: from, To: to})
			},
		})
	}
	return list
}

// evening returns from when a day's park is quiet, 18:00 on a day of which
// nothing says it, and the last moment for engines then.
func (h *history) evening(day int) (from, latest sallyport.Instant) {
	d := h.show.Days[day-1]
	from, latest = d.PublicTo, sallyport.At(day, 22, 0)
	if d.EngineTo != 0 {
		latest = d.EngineTo
	}
	for _, s := range h.show.Serials {
		if s.HomeBy.Day() == day {
			from = max(from, s.HomeBy)
		}
	}
	for _, x := range h.show.Duties {
		if x.To.Day() == day {
			from = max(from, x.To)
		}
	}
	if from == 0 {
		from = sallyport.At(day, 18, 0)
	}
	return from, latest
}

// windowAfter returns the reset window that begins on a day's evening, nil
// when there is none.
func (h *history) windowAfter(day int, from sallyport.Instant) *sallyport.ResetWindow {
	for i := range h.show.Resets {
		if w := &h.show.Resets[i]; w.From.Day() == day && w.To > from {
			return w
		}
	}
	return nil
}
