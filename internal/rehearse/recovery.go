package rehearse

import (
	"math"

	sp "sallyport"
)

// gravity is standard gravity in metres per second squared.
const gravity = 9.80665

// Rolling resistance as a share of the weight on firm grass, and how much
// stronger than the steady pull a tow bar or rope must at least be. Both are
// from memory, of the order only.
const (
	grassResistance = 0.08
	towReserve      = 3.5
)

// SteadyTow returns the pull in newtons that moves a mass steadily up a slope
// of so many degrees over ground of a rolling resistance: m·g·(sin θ + c·cos θ).
// It says nothing of getting it to move, of mud or of brakes.
func SteadyTow(mass sp.Kilograms, degrees, resistance float64) float64 {
	a := degrees * math.Pi / 180
	return float64(mass) * gravity * (math.Sin(a) + resistance*math.Cos(a))
}

// LeastStrength returns the breaking strength that tackle must have at least
// for a pull, with a reserve factor.
func LeastStrength(pull, factor float64) float64 { return pull * factor }

// kilonewtons returns a pull on level firm grass, rounded up to a tenth of a
// kilonewton, and the strength that what pulls needs.
func kilonewtons(mass sp.Kilograms) (pull, strength float64) {
	up := func(newtons float64) float64 { return math.Ceil(newtons/100) / 10 }
	n := SteadyTow(mass, 0, grassResistance)
	return up(n), up(LeastStrength(n, towReserve))
}
