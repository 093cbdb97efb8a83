package workbook

import (
	"testing"

	"pgregory.net/rapid"

	sp "sallyport"
)

func TestMeasure(t *testing.T) {
	metre, ton := lengthUnits["m"], massUnits["ton"]
	cases := []struct {
		dim  *dimension
		bare *unit
		text string
		want int64 // -1: cannot be read
	}{
		{aLength, &metre, "14.5", 1450},
		{aLength, &metre, "14,5", 1450},
		{aLength, nil, "14.5", -1},
		{aLength, nil, "14.5 m", 1450},
		{aLength, nil, "435cm", 435},
		{aLength, nil, "4350 mm", 435},
		{aLength, nil, "4,350 mm", 435},
		{aLength, nil, "4.350 mm", -1},
		{aLength, nil, "4.355 m", 436},
		{aLength, nil, "14'6\"", 442},
		{aLength, nil, "14' 6", 442},
		{aLength, nil, "14ft 6in", 442},
		{aLength, nil, "14 feet 6 inches", 442},
		{aLength, nil, "14ft6", 442},
		{aLength, nil, "14\u20196\u201d", 442},
		{aLength, nil, "6½ ft", 198},
		{aLength, nil, "4 m 35", 435},
		{aLength, nil, "6in 14ft", -1},
		{aLength, nil, "1 2 3", -1},
		{aLength, nil, "m", -1},
		{aLength, nil, "", 0},
		{aLength, nil, "ca. 5 m", 500},
		{aLength, nil, "12 km", -1},
		{aLength, nil, "99999999999999999999 m", -1},
		{aLength, nil, "-3 m", -300},
		{aLength, nil, "1.2.3 m", -1},
		{aMass, nil, "8.9 t", 8900},
		{aMass, nil, "8,900 kg", 8900},
		{aMass, nil, "8 900 kg", 8900},
		{aMass, nil, "1.234.567 g", 1235},
		{aMass, nil, "175 cwt", 8890},
		{aMass, nil, "8 t 15 cwt", 8762},
		{aMass, nil, "10 tons", -1},
		{aMass, &ton, "10", -1},
		{aMass, nil, "10 long tons", 10160},
		{aMass, nil, "10 short tons", 9072},
		{aMass, nil, "10 metric tons", 10000},
		{aMass, nil, "1,102 lb", 500},
		{aMass, nil, "5 m", -1},
	}
	for _, c := range cases {
		got, bad := c.dim.measure(c.text, c.bare)
		if bad != nil {
			got = -1
		}
		if got != c.want {
			t.Errorf("%q reads as %d, not %d (%v)", c.text, got, c.want, bad)
		}
	}
}

// Lengths, masses, spans, chances and windows are read back as they are
// written, whatever they are.
func TestValuesAreReadBack(t *testing.T) {
	metre := lengthUnits["m"]
	rapid.Check(t, func(t *rapid.T) {
		c := sp.Centimetres(rapid.Int64Range(0, 1_000_000).Draw(t, "cm"))
		if got, bad := aLength.measure(centimetres(c), &metre); bad != nil || got != int64(c) {
			t.Fatalf("%d cm is written %q and read %d (%v)", c, centimetres(c), got, bad)
		}
		s := sp.Seconds(rapid.Int64Range(0, mostSpan).Draw(t, "s"))
		if got, bad := span(spanCell(s).text, 60); bad != nil || got != int64(s) {
			t.Fatalf("%d s is written %q and read %d (%v)", s, spanCell(s).text, got, bad)
		}
		if got, bad := span(s.Words(), 60); bad != nil || got != int64(s) {
			t.Fatalf("%d s in words is %q and read %d (%v)", s, s.Words(), got, bad)
		}
		clock := rapid.Int64Range(0, daySeconds-1).Draw(t, "clock")
		if got, bad := timeOfDay(sp.Instant(clock).Clock()); bad != nil || got != clock {
			t.Fatalf("%s is read %d (%v)", sp.Instant(clock).Clock(), got, bad)
		}
		if got, _, bad := cellClock(timeCell(float64(clock) / daySeconds)); bad != nil || got != clock {
			t.Fatalf("%d s as a spreadsheet's time is read %d (%v)", clock, got, bad)
		}
	})
}

func TestCivilDates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := civil(rapid.Int64Range(7305, 47_481).Draw(t, "day")) // 1990 to 2099
		for _, text := range []string{d.String(), d.time().Format("2/1/2006"), d.time().Format("2 January 2006"), d.time().Format("Mon 2 Jan 2006"), d.time().Format("Monday, 2.1.2006")} {
			w, bad := parseDay(text)
			if bad != nil || !w.dated || w.date != d {
				t.Fatalf("%q is read as %s (%v)", text, w.date, bad)
			}
		}
		if civilOfSerial(int64(d)+25569) != d {
			t.Fatalf("day %d of a spreadsheet is %s", int64(d)+25569, civilOfSerial(int64(d)+25569))
		}
	})
}

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"avocet", "avocet", 0}, {"avocet", "avocte", 1}, {"knot", "knott", 1}, {"teal", "tel", 1}, {"dunlin", "curlew", 3}, {"", "ab", 2}, {"grebe", "greba", 1}} {
		if got := distance(c.a, c.b, 2); got != c.want {
			t.Errorf("%s and %s differ in %d places, not %d", c.a, c.b, got, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[a-d]{0,6}`)
		a, b := word.Draw(t, "a"), word.Draw(t, "b")
		if distance(a, b, 3) != distance(b, a, 3) {
			t.Fatalf("from %q to %q it is farther than back", a, b)
		}
		if (distance(a, b, 3) == 0) != (a == b) {
			t.Fatalf("%q and %q", a, b)
		}
	})
}
