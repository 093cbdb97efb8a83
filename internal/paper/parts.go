package paper

import (
	"html/template"
	"sort"
	"strconv"

	"sallyport"
)

// filling is who is placed where, before anything else moves.
type filling struct {
	There    []laneRow   // who stands there from the start, by lane, mouth first
	Arrivals []moveTable // in order of arrival, a table for each day
	Filled   template.HTML
}

// laneRow is one lane and who stands in it.
type laneRow struct {
	Lane  string
	Name  string
	Units []standingRow
}

// standingRow is a unit in a lane.
type standingRow struct {
	Who    string
	NoseIn bool
}

// filling returns the filling sheet.
func (b *builder) filling() filling {
	var f filling
	lanes := map[sallyport.LaneID]sallyport.LaneLayout{}
	for _, l := range b.plan.Start {
		lanes[l.Lane] = l
	}
	for _, l := range b.show.Park.Lanes {
		layout := lanes[l.ID]
		if len(layout.Units) == 0 {
			continue
		}
		row := laneRow{Lane: string(l.ID), Name: l.Name}
		noseIn := map[sallyport.UnitID]bool{}
		for _, id := range layout.NoseIn {
			noseIn[id] = true
		}
		for _, id := range layout.Units {
			row.Units = append(row.Units, standingRow{b.unit(id), noseIn[id]})
		}
		f.There = append(f.There, row)
	}
	f.Arrivals = b.byDay("Arrivals", sallyport.MoveArrive)
	if b.in.Drawing.Draw != nil && len(b.show.Park.Lanes) > 0 {
		last := 0
		for i, m := range b.plan.Moves {
			if m.Kind == sallyport.MoveArrive {
				last = i + 1
			}
		}
		f.Filled = template.HTML(b.in.Drawing.Draw("The park when the last has come", b.course.Before(last), nil, nil))
	}
	return f
}

// byDay returns the moves of a kind that belong to no serial, a table for each
// day, in order.
func (b *builder) byDay(title string, kind sallyport.MoveKind) []moveTable {
	days := map[int][]int{}
	var order []int
	for i, m := range b.plan.Moves {
		if m.Kind != kind || b.ix.Serial(m.Serial) != nil {
			continue
		}
		d := m.Start.Day()
		if len(days[d]) == 0 {
			order = append(order, d)
		}
		days[d] = append(days[d], i)
	}
	sort.Ints(order)
	var out []moveTable
	for _, d := range order {
		out = append(out, b.table(title+" on "+b.dayName(d), days[d], kind))
	}
	return out
}

// dayPart is one day of the page.
type dayPart struct {
	Anchor  string
	Name    string
	Serials []serialPart
	Between moveTable // moves that belong to no serial and no reset
	Resets  []resetPart
}

// resetPart is one reset window.
type resetPart struct {
	Title string
	Moves moveTable
}

// serialPart is one serial of the page.
type serialPart struct {
	Anchor  string
	Title   string
	Times   []fact
	Note    string
	Rule    string
	PullOut moveTable
	Column  string // when the column leaves
	Forming formingTable
	Back    string // when it is back
	Leaving []string
	Return  moveTable
	Before  template.HTML
	After   template.HTML
}

// fact is a name and a value.
type fact struct{ Name, Value string }

// formingTable is the forming-up order of a serial.
type formingTable struct {
	Rows     []entryRow
	People   bool // some driver or crew is named
	Reserves bool // some reserve is named
}

// entryRow is one entry in forming-up order.
type entryRow struct {
	N        int
	Who      string
	Number   string
	People   []string // driver, then crew
	Reserves []string
	Join     string
	Unserved bool
}

// serialDay returns the day a serial belongs to.
func serialDay(s sallyport.Serial) int {
	for _, t := range []sallyport.Instant{s.ArenaIn, s.FormUp, s.FormFrom, s.ArenaOut} {
		if t != 0 {
			return t.Day()
		}
	}
	return 1
}

