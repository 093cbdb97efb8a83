package web

import (
	"context"
	"crypto/subtle"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"sallyport"
	"sallyport/internal/store"
)

// Role says what a person may do; docs/who-may.md has the table.
type Role = store.Role

// The roles.
const (
	Planner = store.Planner
	Marshal = store.Marshal
	Crew    = store.Crew
	Viewer  = store.Viewer
)

// Person is who asks. The zero Person is nobody: not signed in.
type Person struct {
	Name string
	Role Role // "" for nobody
	Solo bool // at the machine itself, while there are no accounts
	From string

	account int64  // 0: none
	join    int64  // 0: not by a link
	token   []byte // sum of the session's token
}

// SignedIn reports whether this is somebody.
func (p Person) SignedIn() bool { return p.Role != "" }

// personKey finds the Person in a context.
type personKey struct{}

// PersonOf returns who asks, as Guard or Open found out.
func PersonOf(ctx context.Context) Person {
	p, _ := ctx.Value(personKey{}).(Person) // nobody without
	return p
}

// WhoOptions say who may ask, and from where. Store, Now, Log and Rand are
// needed.
type WhoOptions struct {
	Store      *store.Store
	Now        func() time.Time
	Log        *slog.Logger
	Rand       io.Reader       // of tokens and codes: crypto/rand.Reader but in tests
	Loopback   bool            // the server listens where only this machine can reach it
	NewPlanner bool            // offers a code for a planner's account although there are accounts
	Secure     bool            // over TLS: cookies say so
	Lasting    bool            // with a certificate of one's own: browsers are told to insist on TLS (HSTS)
	Solo       string          // name of who works without accounts; "": Planner
	Names      []string        // by which the server is called, besides addresses and localhost
	Addresses  func() []string // at which others reach it, "https://192.168.4.2:8443"; nil: none
}

// Who knows who asks and what they may do.
type Who struct {
	WhoOptions
	origins  *http.CrossOriginProtection
	accounts atomic.Bool // there are some; they are never removed
	sign     *gate       // slows who guesses passwords
	codes    *gate       // slows who guesses codes
	hashing  chan struct{}
	unknown  string // a hash no password has, so that an unknown name takes as long

	mu    sync.Mutex
	first []byte // sum of the code for a planner's account; nil: none or used
	code  string // the same to be printed
	live  map[*liveRequest]struct{}
}

// NewWho returns a Who. On the network, and while there are no accounts, it
// offers a code for the first: FirstCode.
func NewWho(ctx context.Context, o WhoOptions) (*Who, error) {
	if o.Store == nil || o.Now == nil || o.Log == nil || o.Rand == nil {
		return nil, sallyport.Errorf(sallyport.CodeInternal, "", "who may needs a store, a clock, a log and a source of chance")
	}
	if o.Solo == "" {
		o.Solo = "Planner"
	}
	w := &Who{
		WhoOptions: o, origins: http.NewCrossOriginProtection(), sign: newGate(signLimits), codes: newGate(codeLimits),
		hashing: make(chan struct{}, 2), live: map[*liveRequest]struct{}{},
	}
	some, err := o.Store.HasAccounts(ctx)
	if err != nil {
		return nil, err
	}
	w.accounts.Store(some)
	if w.unknown, err = newHashOfNone(o.Rand); err != nil {
		return nil, err
	}
	if o.NewPlanner || !o.Loopback && !some {
		if w.code, err = newCode(o.Rand); err != nil {
			return nil, err
		}
		w.first = codeSum(w.code)
	}
	return w, nil
}

// FirstCode returns the code by which a planner's account can be made once,
// "": there is none, or it was used. It is for the eyes of who started the
// server.
func (w *Who) FirstCode() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.code
}

// hasAccounts reports whether there are accounts; another program may have
// made one.
func (w *Who) hasAccounts(ctx context.Context) (bool, error) {
	if w.accounts.Load() {
		return true, nil
	}
	some, err := w.Store.HasAccounts(ctx)
	if some {
		w.accounts.Store(true)
	}
	return some, err
}

