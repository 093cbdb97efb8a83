package web

import (
	"math"
	"net"
	"net/http"
	"strconv"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// limit lets so many tries through at once, and then one each time.
type limit struct {
	tries int
	each  time.Duration
}

func (l limit) limiter() *rate.Limiter { return rate.NewLimiter(rate.Every(l.each), l.tries) }

// limits slow down who guesses: from one address, at one account, and all
// together. Who guesses right does not count.
type limits struct{ address, name, all limit }

var (
	signLimits = limits{limit{10, 6 * time.Second}, limit{10, 30 * time.Second}, limit{60, time.Second}}
	codeLimits = limits{address: limit{10, 6 * time.Second}, all: limit{60, time.Second}}
)

// gate holds the limits. It remembers a few thousand addresses and names; those
// that have not tried for long are forgotten first.
type gate struct {
	limits
	mu   sync.Mutex
	all  *rate.Limiter
	each map[string]*rate.Limiter
}

const gateSize = 4096

func newGate(l limits) *gate {
	return &gate{limits: l, all: l.all.limiter(), each: map[string]*rate.Limiter{}}
}

// try takes one try of an address at a name ("": at none). wait says how long
// to wait when that is too many; else right gives the try back, for who has
// guessed right.
func (g *gate) try(now time.Time, address, name string) (right func(), wait time.Duration) {
	g.mu.Lock()
	defer g.mu.Unlock()
	list := []*rate.Limiter{g.all, g.of(now, "address "+network(address), g.address)}
	if name != "" {
		list = append(list, g.of(now, "name "+name, g.name))
	}
	var taken []*rate.Reservation
	for _, l := range list {
		r := l.ReserveN(now, 1)
		taken = append(taken, r)
		wait = max(wait, r.DelayFrom(now))
	}
	back := func() {
		for _, r := range taken {
			r.CancelAt(now)
		}
	}
	if wait > 0 {
		back()
		return nil, wait
	}
	return back, 0
}

// of returns the limiter of an address or name.
func (g *gate) of(now time.Time, key string, l limit) *rate.Limiter {
	if found := g.each[key]; found != nil {
		return found
	}
	if len(g.each) >= gateSize {
		for k, x := range g.each {
			if x.TokensAt(now) >= float64(x.Burst()) {
				delete(g.each, k)
			}
		}
		if len(g.each) >= gateSize {
			return g.all // so many at once are slowed all together
		}
	}
	made := l.limiter()
	g.each[key] = made
	return made
}

// network returns what counts as one address: with IPv6 everybody has
// billions, so the network does.
func network(address string) string {
	ip := net.ParseIP(address)
	if ip == nil || ip.To4() != nil {
		return address
	}
	return ip.Mask(net.CIDRMask(64, 128)).String()
}

// tooMany answers who tries too often.
func tooMany(w http.ResponseWriter, wait time.Duration) error {
	seconds := int(math.Ceil(wait.Seconds()))
	w.Header().Set("Retry-After", strconv.Itoa(seconds))
	return refuse(http.StatusTooManyRequests, "too many tries", "wait, then try again; a planner can make a new link or password", "that were too many tries: the next one in %d seconds", seconds)
}