// days returns every day on which something happens.
func (b *builder) days() []dayPart {
	inSerial := map[int]bool{}
	serials := append([]sallyport.Serial(nil), b.show.Serials...)
	sort.SliceStable(serials, func(i, j int) bool { return serialStart(serials[i]) < serialStart(serials[j]) })
	last := len(b.show.Days)
	for _, s := range serials {
		last = max(last, serialDay(s))
		out, home := b.plan.Phases(s.ID)
		for _, i := range append(out, home...) {
			inSerial[i] = true
		}
	}
	for _, m := range b.plan.Moves {
		last = max(last, m.Start.Day())
	}
	var parts []dayPart
	for day := 1; day <= last; day++ {
		p := dayPart{Anchor: "day-" + strconv.Itoa(day), Name: b.dayName(day)}
		for _, s := range serials {
			if serialDay(s) == day {
				p.Serials = append(p.Serials, b.serialPart(s, len(parts), len(p.Serials)))
			}
		}
		p.Between = b.table("Moves that belong to no serial", b.between(day, inSerial), "")
		p.Resets = b.resets(day)
		if len(p.Serials)+len(p.Between.Rows)+len(p.Resets) > 0 {
			parts = append(parts, p)
		}
	}
	return parts
}

// serialStart is the moment by which serials are put in order.
func serialStart(s sallyport.Serial) sallyport.Instant {
	if s.ArenaIn != 0 {
		return s.ArenaIn
	}
	return s.FormUp
}

// between returns the moves of a day that stand in no other list.
func (b *builder) between(day int, inSerial map[int]bool) []int {
	var out []int
	for i, m := range b.plan.Moves {
		column := b.ix.Serial(m.Serial) != nil && (m.Kind == sallyport.MoveOut || m.Kind == sallyport.MoveHome)
		listed := inSerial[i] || column || m.Kind == sallyport.MoveArrive || m.Kind == sallyport.MoveDepart || b.inReset(m)
		if m.Start.Day() == day && !listed {
			out = append(out, i)
		}
	}
	return out
}

// inReset reports whether a move stands in the list of a reset window.
func (b *builder) inReset(m sallyport.Move) bool {
	return m.Kind == sallyport.MoveReset && b.ix.Serial(m.Serial) == nil && b.ix.Reset(m.Window) != nil
}

// resets returns the reset windows that begin on a day and have moves.
func (b *builder) resets(day int) []resetPart {
	var out []resetPart
	for _, w := range b.show.Resets {
		if w.From.Day() != day {
			continue
		}
		moves := b.where(func(m sallyport.Move) bool { return m.Window == w.ID && b.inReset(m) })
		if len(moves) > 0 {
			out = append(out, resetPart{
				Title: "Reset, " + w.From.Clock() + " to " + w.To.Clock() + " at the latest",
				Moves: b.table("Moves that put the park right for the morning", moves, sallyport.MoveReset),
			})
		}
	}
	return out
}

// serialPart returns one serial with its lists and pictures.
func (b *builder) serialPart(s sallyport.Serial, day, n int) serialPart {
	out, home := b.plan.Phases(s.ID)
	p := serialPart{
		Anchor: "serial-" + strconv.Itoa(day+1) + "-" + strconv.Itoa(n+1),
		Title:  b.serial(s.ID), Times: b.times(s), Note: s.Note, Rule: b.lineRule(s),
		PullOut: b.table("Pull-out list", out, sallyport.MovePullOut), Forming: b.forming(s),
		Return: b.table("Return list", home, sallyport.MoveReturn), Leaving: b.leaving(s),
	}
	for _, m := range b.plan.Moves {
		if m.Serial != s.ID {
			continue
		}
		switch m.Kind {
		case sallyport.MoveOut:
			p.Column = clock(m.Start)
		case sallyport.MoveHome:
			p.Back = clock(m.Ends())
		}
	}
	p.Before, p.After = b.pictures(p.Title, out, home)
	return p
}

