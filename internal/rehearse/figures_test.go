package rehearse_test

import (
	"math"
	"testing"

	sp "sallyport"
	"sallyport/internal/rehearse"
)

// m·g·(sin θ + c·cos θ), computed in double precision with g = 9.80665 m/s².
func TestSteadyTow(t *testing.T) {
	for _, c := range []struct {
		mass            sp.Kilograms
		degrees, ground float64
		kilonewtons     float64
	}{
		{40_000, 5, 0.08, 65.45},
		{60_000, 0, 0.02, 11.77},
		{60_000, 3, 0.10, 89.55},
		{10_000, 10, 0.05, 21.86},
	} {
		if got := rehearse.SteadyTow(c.mass, c.degrees, c.ground) / 1000; math.Abs(got-c.kilonewtons) > 0.005 {
			t.Errorf("%d kg on %g degrees, %g: %.3f kN, want %.2f", c.mass, c.degrees, c.ground, got, c.kilonewtons)
		}
	}
}

// The slope is a sine, not the rule of one sixtieth for each degree, which is
// 4.4 % low at 5° and 6.1 % high at 45°.
func TestSlopeIsASine(t *testing.T) {
	for degrees, want := range map[float64]float64{5: 0.08716, 10: 0.17365, 15: 0.25882, 20: 0.34202, 30: 0.5, 45: 0.70711} {
		weight := rehearse.SteadyTow(1000, 90, 0)
		if got := rehearse.SteadyTow(1000, degrees, 0) / weight; math.Abs(got-want) > 0.000005 {
			t.Errorf("%g degrees: %.5f of the weight, want %.5f", degrees, got, want)
		}
	}
}

// 41.6 t with a factor of 3.5 are 145.6 t.
func TestLeastStrength(t *testing.T) {
	if got := rehearse.LeastStrength(41.6, 3.5); math.Abs(got-145.6) > 1e-9 {
		t.Errorf("%g, want 145.6", got)
	}
}

// Jeffreys 90 % intervals, computed in double precision from the beta
// distribution (Brown, Cai and DasGupta 2001).
func TestStartInterval(t *testing.T) {
	for _, c := range []struct {
		tried, failed int
		low, high     float64
	}{
		{10, 1, .6694, .9821},
		{5, 0, .6943, .9996},
		{20, 2, .7498, .9707},
		{4, 1, .3493, .9540},
		{3, 3, .0006, .4441},
		{0, 0, .0062, .9938},
	} {
		low, high := rehearse.StartInterval(c.tried, c.failed)
		if math.Abs(float64(low)/10_000-c.low) > 0.00006 || math.Abs(float64(high)/10_000-c.high) > 0.00006 {
			t.Errorf("%d of %d failed: %d to %d, want %.4f to %.4f", c.failed, c.tried, low, high, c.low, c.high)
		}
	}
}
