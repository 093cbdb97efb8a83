package web

import (
	"context"
	"errors"
	"net/http"

	"sallyport"
	"sallyport/internal/store"
)

// whoRoutes lists the routes about who may do what.
func whoRoutes() []route {
	return []route{
		{method: "GET", path: "/api/session", open: true, says: "who is signed in", out: Session{}, do: (*Server).session},
		{method: "POST", path: "/api/session", open: true, says: "signs in with a password", in: SignIn{}, out: Session{}, do: (*Server).signIn},
		{method: "DELETE", path: "/api/session", open: true, says: "signs out", do: (*Server).signOut},
		{method: "PUT", path: "/api/session/password", roles: everyone, says: "gives one's own account another password; other browsers are signed out", in: NewPassword{}, out: Session{}, do: (*Server).newPassword},
		{method: "POST", path: "/api/join", open: true, says: "signs in by a link, once", in: JoinIn{}, out: Session{}, do: (*Server).joinIn},
		{method: "POST", path: "/api/first", open: true, says: "makes a planner's account with the code that the server printed", made: 201, in: FirstIn{}, out: Session{}, do: (*Server).firstIn},

		{method: "GET", path: "/api/accounts", roles: planners, says: "all accounts", out: []Account{}, do: (*Server).accounts},
		{method: "POST", path: "/api/accounts", roles: planners, says: "makes an account; the first is a planner's", made: 201, in: NewAccount{}, out: Account{}, do: (*Server).newAccount},
		{method: "PATCH", path: "/api/accounts/{id}", roles: planners, says: "changes an account; with a new password or when blocked it is signed out everywhere", in: AccountChange{}, out: Account{}, do: (*Server).changeAccount},
		{method: "GET", path: "/api/joins", roles: planners, says: "all links, newest first", out: []JoinLink{}, do: (*Server).joins},
		{method: "POST", path: "/api/joins", roles: planners, says: "makes a link; its address and picture are given this once", made: 201, in: NewJoin{}, out: JoinLink{}, do: (*Server).newJoin},
		{method: "DELETE", path: "/api/joins/{id}", roles: planners, says: "withdraws a link, or signs out who used it", out: JoinLink{}, do: (*Server).endJoin},
		{method: "GET", path: "/api/audit", roles: planners, query: []string{"before"}, says: "what was done by whom, newest first, 200 at once", out: []AuditLine{}, do: (*Server).audit},
	}
}

// maxForm is how many bytes a form about people may have; some are read from
// whoever asks.
const maxForm = 16 << 10

// form reads a small body as JSON.
func (c *call) form(v any) error {
	c.Body = http.MaxBytesReader(c.w, c.Body, maxForm)
	err := c.json(v)
	var r *refusal
	if errors.As(err, &r) && r.status == http.StatusRequestEntityTooLarge {
		return refuse(r.status, r.code, "send less", "what was sent has more than %d kB", maxForm>>10)
	}
	return err
}

// Session says who is signed in.
type Session struct {
	Name      string   `json:"name"`
	Role      Role     `json:"role"` // "" for nobody
	Solo      bool     `json:"solo"`
	SignedIn  bool     `json:"signed_in"`
	Account   bool     `json:"account"`         // has a password of their own
	First     bool     `json:"first,omitempty"` // nobody can sign in yet: the first account is to be made
	Addresses []string `json:"addresses"`       // at which others reach the server
	Version   string   `json:"version"`
}

func (s *Server) sessionOf(p Person) Session {
	x := Session{Name: p.Name, Role: p.Role, Solo: p.Solo, SignedIn: p.SignedIn(), Account: p.account != 0, Addresses: []string{}, Version: s.Version}
	if x.SignedIn && s.Who.Addresses != nil {
		x.Addresses = append(x.Addresses, s.Who.Addresses()...)
	}
	return x
}

func (s *Server) session(c *call) (answer, error) {
	x := s.sessionOf(c.who)
	if !x.SignedIn {
		some, err := s.Who.hasAccounts(c.Context())
		if err != nil {
			return answer{}, err
		}
		x.First = !some
	}
	return answer{body: x}, nil
}

