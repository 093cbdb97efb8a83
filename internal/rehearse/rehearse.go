// Package rehearse answers "what happens when engine 17 does not start?": it
// plays the rest of a day from the moment of a failure, with the failed
// vehicle as an obstacle, by the one judge (sallyport.Player), and looks for
// the cheapest cure. It does no input or output, reads no clock and draws no
// random numbers.
package rehearse

import (
	"cmp"
	"context"
	"runtime"
	"slices"
	"sync"

	sp "sallyport"
	"sallyport/internal/together"
)

// Options says what cures take. The zero value of a figure means the usual
// one.
type Options struct {
	TowPercent int              // greatest towed mass in percent of the towing vehicle's; 0: the show's own
	Fetch      sp.Seconds       // until a helping vehicle stands there; 0: five minutes
	Gather     sp.Seconds       // until people stand ready to push; 0: five minutes
	Slave      sp.Seconds       // to start an engine with a slave lead; 0: five minutes
	Only       []sp.FailureKind // the kinds of failure to play; empty: all
	Workers    int              // goroutines; 0: one for every core. The matrix does not depend on it
}

// usual fills in the figures that are not given, for a complete show.
func (o Options) usual(show *sp.Show) Options {
	set := func(s *sp.Seconds, usual sp.Seconds) {
		if *s <= 0 {
			*s = usual
		}
	}
	if o.TowPercent <= 0 {
		o.TowPercent = show.Park.TowPercent
	}
	set(&o.Fetch, sp.UsualFetch)
	set(&o.Gather, sp.UsualGather)
	set(&o.Slave, sp.Minutes(5))
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	return o
}

// Matrix returns what every failure of a plan does: each entry, duty and
// vehicle moved aside by its engine × each kind of failure. The show must be
// complete; a plan that names what it does not have is an error. When ctx ends
// it returns the rows that are done; the error says so. report, which may be nil, is told how many rows are done, from several
// goroutines but one after the other.
func Matrix(ctx context.Context, show *sp.Show, plan *sp.Plan, opt Options, report func(done, all int)) (*sp.FailureMatrix, error) {
	if err := sound(sp.NewIndex(show), plan); err != nil {
		return &sp.FailureMatrix{}, err
	}
	r := newRehearsal(show, plan, opt.usual(show))
	rows := make([]*sp.FailureRow, len(r.trips))
	var mu sync.Mutex
	var workers together.Parts
	next, done := 0, 0
	keep := func(i int, row *sp.FailureRow) {
		mu.Lock()
		defer mu.Unlock()
		rows[i] = row
		if done++; report != nil {
			report(done, len(rows))
		}
	}
	for range r.opt.Workers {
		workers.Go(func() {
			for {
				mu.Lock()
				i := next
				next++
				mu.Unlock()
				if i >= len(r.trips) || ctx.Err() != nil {
					return
				}
				row := r.row(&r.trips[i])
				keep(i, &row)
			}
		})
	}
	workers.Wait()
	m := &sp.FailureMatrix{}
	for _, row := range rows {
		if row != nil {
			m.Rows = append(m.Rows, *row)
		}
	}
	r.sum(m)
	if len(m.Rows) < len(rows) {
		return m, sp.Errorf(sp.CodeInterrupted, "what is done is given", "stopped after %d of %d vehicles on their way", len(m.Rows), len(rows))
	}
	return m, nil
}

// rehearsal is one plan with what all its failures share. It is frozen once
// newRehearsal has returned it.
type rehearsal struct {
	ix    *sp.Index
	plan  *sp.Plan
	moves []sp.Move
	opt   Options
	known map[breach]bool          // faults that the plan has as it is
	by    map[sp.EntryID]sp.UnitID // who serves each entry in the plan
	stood map[int]*sp.Player       // what stands where before a move, where that is asked for
	of    map[sp.UnitID][]int      // moves of each unit, columns too
	trips []trip
}

// breach is a rule broken by a move.
type breach struct {
	rule sp.Rule
	move sp.MoveID
}

