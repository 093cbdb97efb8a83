package paper

import (
	"sort"

	"sallyport"
)

// vehicleRow is everything one unit does, day by day.
type vehicleRow struct {
	Who    string
	Number string
	Start  string // lane it stands in from the start
	Days   []vehicleDay
}

// vehicleDay is what a unit does on one day, in order.
type vehicleDay struct {
	Day   string
	Steps []step
}

// step is one move of a unit in a few words.
type step struct{ Time, What string }

// steps say a kind of move in the fewest words; one that is not listed is
// said by its kind and where it goes.
var steps = map[sallyport.MoveKind]func(*builder, sallyport.Move) string{
	sallyport.MoveArrive: func(b *builder, m sallyport.Move) string { return "arrives, into " + b.place(m.To) },
	sallyport.MovePullOut: func(b *builder, m sallyport.Move) string {
		return "out of " + b.place(m.From) + " for " + string(m.Serial)
	},
	sallyport.MoveReturn:  func(b *builder, m sallyport.Move) string { return "home to " + b.place(m.To) },
	sallyport.MoveAside:   func(b *builder, m sallyport.Move) string { return "aside to " + b.place(m.To) },
	sallyport.MoveBack:    func(b *builder, m sallyport.Move) string { return "put back into " + b.place(m.To) },
	sallyport.MoveReset:   func(b *builder, m sallyport.Move) string { return "reset to " + b.place(m.To) },
	sallyport.MoveDuty:    func(b *builder, m sallyport.Move) string { return "out of " + b.place(m.From) + " on duty" },
	sallyport.MoveRelieve: func(b *builder, m sallyport.Move) string { return "from duty to " + b.place(m.To) },
	sallyport.MoveDepart:  func(b *builder, m sallyport.Move) string { return "leaves " + b.place(m.From) + " for home" },
}

// vehicles returns every unit that stands or moves, by name.
func (b *builder) vehicles() []vehicleRow {
	start := map[sallyport.UnitID]string{}
	for _, l := range b.plan.Start {
		for _, id := range l.Units {
			start[id] = string(l.Lane)
		}
	}
	moves := map[sallyport.UnitID][]sallyport.Move{}
	for _, m := range b.plan.Moves {
		if m.Unit != "" {
			moves[m.Unit] = append(moves[m.Unit], m)
		}
	}
	var out []vehicleRow
	for _, id := range b.ix.UnitIDs {
		if start[id] == "" && len(moves[id]) == 0 {
			continue
		}
		row := vehicleRow{Who: b.unit(id), Number: b.painted[id], Start: start[id]}
		for _, m := range moves[id] {
			day := b.shortDay(m.Start)
			if n := len(row.Days); n == 0 || row.Days[n-1].Day != day {
				row.Days = append(row.Days, vehicleDay{Day: day})
			}
			last := &row.Days[len(row.Days)-1]
			last.Steps = append(last.Steps, step{clock(m.Start), b.inFewWords(m)})
		}
		out = append(out, row)
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Who < out[j].Who })
	return out
}

// inFewWords says one move.
func (b *builder) inFewWords(m sallyport.Move) string {
	if say, ok := steps[m.Kind]; ok {
		return say(b, m)
	}
	return or(kindWords[m.Kind], string(m.Kind)) + ", to " + b.place(m.To)
}
