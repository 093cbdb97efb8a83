package sallyport

import "slices"

// Unit is what stands and moves as one: a vehicle, or a combination with the
// figures of its parts taken together. Figures are as completed; a zero mass,
// width or height is not known.
type Unit struct {
	ID          UnitID
	Name        string
	Class       string
	Contingent  string
	Placeholder bool

	Combination bool
	Parts       []UnitID // of a combination: the tower, then what it tows
	CoupleAt    SpotID
	CoupleTakes Seconds

	Length    Centimetres
	Width     Centimetres // the widest part; 0 unless all are known
	Height    Centimetres // likewise
	Mass      Kilograms   // all parts together; 0 unless all are known
	Heaviest  Kilograms   // its heaviest single vehicle; 0 unless all are known
	GapAhead  Centimetres
	GapBehind Centimetres

	Gear         Gear
	Awkward      int // percent, of its class
	Reverse      ReverseRule
	ReverseLimit Centimetres
	Start        StartRule
	StartClear   Centimetres
	HandPeople   int // 0: not by hand

	WarmUp      Seconds
	WarmWhere   WarmPlace
	LongestIdle Seconds
	HotRest     Seconds
	CoolDown    Seconds
	LightUp     Seconds
	NeverAlone  bool
	MaxRuns     int
	MaxRunning  Seconds
	StartChance Chance
	FailChance  Chance

	Zones        []ZoneID // empty: any
	Home         Home
	StandsAlone  bool
	KeepTogether []UnitID
	KeepApart    []UnitID // of a part in a combination also the combination
	Standby      bool
	OwnerOnly    bool

	Arrive, Depart, OffRoad Window

	UsualDriver PersonID
	AllDrivers  []PersonID // the usual one first
}

// OffRoadAt reports whether the show has the unit off the road at t.
func (u *Unit) OffRoadAt(t Instant) bool {
	w := u.OffRoad
	return w != (Window{}) && t >= w.From && (w.To == 0 || t < w.To)
}

// couplingLength is what each coupling of a combination adds to its parts
// when no length is given.
const couplingLength Centimetres = 50

// unitOf returns the unit that a vehicle is.
func unitOf(v *Vehicle, class *Class) *Unit {
	u := &Unit{
		ID: v.ID, Name: v.Name, Class: v.Class, Contingent: v.Contingent, Placeholder: v.Placeholder,
		Length: v.Length, Width: v.Width, Height: v.Height, Mass: v.Mass, Heaviest: v.Mass, GapAhead: v.GapAhead, GapBehind: v.GapBehind,
		Gear: v.Gear, Awkward: 100, Reverse: v.Reverse, ReverseLimit: v.ReverseLimit,
		Start: v.Start, StartClear: v.StartClear, HandPeople: v.HandPeople,
		WarmUp: given(v.WarmUp), WarmWhere: v.WarmWhere, LongestIdle: given(v.LongestIdle), HotRest: given(v.HotRest), CoolDown: given(v.CoolDown),
		LightUp: v.LightUp, NeverAlone: v.NeverAlone, MaxRuns: v.MaxRuns, MaxRunning: v.MaxRunning,
		StartChance: given(v.StartChance), FailChance: given(v.FailChance),
		Zones: v.Zones, Home: v.Home, StandsAlone: v.StandsAlone, KeepTogether: v.KeepTogether, KeepApart: v.KeepApart,
		Standby: v.Standby, OwnerOnly: v.OwnerOnly, Arrive: v.Arrive, Depart: v.Depart, OffRoad: v.OffRoad,
		UsualDriver: v.UsualDriver, AllDrivers: v.Drivers,
	}
	if v.UsualDriver != "" {
		u.AllDrivers = append([]PersonID{v.UsualDriver}, v.Drivers...)
	}
	if class != nil && class.Awkward > 0 {
		u.Awkward = class.Awkward
	}
	if u.Name == "" {
		u.Name = string(v.ID)
	}
	return u
}

// given returns what p points to, zero when it is not given.
func given[T any](p *T) T {
	if p == nil {
		var zero T
		return zero
	}
	return *p
}

// combine returns the unit that a combination is. Engine, gear, starting and
// drivers are the tower's; what bars one part bars all.
func combine(c *Combination, parts []*Unit) *Unit {
	u := &Unit{ID: c.ID, Name: c.Name, Combination: true, CoupleAt: c.CoupleAt, CoupleTakes: c.Takes, Awkward: 100}
	if len(parts) > 0 {
		tower := *parts[0]
		u = &tower
		u.ID, u.Name, u.Combination, u.CoupleAt, u.CoupleTakes = c.ID, c.Name, true, c.CoupleAt, c.Takes
		u.GapBehind = parts[len(parts)-1].GapBehind
		u.KeepTogether, u.KeepApart = slices.Clone(tower.KeepTogether), slices.Clone(tower.KeepApart)
	}
	u.HandPeople, u.Length, u.Reverse, u.ReverseLimit = 0, c.Length, c.Reverse, c.ReverseLimit
	if c.Home.Lane != "" {
		u.Home = c.Home
	}
	if u.Name == "" {
		u.Name = string(c.ID)
	}
	sum := couplingLength * Centimetres(max(0, len(parts)-1))
	for i, p := range parts {
		u.Parts = append(u.Parts, p.ID)
		sum += p.Length
		if i > 0 {
			u.join(p)
		}
	}
	if u.Length == 0 {
		u.Length = sum
	}
	return u
}

// join takes a towed part's figures into a combination's.
func (u *Unit) join(p *Unit) {
	u.Width = max(u.Width, p.Width) * known(u.Width, p.Width)
	u.Height = max(u.Height, p.Height) * known(u.Height, p.Height)
	u.Heaviest = max(u.Heaviest, p.Heaviest) * known(u.Heaviest, p.Heaviest)
	u.Mass = (u.Mass + p.Mass) * known(u.Mass, p.Mass)
	u.StandsAlone = u.StandsAlone || p.StandsAlone
	u.Standby = u.Standby || p.Standby
	u.OwnerOnly = u.OwnerOnly || p.OwnerOnly
	u.NeverAlone = u.NeverAlone || p.NeverAlone
	u.Placeholder = u.Placeholder || p.Placeholder
	u.KeepTogether = append(u.KeepTogether, p.KeepTogether...)
	u.KeepApart = append(u.KeepApart, p.KeepApart...)
	switch both := shared(u.Zones, p.Zones); {
	case len(u.Zones) == 0:
		u.Zones = p.Zones
	case len(p.Zones) > 0 && len(both) > 0:
		u.Zones = both
	}
	for _, w := range []struct{ mine, other *Window }{{&u.Arrive, &p.Arrive}, {&u.Depart, &p.Depart}, {&u.OffRoad, &p.OffRoad}} {
		if *w.mine == (Window{}) {
			*w.mine = *w.other
		}
	}
}

// known returns 1 when both figures are given, else 0.
func known[T Centimetres | Kilograms](a, b T) T {
	if a == 0 || b == 0 {
		return 0
	}
	return 1
}

// shared returns the members of a that are in b too.
func shared[T comparable](a, b []T) []T {
	var both []T
	for _, x := range a {
		if slices.Contains(b, x) {
			both = append(both, x)
		}
	}
	return both
}
