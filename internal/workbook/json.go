package workbook

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"

	sp "sallyport"
)

// ReadJSON reads a show or a plan in the project's own format; which of them
// it is, its format string says. The error lists every problem that stops
// planning; the Input is never nil.
func ReadJSON(r io.Reader) (*Input, error) {
	in := readJSON(r)
	return in, in.err("")
}

// WriteJSON writes a show. What is not given is left out.
func WriteJSON(w io.Writer, show *sp.Show) error {
	s := *show
	s.Format = sp.FormatShow
	return writeJSON(w, &s)
}

// WritePlanJSON writes a plan.
func WritePlanJSON(w io.Writer, plan *sp.Plan) error {
	p := *plan
	p.Format = sp.FormatPlan
	return writeJSON(w, &p)
}

// ReadPlanJSON reads a plan.
func ReadPlanJSON(r io.Reader) (*sp.Plan, error) {
	in, err := ReadJSON(r)
	if err == nil && in.Plan == nil {
		return nil, sp.Errorf(sp.CodeInput, "give a plan file", "this is a show, not a plan")
	}
	return in.Plan, err
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

func readJSON(r io.Reader) *Input {
	data, err := io.ReadAll(io.LimitReader(r, maxFile+1))
	if err != nil {
		return unreadable("", "the file cannot be read ("+reason(err)+")", "")
	}
	if len(data) > maxFile {
		return unreadable("", fmt.Sprintf("the file has more than %d MB", maxFile>>20), "a show needs far less")
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if len(bytes.TrimSpace(data)) == 0 {
		return unreadable("", "the file is empty", "")
	}
	if !utf8.Valid(data) {
		return unreadable("", "the file is not UTF-8", "save it as UTF-8")
	}
	var long *sp.Error
	if errors.As(sp.CheckListed(data), &long) {
		return unreadable("", long.Message, long.Hint)
	}
	var tree any
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	if err := d.Decode(&tree); err != nil {
		return syntaxProblem(data, err)
	}
	if d.More() {
		return syntaxProblem(data, errors.New("something follows the end of the show"))
	}
	return decodeTree(data, tree)
}

// syntaxProblem reports JSON that is not well formed, with line and column.
func syntaxProblem(data []byte, err error) *Input {
	in := unreadable("", "this is not valid JSON: "+strings.TrimPrefix(err.Error(), "json: "), "check commas, quotes and brackets near there")
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		p := &in.Problems[0]
		at := min(int(syntax.Offset), len(data))
		p.Row = lineAt(data, at)
		p.Column = at - bytes.LastIndexByte(data[:at], '\n') - 1
		p.Cell = fmt.Sprintf("line %d", p.Row)
	}
	return in
}

// decodeTree checks a parsed file against the types and decodes it.
func decodeTree(data []byte, tree any) *Input {
	top, ok := tree.(map[string]any)
	if !ok {
		return unreadable("", "this is no show: it is not a JSON object", "see the schema")
	}
	format, _ := top["format"].(string)
	in := &Input{}
	var target any
	switch {
	case format == sp.FormatShow:
		in.Show = &sp.Show{}
		target = in.Show
	case format == sp.FormatPlan:
		in.Plan = &sp.Plan{}
		target = in.Plan
	case format == "":
		return unreadable("", "the format is missing", fmt.Sprintf("begin with \"format\": %q, or %q for a plan", sp.FormatShow, sp.FormatPlan))
	default:
		in := unreadable("", fmt.Sprintf("the format %q is not known to this version", shorten(format)), fmt.Sprintf("it reads %q and %q", sp.FormatShow, sp.FormatPlan))
		in.Problems[0].Cell, in.Problems[0].Field, in.Problems[0].Value = "/format", "format", format
		return in
	}
	c := treeCheck{}
	c.value("", tree, reflect.TypeOf(target).Elem())
	in.Problems = c.problems
	if len(in.Problems) > 0 {
		return &Input{Problems: in.Problems}
	}
	if err := json.Unmarshal(data, target); err != nil {
		return unreadable("", "this cannot be read: "+strings.TrimPrefix(err.Error(), "json: "), "see the schema")
	}
	return in
}

// treeCheck compares parsed JSON with Go types, and collects every difference
// with its path.
type treeCheck struct{ problems []Problem }

func (c *treeCheck) stop(path, field, value, message, advice string) {
	if len(c.problems) < maxProblems {
		c.problems = append(c.problems, Problem{Cell: path, Field: field, Value: value, Message: message, Advice: advice, Severity: Stop})
	}
}

func (c *treeCheck) value(path string, v any, t reflect.Type) {
	if t.Kind() == reflect.Pointer {
		if v == nil {
			return
		}
		t = t.Elem()
	}
	field := path[strings.LastIndexByte(path, '/')+1:]
	if t == instantType {
		c.instant(path, field, v)
		return
	}
	switch t.Kind() {
	case reflect.Struct:
		c.object(path, field, v, t)
	case reflect.Slice:
		list, ok := v.([]any)
		if !ok && v != nil {
			c.stop(path, field, jsonText(v), "this is no list", "write [ ... ]")
		}
		for i, x := range list {
			c.value(fmt.Sprintf("%s/%d", path, i), x, t.Elem())
		}
	case reflect.Map:
		m, ok := v.(map[string]any)
		if !ok && v != nil {
			c.stop(path, field, jsonText(v), "this is no object", `write { "name": value }`)
		}
		for _, key := range sortedKeys(m) {
			c.value(path+"/"+key, m[key], t.Elem())
		}
	case reflect.String:
		text, ok := v.(string)
		if !ok {
			c.stop(path, field, jsonText(v), "this is no text", "put it in double quotes")
		} else if words := enums[t]; text != "" && len(words) > 0 && !slices.Contains(words, text) {
			c.stop(path, field, text, "this word is not known here", "write one of "+strings.Join(words, ", "))
		}
	case reflect.Bool:
		if _, ok := v.(bool); !ok {
			c.stop(path, field, jsonText(v), "this is neither true nor false", "write true or false without quotes")
		}
	default:
		c.number(path, field, v, t)
	}
}

func (c *treeCheck) number(path, field string, v any, t reflect.Type) {
	n, ok := v.(json.Number)
	if !ok {
		c.stop(path, field, jsonText(v), "this is no number", "write a whole number without quotes")
		return
	}
	if json.Unmarshal([]byte(n), reflect.New(t).Interface()) != nil {
		c.stop(path, field, n.String(), "this is no whole number that fits", "write a whole number; lengths are in centimetres, times in seconds")
	}
}

func (c *treeCheck) instant(path, field string, v any) {
	text, ok := v.(string)
	if !ok {
		c.stop(path, field, jsonText(v), "this is no moment", `write it like "D3 10:30"`)
		return
	}
	var t sp.Instant
	if err := t.UnmarshalText([]byte(text)); err != nil {
		c.stop(path, field, text, "this is no moment of the show", `write it like "D3 10:30"`)
	}
}

func (c *treeCheck) object(path, field string, v any, t reflect.Type) {
	m, ok := v.(map[string]any)
	if !ok {
		c.stop(path, field, jsonText(v), "this is no object", "write { ... }")
		return
	}
	fields := map[string]reflect.Type{}
	for _, f := range jsonFields(t) {
		fields[f.name] = f.typ
	}
	for _, key := range sortedKeys(m) {
		ft, known := fields[key]
		if !known {
			advice := "remove it; the schema lists all names"
			if near, ok := nearest(key, sortedKeys(fields), sameText); ok {
				advice = "write " + near + " if that is meant"
			}
			c.stop(path+"/"+key, key, "", "this name is not known here", advice)
			continue
		}
		c.value(path+"/"+key, m[key], ft)
	}
}

// jsonText returns what stands in the file, shortened.
func jsonText(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		return ""
	}
	return shorten(string(b))
}

func sameText(a, b string) bool { return a == b }
