package sallyport

import (
	"fmt"
	"slices"
)

// classes completes the classes given and appends the default ones that are
// not given. Of a class's four engine times zeros are filled in only when all
// four are zero, of its two chances only when both are.
func (c *completer) classes() {
	defaults := DefaultClasses()
	for i := range c.show.Classes {
		k := &c.show.Classes[i]
		base := *ClassOf(defaults, &Vehicle{Class: k.Name, Gear: k.Gear})
		var m missing
		add := func(filled bool, format string, args ...any) {
			if filled {
				m.add(format, args...)
			}
		}
		add(fill(&k.Gear, base.Gear), "%s", base.Gear)
		add(fill(&k.Length, base.Length), "length %s", base.Length.Metres())
		add(fill(&k.Reverse, base.Reverse), "reverse %s", base.Reverse)
		add(fill(&k.Start, base.Start), "start %s", base.Start)
		if k.WarmUp == 0 && k.LongestIdle == 0 && k.HotRest == 0 && k.CoolDown == 0 && base.WarmUp > 0 {
			k.WarmUp, k.LongestIdle, k.HotRest, k.CoolDown = base.WarmUp, base.LongestIdle, base.HotRest, base.CoolDown
			m.add("engine times of class %s", base.Name)
		}
		add(fill(&k.WarmWhere, base.WarmWhere), "warm-up %s", base.WarmWhere)
		add(fill(&k.ParkSpeed, base.ParkSpeed), "park speed %d cm/s", base.ParkSpeed)
		if k.StartChance == 0 && k.FailChance == 0 {
			k.StartChance, k.FailChance = base.StartChance, base.FailChance
			m.add("starts at %s", base.StartChance.percent())
		}
		add(fill(&k.StartChance, base.StartChance), "starts at %s", base.StartChance.percent())
		add(fill(&k.Awkward, base.Awkward), "awkwardness %d %%", base.Awkward)
		if len(m) > 0 {
			c.assume("class", k.Name, "figures", m.text(), "class "+base.Name+", "+fromMemory, "what is assumed for its vehicles")
		}
	}
	for _, d := range defaults {
		if !slices.ContainsFunc(c.show.Classes, func(k Class) bool { return fold(k.Name) == fold(d.Name) }) {
			c.show.Classes = append(c.show.Classes, d)
		}
	}
}

func (c *completer) vehicles() {
	for i := range c.show.Vehicles {
		v := &c.show.Vehicles[i]
		class := ClassOf(c.show.Classes, v)
		c.class(v, class)
		why := "class " + class.Name + ", " + fromMemory
		for _, bundle := range vehicleBundles {
			var m missing
			field, effect := bundle(c, v, class, &m)
			// What is towed has no engine of which to assume anything.
			if len(m) > 0 && (v.Gear != TowedItem || field == "length") {
				c.assume("vehicle", named(v.Name, v.ID), field, m.text(), why, effect)
			}
		}
		c.startRecords(v)
		c.startWord(v)
		if v.Home.Lane != "" {
			fill(&v.Home.Binding, Free)
		}
	}
}

// class settles to which class and gear a vehicle belongs.
func (c *completer) class(v *Vehicle, class *Class) {
	name := named(v.Name, v.ID)
	effect := "what else is assumed for it, and how awkward it is to move"
	switch {
	case v.Class == "" && v.Gear == "":
		c.assume("vehicle", name, "class", class.Name, "nothing is given", effect)
	case v.Class == "":
		c.assume("vehicle", name, "class", class.Name, "it is "+string(v.Gear), effect)
	case fold(v.Class) != fold(class.Name):
		c.assume("vehicle", name, "class", class.Name, fmt.Sprintf("no class is called %q", v.Class), effect)
	}
	v.Class = class.Name
	fill(&v.Gear, class.Gear)
}

// vehicleBundles fill in those figures of a vehicle that are told in one line,
// and return what the line calls them and what they decide.
var vehicleBundles = []func(c *completer, v *Vehicle, class *Class, m *missing) (field, effect string){
	func(_ *completer, v *Vehicle, class *Class, m *missing) (string, string) {
		if fill(&v.Length, class.Length) {
			v.Guessed = true
			m.add("%s", class.Length.Metres())
		}
		return "length", "the room it takes in lanes and on lines"
	},
	func(_ *completer, v *Vehicle, class *Class, m *missing) (string, string) {
		if fill(&v.Reverse, class.Reverse) {
			m.add("reverses: %s", class.Reverse)
		}
		if v.Reverse == ReverseShort && fill(&v.ReverseLimit, 500) {
			m.add("as far as %s", v.ReverseLimit.Metres())
		}
		if fill(&v.Start, class.Start) {
			m.add("starts: %s", class.Start)
		}
		if v.Start == StartTow && fill(&v.StartClear, 1000) {
			m.add("%s clear ahead to be tow-started", v.StartClear.Metres())
		}
		return "handling", "into which lanes it can be driven, and how"
	},
	func(_ *completer, v *Vehicle, class *Class, m *missing) (string, string) {
		if fillPtr(&v.WarmUp, class.WarmUp) {
			m.add("warm-up %s", class.WarmUp.Words())
		}
		if fill(&v.WarmWhere, class.WarmWhere) && *v.WarmUp > 0 {
			m.add("warmed up %s", class.WarmWhere)
		}
		if fillPtr(&v.LongestIdle, class.LongestIdle) {
			m.add("longest idle %s", orNoLimit(class.LongestIdle))
		}
		if fillPtr(&v.HotRest, class.HotRest) {
			m.add("rest before a hot restart %s", class.HotRest.Words())
		}
		if fillPtr(&v.CoolDown, class.CoolDown) {
			m.add("cool-down %s", class.CoolDown.Words())
		}
		if v.Gear == SteamGear && fill(&v.LightUp, Minutes(240)) {
			m.add("light-up %s", v.LightUp.Words())
		}
		return "engine times", "when its engine must start, and be cold before the public comes back"
	},
	func(_ *completer, v *Vehicle, class *Class, m *missing) (string, string) {
		if v.StartWord == "" && v.StartsTried == 0 && fillPtr(&v.StartChance, class.StartChance) {
			m.add("%s", class.StartChance.percent())
		}
		return "start chance", "shut-in risk: who had better not stand in front of whom"
	},
	func(_ *completer, v *Vehicle, class *Class, m *missing) (string, string) {
		if fillPtr(&v.FailChance, class.FailChance) {
			m.add("fails in %s of runs", class.FailChance.percent())
		}
		if fill(&v.ParkSpeed, class.ParkSpeed) {
			m.add("%d m a minute in the park", class.ParkSpeed*60/100)
		}
		return "on the move", "nothing in the plan itself; what to expect on the day"
	},
}

