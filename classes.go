package sallyport

import "strings"

// FallbackClass is the class of a vehicle of which neither class nor gear is
// known.
const FallbackClass = "vehicle"

// Why the default figures are what they are, in words for people.
const fromMemory = "from memory"

// DefaultClasses returns the classes used for figures a show does not give.
// They are round figures from memory, on the long and slow side, and meant to
// be edited; the last one is for vehicles nothing is known of.
func DefaultClasses() []Class {
	m := Minutes
	return []Class{
		{Name: "light wheeled", Gear: Wheeled, Length: 400, Reverse: ReverseYes, Start: StartSelf, WarmUp: m(5), WarmWhere: WarmInLane, LongestIdle: m(45), HotRest: m(10), CoolDown: m(2), ParkSpeed: 140, StartChance: 9800, FailChance: 50, Awkward: 100},
		{Name: "heavy wheeled", Gear: Wheeled, Length: 700, Reverse: ReverseYes, Start: StartSelf, WarmUp: m(8), WarmWhere: WarmInLane, LongestIdle: m(45), HotRest: m(15), CoolDown: m(3), ParkSpeed: 120, StartChance: 9700, FailChance: 80, Awkward: 150},
		{Name: "half-tracked", Gear: HalfTracked, Length: 650, Reverse: ReverseYes, Start: StartSelf, WarmUp: m(10), WarmWhere: WarmInLane, LongestIdle: m(40), HotRest: m(20), CoolDown: m(3), ParkSpeed: 110, StartChance: 9600, FailChance: 120, Awkward: 180},
		{Name: "tracked carrier", Gear: Tracked, Length: 480, Reverse: ReverseYes, Start: StartSelf, WarmUp: m(10), WarmWhere: WarmInLane, LongestIdle: m(40), HotRest: m(20), CoolDown: m(3), ParkSpeed: 110, StartChance: 9600, FailChance: 150, Awkward: 200},
		{Name: "heavy tracked", Gear: Tracked, Length: 800, Reverse: ReverseYes, Start: StartSelf, WarmUp: m(15), WarmWhere: WarmInLane, LongestIdle: m(40), HotRest: m(30), CoolDown: m(5), ParkSpeed: 100, StartChance: 9500, FailChance: 200, Awkward: 300},
		{Name: "steam", Gear: SteamGear, Length: 650, Reverse: ReverseYes, Start: StartSelf, WarmUp: 0, WarmWhere: WarmInLane, LongestIdle: 0, HotRest: 0, CoolDown: m(10), ParkSpeed: 80, StartChance: 9800, FailChance: 100, Awkward: 300},
		{Name: "towed", Gear: TowedItem, Length: 450, Reverse: ReverseNever, Start: StartSelf, WarmUp: 0, WarmWhere: WarmInLane, LongestIdle: 0, HotRest: 0, CoolDown: 0, ParkSpeed: 80, StartChance: Certain, FailChance: 20, Awkward: 150},
		{Name: FallbackClass, Gear: Wheeled, Length: 650, Reverse: ReverseYes, Start: StartSelf, WarmUp: m(10), WarmWhere: WarmInLane, LongestIdle: m(45), HotRest: m(15), CoolDown: m(3), ParkSpeed: 110, StartChance: 9600, FailChance: 100, Awkward: 150},
	}
}

// classesOfGear names, for a vehicle whose gear is known but not its class,
// the class that errs on the long and heavy side.
var classesOfGear = map[Gear]string{
	Wheeled: "heavy wheeled", HalfTracked: "half-tracked", Tracked: "heavy tracked", SteamGear: "steam", TowedItem: "towed",
}

// fold brings a name to the form in which names are compared.
func fold(name string) string {
	return strings.ToLower(strings.Join(strings.FieldsFunc(name, func(r rune) bool {
		return r == ' ' || r == '-' || r == '_' || r == '\t' || r == '\u00a0'
	}), " "))
}

// ClassOf returns the class of a vehicle among classes: by its Class, without
// regard to case, spaces and hyphens; else by its gear; else the fallback;
// nil when there is none of these. Earlier classes go first.
func ClassOf(classes []Class, v *Vehicle) *Class {
	named := func(name string) *Class {
		want := fold(name)
		for i := range classes {
			if fold(classes[i].Name) == want {
				return &classes[i]
			}
		}
		return nil
	}
	if v.Class != "" {
		if c := named(v.Class); c != nil {
			return c
		}
	}
	if v.Gear != "" {
		if c := named(classesOfGear[v.Gear]); c != nil {
			return c
		}
	}
	return named(FallbackClass)
}

// DefaultPaces returns how long moves take when a show does not say. The
// figures are from memory, for a driver, a banksman and a calm walk; tracked
// vehicles and steam are slower.
func DefaultPaces() []Pace {
	var paces []Pace
	for _, p := range []struct {
		kind         MoveKind
		light, heavy Seconds
	}{
		{MoveArrive, 240, 360},
		{MovePullOut, 90, 120},
		{MoveReturn, 120, 180},
		{MoveAcross, 90, 120},
		{MoveAside, 120, 180},
		{MoveBack, 150, 210},
		{MoveCloseUp, 60, 90},
		{MoveReset, 150, 210},
		{MoveDuty, 120, 180},
		{MoveRelieve, 120, 180},
		{MoveDepart, 180, 300},
		{MoveShift, 150, 210},
		{MoveTow, 480, 600},
		{MoveCouple, 300, 300},
		{MovePart, 300, 300},
	} {
		if p.light != p.heavy {
			for _, gear := range []Gear{Tracked, SteamGear, HalfTracked} {
				paces = append(paces, Pace{Kind: p.kind, Gear: gear, Takes: p.heavy})
			}
		}
		paces = append(paces, Pace{Kind: p.kind, Takes: p.light})
	}
	// Columns take what the serial's travel says.
	return append(paces, Pace{Kind: MoveOut}, Pace{Kind: MoveHome})
}
