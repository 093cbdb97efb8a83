package desk

import (
	"fmt"
	"slices"
	"strings"

	"sallyport"
)

// mostLostNamed is how many lost entries the first sentence names; more are
// counted, and named with their reasons.
const mostLostNamed = 4

// whyLines tells the planner's reasons, those of one vehicle and cause in one
// line: "Avocet cannot be in Opening and Finale: it is off the road then."
func (r *Replanned) whyLines() []string {
	type cause struct{ vehicle, why string }
	var order []cause
	serials := map[cause][]string{}
	var lines []string
	for _, text := range r.Why {
		vehicle, rest, ok := strings.Cut(text, " cannot be in ")
		serial, why, known := strings.Cut(rest, ": ")
		if !ok || !known {
			lines = append(lines, text)
			continue
		}
		if after, named := strings.CutPrefix(why, vehicle+" "); named {
			why = "it " + after
		}
		c := cause{vehicle, why}
		if serials[c] == nil {
			order = append(order, c)
		}
		serials[c] = append(serials[c], serial)
	}
	var grouped []string
	for _, c := range order {
		grouped = append(grouped, fmt.Sprintf("%s cannot be in %s: %s", c.vehicle, andList(serials[c]), c.why))
	}
	return append(append(grouped, lines...), r.lostBesides()...)
}

// lostBesides names the lost entries for which the planner gave no reason of
// their own.
func (r *Replanned) lostBesides() []string {
	ix := sallyport.NewIndex(r.Show)
	var words []string
	for _, id := range r.lost() {
		said := ix.UnitName(ix.Entry(id).Unit) + " cannot be in " + ix.SerialName(ix.SerialOf(id).ID) + ": "
		if slices.ContainsFunc(r.Why, func(text string) bool { return strings.HasPrefix(text, said) }) {
			continue
		}
		text := ix.UnitName(ix.Entry(id).Unit) + " in " + ix.SerialName(ix.SerialOf(id).ID)
		if why := sallyport.WhyLost(ix, r.Plan, id); why != "" {
			text += ", as " + why
		}
		words = append(words, text)
	}
	if len(words) == 0 || len(r.lost()) <= mostLostNamed {
		return nil
	}
	return []string{"Lost too: " + strings.Join(words, "; ") + "."}
}

// andList joins words with commas and an and.
func andList(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
	return strings.Join(words, "")
}

// notCleared says once of each lane that is closed who still stands in it then,
// what holds them there, and that this is why their entries are lost.
func (r *Replanned) notCleared(ix *sallyport.Index) []string {
	var lines []string
	for _, h := range r.Happened {
		if h.Kind != sallyport.HappenLane || r.Plan.From == nil {
			continue
		}
		stay := r.stayIn(h)
		if len(stay) == 0 {
			continue
		}
		text := fmt.Sprintf("Lane %s is not cleared by %s: ", h.Lane, r.Show.When(h.From))
		stuck, why := r.holds(ix, stay)
		switch i := slices.Index(stay, stuck); {
		case stuck == "":
			text += "no way out in time was found for " + ix.Names(stay)
		case i == len(stay)-1:
			text += why
		default:
			text += why + "; it shuts in " + ix.Names(stay[i+1:])
		}
		lines = append(lines, text+". What they were to do is lost as long as they stand there; sallyport clear looks for a way to let each out.")
	}
	return lines
}

// stayIn returns who stands in a lane that is closed from then on when it is,
// nearest to the mouth first.
func (r *Replanned) stayIn(h sallyport.Happening) []sallyport.UnitID {
	var stay []sallyport.UnitID
	for _, s := range r.Plan.From.Lanes[h.Lane] {
		leaves := slices.ContainsFunc(r.Plan.Moves, func(m sallyport.Move) bool {
			return m.Unit == s.Unit && m.From.Kind == sallyport.InLane && m.From.ID == string(h.Lane) && m.Start <= h.From && !(m.To.Kind == sallyport.InLane && m.To.ID == m.From.ID)
		})
		if !leaves {
			stay = append(stay, s.Unit)
		}
	}
	return stay
}

// holds returns the first of those in a lane that something which has happened
// keeps from being moved, and what; "" when it is none of them.
func (r *Replanned) holds(ix *sallyport.Index, stay []sallyport.UnitID) (sallyport.UnitID, string) {
	for _, id := range stay {
		for _, h := range r.Happened {
			if same := h.Unit == id || ix.CombinationOf(h.Unit) == id; same && slices.Contains([]sallyport.HappeningKind{sallyport.HappenFailed, sallyport.HappenDoNotMove, sallyport.HappenLate}, h.Kind) {
				return id, h.Says(ix)
			}
		}
	}
	return "", ""
}
