package workbook

import (
	"fmt"
	"strings"

	"pgregory.net/rapid"

	sp "sallyport"
)

// maker draws shows in which every field of every type may be given.
type maker struct {
	t     *rapid.T
	show  *sp.Show
	used  map[string]bool // names and ids, folded
	units []sp.UnitID
	zones []sp.ZoneID
	lanes []sp.LaneID
	lines []sp.LineID
	spots []sp.SpotID
	front []sp.StretchID
	folk  []sp.PersonID
}

var awkward = []rune("abcdeXYZ019 ,;/&\"'()+-:.#_é\n")

// text draws a text that may hold anything a cell can, trimmed.
func (m *maker) text() string {
	if !m.flip() {
		return ""
	}
	return strings.TrimSpace(rapid.StringOfN(rapid.SampledFrom(awkward), 0, 12, -1).Draw(m.t, "text"))
}

// name draws a text that is not empty and not used before, however it is
// folded, and that no sheet would take for a remark.
func (m *maker) name() string {
	base := rapid.StringOfN(rapid.SampledFrom(awkward), 0, 8, -1).Draw(m.t, "name")
	name := strings.TrimSpace(base)
	for i := 0; name == "" || m.used[squash(name)] || squash(name) == "" || strings.HasPrefix(name, "# "); i++ {
		name = strings.TrimSpace(strings.TrimLeft(base, "# ") + fmt.Sprintf("n%d", len(m.used)+i))
	}
	m.used[squash(name)] = true
	return name
}

func (m *maker) flip() bool            { return rapid.Bool().Draw(m.t, "given") }
func (m *maker) n(low, high int) int   { return rapid.IntRange(low, high).Draw(m.t, "n") }
func (m *maker) cm() sp.Centimetres    { return sp.Centimetres(m.n(0, 3000)) }
func (m *maker) kg() sp.Kilograms      { return sp.Kilograms(m.n(0, 60_000)) }
func (m *maker) seconds() sp.Seconds   { return sp.Seconds(m.n(0, 20_000)) }
func (m *maker) chance() sp.Chance     { return sp.Chance(m.n(0, 10_000)) }
func (m *maker) at() sp.Instant        { return sp.Instant(m.n(1, len(m.show.Days)*daySeconds+nightEnds)) }
func (m *maker) maybeAt() sp.Instant   { return sp.Instant(m.n(0, 1)) * m.at() }
func (m *maker) spanPtr() *sp.Seconds  { return maybePtr(m, m.seconds()) }
func (m *maker) chancePtr() *sp.Chance { return maybePtr(m, m.chance()) }

func maybePtr[T any](m *maker, v T) *T {
	if m.flip() {
		return &v
	}
	return nil
}

func (m *maker) window() sp.Window {
	w := sp.Window{From: m.maybeAt(), To: m.maybeAt()}
	if w.From > 0 && w.To > 0 && w.To <= w.From {
		w.From, w.To = 0, w.From
	}
	return w
}

// pick draws one of a list, or nothing.
func pick[T any](m *maker, list []T) (one T) {
	if len(list) > 0 && m.flip() {
		one = rapid.SampledFrom(list).Draw(m.t, "pick")
	}
	return one
}

// some draws different ones of a list in any order.
func some[T comparable](m *maker, list []T) []T {
	if len(list) == 0 || !m.flip() {
		return nil
	}
	return rapid.SliceOfNDistinct(rapid.SampledFrom(list), 1, min(3, len(list)), rapid.ID[T]).Draw(m.t, "some")
}

func word1[S ~string](m *maker, words []word) S {
	return S(pick(m, wordValues(words)))
}

// sure draws one of a list.
func sure[T any](m *maker, list []T) T { return rapid.SampledFrom(list).Draw(m.t, "sure") }

