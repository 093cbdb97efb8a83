package store

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"strings"
	"time"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"

	"sallyport"
)

// Role says what a person may do; docs/who-may.md has the table.
type Role string

// The roles.
const (
	Planner Role = "planner"
	Marshal Role = "marshal"
	Crew    Role = "crew"
	Viewer  Role = "viewer"
)

// Roles lists the roles, those who may most first.
func Roles() []Role { return []Role{Planner, Marshal, Crew, Viewer} }

func checkRole(r Role) error {
	if !slices.Contains(Roles(), r) {
		return sallyport.Errorf(sallyport.CodeInput, "give planner, marshal, crew or viewer", "%q is no role", r)
	}
	return nil
}

// Account is a person who signs in with a password.
type Account struct {
	ID       int64
	Name     string // no two have one that differs only in capitals or spaces
	Role     Role
	Password string // hash, in a form of its own; the store never looks inside
	Added    time.Time
	Last     time.Time // sign-in; zero: never
	Blocked  time.Time // zero: not blocked
}

const accountColumns = `id, name, role, password, added, last, blocked`

func scanAccount(r row) (Account, error) {
	var a Account
	var added int64
	var last, blocked sql.NullInt64
	err := r.Scan(&a.ID, &a.Name, &a.Role, &a.Password, &added, &last, &blocked)
	a.Added, a.Last, a.Blocked = timeOf(added), maybeTime(last), maybeTime(blocked)
	return a, err
}

func maybeTime(n sql.NullInt64) time.Time {
	if !n.Valid {
		return time.Time{}
	}
	return timeOf(n.Int64)
}

// tidyName returns a person's name with single spaces, and what it is
// compared by: characters that are not seen do not count.
func tidyName(name string) (tidy, key string) {
	tidy = strings.Join(strings.Fields(norm.NFC.String(name)), " ")
	seen := strings.Map(func(r rune) rune {
		if unseen(r) {
			return -1
		}
		return r
	}, norm.NFKC.String(tidy))
	return tidy, cases.Fold().String(strings.Join(strings.Fields(seen), " "))
}

// unseen reports whether a character is not seen in a name.
func unseen(r rune) bool {
	return !unicode.IsGraphic(r) || unicode.In(r, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector)
}

// checkPerson returns an error when a person cannot be called so. Signs that
// turn the direction of writing would turn what stands after the name as well.
func checkPerson(tidy, key string) error {
	err := checkText("the name", tidy, maxPerson, true)
	turns := func(r rune) bool { return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) }
	if err == nil && (key == "" || strings.ContainsFunc(tidy, turns)) {
		err = sallyport.Errorf(sallyport.CodeInput, "write it with letters", "the name %q cannot be read", tidy)
	}
	return err
}

// NameKey returns what a person's name is compared by: two names with one key
// are one.
func NameKey(name string) string {
	_, key := tidyName(name)
	return key
}

// maxPerson is the most characters of a person's name.
const maxPerson = 60

// HasAccounts reports whether there is an account.
func (s *Store) HasAccounts(ctx context.Context) (bool, error) {
	var n int
	err := s.read(ctx, func(tx *sql.Tx) (err error) {
		n, err = countAccounts(ctx, tx)
		return err
	})
	return n > 0, err
}

func countAccounts(ctx context.Context, tx *sql.Tx) (n int, err error) {
	err = tx.QueryRowContext(ctx, `SELECT count(*) FROM account`).Scan(&n)
	return n, err
}

// AddAccount makes an account. The first one is a planner's, so that there is
// somebody who can make others.
func (s *Store) AddAccount(ctx context.Context, name string, role Role, password string) (Account, error) {
	return s.addAccount(ctx, name, role, password, func(tx *sql.Tx) error {
		n, err := countAccounts(ctx, tx)
		if err == nil && n == 0 && role != Planner {
			err = sallyport.Errorf(sallyport.CodeInput, "make a planner's account first", "with a %s's account alone nobody could plan", role)
		}
		return err
	})
}

func (s *Store) addAccount(ctx context.Context, name string, role Role, password string, allow func(tx *sql.Tx) error) (Account, error) {
	name, key := tidyName(name)
	if err := together(checkRole(role), checkPerson(name, key), checkText("the password's hash", password, maxName, true)); err != nil {
		return Account{}, err
	}
	var made Account
	err := s.write(ctx, func(tx *sql.Tx) error {
		if err := errors.Join(allow(tx), nameFree(ctx, tx, name, key, 0)); err != nil {
			return err
		}
		var err error
		made, err = scanAccount(tx.QueryRowContext(ctx, `INSERT INTO account (name, name_key, role, password, added) VALUES ($1, $2, $3, $4, $5) RETURNING `+accountColumns,
			name, key, role, password, s.stamp()))
		return err
	})
	return made, err
}

