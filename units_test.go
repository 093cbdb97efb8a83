package sallyport_test

import (
	"testing"

	"pgregory.net/rapid"

	"sallyport"
)

func TestInstantInWords(t *testing.T) {
	for _, c := range []struct {
		at   sallyport.Instant
		want string
	}{
		{sallyport.At(1, 0, 1), "D1 00:01"},
		{sallyport.At(3, 10, 30), "D3 10:30"},
		{sallyport.At(3, 10, 30) + 15, "D3 10:30:15"},
		{sallyport.At(2, 0, 0), "D2 00:00"},
		{-160, "D0 23:57:20"},
	} {
		if got := c.at.String(); got != c.want {
			t.Errorf("%d is %q, want %q", c.at, got, c.want)
		}
	}
}

func TestInstantReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := sallyport.Instant(rapid.Int64Range(1, 900*86_400).Draw(t, "at"))
		got, err := sallyport.ParseInstant(at.String())
		if err != nil || got != at {
			t.Fatalf("%s reads back as %v, %v", at, got, err)
		}
	})
}

func TestSpansInWords(t *testing.T) {
	for s, want := range map[sallyport.Seconds]string{0: "0 s", 45: "45 s", 60: "1 min", 90: "1 min 30 s", 3600: "1 h", 3900: "1 h 05 min", -90: "-1 min 30 s"} {
		if got := s.Words(); got != want {
			t.Errorf("%d s is %q, want %q", int64(s), got, want)
		}
	}
}

func TestAmount(t *testing.T) {
	for a, want := range map[sallyport.Amount]string{0: "0", 999: "999", 1000: "1,000", -1234567: "-1,234,567", -999: "-999", 100_000: "100,000"} {
		if got := a.String(); got != want {
			t.Errorf("%d is written %q, not %q", int64(a), got, want)
		}
	}
}
