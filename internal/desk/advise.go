package desk

import (
	"context"
	"fmt"
	"slices"

	"sallyport"
)

// change is one change of the order of events or the park, ready to be tried.
type change struct {
	what  string
	apply func(s *sallyport.Show) // on a copy
}

// changeKinds propose changes that might spare an item. Adding a kind means
// adding a function here.
var changeKinds = []func(h *history, item sallyport.CostItem) []change{
	otherSerial, swappedSerials, moreTime, otherZone, freedHome, otherOrder, longerLane,
}

// notTried says which changes are not looked for.
var notTried = []string{
	"two changes at once", "another vehicle in an entry's place", "another forming-up line for a serial", "a serial on another day",
}

// findCures re-plans the show with every proposed change, once each, and gives
// every reason the cheapest that spares it.
func findCures(ctx context.Context, h *history, x *Explanation, replan Replanner, report func(done, all int)) error {
	var changes []change
	wanted := make([][]int, len(x.Reasons))
	for r := range x.Reasons {
		for _, kind := range changeKinds {
			for _, c := range kind(h, x.Reasons[r].Item) {
				k := slices.IndexFunc(changes, func(o change) bool { return o.what == c.what })
				if k < 0 {
					k = len(changes)
					changes = append(changes, c)
				}
				if !slices.Contains(wanted[r], k) {
					wanted[r] = append(wanted[r], k)
				}
			}
		}
	}
	from := sallyport.SketchOf(h.plan)
	for k, c := range changes {
		if err := ctx.Err(); err != nil {
			return sallyport.Errorf(sallyport.CodeInterrupted, "the reasons stand, cures were not all tried", "stopped after %d of %d changes", k, len(changes))
		}
		changed := copyShow(h.show)
		c.apply(changed)
		if len(sallyport.Stops(sallyport.Validate(changed))) > 0 {
			continue
		}
		_, cost, err := replan(ctx, changed, from)
		if err != nil {
			return err
		}
		for r := range x.Reasons {
			if slices.Contains(wanted[r], k) {
				x.Reasons[r].try(c, x.Cost, cost)
			}
		}
		if report != nil {
			report(k+1, len(changes))
		}
	}
	return nil
}

// try keeps the change as the reason's cure when it spares the item and is
// cheaper than what was kept before.
func (r *Reason) try(c change, before, after sallyport.Cost) {
	r.Tried++
	spared := after.Lost <= before.Lost && after.Term(r.Term).Amount+r.Item.Amount <= before.Term(r.Term).Amount
	if !spared || r.Cure != nil && !after.Less(r.Cure.After) {
		return
	}
	r.Cure = &Cure{
		Change: c.what, After: after, Lost: after.Lost, Total: int64(after.Total),
		Saves: int64(before.Total - after.Total), Term: int64(after.Term(r.Term).Amount),
	}
}

// copyShow returns a copy in which entries, times, vehicles, lanes and
// closings can be changed.
func copyShow(s *sallyport.Show) *sallyport.Show {
	c := *s
	c.Serials = slices.Clone(s.Serials)
	for i := range c.Serials {
		c.Serials[i].Entries = slices.Clone(c.Serials[i].Entries)
		c.Serials[i].Leaving = slices.Clone(c.Serials[i].Leaving)
	}
	c.Vehicles = slices.Clone(s.Vehicles)
	c.Combinations = slices.Clone(s.Combinations)
	c.Park.Lanes = slices.Clone(s.Park.Lanes)
	c.Closings = slices.Clone(s.Closings)
	return &c
}

// concerned returns the serials an item is about: its own, when the show has
// it, and the next one of each of its first three units.
func (h *history) concerned(item sallyport.CostItem) []sallyport.SerialID {
	var list []sallyport.SerialID
	add := func(id sallyport.SerialID) {
		if h.ix.Serial(id) != nil && !slices.Contains(list, id) {
			list = append(list, id)
		}
	}
	add(item.Serial)
	for _, u := range item.Units[:min(3, len(item.Units))] {
		for _, e := range h.ix.EntriesOf(u) {
			if e.Serial.FormUp >= item.At && e.Serial.FormUp.Day() <= item.At.Day()+1 {
				add(e.Serial.ID)
				break
			}
		}
	}
	return list
}