// trip is one vehicle on its way out of its lane and home again. Moves are
// given by their numbers, -1 for those that it does not make.
type trip struct {
	row  sp.FailureRow // its head
	unit *sp.Unit
	out  int // leaves its lane, or goes from line to line
	col  int // leaves its line with the column
	home int // comes home with it
	back int // goes into a lane
}

func newRehearsal(show *sp.Show, plan *sp.Plan, opt Options) *rehearsal {
	r := &rehearsal{
		ix: sp.NewIndex(show), plan: plan, moves: plan.Moves, opt: opt, known: map[breach]bool{},
		by: map[sp.EntryID]sp.UnitID{}, stood: map[int]*sp.Player{}, of: map[sp.UnitID][]int{},
	}
	r.findTrips()
	wanted := map[int]bool{}
	for _, t := range r.trips {
		for _, i := range []int{t.out, t.col, t.back} {
			wanted[i] = true
		}
		if t.col >= 0 {
			wanted[t.col+1] = true
		}
	}
	state, _ := sp.StartState(show, plan)
	p := sp.NewPlayer(r.ix, state).Branch()
	for i := range r.moves {
		if wanted[i] {
			r.stood[i] = p.Branch()
		}
		for _, f := range p.Do(&r.moves[i]) {
			r.known[breach{f.Rule, f.Move}] = true
		}
	}
	r.stood[len(r.moves)] = p
	return r
}

// entryOf returns the entry that a unit serves in a serial: the named one,
// else its own, else the first that it is a reserve for; empty when none.
func (r *rehearsal) entryOf(serial sp.SerialID, unit sp.UnitID, named sp.EntryID) sp.EntryID {
	s := r.ix.Serial(serial)
	if s == nil {
		return ""
	}
	if r.ix.SerialOf(named) == s {
		return named
	}
	reserve := sp.EntryID("")
	for i := range s.Entries {
		e := &s.Entries[i]
		if e.Unit == unit {
			return e.ID
		}
		if reserve == "" && slices.Contains(e.Reserves, unit) {
			reserve = e.ID
		}
	}
	return reserve
}

// findTrips lists the trips in order of time, and who serves which entry.
func (r *rehearsal) findTrips() {
	open := map[sp.UnitID]int{} // the trip that each unit is on
	begin := func(i int, row sp.FailureRow) {
		m := &r.moves[i]
		row.Unit, row.Move, row.At = m.Unit, m.ID, m.Start
		open[m.Unit] = len(r.trips)
		r.trips = append(r.trips, trip{row: row, unit: r.ix.Unit(m.Unit), out: i, col: -1, home: -1, back: -1})
	}
	for i := range r.moves {
		m := &r.moves[i]
		for _, u := range append(slices.Clone(m.Units), m.Unit) {
			if u != "" {
				r.of[u] = append(r.of[u], i)
			}
		}
		if m.Unit != "" && r.ix.Unit(m.Unit) == nil {
			continue
		}
		switch m.Kind {
		case sp.MovePullOut, sp.MoveAcross:
			e := r.entryOf(m.Serial, m.Unit, m.Entry)
			begin(i, sp.FailureRow{Entry: e, Serial: m.Serial, What: r.ix.SerialName(m.Serial)})
		case sp.MoveDuty:
			begin(i, sp.FailureRow{Duty: m.Duty, What: r.dutyName(m.Duty)})
		case sp.MoveAside:
			if !m.ByHand {
				begin(i, sp.FailureRow{What: "moved aside"})
			}
		case sp.MoveOut:
			for _, u := range m.Units {
				if k, ok := open[u]; ok && r.trips[k].row.Serial == m.Serial {
					r.trips[k].col = i
					r.by[r.trips[k].row.Entry] = u
				}
			}
		case sp.MoveHome:
			for _, u := range m.Units {
				switch k, ok := open[u]; {
				case ok && r.trips[k].row.Serial == m.Serial:
					r.trips[k].home = i
				case ok:
					r.trips = append(r.trips, r.stayedIn(i, u))
				}
			}
		case sp.MoveReturn, sp.MoveRelieve, sp.MoveBack:
			if k, ok := open[m.Unit]; ok && m.To.Kind == sp.InLane {
				r.trips[k].back = i
			}
			delete(open, m.Unit)
		}
	}
	for _, s := range r.ix.SerialsInTime {
		for _, e := range s.Entries {
			if b := r.ix.JoinedBefore(e.ID); b != nil && b.Join == sp.JoinArena {
				if u, ok := r.by[b.ID]; ok {
					r.by[e.ID] = u
				}
			}
		}
	}
	slices.SortStableFunc(r.trips, func(a, b trip) int { return cmp.Compare(a.row.At, b.row.At) })
	delete(r.by, "")
	for _, id := range r.plan.Unserved {
		delete(r.by, id)
	}
}

