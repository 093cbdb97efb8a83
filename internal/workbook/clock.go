package workbook

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	sp "sallyport"
)

const daySeconds = 86_400

var (
	clockParts = regexp.MustCompile(`^(\d{1,2})(?:[:.h](\d{2})(?:[:.](\d{2}))?)?\s*(hrs?|hours?|h|uhr)?\s*(am|pm|a\.m\.?|p\.m\.?)?$`)
	clockRun   = regexp.MustCompile(`^(\d{1,2})(\d{2})\s*(hrs?|hours?|h)?$`)
	oneDecimal = regexp.MustCompile(`^\d{1,2}[.]\d$`)
)

const adviceClock = "write the time like 10:30"

// timeOfDay reads a time of day as people write it: 10:30, 10.30, 1030, 1030
// hrs, 10h30, 10:30:15, 2 pm, noon. It returns seconds from midnight, up to
// 24:00.
func timeOfDay(text string) (int64, *mistake) {
	s := strings.ToLower(strings.TrimSpace(text))
	switch s {
	case "noon", "midday", "12 noon", "12noon":
		return 12 * 3600, nil
	}
	if oneDecimal.MatchString(s) {
		return 0, wrong(fmt.Sprintf("write %s or %s", strings.Replace(s, ".", ":0", 1), strings.Replace(s, ".", ":", 1)+"0"), "one figure for the minutes is not enough")
	}
	parts := clockParts.FindStringSubmatch(s)
	if parts == nil {
		if run := clockRun.FindStringSubmatch(s); run != nil {
			parts = []string{s, run[1], run[2], "", "", ""}
		}
	}
	if parts == nil {
		return 0, wrong(adviceClock, "this is no time of day")
	}
	hour, minute, second := atoi(parts[1]), atoi(parts[2]), atoi(parts[3])
	if half := parts[5]; half != "" {
		if hour < 1 || hour > 12 {
			return 0, wrong(adviceClock, "%s with %s is no time of day", parts[1], half)
		}
		hour %= 12
		if half[0] == 'p' {
			hour += 12
		}
	}
	total := hour*3600 + minute*60 + second
	if minute > 59 || second > 59 || total > daySeconds {
		return 0, wrong("hours go from 00 to 24, minutes from 00 to 59", "there is no such time of day")
	}
	return total, nil
}

// atoi reads a few digits; none are 0.
func atoi(s string) int64 {
	n, _ := strconv.ParseInt(s, 10, 64)
	return n
}

// cellClock reads the time of day in a cell. Spreadsheets turn 10.30 into the
// number 10.3, and a time whose format was lost into a fraction of a day.
// guess is not empty when the number could have meant something else.
func cellClock(c cell) (seconds int64, guess string, m *mistake) {
	switch c.kind {
	case cellTime:
		frac := c.num - math.Floor(c.num)
		switch {
		case c.num == 1:
			frac = 1
		case c.num > 1 && c.num < 2:
			return 0, "", wrong(adviceClock, "this is more than a day")
		}
		return int64(math.Round(frac * daySeconds)), "", nil
	case cellNumber:
		if c.num > 0 && c.num < 1 {
			s := int64(math.Round(c.num * daySeconds))
			return s, "", nil
		}
		text := c.text
		if oneDecimal.MatchString(text) {
			text += "0"
			guess = "read as " + strings.Replace(text, ".", ":", 1)
		}
		seconds, m = timeOfDay(text)
		return seconds, guess, m
	}
	seconds, m = timeOfDay(c.text)
	return seconds, "", m
}

// spanUnits are the units of a span, in seconds.
var spanUnits = map[string]int64{
	"s": 1, "sec": 1, "secs": 1, "second": 1, "seconds": 1,
	"min": 60, "mins": 60, "minute": 60, "minutes": 60, "m": 60, "'": 60,
	"h": 3600, "hr": 3600, "hrs": 3600, "hour": 3600, "hours": 3600,
}

const adviceSpan = "write minutes, such as 12 or 12 min, or hours and minutes, such as 0:12"

// mostSpan is the longest span that makes sense anywhere in a show.
const mostSpan = 100 * daySeconds

// span reads a span of time: 12 min, 0:12 (hours and minutes), 1 h 05 min,
// 90 s, or a bare number of the given unit in seconds.
func span(text string, bare int64) (int64, *mistake) {
	s := strings.ToLower(strings.TrimSpace(text))
	if strings.HasPrefix(s, "-") {
		return 0, wrong(adviceSpan, "a span cannot be less than nothing")
	}
	if parts := strings.Split(s, ":"); len(parts) == 2 || len(parts) == 3 {
		return spanClock(parts)
	}
	var total int64
	last := int64(mostSpan)
	for n := 0; s != ""; n++ {
		value, rest, ok := leadingNumber(s)
		if !ok || n > 2 {
			return 0, wrong(adviceSpan, "this is no span of time")
		}
		word, rest := leadingWord(rest)
		unit, known := spanUnits[word]
		switch {
		case word == "" && n == 0:
			unit = bare
		case word == "" && last == 3600:
			unit = 60
		case !known:
			return 0, wrong(adviceSpan, "this is no span of time")
		}
		if unit >= last {
			return 0, wrong(adviceSpan, "this is no span of time")
		}
		pow := int64(1)
		for i := 0; i < value.decimals; i++ {
			pow *= 10
		}
		if value.digits/pow > mostSpan {
			return 0, wrong(adviceSpan, "this is longer than any show")
		}
		total += mulDiv(value.digits, unit, pow)
		last, s = unit, rest
	}
	if total > mostSpan {
		return 0, wrong(adviceSpan, "this is longer than any show")
	}
	return total, nil
}

// spanClock reads hours, minutes and perhaps seconds between colons.
func spanClock(parts []string) (int64, *mistake) {
	total := int64(0)
	for i, p := range parts {
		p = strings.TrimSpace(p)
		n, err := strconv.ParseInt(p, 10, 32)
		if err != nil || n < 0 || i > 0 && (n > 59 || len(p) != 2) {
			return 0, wrong(adviceSpan, "this is no span of time")
		}
		total = total*60 + n
	}
	if len(parts) == 2 {
		total *= 60
	}
	if total > mostSpan {
		return 0, wrong(adviceSpan, "this is longer than any show")
	}
	return total, nil
}

// spanCell writes a span for a column of minutes.
func spanCell(s sp.Seconds) cell {
	if s%60 == 0 {
		return intOrZero(int64(s) / 60)
	}
	if s < 3600 && s > 0 {
		return textCell(fmt.Sprintf("%d min %02d s", s/60, s%60))
	}
	return textCell(fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60))
}

// intOrZero returns a number cell also for zero.
func intOrZero(n int64) cell {
	return cell{kind: cellNumber, text: strconv.FormatInt(n, 10), num: float64(n)}
}

// timeCell returns the cell of a spreadsheet's date or time.
func timeCell(n float64) cell {
	days := math.Floor(n)
	seconds := int64(math.Round((n - days) * daySeconds))
	if seconds == daySeconds {
		days, seconds = days+1, 0
	}
	clock := sp.Instant(seconds).Clock()
	switch {
	case days == 0:
		return cell{kind: cellTime, num: n, text: clock}
	case seconds == 0:
		return cell{kind: cellTime, num: n, text: civilOfSerial(int64(days)).String()}
	}
	return cell{kind: cellTime, num: n, text: civilOfSerial(int64(days)).String() + " " + clock}
}
