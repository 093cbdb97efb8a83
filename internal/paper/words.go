package paper

import (
	"strconv"
	"time"

	"sallyport"
)

// builder holds what all parts of the page look up.
type builder struct {
	in      Input
	show    *sallyport.Show
	plan    *sallyport.Plan
	ix      *sallyport.Index
	course  *sallyport.Course
	painted map[sallyport.UnitID]string // number of a vehicle
	moves   map[sallyport.MoveID]int
	numbers map[int]int // number of a move in the list it is printed in
}

func newBuilder(in Input, course *sallyport.Course) *builder {
	b := &builder{
		in: in, show: in.Show, plan: in.Plan, ix: sallyport.NewIndex(in.Show), course: course,
		painted: map[sallyport.UnitID]string{},
		moves:   map[sallyport.MoveID]int{},
		numbers: map[int]int{},
	}
	for _, v := range in.Show.Vehicles {
		b.painted[v.ID] = v.Number
	}
	for i, m := range in.Plan.Moves {
		if _, twice := b.moves[m.ID]; !twice {
			b.moves[m.ID] = i
		}
	}
	return b
}

// courseOf plays the plan, one with faults as far as it makes sense.
func courseOf(in Input) *sallyport.Course {
	start, _ := sallyport.StartState(in.Show, in.Plan) // the faults are in the report
	return sallyport.NewCourse(sallyport.NewIndex(in.Show), start, in.Plan.Moves)
}

// or returns the name, or the id where there is none.
func or(name, id string) string {
	if name != "" {
		return name
	}
	return id
}

func (b *builder) unit(id sallyport.UnitID) string { return or(b.ix.UnitName(id), string(id)) }

func (b *builder) unitNames(ids []sallyport.UnitID) []string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = b.unit(id)
	}
	return out
}

// serial returns a serial's id and name.
func (b *builder) serial(id sallyport.SerialID) string {
	s := b.ix.Serial(id)
	if s == nil || s.Name == "" || s.Name == string(id) {
		return string(id)
	}
	return string(id) + " " + s.Name
}

// place returns where a position is: a lane by its id, as it is said on the
// radio, with its end where that is not the usual one.
func (b *builder) place(p sallyport.Pos) string {
	switch p.Kind {
	case sallyport.InLane:
		if p.End == sallyport.Tail {
			return p.ID + ", by its tail"
		}
		return p.ID
	case sallyport.InLine:
		if l := b.ix.Line(sallyport.LineID(p.ID)); l != nil {
			return or(l.Name, p.ID)
		}
		return p.ID
	case sallyport.InSpot:
		if s := b.ix.Spot(sallyport.SpotID(p.ID)); s != nil {
			return or(s.Name, p.ID)
		}
		return p.ID
	}
	return b.ix.PosName(p)
}

// dayName returns the name of a day, with its date where the first is given.
func (b *builder) dayName(day int) string {
	name := "Day " + strconv.Itoa(day)
	if day >= 1 && day <= len(b.show.Days) {
		name = or(b.show.Days[day-1].Name, name)
	}
	if first, err := time.Parse(time.DateOnly, b.show.FirstDate); err == nil {
		name += ", " + first.AddDate(0, 0, day-1).Format("2 January 2006")
	}
	return name
}

// shortDay returns the name of a day without its date.
func (b *builder) shortDay(t sallyport.Instant) string {
	if d := t.Day(); d >= 1 && d <= len(b.show.Days) && b.show.Days[d-1].Name != "" {
		return b.show.Days[d-1].Name
	}
	return "Day " + strconv.Itoa(t.Day())
}

// clockBeside returns a time of day, with the day's name in front unless it is
// the day of the other moment.
func (b *builder) clockBeside(t, other sallyport.Instant) string {
	if t.Day() == other.Day() {
		return t.Clock()
	}
	return b.shortDay(t) + " " + t.Clock()
}

// dates returns the days of the show in words.
func (b *builder) dates() string {
	switch n := len(b.show.Days); n {
	case 0:
		return ""
	case 1:
		return b.dayName(1)
	default:
		return b.dayName(1) + " to " + b.dayName(n)
	}
}

// clock returns a time of day, or a dash when none is given.
func clock(t sallyport.Instant) string {
	if t == 0 {
		return "–"
	}
	return t.Clock()
}

// count returns a number with its noun.
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// keyWords returns what makes the plan repeatable.
func keyWords(k sallyport.Key) string {
	if k == (sallyport.Key{}) {
		return ""
	}
	return "version " + or(k.Version, "not given") + ", seed " + strconv.FormatUint(k.Seed, 10) +
		", steps " + strconv.FormatInt(k.Steps, 10) + ", show " + or(k.Show, "not given")
}