// times returns a serial's times in words.
func (b *builder) times(s sallyport.Serial) []fact {
	var out []fact
	add := func(name string, t sallyport.Instant) {
		if t != 0 {
			out = append(out, fact{name, t.Clock()})
		}
	}
	if s.Line != "" {
		out = append(out, fact{"line", b.place(sallyport.AtLine(s.Line))})
	}
	add("pull out from", s.FormFrom)
	add("formed up by", s.FormUp)
	add("into the arena", s.ArenaIn)
	add("out of the arena", s.ArenaOut)
	if s.HomeLine != "" && s.HomeLine != s.Line {
		out = append(out, fact{"home by way of", b.place(sallyport.AtLine(s.HomeLine))})
	}
	add("all parked by", s.HomeBy)
	return out
}

// lineRule says in words how the serial's line is filled and emptied.
func (b *builder) lineRule(s sallyport.Serial) string {
	l := b.ix.Line(s.Line)
	switch {
	case l == nil:
		return ""
	case l.Out == sallyport.OutStrict:
		return "The line is filled from the tail only: pull out in this order."
	}
	return "Each drives to its own mark on the line."
}

// forming returns the entries in forming-up order.
func (b *builder) forming(s sallyport.Serial) formingTable {
	given := map[sallyport.EntryID]bool{}
	for _, e := range b.plan.Unserved {
		given[e] = true
	}
	joins := map[sallyport.Join]string{
		sallyport.JoinLine:  "goes on to its next serial from the line",
		sallyport.JoinArena: "stays in the arena for its next serial",
	}
	var out formingTable
	for i, e := range s.Entries {
		row := entryRow{
			N: i + 1, Who: b.unit(e.Unit), Number: b.painted[e.Unit],
			Reserves: b.unitNames(e.Reserves), Join: joins[e.Join], Unserved: given[e.ID],
		}
		if d := b.driver(e); d != "" {
			row.People = append(row.People, b.ix.PersonName(d))
		}
		for _, c := range e.Crew {
			row.People = append(row.People, b.ix.PersonName(c))
		}
		out.People = out.People || len(row.People) > 0
		out.Reserves = out.Reserves || len(row.Reserves) > 0
		out.Rows = append(out.Rows, row)
	}
	return out
}

// driver returns who drives in an entry: who is named in it, else who pulls
// the vehicle out for it.
func (b *builder) driver(e sallyport.Entry) sallyport.PersonID {
	if e.Driver != "" {
		return e.Driver
	}
	for _, m := range b.plan.Moves {
		if m.Kind == sallyport.MovePullOut && m.Entry == e.ID && m.Unit == e.Unit {
			return m.Driver
		}
	}
	return ""
}

// leaving returns who leaves the arena in which order, where it differs.
func (b *builder) leaving(s sallyport.Serial) []string {
	units := map[sallyport.EntryID]sallyport.UnitID{}
	for _, e := range s.Entries {
		units[e.ID] = e.Unit
	}
	var out []string
	for _, id := range s.Leaving {
		out = append(out, b.unit(units[id]))
	}
	return out
}

// pictures returns the park before the first pull-out, with those due marked,
// and after the last return. The numbers in them are those of the lists.
func (b *builder) pictures(title string, out, home []int) (before, after template.HTML) {
	if b.in.Drawing.Draw == nil {
		return "", ""
	}
	draw := func(title string, state int, indexes []int) template.HTML {
		var due []sallyport.UnitID
		moves := make([]sallyport.Move, len(indexes))
		for n, i := range indexes {
			moves[n] = b.plan.Moves[i]
			if moves[n].Kind == sallyport.MovePullOut {
				due = append(due, moves[n].Unit)
			}
		}
		return template.HTML(b.in.Drawing.Draw(title, b.course.Before(state), due, moves))
	}
	if len(out) > 0 {
		before = draw("The park before "+title, out[0], out)
	}
	if len(home) > 0 {
		after = draw("The park after "+title, home[len(home)-1]+1, home)
	}
	return before, after
}
