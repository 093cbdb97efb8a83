package sallyport_test

import (
	"fmt"
	"slices"
	"strings"

	sp "sallyport"

	"pgregory.net/rapid"
)

// scribe writes a plan move by move and keeps, with the naive player, where
// everything is. It mostly does what a sensible person would; what it gets
// wrong is what the judges must agree on.
type scribe struct {
	draw
	w     *world
	now   sp.Instant // no move starts before
	moves []sp.Move
}

// task is something that has to be done from a moment on.
type task struct {
	at sp.Instant
	do func()
}

// plan draws a plan for a small show.
func (d draw) plan(s *sp.Show) *sp.Plan {
	start := d.layout(s)
	w, _ := begin(s, start)
	c := &scribe{draw: d, w: w}
	var tasks []task
	for _, x := range s.Serials {
		tasks = append(tasks,
			task{x.FormFrom, func() { c.form(x) }},
			task{x.Leave(), func() { c.columnOut(x) }},
			task{x.ArenaOut, func() { c.columnHome(x) }},
			task{x.Back(), func() { c.park(x) }})
	}
	for _, y := range s.Duties {
		tasks = append(tasks,
			task{y.From - pace, func() { c.duty(y) }},
			task{y.To, func() { c.relieve(y) }})
	}
	for _, v := range s.Vehicles {
		if v.Arrive != (sp.Window{}) {
			tasks = append(tasks, task{v.Arrive.From, func() { c.arrive(v.ID) }})
		}
		if v.Depart != (sp.Window{}) {
			tasks = append(tasks, task{v.Depart.From, func() { c.depart(v.ID) }})
		}
	}
	if d.oneIn(2) {
		tasks = append(tasks, task{s.Resets[0].From, c.reset})
	}
	slices.SortStableFunc(tasks, func(a, b task) int { return int(a.at - b.at) })
	for _, t := range tasks {
		c.now = max(c.now, t.at)
		t.do()
	}
	p := &sp.Plan{Format: sp.FormatPlan, Show: s.Name, Start: start, Moves: c.moves}
	if !d.calm {
		for range pick(d, 0, 0, 1, 2) {
			d.spoil(s, p)
		}
	}
	slices.SortStableFunc(p.Moves, func(a, b sp.Move) int {
		if d.slip(300) {
			return 0
		}
		return int(a.Start - b.Start)
	})
	for i := range p.Moves {
		p.Moves[i].ID = sp.MoveID(fmt.Sprintf("m%d", i+1))
	}
	return p
}

// write adds a move that starts now, and most often lets the next one wait
// for its end.
func (c *scribe) write(m sp.Move) {
	m.ID = sp.MoveID(fmt.Sprintf("m%d", len(c.moves)+1))
	m.Start = c.now
	if m.Takes == 0 {
		m.Takes = pace + sp.Seconds(30*pick(c.draw, 0, 0, 0, 1, 2))
	}
	if c.slip(60) {
		m.Takes -= 30
	}
	if c.slip(60) {
		m.Marshals = 2
	}
	c.w.play(m)
	c.moves = append(c.moves, m)
	c.now = m.Ends()
	if c.slip(8) {
		c.now = m.Start + sp.Instant(c.upTo(int(m.Takes)))
	}
}

// leave returns the position a unit leaves its lane from and whether it has
// to back out.
func (c *scribe) leave(u sp.UnitID) (from sp.Pos, reverse bool) {
	t := c.w.at[u]
	_, out := ends(c.w.lane(t.id).Kind)
	end := pick(c.draw, out...)
	for _, e := range out {
		if len(c.w.between(u, e)) == 0 && c.w.freeWay(u) {
			end = e
		}
	}
	return sp.AtLane(sp.LaneID(t.id), end), t.noseIn == (end == sp.Mouth)
}

