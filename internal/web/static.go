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
// is asked for each time.
func (s *Server) screens() http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.Path, "/api/") || r.Method != http.MethodGet && r.Method != http.MethodHead {
			writeTrouble(w, troubleOf(refuse(http.StatusNotFound, "not found", "/openapi.json lists what can be asked for", "there is no %s %s", r.Method, r.URL.Path)))
			return
		}
		h := w.Header()
		name := strings.TrimPrefix(path.Clean(r.URL.Path), "/")
		if name == "" || strings.HasPrefix(name, "join/") {
			name = "index.html"
		}
		if s.Screens != nil && fs.ValidPath(name) {
			if info, err := fs.Stat(s.Screens, name); err == nil && !info.IsDir() {
				cache := "no-cache"
				if strings.HasPrefix(name, "assets/") {
					cache = "public, max-age=31536000, immutable"
				}
				h.Set("Cache-Control", cache)
				http.ServeFileFS(w, r, s.Screens, name)
				return
			}
		}
		if name != "index.html" {
			writeTrouble(w, troubleOf(sallyport.Errorf(sallyport.CodeNotFound, "begin at /", "there is no page %s", r.URL.Path)))
			return
		}
		h.Set("Content-Type", "text/html; charset=utf-8")
		h.Set("Cache-Control", "no-store")
		// A client that has gone away cannot be told so.
		_, _ = w.Write([]byte(notBuilt))
	})
}
