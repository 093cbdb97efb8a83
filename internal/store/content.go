package store

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"strings"

	"sallyport"
)

// Content is what a draft, an issue or a saved copy holds: a show and, when
// there is one, its plan.
type Content struct {
	Show *sallyport.Show
	Plan *sallyport.Plan // nil: not planned yet
}

// written is Content as it is kept: compact JSON.
type written struct {
	show string
	plan sql.NullString
}

// write returns the content as JSON, with the format strings of today.
func (c Content) write() (written, error) {
	var w written
	if c.Show == nil {
		return w, sallyport.Errorf(sallyport.CodeInput, "give the show", "there is no show to keep")
	}
	show := *c.Show
	show.Format = sallyport.FormatShow
	var err error
	if w.show, err = toJSON("the show", &show); err != nil || c.Plan == nil {
		return w, err
	}
	plan := *c.Plan
	plan.Format = sallyport.FormatPlan
	w.plan.Valid = true
	w.plan.String, err = toJSON("the plan", &plan)
	return w, err
}

// read returns what is kept as content.
func (w written) read() (Content, error) {
	c := Content{Show: &sallyport.Show{}}
	if err := fromJSON("the show", w.show, c.Show); err != nil {
		return Content{}, err
	}
	if w.plan.Valid {
		c.Plan = &sallyport.Plan{}
		if err := fromJSON("the plan", w.plan.String, c.Plan); err != nil {
			return Content{}, err
		}
	}
	return c, nil
}

func toJSON(what string, v any) (string, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return "", sallyport.Errorf(sallyport.CodeInternal, "please report this", "%s cannot be written down: %s", what, err)
	}
	if b.Len() > maxContent {
		return "", sallyport.Errorf(sallyport.CodeInput, "take out what is not needed", "%s has %d MB, %d MB at most can be kept", what, b.Len()>>20, maxContent>>20)
	}
	return strings.TrimSuffix(b.String(), "\n"), nil
}

func fromJSON(what, text string, v any) error {
	if err := json.Unmarshal([]byte(text), v); err != nil {
		return sallyport.Errorf(sallyport.CodeInternal, "check the database; put back a backup if it is damaged", "%s that is kept cannot be read: %s", what, err)
	}
	return nil
}
