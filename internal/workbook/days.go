package workbook

import (
	"fmt"
	"slices"
	"strings"
	"time"

	sp "sallyport"
)

// maxDays is the longest show that is believed.
const maxDays = 60

// settleDays makes the calendar: from the sheet of days, or from the days
// that are mentioned anywhere.
func (r *reading) settleDays() {
	if w, bad := parseDay(r.show.FirstDate); bad == nil && w.dated && !w.noYear {
		r.cal.first, r.cal.dated = w.date, true
	}
	if len(r.days) > 0 {
		r.listedDays()
		return
	}
	r.mentionedDays()
}

// listedDays takes the days from their sheet.
func (r *reading) listedDays() {
	for i, d := range r.days {
		if d.date.hasDay {
			s, _ := r.at(d, "date")
			r.checkDate(s, i, d.date.day)
		}
	}
	for i, d := range r.days {
		if d.Name == "" {
			d.Name = fmt.Sprintf("Day %d", i+1)
			if r.cal.dated && !r.cal.noYear {
				d.Name = r.cal.date(i + 1).weekday().String()
			}
		}
		r.cal.days = append(r.cal.days, d.Day)
		r.where[object{"day", fmt.Sprint(i + 1)}] = r.records[d]
	}
	if r.cal.dated && !r.cal.noYear && r.show.FirstDate == "" {
		r.show.FirstDate = r.cal.first.String()
	}
}

// checkDate takes the date of a listed day, or compares it with the dates
// known already.
func (r *reading) checkDate(s source, i int, w dayWord) {
	switch {
	case !r.cal.dated:
		r.cal.first, r.cal.dated, r.cal.noYear = w.date-civil(i), true, w.noYear
	case w.noYear != r.cal.noYear:
		if got, want := w.date.time(), r.cal.date(i+1).time(); got.Month() != want.Month() || got.Day() != want.Day() {
			s.say(Stop, fmt.Sprintf("day %d would be %s", i+1, want.Format("2 January")), "list every day, one after the other, or correct the first date")
		}
	case w.date != r.cal.date(i+1):
		s.say(Stop, fmt.Sprintf("day %d would be %s", i+1, r.cal.date(i+1)), "list every day, one after the other, or correct the first date")
	}
}

// mentionedDays takes the days from all cells that name one.
func (r *reading) mentionedDays() {
	if len(r.mentioned) == 0 {
		if len(r.serials) > 0 || len(r.vehicles) > 0 {
			r.cal.days = []sp.Day{{Name: "Day 1"}}
			r.guessDays()
		}
		return
	}
	most := 0
	var dates []civil
	var week [7]bool
	weekly := false
	yearly := r.cal.dated
	for _, m := range r.mentioned {
		yearly = yearly || m.day.dated && !m.day.noYear
	}
	for _, m := range r.mentioned {
		switch w := m.day; {
		case w.number > 0:
			most = max(most, w.number)
		case w.dated:
			dates = append(dates, r.withYear(w, yearly))
		case w.weekly:
			week[w.weekday], weekly = true, true
		}
	}
	switch {
	case len(dates) > 0 || r.cal.dated:
		r.datedDays(dates, week, most, yearly)
	case weekly:
		r.weekDays(week, most)
	default:
		for i := 1; i <= min(most, maxDays); i++ {
			r.cal.days = append(r.cal.days, sp.Day{Name: fmt.Sprintf("Day %d", i)})
		}
	}
	r.guessDays()
}

// withYear gives a date without a year the year of the others.
func (r *reading) withYear(w dayWord, yearly bool) civil {
	if !w.noYear || !yearly {
		return w.date
	}
	year := r.cal.first.time().Year()
	if !r.cal.dated {
		for _, m := range r.mentioned {
			if m.day.dated && !m.day.noYear {
				year = m.day.date.time().Year()
				break
			}
		}
	}
	if date, ok := civilOf(year, int(w.date.time().Month()), w.date.time().Day()); ok {
		return date
	}
	return w.date
}

func (r *reading) datedDays(dates []civil, week [7]bool, most int, yearly bool) {
	if !r.cal.dated {
		r.cal.first, r.cal.dated, r.cal.noYear = slices.Min(dates), true, !yearly
		if yearly {
			r.show.FirstDate = r.cal.first.String()
		}
	}
	last := r.cal.first
	for _, d := range dates {
		last = max(last, d)
	}
	if !r.cal.noYear {
		for wd, used := range week {
			if used {
				last = max(last, r.cal.first+civil((wd-int(r.cal.first.weekday())+7)%7))
			}
		}
	}
	n := max(int(last-r.cal.first)+1, most)
	if n > maxDays {
		r.report(Problem{Message: fmt.Sprintf("the dates reach from %s to %s, %d days", r.cal.first, last, n), Advice: "correct the date that is wrong, or list the days on the sheet Days", Severity: Stop})
		n = maxDays
	}
	for i := 1; i <= n; i++ {
		name := r.cal.date(i).weekday().String()
		if r.cal.noYear {
			name = r.cal.date(i).time().Format("2 January")
		} else if n > 7 {
			name = r.cal.date(i).time().Format("Monday 2 January")
		}
		r.cal.days = append(r.cal.days, sp.Day{Name: name})
	}
}

// weekDays makes days of the days of the week: the shortest run that holds
// all of them.
func (r *reading) weekDays(week [7]bool, most int) {
	start, length := 0, 8
	for s := range week {
		if !week[s] {
			continue
		}
		last := 0
		for i := range 7 {
			if week[(s+i)%7] {
				last = i
			}
		}
		if last+1 < length {
			start, length = s, last+1
		}
	}
	for i := range min(max(length, most), 7) {
		r.cal.days = append(r.cal.days, sp.Day{Name: time.Weekday((start + i) % 7).String()})
	}
}

// guessDays says which days were taken.
func (r *reading) guessDays() {
	var names []string
	for _, d := range r.cal.days {
		names = append(names, d.Name)
	}
	r.report(Problem{
		Message: "there is no sheet of days; the days were taken to be " + strings.Join(names, ", "),
		Advice:  "add a sheet Days with their names, dates and hours", Severity: Assumed,
	})
}
