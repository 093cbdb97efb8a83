package workbook

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"

	sp "sallyport"
)

// column is one column of a sheet: how its header is written and recognised,
// and how a cell becomes a field of T and back. Field is the field's name in
// the JSON format.
type column[T any] struct {
	field   string
	header  string   // as written, with its unit
	also    string   // other headers, separated by commas
	help    string   // one line for the person who fills it in
	choices []string // the only values, if so
	dim     *dimension
	bare    string           // unit of bare numbers when the header says none
	spans   bool             // of time: the header may say min, h or s
	upTo    int64            // a bare number without any unit is not believed above this
	extra   bool             // not in the template
	read    func(source, *T) // nil: written, but read elsewhere
	write   func(*writing, *T) cell
}

// The functions below make columns of one kind each; at returns the field.

func textCol[T any, S ~string](field, header, also, help string, at func(*T) *S) column[T] {
	return column[T]{
		field: field, header: header, also: also, help: help,
		read:  func(s source, v *T) { *at(v) = S(s.cell.text) },
		write: func(_ *writing, v *T) cell { return textCell(string(*at(v))) },
	}
}

func wordCol[T any, S ~string](field, header, also, help string, words []word, at func(*T) *S) column[T] {
	return column[T]{
		field: field, header: header, also: also, help: help, choices: wordValues(words),
		read: func(s source, v *T) {
			if value, ok := findWord(words, s.cell.text); ok {
				*at(v) = S(value)
				return
			}
			near := ""
			if w, ok := nearest(s.cell.text, wordValues(words), sameText); ok {
				near = w + ", or one of "
			}
			s.say(Stop, "this word is not known here", "write "+near+strings.Join(wordValues(words), ", "))
		},
		write: func(_ *writing, v *T) cell { return textCell(string(*at(v))) },
	}
}

func yesCol[T any](field, header, also, help string, at func(*T) *bool) column[T] {
	return column[T]{
		field: field, header: header, also: also, help: help, choices: []string{"yes", "no"},
		read: func(s source, v *T) {
			yes, ok := yesNo(s.cell.text)
			if !ok {
				s.say(Stop, "this is neither yes nor no", "write yes or no")
				return
			}
			*at(v) = yes
		},
		write: func(_ *writing, v *T) cell {
			if *at(v) {
				return textCell("yes")
			}
			return cell{}
		},
	}
}

// wholeCol is a column of whole numbers of at least least.
func wholeCol[T any, N ~int | ~int64](field, header, also, help string, least int64, at func(*T) *N) column[T] {
	return column[T]{
		field: field, header: header, also: also, help: help,
		read: func(s source, v *T) {
			n, err := strconv.ParseInt(strings.TrimSuffix(strings.TrimSpace(s.cell.text), ".0"), 10, 64)
			if err != nil || n < least || n > 1_000_000_000 {
				s.say(Stop, "this is no whole number that makes sense here", fmt.Sprintf("write a whole number of at least %d", least))
				return
			}
			*at(v) = N(n)
		},
		write: func(_ *writing, v *T) cell { return intCell(int64(*at(v))) },
	}
}

// quantity reads a length or mass into n. zero says whether 0 is a value of
// its own; else it is taken as not given. Signed is for coordinates.
func (s source) quantity(d *dimension, zero, signed bool, done func(int64)) {
	bareNumber := strings.IndexFunc(s.cell.text, unicode.IsLetter) < 0 && !strings.ContainsAny(s.cell.text, "'\"\u2032\u2033\u2019\u201d")
	if bareNumber && !s.headerSaysUnit(d) {
		return
	}
	n, bad := d.measure(s.cell.text, s.unit)
	switch {
	case bad != nil:
		s.stop(bad)
	case bareNumber && s.head != nil && s.head.assumed && s.head.upTo > 0 && n > s.head.upTo:
		s.say(Stop, fmt.Sprintf("%s would be %s", s.cell.text, sp.Centimetres(n).Metres()), "if another unit is meant, write it into the header, such as Length (cm)")
	case n < 0 && !signed:
		s.say(Stop, "a "+d.what+" cannot be less than nothing", d.advice)
	case n == 0 && !zero:
		s.say(Assumed, "0 is taken as not given", "leave the cell empty if it is not known")
	default:
		done(n)
	}
}

