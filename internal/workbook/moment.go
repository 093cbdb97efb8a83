package workbook

import (
	"fmt"
	"math"
	"strings"

	sp "sallyport"
)

// moment is what a cell says about time before the days of the show are
// known: a day, a time of day, or both.
type moment struct {
	day     dayWord
	dayText string
	hasDay  bool
	seconds int64
	clocked bool
	loose   bool // of a heading that may be no day at all
}

const adviceMoment = "write the time, such as 10:30, with its day in front when the row has none: Sat 10:30 or D3 10:30"

// cellMoment reads a moment from a cell.
func cellMoment(c cell) (m moment, guess string, bad *mistake) {
	if c.kind == cellTime && c.num >= 2 {
		days := math.Floor(c.num)
		seconds := int64(math.Round((c.num - days) * daySeconds))
		m = moment{hasDay: true, dayText: civilOfSerial(int64(days)).String(), seconds: seconds, clocked: seconds > 0}
		m.day = dayWord{date: civilOfSerial(int64(days)), dated: true}
		return m, "", nil
	}
	if c.kind != cellText {
		m.seconds, guess, bad = cellClock(c)
		m.clocked = true
		return m, guess, bad
	}
	m, bad = textMoment(c.text)
	return m, "", bad
}

// textMoment reads "10:30", "Sat 10:30", "D3 10:30", "26 June at 2 pm",
// "1030 hrs Sat" or a day alone.
func textMoment(text string) (moment, *mistake) {
	clean := strings.TrimSpace(strings.NewReplacer(",", " ", "\u00a0", " ", "\n", " ", " at ", " ").Replace(text))
	clock, clockErr := timeOfDay(clean)
	if clockErr == nil {
		return moment{seconds: clock, clocked: true}, nil
	}
	if oneDecimal.MatchString(clean) && clean < "25" {
		return moment{}, clockErr
	}
	// A date with its year comes before a time without a colon: in "26 June
	// 2027" 2027 is a year.
	if day, bad := parseDay(clean); bad == nil && day.dated && !day.noYear {
		return moment{day: day, dayText: clean, hasDay: true}, nil
	}
	words := strings.Fields(clean)
	for cut := 1; cut < len(words) && cut <= 6; cut++ {
		head, tail := strings.Join(words[:cut], " "), strings.Join(words[cut:], " ")
		if m, ok := dayAndClock(head, tail); ok {
			return m, nil
		}
		if m, ok := dayAndClock(tail, head); ok {
			return m, nil
		}
	}
	day, err := parseDay(clean)
	if err != nil {
		return moment{}, err
	}
	if day.number > 0 || day.dated || day.weekly {
		return moment{day: day, dayText: clean, hasDay: true}, nil
	}
	if strings.ContainsAny(clean, "0123456789") {
		return moment{}, clockErr.orAdvice(adviceMoment)
	}
	// A name of the show's own, perhaps; found or not when the days are known.
	return moment{day: day, dayText: clean, hasDay: true}, nil
}

// orAdvice replaces the general advice about clocks by a wider one.
func (m *mistake) orAdvice(advice string) *mistake {
	if m.advice == adviceClock {
		return &mistake{message: "this is no time", advice: advice}
	}
	return m
}

// dayAndClock reads a day and a time of day that stand apart. A bare number
// beside a day is part of the date, not an hour.
func dayAndClock(day, clock string) (moment, bool) {
	if len(strings.Trim(clock, "0123456789")) == 0 && len(clock) < 3 {
		return moment{}, false
	}
	seconds, bad := timeOfDay(clock)
	if bad != nil {
		return moment{}, false
	}
	w, bad := parseDay(day)
	if bad != nil || len(strings.Trim(day, "0123456789")) == 0 {
		return moment{}, false
	}
	if w.number == 0 && !w.dated && !w.weekly && strings.ContainsAny(day, ":-\u2013") {
		return moment{}, false // the name of no day: two times, rather
	}
	return moment{day: w, dayText: day, hasDay: true, seconds: seconds, clocked: true}, true
}

// mention keeps the day of a moment, from which the days of the show are told
// when they are not listed.
func (r *reading) mention(m moment) {
	if m.hasDay && (m.day.number > 0 || m.day.dated || m.day.weekly) {
		r.mentioned = append(r.mentioned, m)
	}
}

// dayOf returns the day of a moment: its own, else that of its row, else the
// only day of the show.
func (s source) dayOf(m moment) (int, bool) {
	if !m.hasDay {
		if day, known, bad := s.rowDay(); known || bad {
			return day, known
		}
		if len(s.cal.days) == 1 {
			return 1, true
		}
		s.say(Stop, "the day is missing", "write it in front, such as D2 10:30, or add a column Day")
		return 0, false
	}
	day, bad := s.cal.find(m.day, m.dayText)
	if bad != nil {
		s.stop(bad)
		return 0, false
	}
	if day > len(s.cal.days) && (!m.clocked || m.seconds > nightEnds) {
		s.say(Stop, fmt.Sprintf("the show has only %s", plural(len(s.cal.days), "day")), "add the day to the sheet Days, or write "+s.cal.choices())
		return 0, false
	}
	return day, true
}