// into returns a way into a lane for a unit, most often into one with room.
func (c *scribe) into(u sp.UnitID) (to sp.Pos, reverse bool) {
	type way struct {
		to      sp.Pos
		reverse bool
	}
	var good, all []way
	for _, l := range c.w.show.Park.Lanes {
		in, _ := ends(l.Kind)
		for _, e := range in {
			for _, rev := range []bool{false, true} {
				x := way{sp.AtLane(l.ID, e), rev}
				trial := c.w.copy()
				bad, broken := trial.enterLane(sp.Move{Unit: u, To: x.to, Reverse: rev, Start: c.now, Takes: pace}, nil, false)
				if !broken {
					all = append(all, x)
				}
				if len(bad) == 0 {
					good = append(good, x)
				}
			}
		}
	}
	if len(good) > 0 && !c.slip(12) {
		all = good
	}
	if len(all) == 0 {
		return sp.AtLane(c.w.show.Park.Lanes[0].ID, ""), true
	}
	x := pick(c.draw, all...)
	return x.to, x.reverse
}

// clear takes those in the way of a unit aside, unless it is forgotten.
func (c *scribe) clear(u sp.UnitID, x sp.SerialID) (aside []sp.UnitID) {
	from, _ := c.leave(u)
	for {
		t := c.w.at[u]
		who := c.w.between(u, from.End)
		if t.kind != sp.InLane || len(who) == 0 || c.slip(15) {
			return aside
		}
		o := who[len(who)-1]
		from, reverse := c.leave(o)
		if len(c.w.between(o, from.End)) > 0 {
			return aside
		}
		c.write(sp.Move{Kind: sp.MoveAside, Unit: o, From: from, To: sp.AtSpot(pick[sp.SpotID](c.draw, "verge", "green", "green")), Serial: x, Reverse: reverse, ByHand: c.oneIn(4)})
		aside = append(aside, o)
	}
}

// putBack brings those aside back, last first, into any lane.
func (c *scribe) putBack(aside []sp.UnitID, x sp.SerialID) {
	slices.Reverse(aside)
	for _, u := range aside {
		if t := c.w.at[u]; t.kind == sp.InSpot && !c.slip(20) {
			to, reverse := c.into(u)
			c.write(sp.Move{Kind: sp.MoveBack, Unit: u, From: sp.AtSpot(sp.SpotID(t.id)), To: to, Serial: x, Reverse: reverse})
		}
	}
}

func (c *scribe) arrive(u sp.UnitID) {
	if _, here := c.w.at[u]; !here {
		to, reverse := c.into(u)
		c.write(sp.Move{Kind: sp.MoveArrive, Unit: u, From: sp.Pos{Kind: sp.InAway}, To: to, Reverse: reverse})
	}
}

func (c *scribe) depart(u sp.UnitID) {
	if t := c.w.at[u]; t.kind == sp.InLane && !c.slip(10) {
		aside := c.clear(u, "")
		from, reverse := c.leave(u)
		c.write(sp.Move{Kind: sp.MoveDepart, Unit: u, From: from, To: sp.Pos{Kind: sp.InAway}, Reverse: reverse})
		c.putBack(aside, "")
	}
}

func (c *scribe) form(x sp.Serial) {
	entries := slices.Clone(x.Entries)
	if c.w.line(string(x.Line)).Out == sp.OutFree && c.oneIn(2) || c.slip(20) {
		entries = rapid.Permutation(entries).Draw(c.t, "forming")
	}
	var aside []sp.UnitID
	for _, e := range entries {
		if len(e.Reserves) > 0 && c.oneIn(2) {
			e.Unit = e.Reserves[0]
		}
		t := c.w.at[e.Unit]
		m := sp.Move{Kind: sp.MovePullOut, Unit: e.Unit, To: sp.AtLine(x.Line), Serial: x.ID, Entry: e.ID}
		switch t.kind {
		case sp.InLane:
			aside = append(aside, c.clear(e.Unit, x.ID)...)
			m.From, m.Reverse = c.leave(e.Unit)
		case sp.InSpot:
			m.From = sp.AtSpot(sp.SpotID(t.id))
		default:
			if !c.slip(20) {
				continue // it has no place, or has not come home
			}
			m.From = sp.AtLane(c.w.show.Park.Lanes[0].ID, "")
		}
		c.write(m)
	}
	c.putBack(aside, x.ID)
}

