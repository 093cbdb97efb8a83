package sallyport

// The rules of the judge. Their texts are shown to people, so they are words.
const (
	RuleUnknown     Rule = "unknown name"
	RuleMove        Rule = "move that makes no sense"
	RuleTimes       Rule = "times out of order"
	RulePace        Rule = "quicker than its pace"
	RuleBlocked     Rule = "blocked"
	RuleOverfull    Rule = "overfull"
	RuleFit         Rule = "does not fit"
	RuleNotThere    Rule = "not where the plan says"
	RuleReverse     Rule = "cannot reverse"
	RuleFacing      Rule = "faces the other way"
	RuleStart       Rule = "cannot start that way"
	RuleOffRoad     Rule = "off the road"
	RuleCombination Rule = "combination parted or pushed"
	RuleLineOrder   Rule = "wrong order on the line"
	RuleLineFull    Rule = "line overfull"
	RuleFouled      Rule = "lane fouled by a vehicle on a line"
	RuleFrontage    Rule = "two moves in one frontage stretch while one reverses"
	RuleLaneEnd     Rule = "two moves through one lane end"
	RuleAside       Rule = "no place to wait aside"
	RuleTeams       Rule = "more moves at once than teams"
	RulePerson      Rule = "one person on two vehicles"
	RuleNoDriver    Rule = "no driver free"
	RuleWarmUp      Rule = "warmed up behind a vehicle neither moved nor manned"
	RuleIdle        Rule = "idled too long"
	RuleNotClear    Rule = "engine or move before declared clear"
	RuleReopened    Rule = "not parked and cooled at reopening"
	RuleEngineHours Rule = "outside engine hours"
	RuleMissing     Rule = "entry missing"
	RuleUnserved    Rule = "entry not served"
	RuleWrongUnit   Rule = "another vehicle than the entry's"
	RuleLate        Rule = "late"
	RuleHomeLate    Rule = "home too late"
	RuleRoute       Rule = "emergency route obstructed"
	RuleStandby     Rule = "standby vehicle obstructed"
	RuleReserve     Rule = "reserve blocked at its latest useful time"
	RuleRuns        Rule = "too many runs"
	RuleMorning     Rule = "not right in the morning"
	RuleHome        Rule = "not in its fixed lane"
	RuleWindow      Rule = "outside its time window"
	RuleOwner       Rule = "moved without its owner"
	RuleNotPlaced   Rule = "not placed"
	RuleDuty        Rule = "duty missing"
)

// Rules lists every rule, in the order in which they are explained.
var Rules = []Rule{
	RuleUnknown, RuleMove, RuleTimes, RulePace, RuleBlocked, RuleOverfull, RuleFit, RuleNotThere,
	RuleReverse, RuleFacing, RuleStart, RuleOffRoad, RuleCombination, RuleLineOrder, RuleLineFull,
	RuleFouled, RuleFrontage, RuleLaneEnd, RuleAside, RuleTeams, RulePerson, RuleNoDriver, RuleWarmUp,
	RuleIdle, RuleNotClear, RuleReopened, RuleEngineHours, RuleMissing, RuleUnserved, RuleWrongUnit,
	RuleLate, RuleHomeLate, RuleRoute, RuleStandby, RuleReserve, RuleRuns, RuleMorning, RuleHome,
	RuleWindow, RuleOwner, RuleNotPlaced, RuleDuty,
}
