package sallyport

import "strconv"

// Cost amounts are in weighted people-seconds: seconds × people × awkwardness.
type Amount int64

// String returns the amount with its thousands apart: "-1,234,567".
func (a Amount) String() string {
	s, sign := strconv.FormatInt(int64(a), 10), ""
	if a < 0 {
		sign, s = "-", s[1:]
	}
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return sign + s
}

// Weights prices everything a plan can be criticised for. All are editable;
// the defaults are common practice or from memory and are marked as assumed
// when a show does not give its own.
type Weights struct {
	People      int                  `json:"people"`        // people for one driven move in the park: driver and banksman
	Entry       Amount               `json:"entry"`         // loss of one entry of value 1, for risk only (lost entries count on their own level)
	Change      Amount               `json:"change"`        // a unit comes home to another lane than it left
	Told        Amount               `json:"told"`          // one stay outside a lane its people were told
	Issue       Amount               `json:"issue"`         // one stay in another lane than in the last issue
	Together    Amount               `json:"together"`      // one night of a kept-together pair in different zones
	IdlePercent int                  `json:"idle_percent"`  // price of one second held back or early, in percent of a person-second
	HeavyFrom   Kilograms            `json:"heavy_from_kg"` // reversing is counted from this mass
	HeavyMetre  Amount               `json:"heavy_metre"`   // one metre reversed by a heavy unit
	StartWords  map[StartWord]Chance `json:"start_words"`
}

// DefaultWeights returns the weights used when a show gives none.
func DefaultWeights() Weights {
	return Weights{
		People: 2, Entry: 6000, Change: 120, Told: 600, Issue: 300, Together: 60,
		IdlePercent: 100, HeavyFrom: 10_000, HeavyMetre: 4,
		StartWords: map[StartWord]Chance{StartsWell: 9900, NeedsCoaxing: 9500, DoubtfulStart: 8000, NeverSeen: 9000},
	}
}

// IsZero reports whether no weight is given.
func (w Weights) IsZero() bool {
	return w.People == 0 && w.Entry == 0 && w.Change == 0 && w.StartWords == nil
}