// person finds out who asks, and renews their cookie from time to time.
func (w *Who) person(rw http.ResponseWriter, r *http.Request) (Person, error) {
	nobody := Person{From: fromOf(r)}
	if w.Loopback {
		some, err := w.hasAccounts(r.Context())
		switch {
		case err != nil:
			return nobody, err
		case !some && isLocal(r):
			return Person{Name: w.Solo, Role: Planner, Solo: true, From: nobody.From}, nil
		case !some:
			return nobody, nil
		}
	}
	token := w.tokenOf(r)
	if token == "" {
		return nobody, nil
	}
	sum := tokenSum(token)
	s, fresh, err := w.Store.SessionOf(r.Context(), sum)
	if isNotFound(err) {
		return nobody, nil
	}
	if err != nil {
		return nobody, err
	}
	if fresh {
		w.setToken(rw, token)
	}
	return Person{Name: s.Name, Role: s.Role, From: nobody.From, account: s.Account, join: s.Join, token: sum}, nil
}

// Open serves who asks, signed in or not.
func (w *Who) Open(next http.Handler) http.Handler {
	return w.known(func(rw http.ResponseWriter, r *http.Request, _ Person) { next.ServeHTTP(rw, r) })
}

// Guard serves only people with one of the roles; without roles nobody.
func (w *Who) Guard(roles []Role, next http.Handler) http.Handler {
	return w.known(func(rw http.ResponseWriter, r *http.Request, p Person) {
		switch {
		case !p.SignedIn():
			writeTrouble(rw, troubleOf(refuse(http.StatusUnauthorized, "signed out", "sign in, or use a link of your own", "nobody is signed in here")))
		case !slices.Contains(roles, p.Role):
			writeTrouble(rw, troubleOf(refuse(http.StatusForbidden, "not allowed", "ask a planner", "%s is here as %s, who may not do this", p.Name, p.Role)))
		default:
			next.ServeHTTP(rw, r)
		}
	})
}

// known finds out who asks and serves them until they are signed out.
func (w *Who) known(next func(http.ResponseWriter, *http.Request, Person)) http.Handler {
	return http.HandlerFunc(func(rw http.ResponseWriter, r *http.Request) {
		p, err := w.person(rw, r)
		if err != nil {
			w.Log.Error("who asks could not be found out", "error", err)
			writeTrouble(rw, troubleOf(err))
			return
		}
		ctx, cancel := context.WithCancelCause(context.WithValue(r.Context(), personKey{}, p))
		l := &liveRequest{p, cancel}
		w.mu.Lock()
		w.live[l] = struct{}{}
		w.mu.Unlock()
		defer func() {
			w.mu.Lock()
			delete(w.live, l)
			w.mu.Unlock()
			cancel(nil)
		}()
		next(rw, r.WithContext(ctx), p)
	})
}

// liveRequest is a request being answered: a stream of events may last for
// days, longer than a session.
type liveRequest struct {
	who    Person
	cancel context.CancelCauseFunc
}

var errSignedOut = errors.New("signed out meanwhile")

// cut ends what is being answered to some people.
func (w *Who) cut(whose func(Person) bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for l := range w.live {
		if whose(l.who) {
			l.cancel(errSignedOut)
		}
	}
}

// Note adds a line to the audit trail about who asks. show 0 is none.
func (w *Who) Note(r *http.Request, show store.ShowID, format string, args ...any) {
	p := PersonOf(r.Context())
	p.From = fromOf(r)
	w.note(r.Context(), p, show, fmt.Sprintf(format, args...))
}

func (w *Who) note(ctx context.Context, p Person, show store.ShowID, what string) {
	// What was done is noted also when the browser has gone away meanwhile.
	err := w.Store.Note(context.WithoutCancel(ctx), store.Audit{Who: p.Name, Role: p.Role, From: p.From, What: what, Show: show})
	if err != nil {
		w.Log.Error("the audit trail could not be written", "what", what, "who", p.Name, "error", err)
	}
}

// fromOf returns the network address that a request came from.
func fromOf(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}

// isLocal reports whether a request comes from this machine, and not by way
// of another server that passes on what others ask.
func isLocal(r *http.Request) bool {
	for _, h := range []string{"Forwarded", "X-Forwarded-For", "X-Forwarded-Host", "X-Real-Ip", "Via"} {
		if r.Header.Get(h) != "" {
			return false
		}
	}
	ip := net.ParseIP(fromOf(r))
	return ip != nil && ip.IsLoopback()
}

// same reports whether two sums are the same, in constant time.
func same(a, b []byte) bool { return len(a) > 0 && subtle.ConstantTimeCompare(a, b) == 1 }
