package sallyport

// Clash is something in the order of events that does not go together, found
// without a plan.
type Clash struct {
	Rule string
	Problem
}

// The rules by which an order of events is read on its own. Those that the
// judge has, too, bear its name.
const (
	ClashTimes  = "times out of order"
	ClashTwice  = "twice in one serial"
	ClashTurn   = "no time to turn round"
	ClashAbsent = "not there"
)

// clashRules are the rules of Validate that are about the order of events.
var clashRules = []struct {
	name string
	rule func(*validator)
}{
	{ClashTimes, (*validator).serialTimes},
	{string(RuleNotClear), (*validator).closings},
	{ClashTwice, (*validator).twiceInSerial},
	{ClashTurn, (*validator).twoPlaces},
	{ClashAbsent, (*validator).presence},
	{string(RuleRuns), (*validator).runs},
	{string(RulePerson), (*validator).bookings},
	{string(RuleLineFull), (*validator).columns},
}

// Clashes returns what Validate finds in the order of events of a show as
// completed, each with its rule, in the order of the rules.
func Clashes(ix *Index) []Clash {
	v := &validator{raw: ix.Show, show: ix.Show, ix: ix}
	var list []Clash
	for _, r := range clashRules {
		v.problems = nil
		r.rule(v)
		for _, p := range v.problems {
			list = append(list, Clash{r.name, p})
		}
	}
	return list
}
