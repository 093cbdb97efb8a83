package rehearse

import (
	"gonum.org/v1/gonum/mathext"

	sp "sallyport"
)

// StartInterval returns the Jeffreys 90 % interval of a start chance from
// records: the 5 % and 95 % points of a beta distribution with s + ½ and
// f + ½ (Brown, Cai and DasGupta 2001), rounded to 1/10,000. Figures that
// contradict each other count as the nearest that do not.
func StartInterval(tried, failed int) (low, high sp.Chance) {
	n := max(0, tried)
	f := min(max(0, failed), n)
	point := func(p float64) sp.Chance {
		return sp.Chance(mathext.InvRegIncBeta(float64(n-f)+0.5, float64(f)+0.5, p)*float64(sp.Certain) + 0.5)
	}
	return point(0.05), point(0.95)
}
