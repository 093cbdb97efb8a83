package sallyport

// MostListed is how many values the lists of one JSON text may hold together.
// The demonstration show and its plan hold some 4,000, and one of 600 vehicles
// not ten times as many.
const MostListed = 200_000

// CheckListed returns an error when the lists of a JSON text hold more than
// MostListed values together. To be asked before it is decoded: a list of
// millions of empty vehicles is a small file, and takes hundreds of times its
// size as a show. The text is read once and nothing is kept of it; what else is
// wrong with it is for who decodes it to say.
func CheckListed(text []byte) error {
	n := 0
	var within []byte // the lists and objects that are open
	first := false    // a list has just been opened
	for i := 0; i < len(text); i++ {
		c := text[i]
		switch c {
		case ' ', '\t', '\r', '\n':
			continue
		case ',':
			if len(within) > 0 && within[len(within)-1] == '[' {
				n++
			}
		case '[', '{':
			if first {
				n++
			}
			within = append(within, c)
			first = c == '['
			continue
		case ']', '}':
			if len(within) > 0 {
				within = within[:len(within)-1]
			}
			first = false
			continue
		case '"':
			i = textEnd(text, i)
		}
		if first {
			n++
		}
		first = false
	}
	if n > MostListed {
		return Errorf(CodeInput, "a show needs far less; take out what does not belong to it", "its lists hold %d values together, more than %d", n, MostListed)
	}
	return nil
}

// textEnd returns where the text in quotes ends that begins at i.
func textEnd(text []byte, i int) int {
	for i++; i < len(text) && text[i] != '"'; i++ {
		if text[i] == '\\' {
			i++
		}
	}
	return i
}