// SignIn is a name and its password.
type SignIn struct {
	Name     string `json:"name"`
	Password string `json:"password"`
}

func (s *Server) signIn(c *call) (answer, error) {
	var ask SignIn
	if err := c.form(&ask); err != nil {
		return answer{}, err
	}
	a, err := s.Who.proven(c, ask.Name, ask.Password)
	if err != nil {
		return answer{}, err
	}
	return s.begin(c, "signed in", func(token, earlier []byte) (store.Session, error) {
		return s.Store.BeginSession(c.Context(), a, token, earlier)
	})
}

// maxKey is the most bytes by which a name that can be kept is compared.
const maxKey = 1 << 10

// proven returns the account of a name when the password is right. It takes
// as long and answers the same whether the name, the password or both are
// wrong, or the account is blocked.
func (w *Who) proven(c *call, name, password string) (store.Account, error) {
	from := fromOf(c.Request)
	key := store.NameKey(name)
	if len(key) > maxKey { // nobody is called so
		key = ""
	}
	right, wait := w.sign.try(w.Now(), from, key)
	if wait > 0 {
		return store.Account{}, tooMany(c.w, wait)
	}
	a, err := w.Store.AccountOf(c.Context(), name)
	known := true
	if isNotFound(err) {
		known, a = false, store.Account{Password: w.unknown}
	} else if err != nil {
		return a, err
	}
	fits := false
	if len(password) <= 4*mostPassword {
		if fits, err = w.fits(c.Context(), a.Password, password); err != nil {
			return a, err
		}
	}
	if fits && known && a.Blocked.IsZero() {
		right()
		return a, nil
	}
	// A name that is not known may be a password typed in the wrong place.
	what := "tried to sign in with a name that is not known"
	switch {
	case fits && known:
		what = "tried to sign in to the blocked account of " + a.Name
	case known:
		what = "tried to sign in as " + a.Name + " with a wrong password"
	}
	w.note(c.Context(), Person{From: from}, 0, what)
	return a, refuse(http.StatusUnauthorized, "wrong", "try again, or ask a planner for a new password", "the name or the password is not right")
}

// begin gives the browser a new token, in place of the one it had, and
// answers with who is signed in then.
func (s *Server) begin(c *call, what string, do func(token, earlier []byte) (store.Session, error)) (answer, error) {
	token, err := newToken(s.Who.Rand)
	if err != nil {
		return answer{}, err
	}
	sum := tokenSum(token)
	made, err := do(sum, tokenSum(s.Who.tokenOf(c.Request)))
	if err != nil {
		return answer{}, err
	}
	p := Person{Name: made.Name, Role: made.Role, From: fromOf(c.Request), account: made.Account, join: made.Join, token: sum}
	s.Who.setToken(c.w, token)
	s.Who.note(c.Context(), p, 0, what)
	return answer{body: s.sessionOf(p)}, nil
}

func (s *Server) signOut(c *call) (answer, error) {
	if c.who.token != nil {
		if err := s.Store.EndSession(c.Context(), c.who.token); err != nil {
			return answer{}, err
		}
		s.Who.Note(c.Request, 0, "signed out")
		s.Who.cut(func(p Person) bool { return same(p.token, c.who.token) })
	}
	s.Who.setToken(c.w, "")
	return answer{}, nil
}

// NewPassword is one's own password, and the one that takes its place.
type NewPassword struct {
	Now      string `json:"now"`
	Password string `json:"password"`
}

