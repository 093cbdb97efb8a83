package desk

import (
	"fmt"
	"slices"
	"strings"

	"sallyport"
)

// clearFaultsSaid is how many faults of each sort a summary names.
const clearFaultsSaid = 6

// Summary says in sentences how vehicles are let out, what comes of it, what
// to take care of, and what was not checked and assumed.
func (c *Clearing) Summary() []string {
	lines := c.headlines()
	if c.Chosen >= 0 {
		lines = append(lines, c.moveLines(c.Moves)...)
		lines = append(lines, c.warmLines()...)
		lines = append(lines, c.faultsOfMoves()...)
		lines = append(lines, c.endLines()...)
		lines = append(lines, c.laterLines()...)
		lines = append(lines, c.careLines()...)
	}
	return append(lines, Footing(sallyport.Report{NotChecked: c.NotChecked, Assumed: c.Assumed})...)
}

// headlines say whether there is a way, how many moves it takes, and what
// looking further than those in the way gives.
func (c *Clearing) headlines() []string {
	who, when := c.ix.Names(c.Due), c.show.When(c.At)
	var lines []string
	if len(c.Happened) > 0 {
		words := make([]string, len(c.Happened))
		for i, h := range c.Happened {
			if h.At == 0 {
				h.At = c.At
			}
			words[i] = h.Says(c.ix)
		}
		lines = append(lines, "After what has happened: "+strings.Join(words, "; ")+".")
	}
	if c.interrupted {
		lines = append(lines, "The work was stopped early: this is what was found until then.")
	}
	if c.Chosen < 0 {
		text := "No way was found to let " + who + " out on " + when + "."
		if slices.ContainsFunc(c.Ways, func(w ClearWay) bool { return !w.Restricted && w.Fewest }) {
			text = who + " cannot be let out on " + when + ": there is no way."
		}
		lines = append(lines, text)
		for _, why := range c.Why {
			lines = append(lines, "  because "+why)
		}
	} else {
		w := c.Ways[c.Chosen]
		text := "the way is free, nobody else has to be moved"
		if w.Moves > 0 {
			text = count(w.Moves, "other move is", "other moves are") + " needed, " + w.proof()
		}
		lines = append(lines, fmt.Sprintf("To let %s out on %s: %s.", who, when, text))
	}
	if c.Chosen >= 0 && c.Ways[c.Chosen].Moves == 0 {
		return lines
	}
	for _, w := range c.Ways {
		lines = append(lines, "  "+w.words())
	}
	return lines
}

// proof says how sure a number of moves is.
func (w ClearWay) proof() string {
	switch {
	case w.Fewest:
		return "the fewest possible"
	case w.AtLeast > 0:
		return fmt.Sprintf("the fewest found; no way needs fewer than %d", w.AtLeast)
	}
	return "the fewest found"
}

// words says what one way of looking gave.
func (w ClearWay) words() string {
	text := "Moving anybody who helps: "
	if w.Restricted {
		text = "Moving only those who stand in the way: "
	}
	switch {
	case w.Found:
		return text + count(w.Moves, "move", "moves") + ", " + w.proof() + "."
	case w.Fewest:
		return text + "there is no way."
	}
	return text + fmt.Sprintf("no way was found; there may be one of %s or more.", count(w.AtLeast, "move", "moves"))
}

// moveLines gives moves one by one.
func (c *Clearing) moveLines(moves []sallyport.Move) []string {
	var rows [][]string
	for i, m := range moves {
		rows = append(rows, []string{
			fmt.Sprintf("%d", i+1), m.Start.Clock(), c.ix.UnitName(m.Unit),
			c.path(&m), c.manner(&m), m.Takes.Words(), c.hands(&m),
		})
	}
	return aligned(rows)
}

// letsOut reports whether a move lets out one who is due: it is his last.
func (c *Clearing) letsOut(m *sallyport.Move) bool {
	if !slices.Contains(c.Due, m.Unit) {
		return false
	}
	for _, x := range slices.Backward(c.Moves) {
		if x.Unit == m.Unit {
			return x.ID == m.ID
		}
	}
	return false
}

// path says from where to where; who is let out and has no line to go to is
// taken wherever it is wanted.
func (c *Clearing) path(m *sallyport.Move) string {
	from := c.ix.PosName(m.From)
	if c.letsOut(m) {
		from = "out of " + from
	}
	switch {
	case m.To.Kind == sallyport.InAway:
		return from
	case m.To.Kind == sallyport.InLane && m.To.End != "":
		return from + " to " + c.ix.PosName(m.To) + " by the " + string(m.To.End)
	}
	return from + " to " + c.ix.PosName(m.To)
}

// manner says how the unit is moved.
func (c *Clearing) manner(m *sallyport.Move) string {
	u := c.ix.Unit(m.Unit)
	switch {
	case m.Kind == sallyport.MoveTow:
		return "towed by " + c.ix.UnitName(m.Helper)
	case m.ByHand:
		return fmt.Sprintf("pushed by %d", u.HandPeople)
	case m.Reverse && m.To.Kind == sallyport.InLane:
		return "reverses in"
	case m.Reverse:
		return "reverses out"
	}
	return "forwards"
}

// hands says who drives, as far as that is known.
func (c *Clearing) hands(m *sallyport.Move) string {
	switch u := c.ix.Unit(m.Unit); {
	case m.Driver != "":
		return c.ix.PersonName(m.Driver)
	case len(u.AllDrivers) > 0 && !m.ByHand && m.Kind != sallyport.MoveTow:
		return "its drivers are out"
	}
	return ""
}

