package web

import (
	"io/fs"
	"net/http"
	"path"
	"strings"

	"sallyport"
)

// policy is the content security policy of the screens: everything comes from
// this server, no script from within a page. Drawings carry their own styles.
const policy = "default-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

// notBuilt is shown in place of the screens when they are not built in.
const notBuilt = `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>Sallyport</title></head>
<body><h1>Sallyport</h1>
<p>The server works, but the screens are not built into this program.</p>
<p>Build it with <code>make ui</code> and <code>make build</code>, then start it again. Shows that are kept are not touched by that.</p>
</body></html>
`

// screens serves the built screens: files below assets/ carry a sum of their
// content in their names and are kept by browsers for a year, the page itself
// is asked for each time. What no route answers comes here, too.
func (s *Server) screens() http.Handler {
	allow := allowed(routes())
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := strings.TrimPrefix(path.Clean(r.URL.Path), "/")
		if name == "" || strings.HasPrefix(name, "join/") {
			name = "index.html"
		}
		reads := r.Method == http.MethodGet || r.Method == http.MethodHead
		switch methods := allow(r); {
		case len(methods) > 0:
			refuseMethod(w, r, methods)
			return
		case !reads && s.hasPage(name):
			refuseMethod(w, r, []string{http.MethodGet, http.MethodHead})
			return
		case !reads || strings.HasPrefix(r.URL.Path, "/api/"):
			writeTrouble(w, troubleOf(refuse(http.StatusNotFound, "not found", "/openapi.json lists what can be asked for", "there is no %s %s", r.Method, r.URL.Path)))
			return
		}
		if !s.hasPage(name) {
			writeTrouble(w, troubleOf(sallyport.Errorf(sallyport.CodeNotFound, "begin at /", "there is no page %s", r.URL.Path)))
			return
		}
		s.page(w, r, name)
	})
}

// isBuilt reports whether a file is among the built screens.
func (s *Server) isBuilt(name string) bool {
	if s.Screens == nil || !fs.ValidPath(name) {
		return false
	}
	info, err := fs.Stat(s.Screens, name)
	return err == nil && !info.IsDir()
}

// hasPage reports whether there is something to show under a name.
func (s *Server) hasPage(name string) bool { return name == "index.html" || s.isBuilt(name) }

// page answers with a file of the screens, or that they are not built in.
func (s *Server) page(w http.ResponseWriter, r *http.Request, name string) {
	h := w.Header()
	if s.isBuilt(name) {
		cache := "no-cache"
		if strings.HasPrefix(name, "assets/") {
			cache = "public, max-age=31536000, immutable"
		}
		h.Set("Cache-Control", cache)
		http.ServeFileFS(w, r, s.Screens, name)
		return
	}
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Cache-Control", "no-store")
	// A client that has gone away cannot be told so.
	_, _ = w.Write([]byte(notBuilt))
}
