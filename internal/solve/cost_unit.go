package solve

// costUnit returns a whole number of which the cost of every plan is a
// multiple: 1 where prices depend on distances, times or chances.
func (p *problem) costUnit(free freedom) int64 {
	unit := gcd(int64(p.weights.Change), gcd(int64(p.weights.Told), int64(p.weights.Together)))
	if p.stand || p.weights.IdlePercent != 0 && free.holds {
		return 1
	}
	for u := range p.units {
		un := &p.units[u]
		if un.price.heavy != 0 || un.price.risk != 0 {
			return 1
		}
		for _, price := range []int64{un.price.aside, un.price.back, max(0, un.price.asideHand), max(0, un.price.backHand), un.price.closeUp} {
			unit = gcd(unit, price)
		}
		for i := range p.show.Resets {
			unit = gcd(unit, int64(p.prices.Reset(un.Unit, &p.show.Resets[i])))
		}
	}
	return max(1, unit)
}

// gcd returns the greatest common divisor; that of x and 0 is x.
func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
