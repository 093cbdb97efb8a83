package picture

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"sallyport"
)

// matrixGroup is the rows of one serial, or the duties or moves aside of one
// day.
type matrixGroup struct {
	day  int
	name string
	rows []int
}

// matrixGroups puts the rows of a matrix together by day and serial, in order
// of time; duties and moves aside come last in a day.
func matrixGroups(show *sallyport.Show, m *sallyport.FailureMatrix) []matrixGroup {
	type key struct {
		day    int
		serial sallyport.SerialID
		other  int
	}
	names := map[sallyport.SerialID]string{}
	for _, s := range show.Serials {
		names[s.ID] = serialName(s) + ", formed up " + s.FormUp.Clock()
	}
	var groups []matrixGroup
	at := map[key]int{}
	for i := range m.Rows {
		r := &m.Rows[i]
		k := key{r.At.Day(), r.Serial, 0}
		name := orID(names[r.Serial], string(r.Serial))
		switch {
		case r.Serial != "":
		case r.Duty != "":
			k.other, name = 1, "Duties"
		default:
			k.other, name = 2, "Moved aside"
		}
		g, ok := at[k]
		if !ok {
			g = len(groups)
			at[k] = g
			groups = append(groups, matrixGroup{day: k.day, name: name})
		}
		groups[g].rows = append(groups[g].rows, i)
	}
	order := func(g matrixGroup) int {
		switch r := &m.Rows[g.rows[0]]; {
		case r.Serial != "":
			return 0
		case r.Duty != "":
			return 1
		}
		return 2
	}
	slices.SortStableFunc(groups, func(a, b matrixGroup) int {
		return cmp.Or(cmp.Compare(a.day, b.day), cmp.Compare(order(a), order(b)))
	})
	return groups
}

// kindHead is what stands over a kind's column, short enough for it.
var kindHead = map[sallyport.FailureKind]string{
	sallyport.FailLate: "late start", sallyport.FailInLane: "in lane", sallyport.FailInMouth: "in the mouth", sallyport.FailOnLine: "on the line",
	sallyport.FailOnRoad: "road or gate", sallyport.FailInArena: "in the arena", sallyport.FailReversing: "reversing in",
}

// kindShort is the same for a column of the terminal.
var kindShort = map[sallyport.FailureKind]string{
	sallyport.FailLate: "late start", sallyport.FailInLane: "in lane", sallyport.FailInMouth: "in mouth", sallyport.FailOnLine: "on line",
	sallyport.FailOnRoad: "road, gate", sallyport.FailInArena: "in arena", sallyport.FailReversing: "reversing",
}

// figures returns what is written in a cell: entries lost in the end, of how
// many if nothing is done, and the minutes.
func figures(c *sallyport.FailureCell) (lost, minutes string) {
	if c.Kind == sallyport.FailLate {
		return "", fmt.Sprintf("%d min", c.Takes/60)
	}
	lost = fmt.Sprint(len(c.Left))
	if len(c.Left) < len(c.Lost) {
		lost += fmt.Sprintf(" of %d", len(c.Lost))
	}
	if c.Takes > 0 {
		minutes = fmt.Sprintf("%d min", (c.Takes+59)/60)
	}
	return lost, minutes
}

// dayTitle returns the name of a day, or its number.
func dayTitle(show *sallyport.Show, day int) string {
	if day >= 1 && day <= len(show.Days) && show.Days[day-1].Name != "" {
		return show.Days[day-1].Name
	}
	return fmt.Sprintf("Day %d", day)
}

// MatrixText returns all failures as plain text, 100 columns wide: entries
// down, kinds of failure across; in each cell the entries lost in the end, of
// how many if nothing is done, and the minutes.
func MatrixText(show *sallyport.Show, m *sallyport.FailureMatrix) string {
	const first, wide = 16, 12
	var b strings.Builder
	pad := func(text string, width int) {
		text = cut(text, float64(width-1), func(s string) float64 { return float64(textColumns(s)) })
		b.WriteString(text + strings.Repeat(" ", width-textColumns(text)))
	}
	end := func() {
		text := strings.TrimRight(b.String(), " ")
		b.Reset()
		b.WriteString(text + "\n")
	}
	r := newRoster(show)
	day := 0
	for _, g := range matrixGroups(show, m) {
		if g.day != day {
			day = g.day
			b.WriteString(strings.ToUpper(dayTitle(show, day)) + "\n")
			pad("", first)
			for _, k := range sallyport.FailureKinds {
				pad(kindShort[k], wide)
			}
			end()
		}
		b.WriteString(oneLine(g.name) + "\n")
		for _, i := range g.rows {
			row := &m.Rows[i]
			pad("  "+oneLine(r.get(row.Unit).name), first)
			for _, k := range sallyport.FailureKinds {
				text := "-"
				if c := row.Cell(k); c != nil {
					lost, minutes := figures(c)
					text = strings.TrimSpace(strings.ReplaceAll(lost, " of ", "/") + " " + strings.ReplaceAll(minutes, " min", "'"))
				}
				pad(text, wide)
			}
			end()
		}
	}
	b.WriteString("n: entries lost in the end; n/m: of m if nothing is done; n': minutes until the way is free,\nfor a late start how long it may be late\n")
	return b.String()
}