// sameDay returns the serials of a serial's day in order of time.
func (h *history) sameDay(id sallyport.SerialID) []*sallyport.Serial {
	day := h.ix.Serial(id).ArenaIn.Day()
	var list []*sallyport.Serial
	for _, s := range h.ix.SerialsInTime {
		if s.ArenaIn.Day() == day {
			list = append(list, s)
		}
	}
	return list
}

func find(s *sallyport.Show, id sallyport.SerialID) *sallyport.Serial {
	for i := range s.Serials {
		if s.Serials[i].ID == id {
			return &s.Serials[i]
		}
	}
	return nil
}

// otherSerial proposes another serial of the same day for a vehicle of the
// item, one or two places earlier or later.
func otherSerial(h *history, item sallyport.CostItem) []change {
	var list []change
	for _, id := range h.concerned(item) {
		from := h.ix.Serial(id)
		for _, e := range from.Entries {
			if !slices.Contains(item.Units, h.ix.Standing(e.Unit)) && !slices.Contains(item.Units, e.Unit) || e.Join != sallyport.JoinNone || h.ix.JoinedBefore(e.ID) != nil {
				continue
			}
			day := h.sameDay(id)
			at := slices.IndexFunc(day, func(s *sallyport.Serial) bool { return s.ID == id })
			for _, k := range []int{at - 1, at + 1, at - 2, at + 2} {
				if k >= 0 && k < len(day) {
					list = append(list, moveEntry(h, e, id, day[k].ID))
				}
			}
		}
	}
	return list
}

func moveEntry(h *history, e sallyport.Entry, from, to sallyport.SerialID) change {
	return change{
		what: fmt.Sprintf("%s goes in %s instead of %s", h.ix.UnitName(e.Unit), h.ix.SerialName(to), h.ix.SerialName(from)),
		apply: func(s *sallyport.Show) {
			f, t := find(s, from), find(s, to)
			f.Entries = slices.DeleteFunc(f.Entries, func(o sallyport.Entry) bool { return o.ID == e.ID })
			f.Leaving = slices.DeleteFunc(f.Leaving, func(o sallyport.EntryID) bool { return o == e.ID })
			t.Entries = append(t.Entries, e)
			if len(t.Leaving) > 0 {
				t.Leaving = append(t.Leaving, e.ID)
			}
		},
	}
}

// swappedSerials proposes that a serial changes places with its neighbours.
func swappedSerials(h *history, item sallyport.CostItem) []change {
	var list []change
	for _, id := range h.concerned(item) {
		day := h.sameDay(id)
		at := slices.IndexFunc(day, func(s *sallyport.Serial) bool { return s.ID == id })
		for _, k := range []int{at - 1, at + 1} {
			if k < 0 || k >= len(day) {
				continue
			}
			a, b := day[min(at, k)].ID, day[max(at, k)].ID
			list = append(list, change{
				what: fmt.Sprintf("%s and %s change places", h.ix.SerialName(a), h.ix.SerialName(b)),
				apply: func(s *sallyport.Show) {
					x, y := find(s, a), find(s, b)
					// The vehicles change places; lines and times stay.
					x.ID, y.ID, x.Name, y.Name = y.ID, x.ID, y.Name, x.Name
					x.Entries, y.Entries, x.Leaving, y.Leaving = y.Entries, x.Entries, y.Leaving, x.Leaving
				},
			})
		}
	}
	return list
}

