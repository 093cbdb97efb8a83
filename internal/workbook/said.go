package workbook

import sp "sallyport"

// TimeOfDay reads a time of day as cells have it (10:30, 1030, 2 pm), as
// seconds from midnight.
func TimeOfDay(text string) (sp.Seconds, error) {
	n, bad := timeOfDay(text)
	if bad != nil {
		return 0, sp.Errorf(sp.CodeInput, bad.advice, "%q: %s", text, bad.message)
	}
	return sp.Seconds(n), nil
}

// Span reads a span of time as cells have it (10 min, 1 h 5, 1:05:00); a bare
// number is minutes.
func Span(text string) (sp.Seconds, error) {
	n, bad := span(text, 60)
	if bad != nil {
		return 0, sp.Errorf(sp.CodeInput, bad.advice, "%q: %s", text, bad.message)
	}
	return sp.Seconds(n), nil
}
