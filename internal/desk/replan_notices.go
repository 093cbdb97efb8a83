package desk

import (
	"fmt"
	"slices"
	"strings"

	"sallyport"
)

// Notice is one thing that people have to be told.
type Notice struct {
	At      sallyport.Instant  `json:"at"`
	Unit    sallyport.UnitID   `json:"unit,omitempty"`
	Vehicle string             `json:"vehicle"` // its name; the serial's for a column
	Serial  sallyport.SerialID `json:"serial,omitempty"`
	People  []string           `json:"people,omitempty"` // drivers and crew named for it
	Was     string             `json:"was,omitempty"`    // what they were told; empty: nothing
	Now     string             `json:"now"`
	Why     string             `json:"why,omitempty"`
}

// Line returns the change as one line.
func (c Notice) Line(show *sallyport.Show) string {
	text := fmt.Sprintf("%s  %s", show.When(c.At), c.Vehicle)
	if len(c.People) > 0 {
		text += " (" + strings.Join(c.People, ", ") + ")"
	}
	text += ": " + c.Now
	if c.Was != "" {
		text += "; told: " + c.Was
	}
	if c.Why != "" {
		text += " [" + c.Why + "]"
	}
	return text
}

// notices lists what a continuation has other than the last issue, in order of
// time. A vehicle that drops out of a serial is said once.
// reasons are the planner's sentences about who cannot be in what.
func notices(show *sallyport.Show, issued, plan *sallyport.Plan, happened []sallyport.Happening, reasons []string) []Notice {
	ix := sallyport.NewIndex(show)
	var list []Notice
	said := map[string]bool{}
	for _, t := range sallyport.ChangesSince(issued, plan) {
		m := t.Now
		if m == nil {
			m = t.Was
		}
		if m.Unit == "" {
			if c, ok := columnChange(ix, t); ok {
				list = append(list, c)
			}
			continue
		}
		c := Notice{At: t.At(), Unit: m.Unit, Vehicle: ix.UnitName(m.Unit), Serial: m.Serial, People: aboard(ix, m)}
		switch {
		case t.Now == nil:
			key := string(m.Unit) + "/" + string(m.Serial) + "/" + string(m.Duty) + "/" + string(m.Window)
			if said[key] {
				continue
			}
			said[key] = true
			c.Now, c.Was = without(ix, m), words(ix, m, c.At)
			if m.Kind == sallyport.MovePullOut {
				c.Now = "stays out of " + ix.SerialName(m.Serial)
			}
		case t.Was == nil:
			c.Now = words(ix, m, c.At)
		default:
			c.Now, c.Was = words(ix, t.Now, c.At), words(ix, t.Was, c.At)
			if t.Driver {
				c.Now, c.Was = c.Now+drivenBy(ix, t.Now), c.Was+drivenBy(ix, t.Was)
			}
		}
		c.Why = why(ix, t, happened)
		if reason := reasonFor(ix, m, reasons); t.Now == nil && reason != "" {
			c.Why = reason
		}
		list = append(list, c)
	}
	return list
}

// columnChange says that a serial's column goes at another time. Who is in it
// is said with the vehicles.
func columnChange(ix *sallyport.Index, t sallyport.ToldAnew) (Notice, bool) {
	switch {
	case t.Now == nil:
		return Notice{At: t.Was.Start, Vehicle: ix.SerialName(t.Was.Serial), Serial: t.Was.Serial, Now: "no " + string(t.Was.Kind), Was: string(t.Was.Kind) + " at " + t.Was.Start.Clock()}, true
	case t.Was != nil && t.Time:
		return Notice{At: t.At(), Vehicle: ix.SerialName(t.Now.Serial), Serial: t.Now.Serial, Now: string(t.Now.Kind) + " at " + clockOn(ix, t.Now.Start, t.At()), Was: string(t.Was.Kind) + " at " + clockOn(ix, t.Was.Start, t.At())}, true
	}
	return Notice{}, false
}

// what names a move: "pull-out for Regiment on parade".
func what(ix *sallyport.Index, m *sallyport.Move) string {
	text := string(m.Kind)
	switch {
	case m.Serial != "" && m.Kind == sallyport.MoveReturn:
		text += " from " + ix.SerialName(m.Serial)
	case m.Serial != "":
		text += " for " + ix.SerialName(m.Serial)
	case m.Duty != "":
		if d := ix.Duty(m.Duty); d != nil {
			text += " (" + d.What + ")"
		}
	case m.Window != "":
		text += " in window " + string(m.Window)
	}
	return text
}

