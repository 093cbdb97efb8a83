package desk

import (
	"fmt"
	"slices"

	"sallyport"
)

// mine returns the entries of an item's units in a serial that are not joined
// to others.
func (h *history) mine(item sallyport.CostItem, id sallyport.SerialID) []sallyport.Entry {
	var list []sallyport.Entry
	for _, e := range h.ix.Serial(id).Entries {
		if h.about(item, e.Unit) && h.free(e) {
			list = append(list, e)
		}
	}
	return list
}

// otherSerial proposes another serial of the same day for a vehicle of the
// item, up to three earlier or later.
func otherSerial(h *history, item sallyport.CostItem) []Change {
	var list []Change
	for _, id := range h.concerned(item) {
		day := h.sameDay(id)
		at := slices.IndexFunc(day, func(s *sallyport.Serial) bool { return s.ID == id })
		for _, e := range h.mine(item, id) {
			for _, k := range []int{at - 1, at + 1, at - 2, at + 2, at - 3, at + 3} {
				if k >= 0 && k < len(day) && !slices.ContainsFunc(day[k].Entries, func(o sallyport.Entry) bool { return o.Unit == e.Unit }) {
					list = append(list, h.moveEntry(e, id, day[k].ID))
				}
			}
		}
	}
	return list
}

func (h *history) moveEntry(e sallyport.Entry, from, to sallyport.SerialID) Change {
	return Change{
		What:   fmt.Sprintf("%s goes in %s instead of %s", h.ix.UnitName(e.Unit), h.ix.SerialName(to), h.ix.SerialName(from)),
		People: []string{fmt.Sprintf("%s: in %s, no longer in %s.", h.crew(e), h.formsUp(h.ix.Serial(to)), h.ix.SerialName(from))},
		key:    entryKey(from, e.Unit), about: []string{string(e.Unit), string(e.ID), string(from), string(to)},
		apply: func(s *sallyport.Show) {
			f, t := serialIn(s, from), serialIn(s, to)
			e, ok := takeOut(f, e.Unit)
			if !ok {
				return
			}
			t.Entries = append(t.Entries, e)
			if len(t.Leaving) > 0 && e.ID != "" {
				t.Leaving = append(t.Leaving, e.ID)
			}
		},
	}
}

// swappedSerials proposes that a serial changes places with one of the next
// two before or after it that day.
func swappedSerials(h *history, item sallyport.CostItem) []Change {
	var list []Change
	for _, id := range h.concerned(item) {
		day := h.sameDay(id)
		at := slices.IndexFunc(day, func(s *sallyport.Serial) bool { return s.ID == id })
		for _, k := range []int{at - 1, at + 1, at - 2, at + 2} {
			if k < 0 || k >= len(day) {
				continue
			}
			a, b := day[min(at, k)], day[max(at, k)]
			list = append(list, Change{
				What: fmt.Sprintf("%s and %s change places", h.ix.SerialName(a.ID), h.ix.SerialName(b.ID)),
				People: []string{
					fmt.Sprintf("Everybody in %s: formed up by %s, not %s.", h.ix.SerialName(a.ID), h.show.When(b.FormUp), a.FormUp.Clock()),
					fmt.Sprintf("Everybody in %s: formed up by %s, not %s.", h.ix.SerialName(b.ID), h.show.When(a.FormUp), b.FormUp.Clock()),
				},
				key: "swap " + string(a.ID) + " " + string(b.ID), about: []string{string(a.ID), string(b.ID)},
				apply: func(s *sallyport.Show) {
					x, y := serialIn(s, a.ID), serialIn(s, b.ID)
					// The vehicles change places; lines and times stay.
					x.ID, y.ID, x.Name, y.Name, x.Note, y.Note = y.ID, x.ID, y.Name, x.Name, y.Note, x.Note
					x.Entries, y.Entries, x.Leaving, y.Leaving = y.Entries, x.Entries, y.Leaving, x.Leaving
				},
			})
		}
	}
	return list
}

// more is by how much serials come later, and cut-offs and home-bys with them.
const more = sallyport.Instant(600)

// moreTime proposes ten minutes more before a serial: it and all that follow
// that day come later, closings with them.
func moreTime(h *history, item sallyport.CostItem) []Change {
	var list []Change
	for _, id := range h.concerned(item) {
		first := h.ix.Serial(id)
		from, day := first.FormFrom, first.FormFrom.Day()
		var later []string
		for _, s := range h.show.Serials {
			if s.FormFrom >= from && s.FormFrom.Day() == day {
				later = append(later, string(s.ID))
			}
		}
		list = append(list, Change{
			What:   fmt.Sprintf("%s and all that follow that day ten minutes later", h.ix.SerialName(id)),
			People: []string{fmt.Sprintf("Everybody in the %s from %s on: ten minutes later than printed; closings and reopenings with them. The day ends ten minutes later.", count(len(later), "serial", "serials"), h.show.When(from))},
			key:    "minutes " + string(id), about: later,
			apply: func(s *sallyport.Show) {
				put := func(t *sallyport.Instant) {
					if *t != 0 {
						*t += more
					}
				}
				for i := range s.Serials {
					if x := &s.Serials[i]; slices.Contains(later, string(x.ID)) {
						for _, t := range []*sallyport.Instant{&x.FormFrom, &x.FormUp, &x.ArenaIn, &x.ArenaOut, &x.HomeBy} {
							put(t)
						}
					}
				}
				for i := range s.Closings {
					c := &s.Closings[i]
					for _, t := range []*sallyport.Instant{&c.Closed, &c.Clear, &c.Reopened} {
						if *t >= from && t.Day() == day {
							put(t)
						}
					}
				}
			},
		})
	}
	return list
}

