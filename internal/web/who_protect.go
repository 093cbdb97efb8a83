package web

import (
	"net"
	"net/http"
	"net/url"
	"slices"
	"strings"
)

// lasting is the Strict-Transport-Security of a certificate of one's own: a
// month, without names below.
const lasting = "max-age=2592000"

// Protect refuses requests that other pages make a browser send, and tells
// browsers what pages of this server may do. It goes around everything.
func (w *Who) Protect(next http.Handler) http.Handler {
	return http.HandlerFunc(func(rw http.ResponseWriter, r *http.Request) {
		h := rw.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "no-referrer")
		if w.Secure || w.Loopback { // elsewhere browsers leave it out, and say so
			h.Set("Cross-Origin-Opener-Policy", "same-origin")
		}
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		if w.Lasting {
			h.Set("Strict-Transport-Security", lasting)
		}
		switch {
		case !w.calledBy(r.Host):
			writeTrouble(rw, troubleOf(refuse(http.StatusMisdirectedRequest, "wrong address", "open an address that the server printed when it started", "this server is not called %q", r.Host)))
		case w.origins.Check(r) != nil || w.fromElsewhere(r):
			writeTrouble(rw, troubleOf(refuse(http.StatusForbidden, "another page", "open the planning table itself and do it there", "this was sent by a page of another server")))
		default:
			next.ServeHTTP(rw, r)
		}
	})
}

// calledBy reports whether a Host header names this server. An address cannot
// be made to mean another machine, a name can (DNS rebinding): only names that
// are known to be ours count. A server for this machine alone is called by
// loopback addresses only.
func (w *Who) calledBy(hostport string) bool {
	host := hostport
	if h, _, err := net.SplitHostPort(hostport); err == nil {
		host = h
	}
	host = strings.ToLower(strings.TrimSuffix(strings.Trim(host, "[]"), "."))
	if ip := net.ParseIP(host); ip != nil {
		return ip.IsLoopback() || !w.Loopback
	}
	return host == "localhost" || slices.ContainsFunc(w.Names, func(n string) bool { return strings.EqualFold(n, host) })
}

// fromElsewhere reports whether a request for data was sent by a page of
// another server; over TLS, a page that came without it is one, for anybody on
// the network can put it there. Following a link to here is not: that is a
// navigation.
func (w *Who) fromElsewhere(r *http.Request) bool {
	if !strings.HasPrefix(r.URL.Path, "/api/") {
		return false
	}
	if origin := r.Header.Get("Origin"); origin != "" {
		u, err := url.Parse(origin)
		return err != nil || u.Host != r.Host || w.Secure && u.Scheme != "https"
	}
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "same-origin", "none":
		return false
	}
	return r.Header.Get("Sec-Fetch-Mode") != "navigate"
}