// aligned lays rows out under each other; the last cell is as wide as it is.
func aligned(rows [][]string) []string {
	width := map[int]int{}
	for _, r := range rows {
		for i, cell := range r {
			width[i] = max(width[i], len([]rune(cell)))
		}
	}
	var lines []string
	for _, r := range rows {
		var b strings.Builder
		for i, cell := range r {
			b.WriteString("  " + cell + strings.Repeat(" ", width[i]-len([]rune(cell))))
		}
		lines = append(lines, strings.TrimRight(b.String(), " "))
	}
	return lines
}

// faultsOfMoves says which rules the moves themselves break.
func (c *Clearing) faultsOfMoves() []string {
	if len(c.Faults) == 0 {
		return nil
	}
	lines := []string{"Not workable as it stands; what has to be put right first, or waited for:"}
	return append(lines, faultLines(c.show, c.Faults, clearFaultsSaid)...)
}

// warmLines say from when on who is let out warms up in its lane.
func (c *Clearing) warmLines() []string {
	var words []string
	for _, m := range c.Moves {
		u := c.ix.Unit(m.Unit)
		engine := !m.ByHand && m.Kind != sallyport.MoveTow
		if engine && c.letsOut(&m) && m.From.Kind == sallyport.InLane && u.WarmWhere == sallyport.WarmInLane && u.WarmUp > 0 {
			words = append(words, u.Name+" from "+(m.Start-sallyport.Instant(u.WarmUp)).Clock())
		}
	}
	if len(words) == 0 {
		return nil
	}
	return []string{"To warm up in the lane: " + listed(words) + "."}
}

// listed joins words, the first clearFaultsSaid of them.
func listed(words []string) string {
	if n := len(words) - clearFaultsSaid; n > 1 {
		words = append(slices.Clone(words[:clearFaultsSaid]), fmt.Sprintf("and %d more", n))
	}
	return strings.Join(words, "; ")
}

// endLines say who stands where afterwards, and who misses what.
func (c *Clearing) endLines() []string {
	var lines, ends []string
	said := map[sallyport.UnitID]bool{}
	for _, m := range c.Moves {
		if said[m.Unit] || slices.Contains(c.Due, m.Unit) {
			continue
		}
		said[m.Unit] = true
		ends = append(ends, c.ix.UnitName(m.Unit)+" in "+c.ix.PosName(where(&c.State, m.Unit)))
	}
	if len(ends) > 0 {
		lines = append(lines, "Afterwards there stand: "+listed(ends)+".")
	}
	if len(c.Misses) > 0 {
		lines = append(lines, "Later today, unless it is back by then, this is missed: "+listed(c.Misses)+".")
	}
	return lines
}

// laterLines say what the rest of the day is like, without and with putting
// back.
func (c *Clearing) laterLines() []string {
	lines := c.later("If nothing else is done, ", c.Then, c.Held)
	if len(c.Stay) > 0 {
		lines = append(lines, "Not put back, as long as the lane is not put in order by other moves: "+c.ix.Names(c.Stay)+".")
	}
	if len(c.Back) == 0 {
		return lines
	}
	lines = append(lines, "To put them back:")
	lines = append(lines, c.moveLines(c.Back)...)
	return append(lines, c.later("When they are put back from "+c.Back[0].Start.Clock()+" on, ", c.ThenBack, c.HeldBack)...)
}

func (c *Clearing) later(when string, faults []sallyport.Fault, held []Held) []string {
	var lines []string
	if len(held) > 0 {
		var words []string
		for _, h := range held {
			words = append(words, fmt.Sprintf("%s (%s) from %s to %s", c.ix.UnitName(h.Unit), h.Kind, h.From.Clock(), h.Until.Clock()))
		}
		lines = append(lines, when+"these planned moves have to wait: "+listed(words)+".")
		when = "Then "
	}
	if len(faults) == 0 {
		return append(lines, when+"the rest of the day goes as planned.")
	}
	lines = append(lines, when+"this goes wrong:")
	return append(lines, faultLines(c.show, faults, clearFaultsSaid)...)
}

// careLines are the usual cautions.
func (c *Clearing) careLines() []string {
	lines := []string{"Take care:", "  One move at a time, a banksman in sight of the driver for every one of them; nobody between vehicles."}
	public := map[sallyport.ZoneID]bool{}
	var towed, pushed bool
	end := c.At
	for _, m := range append(slices.Clone(c.Moves), c.Back...) {
		towed, pushed = towed || m.Kind == sallyport.MoveTow, pushed || m.ByHand
		end = max(end, m.Ends())
		for _, pos := range []sallyport.Pos{m.From, m.To} {
			if z := c.ix.Zone(c.ix.ZoneOf(pos)); z != nil && z.Public {
				public[z.ID] = true
			}
		}
	}
	if pushed {
		lines = append(lines, "  Pushing by hand: somebody at the brake, chocks ready, nobody downhill; stop when it does not roll easily.")
	}
	if towed {
		lines = append(lines, "  Towing: the strength of bar, ropes and fixing points is not checked; everybody well clear of a loaded rope; somebody who knows how.")
	}
	for _, z := range c.show.Park.Zones {
		if !public[z.ID] {
			continue
		}
		text := fmt.Sprintf("  People walk in zone %s: wait until it has been declared clear", c.ix.ZoneName(z.ID))
		for _, w := range c.ix.PublicInside(z.ID) {
			if w.From >= end && w.From.Day() == end.Day() {
				text += fmt.Sprintf("; all must be parked and cooled by %s, when the public is let in", w.From.Clock())
				break
			}
		}
		lines = append(lines, text+".")
	}
	return append(lines, "  Local rules and licensed practice go first.")
}