// notMade says of kinds of move that one is not made any more.
var notMade = map[sallyport.MoveKind]string{
	sallyport.MoveReturn:  "does not come home by itself",
	sallyport.MoveDuty:    "does not go to its duty",
	sallyport.MoveRelieve: "does not come home from its duty",
	sallyport.MoveAside:   "is not moved aside",
	sallyport.MoveBack:    "is not put back",
	sallyport.MoveCloseUp: "does not close up",
	sallyport.MoveArrive:  "does not arrive",
	sallyport.MoveDepart:  "does not leave by itself",
	sallyport.MoveTow:     "is not towed",
}

// without says that a move is not made any more.
func without(ix *sallyport.Index, m *sallyport.Move) string {
	of := strings.TrimPrefix(what(ix, m), string(m.Kind))
	if text := notMade[m.Kind]; text != "" {
		return text + of
	}
	return "no " + string(m.Kind) + of
}

// drivenBy names the driver of a move.
func drivenBy(ix *sallyport.Index, m *sallyport.Move) string {
	if m.Driver == "" {
		return ", no driver is named"
	}
	return ", driver " + ix.PersonName(m.Driver)
}

// clockOn returns a time, with its day when that is not the day of at.
func clockOn(ix *sallyport.Index, t, at sallyport.Instant) string {
	if t.Day() == at.Day() {
		return t.Clock()
	}
	return ix.Show.When(t)
}

// words says a move in a line that begins with the moment at: "return from
// Farewell at 16:10, line North to lane C4".
func words(ix *sallyport.Index, m *sallyport.Move, at sallyport.Instant) string {
	text := fmt.Sprintf("%s at %s, %s to %s", what(ix, m), clockOn(ix, m.Start, at), ix.PosName(m.From), ix.PosName(m.To))
	if m.ByHand {
		text += ", by hand"
	}
	switch {
	case m.Kind == sallyport.MoveTow && m.Helper == "":
		text += ", a towing vehicle is to be found"
	case m.Kind == sallyport.MoveTow:
		text += ", by " + ix.UnitName(m.Helper)
	}
	return text
}

// aboard returns the names of the people that a move concerns.
func aboard(ix *sallyport.Index, m *sallyport.Move) []string {
	var ids []sallyport.PersonID
	if m.Driver != "" {
		ids = append(ids, m.Driver)
	} else if u := ix.Unit(m.Unit); u != nil && u.UsualDriver != "" {
		ids = append(ids, u.UsualDriver)
	}
	if e := ix.Entry(m.Entry); e != nil && e.Unit == m.Unit {
		for _, id := range e.Crew {
			if !slices.Contains(ids, id) {
				ids = append(ids, id)
			}
		}
	}
	var names []string
	for _, id := range ids {
		names = append(names, ix.PersonName(id))
	}
	return names
}

// reasonFor returns the planner's reason why the unit of m is not in its serial,
// "" when it gave none.
func reasonFor(ix *sallyport.Index, m *sallyport.Move, reasons []string) string {
	for _, id := range []sallyport.UnitID{m.Unit, ix.CombinationOf(m.Unit)} {
		for _, text := range reasons {
			if reason, ok := strings.CutPrefix(text, ix.UnitName(id)+" cannot be in "+ix.SerialName(m.Serial)+": "); ok && id != "" {
				return strings.TrimSuffix(reason, ".")
			}
		}
	}
	return ""
}

// why says what makes people be told: what has happened to the vehicle, to its
// serial, or in one of its lanes.
func why(ix *sallyport.Index, t sallyport.ToldAnew, happened []sallyport.Happening) string {
	m := t.Now
	if m == nil {
		m = t.Was
	}
	lanes := []string{m.From.ID, m.To.ID}
	if t.Was != nil {
		lanes = append(lanes, t.Was.From.ID, t.Was.To.ID)
	}
	for _, concerns := range []func(h *sallyport.Happening) bool{
		func(h *sallyport.Happening) bool {
			return h.Reserve != "" && h.Serial == m.Serial && (h.Unit == m.Unit || h.Reserve == m.Unit)
		},
		func(h *sallyport.Happening) bool {
			return h.Reserve == "" && (h.Unit == m.Unit || h.Unit == ix.CombinationOf(m.Unit)) && h.Unit != ""
		},
		func(h *sallyport.Happening) bool {
			return h.Reserve == "" && m.Serial != "" && (h.Serial == m.Serial || h.Other == m.Serial)
		},
		func(h *sallyport.Happening) bool { return h.Lane != "" && slices.Contains(lanes, string(h.Lane)) },
	} {
		for i := range happened {
			if happened[i].Kind != sallyport.HappenHere && concerns(&happened[i]) {
				return happened[i].Says(ix)
			}
		}
	}
	return "follows from the rest"
}