func drawShow(t *rapid.T) (*sp.Show, []sp.Placement) {
	m := &maker{t: t, show: &sp.Show{Format: sp.FormatShow}, used: map[string]bool{}}
	s := m.show
	s.Name, s.Zone = m.text(), m.text()
	if m.flip() {
		s.FirstDate = "2027-06-2" + fmt.Sprint(m.n(0, 9))
	}
	for range m.n(1, 4) {
		s.Days = append(s.Days, sp.Day{})
	}
	for i := range s.Days {
		name := sure(m, []string{"Monday", "Sat", "Day 2", "build", m.name()})
		s.Days[i] = sp.Day{
			Name: name, Kind: word1[sp.DayKind](m, dayKindWords), PublicFrom: m.maybeAt(), PublicTo: m.maybeAt(),
			EngineFrom: m.maybeAt(), EngineTo: m.maybeAt(), Teams: m.n(0, 5),
		}
	}
	m.park()
	m.people()
	m.vehicles()
	m.combinations()
	m.programme()
	m.figures()
	return s, m.sketch()
}

func (m *maker) park() {
	p := &m.show.Park
	p.Teams, p.TowPercent = m.n(0, 6), m.n(0, 200)
	for range m.n(0, 3) {
		p.Zones = append(p.Zones, sp.Zone{ID: sp.ZoneID(m.name()), Name: m.text(), Public: m.flip(), Engines: m.flip()})
		m.zones = append(m.zones, p.Zones[len(p.Zones)-1].ID)
	}
	for i := range p.Zones {
		p.Zones[i].Name = m.optionalName()
	}
	for range m.n(0, 3) {
		p.Stretches = append(p.Stretches, sp.Stretch{ID: sp.StretchID(m.name()), Name: m.optionalName(), Depth: m.cm()})
		m.front = append(m.front, p.Stretches[len(p.Stretches)-1].ID)
	}
	for range m.n(1, 5) {
		l := sp.Lane{
			ID: sp.LaneID(m.name()), Name: m.optionalName(), Zone: pick(m, m.zones), Kind: word1[sp.LaneKind](m, laneWords), Length: m.cm() + 1,
			Width: m.cm(), MaxMass: m.kg(), MaxDeep: m.n(0, 4), In: word1[sp.DriveIn](m, driveInWords), Gap: m.cm(), Beside: m.flip(),
			Mouth: pick(m, m.front), Tail: pick(m, m.front), X: m.cm() - 1500, Y: m.cm() - 1500, Heading: m.n(-180, 360),
		}
		for range m.n(0, 2) {
			if w := m.window(); w != (sp.Window{}) {
				l.Closed = append(l.Closed, w)
			}
		}
		p.Lanes = append(p.Lanes, l)
		m.lanes = append(m.lanes, l.ID)
	}
	for range m.n(0, 3) {
		l := sp.Line{
			ID: sp.LineID(m.name()), Name: m.optionalName(), Zone: pick(m, m.zones), Length: m.cm(), Gap: m.cm(), Out: word1[sp.OutRule](m, outWords),
			Home: word1[sp.HomeRule](m, homeWords), TailLeads: m.flip(), Route: m.flip(), X: m.cm(), Y: m.cm(), Heading: m.n(0, 359),
		}
		for range m.n(0, 2) {
			l.Fouls = append(l.Fouls, sp.Foul{From: m.cm(), To: m.cm(), Lanes: some(m, m.lanes)})
		}
		p.Lines = append(p.Lines, l)
		m.lines = append(m.lines, l.ID)
	}
	for range m.n(0, 3) {
		p.Spots = append(p.Spots, sp.Spot{
			ID: sp.SpotID(m.name()), Name: m.optionalName(), Use: word1[sp.SpotUse](m, spotUseWords), Length: m.cm(), Gap: m.cm(), Zones: some(m, m.zones),
			Route: m.flip(), X: m.cm(), Y: m.cm(),
		})
		m.spots = append(m.spots, p.Spots[len(p.Spots)-1].ID)
	}
	for range m.n(0, 3) {
		p.Paces = append(p.Paces, sp.Pace{Kind: word1[sp.MoveKind](m, moveKindWords), Gear: word1[sp.Gear](m, gearWords), Takes: m.seconds() + 1})
	}
}

