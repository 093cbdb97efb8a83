package workbook

import (
	"strings"

	sp "sallyport"
)

// word is a fixed value and the other ways to write it.
type word struct {
	value string
	also  string // separated by commas
}

var (
	gearWords = []word{
		{string(sp.Wheeled), "wheels, wheel, w, car, truck, lorry"},
		{string(sp.HalfTracked), "half track, halftrack, half tracks, ht"},
		{string(sp.Tracked), "tracks, track, full track, fully tracked, t"},
		{string(sp.SteamGear), "steam engine, traction engine, steam tractor"},
		{string(sp.TowedItem), "trailer, gun, towed item, tow"},
	}
	reverseWords = []word{
		{string(sp.ReverseYes), "y, ok, can, true"},
		{string(sp.ReverseShort), "short only, a little, limited, short distance, short distances"},
		{string(sp.ReverseNever), "no, n, cannot, not, none, false, does not"},
	}
	startWords = []word{
		{string(sp.StartSelf), "own, itself, electric, starter, button, normal, self starter, yes"},
		{string(sp.StartSlave), "slave, slave start, jump lead, jump leads, jump start, booster"},
		{string(sp.StartCrank), "crank, handle, by hand, starting handle"},
		{string(sp.StartTow), "tow start, towed, bump, bump start, pull start, push start"},
	}
	warmWords = []word{
		{string(sp.WarmInLane), "lane, in its lane, in place"}, {string(sp.WarmAtMouth), "mouth, at mouth, outside the lane"}, {string(sp.WarmOnLine), "line, on line, forming up line"},
	}
	chanceWords = []word{
		{string(sp.StartsWell), "well, good, reliable, always, yes"},
		{string(sp.NeedsCoaxing), "coaxing, reluctant, slow, fair"},
		{string(sp.DoubtfulStart), "poor, bad, uncertain, unreliable"},
		{string(sp.NeverSeen), "unknown, not known, not seen, new"},
	}
	bindingWords = []word{
		{string(sp.Free), "open, any, wish"}, {string(sp.Told), "promised, announced, agreed"}, {string(sp.Fixed), "must, yes, required, pinned"},
	}
	laneWords = []word{
		{string(sp.DeadEnd), "dead end, closed, blind, one way in, cul de sac, one end"}, {string(sp.Through), "drive through, thru, pass through"}, {string(sp.Open), "both ends, either end, open both ends"},
	}
	driveInWords = []word{
		{string(sp.InReversed), "reverse, in reverse, backwards, backed in, back in, tail first"}, {string(sp.InNose), "nose, forwards, forward, nose in, front first, drive in"}, {string(sp.InEither), "any, both, free"},
	}
	outWords     = []word{{string(sp.OutStrict), "in order, ordered, yes, from the tail"}, {string(sp.OutFree), "any, any order, marks, no, own mark"}}
	homeWords    = []word{{string(sp.HomeInOrder), "ordered, strict, order"}, {string(sp.HomeAnyOrder), "any, free"}}
	spotUseWords = []word{
		{string(sp.SpotAside), "aside, wait, waiting, waiting area, holding"},
		{string(sp.SpotBreakdown), "breakdown, breakdowns, broken down, bay"},
		{string(sp.SpotLoading), "unloading, loading and unloading, ramp, loading ramp"},
		{string(sp.SpotCoupling), "couple, coupling up, hitching"},
	}
	dayKindWords = []word{
		{string(sp.BuildUp), "build, setup, set up, arrival, rehearsal"}, {string(sp.ShowDay), "show day, public, open"}, {string(sp.BreakDown), "breakdown, tear down, departure, clear up, pack down"},
	}
	joinWords     = []word{{string(sp.JoinLine), "on the line, yes, line to line"}, {string(sp.JoinArena), "in the arena, stays, stays in, stays in arena, remain"}}
	moveKindWords = []word{
		{string(sp.MoveArrive), "arrival"},
		{string(sp.MovePullOut), "pullout, out of lane"},
		{string(sp.MoveOut), "to arena, line to arena"},
		{string(sp.MoveHome), "from arena, arena to line"},
		{string(sp.MoveReturn), "into lane, line to lane"},
		{string(sp.MoveAcross), "line to line"},
		{string(sp.MoveAside), "move aside, moving aside"},
		{string(sp.MoveBack), "putting back"},
		{string(sp.MoveCloseUp), "closing up"},
		{string(sp.MoveReset), ""},
		{string(sp.MoveDuty), "to duties"},
		{string(sp.MoveRelieve), "from duties"},
		{string(sp.MoveDepart), "departure"},
		{string(sp.MoveCouple), "coupling"},
		{string(sp.MovePart), "parting, uncouple"},
		{string(sp.MoveTow), "towing"},
		{string(sp.MoveShift), "shifting"},
	}
	yesWords = map[string]bool{
		"yes": true, "y": true, "true": true, "1": true, "x": true, "ok": true, "on": true, "ja": true, "si": true, "oui": true,
		"no": false, "n": false, "false": false, "0": false, "off": false, "none": false, "not": false, "nein": false,
	}
)

// findWord returns the value a text stands for in a list of words.
func findWord(list []word, text string) (string, bool) {
	key := squash(text)
	for _, w := range list {
		if squash(w.value) == key {
			return w.value, true
		}
	}
	for _, w := range list {
		for _, also := range strings.Split(w.also, ",") {
			if key != "" && squash(also) == key {
				return w.value, true
			}
		}
	}
	return "", false
}

// wordValues lists the values, for advice and drop-down lists.
func wordValues(list []word) []string {
	values := make([]string, len(list))
	for i, w := range list {
		values[i] = w.value
	}
	return values
}

// yesNo reads a yes or no; ticks count as yes, crosses and dashes as no.
func yesNo(text string) (yes, ok bool) {
	switch strings.TrimSpace(text) {
	case "\u2713", "\u2714", "\u2611":
		return true, true
	case "-", "\u2013", "\u2014", "\u2717", "\u2718", "\u2610":
		return false, true
	}
	yes, ok = yesWords[squash(text)]
	return yes, ok
}
