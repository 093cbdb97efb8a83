package rehearse

import (
	"fmt"
	"slices"

	sp "sallyport"
)

// What to take care of with each cure. Towing: FM 21-305 ch. 22 (bar before
// rope, a driver in every towed vehicle, walking pace), PS Magazine 2012
// (nobody between the vehicles, a guide in sight); the rest is common
// practice.
const (
	towCare = "a tow bar before any rope or chain, with a safety chain; a driver in the towed vehicle who can steer and brake; " +
		"walking pace with a guide in sight; nobody between the vehicles or within the length of a rope under load; the public kept clear; " +
		"local rules and licensed recovery people go first"
	pushCare  = "one person commands, one sits at wheel and brake, chocks at hand; nobody downhill of it or between vehicles; not on a slope; the public kept clear; local rules go first"
	slaveCare = "engines off while the leads are put on, leads off in the opposite order, no flame or spark near the batteries; same voltage; a banksman for the vehicle that comes; local rules go first"
)

// cures puts what is done into words, in the order in which cures are tried.
func (s *scene) cures(a answered) []sp.Cure {
	var list []sp.Cure
	u := s.trip.unit
	spot := "clear of the way"
	if a.to.Kind != "" {
		spot = "to " + s.ix.PosName(a.to)
	}
	switch a.cure {
	case sp.CurePush:
		list = append(list, sp.Cure{
			Kind: sp.CurePush, People: u.HandPeople, To: a.to, Takes: a.takes, Care: pushCare,
			Says: fmt.Sprintf("%s push %s %s; about %s", people(u.HandPeople), u.Name, spot, a.takes.Words()),
		})
	case sp.CureTow:
		pull, strength := kilonewtons(u.Mass)
		list = append(list, sp.Cure{
			Kind: sp.CureTow, By: a.outcome.tower, To: a.to, Takes: a.takes, Force: int64(pull * 1000), Care: towCare,
			Says: fmt.Sprintf("%s tows %s %s; about %s. A steady pull on level firm grass is about %.1f kN; bar or rope: %.0f kN or more", s.ix.UnitName(a.outcome.tower), u.Name, spot, a.takes.Words(), pull, strength),
		})
	}
	for _, x := range a.byEnd {
		list = append(list, sp.Cure{
			Kind: sp.CureOrder, By: x.unit, Entry: x.entry,
			Says: fmt.Sprintf("%s leaves %s by the other end", s.ix.UnitName(x.unit), s.ix.PosName(sp.AtLane(s.lane, ""))),
			Care: "a banksman for whoever reverses, and nobody on foot behind",
		})
	}
	if late := a.outcome.late; len(late) > 0 {
		list = append(list, s.lateCure(late))
	}
	for _, x := range a.outcome.reserves {
		list = append(list, sp.Cure{
			Kind: sp.CureReserve, By: x.unit, Entry: x.entry,
			Says: fmt.Sprintf("%s takes the place of %s in %s", s.ix.UnitName(x.unit), s.ix.UnitName(s.ix.Entry(x.entry).Unit), s.ix.SerialName(s.ix.SerialOf(x.entry).ID)),
		})
	}
	slices.SortStableFunc(list, func(a, b sp.Cure) int {
		return slices.Index(sp.CureKinds, a.Kind) - slices.Index(sp.CureKinds, b.Kind)
	})
	return list
}

// lateCure says who goes late.
func (s *scene) lateCure(late []sp.EntryID) sp.Cure {
	var units []sp.UnitID
	for _, e := range late {
		units = append(units, s.by[e])
	}
	if s.kind == sp.FailOnRoad {
		return sp.Cure{Kind: sp.CureWait, Says: s.ix.Names(units) + " wait on the road and come late"}
	}
	return sp.Cure{Kind: sp.CureTail, Says: s.ix.Names(units) + " join late, at the tail"}
}

// noTow says why nobody can tow the failed unit; empty when somebody can.
func (s *scene) noTow() string {
	u := s.trip.unit
	if slices.ContainsFunc(s.ix.UnitIDs, func(id sp.UnitID) bool { return id != u.ID && s.mayTow(s.ix.Unit(id)) }) {
		return ""
	}
	if u.Mass == 0 {
		return fmt.Sprintf("whether anybody can tow %s is not checked: no mass is given", u.Name)
	}
	kilos := func(n sp.Kilograms) string { return sp.Amount(n).String() + " kg" }
	percent := sp.Kilograms(s.opt.TowPercent)
	text := fmt.Sprintf("nobody is heavy enough to tow %s, %s, under a rule of %d %%: that takes %s", u.Name, kilos(u.Mass), percent, kilos((u.Mass*100+percent-1)/percent))
	if h := s.heaviest(); h != nil {
		text += fmt.Sprintf("; the heaviest other, %s, has %s, %d %%", h.Name, kilos(h.Mass), (u.Mass*100+h.Mass-1)/h.Mass)
	}
	return text
}

