package sallyport

// Prices gives what single actions cost; Evaluate and every search use it, so
// that a plan has one price. Amounts are rounded down, each on its own.
type Prices struct {
	ix *Index
	w  Weights
}

// NewPrices returns the prices of a complete show.
func NewPrices(ix *Index) Prices { return Prices{ix: ix, w: ix.Show.Weights} }

// Weights returns the weights the prices were made from.
func (p Prices) Weights() Weights { return p.w }

// Drive is the price of one move in the park: pace × people × awkwardness, by
// hand pace × the people who push.
func (p Prices) Drive(kind MoveKind, u *Unit, byHand bool) Amount {
	seconds := Amount(p.ix.Pace(kind, u.Gear))
	if byHand {
		return seconds * Amount(u.HandPeople)
	}
	return seconds * Amount(p.w.People) * Amount(u.Awkward) / 100
}

// Aside is the price of moving a unit out of the way; putting it back costs
// Drive(MoveBack) more. A driven one is warmed up by one person.
func (p Prices) Aside(u *Unit, byHand bool) Amount {
	price := p.Drive(MoveAside, u, byHand)
	if !byHand {
		price += Amount(u.WarmUp) * Amount(u.Awkward) / 100
	}
	return price
}

// Reset is the price of lifting a unit in a reset window, once however many
// moves it takes.
func (p Prices) Reset(u *Unit, w *ResetWindow) Amount {
	return p.Drive(MoveReset, u, false) * Amount(w.Awkward) / 100
}

// CloseUp is the price of one unit moving forward in its lane.
func (p Prices) CloseUp(u *Unit) Amount { return p.Drive(MoveCloseUp, u, false) }

// Idle is the price of a unit that waits on a line, held back or early.
func (p Prices) Idle(wait Seconds) Amount {
	return max(0, Amount(wait)) * Amount(p.w.IdlePercent) / 100
}

// Reverse is the price of reversing far by a heavy unit, in whole metres.
func (p Prices) Reverse(u *Unit, far Centimetres) Amount {
	if u.Mass == 0 || u.Mass < p.w.HeavyFrom {
		return 0
	}
	return Amount(far/100) * p.w.HeavyMetre
}

// Risk is the price of the chance that u does not start while the entries
// behind it are worth value together.
func (p Prices) Risk(u *Unit, value int) Amount {
	return Amount(Certain-u.StartChance) * Amount(value) * p.w.Entry / Amount(Certain)
}
