// Package store keeps shows: the draft of each that is being worked on, every
// published issue, saved copies, and the log of what has happened on the day,
// in one database. docs/store.md says what is kept and what is promised.
//
// Every exported method is one transaction: it is done wholly or not at all,
// and what it returned without an error for is on the disk. Errors are
// *sallyport.Error, or a *Conflict that holds one.
package store

import (
	"context"
	"database/sql"
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"sallyport"
)

// Options say how a store works.
type Options struct {
	Now func() time.Time // the clock; needed
}

// Store is an open database of shows. It may be used from several goroutines
// and, with SQLite, from several processes at once.
type Store struct {
	db     *sql.DB
	engine engine
	now    func() time.Time
}

// Open opens the database at a path, makes it when there is none, and brings
// its tables up to date. The folder is made, too, readable by its owner only.
func Open(ctx context.Context, dsn string, o Options) (*Store, error) {
	if o.Now == nil {
		return nil, sallyport.Errorf(sallyport.CodeInternal, "", "a store needs a clock")
	}
	e, err := engineFor(dsn)
	if err != nil {
		return nil, err
	}
	db, err := e.open(ctx, dsn)
	if err != nil {
		return nil, failed(ctx, e, dsn, err)
	}
	s := &Store{db: db, engine: e, now: o.Now}
	if err := s.migrate(ctx, dsn); err != nil {
		return nil, errors.Join(failed(ctx, e, dsn, err), db.Close())
	}
	return s, nil
}

// Close closes the database. It waits for what is being written.
func (s *Store) Close() error {
	if err := s.db.Close(); err != nil {
		return failed(context.Background(), s.engine, "the database", err)
	}
	return nil
}

// DefaultPath returns where the database is kept unless told otherwise: the
// folder in which programs keep a user's data on that operating system
// (runtime.GOOS), from the environment given.
func DefaultPath(goos string, getenv func(string) string) (string, error) {
	home := getenv("HOME")
	var folder string
	switch goos {
	case "windows":
		folder = getenv("LOCALAPPDATA")
	case "darwin":
		if home != "" {
			folder = filepath.Join(home, "Library", "Application Support")
		}
	default:
		folder = getenv("XDG_DATA_HOME")
		if !filepath.IsAbs(folder) && home != "" { // a relative one counts as not given
			folder = filepath.Join(home, ".local", "share")
		}
	}
	if folder == "" {
		return "", sallyport.Errorf(sallyport.CodeInput, "name the database's file", "the environment does not say where your data is kept")
	}
	return filepath.Join(folder, "sallyport", "sallyport.db"), nil
}

// write runs do in one transaction that has the right to write from its
// beginning, so that two never wait for each other.
func (s *Store) write(ctx context.Context, do func(tx *sql.Tx) error) error {
	return s.transact(ctx, &sql.TxOptions{}, do)
}

// read runs do in one transaction that sees the database as it is at its
// first look, whatever others write meanwhile.
func (s *Store) read(ctx context.Context, do func(tx *sql.Tx) error) error {
	return s.transact(ctx, s.engine.snapshot, do)
}

func (s *Store) transact(ctx context.Context, o *sql.TxOptions, do func(tx *sql.Tx) error) error {
	tx, err := s.db.BeginTx(ctx, o)
	if err != nil {
		return failed(ctx, s.engine, "the database", err)
	}
	if err := do(tx); err != nil {
		back := tx.Rollback()
		if errors.Is(back, sql.ErrTxDone) { // the context has rolled it back
			back = nil
		}
		return failed(ctx, s.engine, "the database", errors.Join(err, back))
	}
	if err := tx.Commit(); err != nil {
		return failed(ctx, s.engine, "the database", err)
	}
	return nil
}

// failed returns an error of the database as one that a person can act on;
// those that are already stay as they are.
func failed(ctx context.Context, e engine, what string, err error) error {
	var conflict *Conflict
	var known *sallyport.Error
	switch {
	case errors.As(err, &conflict):
		return conflict
	case errors.As(err, &known):
		return known
	case ctx.Err() != nil:
		return sallyport.Errorf(sallyport.CodeInterrupted, "nothing was changed", "stopped while at work on %s", what)
	}
	return e.explain(what, err)
}

// stamp returns the clock's time as it is kept: microseconds, UTC.
func (s *Store) stamp() int64 { return s.now().UnixMicro() }

func timeOf(micros int64) time.Time { return time.UnixMicro(micros).UTC() }

// Limits of what is kept.
const (
	maxName    = 200       // characters of a name, an author, a setting's name
	maxText    = 10_000    // characters of a note
	maxContent = 128 << 20 // bytes of a show or a plan as JSON
)

// together returns all that is wrong with what was given as one error.
func together(errs ...error) error {
	var says, hints []string
	for _, err := range errs {
		var known *sallyport.Error
		if errors.As(err, &known) {
			says, hints = append(says, known.Message), append(hints, known.Hint)
		} else if err != nil {
			return err
		}
	}
	if len(says) == 0 {
		return nil
	}
	return sallyport.Errorf(sallyport.CodeInput, strings.Join(slices.Compact(hints), "; "), "%s", strings.Join(says, "; "))
}

// checkText returns an error when a text cannot be kept.
func checkText(what, text string, most int, needed bool) error {
	switch n := utf8.RuneCountInString(text); {
	case !utf8.ValidString(text) || strings.ContainsRune(text, 0):
		return sallyport.Errorf(sallyport.CodeInput, "write it anew", "%s has characters that are none", what)
	case needed && strings.TrimSpace(text) == "":
		return sallyport.Errorf(sallyport.CodeInput, "give one", "%s is empty", what)
	case n > most:
		return sallyport.Errorf(sallyport.CodeInput, "make it shorter", "%s has %d characters, %d at most can be kept", what, n, most)
	}
	return nil
}
