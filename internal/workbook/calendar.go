package workbook

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	sp "sallyport"
)

// civil is a date, counted in days from 1 January 1970.
type civil int64

// civilOf returns a date; ok is false when the month has no such day.
func civilOf(year, month, day int) (civil, bool) {
	t := time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
	if month < 1 || month > 12 || t.Day() != day || int(t.Month()) != month {
		return 0, false
	}
	return civil(t.Unix() / daySeconds), true
}

// civilOfSerial returns the date a spreadsheet counts as day n.
func civilOfSerial(n int64) civil { return civil(n - 25569) }

func (c civil) time() time.Time { return time.Unix(int64(c)*daySeconds, 0).UTC() }

// String returns the date as 2027-06-26.
func (c civil) String() string { return c.time().Format("2006-01-02") }

func (c civil) weekday() time.Weekday { return c.time().Weekday() }

// dayWord is one way to name a day: a number, a date, a day of the week, or a
// name of the show's own. Several may stand together: Sat 26 June.
type dayWord struct {
	number  int // 0: none
	date    civil
	dated   bool
	noYear  bool // the year of date is not given
	weekday time.Weekday
	weekly  bool
	name    string // folded
}

var (
	dayNumber  = regexp.MustCompile(`^(?:d|day)\s*(\d{1,3})$`)
	isoDate    = regexp.MustCompile(`^(\d{4})[-./](\d{1,2})[-./](\d{1,2})$`)
	shortDate  = regexp.MustCompile(`^(\d{1,2})[-./](\d{1,2})(?:[-./](\d{4}|\d{2})?)?$`)
	worded     = regexp.MustCompile(`^(\d{1,2})(?:st|nd|rd|th)?(?:\s+of)?[\s-]+([a-z]{3,9})\.?(?:[\s-]+(\d{4}|\d{2}))?$`)
	wordedBack = regexp.MustCompile(`^([a-z]{3,9})\.?\s+(\d{1,2})(?:st|nd|rd|th)?(?:\s+(\d{4}))?$`)
)

var weekdays = []string{"sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday"}

var months = []string{"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"}

// wordIndex finds the word of a list of which s is the whole or the first
// three or more letters; -1 when there is none.
func wordIndex(list []string, s string) int {
	s = strings.TrimSuffix(s, ".")
	if len(s) < 3 {
		return -1
	}
	for i, w := range list {
		if strings.HasPrefix(w, s) || w == "september" && s == "sept" {
			return i
		}
	}
	return -1
}

// parseDay reads the words for a day. Dates are day first, as 26/6.
func parseDay(text string) (dayWord, *mistake) {
	w := dayWord{name: fold(text)}
	s := strings.ToLower(strings.TrimSpace(strings.ReplaceAll(text, ",", " ")))
	s = strings.Join(strings.Fields(s), " ")
	if m := dayNumber.FindStringSubmatch(s); m != nil {
		w.number = int(atoi(m[1]))
		if w.number == 0 {
			return w, wrong("the first day is day 1", "there is no day 0")
		}
		return w, nil
	}
	first, rest, _ := strings.Cut(s, " ")
	if i := wordIndex(weekdays, first); i >= 0 {
		w.weekday, w.weekly = time.Weekday(i), true
		s = strings.TrimSpace(rest)
		if s == "" {
			return w, nil
		}
	}
	ok, m := w.readDate(s)
	if m != nil {
		return w, m
	}
	if !ok {
		w.weekly = false // "Saturday evening" is a name of the show's own, or nothing
	}
	if ok && !w.noYear && w.weekly && w.date.weekday() != w.weekday {
		return w, wrong("correct the date or the day of the week", "%s is a %s", w.date, w.date.weekday())
	}
	return w, nil
}

// readDate reads a date in figures or words.
func (w *dayWord) readDate(s string) (bool, *mistake) {
	year, month, day := "", 0, 0
	if m := isoDate.FindStringSubmatch(s); m != nil {
		year, month, day = m[1], int(atoi(m[2])), int(atoi(m[3]))
	} else if m := shortDate.FindStringSubmatch(s); m != nil {
		year, month, day = m[3], int(atoi(m[2])), int(atoi(m[1]))
		if month > 12 && day <= 12 {
			return false, wrong("write the day first, or the month in letters: 26 June", "there is no month %d", month)
		}
	} else if m := worded.FindStringSubmatch(s); m != nil && wordIndex(months, m[2]) >= 0 {
		year, month, day = m[3], wordIndex(months, m[2])+1, int(atoi(m[1]))
	} else if m := wordedBack.FindStringSubmatch(s); m != nil && wordIndex(months, m[1]) >= 0 {
		year, month, day = m[3], wordIndex(months, m[1])+1, int(atoi(m[2]))
	} else {
		return false, nil
	}
	y := 2028 // a leap year stands for a year not given
	switch len(year) {
	case 4:
		if y = int(atoi(year)); y < 1990 || y > 2099 {
			return false, nil
		}
	case 2:
		y = 2000 + int(atoi(year))
	default:
		w.noYear = true
	}
	date, ok := civilOf(y, month, day)
	if !ok {
		return false, wrong("correct the date", "there is no such date")
	}
	w.date, w.dated = date, true
	return true, nil
}

