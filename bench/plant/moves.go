package plant

import (
	"fmt"
	"sort"

	sp "sallyport"
)

// pace is how long every move in a planted park takes.
const pace = 120

// times are the moments of serial n: it enters the arena on the hour, from
// nine; pull-outs begin 45 minutes before and end 22 minutes before, the
// column is back on its line 42 minutes after, all are home 23 minutes later.
func (y *yard) times(n int) sp.Serial {
	in := sp.At(n/y.opt.Serials+1, 9+n%y.opt.Serials, 0)
	minutes := func(n int64) sp.Instant { return sp.Instant(sp.Minutes(n)) }
	return sp.Serial{
		ID: y.serialID(n), Line: lines[n%2],
		FormFrom: in - minutes(45), FormUp: in - minutes(22), ArenaIn: in, ArenaOut: in + minutes(37),
		HomeBy: in + minutes(65), Travel: sp.Minutes(5),
	}
}

// The lines, used in turn, and where vehicles wait aside.
var (
	lines           = [2]sp.LineID{"east", "west"}
	spot  sp.SpotID = "aside"
)

// book writes down a move of vehicle v, of or for serial n, that starts so
// many paces after from. It waits for the last move of its lane and of v.
func (y *yard) book(kind sp.MoveKind, v, lane, n int, from sp.Instant, paces int) {
	c := &y.vehicles[v]
	serial := y.times(n)
	m := sp.Move{
		ID: y.nextID(), Kind: kind, Unit: unitID(v), Serial: serial.ID,
		Start: from + sp.Instant(paces*pace), Takes: pace, Marshals: 1,
	}
	inLane := sp.AtLane(laneID(lane), sp.Mouth)
	switch kind {
	case sp.MovePullOut:
		m.From, m.To = inLane, sp.AtLine(serial.Line)
		m.Entry = entryID(serial.ID, v)
	case sp.MoveReturn:
		m.From, m.To, m.Reverse = sp.AtLine(serial.Line), inLane, true
		m.Entry = entryID(serial.ID, v)
	case sp.MoveAside:
		m.From, m.To = inLane, sp.AtSpot(spot)
	case sp.MoveBack:
		m.From, m.To, m.Reverse = sp.AtSpot(spot), inLane, true
	}
	// The column waits for its pull-outs, the returns for the column.
	for _, last := range [2]sp.MoveID{y.lastInLane[lane], c.lastMove} {
		if last != "" && (len(m.After) == 0 || m.After[0].Move != last) {
			m.After = append(m.After, sp.Wait{Move: last})
		}
	}
	y.lastInLane[lane], c.lastMove = m.ID, m.ID
	y.moves = append(y.moves, m)
}

// column writes down the column of serial n on its way to the arena and back.
func (y *yard) column(n int) {
	serial := y.times(n)
	out := sp.Move{
		ID: y.nextID(), Kind: sp.MoveOut, Serial: serial.ID, From: sp.AtLine(serial.Line), To: sp.Pos{Kind: sp.InArena},
		Start: serial.Leave(), Takes: serial.Travel,
	}
	for _, v := range y.serials[n] {
		out.Units = append(out.Units, unitID(v))
		out.After = append(out.After, sp.Wait{Move: y.vehicles[v].lastMove})
		y.vehicles[v].lastMove = "" // its next move waits for the column
	}
	y.moves = append(y.moves, out)
	home := sp.Move{
		ID: y.nextID(), Kind: sp.MoveHome, Serial: serial.ID, Units: out.Units, From: out.To, To: out.From,
		Start: serial.ArenaOut, Takes: serial.Travel, After: []sp.Wait{{Move: out.ID}},
	}
	y.moves = append(y.moves, home)
	for _, v := range y.serials[n] {
		y.vehicles[v].lastMove = home.ID
	}
}

func (y *yard) nextID() sp.MoveID { return sp.MoveID(fmt.Sprintf("m%d", len(y.moves)+1)) }

func entryID(serial sp.SerialID, v int) sp.EntryID {
	return sp.EntryID(string(serial) + "/" + string(unitID(v)))
}

// plan returns the planted plan in order of time.
func (y *yard) plan(show *sp.Show) *sp.Plan {
	plan := &sp.Plan{Format: sp.FormatPlan, Show: show.Name, Moves: y.moves}
	sort.SliceStable(plan.Moves, func(i, j int) bool { return plan.Moves[i].Start < plan.Moves[j].Start })
	plan.Start = make([]sp.LaneLayout, len(y.lanes))
	byPlace := make([]int, len(y.vehicles))
	for v := range byPlace {
		byPlace[v] = v
	}
	sort.SliceStable(byPlace, func(i, j int) bool { return y.start[byPlace[i]] < y.start[byPlace[j]] })
	for l := range plan.Start {
		plan.Start[l].Lane = laneID(l)
	}
	for _, v := range byPlace {
		layout := &plan.Start[y.vehicles[v].stays[0].lane]
		layout.Units = append(layout.Units, unitID(v))
	}
	return plan
}
