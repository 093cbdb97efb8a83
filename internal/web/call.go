package web

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"
	"time"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/store"
)

// Limits of what is sent to the server, in bytes.
const (
	maxJSON   = 8 << 20
	maxUpload = 32 << 20
)

// call is one request being answered.
type call struct {
	*http.Request
	w   http.ResponseWriter
	who Person
}

// answer is what a handler gives. The zero answer has no content.
type answer struct {
	status  int    // 0: 200, or 204 without content
	version int64  // of the draft, for the ETag; 0: none
	body    any    // written as JSON
	raw     []byte // written as it is, in place of body
	zipped  []byte // raw, compressed with gzip
	mime    string // of raw
	file    string // name under which raw is saved; "": shown
}

// stamp writes a moment of the world's clock.
func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339)
}

// show returns the show that the path names.
func (c *call) show() (store.ShowID, error) {
	id, err := strconv.ParseInt(c.PathValue("id"), 10, 64)
	if err != nil || id < 1 {
		return 0, sallyport.Errorf(sallyport.CodeNotFound, "look at the list of shows", "%q is no number of a show", c.PathValue("id"))
	}
	return store.ShowID(id), nil
}

// number returns a number in the query; 0 when it is not given.
func (c *call) number(name string) (int, error) {
	text := c.URL.Query().Get(name)
	if text == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		return 0, sallyport.Errorf(sallyport.CodeInput, "give a number from 1 on", "%s=%s is no number", name, text)
	}
	return n, nil
}

// version returns the version of the draft on which a change is made, from
// If-Match.
func (c *call) version() (int64, error) {
	tag := c.Header.Get("If-Match")
	if tag == "" {
		return 0, refuse(http.StatusPreconditionRequired, "version needed", `send If-Match with the version you have seen, like "17"`, "a change of a draft says which version it was made from")
	}
	n, err := strconv.ParseInt(strings.Trim(tag, `"`), 10, 64)
	if err != nil || n < 1 {
		return 0, refuse(http.StatusPreconditionRequired, "version needed", `send If-Match with the version you have seen, like "17"`, "If-Match %s is no version of a draft", tag)
	}
	return n, nil
}

// change returns what every change of a draft names: the show and the version
// it was made from.
func (c *call) change() (store.ShowID, int64, error) {
	id, err := c.show()
	if err != nil {
		return 0, 0, err
	}
	version, err := c.version()
	return id, version, err
}

// bytes reads the body, of at most so many bytes.
func (c *call) bytes(most int64) ([]byte, error) {
	data, err := io.ReadAll(http.MaxBytesReader(c.w, c.Body, most))
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		return nil, refuse(http.StatusRequestEntityTooLarge, "too large", "send less at once", "what was sent has more than %d MB", most>>20)
	case err != nil:
		return nil, refuse(http.StatusBadRequest, "cut off", "send it again", "what was sent did not arrive whole")
	}
	return data, nil
}

// json reads the body as JSON into v. A field that is not known is an error,
// for it would be lost.
func (c *call) json(v any) error {
	data, err := c.bytes(maxJSON)
	if err != nil {
		return err
	}
	if err := sallyport.CheckListed(data); err != nil {
		return unreadable(err)
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	err = d.Decode(v)
	if err == nil && d.More() {
		err = errors.New("something follows its end")
	}
	if err != nil {
		return unreadable(err)
	}
	return nil
}

// unreadable says what is wrong with JSON that was sent.
func unreadable(err error) error {
	says, field := strings.TrimPrefix(err.Error(), "json: "), ""
	var kind *json.UnmarshalTypeError
	var known *sallyport.Error
	switch {
	case errors.As(err, &kind):
		field = kind.Field
		says = fmt.Sprintf("%s holds a %s, which does not belong there", field, kind.Value)
	case errors.As(err, &known):
		says = known.Error()
	case strings.HasPrefix(says, "unknown field "):
		field = strings.Trim(strings.TrimPrefix(says, "unknown field "), `"`)
		says = fmt.Sprintf("the field %s is not known", field)
	case errors.Is(err, io.EOF):
		says = "nothing was sent"
	}
	return &refusal{
		status: http.StatusBadRequest, code: string(sallyport.CodeInput), problems: []desk.Problem{{Message: says, Field: field}},
		err: sallyport.Errorf(sallyport.CodeInput, "/openapi.json says what is expected", "what was sent cannot be read: %s", says),
	}
}

// write writes an answer.
func (c *call) write(a answer) error {
	h := c.w.Header()
	h.Set("Cache-Control", "no-store")
	if a.version > 0 {
		h.Set("Cache-Control", "private, no-cache") // the browser may keep it, and asks each time
		h.Set("ETag", tag(a.version))
	}
	data := a.raw
	if data == nil && a.body != nil {
		var err error
		if data, err = toJSON(a.body); err != nil {
			return err
		}
		a.mime = "application/json"
	}
	if data == nil {
		if a.status == 0 {
			a.status = http.StatusNoContent
		}
		c.w.WriteHeader(a.status)
		return nil
	}
	if a.status == 0 {
		a.status = http.StatusOK
	}
	h.Set("Content-Type", a.mime)
	if a.file != "" {
		h.Set("Content-Disposition", fmt.Sprintf("attachment; filename=%q", a.file))
	}
	if a.zipped != nil && strings.Contains(c.Header.Get("Accept-Encoding"), "gzip") {
		h.Set("Content-Encoding", "gzip")
		h.Add("Vary", "Accept-Encoding")
		data = a.zipped
	}
	c.w.WriteHeader(a.status)
	// A client that has gone away cannot be told so.
	_, _ = c.w.Write(data)
	return nil
}

// tag returns the ETag of a version of a draft.
func tag(version int64) string { return `"` + strconv.FormatInt(version, 10) + `"` }

// toJSON returns v as JSON.
func toJSON(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
