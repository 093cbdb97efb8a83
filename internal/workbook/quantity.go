package workbook

import (
	"fmt"
	"strings"
	"unicode"

	sp "sallyport"
)

// unit is a unit of length or mass: one of it is num/den centimetres or
// kilograms. fine units are never written with three decimals, so that
// "1,250 kg" is twelve hundred and fifty.
type unit struct {
	name     string
	num, den int64
	fine     bool
	ask      string // not empty: the word has several meanings, and this asks which
}

const askTons = `say which: short tons (907 kg), long tons (1016 kg) or tonnes (t, 1000 kg)`

// lengthUnits and massUnits give the units by the words people write for
// them. Feet and pounds are the international ones.
var (
	lengthUnits = unitWords(map[string]unit{
		"m metre metres meter meters mtr mtrs":           {name: "m", num: 100, den: 1},
		"cm centimetre centimetres centimeter":           {name: "cm", num: 1, den: 1, fine: true},
		"mm millimetre millimetres millimeter":           {name: "mm", num: 1, den: 10, fine: true},
		"ft foot feet '":                                 {name: "ft", num: 3048, den: 100},
		`in inch inches ins "`:                           {name: "in", num: 254, den: 100},
		"yd yds yard yards":                              {name: "yd", num: 9144, den: 100},
		"km kilometre kilometres":                        {name: "km", num: 100_000, den: 1},
		"centimetres/second cm/s":                        {name: "cm/s", num: 1, den: 1, fine: true},
		"km/h kmh kph":                                   {name: "km/h", num: 250, den: 9},
		"mph":                                            {name: "mph", num: 44704, den: 1000},
		"m/s metres/second":                              {name: "m/s", num: 100, den: 1},
		"centimeters millimeters kilometers kilometer's": {name: "", ask: "use m, cm, mm, ft or in"},
	})
	massUnits = unitWords(map[string]unit{
		"kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes": {name: "kg", num: 1, den: 1, fine: true},
		"t te tonne tonnes mt":             {name: "t", num: 1000, den: 1},
		"cwt hundredweight hundredweights": {name: "cwt", num: 50_802_345, den: 1_000_000},
		"lb lbs pound pounds":              {name: "lb", num: 45_359_237, den: 100_000_000, fine: true},
		"qr qtr qtrs quarter quarters":     {name: "qr", num: 12_700_586, den: 1_000_000},
		"longton longtons uktons ukton":    {name: "long tons", num: 1_016_046_909, den: 1_000_000},
		"shortton shorttons uston ustons":  {name: "short tons", num: 907_184_740, den: 1_000_000},
		"metricton metrictons":             {name: "t", num: 1000, den: 1},
		"ton tons tn tns":                  {name: "tons", ask: askTons},
		"g gram grams":                     {name: "g", num: 1, den: 1000, fine: true},
	})
)

// unitWords spreads a map of space-separated words over the single words.
func unitWords(groups map[string]unit) map[string]unit {
	words := map[string]unit{}
	for group, u := range groups {
		for _, w := range strings.Fields(group) {
			words[w] = u
		}
	}
	return words
}

// dimension is what a column measures, and the words for its units.
type dimension struct {
	what   string
	units  map[string]unit
	follow map[string]string // unit a bare number has after another: 14 ft 6
	most   int64             // in centimetres or kilograms; more is a mistake
	advice string
}

var (
	aLength = &dimension{
		what: "length", units: lengthUnits, follow: map[string]string{"ft": "in", "m": "cm"}, most: 1_000_000,
		advice: `write a number with its unit, such as 4.35 m, 435 cm or 14'6"`,
	}
	aMass = &dimension{
		what: "mass", units: massUnits, follow: map[string]string{"cwt": "", "t": ""}, most: 1_000_000,
		advice: "write a number with its unit, such as 8.9 t, 8900 kg or 175 cwt",
	}
)

// mistake is a value that cannot be read, with advice.
type mistake struct{ message, advice string }

func (m *mistake) Error() string { return m.message }

func wrong(advice, format string, args ...any) *mistake {
	return &mistake{message: fmt.Sprintf(format, args...), advice: advice}
}

