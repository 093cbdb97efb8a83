package sallyport

import "fmt"

// figures reports lengths, masses, times and counts that cannot be.
func (v *validator) figures() {
	s := v.raw
	for i := range s.Vehicles {
		v.vehicleFigures(&s.Vehicles[i])
	}
	for i := range s.Combinations {
		x := &s.Combinations[i]
		v.plausible(combinationThing(x), figure{"length", int64(x.Length)}, figure{"reverse limit", int64(x.ReverseLimit)}, figure{"time to couple", int64(x.Takes)})
	}
	for i := range s.Park.Lanes {
		x := &s.Park.Lanes[i]
		t := laneThing(x)
		if x.Length <= 0 {
			v.stop(t, "length", x.Length.Metres(), "measure it from the mouth to the closed end or the tail", "lane %s has no length (%s)", x.ID, x.Length.Metres())
		}
		v.plausible(t, figure{"length", max(0, int64(x.Length))}, figure{"width", int64(x.Width)}, figure{"greatest mass", int64(x.MaxMass)}, figure{"number deep", int64(x.MaxDeep)}, figure{"gap", int64(x.Gap)})
	}
	for i := range s.Park.Lines {
		x := &s.Park.Lines[i]
		v.plausible(lineThing(x), figure{"length", int64(x.Length)}, figure{"gap", int64(x.Gap)})
		for _, f := range x.Fouls {
			if f.From < 0 || f.To <= f.From || x.Length > 0 && f.From >= x.Length {
				v.stop(lineThing(x), "mark that fouls lanes", f.From.Metres()+" to "+f.To.Metres(), "count from the head of the line, the smaller figure first",
					"the mark on line %s from %s to %s is no part of the line", named(x.Name, x.ID), f.From.Metres(), f.To.Metres())
			}
		}
	}
	for i := range s.Park.Spots {
		x := &s.Park.Spots[i]
		v.plausible(spotThing(x), figure{"length", int64(x.Length)}, figure{"gap", int64(x.Gap)})
	}
	for i := range s.Park.Stretches {
		x := &s.Park.Stretches[i]
		v.plausible(stretchThing(x), figure{"depth", int64(x.Depth)})
	}
	for _, p := range s.Park.Paces {
		v.plausible(thing{"pace", string(p.Kind), fmt.Sprintf("%s %s", p.Kind, p.Gear)}, figure{"time", int64(p.Takes)})
	}
	v.plausible(showThing, figure{"marshal teams", int64(s.Park.Teams)})
	if p := s.Park.TowPercent; p < 0 || p > MostTowPercent {
		v.stop(showThing, AssumedTow, fmt.Sprint(p), fmt.Sprintf("give 1 to %d percent of the towing vehicle's mass; %d is usual", MostTowPercent, UsualTowPercent), "nothing is towed by a rule of %d %%", p)
	}
	for i := range s.Days {
		v.plausible(dayThing(i+1, &s.Days[i]), figure{"marshal teams", int64(s.Days[i].Teams)})
	}
	for i := range s.Classes {
		x := &s.Classes[i]
		t := classThing(x)
		v.plausible(t, figure{"length", int64(x.Length)}, figure{"warm-up", int64(x.WarmUp)}, figure{"longest idle", int64(x.LongestIdle)},
			figure{"rest before a hot restart", int64(x.HotRest)}, figure{"cool-down", int64(x.CoolDown)}, figure{"park speed", int64(x.ParkSpeed)}, figure{"awkwardness", int64(x.Awkward)})
		v.isChance(t, "start chance", x.StartChance)
		v.isChance(t, "chance of failing", x.FailChance)
	}
	v.otherFigures()
}

// otherFigures reports figures of the programme and the weights.
func (v *validator) otherFigures() {
	s := v.raw
	for i := range s.Resets {
		v.plausible(resetThing(&s.Resets[i]), figure{"awkwardness", int64(s.Resets[i].Awkward)})
	}
	for i := range s.Serials {
		x := &s.Serials[i]
		v.plausible(serialThing(x), figure{"travel", int64(x.Travel)})
		for j := range x.Entries {
			v.plausible(entryThing(&x.Entries[j]), figure{"value", int64(x.Entries[j].Value)})
		}
	}
	for i := range s.Closings {
		v.plausible(closingThing(&s.Closings[i]), figure{"time to clear", int64(s.Closings[i].ToClear)})
	}
	w := s.Weights
	t := thing{"weights", "", "of the show"}
	v.plausible(t, figure{"people", int64(w.People)}, figure{"entry", int64(w.Entry)}, figure{"change of lane", int64(w.Change)}, figure{"told lane", int64(w.Told)},
		figure{"last issue", int64(w.Issue)}, figure{"kept together", int64(w.Together)}, figure{"idle percent", int64(w.IdlePercent)},
		figure{"heavy from", int64(w.HeavyFrom)}, figure{"heavy metre", int64(w.HeavyMetre)})
	for _, word := range startWords {
		v.isChance(t, "start chance of "+string(word), w.StartWords[word])
	}
}