func orNoLimit(s Seconds) string {
	if s == 0 {
		return "no limit"
	}
	return s.Words()
}

// startRecords turns records of starts into a chance, when no figure is given.
// Records go before a word.
func (c *completer) startRecords(v *Vehicle) {
	if v.StartsTried <= 0 || v.StartChance != nil {
		return
	}
	chance := ChanceFromRecords(v.StartsTried, v.StartsFail)
	v.StartChance = &chance
	c.assume("vehicle", named(v.Name, v.ID), "start chance", chance.percent(),
		fmt.Sprintf("it started %d of %d times (Jeffreys mean)", v.StartsTried-v.StartsFail, v.StartsTried), "shut-in risk: who had better not stand in front of whom")
}

// ChanceFromRecords returns the chance of starting of a vehicle of which so
// many starts were tried and so many of them failed: the Jeffreys mean
// (s + ½) / (n + 1) of s successes in n, in 1/10,000, halves rounded up. With
// nothing tried it is one half. Figures that contradict each other count as
// the nearest that do not.
func ChanceFromRecords(tried, failed int) Chance {
	n := int64(max(0, tried))
	s := n - min(max(0, int64(failed)), n)
	for n > 1_000_000_000_000 { // the share is the same, and nothing overflows
		n, s = n/2, s/2
	}
	return Chance((int64(Certain)*(2*s+1) + n + 1) / (2*n + 2))
}

// startWord turns the word for a start chance into its figure. A word that
// has none counts as never seen.
func (c *completer) startWord(v *Vehicle) {
	if v.StartWord == "" || v.StartChance != nil {
		return
	}
	chance, ok := c.show.Weights.StartWords[v.StartWord]
	if !ok {
		chance = c.show.Weights.StartWords[NeverSeen]
		c.assume("vehicle", named(v.Name, v.ID), "start chance", chance.percent(), fmt.Sprintf("%q is no known word for it; taken as %q", v.StartWord, NeverSeen), "shut-in risk")
	}
	v.StartChance = &chance
}

// combinations completes what is towed; it needs the vehicles' lengths and
// the spots.
func (c *completer) combinations() {
	show := c.show
	if len(show.Combinations) == 0 {
		return
	}
	length := map[UnitID]Centimetres{}
	for i := range show.Vehicles {
		v := &show.Vehicles[i]
		if _, ok := length[v.ID]; !ok {
			length[v.ID] = v.Length
		}
	}
	at := slices.IndexFunc(show.Park.Spots, func(s Spot) bool { return s.Use == SpotCoupling })
	for i := range show.Combinations {
		k := &show.Combinations[i]
		name := named(k.Name, k.ID)
		sum := length[k.Tower] + couplingLength*Centimetres(len(k.Towed))
		for _, t := range k.Towed {
			sum += length[t]
		}
		if fill(&k.Length, sum) {
			c.assume("combination", name, "length", sum.Metres(), "its parts and "+couplingLength.Metres()+" a coupling", "the room it takes in lanes and on lines")
		}
		var m missing
		if fill(&k.Reverse, ReverseNever) {
			m.add("reverses: %s", ReverseNever)
		}
		if k.Reverse == ReverseShort && fill(&k.ReverseLimit, 500) {
			m.add("as far as %s", k.ReverseLimit.Metres())
		}
		if len(m) > 0 {
			c.assume("combination", name, "handling", m.text(), "few drivers can push what they tow", "into which lanes it can be driven, and how")
		}
		if fill(&k.Takes, Minutes(5)) {
			c.assume("combination", name, "time to couple or part", k.Takes.Words(), fromMemory, "when its parts can be used one by one")
		}
		if k.CoupleAt == "" && at >= 0 {
			k.CoupleAt = show.Park.Spots[at].ID
			c.assume("combination", name, "coupled and parted at", named(show.Park.Spots[at].Name, k.CoupleAt), "the first spot for it", "where its parts are used one by one")
		}
		if k.Home.Lane != "" {
			fill(&k.Home.Binding, Free)
		}
	}
}