// optionalName draws a name or nothing.
func (m *maker) optionalName() string {
	if m.flip() {
		return m.name()
	}
	return ""
}

func (m *maker) extra() map[string]string {
	if !m.flip() {
		return nil
	}
	return map[string]string{"quite another " + fmt.Sprint(m.n(1, 3)): "v" + m.text(), "x; y": "7"}
}

func (m *maker) people() {
	for range m.n(0, 4) {
		m.show.People = append(m.show.People, sp.Person{ID: sp.PersonID(m.name()), Name: m.name(), Roles: m.texts(), Extra: m.extra()})
		m.folk = append(m.folk, m.show.People[len(m.show.People)-1].ID)
	}
}

func (m *maker) texts() (list []string) {
	for range m.n(0, 3) {
		if t := m.text(); t != "" {
			list = append(list, t)
		}
	}
	return list
}

func (m *maker) home() sp.Home {
	return sp.Home{Lane: pick(m, m.lanes), Binding: word1[sp.Binding](m, bindingWords), Reason: m.text()}
}

func (m *maker) vehicles() {
	for range m.n(1, 6) {
		m.show.Vehicles = append(m.show.Vehicles, sp.Vehicle{ID: sp.UnitID(m.name()), Name: m.name()})
		m.units = append(m.units, m.show.Vehicles[len(m.show.Vehicles)-1].ID)
	}
	for i := range m.show.Vehicles {
		v := &m.show.Vehicles[i]
		*v = sp.Vehicle{
			ID: v.ID, Name: v.Name, Number: m.text(), Nicknames: m.texts(), Owner: m.text(), Contingent: m.text(), Class: m.text(),
			Length: m.cm(), Width: m.cm(), Height: m.cm(), Mass: m.kg(), GapAhead: m.cm(), GapBehind: m.cm(),
			Gear: word1[sp.Gear](m, gearWords), Reverse: word1[sp.ReverseRule](m, reverseWords), ReverseLimit: m.cm(),
			Start: word1[sp.StartRule](m, startWords), StartClear: m.cm(), HandPeople: m.n(0, 8), TurningCircle: m.cm(), TurnsOnSpot: m.flip(), ParkSpeed: m.cm(),
			WarmUp: m.spanPtr(), WarmWhere: word1[sp.WarmPlace](m, warmWords), LongestIdle: m.spanPtr(), HotRest: m.spanPtr(), CoolDown: m.spanPtr(),
			LightUp: m.seconds(), NeverAlone: m.flip(), MaxRuns: m.n(0, 9), MaxRunning: m.seconds(),
			StartChance: m.chancePtr(), StartsTried: m.n(0, 30), StartsFail: m.n(0, 30), StartWord: word1[sp.StartWord](m, chanceWords), FailChance: m.chancePtr(),
			Zones: some(m, m.zones), Home: m.home(), StandsAlone: m.flip(), KeepTogether: some(m, m.units), KeepApart: some(m, m.units),
			Standby: m.flip(), OwnerOnly: m.flip(), Arrive: m.window(), Depart: m.window(), OffRoad: m.window(),
			UsualDriver: pick(m, m.folk), Drivers: some(m, m.folk), Placeholder: m.flip(), Note: m.text(), Extra: m.extra(),
		}
	}
}

func (m *maker) combinations() {
	for range m.n(0, 2) {
		m.show.Combinations = append(m.show.Combinations, sp.Combination{
			ID: sp.UnitID(m.name()), Name: m.name(), Tower: pick(m, m.units), Towed: some(m, m.units), Length: m.cm(),
			Reverse: word1[sp.ReverseRule](m, reverseWords), ReverseLimit: m.cm(), CoupleAt: pick(m, m.spots), Takes: m.seconds(), Home: m.home(),
		})
	}
	for _, c := range m.show.Combinations {
		m.units = append(m.units, c.ID)
	}
}