// measure reads a quantity: one or more numbers, each followed by its unit,
// largest first; a bare number has the unit given, which is nil when neither
// header nor column says one. The result is whole centimetres or kilograms,
// halves rounded up.
func (d *dimension) measure(text string, bare *unit) (int64, *mistake) {
	s := tidyQuantity(text)
	negative := strings.HasPrefix(s, "-")
	s = strings.TrimSpace(strings.TrimPrefix(s, "-"))
	var total, last int64
	previous := ""
	for parts := 0; s != ""; parts++ {
		n, rest, ok := leadingNumber(s)
		if !ok || parts > 3 {
			return 0, wrong(d.advice, "this is no %s", d.what)
		}
		word, rest2 := leadingWord(rest)
		u, m := d.unitOf(word, previous, bare, parts)
		if m != nil {
			return 0, m
		}
		value, m := d.scale(n, u)
		if m != nil {
			return 0, m
		}
		if parts > 0 && value >= last {
			return 0, wrong(d.advice, "this is no %s", d.what)
		}
		total, last, previous = total+value, 1000*u.num/u.den, u.name
		s = rest2
	}
	// Sums are kept in thousandths, so that 14 ft 6 in is rounded only once.
	whole := (total + 500) / 1000
	if whole > d.most {
		return 0, wrong(d.advice, "this is more than anything on the ground can have")
	}
	if negative {
		whole = -whole
	}
	return whole, nil
}

// unitOf finds the unit of one number of a quantity.
func (d *dimension) unitOf(word, previous string, bare *unit, parts int) (unit, *mistake) {
	if word == "" {
		if parts > 0 {
			if next := d.follow[previous]; next != "" {
				return d.units[next], nil
			}
			return unit{}, wrong(d.advice, "the unit of the second number is missing")
		}
		if bare == nil {
			return unit{}, wrong("put the unit into the header, such as "+d.example()+", or behind the number", "the unit is missing")
		}
		if bare.ask != "" {
			return unit{}, wrong(bare.ask, "%q has more than one meaning", bare.name)
		}
		return *bare, nil
	}
	u, ok := d.units[word]
	if !ok {
		return unit{}, wrong(d.advice, "%q is no unit of %s", word, d.what)
	}
	if u.ask != "" {
		return unit{}, wrong(u.ask, "%q has more than one meaning", word)
	}
	return u, nil
}

func (d *dimension) example() string {
	if d == aMass {
		return "Mass (t)"
	}
	return "Length (m)"
}

// number is a decimal number: digits / 10^decimals.
type number struct {
	digits   int64
	decimals int
	grouped  bool // three digits followed a single comma or dot: may be thousands
	comma    bool // it was a comma
}

// scale multiplies a number by its unit, in thousandths.
func (d *dimension) scale(n number, u unit) (int64, *mistake) {
	switch {
	case u.fine && n.grouped && n.comma:
		n.decimals = 0 // 1,250 kg
	case u.fine && n.grouped:
		return 0, wrong("write it without the dot, or with another number of decimals", "this may mean a thousand or a fraction")
	}
	const most = 1_000_000_000_000
	value := n.digits
	for i := 0; i < n.decimals; i++ {
		if value > most {
			value /= 10
			n.decimals--
		}
	}
	if value > most {
		return 0, wrong(d.advice, "this is more than anything on the ground can have")
	}
	pow := int64(1)
	for i := 0; i < n.decimals; i++ {
		pow *= 10
	}
	// value × num × 1000 ÷ (den × pow), in steps that stay within 64 bits.
	value = mulDiv(mulDiv(value*1000, u.num, u.den), 1, pow)
	if value > most*1000 {
		return 0, wrong(d.advice, "this is more than anything on the ground can have")
	}
	return value, nil
}

// mulDiv returns a × num ÷ den, halves rounded up, for a up to 10^15; what
// would not fit becomes a number too large for any quantity.
func mulDiv(a, num, den int64) int64 {
	whole, rest := a/den, a%den
	if whole > 1<<62/num {
		return 1 << 61
	}
	if rest > 1<<62/num {
		return whole*num + rest/den*num
	}
	return whole*num + (rest*num+den/2)/den
}