// units returns who of a serial is at a kind of place, in the serial's order.
func (c *scribe) units(x sp.Serial, kind sp.PosKind, id string) (here []sp.UnitID) {
	for u, t := range c.w.at {
		if c.w.place(x, u) >= 0 && t.kind == kind && t.id == id {
			here = append(here, u)
		}
	}
	slices.SortFunc(here, func(a, b sp.UnitID) int {
		if byPlace := c.w.place(x, a) - c.w.place(x, b); byPlace != 0 {
			return byPlace
		}
		return strings.Compare(string(a), string(b))
	})
	return here
}

func (c *scribe) columnOut(x sp.Serial) {
	c.now = x.Leave()
	if units := c.units(x, sp.InLine, string(x.Line)); len(units) > 0 {
		c.write(sp.Move{Kind: sp.MoveOut, Units: units, From: sp.AtLine(x.Line), To: sp.Pos{Kind: sp.InArena}, Serial: x.ID, Takes: x.Travel})
	}
}

func (c *scribe) columnHome(x sp.Serial) {
	c.now = x.ArenaOut
	units := slices.DeleteFunc(c.units(x, sp.InArena, ""), func(u sp.UnitID) bool {
		return x.Entries[c.w.place(x, u)].Join == sp.JoinArena && !c.slip(10)
	})
	if len(x.Leaving) > 0 {
		slices.SortStableFunc(units, func(a, b sp.UnitID) int {
			key := func(u sp.UnitID) int { return slices.Index(x.Leaving, x.Entries[c.w.place(x, u)].ID) }
			return key(a) - key(b)
		})
	}
	if c.slip(20) {
		slices.Reverse(units)
	}
	if len(units) > 0 {
		c.write(sp.Move{Kind: sp.MoveHome, Units: units, From: sp.Pos{Kind: sp.InArena}, To: sp.AtLine(x.HomeLine), Serial: x.ID, Takes: x.Travel})
	}
}

func (c *scribe) park(x sp.Serial) {
	units := c.units(x, sp.InLine, string(x.HomeLine))
	line := c.w.line(string(x.HomeLine))
	slices.SortFunc(units, func(a, b sp.UnitID) int { return c.w.at[a].rank - c.w.at[b].rank })
	if line.TailLeads {
		slices.Reverse(units)
	}
	if line.Home == sp.HomeAnyOrder && c.oneIn(2) || c.slip(15) {
		units = rapid.Permutation(units).Draw(c.t, "parking order")
	}
	for _, u := range units {
		if next, entry := c.next(x, u); next != "" && !c.slip(10) {
			c.write(sp.Move{Kind: sp.MoveAcross, Unit: u, From: sp.AtLine(x.HomeLine), To: sp.AtLine(c.w.serial(next).Line), Serial: next, Entry: entry})
			continue
		}
		to, reverse := c.into(u)
		m := sp.Move{Kind: sp.MoveReturn, Unit: u, From: sp.AtLine(x.HomeLine), To: to, Serial: x.ID, Entry: x.Entries[c.w.place(x, u)].ID, Reverse: reverse}
		if c.oneIn(10) {
			m.Nominal = c.now
		}
		c.write(m)
		c.closeUp(to.ID, x.ID)
	}
}

// next is the serial and entry to which a unit's entry is joined by the line.
func (c *scribe) next(x sp.Serial, u sp.UnitID) (sp.SerialID, sp.EntryID) {
	e := x.Entries[c.w.place(x, u)]
	if e.Join != sp.JoinLine || e.Unit != u {
		return "", ""
	}
	i := slices.IndexFunc(c.w.show.Serials, func(s sp.Serial) bool { return s.ID == x.ID })
	for _, s := range c.w.show.Serials[i+1:] {
		if k := slices.IndexFunc(s.Entries, func(y sp.Entry) bool { return y.Unit == u }); k >= 0 {
			return s.ID, s.Entries[k].ID
		}
	}
	return "", ""
}

