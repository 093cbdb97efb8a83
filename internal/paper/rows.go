package paper

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"sallyport"
)

// moveRow is one move as it stands in a list.
type moveRow struct {
	ID      sallyport.MoveID
	N       int
	Waits   []string
	Time    string
	Takes   string
	Kind    string // empty: what the list is for
	Who     string
	Number  string
	From    string
	To      string
	How     []string
	Driver  string
	Unusual bool // not what the list is for
}

// kindWords are the kinds of move as they are printed.
var kindWords = map[sallyport.MoveKind]string{
	sallyport.MoveArrive:  "arrives",
	sallyport.MovePullOut: "pull out",
	sallyport.MoveOut:     "column to the arena",
	sallyport.MoveHome:    "column home",
	sallyport.MoveReturn:  "return",
	sallyport.MoveAcross:  "to the other line",
	sallyport.MoveAside:   "move aside",
	sallyport.MoveBack:    "put back",
	sallyport.MoveCloseUp: "close up",
	sallyport.MoveReset:   "reset",
	sallyport.MoveDuty:    "to duty",
	sallyport.MoveRelieve: "from duty",
	sallyport.MoveDepart:  "departs",
	sallyport.MoveCouple:  "couple",
	sallyport.MovePart:    "part",
	sallyport.MoveTow:     "tow",
	sallyport.MoveShift:   "shift",
}

// moveTable is a list of moves.
type moveTable struct {
	Caption string
	First   []string // what several of the rows wait for
	Rows    []moveRow
	Drivers bool // some driver is named
	Waits   bool // something is waited for
	Hows    bool // some move has a manner
}

// table returns moves as a numbered list whose ordinary kind is usual.
func (b *builder) table(caption string, indexes []int, usual sallyport.MoveKind) moveTable {
	shared := b.shared(indexes)
	t := moveTable{Caption: caption, Rows: b.rows(indexes, usual, shared)}
	for _, w := range shared {
		t.First = append(t.First, b.sharedWords(w))
	}
	for _, r := range t.Rows {
		t.Drivers = t.Drivers || r.Driver != ""
		t.Waits = t.Waits || len(r.Waits) > 0
		t.Hows = t.Hows || len(r.How) > 0
	}
	return t
}

// shared returns the lines and zones for which more than one of the moves
// wait, in order; they are said once, above the list.
func (b *builder) shared(indexes []int) []sallyport.Wait {
	times := map[sallyport.Wait]int{}
	var out []sallyport.Wait
	for _, i := range indexes {
		for _, w := range b.plan.Moves[i].After {
			if w.Move != "" || w.Begun != "" {
				continue
			}
			if times[w]++; times[w] == 2 {
				out = append(out, w)
			}
		}
	}
	return out
}

// sharedWords says what nobody does before a line is empty or a zone clear.
func (b *builder) sharedWords(w sallyport.Wait) string {
	if w.Line != "" {
		return "Nobody goes onto " + b.place(sallyport.AtLine(w.Line)) + " before the last column has left it."
	}
	return "Nothing moves in " + b.ix.ZoneName(w.Clear) + " before it is declared clear."
}

// rows returns moves as numbered rows, without the waits that are shared.
func (b *builder) rows(indexes []int, usual sallyport.MoveKind, shared []sallyport.Wait) []moveRow {
	for n, i := range indexes {
		b.numbers[i] = n + 1
	}
	here := map[int]bool{}
	for _, i := range indexes {
		here[i] = true
	}
	out := make([]moveRow, len(indexes))
	for n, i := range indexes {
		out[n] = b.row(i, n+1, usual, here, shared)
	}
	return out
}

// row returns one move of a list.
func (b *builder) row(i, n int, usual sallyport.MoveKind, here map[int]bool, shared []sallyport.Wait) moveRow {
	m := b.plan.Moves[i]
	r := moveRow{
		ID: m.ID, N: n, Time: clock(m.Start),
		Who: b.unit(m.Unit), Number: b.painted[m.Unit],
		From: b.place(m.From), To: b.place(m.To), How: b.how(m, b.upTo(i, m)),
	}
	if m.Unit == "" {
		r.Who = strings.Join(b.unitNames(m.Units), ", ")
	}
	if m.Takes > 0 {
		r.Takes = m.Takes.Words()
	}
	if m.Kind != usual {
		r.Kind, r.Unusual = or(kindWords[m.Kind], string(m.Kind)), true
	}
	if m.Driver != "" {
		r.Driver = b.ix.PersonName(m.Driver)
	}
	if m.Via != "" {
		via := b.place(sallyport.AtSpot(m.Via))
		if m.To.Kind == sallyport.InAway {
			r.To = via
		} else if m.From.Kind == sallyport.InAway {
			r.From = via
		}
	}
	for _, w := range m.After {
		if !slices.Contains(shared, w) {
			r.Waits = append(r.Waits, b.wait(w, m, here))
		}
	}
	return r
}

