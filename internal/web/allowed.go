package web

import (
	"net/http"
	"slices"
	"strings"
)

// allowed returns what says by which methods the path of a request can be asked
// for; nothing for one that no route has.
func allowed(list []route) func(r *http.Request) []string {
	methods := map[string][]string{}
	for _, r := range list {
		methods[r.path] = append(methods[r.path], r.method)
	}
	mux := http.NewServeMux()
	for path, have := range methods {
		if slices.Contains(have, http.MethodGet) {
			methods[path] = append(have, http.MethodHead)
		}
		slices.Sort(methods[path])
		mux.Handle(path, http.NotFoundHandler())
	}
	return func(r *http.Request) []string {
		_, path := mux.Handler(r)
		return methods[path]
	}
}

// refuseMethod answers a request by a method that its path does not know.
func refuseMethod(w http.ResponseWriter, r *http.Request, allow []string) {
	w.Header().Set("Allow", strings.Join(allow, ", "))
	writeTrouble(w, troubleOf(refuse(http.StatusMethodNotAllowed, "no such method", "/openapi.json lists what can be asked for",
		"%s cannot be asked for by %s, only by %s", r.URL.Path, r.Method, strings.Join(allow, ", "))))
}
