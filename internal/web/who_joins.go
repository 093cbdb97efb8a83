package web

import (
	"fmt"
	"net"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"rsc.io/qr"

	"sallyport"
	"sallyport/internal/store"
)

// JoinLink is a link by which one person comes in.
type JoinLink struct {
	ID    int64  `json:"id"`
	Role  Role   `json:"role"`
	Note  string `json:"note"`
	Made  string `json:"made"`
	Until string `json:"until"`
	Used  string `json:"used,omitempty"`
	By    string `json:"by,omitempty"`
	Ended string `json:"ended,omitempty"` // withdrawn, or signed out by a planner
	URL   string `json:"url,omitempty"`   // this and what follows: only when it is made
	Code  string `json:"code,omitempty"`
	QR    string `json:"qr,omitempty"` // SVG
}

func joinLink(j store.Join) JoinLink {
	return JoinLink{ID: j.ID, Role: j.Role, Note: j.Note, Made: stamp(j.Made), Until: stamp(j.Until), Used: stamp(j.Used), By: j.By, Ended: stamp(j.Ended)}
}

func (s *Server) joins(c *call) (answer, error) {
	list, err := s.Store.Joins(c.Context())
	if err != nil {
		return answer{}, err
	}
	out := make([]JoinLink, len(list))
	for i, j := range list {
		out[i] = joinLink(j)
	}
	return answer{body: out}, nil
}

// NewJoin is a link to be made: good for so many hours, at one of the
// server's addresses ("": its first).
type NewJoin struct {
	Role    Role   `json:"role"`
	Note    string `json:"note"`
	Hours   int    `json:"hours"`
	Address string `json:"address,omitempty"`
}

func (s *Server) newJoin(c *call) (answer, error) {
	var ask NewJoin
	if err := c.form(&ask); err != nil {
		return answer{}, err
	}
	address, err := s.Who.address(c.Request, ask.Address)
	if err != nil {
		return answer{}, err
	}
	code, err := newCode(s.Who.Rand)
	if err != nil {
		return answer{}, err
	}
	hours := min(max(ask.Hours, 0), 1<<20) // more is refused below, without overflow
	j, err := s.Store.AddJoin(c.Context(), ask.Role, strings.TrimSpace(ask.Note), time.Duration(hours)*time.Hour, codeSum(code))
	if err != nil {
		return answer{}, err
	}
	link := joinLink(j)
	link.Code, link.URL = code, address+"/#/join/"+code
	if link.QR, err = qrSVG(link.URL); err != nil {
		return answer{}, err
	}
	s.Who.Note(c.Request, 0, "made a link for %s, %s, good for %d hours", noteOf(j), j.Role, hours)
	return answer{status: http.StatusCreated, body: link}, nil
}

// noteOf says for whom a link is.
func noteOf(j store.Join) string {
	if j.Note == "" {
		return "somebody"
	}
	return j.Note
}

// address returns the one of the server's addresses that was asked for; when
// none was, the first that other machines can open, else the first; and the
// one of the request when there are none.
func (w *Who) address(r *http.Request, wanted string) (string, error) {
	var list []string
	if w.Addresses != nil {
		list = w.Addresses()
	}
	if len(list) == 0 {
		scheme := "http"
		if w.Secure {
			scheme = "https"
		}
		list = []string{(&url.URL{Scheme: scheme, Host: r.Host}).String()}
	}
	if wanted == "" {
		wanted = list[max(0, slices.IndexFunc(list, forOthers))]
	}
	if !slices.Contains(list, wanted) {
		return "", sallyport.Errorf(sallyport.CodeInput, "give one of "+strings.Join(list, ", "), "the server has no address %q", wanted)
	}
	return strings.TrimSuffix(wanted, "/"), nil
}

// forOthers reports whether other machines can open an address.
func forOthers(address string) bool {
	u, err := url.Parse(address)
	if err != nil {
		return false
	}
	ip := net.ParseIP(u.Hostname())
	return u.Hostname() != "localhost" && (ip == nil || !ip.IsLoopback())
}

func (s *Server) endJoin(c *call) (answer, error) {
	id, err := c.numbered("a link")
	if err != nil {
		return answer{}, err
	}
	j, err := s.Store.EndJoin(c.Context(), id)
	if err != nil {
		return answer{}, err
	}
	what := "withdrew the link for " + noteOf(j) + ", " + string(j.Role)
	if j.By != "" {
		what = "signed out " + j.By + ", who had come by a link"
	}
	s.Who.Note(c.Request, 0, "%s", what)
	s.Who.cut(func(p Person) bool { return p.join == id })
	return answer{body: joinLink(j)}, nil
}

// quiet is the white edge of a QR code that readers need, in modules.
const quiet = 4

// qrSVG draws a text as a QR code: black on white in dark screens too, for
// readers expect it so.
func qrSVG(text string) (string, error) {
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		return "", err
	}
	var path strings.Builder
	for y := range code.Size {
		for x := 0; x < code.Size; {
			n := 0
			for x+n < code.Size && code.Black(x+n, y) {
				n++
			}
			if n > 0 {
				fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", x+quiet, y+quiet, n, n)
			}
			x += max(n, 1)
		}
	}
	size := code.Size + 2*quiet
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" aria-label="QR code of the link" shape-rendering="crispEdges"><rect width="%d" height="%d" fill="#fff"/><path d="%s"/></svg>`,
		size, size, size, size, path.String()), nil
}