// otherOrder proposes that two neighbours in a serial on a strict line change
// places, where one is of the item.
func otherOrder(h *history, item sallyport.CostItem) []Change {
	var list []Change
	for _, id := range h.concerned(item) {
		s := h.ix.Serial(id)
		if line := h.ix.Line(s.Line); line == nil || line.Out != sallyport.OutStrict {
			continue
		}
		for i := 0; i+1 < len(s.Entries); i++ {
			a, b := s.Entries[i], s.Entries[i+1]
			if !h.about(item, a.Unit) && !h.about(item, b.Unit) {
				continue
			}
			list = append(list, Change{
				What:   fmt.Sprintf("%s goes before %s in %s", h.ix.UnitName(b.Unit), h.ix.UnitName(a.Unit), h.ix.SerialName(id)),
				People: []string{fmt.Sprintf("%s and %s: the other way round in %s; the commentary too.", h.ix.UnitName(b.Unit), h.ix.UnitName(a.Unit), h.ix.SerialName(id))},
				key:    "order " + string(id) + " " + string(a.Unit) + " " + string(b.Unit), about: []string{string(a.Unit), string(b.Unit), string(a.ID), string(b.ID), string(id)},
				apply: func(c *sallyport.Show) {
					x := serialIn(c, id)
					i := slices.IndexFunc(x.Entries, func(e sallyport.Entry) bool { return e.Unit == a.Unit })
					j := slices.IndexFunc(x.Entries, func(e sallyport.Entry) bool { return e.Unit == b.Unit })
					if i >= 0 && j >= 0 {
						x.Entries[i], x.Entries[j] = x.Entries[j], x.Entries[i]
					}
				},
			})
		}
	}
	return list
}

// reserveGoes proposes that a reserve takes the place of a vehicle of the item
// in an entry.
func reserveGoes(h *history, item sallyport.CostItem) []Change {
	var list []Change
	for _, id := range h.concerned(item) {
		for _, e := range h.mine(item, id) {
			for _, r := range e.Reserves {
				list = append(list, Change{
					What:   fmt.Sprintf("%s goes in %s in the place of %s", h.ix.UnitName(r), h.ix.SerialName(id), h.ix.UnitName(e.Unit)),
					People: []string{fmt.Sprintf("%s: not in %s; %s goes, with its own crew.", h.crew(e), h.formsUp(h.ix.Serial(id)), h.ix.UnitName(r))},
					key:    entryKey(id, e.Unit), about: []string{string(e.Unit), string(r), string(e.ID), string(id)},
					apply: func(s *sallyport.Show) {
						x := serialIn(s, id)
						for i := range x.Entries {
							if o := &x.Entries[i]; o.Unit == e.Unit {
								o.Unit, o.Driver, o.Crew = r, "", nil
								o.Reserves = slices.DeleteFunc(slices.Clone(o.Reserves), func(u sallyport.UnitID) bool { return u == r })
							}
						}
					},
				})
			}
		}
	}
	return list
}

// struckEntry proposes that a vehicle of the item is struck from an entry.
// That can cost more than it spares, so it is planned again like any other.
func struckEntry(h *history, item sallyport.CostItem) []Change {
	var list []Change
	for _, id := range h.concerned(item) {
		if len(h.ix.Serial(id).Entries) < 2 {
			continue
		}
		for _, e := range h.mine(item, id) {
			list = append(list, Change{
				What:   fmt.Sprintf("%s is struck from %s", h.ix.UnitName(e.Unit), h.ix.SerialName(id)),
				People: []string{fmt.Sprintf("%s: not in %s. The public does not see it there.", h.crew(e), h.formsUp(h.ix.Serial(id)))},
				key:    entryKey(id, e.Unit), about: []string{string(e.Unit), string(e.ID), string(id)},
				apply: func(s *sallyport.Show) { takeOut(serialIn(s, id), e.Unit) },
			})
		}
	}
	return list
}

// laterCutOff proposes that a serial may be formed up later, up to ten minutes
// but no later than its column leaves.
func laterCutOff(h *history, item sallyport.CostItem) []Change {
	var list []Change
	for _, id := range h.concerned(item) {
		s := h.ix.Serial(id)
		to := min(s.FormUp+more, s.Leave())
		if to <= s.FormUp {
			continue
		}
		list = append(list, Change{
			What:   fmt.Sprintf("%s is formed up by %s, not %s", h.ix.SerialName(id), h.show.When(to), s.FormUp.Clock()),
			People: []string{fmt.Sprintf("Whoever runs the line for %s: %s less between the last vehicle and the column leaving.", h.ix.SerialName(id), sallyport.Seconds(to-s.FormUp).Words())},
			key:    "cut-off " + string(id), about: []string{string(id)},
			apply: func(c *sallyport.Show) {
				// What is assumed from the cut-off stays as it is.
				x := serialIn(c, id)
				x.FormFrom, x.FormUp = s.FormFrom, to
			},
		})
	}
	return list
}

// laterHome proposes that a serial may be home ten minutes later.
func laterHome(h *history, item sallyport.CostItem) []Change {
	var list []Change
	for _, id := range h.concerned(item) {
		s := h.ix.Serial(id)
		if s.HomeBy == 0 {
			continue
		}
		list = append(list, Change{
			What:   fmt.Sprintf("%s may be home by %s, not %s", h.ix.SerialName(id), h.show.When(s.HomeBy+more), s.HomeBy.Clock()),
			People: []string{fmt.Sprintf("The crews and marshals of %s: up to ten minutes longer until all are parked.", h.ix.SerialName(id))},
			key:    "home-by " + string(id), about: []string{string(id)},
			apply: func(c *sallyport.Show) {
				serialIn(c, id).HomeBy = s.HomeBy + more
			},
		})
	}
	return list
}