func lengthCol[T any](field, header, also, help string, at func(*T) *sp.Centimetres) column[T] {
	return column[T]{
		field: field, header: header + " (m)", also: also, help: help, dim: aLength, bare: "m",
		read: func(s source, v *T) {
			s.quantity(aLength, false, false, func(n int64) { *at(v) = sp.Centimetres(n) })
		},
		write: func(_ *writing, v *T) cell { return metresCell(*at(v), false) },
	}
}

// placeCol is a coordinate: it may be zero or negative.
func placeCol[T any](field, header, also, help string, at func(*T) *sp.Centimetres) column[T] {
	c := lengthCol(field, header, also, help, at)
	c.read = func(s source, v *T) {
		s.quantity(aLength, true, true, func(n int64) { *at(v) = sp.Centimetres(n) })
	}
	return c
}

// speedCol is a speed in centimetres per second.
func speedCol[T any](field, header, also, help string, at func(*T) *sp.Centimetres) column[T] {
	c := lengthCol(field, header, also, help, at)
	c.header, c.bare = header+" (cm/s)", "cm/s"
	c.write = func(_ *writing, v *T) cell { return intCell(int64(*at(v))) }
	return c
}

func metresCell(c sp.Centimetres, zero bool) cell {
	if c == 0 && !zero {
		return cell{}
	}
	return cell{kind: cellNumber, text: centimetres(c), num: float64(c) / 100}
}

func massCol[T any](field, header, also, help string, at func(*T) *sp.Kilograms) column[T] {
	return column[T]{
		field: field, header: header + " (kg)", also: also, help: help, dim: aMass,
		read: func(s source, v *T) {
			s.quantity(aMass, false, false, func(n int64) { *at(v) = sp.Kilograms(n) })
		},
		write: func(_ *writing, v *T) cell { return intCell(int64(*at(v))) },
	}
}

// spanOf reads a span of time from a cell.
func (s source) spanOf(done func(sp.Seconds)) {
	if s.cell.kind == cellTime {
		if s.cell.num*daySeconds > mostSpan {
			s.say(Stop, "this is a date, not a span of time", adviceSpan)
			return
		}
		done(sp.Seconds(s.cell.num*daySeconds + 0.5))
		return
	}
	bare := int64(60)
	if s.unit != nil {
		bare = s.unit.num
	}
	n, bad := span(s.cell.text, bare)
	if bad != nil {
		s.stop(bad)
		return
	}
	done(sp.Seconds(n))
}

func spanCol[T any](field, header, also, help string, at func(*T) *sp.Seconds) column[T] {
	return column[T]{
		field: field, header: header + " (min)", also: also, help: help, spans: true,
		read: func(s source, v *T) { s.spanOf(func(n sp.Seconds) { *at(v) = n }) },
		write: func(_ *writing, v *T) cell {
			if *at(v) == 0 {
				return cell{}
			}
			return spanCell(*at(v))
		},
	}
}

// spanPtrCol is a span of which zero is a value of its own.
func spanPtrCol[T any](field, header, also, help string, at func(*T) **sp.Seconds) column[T] {
	return column[T]{
		field: field, header: header + " (min)", also: also, help: help, spans: true,
		read: func(s source, v *T) { s.spanOf(func(n sp.Seconds) { *at(v) = &n }) },
		write: func(_ *writing, v *T) cell {
			if *at(v) == nil {
				return cell{}
			}
			return spanCell(**at(v))
		},
	}
}

// instantCol is a moment; its day comes from the cell or the row.
func instantCol[T any](field, header, also, help string, at func(*T) *sp.Instant) column[T] {
	return column[T]{
		field: field, header: header, also: also, help: help,
		read:  func(s source, v *T) { s.instant(func(t sp.Instant) { *at(v) = t }) },
		write: func(w *writing, v *T) cell { return w.moment(*at(v)) },
	}
}

