package web

import (
	"errors"
	"net/http"
	"strconv"
	"strings"

	"sallyport"
	"sallyport/internal/store"
)

// Account is a person with a password.
type Account struct {
	ID      int64  `json:"id"`
	Name    string `json:"name"`
	Role    Role   `json:"role"`
	Added   string `json:"added"`
	Last    string `json:"last,omitempty"` // sign-in
	Blocked bool   `json:"blocked,omitempty"`
}

func account(a store.Account) Account {
	return Account{a.ID, a.Name, a.Role, stamp(a.Added), stamp(a.Last), !a.Blocked.IsZero()}
}

// numbered returns the number in the path of a thing of some kind.
func (c *call) numbered(kind string) (int64, error) {
	id, err := strconv.ParseInt(c.PathValue("id"), 10, 64)
	if err != nil || id < 1 {
		return 0, sallyport.Errorf(sallyport.CodeNotFound, "look at the list", "%q is no number of %s", c.PathValue("id"), kind)
	}
	return id, nil
}

func (s *Server) accounts(c *call) (answer, error) {
	list, err := s.Store.Accounts(c.Context())
	if err != nil {
		return answer{}, err
	}
	out := make([]Account, len(list))
	for i, a := range list {
		out[i] = account(a)
	}
	return answer{body: out}, nil
}

// NewAccount is an account to be made.
type NewAccount struct {
	Name     string `json:"name"`
	Role     Role   `json:"role"`
	Password string `json:"password"`
}

func (s *Server) newAccount(c *call) (answer, error) {
	var ask NewAccount
	if err := c.form(&ask); err != nil {
		return answer{}, err
	}
	if err := checkPassword(ask.Name, ask.Password); err != nil {
		return answer{}, err
	}
	hash, err := s.Who.hash(c.Context(), ask.Password)
	if err != nil {
		return answer{}, err
	}
	a, err := s.Store.AddAccount(c.Context(), ask.Name, ask.Role, hash)
	if err != nil {
		return answer{}, err
	}
	s.Who.Note(c.Request, 0, "made an account for %s, %s", a.Name, a.Role)
	s.Who.accounts.Store(true)
	s.Who.cut(func(p Person) bool { return p.Solo }) // from now on people sign in
	return answer{status: http.StatusCreated, body: account(a)}, nil
}

// AccountChange says what changes; what is left out stays.
type AccountChange struct {
	Name     *string `json:"name,omitempty"`
	Role     *Role   `json:"role,omitempty"`
	Password *string `json:"password,omitempty"`
	Blocked  *bool   `json:"blocked,omitempty"`
}

// says puts a change into words for the audit trail; a is the account then.
func (x AccountChange) says(a store.Account) string {
	var list []string
	if x.Name != nil {
		list = append(list, "called "+a.Name+" now")
	}
	if x.Role != nil {
		list = append(list, "may do the work of "+string(a.Role))
	}
	if x.Password != nil {
		list = append(list, "new password")
	}
	if x.Blocked != nil && *x.Blocked {
		list = append(list, "blocked")
	}
	if x.Blocked != nil && !*x.Blocked {
		list = append(list, "let in again")
	}
	if len(list) == 0 {
		return "nothing"
	}
	return strings.Join(list, ", ")
}

func (s *Server) changeAccount(c *call) (answer, error) {
	id, err := c.numbered("an account")
	if err != nil {
		return answer{}, err
	}
	var ask AccountChange
	if err := c.form(&ask); err != nil {
		return answer{}, err
	}
	change := store.AccountChange{Name: ask.Name, Role: ask.Role, Blocked: ask.Blocked}
	if ask.Password != nil {
		name := ""
		if ask.Name != nil {
			name = *ask.Name
		}
		if err := checkPassword(name, *ask.Password); err != nil {
			return answer{}, err
		}
		hash, err := s.Who.hash(c.Context(), *ask.Password)
		if err != nil {
			return answer{}, err
		}
		change.Password = &hash
	}
	a, err := s.Store.ChangeAccount(c.Context(), id, change)
	if err != nil {
		return answer{}, err
	}
	s.Who.Note(c.Request, 0, "changed the account of %s: %s", a.Name, ask.says(a))
	if ask.Password != nil || ask.Role != nil || !a.Blocked.IsZero() {
		s.Who.cut(func(p Person) bool { return p.account == id })
	}
	return answer{body: account(a)}, nil
}

// AuditLine is a line of the audit trail.
type AuditLine struct {
	Number int          `json:"number"`
	At     string       `json:"at"`
	Who    string       `json:"who"` // "": nobody was signed in
	Role   Role         `json:"role"`
	From   string       `json:"from"`
	What   string       `json:"what"`
	Show   store.ShowID `json:"show,omitempty"`
}

// auditLines is how many lines are sent at once.
const auditLines = 200

func (s *Server) audit(c *call) (answer, error) {
	before, err := c.number("before")
	if err != nil {
		return answer{}, err
	}
	list, err := s.Store.Audits(c.Context(), before, auditLines)
	if err != nil {
		return answer{}, err
	}
	out := make([]AuditLine, len(list))
	for i, a := range list {
		out[i] = AuditLine{a.Number, stamp(a.At), a.Who, a.Role, a.From, a.What, a.Show}
	}
	return answer{body: out}, nil
}

// isNotFound reports whether something named does not exist.
func isNotFound(err error) bool {
	var known *sallyport.Error
	return errors.As(err, &known) && known.Code == sallyport.CodeNotFound
}