// heaviest returns the heaviest other vehicle with an engine; nil when no mass
// is known.
func (s *scene) heaviest() *sp.Unit {
	var best *sp.Unit
	for _, id := range s.ix.UnitIDs {
		h := s.ix.Unit(id)
		if id != s.trip.unit.ID && h.Mass > 0 && h.HasEngine() && !h.Combination && (best == nil || h.Mass > best.Mass) {
			best = h
		}
	}
	return best
}

func people(n int) string {
	if n == 1 {
		return "1 person"
	}
	return fmt.Sprintf("%d people", n)
}

// slaveLead returns the slave lead that may bring the engine to life, if a
// vehicle can come beside it or before its nose.
func (s *scene) slaveLead() []sp.Cure {
	u := s.trip.unit
	if u.Start != sp.StartSelf && u.Start != sp.StartSlave || u.Gear == sp.SteamGear || u.Gear == sp.TowedItem {
		return nil
	}
	end, reverse := s.before.Exit(u.ID, s.moves[s.trip.out].From.End)
	if nose := end; !s.ix.Lane(s.lane).Beside {
		if reverse && nose == sp.Mouth {
			nose = sp.Tail
		} else if reverse {
			nose = sp.Mouth
		}
		closed := nose == sp.Tail && s.ix.Lane(s.lane).Kind == sp.DeadEnd
		if closed || len(s.before.InTheWay(u.ID, nose)) > 0 {
			return nil
		}
	}
	takes := s.opt.Fetch + s.opt.Slave
	ends := s.at + sp.Instant(takes)
	by := s.helper(s.before, s.at, ends, func(h *sp.Unit) bool { return h.Gear != sp.SteamGear })
	if by == "" || s.publicInside(s.at, ends) {
		return nil
	}
	return []sp.Cure{{
		Kind: sp.CureSlave, By: by, Takes: takes, MayNot: true, Care: slaveCare,
		Says: fmt.Sprintf("a slave lead from %s, if the battery is to blame; about %s", s.ix.UnitName(by), takes.Words()),
	}}
}

// foot says what the matrix does not look at and what it rests on.
func (r *rehearsal) foot(m *sp.FailureMatrix) {
	m.NotChecked = []string{
		"two failures at a time; what a failure does to the next day",
		"marshal teams, drivers and frontage while vehicles are late or moved in another order",
		"whether others can pass a vehicle that stands in the mouth of its lane or in the arena",
		"ground, slopes, brakes and couplings for towing and pushing; whether there is anything to tow with",
		"whether coming home late, or a vehicle that waits aside, hinders the evening",
	}
	var noMass []sp.UnitID
	for _, id := range r.ix.UnitIDs {
		if u := r.ix.Unit(id); u.Mass == 0 && slices.ContainsFunc(r.trips, func(t trip) bool { return t.unit == u }) {
			noMass = append(noMass, id)
		}
	}
	if len(noMass) > 0 {
		m.NotChecked = append(m.NotChecked, fmt.Sprintf("towing %s: no mass is given", r.ix.Names(noMass)))
	}
	add := func(field, value, why, effect string) {
		m.Assumed = append(m.Assumed, sp.Assumption{Subject: "failures", Field: field, Value: value, Why: why, Effect: effect})
	}
	assumed := slices.IndexFunc(r.ix.Show.Assumed, func(a sp.Assumption) bool { return a.Field == sp.AssumedTow })
	switch p := r.opt.TowPercent; {
	case p != r.ix.Show.Park.TowPercent:
		add(sp.AssumedTow, fmt.Sprintf("%d %% of the towing vehicle's", p), "as asked for here", "who may tow whom")
	case assumed >= 0:
		m.Assumed = append(m.Assumed, r.ix.Show.Assumed[assumed])
	}
	add("until a helping vehicle is there", r.opt.Fetch.Words(), "from memory", "how long a tow or slave lead takes")
	add("until people are there to push", r.opt.Gather.Words(), "from memory", "how long a push takes")
	add("a slave lead", r.opt.Slave.Words(), "from memory", "how long a slave lead takes")
	add("a pull on firm grass", fmt.Sprintf("%.2f of the weight, tackle %.1f times as strong", grassResistance, towReserve), "from memory, of the order only", "the figures beside a tow")
	add("roads", "one from each line to the arena, on which nobody can pass", "nothing is given of roads", "who is behind a vehicle that stops on the road or at a gate")
	add("the arena", "others go round a vehicle that stands in it", "nothing is given of it", "what a failure in the arena does")
	add("vehicles that stand by", "they can be called from a duty", "that is what they stand by for", "who can tow or give a slave lead")
	add("in lane", "the engine does not start all day, whatever is tried", "so that the worst is known", "a slave lead counts as worth trying, not as a cure")
}