func (s *Server) newPassword(c *call) (answer, error) {
	var ask NewPassword
	if err := c.form(&ask); err != nil {
		return answer{}, err
	}
	if c.who.account == 0 {
		return answer{}, sallyport.Errorf(sallyport.CodeInput, "ask a planner for an account", "%s has no account, and so no password", c.who.Name)
	}
	a, err := s.Who.proven(c, c.who.Name, ask.Now)
	var r *refusal
	if errors.As(err, &r) && r.status == http.StatusUnauthorized { // that would read as signed out
		err = sallyport.Errorf(sallyport.CodeInput, "ask a planner for a new one if you do not know it", "the password you have now is another one")
	}
	if err == nil {
		err = checkPassword(a.Name, ask.Password)
	}
	if err != nil {
		return answer{}, err
	}
	hash, err := s.Who.hash(c.Context(), ask.Password)
	if err != nil {
		return answer{}, err
	}
	if a, err = s.Store.ChangeAccount(c.Context(), a.ID, store.AccountChange{Password: &hash}); err != nil {
		return answer{}, err
	}
	done, err := s.begin(c, "changed their password", func(token, earlier []byte) (store.Session, error) {
		return s.Store.BeginSession(c.Context(), a, token, earlier)
	})
	s.Who.cut(func(p Person) bool { return p.account == a.ID })
	return done, err
}

// JoinIn is the code of a link, and the name of who uses it.
type JoinIn struct {
	Code string `json:"code"`
	Name string `json:"name"`
}

func (s *Server) joinIn(c *call) (answer, error) {
	var ask JoinIn
	if err := c.form(&ask); err != nil {
		return answer{}, err
	}
	right, wait := s.Who.codes.try(s.Who.Now(), fromOf(c.Request), "")
	if wait > 0 {
		return answer{}, tooMany(c.w, wait)
	}
	done, err := s.begin(c, "came in by a link", func(token, earlier []byte) (store.Session, error) {
		return s.Store.UseJoin(c.Context(), codeSum(ask.Code), ask.Name, token, earlier)
	})
	switch {
	case err == nil:
		right()
	case isNotFound(err):
		s.Who.note(c.Context(), Person{From: fromOf(c.Request)}, 0, "tried a link that is not good")
		err = &refusal{status: http.StatusUnauthorized, code: "wrong", err: err}
	}
	return done, err
}

// FirstIn is the code that the server printed, and the account it makes.
type FirstIn struct {
	Code     string `json:"code"`
	Name     string `json:"name"`
	Password string `json:"password"`
}

func (s *Server) firstIn(c *call) (answer, error) {
	var ask FirstIn
	if err := c.form(&ask); err != nil {
		return answer{}, err
	}
	right, wait := s.Who.codes.try(s.Who.Now(), fromOf(c.Request), "")
	if wait > 0 {
		return answer{}, tooMany(c.w, wait)
	}
	a, err := s.Who.useFirst(c.Context(), ask)
	var r *refusal
	switch {
	case errors.As(err, &r):
		s.Who.note(c.Context(), Person{From: fromOf(c.Request)}, 0, "tried a code for a planner's account that is not good")
		return answer{}, err
	case err != nil:
		return answer{}, err
	}
	right()
	done, err := s.begin(c, "made a planner's account with the server's code", func(token, earlier []byte) (store.Session, error) {
		return s.Store.BeginSession(c.Context(), a, token, earlier)
	})
	done.status = http.StatusCreated
	return done, err
}

// useFirst makes a planner's account with the code for one, which is good
// once.
func (w *Who) useFirst(ctx context.Context, ask FirstIn) (store.Account, error) {
	sum := codeSum(ask.Code)
	w.mu.Lock()
	good := same(w.first, sum)
	w.mu.Unlock()
	wrong := refuse(http.StatusUnauthorized, "wrong", "look at what the server printed when it started; start it again for a new one", "this code cannot be used: it is mistyped, or was used already")
	if !good {
		return store.Account{}, wrong
	}
	if err := checkPassword(ask.Name, ask.Password); err != nil {
		return store.Account{}, err
	}
	hash, err := w.hash(ctx, ask.Password)
	if err != nil {
		return store.Account{}, err
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if !same(w.first, sum) { // somebody else was quicker
		return store.Account{}, wrong
	}
	a, err := w.Store.AddAccount(ctx, ask.Name, Planner, hash)
	if err != nil {
		return a, err
	}
	w.first, w.code = nil, ""
	w.accounts.Store(true)
	return a, nil
}
