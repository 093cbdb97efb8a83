package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/store"
)

// statuses maps what went wrong to the status of the answer.
var statuses = map[sallyport.Code]int{
	sallyport.CodeInput:       http.StatusUnprocessableEntity,
	sallyport.CodeNotWorkable: http.StatusUnprocessableEntity,
	sallyport.CodeNotFound:    http.StatusNotFound,
	sallyport.CodeConflict:    http.StatusPreconditionFailed,
	sallyport.CodeInterrupted: http.StatusServiceUnavailable,
	sallyport.CodeInternal:    http.StatusInternalServerError,
}

// Trouble is the answer to a request that could not be done (RFC 9457).
type Trouble struct {
	Status   int            `json:"status"`
	Code     string         `json:"code"`
	Title    string         `json:"title"` // of the status
	Detail   string         `json:"detail"`
	Hint     string         `json:"hint,omitempty"`
	Problems []desk.Problem `json:"problems,omitempty"`
	Theirs   *DraftInfo     `json:"theirs,omitempty"` // with code "conflict": the version that is kept
}

// DraftInfo says which version of a draft it is.
type DraftInfo struct {
	Version int64  `json:"version"`
	Author  string `json:"author"`
	Saved   string `json:"saved"`
	What    string `json:"what"`
}

// refusal is an error with a status of its own.
type refusal struct {
	status   int
	code     string
	problems []desk.Problem
	err      error
}

func (r *refusal) Error() string { return r.err.Error() }
func (r *refusal) Unwrap() error { return r.err }

// refuse returns an error with a status of HTTP that no Code has.
func refuse(status int, code, hint, format string, args ...any) error {
	return &refusal{status: status, code: code, err: sallyport.Errorf(sallyport.CodeInput, hint, format, args...)}
}

// troubleOf returns the answer for an error.
func troubleOf(err error) Trouble {
	t := Trouble{Status: http.StatusInternalServerError, Code: string(sallyport.CodeInternal), Detail: "something went wrong in this program", Hint: "try again; if it goes on, please report it with the server's log"}
	var known *sallyport.Error
	if errors.As(err, &known) {
		t = Trouble{Status: statuses[known.Code], Code: string(known.Code), Detail: known.Message, Hint: known.Hint}
	}
	var r *refusal
	if errors.As(err, &r) {
		t.Problems = r.problems
		if r.status != 0 {
			t.Status, t.Code = r.status, r.code
		}
	}
	var c *store.Conflict
	if errors.As(err, &c) {
		t.Theirs = &DraftInfo{Version: c.Theirs.Version, Author: c.Theirs.Author, Saved: stamp(c.Theirs.Saved), What: c.Theirs.What}
	}
	t.Title = http.StatusText(t.Status)
	return t
}

// fail answers a request with an error and logs those that are not the
// client's.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	if r.Context().Err() != nil && errors.Is(context.Cause(r.Context()), context.Canceled) {
		return // nobody listens any more
	}
	t := troubleOf(err)
	if t.Status == http.StatusInternalServerError {
		s.Log.Error("a request failed", "method", r.Method, "path", r.URL.Path, "error", err)
	}
	writeTrouble(w, t)
}

// writeTrouble writes the answer of an error.
func writeTrouble(w http.ResponseWriter, t Trouble) {
	body, err := json.Marshal(t)
	if err != nil { // it has only texts and numbers
		panic(err)
	}
	w.Header().Set("Content-Type", "application/problem+json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(t.Status)
	// A client that has gone away cannot be told so.
	_, _ = w.Write(body)
}
