package main

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"sallyport"
	"sallyport/internal/workbook"
)

// happenFlags say what has happened or was found.
type happenFlags struct {
	Late      []string `help:"A vehicle that starts only at a time." placeholder:"AVOCET=11:05" sep:"none"`
	Failed    []string `help:"A vehicle that has broken down, and where; in lane if nothing is said." placeholder:"BITTERN=WHERE" sep:"none"`
	DoNotMove []string `help:"A vehicle that must stay where it stands, until a time if one is given." placeholder:"CRAKE[=14:00]" sep:"none"`
	Limits    []string `help:"A vehicle that is fit with limits: no reverse, so many runs a day." placeholder:"\"DUNLIN=no reverse, 2 runs\"" sep:"none"`
	Stands    []string `help:"A vehicle that stands elsewhere than planned: lane, and number from the mouth." placeholder:"HERON=C4:1" sep:"none"`
	Cancel    []string `help:"A serial that is cancelled." placeholder:"S4" sep:"none"`
	Delay     []string `help:"A serial that is late, by so many minutes." placeholder:"S4=10" sep:"none"`
	Swap      []string `help:"Two serials that change places." placeholder:"S4=S5" sep:"none"`
	Reserve   []string `help:"A vehicle whose entry in a serial is taken by another." placeholder:"\"BITTERN=CURLEW in S4\"" sep:"none"`
	CloseLane []string `help:"A lane that is closed, from and to a time if they are given." placeholder:"C4[=12:00-15:00]" sep:"none"`
	TeamLost  int      `help:"So many marshal teams fewer for the rest of the day." type:"counter"`
	Findings  []string `help:"A file of findings: CSV with the columns kind, vehicle, where, until, lane, place, serial, other, minutes, reserve, from, to, limits; or a JSON list." placeholder:"FILE" sep:"none"`
}

// happenings reads what has happened, for a show and a moment; what is wrong
// is collected.
type happenings struct {
	names *workbook.Lookup
	at    sallyport.Instant
	show  *sallyport.Show
	list  []sallyport.Happening
	wrong []error
}

// happened returns what the flags say. The error lists all that cannot be
// read.
func (f *happenFlags) happened(show *sallyport.Show, at sallyport.Instant) ([]sallyport.Happening, error) {
	h := &happenings{names: workbook.NewLookup(show), at: at, show: show}
	for _, given := range []struct {
		flag  string
		texts []string
		read  func(h *happenings, name, rest string) sallyport.Happening
	}{
		{"late", f.Late, (*happenings).late},
		{"failed", f.Failed, (*happenings).failed},
		{"do-not-move", f.DoNotMove, (*happenings).doNotMove},
		{"limits", f.Limits, (*happenings).limits},
		{"stands", f.Stands, (*happenings).stands},
		{"cancel", f.Cancel, (*happenings).cancel},
		{"delay", f.Delay, (*happenings).delay},
		{"swap", f.Swap, (*happenings).swap},
		{"reserve", f.Reserve, (*happenings).reserve},
		{"close-lane", f.CloseLane, (*happenings).closeLane},
	} {
		for _, text := range given.texts {
			name, rest, _ := strings.Cut(text, "=")
			before := len(h.wrong)
			x := given.read(h, strings.TrimSpace(name), strings.TrimSpace(rest))
			for i := before; i < len(h.wrong); i++ {
				h.wrong[i] = fmt.Errorf("--%s %q: %w", given.flag, text, h.wrong[i])
			}
			h.list = append(h.list, x)
		}
	}
	for range f.TeamLost {
		h.list = append(h.list, sallyport.Happening{Kind: sallyport.HappenTeam})
	}
	for _, path := range f.Findings {
		h.file(path)
	}
	return h.list, h.err()
}

// err returns all that is wrong as one error, nil when nothing is.
func (h *happenings) err() error {
	switch len(h.wrong) {
	case 0:
		return nil
	case 1:
		var known *sallyport.Error
		if errors.As(h.wrong[0], &known) {
			return &sallyport.Error{Code: known.Code, Message: strings.TrimSuffix(h.wrong[0].Error(), ": "+known.Hint), Hint: known.Hint}
		}
		return h.wrong[0]
	}
	lines := make([]string, len(h.wrong))
	for i, err := range h.wrong {
		lines[i] = err.Error()
	}
	return sallyport.Errorf(sallyport.CodeInput, "", "%d things that are said to have happened cannot be read\n  %s", len(lines), strings.Join(lines, "\n  "))
}

func (h *happenings) bad(err error) {
	if err != nil {
		h.wrong = append(h.wrong, err)
	}
}

func (h *happenings) find(name, kind string) string {
	id, err := h.names.Find(name, kind)
	h.bad(err)
	return id
}

func (h *happenings) unit(name string) sallyport.UnitID {
	return sallyport.UnitID(h.find(name, "unit"))
}

func (h *happenings) serial(name string) sallyport.SerialID {
	return sallyport.SerialID(h.find(name, "serial"))
}

func (h *happenings) lane(name string) sallyport.LaneID {
	return sallyport.LaneID(h.find(name, "lane"))
}

// when reads a time of the day at hand, or a day and a time.
func (h *happenings) when(text string) sallyport.Instant {
	if seconds, err := workbook.TimeOfDay(text); err == nil {
		return sallyport.At(h.at.Day(), 0, 0) + sallyport.Instant(seconds)
	}
	t, err := moment(h.show, text)
	h.bad(err)
	return t
}