func (v *validator) vehicleFigures(x *Vehicle) {
	t := vehicleThing(x)
	v.plausible(t, figure{"length", int64(x.Length)}, figure{"width", int64(x.Width)}, figure{"height", int64(x.Height)}, figure{"mass", int64(x.Mass)},
		figure{"gap ahead", int64(x.GapAhead)}, figure{"gap behind", int64(x.GapBehind)}, figure{"reverse limit", int64(x.ReverseLimit)},
		figure{"clear ahead to start", int64(x.StartClear)}, figure{"people to push it", int64(x.HandPeople)}, figure{"turning circle", int64(x.TurningCircle)},
		figure{"park speed", int64(x.ParkSpeed)}, figure{"light-up", int64(x.LightUp)}, figure{"most runs", int64(x.MaxRuns)}, figure{"most running time", int64(x.MaxRunning)},
		figure{"warm-up", int64(given(x.WarmUp))}, figure{"longest idle", int64(given(x.LongestIdle))}, figure{"rest before a hot restart", int64(given(x.HotRest))}, figure{"cool-down", int64(given(x.CoolDown))})
	v.isChance(t, "start chance", given(x.StartChance))
	v.isChance(t, "chance of failing", given(x.FailChance))
	v.startRecords(t, x)
	if x.Home.Binding != "" && x.Home.Binding != Free && x.Home.Lane == "" {
		v.stop(t, "home", string(x.Home.Binding), "name the lane, or leave the home free", "the home of %s is %s, but no lane is named", t.name, x.Home.Binding)
	}
	if x.StartWord != "" && x.StartChance == nil && x.StartsTried == 0 {
		if _, ok := v.show.Weights.StartWords[x.StartWord]; !ok {
			v.note(t, "start chance", string(x.StartWord), "write starts well, needs coaxing, doubtful or never seen, or a figure", "%q is no known word for how %s starts; it counts as never seen", x.StartWord, t.name)
		}
	}
	if x.Class != "" && fold(ClassOf(v.show.Classes, x).Name) != fold(x.Class) {
		v.note(t, "class", x.Class, "correct the word or add the class", "no class is called %q; %s is taken for %s", x.Class, t.name, ClassOf(v.show.Classes, x).Name)
	}
}

// startRecords reports records of starts that cannot be.
func (v *validator) startRecords(t thing, x *Vehicle) {
	v.plausible(t, figure{"starts tried", int64(x.StartsTried)}, figure{"starts failed", int64(x.StartsFail)})
	switch {
	case x.StartsFail > x.StartsTried && x.StartsTried >= 0:
		v.stop(t, "starts failed", fmt.Sprint(x.StartsFail), "count the tries that failed among the tries", "%s of %s failed, but %s tried", countStarts(x.StartsFail), t.subject(), wereStarts(x.StartsTried))
	case x.StartsTried > 0 && x.StartChance != nil:
		v.note(t, "starts tried", fmt.Sprint(x.StartsTried), "leave out the figure to use the records", "the start chance of %s is given as a figure, which goes before its records", t.subject())
	case x.StartsTried > 0 && x.StartWord != "":
		v.note(t, "starts tried", fmt.Sprint(x.StartsTried), "leave out the records to use the word", "the records of %s go before the word %q", t.subject(), x.StartWord)
	}
}

// countStarts and wereStarts put a number of starts into words.
func countStarts(n int) string {
	if n == 1 {
		return "1 start"
	}
	return fmt.Sprintf("%d starts", n)
}

func wereStarts(n int) string {
	if n == 1 {
		return "1 was"
	}
	return fmt.Sprintf("%d were", n)
}

// figure is a named number.
type figure struct {
	name  string
	value int64
}

// mostOfAnything is larger than any figure a show can need, in any unit, and
// small enough for sums of thousands.
const mostOfAnything = 1_000_000_000

// plausible reports figures below zero or beyond all measure.
func (v *validator) plausible(t thing, list ...figure) {
	for _, f := range list {
		switch {
		case f.value < 0:
			v.stop(t, f.name, fmt.Sprint(f.value), "give a figure above zero, or leave it out", "%s of %s is %d, below zero", f.name, t.subject(), f.value)
		case f.value > mostOfAnything:
			v.stop(t, f.name, fmt.Sprint(f.value), "correct the figure", "%s of %s is %d, which cannot be meant", f.name, t.subject(), f.value)
		}
	}
}

func (v *validator) isChance(t thing, field string, c Chance) {
	if c < 0 || c > Certain {
		v.stop(t, field, fmt.Sprint(c), "give a chance between 0 and 10,000, where 10,000 is certain", "%s of %s is %d", field, t.subject(), c)
	}
}
