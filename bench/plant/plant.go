// Package plant makes shows of any size for benchmarks, each together with a
// packing that is known to work: who spends which stay in which lane, how many
// vehicles have to be moved aside in it and how many come home to another lane
// than they left.
//
// The plan comes first and the show is built around it. Vehicles are put into
// lanes; serial after serial draws vehicles from the mouths of their lanes (so
// that nobody is in anybody's way) or from anywhere (then some have to be moved
// aside); a planted number of pairs exchange their lanes on the way home. Last,
// the lanes are cut to length around the tightest moment, with the wanted spare
// room. The clock is ample: no closings, no teams, no frontage, lines without
// limit, so that only the packing is hard.
package plant

import (
	"math/rand/v2"

	sp "sallyport"
)

// Options says what to plant. The zero value of a size means the usual one,
// that of a show of 58 vehicles.
type Options struct {
	Seed        uint64
	Vehicles    int  // 0: 58
	Lanes       int  // 0: as 24 to 58 vehicles
	Zones       int  // vehicles keep to their zone; 0: one
	Days        int  // 0: 3
	Serials     int  // a day; 0: 8
	Entries     int  // of one serial; 0: as 37 for 4 serials of 58 vehicles
	Spare       int  // percent of all lane length that is free when all are parked
	NobodyAside bool // plant a plan in which nobody is moved aside
	Exchanges   int  // pairs that come home into each other's lane, two changes each
	Plain       bool // only moves aside and changes cost anything, alike for all vehicles, and there are no evenings for resets
}

// Planted is a show and what is known about it.
type Planted struct {
	Show    *sp.Show
	Plan    *sp.Plan       // the planted plan
	Places  []sp.Placement // the same in short: every stay, vehicle by vehicle, in order of time
	Aside   int            // in the plan: vehicles moved aside and put back: (blocker, pull-out of a serial) pairs
	Changes int            // stays in another lane than the one before
	Stays   int
	Crosses int // pairs of stays of different vehicles that would cross in one lane
	Room    sp.Centimetres
	Used    sp.Centimetres // of Room when all are parked, gaps included, at the tightest moment
}

// Spare returns the spare room in 1/10,000 of all lane length, rounded down.
func (p *Planted) Spare() int { return int((p.Room - p.Used) * 10_000 / p.Room) }

// The gap in every lane.
const gap sp.Centimetres = 50

// Limits of Options; beyond them nothing sensible can be planted.
const (
	deepest    = 3  // vehicles that share one lane
	mostDays   = 30 // of Options.Days
	mostSpare  = 90 // of Options.Spare
	mostInADay = 12 // of Options.Serials, an hour each
)

// usual fills the sizes that are not given.
func (o Options) usual() Options {
	set := func(field *int, value int) {
		if *field == 0 {
			*field = value
		}
	}
	set(&o.Vehicles, 58)
	set(&o.Lanes, (o.Vehicles*24+57)/58)
	set(&o.Zones, 1)
	set(&o.Days, 3)
	set(&o.Serials, 8)
	set(&o.Entries, max(1, o.Vehicles*37/(4*58)))
	return o
}

// check returns an error when the sizes contradict each other.
func (o Options) check() error {
	bad := func(ok bool, hint, format string, args ...any) error {
		if ok {
			return nil
		}
		return sp.Errorf(sp.CodeInput, hint, format, args...)
	}
	for _, err := range []error{
		bad(o.Vehicles >= o.Lanes && o.Vehicles <= o.Lanes*deepest, "plant one to three vehicles a lane", "%d vehicles do not stand one to three deep in %d lanes", o.Vehicles, o.Lanes),
		bad(o.Zones >= 1 && o.Zones <= o.Lanes, "plant at least one lane a zone", "%d lanes do not make %d zones", o.Lanes, o.Zones),
		bad(o.Days >= 1 && o.Days <= mostDays, "plant 1 to 30 days", "%d days", o.Days),
		bad(o.Serials >= 1 && o.Serials <= mostInADay, "plant 1 to 12 serials a day", "%d serials a day", o.Serials),
		bad(o.Entries >= 1 && o.Entries*4 <= o.Vehicles, "plant no more entries in a serial than a quarter of the vehicles", "%d entries in each serial of %d vehicles", o.Entries, o.Vehicles),
		bad(o.Spare >= 0 && o.Spare <= mostSpare, "plant 0 to 90 percent", "spare room of %d percent", o.Spare),
		bad(o.Exchanges >= 0, "plant none or more", "%d exchanges", o.Exchanges),
	} {
		if err != nil {
			return err
		}
	}
	return nil
}

// Plant returns the show of the options; the same options give the same show.
// It fails with CodeInput when the sizes contradict each other or when no
// place is left for that many exchanges.
func Plant(opt Options) (*Planted, error) {
	opt = opt.usual()
	if err := opt.check(); err != nil {
		return nil, err
	}
	y := newYard(opt, rand.New(rand.NewPCG(opt.Seed, 0x5a11)))
	if err := y.play(); err != nil {
		return nil, err
	}
	return y.planted(), nil
}