// closeUp sometimes makes room at the tail of a lane.
func (c *scribe) closeUp(lane string, x sp.SerialID) {
	if c.w.lane(lane).Kind == sp.DeadEnd || !c.oneIn(3) {
		return
	}
	for _, u := range c.w.those(sp.InLane, lane) {
		c.write(sp.Move{Kind: sp.MoveCloseUp, Unit: u, From: sp.AtLane(sp.LaneID(lane), ""), To: sp.AtLane(sp.LaneID(lane), ""), Serial: x, Reverse: c.w.at[u].noseIn})
	}
}

func (c *scribe) duty(y sp.Duty) {
	if t := c.w.at[y.Unit]; t.kind == sp.InLane {
		aside := c.clear(y.Unit, "")
		from, reverse := c.leave(y.Unit)
		c.write(sp.Move{Kind: sp.MoveDuty, Unit: y.Unit, From: from, To: sp.Pos{Kind: sp.InDuty}, Duty: y.ID, Reverse: reverse})
		c.putBack(aside, "")
	}
}

func (c *scribe) relieve(y sp.Duty) {
	if t := c.w.at[y.Unit]; t.kind == sp.InDuty {
		to, reverse := c.into(y.Unit)
		c.write(sp.Move{Kind: sp.MoveRelieve, Unit: y.Unit, From: sp.Pos{Kind: sp.InDuty}, To: to, Duty: y.ID, Reverse: reverse})
	}
}

// reset moves somebody who can get out to another lane, straight or by way
// of a spot.
func (c *scribe) reset() {
	for _, v := range c.w.show.Vehicles {
		if t, ok := c.w.at[v.ID]; !ok || t.kind != sp.InLane || !c.w.freeWay(v.ID) || c.oneIn(2) {
			continue
		}
		from, out := c.leave(v.ID)
		m := sp.Move{Kind: sp.MoveReset, Unit: v.ID, From: from, Window: "evening"}
		if c.oneIn(2) {
			m.To, m.Reverse = c.into(v.ID)
			if m.To.ID == m.From.ID {
				continue
			}
			c.write(m)
			continue
		}
		m.To, m.Reverse = sp.AtSpot("green"), out
		c.write(m)
		m.From = m.To
		m.To, m.Reverse = c.into(v.ID)
		c.write(m)
	}
}

// spoil makes one thing in a plan wrong, or at least different.
func (d draw) spoil(s *sp.Show, p *sp.Plan) {
	if len(p.Moves) < 2 {
		return
	}
	i := d.upTo(len(p.Moves) - 2)
	m, next := &p.Moves[i], &p.Moves[i+1]
	switch d.upTo(6) {
	case 0:
		*m, *next = *next, *m
		m.Start, next.Start = next.Start, m.Start
	case 1:
		p.Moves = slices.Delete(p.Moves, i, i+1)
	case 2:
		m.Start += sp.Instant(60 * d.in(-5, 5))
	case 3:
		if m.Kind != sp.MoveOut && m.Kind != sp.MoveHome {
			m.Reverse = !m.Reverse
		}
	case 4:
		if m.To.Kind == sp.InLane && m.Kind != sp.MoveCloseUp {
			l := pick(d, s.Park.Lanes...)
			in, _ := ends(l.Kind)
			m.To = sp.AtLane(l.ID, pick(d, in...))
		}
	case 5:
		if len(m.Units) > 1 {
			m.Units = rapid.Permutation(m.Units).Draw(d.t, "column")
		}
	case 6:
		if m.To.Kind == sp.InLane && len(s.Vehicles) > 1 {
			m.Takes += 600
		}
	}
}