func (m *maker) programme() {
	s := m.show
	for range m.n(1, 4) {
		x := sp.Serial{
			ID: sp.SerialID(m.name()), Name: m.text(), Line: pick(m, m.lines), HomeLine: pick(m, m.lines), FormFrom: m.maybeAt(), FormUp: m.maybeAt(),
			ArenaIn: m.maybeAt(), ArenaOut: m.maybeAt(), HomeBy: m.maybeAt(), Travel: m.seconds(), Note: m.text(),
		}
		var ids []sp.EntryID
		plain := m.flip()
		for _, u := range some(m, m.units) {
			if plain {
				x.Entries = append(x.Entries, sp.Entry{ID: entryID(x.ID, u), Unit: u})
				ids = append(ids, entryID(x.ID, u))
				continue
			}
			x.Entries = append(x.Entries, sp.Entry{
				ID: sp.EntryID(m.name()), Unit: u, Driver: pick(m, m.folk), Crew: some(m, m.folk), Reserves: some(m, m.units), Value: m.n(0, 3),
				Join: word1[sp.Join](m, joinWords),
			})
			ids = append(ids, x.Entries[len(x.Entries)-1].ID)
		}
		x.Leaving = some(m, ids)
		s.Serials = append(s.Serials, x)
	}
	for range m.n(0, 3) {
		s.Duties = append(s.Duties, sp.Duty{
			ID: sp.DutyID(m.name()), Unit: sure(m, m.units), What: m.text(), Place: m.text(), From: m.at(), To: m.at(), Driver: pick(m, m.folk),
		})
	}
	for range m.n(0, 3) {
		if len(m.zones) > 0 {
			s.Closings = append(s.Closings, sp.Closing{Zone: sure(m, m.zones), Closed: m.at(), ToClear: m.seconds(), Clear: m.maybeAt(), Reopened: m.at()})
		}
		s.Resets = append(s.Resets, sp.ResetWindow{ID: sp.WindowID(m.name()), From: m.at(), To: m.at(), Awkward: m.n(0, 300)})
	}
}

func (m *maker) figures() {
	for range m.n(0, 2) {
		m.show.Classes = append(m.show.Classes, sp.Class{
			Name: m.name(), Gear: word1[sp.Gear](m, gearWords), Length: m.cm(), Reverse: word1[sp.ReverseRule](m, reverseWords), Start: word1[sp.StartRule](m, startWords),
			WarmUp: m.seconds(), WarmWhere: word1[sp.WarmPlace](m, warmWords), LongestIdle: m.seconds(), HotRest: m.seconds(), CoolDown: m.seconds(),
			ParkSpeed: m.cm(), StartChance: m.chance(), FailChance: m.chance(), Awkward: m.n(0, 400),
		})
	}
	if m.flip() {
		m.show.Weights = sp.Weights{
			People: m.n(1, 4), Entry: sp.Amount(m.n(0, 9000)), Change: sp.Amount(m.n(0, 900)), Told: sp.Amount(m.n(0, 900)), Issue: sp.Amount(m.n(0, 900)),
			Together: sp.Amount(m.n(0, 900)), IdlePercent: m.n(0, 200), HeavyFrom: m.kg(), HeavyMetre: sp.Amount(m.n(0, 9)),
			StartWords: map[sp.StartWord]sp.Chance{sp.StartsWell: m.chance(), sp.NeedsCoaxing: m.chance(), sp.DoubtfulStart: m.chance(), sp.NeverSeen: m.chance()},
		}
	}
}

func (m *maker) sketch() []sp.Placement {
	var stays []string
	for _, s := range m.show.Serials {
		stays = append(stays, string(s.ID))
	}
	for _, d := range m.show.Duties {
		stays = append(stays, string(d.ID))
	}
	for _, r := range m.show.Resets {
		stays = append(stays, string(r.ID))
	}
	var list []sp.Placement
	for range m.n(0, 4) {
		list = append(list, sp.Placement{Unit: sure(m, m.units), After: pick(m, stays), Lane: sure(m, m.lanes), Place: m.n(0, 3)})
	}
	return list
}