// calendar knows the days of a show. first is the date of day 1.
type calendar struct {
	first  civil
	dated  bool // first is known
	noYear bool // but for its year
	days   []sp.Day
}

// date returns the date of a day counted from 1.
func (c *calendar) date(day int) civil { return c.first + civil(day-1) }

// find returns the number of the day the words mean.
func (c *calendar) find(w dayWord, text string) (int, *mistake) {
	if w.number > 0 {
		return c.within(w.number, text)
	}
	for i, d := range c.days {
		if w.name != "" && fold(d.Name) == w.name {
			return i + 1, nil
		}
	}
	if w.dated {
		return c.findDate(w, text)
	}
	if w.weekly {
		return c.findWeekday(w.weekday)
	}
	return 0, wrong("write "+c.choices(), "this is no day of the show")
}

func (c *calendar) findDate(w dayWord, text string) (int, *mistake) {
	if !c.dated {
		return 0, wrong("give the date of the first day on the sheet Show", "the show has no dates")
	}
	date := w.date
	if w.noYear != c.noYear {
		y := 2028
		if w.noYear {
			y = c.first.time().Year()
		}
		t := date.time()
		moved, ok := civilOf(y, int(t.Month()), t.Day())
		if !ok {
			return 0, wrong("correct the date", "there is no such date")
		}
		date = moved
		if w.noYear && date < c.first-180 {
			date, _ = civilOf(y+1, int(t.Month()), t.Day())
		}
	}
	if w.weekly && !c.noYear && date.weekday() != w.weekday {
		return 0, wrong("correct the date or the day of the week", "%s is a %s", date, date.weekday())
	}
	day := int64(date-c.first) + 1
	if day < 1 || day > 1000 {
		return 0, wrong("write "+c.choices(), "the show begins on %s", c.first)
	}
	return c.within(int(day), text)
}

// within checks that a day is one of the show's, or the one after, of which
// the night belongs to the show.
func (c *calendar) within(day int, text string) (int, *mistake) {
	if day > len(c.days)+1 {
		return 0, wrong("add it to the sheet Days, or write "+c.choices(), "the show has only %s", plural(len(c.days), "day"))
	}
	return day, nil
}

func (c *calendar) findWeekday(w time.Weekday) (int, *mistake) {
	found := 0
	for i, d := range c.days {
		words := strings.Fields(fold(d.Name))
		named := false
		for _, word := range words {
			named = named || wordIndex(weekdays, word) == int(w)
		}
		if named || c.dated && !c.noYear && c.date(i+1).weekday() == w {
			if found > 0 {
				return 0, wrong("write "+c.choices(), "the show has more than one %s", w)
			}
			found = i + 1
		}
	}
	if found == 0 {
		return 0, wrong("write "+c.choices(), "the show has no %s", w)
	}
	return found, nil
}

// choices lists the names of the days, for advice.
func (c *calendar) choices() string {
	var names []string
	for i, d := range c.days {
		name := "D" + strconv.Itoa(i+1)
		if d.Name != "" {
			name = d.Name
		}
		names = append(names, name)
		if i == 5 && len(c.days) > 7 {
			names = append(names, "…")
			break
		}
	}
	if len(names) == 0 {
		return "the day as D1, D2 …"
	}
	return "one of " + strings.Join(names, ", ")
}

// name returns how a day is written so that find reads it back.
func (c *calendar) name(day int) string {
	if day >= 1 && day <= len(c.days) {
		name := c.days[day-1].Name
		if w, m := parseDay(name); m == nil && strings.TrimSpace(name) == name && name != "" {
			if got, m := c.find(w, name); m == nil && got == day {
				return name
			}
		}
	}
	return "D" + strconv.Itoa(day)
}

// plural returns "1 day", "3 days".
func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}