// stayedIn is the part of a trip in a serial that a unit joins in the arena,
// staying there from the one before until the column comes home by move i.
func (r *rehearsal) stayedIn(i int, u sp.UnitID) trip {
	m := &r.moves[i]
	row := sp.FailureRow{
		Unit: u, Entry: r.entryOf(m.Serial, u, ""), Serial: m.Serial, Move: m.ID, At: m.Start, What: r.ix.SerialName(m.Serial),
	}
	if s := r.ix.Serial(m.Serial); s != nil {
		row.At = s.ArenaIn
	}
	return trip{row: row, unit: r.ix.Unit(u), out: i, col: -1, home: i, back: -1}
}

func (r *rehearsal) dutyName(id sp.DutyID) string {
	if d := r.ix.Duty(id); d != nil {
		return d.What
	}
	return string(id)
}

// row plays all failures of one trip.
func (r *rehearsal) row(t *trip) sp.FailureRow {
	row := t.row
	for _, kind := range sp.FailureKinds {
		if len(r.opt.Only) > 0 && !slices.Contains(r.opt.Only, kind) {
			continue
		}
		if s := r.scene(t, kind); s != nil {
			row.Cells = append(row.Cells, s.cell())
		}
	}
	return row
}

// sum puts the cells in order, and lists what no cell covers and what the
// whole rests on.
func (r *rehearsal) sum(m *sp.FailureMatrix) {
	uncovered := map[sp.EntryID]bool{}
	for i := range m.Rows {
		for k := range m.Rows[i].Cells {
			m.Worst = append(m.Worst, sp.CellRef{Row: i, Cell: k})
			for _, e := range m.Rows[i].Cells[k].Uncovered {
				uncovered[e] = true
			}
		}
	}
	slices.SortStableFunc(m.Worst, func(a, b sp.CellRef) int {
		_, x := m.At(a)
		_, y := m.At(b)
		return worse(x, y)
	})
	for _, s := range r.ix.SerialsInTime {
		for _, e := range s.Entries {
			if uncovered[e.ID] {
				m.Uncovered = append(m.Uncovered, e.ID)
			}
		}
	}
	r.foot(m)
}

// worse orders cells, the worst first: by what is lost in the end, by what is
// lost when nothing is done, by who goes late, by who finds no room, then by
// the minutes: many until the way is free, few to wait for a late start.
func worse(a, b *sp.FailureCell) int {
	takes := cmp.Compare(b.Takes, a.Takes)
	if a.Kind == sp.FailLate && b.Kind == sp.FailLate {
		takes = -takes
	}
	late := func(c *sp.FailureCell) int {
		if c.Kind == sp.FailLate {
			return 1
		}
		return 0
	}
	return cmp.Or(
		cmp.Compare(b.LeftValue, a.LeftValue), cmp.Compare(late(a), late(b)), cmp.Compare(b.LostValue, a.LostValue),
		cmp.Compare(len(b.Late), len(a.Late)), cmp.Compare(len(b.Stranded), len(a.Stranded)), takes, cmp.Compare(a.At, b.At),
	)
}
