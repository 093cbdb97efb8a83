package sallyport

// Term names, in the order they are shown.
const (
	TermAside    = "moves aside and back"
	TermReset    = "resets"
	TermCloseUp  = "closing up"
	TermHold     = "held back"
	TermEarly    = "early pull-outs"
	TermReverse  = "heavy vehicles reversing"
	TermChange   = "changes of lane"
	TermHome     = "away from a told lane"
	TermIssue    = "changes from the last issue"
	TermRisk     = "shut-in risk"
	TermTogether = "kept together"
)

// Terms lists all term names in the order they are shown.
var Terms = []string{TermAside, TermReset, TermCloseUp, TermHold, TermEarly, TermReverse, TermChange, TermHome, TermIssue, TermRisk, TermTogether}

// CostItem is one reason in a term.
type CostItem struct {
	Amount Amount   `json:"amount"`
	Units  []UnitID `json:"units"` // who, first the one that is moved or loses
	Move   MoveID   `json:"move,omitempty"`
	Serial SerialID `json:"serial,omitempty"` // which forces it
	Lane   LaneID   `json:"lane,omitempty"`
	At     Instant  `json:"at,omitzero"`
	Why    string   `json:"why"`
}

// CostTerm is the sum of one kind of reason.
type CostTerm struct {
	Name   string     `json:"name"`
	Amount Amount     `json:"amount"`
	Count  int        `json:"count"`
	Items  []CostItem `json:"items,omitempty"`
}

// Cost is what a plan costs on its two levels: Lost, the summed value of
// entries not served, comes before everything else.
type Cost struct {
	Lost  int        `json:"lost"`
	Total Amount     `json:"total"` // sum of the terms
	Terms []CostTerm `json:"terms"` // all of Terms, in order
}

// Less reports whether c is better than d.
func (c Cost) Less(d Cost) bool { return c.Lost < d.Lost || c.Lost == d.Lost && c.Total < d.Total }

// Term returns the named term; the zero CostTerm when there is none.
func (c Cost) Term(name string) CostTerm {
	for _, t := range c.Terms {
		if t.Name == name {
			return t
		}
	}
	return CostTerm{Name: name}
}
