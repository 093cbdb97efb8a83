package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"sallyport"
)

// Draft is the state of a show that is being worked on. Its version goes up
// by one with each save.
type Draft struct {
	Show    ShowID
	Version int64
	Saved   time.Time
	Author  string
	What    string // what made this version, in a few words; "" when it is not known
	Content
}

// Conflict says that a draft was saved by somebody else since it was read.
// Nothing was written; both versions are here for a person to choose from.
type Conflict struct {
	Theirs Draft // as it is kept
	Yours  Draft // as it was to be saved; Version is the one it was made from
	err    error
}

// Error says whose version is kept.
func (c *Conflict) Error() string { return c.err.Error() }

// Unwrap returns the *sallyport.Error.
func (c *Conflict) Unwrap() error { return c.err }

// NewConflict returns the error of a version that is no longer the newest.
func NewConflict(theirs, yours Draft) *Conflict {
	by := theirs.Author
	if by == "" {
		by = "somebody"
	}
	return &Conflict{theirs, yours, sallyport.Errorf(sallyport.CodeConflict, "look at both, then save again on top of the newer one",
		"%s has saved version %d since yours began from version %d; nothing was overwritten", by, theirs.Version, yours.Version)}
}

// keptDraft is a draft as it is kept.
type keptDraft struct {
	version, saved int64
	author, what   string
	written
}

func (d keptDraft) read(id ShowID) (Draft, error) {
	c, err := d.written.read()
	return Draft{id, d.version, timeOf(d.saved), d.author, d.what, c}, err
}

// Draft returns the draft of a show.
func (s *Store) Draft(ctx context.Context, id ShowID) (Draft, error) {
	var d keptDraft
	err := s.read(ctx, func(tx *sql.Tx) (err error) {
		d, err = getDraft(ctx, tx, id)
		return err
	})
	if err != nil {
		return Draft{}, err
	}
	return d.read(id)
}

func getDraft(ctx context.Context, tx *sql.Tx, id ShowID) (keptDraft, error) {
	var d keptDraft
	err := tx.QueryRowContext(ctx, `SELECT d.version, d.saved, d.author, COALESCE(s.what, ''), d.show_json, d.plan_json
		FROM draft d LEFT JOIN draft_step s ON s.show_id = d.show_id AND s.version = d.version WHERE d.show_id = $1`, id).
		Scan(&d.version, &d.saved, &d.author, &d.what, &d.show, &d.plan)
	if errors.Is(err, sql.ErrNoRows) {
		return d, noShow(id)
	}
	return d, err
}

func addDraft(ctx context.Context, tx *sql.Tx, id ShowID, version, now int64, author string, w written) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO draft (show_id, version, saved, author, show_json, plan_json) VALUES ($1, $2, $3, $4, $5, $6)`,
		id, version, now, author, w.show, w.plan)
	return err
}

// SaveDraft saves what was made from a version of the draft; what says in a few
// words what was done, for the history. When that version is no longer the
// newest, nothing is saved and the error is a *Conflict.
func (s *Store) SaveDraft(ctx context.Context, id ShowID, version int64, c Content, author, what string) (Draft, error) {
	w, err := c.write()
	if err := together(err, checkText("the author's name", author, maxName, false), checkText("what was done", what, maxText, false)); err != nil {
		return Draft{}, err
	}
	now := s.stamp()
	err = s.write(ctx, func(tx *sql.Tx) error {
		if err := touch(ctx, tx, id, now); err != nil {
			return err
		}
		if err := sameVersion(ctx, tx, id, Draft{id, version, timeOf(now), author, what, c}); err != nil {
			return err
		}
		old, err := getDraft(ctx, tx, id)
		if err != nil {
			return err
		}
		return setDraft(ctx, tx, id, old, keptDraft{version + 1, now, author, what, w})
	})
	if err != nil {
		return Draft{}, err
	}
	return Draft{id, version + 1, timeOf(now), author, what, c}, nil
}

// sameVersion returns a *Conflict when the draft that is kept is not of the
// version of yours.
func sameVersion(ctx context.Context, tx *sql.Tx, id ShowID, yours Draft) error {
	var kept int64
	if err := tx.QueryRowContext(ctx, `SELECT version FROM draft WHERE show_id = $1`, id).Scan(&kept); err != nil || kept == yours.Version {
		return err
	}
	d, err := getDraft(ctx, tx, id)
	if err != nil {
		return err
	}
	theirs, err := d.read(id)
	if err != nil {
		return err
	}
	return NewConflict(theirs, yours)
}

// setDraft puts an edited draft in the place of the old one, and notes it in the
// history.
func setDraft(ctx context.Context, tx *sql.Tx, id ShowID, old, edited keptDraft) error {
	if err := putDraft(ctx, tx, id, edited); err != nil {
		return err
	}
	return addEdit(ctx, tx, id, old, edited)
}

func putDraft(ctx context.Context, tx *sql.Tx, id ShowID, d keptDraft) error {
	_, err := tx.ExecContext(ctx, `UPDATE draft SET version = $2, saved = $3, author = $4, show_json = $5, plan_json = $6 WHERE show_id = $1`,
		id, d.version, d.saved, d.author, d.show, d.plan)
	return err
}