// nameFree returns an error when a name belongs to another account than the
// one given, or to somebody who has come by a link and is still signed in.
func nameFree(ctx context.Context, tx *sql.Tx, name, key string, account int64) error {
	var taken int
	err := tx.QueryRowContext(ctx, `SELECT (SELECT count(*) FROM account WHERE name_key = $1 AND id <> $2)
		+ (SELECT count(*) FROM join_link JOIN session ON session.join_id = join_link.id WHERE join_link.name_key = $1 AND join_link.ended IS NULL)`, key, account).Scan(&taken)
	if err == nil && taken > 0 {
		err = sallyport.Errorf(sallyport.CodeInput, "add a surname or a letter, so that the two are told apart", "somebody is here as %s already", name)
	}
	return err
}

// Accounts lists all accounts in the order in which they were made.
func (s *Store) Accounts(ctx context.Context) ([]Account, error) {
	list := []Account{}
	err := s.read(ctx, func(tx *sql.Tx) error {
		rows, err := tx.QueryContext(ctx, `SELECT `+accountColumns+` FROM account ORDER BY id`)
		return each(rows, err, func() error {
			a, err := scanAccount(rows)
			list = append(list, a)
			return err
		})
	})
	if err != nil {
		return nil, err
	}
	return list, nil
}

// AccountOf returns the account with a name.
func (s *Store) AccountOf(ctx context.Context, name string) (Account, error) {
	name, key := tidyName(name)
	var a Account
	err := s.read(ctx, func(tx *sql.Tx) (err error) {
		a, err = scanAccount(tx.QueryRowContext(ctx, `SELECT `+accountColumns+` FROM account WHERE name_key = $1`, key))
		if errors.Is(err, sql.ErrNoRows) {
			err = sallyport.Errorf(sallyport.CodeNotFound, "look at the list of accounts", "there is no account of %s", name)
		}
		return err
	})
	return a, err
}

// AccountChange says what changes of an account; nil: nothing.
type AccountChange struct {
	Name     *string
	Role     *Role
	Password *string // hash
	Blocked  *bool
}

func (c *AccountChange) check() error {
	var errs []error
	if c.Name != nil {
		tidy, key := tidyName(*c.Name)
		c.Name = &tidy
		errs = append(errs, checkPerson(tidy, key))
	}
	if c.Role != nil {
		errs = append(errs, checkRole(*c.Role))
	}
	if c.Password != nil {
		errs = append(errs, checkText("the password's hash", *c.Password, maxName, true))
	}
	return together(errs...)
}

// ChangeAccount changes an account. With a new password or when it is blocked
// all its sessions end. The last planner's account stays a planner's and is
// not blocked.
func (s *Store) ChangeAccount(ctx context.Context, id int64, c AccountChange) (Account, error) {
	if err := c.check(); err != nil {
		return Account{}, err
	}
	var changed Account
	err := s.write(ctx, func(tx *sql.Tx) (err error) {
		changed, err = changeAccount(ctx, tx, id, c, s.stamp())
		return err
	})
	return changed, err
}

func changeAccount(ctx context.Context, tx *sql.Tx, id int64, c AccountChange, now int64) (Account, error) {
	a, err := scanAccount(tx.QueryRowContext(ctx, `SELECT `+accountColumns+` FROM account WHERE id = $1`, id))
	if errors.Is(err, sql.ErrNoRows) {
		err = sallyport.Errorf(sallyport.CodeNotFound, "look at the list of accounts", "there is no account %d", id)
	}
	if err != nil {
		return a, err
	}
	if c.Name != nil {
		_, key := tidyName(*c.Name)
		if err := nameFree(ctx, tx, *c.Name, key, id); err != nil {
			return a, err
		}
		if _, err := tx.ExecContext(ctx, `UPDATE account SET name = $2, name_key = $3 WHERE id = $1`, id, *c.Name, key); err != nil {
			return a, err
		}
	}
	if c.Role != nil {
		if _, err := tx.ExecContext(ctx, `UPDATE account SET role = $2 WHERE id = $1`, id, *c.Role); err != nil {
			return a, err
		}
	}
	if c.Password != nil {
		if _, err := tx.ExecContext(ctx, `UPDATE account SET password = $2 WHERE id = $1`, id, *c.Password); err != nil {
			return a, err
		}
	}
	if c.Blocked != nil {
		if _, err := tx.ExecContext(ctx, `UPDATE account SET blocked = CASE WHEN $2 THEN coalesce(blocked, $3) END WHERE id = $1`, id, *c.Blocked, now); err != nil {
			return a, err
		}
	}
	if c.Password != nil || c.Blocked != nil && *c.Blocked {
		if _, err := tx.ExecContext(ctx, `DELETE FROM session WHERE account_id = $1`, id); err != nil {
			return a, err
		}
	}
	if err := plannerLeft(ctx, tx, a); err != nil {
		return a, err
	}
	return scanAccount(tx.QueryRowContext(ctx, `SELECT `+accountColumns+` FROM account WHERE id = $1`, id))
}

// plannerLeft returns an error when no planner could sign in any more.
func plannerLeft(ctx context.Context, tx *sql.Tx, was Account) error {
	var n int
	err := tx.QueryRowContext(ctx, `SELECT count(*) FROM account WHERE role = 'planner' AND blocked IS NULL`).Scan(&n)
	if err == nil && n == 0 {
		err = sallyport.Errorf(sallyport.CodeInput, "make another planner's account first", "%s is the last planner who can sign in", was.Name)
	}
	return err
}