func windowCol[T any](field, header, also, help string, at func(*T) *sp.Window) column[T] {
	return column[T]{
		field: field, header: header, also: also, help: help,
		read:  func(s source, v *T) { s.window(func(w sp.Window) { *at(v) = w }) },
		write: func(_ *writing, v *T) cell { return textCell(windowText(*at(v))) },
	}
}

// refCol names one thing of a kind.
func refCol[T any, S ~string](field, header, also, help, kind string, at func(*T) *S) column[T] {
	return column[T]{
		field: field, header: header, also: also, help: help,
		read: func(s source, v *T) {
			s.do(func() {
				if id, ok := s.resolve(kind, s.cell.text); ok {
					*at(v) = S(id)
				}
			})
		},
		write: func(w *writing, v *T) cell { return textCell(w.refer(kind, string(*at(v)))) },
	}
}

// refsCol names several things of a kind.
func refsCol[T any, S ~string](field, header, also, help, kind string, at func(*T) *[]S) column[T] {
	return column[T]{
		field: field, header: header, also: also, help: help,
		read: func(s source, v *T) {
			s.do(func() {
				for _, item := range splitList(s.cell.text, s.names[kind].knowsOne) {
					if id, ok := s.resolve(kind, item); ok {
						*at(v) = append(*at(v), S(id))
					}
				}
			})
		},
		write: func(w *writing, v *T) cell {
			var items []string
			for _, id := range *at(v) {
				items = append(items, w.refer(kind, string(id)))
			}
			return textCell(joinList(items))
		},
	}
}

// textsCol is a list of plain texts.
func textsCol[T any](field, header, also, help string, at func(*T) *[]string) column[T] {
	return column[T]{
		field: field, header: header, also: also, help: help,
		read: func(s source, v *T) {
			*at(v) = splitTexts(s.cell.text)
		},
		write: func(_ *writing, v *T) cell { return textCell(joinList(*at(v))) },
	}
}

// chanceOf reads a chance: 97.5 %, 97.5, or a fraction below 1.
func (s source) chanceOf(done func(sp.Chance)) {
	text := strings.TrimSpace(s.cell.text)
	percent := strings.HasSuffix(text, "%")
	n, rest, ok := leadingNumber(strings.TrimSpace(strings.TrimSuffix(text, "%")))
	pow := int64(1)
	for i := 0; i < n.decimals; i++ {
		pow *= 10
	}
	if !ok || strings.TrimSpace(rest) != "" || n.digits > 1<<50 || n.digits > 100*pow {
		s.say(Stop, "this is no chance", "write percent, such as 97 %")
		return
	}
	switch {
	case percent || n.digits > pow:
		done(sp.Chance(mulDiv(n.digits, 100, pow)))
	case n.digits == pow:
		s.say(Stop, "1 may mean one percent or certain", "write 1 % or 100 %")
	default:
		done(sp.Chance(mulDiv(n.digits, 10_000, pow)))
	}
}

func chanceCell(c sp.Chance) cell { return textCell(fmt.Sprintf("%d.%02d %%", c/100, c%100)) }

func chanceCol[T any](field, header, also, help string, at func(*T) *sp.Chance) column[T] {
	return column[T]{
		field: field, header: header, also: also, help: help,
		read: func(s source, v *T) { s.chanceOf(func(c sp.Chance) { *at(v) = c }) },
		write: func(_ *writing, v *T) cell {
			if *at(v) == 0 {
				return cell{}
			}
			return chanceCell(*at(v))
		},
	}
}

func chancePtrCol[T any](field, header, also, help string, at func(*T) **sp.Chance) column[T] {
	return column[T]{
		field: field, header: header, also: also, help: help,
		read: func(s source, v *T) { s.chanceOf(func(c sp.Chance) { *at(v) = &c }) },
		write: func(_ *writing, v *T) cell {
			if *at(v) == nil {
				return cell{}
			}
			return chanceCell(**at(v))
		},
	}
}

// extra marks a column that the template leaves out.
func extra[T any](c column[T]) column[T] {
	c.extra = true
	return c
}

// upTo makes a column of lengths doubt bare numbers above most centimetres
// when nothing says their unit.
func upTo[T any](c column[T], most int64) column[T] {
	c.upTo = most
	return c
}
