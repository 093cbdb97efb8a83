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
