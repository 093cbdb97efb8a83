package sallyport

import "fmt"

// Code says what kind of failure an Error is; the command line maps it to an
// exit code and a server to a status, each in one place.
type Code string

// The codes of Error.
const (
	CodeInput       Code = "input"        // what was given cannot be read or contradicts itself
	CodeNotWorkable Code = "not workable" // a plan breaks rules, or no complete plan exists
	CodeNotFound    Code = "not found"    // a named thing does not exist
	CodeConflict    Code = "conflict"     // somebody else has changed it meanwhile
	CodeInterrupted Code = "interrupted"  // the user or a limit stopped the work
	CodeInternal    Code = "internal"     // a fault of this program
)

// Error is a failure a person can act on: what is wrong, with its values, and
// a hint what to do.
type Error struct {
	Code    Code
	Message string
	Hint    string
}

// Errorf returns an *Error with a formatted message.
func Errorf(code Code, hint, format string, args ...any) error {
	return &Error{Code: code, Message: fmt.Sprintf(format, args...), Hint: hint}
}

// Error returns the message and, after a colon, the hint.
func (e *Error) Error() string {
	if e.Hint == "" {
		return e.Message
	}
	return e.Message + ": " + e.Hint
}

// Severity says whether a Problem stops planning.
type Severity string

// Stop: nothing can be planned until it is put right. Note: planning goes on,
// but somebody should look at it.
const (
	Stop Severity = "stop"
	Note Severity = "note"
)

// Problem is one thing that is wrong with a show.
type Problem struct {
	Severity Severity `json:"severity"`
	Kind     string   `json:"kind"`            // sort of thing: "vehicle", "lane", "serial", "entry" …
	ID       string   `json:"id,omitempty"`    // its id
	Subject  string   `json:"subject"`         // in words: "vehicle Dunlin"
	Field    string   `json:"field,omitempty"` // "length", "home" …
	Value    string   `json:"value,omitempty"` // as given
	Message  string   `json:"message"`         // what is wrong, with the figures
	Advice   string   `json:"advice"`          // what to do
}

// String returns the problem as one line.
func (p Problem) String() string {
	if p.Advice == "" {
		return p.Message
	}
	return p.Message + ": " + p.Advice
}

// Stops returns those problems that stop planning.
func Stops(problems []Problem) []Problem {
	var stops []Problem
	for _, p := range problems {
		if p.Severity == Stop {
			stops = append(stops, p)
		}
	}
	return stops
}