// how returns the manner of a move in words; upTo is how far it goes.
func (b *builder) how(m sallyport.Move, upTo string) []string {
	var out []string
	if m.Reverse {
		out = append(out, "in reverse")
	} else if m.Kind == sallyport.MoveArrive {
		out = append(out, "nose first")
	}
	if upTo != "" {
		out = append(out, upTo)
	}
	if m.ByHand {
		hand := "by hand"
		if u := b.ix.Unit(m.Unit); u != nil && u.HandPeople > 0 {
			hand += ", " + count(u.HandPeople, "person", "people")
		}
		out = append(out, hand)
	}
	if m.Helper != "" {
		help := "slave lead from "
		if u := b.ix.Unit(m.Unit); m.Kind == sallyport.MoveTow || u != nil && u.Start == sallyport.StartTow {
			help = "towed by "
		}
		out = append(out, help+b.unit(m.Helper))
	}
	if m.Nominal != 0 {
		if m.Kind == sallyport.MoveReturn {
			out = append(out, "held back on the line until "+m.Nominal.Clock())
		} else {
			out = append(out, "early, waits on the line")
		}
	}
	if m.Marshals > 1 {
		out = append(out, count(m.Marshals, "marshal team", "marshal teams"))
	}
	return out
}

// wait returns what a move waits for in words; a move of the same list is
// named by its number there.
func (b *builder) wait(w sallyport.Wait, waiting sallyport.Move, here map[int]bool) string {
	switch {
	case w.Line != "":
		return b.place(sallyport.AtLine(w.Line)) + " empty"
	case w.Clear != "":
		return b.ix.ZoneName(w.Clear) + " declared clear"
	}
	i, ok := b.moves[cmp.Or(w.Move, w.Begun)]
	if !ok {
		return "move " + string(cmp.Or(w.Move, w.Begun))
	}
	m := b.plan.Moves[i]
	if w.Begun != "" {
		return b.unit(m.Unit) + " has set off"
	}
	if here[i] {
		return "number " + strconv.Itoa(b.numbers[i]) + ", " + b.unit(m.Unit)
	}
	column, line := b.serial(m.Serial), " on "+b.place(m.To)
	if m.Serial == waiting.Serial {
		column, line = "the column", ""
	}
	switch m.Kind {
	case sallyport.MoveOut:
		return column + " has left for the arena"
	case sallyport.MoveHome:
		return column + " is back" + line
	}
	left := m.From.Kind == sallyport.InLane && m.To.ID != m.From.ID
	if left && (m.From.ID == waiting.From.ID || m.From.ID == waiting.To.ID) {
		return b.unit(m.Unit) + " is out of " + m.From.ID + " (" + b.clockBeside(m.Ends(), waiting.Start) + ")"
	}
	return b.unit(m.Unit) + " " + b.being(m.To) + " (" + b.clockBeside(m.Ends(), waiting.Start) + ")"
}

// where returns the indexes of the moves that match, in order.
func (b *builder) where(match func(sallyport.Move) bool) []int {
	var out []int
	for i, m := range b.plan.Moves {
		if match(m) {
			out = append(out, i)
		}
	}
	return out
}

// being says that a unit is somewhere.
func (b *builder) being(p sallyport.Pos) string {
	switch p.Kind {
	case sallyport.InLane:
		return "is in " + p.ID
	case sallyport.InDuty:
		return "is away on duty"
	case sallyport.InAway:
		return "has gone home"
	case sallyport.InArena:
		return "is in the arena"
	}
	return "is on " + b.place(p)
}

// upTo says how far a unit that is driven into a lane goes: up to the one
// that stands there, or to the end.
func (b *builder) upTo(i int, m sallyport.Move) string {
	if m.To.Kind != sallyport.InLane {
		return ""
	}
	lane := b.ix.Lane(sallyport.LaneID(m.To.ID))
	standing := b.course.Before(i + 1).Lanes[sallyport.LaneID(m.To.ID)]
	at := slices.IndexFunc(standing, func(s sallyport.Standing) bool { return s.Unit == m.Unit })
	if lane == nil || at < 0 {
		return ""
	}
	ahead, end := at+1, "to the closed end"
	switch {
	case lane.Kind == sallyport.Through, m.To.End == sallyport.Tail:
		ahead, end = at-1, "to the mouth"
	case lane.Kind == sallyport.Open:
		end = "to the tail"
	}
	if ahead >= 0 && ahead < len(standing) {
		return "up to " + b.unit(standing[ahead].Unit)
	}
	return end
}
