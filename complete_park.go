package sallyport

import (
	"fmt"
	"slices"
)

// What is assumed of lanes, lines and spots.
const (
	defaultLaneGap Centimetres = 50
	defaultLineGap Centimetres = 100
)

// zones makes zones when none are given: those that the lanes name, or one.
func (c *completer) zones() {
	p := &c.show.Park
	if len(p.Zones) > 0 {
		return
	}
	for _, l := range p.Lanes {
		if l.Zone == "" || slices.ContainsFunc(p.Zones, func(z Zone) bool { return z.ID == l.Zone }) {
			continue
		}
		p.Zones = append(p.Zones, Zone{ID: l.Zone})
		c.assume("zone", string(l.Zone), "public", "not let in", "the lanes name the zone, but nothing is said of it", "closings and engines near the public are not looked at there")
	}
	if len(p.Zones) == 0 {
		p.Zones = []Zone{{ID: "park", Name: "Park"}}
		c.assume("show", "", "zones", "the whole park is one zone without public", "none are given", "closings and engines near the public are not looked at")
	}
}

// lanes completes lanes. A lane without a zone belongs to the only one; when
// there are several it stays outside them all.
func (c *completer) lanes() {
	p := &c.show.Park
	given := slices.ContainsFunc(p.Lanes, func(l Lane) bool { return l.Zone != "" })
	for i := range p.Lanes {
		l := &p.Lanes[i]
		name := string(l.ID)
		switch {
		case l.Zone != "":
		case len(p.Zones) == 1:
			l.Zone = p.Zones[0].ID
			if given {
				c.assume("lane", name, "zone", string(l.Zone), "the only zone", "who may stand there, and when engines may run")
			}
		default:
			c.assumeOnce("lane", name, "zone", "none", "several zones are given, and this lane names none", "vehicles tied to a zone do not stand there, and the public is not thought of")
		}
		if fill(&l.Kind, DeadEnd) {
			c.assume("lane", name, "kind", string(DeadEnd), "the strictest kind", "who can leave before whom")
		}
		in := InReversed
		switch l.Kind {
		case Through:
			in = InNose
		case Open:
			in = InEither
		}
		if fill(&l.In, in) {
			c.assume("lane", name, "driven in", string(in), "usual for "+string(l.Kind)+" lanes", "who can be driven into it, and how far heavy vehicles reverse")
		}
		if fill(&l.Gap, defaultLaneGap) {
			c.assume("lane", name, "gap between vehicles", l.Gap.Metres(), fromMemory, "how many vehicles find room")
		}
	}
}

// lines completes forming-up lines and adds one when there is none.
func (c *completer) lines() {
	p := &c.show.Park
	if len(p.Lines) == 0 {
		p.Lines = []Line{{ID: "line", Name: "Forming-up line", Out: OutFree, Home: HomeAnyOrder, Gap: defaultLineGap}}
		c.assume("show", "", "forming-up line", "one; each entry drives to its own mark and home in any order", "none is given", "the order of pull-outs and returns, and how many wait there")
	}
	for i := range p.Lines {
		l := &p.Lines[i]
		name := named(l.Name, l.ID)
		var m missing
		if fill(&l.Out, OutFree) {
			m.add("each entry drives to its own mark")
		}
		if fill(&l.Home, HomeAnyOrder) {
			m.add("home in any order")
		}
		if len(m) > 0 {
			c.assume("line", name, "order", m.text(), "the easiest for the park; say strict or in order where it is not so", "the order of pull-outs and returns")
		}
		if fill(&l.Gap, defaultLineGap) {
			c.assume("line", name, "gap between vehicles", l.Gap.Metres(), fromMemory, "how many vehicles find room on it")
		}
		if l.Length == 0 {
			c.assumeOnce("line", name, "length", "no limit", "no length is given", "nobody is held up because the line is full")
		}
	}
}

// spots completes spots and adds one to wait aside, and one to couple where
// there are combinations, when there is none.
func (c *completer) spots() {
	p := &c.show.Park
	add := func(use SpotUse, name, why, effect string) {
		if slices.ContainsFunc(p.Spots, func(s Spot) bool { return s.Use == use }) {
			return
		}
		id := unusedID(string(use), func(id string) bool {
			return slices.ContainsFunc(p.Spots, func(s Spot) bool { return string(s.ID) == id })
		})
		p.Spots = append(p.Spots, Spot{ID: SpotID(id), Name: name, Use: use, Gap: defaultLaneGap})
		c.assume("show", "", fmt.Sprintf("place for %s", use), "one, near every lane", why, effect)
	}
	add(SpotAside, "Waiting aside", "none is given", "moves aside always find room")
	if len(c.show.Combinations) > 0 {
		add(SpotCoupling, "Coupling place", "none is given, but there are combinations", "where combinations are coupled and parted")
	}
	for i := range p.Spots {
		s := &p.Spots[i]
		name := named(s.Name, s.ID)
		if fill(&s.Use, SpotAside) {
			c.assume("spot", name, "use", string(SpotAside), "nothing is said of it", "where vehicles wait that are moved out of the way")
		}
		fill(&s.Gap, defaultLaneGap)
		if s.Length == 0 {
			c.assumeOnce("spot", name, "length", "no limit", "no length is given", "it is never full")
		}
	}
}