// quantitySigns brings the many signs for feet, inches, fractions and spaces,
// and the words for tons, to one.
var quantitySigns = strings.NewReplacer(
	"\u2032", "'", "\u2019", "'", "\u2018", "'", "\u00b4", "'", "\u2033", `"`, "\u201d", `"`, "\u201c", `"`, "''", `"`,
	"\u00a0", " ", "\u202f", " ", "\u2009", " ", "\u2212", "-", "\u00bd", ".5", "\u00bc", ".25", "\u00be", ".75",
	"long tons", "longtons", "long ton", "longton", "short tons", "shorttons", "short ton", "shortton",
	"metric tons", "metrictons", "metric ton", "metricton", "uk tons", "uktons", "us tons", "ustons",
)

// tidyQuantity brings what is written for a quantity to one spelling.
func tidyQuantity(text string) string {
	s := strings.ToLower(strings.TrimSpace(text))
	s = quantitySigns.Replace(s)
	for _, about := range []string{"ca. ", "ca ", "c. ", "approx. ", "approx ", "about ", "~"} {
		s = strings.TrimPrefix(s, about)
	}
	return strings.TrimSpace(s)
}

// leadingNumber reads a number at the start of s. A comma or dot is a decimal
// mark; when both stand in it, or one stands twice, the others group
// thousands, as do spaces before three digits.
func leadingNumber(s string) (number, string, bool) {
	end := 0
	for end < len(s) {
		c := s[end]
		if c >= '0' && c <= '9' || (c == '.' || c == ',') && end+1 < len(s) && isDigit(s[end+1]) || (c == '.' || c == ',') && end > 0 && isDigit(s[end-1]) {
			end++
			continue
		}
		if c == ' ' && end > 0 && isDigit(s[end-1]) && threeDigits(s[end+1:]) && !strings.ContainsAny(s[:end], ".,") {
			end++
			continue
		}
		break
	}
	raw := strings.TrimRight(s[:end], ".,")
	rest := s[end:]
	if raw == "" {
		return number{}, s, false
	}
	raw = strings.ReplaceAll(raw, " ", "")
	mark := strings.LastIndexAny(raw, ".,")
	n := number{}
	if mark >= 0 {
		after := raw[mark+1:]
		same := strings.Count(raw, raw[mark:mark+1])
		switch {
		case same > 1 && len(after) != 3:
			return number{}, s, false
		case same > 1:
			mark = len(raw)
		case len(after) == 3 && raw[:mark] != "0" && raw[:mark] != "" && len(raw) == mark+4 && mark <= 3:
			n.grouped = true
		}
	} else {
		mark = len(raw)
	}
	whole := raw[:mark]
	if strings.ContainsAny(whole, ".,") {
		whole = strings.ReplaceAll(strings.ReplaceAll(whole, ".", ""), ",", "")
	}
	fraction := ""
	if mark < len(raw) {
		fraction = raw[mark+1:]
	}
	if len(fraction) > 9 {
		fraction = fraction[:9]
	}
	if len(whole) > 12 {
		return number{}, s, false
	}
	for _, c := range []byte(whole + fraction) {
		if len(whole)+len(fraction) > 18 {
			return number{}, s, false
		}
		n.digits = n.digits*10 + int64(c-'0')
	}
	n.decimals = len(fraction)
	n.comma = n.grouped && strings.Contains(raw, ",")
	return n, rest, true
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// threeDigits reports whether s starts with three digits and no fourth.
func threeDigits(s string) bool {
	return len(s) >= 3 && isDigit(s[0]) && isDigit(s[1]) && isDigit(s[2]) && (len(s) == 3 || !isDigit(s[3]))
}

// leadingWord reads the unit behind a number.
func leadingWord(s string) (word, rest string) {
	s = strings.TrimLeft(s, " ")
	if s != "" && (s[0] == '\'' || s[0] == '"') {
		return s[:1], strings.TrimLeft(s[1:], " ")
	}
	end := strings.IndexFunc(s, func(r rune) bool { return !unicode.IsLetter(r) && r != '/' })
	if end < 0 {
		end = len(s)
	}
	return s[:end], strings.TrimLeft(s[end:], " .,")
}

// centimetres and kilograms write a quantity so that measure reads it back.
func centimetres(c sp.Centimetres) string {
	sign := ""
	if c < 0 {
		sign, c = "-", -c
	}
	return fmt.Sprintf("%s%d.%02d", sign, c/100, c%100)
}
