// Package sallyport is the domain of a planner for vehicle parks at live
// shows: the show as given (Show), the answer (Plan), and the only judge of
// answers (Play, Check, Evaluate). It does no input or output, reads no clock
// and draws no random numbers; all rules and costs are whole numbers.
package sallyport

import (
	"fmt"
	"strconv"
	"strings"
)

// Centimetres is a length in whole centimetres.
type Centimetres int64

// Kilograms is a mass in whole kilograms.
type Kilograms int64

// Seconds is a span of time in whole seconds.
type Seconds int64

// Minutes returns n minutes as a span.
func Minutes(n int64) Seconds { return Seconds(n * 60) }

// Chance is a probability in 1/10,000; 10,000 is certain.
type Chance int32

// Certain is the chance of something that always happens.
const Certain Chance = 10_000

// Instant is a moment: whole seconds elapsed since 00:00 of the show's first
// day. The zero Instant means "not given". Time zones and dates are added at
// the edges of the program (Show.Zone, Show.FirstDate).
type Instant int64

// Day is the number of seconds in a day of the show's clock.
const daySeconds = 86_400

// At returns the moment of day (1 is the first), hour, minute.
func At(day, hour, minute int) Instant {
	return Instant((day-1)*daySeconds + hour*3600 + minute*60)
}

// Day returns the number of the day in which t lies; the first day is 1, the
// one before it 0.
func (t Instant) Day() int { return int((t-t.ofDay())/daySeconds) + 1 }

// ofDay returns the seconds since midnight, for moments before the first day
// too.
func (t Instant) ofDay() Instant { return (t%daySeconds + daySeconds) % daySeconds }

// Clock returns t as "10:30", with seconds only when they are not zero.
func (t Instant) Clock() string {
	s := int64(t.ofDay())
	if s%60 != 0 {
		return fmt.Sprintf("%02d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%02d:%02d", s/3600, s/60%60)
}

// String returns t as "D3 10:30"; ParseInstant reads it back.
func (t Instant) String() string { return "D" + strconv.Itoa(t.Day()) + " " + t.Clock() }

// ParseInstant reads "D3 10:30" or "D3 10:30:15".
func ParseInstant(text string) (Instant, error) {
	fail := func() (Instant, error) {
		return 0, Errorf(CodeInput, "write a day and a time of day like D3 10:30", "%q is not a moment of the show", text)
	}
	day, clock, ok := strings.Cut(text, " ")
	if !ok || len(day) < 2 || (day[0] != 'D' && day[0] != 'd') {
		return fail()
	}
	d, err := strconv.Atoi(day[1:])
	if err != nil || d < 1 || d > 1000 {
		return fail()
	}
	parts := strings.Split(clock, ":")
	if len(parts) != 2 && len(parts) != 3 {
		return fail()
	}
	limits := [3]int{24, 59, 59}
	var n [3]int
	for i, p := range parts {
		v, err := strconv.Atoi(p)
		if err != nil || v < 0 || v > limits[i] || len(p) != 2 {
			return fail()
		}
		n[i] = v
	}
	if n[0] == 24 && n[1]+n[2] > 0 {
		return fail()
	}
	return Instant((d-1)*daySeconds + n[0]*3600 + n[1]*60 + n[2]), nil
}

// MarshalText writes t as String does; the zero Instant as "".
func (t Instant) MarshalText() ([]byte, error) {
	if t == 0 {
		return nil, nil
	}
	return []byte(t.String()), nil
}

// UnmarshalText reads what MarshalText writes.
func (t *Instant) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*t = 0
		return nil
	}
	v, err := ParseInstant(string(text))
	if err != nil {
		return err
	}
	*t = v
	return nil
}

// Metres returns c as "18.00 m".
func (c Centimetres) Metres() string {
	sign := ""
	if c < 0 {
		sign, c = "-", -c
	}
	return fmt.Sprintf("%s%d.%02d m", sign, c/100, c%100)
}

// Words returns s as "1 h 05 min", "12 min", "45 s" or "1 min 30 s".
func (s Seconds) Words() string {
	if s < 0 {
		return "-" + max(-s, -(s+1)).Words() // the least number has no opposite
	}
	switch {
	case s < 60:
		return fmt.Sprintf("%d s", s)
	case s%60 != 0:
		return (s - s%60).Words() + fmt.Sprintf(" %02d s", s%60)
	case s < 3600:
		return fmt.Sprintf("%d min", s/60)
	case s%3600 == 0:
		return fmt.Sprintf("%d h", s/3600)
	}
	return fmt.Sprintf("%d h %02d min", s/3600, s/60%60)
}