func (h *happenings) late(name, rest string) sallyport.Happening {
	x := sallyport.Happening{Kind: sallyport.HappenLate, Unit: h.unit(name)}
	if rest != "" {
		x.Until = h.when(rest)
	}
	return x
}

// failed reads where a vehicle has failed: one of the kinds of failure, and a
// lane after it where that is of one.
func (h *happenings) failed(name, rest string) sallyport.Happening {
	x := sallyport.Happening{Kind: sallyport.HappenFailed, Unit: h.unit(name), Where: sallyport.FailInLane}
	if rest == "" {
		return x
	}
	low := strings.ToLower(rest)
	for _, kind := range sallyport.FailureKinds {
		after, ok := strings.CutPrefix(low, string(kind))
		if !ok || kind == sallyport.FailLate {
			continue
		}
		x.Where = kind
		if lane := strings.TrimSpace(rest[len(rest)-len(after):]); lane != "" {
			word, of, found := strings.Cut(lane, " ")
			if found && slices.Contains([]string{"of", "to", "lane"}, strings.ToLower(word)) {
				lane = of
			}
			x.Lane = h.lane(lane)
		}
		return x
	}
	h.bad(sallyport.Errorf(sallyport.CodeInput, "in lane, in the mouth, on the line, on road or gate, in the arena, while reversing in", "%q is no place where a vehicle fails", rest))
	return x
}

func (h *happenings) doNotMove(name, rest string) sallyport.Happening {
	x := sallyport.Happening{Kind: sallyport.HappenDoNotMove, Unit: h.unit(name)}
	if rest != "" {
		x.Until = h.when(rest)
	}
	return x
}

func (h *happenings) limits(name, rest string) sallyport.Happening {
	x := sallyport.Happening{Kind: sallyport.HappenLimits, Unit: h.unit(name)}
	for _, limit := range strings.FieldsFunc(rest, func(r rune) bool { return r == ',' || r == ';' }) {
		limit = strings.ToLower(strings.TrimSpace(limit))
		number, _, _ := strings.Cut(limit, " ")
		n, err := strconv.Atoi(number)
		switch {
		case strings.HasPrefix(limit, "no reverse"), strings.HasPrefix(limit, "may not reverse"):
			x.NoReverse = true
		case err == nil && strings.Contains(limit, "run"):
			x.MaxRuns = n
		default:
			h.bad(sallyport.Errorf(sallyport.CodeInput, "write no reverse, or a number of runs like 2 runs", "%q is no limit", limit))
		}
	}
	return x
}

func (h *happenings) stands(name, rest string) sallyport.Happening {
	lane, place, numbered := strings.Cut(rest, ":")
	x := sallyport.Happening{Kind: sallyport.HappenElsewhere, Unit: h.unit(name), Lane: h.lane(strings.TrimSpace(lane))}
	if numbered {
		n, err := strconv.Atoi(strings.TrimSpace(place))
		if err != nil || n < 1 {
			h.bad(sallyport.Errorf(sallyport.CodeInput, "1 is the nearest to the mouth", "%q is no place in a lane", place))
		}
		x.Place = n
	}
	return x
}

func (h *happenings) cancel(name, _ string) sallyport.Happening {
	return sallyport.Happening{Kind: sallyport.HappenCancelled, Serial: h.serial(name)}
}

func (h *happenings) delay(name, rest string) sallyport.Happening {
	by, err := workbook.Span(rest)
	h.bad(err)
	return sallyport.Happening{Kind: sallyport.HappenDelayed, Serial: h.serial(name), By: by}
}

func (h *happenings) swap(name, rest string) sallyport.Happening {
	other, meant := otherDay(rest)
	return sallyport.Happening{Kind: sallyport.HappenSwapped, Serial: h.serial(name), Other: h.serial(other), OtherDay: meant}
}

// otherDay takes the words off the name of a serial that say that a serial of
// another day is meant.
func otherDay(text string) (serial string, meant bool) {
	const words = " on another day"
	if n := len(text) - len(words); n > 0 && strings.EqualFold(text[n:], words) {
		return strings.TrimSpace(text[:n]), true
	}
	return text, false
}

func (h *happenings) reserve(name, rest string) sallyport.Happening {
	reserve, serial, ok := strings.Cut(rest, " in ")
	if !ok {
		h.bad(sallyport.Errorf(sallyport.CodeInput, "write Bittern=Curlew in S4", "the serial is missing"))
		return sallyport.Happening{Kind: sallyport.HappenReserve}
	}
	return sallyport.Happening{Kind: sallyport.HappenReserve, Unit: h.unit(name), Reserve: h.unit(strings.TrimSpace(reserve)), Serial: h.serial(strings.TrimSpace(serial))}
}

func (h *happenings) closeLane(name, rest string) sallyport.Happening {
	x := sallyport.Happening{Kind: sallyport.HappenLane, Lane: h.lane(name)}
	from, to, both := strings.Cut(rest, "-")
	if strings.TrimSpace(from) != "" {
		x.From = h.when(strings.TrimSpace(from))
	}
	if both && strings.TrimSpace(to) != "" {
		x.To = h.when(strings.TrimSpace(to))
	}
	return x
}
