package web

import (
	"path"
	"reflect"
	"regexp"
	"strconv"
	"strings"

	"github.com/danielgtaylor/huma/v2"
)

// openAPI answers with the description of all routes, OpenAPI 3.1, made from
// the types that are sent.
func (s *Server) openAPI(*call) (answer, error) {
	text, err := describe(s.Version).MarshalJSON()
	return answer{raw: text, mime: "application/json"}, err
}

// describe returns the description of all routes.
func describe(version string) *huma.OpenAPI {
	schemas := huma.NewMapRegistry("#/components/schemas/", naming())
	api := &huma.OpenAPI{
		OpenAPI:    "3.1.0",
		Info:       &huma.Info{Title: "Sallyport", Version: version, Description: "The planning table of a live show's vehicle park. Moments are text like D3 10:30, lengths centimetres, spans seconds, chances 1/10,000, costs weighted people-seconds."},
		Paths:      map[string]*huma.PathItem{},
		Components: &huma.Components{Schemas: schemas},
	}
	for _, r := range routes() {
		item := api.Paths[r.path]
		if item == nil {
			item = &huma.PathItem{}
			api.Paths[r.path] = item
		}
		op := r.describe(schemas)
		switch r.method {
		case "GET":
			item.Get = op
		case "POST":
			item.Post = op
		case "PUT":
			item.Put = op
		case "PATCH":
			item.Patch = op
		case "DELETE":
			item.Delete = op
		}
	}
	return api
}

var inPath = regexp.MustCompile(`\{(\w+)\}`)

// describe returns the description of one route.
func (r route) describe(schemas huma.Registry) *huma.Operation {
	op := &huma.Operation{Summary: r.says, Description: r.may(), Responses: map[string]*huma.Response{}, OperationID: r.id()}
	text := &huma.Schema{Type: huma.TypeString}
	for _, m := range inPath.FindAllStringSubmatch(r.path, -1) {
		kind := text
		if m[1] == "id" {
			kind = &huma.Schema{Type: huma.TypeInteger}
		}
		op.Parameters = append(op.Parameters, &huma.Param{Name: m[1], In: "path", Required: true, Schema: kind})
	}
	for _, q := range r.query {
		op.Parameters = append(op.Parameters, &huma.Param{Name: q, In: "query", Schema: text})
	}
	if r.match {
		op.Parameters = append(op.Parameters, &huma.Param{Name: "If-Match", In: "header", Required: true, Schema: text, Description: "the version of the draft that the change is made from, like \"17\""})
	}
	if r.in != nil {
		op.RequestBody = &huma.RequestBody{Required: true, Content: media(schemas, r.in)}
	}
	good := &huma.Response{Description: "done"}
	if r.out != nil {
		good.Content = media(schemas, r.out)
	}
	op.Responses[strconv.Itoa(r.status())] = good
	op.Responses["default"] = &huma.Response{Description: "what is wrong, and what to do", Content: map[string]*huma.MediaType{
		"application/problem+json": {Schema: schemas.Schema(reflect.TypeFor[Trouble](), true, "Trouble")},
	}}
	return op
}

// status is what a route answers when all is well.
func (r route) status() int {
	switch {
	case r.made != 0:
		return r.made
	case r.out == nil:
		return 204
	}
	return 200
}

// may says who may use a route.
func (r route) may() string {
	if r.open {
		return "For everybody, signed in or not."
	}
	names := make([]string, len(r.roles))
	for i, role := range r.roles {
		names[i] = string(role)
	}
	return "For: " + strings.Join(names, ", ") + "."
}

// id names a route for programs that are made from the description.
func (r route) id() string {
	return strings.ToLower(r.method) + strings.Map(func(c rune) rune {
		if c == '/' || c == '.' {
			return '-'
		}
		return c
	}, inPath.ReplaceAllString(strings.TrimPrefix(r.path, "/api"), "$1"))
}

// media describes what is sent: a type by a value of it, a file by its kind.
func media(schemas huma.Registry, v any) map[string]*huma.MediaType {
	if kind, ok := v.(string); ok {
		return map[string]*huma.MediaType{kind: {}}
	}
	t := reflect.TypeOf(v)
	return map[string]*huma.MediaType{"application/json": {Schema: schemas.Schema(t, true, t.Name())}}
}

// naming names types, with their package when two have one name.
func naming() func(t reflect.Type, hint string) string {
	taken := map[string]reflect.Type{}
	return func(t reflect.Type, hint string) string {
		for t.Kind() == reflect.Pointer {
			t = t.Elem()
		}
		name := huma.DefaultSchemaNamer(t, hint)
		if t.Kind() != reflect.Struct {
			return name
		}
		if had, ok := taken[name]; ok && had != t {
			pkg := path.Base(t.PkgPath())
			name = strings.ToUpper(pkg[:1]) + pkg[1:] + name
		}
		taken[name] = t
		return name
	}
}