// rowDay returns the day of the cell's row. A day that is none of the show's
// is reported once, where it is written; bad says that it was.
func (s source) rowDay() (day int, known, bad bool) {
	rec := s.rec
	if rec.badDay || rec.day == nil {
		return 0, false, rec.badDay
	}
	day, wrong := s.cal.find(rec.day.day, rec.day.dayText)
	switch {
	case wrong == nil && day <= len(s.cal.days):
		return day, true, false
	case rec.day.loose:
		return 0, false, false // of a heading that is no day
	case wrong == nil:
		wrong = &mistake{fmt.Sprintf("the show has only %s", plural(len(s.cal.days), "day")), "add the day to the sheet Days, or write " + s.cal.choices()}
	}
	rec.badDay = true
	if rec.dayFrom != nil {
		rec.dayFrom.stop(wrong)
	}
	return 0, false, true
}

// nightEnds is the time of day up to which a night after the last day belongs
// to the show.
const nightEnds = 6 * 3600

// instant reads a moment and hands it on when the days are known.
func (s source) instant(done func(sp.Instant)) {
	m, guess, bad := cellMoment(s.cell)
	if bad != nil {
		s.stop(bad)
		return
	}
	if !m.clocked {
		message := "this is no time"
		if plain(m) {
			message = "the time of day is missing"
		}
		s.say(Stop, message, adviceMoment)
		return
	}
	if guess != "" {
		s.say(Assumed, guess, "type it as a time, with a colon")
	}
	s.mention(m)
	s.do(func() {
		if day, ok := s.dayOf(m); ok {
			s.exact(day, m.seconds, done)
		}
	})
}

// exact hands on a moment. Midnight before the first day cannot be told from
// "not given" and is refused.
func (s source) exact(day int, seconds int64, done func(sp.Instant)) {
	t := sp.At(day, 0, 0) + sp.Instant(seconds)
	if t == 0 {
		s.say(Stop, "the show's clock begins with this moment, so it cannot be used", "write 00:01")
		return
	}
	done(t)
}

// window reads a span between two moments: "Thu 10:00 - 16:00", a day alone
// for all of it, "from Sat 9:00", "until Sun 12:00", or one moment, from
// which the window is open.
func (s source) window(done func(sp.Window)) {
	from, to, bad := cellWindow(s.cell)
	if bad != nil {
		s.stop(bad)
		return
	}
	for _, m := range []*moment{from, to} {
		if m != nil {
			s.mention(*m)
		}
	}
	s.do(func() { s.settleWindow(from, to, done) })
}

func (s source) settleWindow(from, to *moment, done func(sp.Window)) {
	var w sp.Window
	if from != nil {
		day, ok := s.dayOf(*from)
		if !ok {
			return
		}
		w.From = sp.At(day, 0, 0) + sp.Instant(from.seconds)
		if !from.clocked && to == nil {
			w.To = sp.At(day+1, 0, 0)
		}
		if to != nil && !to.hasDay {
			to.day, to.dayText, to.hasDay = dayWord{number: day}, "", true
		}
	}
	if to != nil {
		day, ok := s.dayOf(*to)
		if !ok {
			return
		}
		w.To = sp.At(day, 0, 0) + sp.Instant(to.seconds)
		if !to.clocked {
			w.To = sp.At(day+1, 0, 0)
		}
	}
	if w.From != 0 && w.To != 0 && w.To <= w.From {
		s.say(Stop, "the end does not come after the beginning", "correct one of them")
		return
	}
	done(w)
}

// cellWindow reads the two moments of a window; nil is an end not given.
func cellWindow(c cell) (from, to *moment, bad *mistake) {
	if c.kind != cellText {
		m, _, bad := cellMoment(c)
		return &m, nil, bad
	}
	text := strings.TrimSpace(c.text)
	lower := strings.ToLower(text)
	for _, w := range []string{"from ", "after ", "not before "} {
		if strings.HasPrefix(lower, w) && !strings.Contains(lower, " to ") && !strings.Contains(lower, " until ") {
			m, bad := textMoment(text[len(w):])
			return &m, nil, bad
		}
	}
	for _, w := range []string{"until ", "till ", "by ", "before ", "not after "} {
		if strings.HasPrefix(lower, w) {
			m, bad := textMoment(text[len(w):])
			return nil, &m, bad
		}
	}
	if m, bad := textMoment(text); bad == nil && (m.clocked || m.day.number > 0 || m.day.dated || m.day.weekly) {
		return &m, nil, nil
	}
	text = strings.TrimPrefix(text, "from ")
	for _, sep := range []string{" - ", "\u2013", "\u2014", " to ", " until ", " till ", "-"} {
		for at := 0; ; {
			i := strings.Index(text[at:], sep)
			if i < 0 {
				break
			}
			i += at
			a, badA := textMoment(text[:i])
			b, badB := textMoment(text[i+len(sep):])
			if badA == nil && badB == nil && plain(a) && plain(b) {
				return &a, &b, nil
			}
			at = i + len(sep)
		}
	}
	if m, bad := textMoment(text); bad == nil {
		return &m, nil, nil
	}
	return nil, nil, wrong("write a beginning and an end, such as Thu 10:00 - 16:00, or one of them: from Thu 10:00, until Sun 12:00", "this is no span between two times")
}

// plain reports whether a moment is certain without the days of the show.
func plain(m moment) bool { return m.clocked || m.day.number > 0 || m.day.dated || m.day.weekly }

// windowText writes a window so that cellWindow reads it back.
func windowText(w sp.Window) string {
	switch {
	case w.From == 0 && w.To == 0:
		return ""
	case w.To == 0:
		return "from " + w.From.String()
	case w.From == 0:
		return "until " + w.To.String()
	}
	return w.From.String() + " - " + w.To.String()
}