// moreTime proposes ten minutes more before a serial: it and all that follow
// that day come later, closings with them.
func moreTime(h *history, item sallyport.CostItem) []change {
	var list []change
	const more = sallyport.Instant(600)
	for _, id := range h.concerned(item) {
		from := h.ix.Serial(id).FormFrom
		day := from.Day()
		later := func(t *sallyport.Instant) {
			if *t >= from && t.Day() == day {
				*t += more
			}
		}
		list = append(list, change{
			what: fmt.Sprintf("%s and all that follow that day ten minutes later", h.ix.SerialName(id)),
			apply: func(s *sallyport.Show) {
				for i := range s.Serials {
					x := &s.Serials[i]
					if x.FormFrom < from || x.FormFrom.Day() != day {
						continue
					}
					for _, t := range []*sallyport.Instant{&x.FormFrom, &x.FormUp, &x.ArenaIn, &x.ArenaOut, &x.HomeBy} {
						*t += more
					}
				}
				for i := range s.Closings {
					c := &s.Closings[i]
					later(&c.Closed)
					later(&c.Clear)
					later(&c.Reopened)
				}
			},
		})
	}
	return list
}

// otherZone proposes that a vehicle of the item may stand in any zone.
func otherZone(h *history, item sallyport.CostItem) []change {
	return eachVehicle(h, item, func(v *sallyport.Vehicle) string {
		if len(v.Zones) == 0 {
			return ""
		}
		return v.Name + " may stand in any zone"
	}, func(v *sallyport.Vehicle) { v.Zones = nil })
}

// freedHome proposes that a vehicle's lane need not be kept.
func freedHome(h *history, item sallyport.CostItem) []change {
	return eachVehicle(h, item, func(v *sallyport.Vehicle) string {
		if v.Home.Binding != sallyport.Fixed && v.Home.Binding != sallyport.Told {
			return ""
		}
		return fmt.Sprintf("%s need not stand in lane %s", v.Name, v.Home.Lane)
	}, func(v *sallyport.Vehicle) { v.Home = sallyport.Home{} })
}

// eachVehicle proposes a change of each of an item's vehicles that has words.
func eachVehicle(h *history, item sallyport.CostItem, words func(v *sallyport.Vehicle) string, apply func(v *sallyport.Vehicle)) []change {
	var list []change
	for i := range h.show.Vehicles {
		v := &h.show.Vehicles[i]
		if !slices.Contains(item.Units, v.ID) {
			continue
		}
		if what := words(v); what != "" {
			list = append(list, change{what: what, apply: func(s *sallyport.Show) { apply(&s.Vehicles[i]) }})
		}
	}
	return list
}

// otherOrder proposes that two neighbours in a serial on a strict line change
// places.
func otherOrder(h *history, item sallyport.CostItem) []change {
	var list []change
	for _, id := range h.concerned(item) {
		s := h.ix.Serial(id)
		if h.ix.Line(s.Line).Out != sallyport.OutStrict {
			continue
		}
		for i := 0; i+1 < len(s.Entries); i++ {
			a, b := s.Entries[i], s.Entries[i+1]
			if !slices.Contains(item.Units, h.ix.Standing(a.Unit)) && !slices.Contains(item.Units, h.ix.Standing(b.Unit)) {
				continue
			}
			list = append(list, change{
				what: fmt.Sprintf("%s goes before %s in %s", h.ix.UnitName(b.Unit), h.ix.UnitName(a.Unit), h.ix.SerialName(id)),
				apply: func(s *sallyport.Show) {
					x := find(s, id)
					x.Entries[i], x.Entries[i+1] = x.Entries[i+1], x.Entries[i]
				},
			})
		}
	}
	return list
}

// longerLane proposes two metres more for the item's lane.
func longerLane(h *history, item sallyport.CostItem) []change {
	for i, l := range h.show.Park.Lanes {
		if l.ID == item.Lane {
			return []change{{
				what:  fmt.Sprintf("lane %s 2 m longer", l.ID),
				apply: func(s *sallyport.Show) { s.Park.Lanes[i].Length += 200 },
			}}
		}
	}
	return nil
}
