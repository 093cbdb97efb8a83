package store

import (
	"context"
	"database/sql"
	"errors"
	"strings"
	"time"

	"sallyport"
)

// ShowID names a show in its database; it never changes and is never given
// again.
type ShowID int64

// Show is one show that is kept, as a line in a list.
type Show struct {
	ID       ShowID
	Name     string // in the list; two may have the same
	Created  time.Time
	Changed  time.Time // by anything said below, the name or the archive
	Archived time.Time // zero: not archived
	Issues   int       // published, numbers 1 … Issues
	Copies   int       // saved, numbers 1 … Copies
	Said     int       // entries in the log, numbers 1 … Said
}

const showColumns = `id, name, created, changed, archived, issues, copies, said`

// row is a *sql.Row or *sql.Rows.
type row interface{ Scan(...any) error }

func scanShow(r row) (Show, error) {
	var s Show
	var created, changed int64
	var archived sql.NullInt64
	err := r.Scan(&s.ID, &s.Name, &created, &changed, &archived, &s.Issues, &s.Copies, &s.Said)
	s.Created, s.Changed = timeOf(created), timeOf(changed)
	if archived.Valid {
		s.Archived = timeOf(archived.Int64)
	}
	return s, err
}

// Create begins a show with a draft of version 1. Without a name it gets the
// one of the show in the content.
func (s *Store) Create(ctx context.Context, name string, c Content, author string) (Show, error) {
	if strings.TrimSpace(name) == "" && c.Show != nil {
		name = c.Show.Name
	}
	name = strings.TrimSpace(name)
	w, err := c.write()
	if err := together(err, checkText("the name of the show", name, maxName, true), checkText("the author's name", author, maxName, false)); err != nil {
		return Show{}, err
	}
	var made Show
	err = s.write(ctx, func(tx *sql.Tx) error {
		made, err = createShow(ctx, tx, name, s.stamp(), w, author)
		return err
	})
	return made, err
}

// createShow adds a show and its first draft.
func createShow(ctx context.Context, tx *sql.Tx, name string, now int64, w written, author string) (Show, error) {
	id, err := addShow(ctx, tx, name, now, now)
	if err != nil {
		return Show{}, err
	}
	if err := addDraft(ctx, tx, id, 1, now, author, w); err != nil {
		return Show{}, err
	}
	return getShow(ctx, tx, id)
}

func addShow(ctx context.Context, tx *sql.Tx, name string, created, changed int64) (ShowID, error) {
	var id ShowID
	if err := tx.QueryRowContext(ctx, `UPDATE counter SET last = last + 1 WHERE name = 'show' RETURNING last`).Scan(&id); err != nil {
		return 0, err
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO show (id, name, created, changed) VALUES ($1, $2, $3, $4)`, id, name, created, changed)
	return id, err
}

// Show returns one show.
func (s *Store) Show(ctx context.Context, id ShowID) (Show, error) {
	var found Show
	err := s.read(ctx, func(tx *sql.Tx) (err error) {
		found, err = getShow(ctx, tx, id)
		return err
	})
	return found, err
}

func getShow(ctx context.Context, tx *sql.Tx, id ShowID) (Show, error) {
	show, err := scanShow(tx.QueryRowContext(ctx, `SELECT `+showColumns+` FROM show WHERE id = $1`, id))
	if errors.Is(err, sql.ErrNoRows) {
		return Show{}, noShow(id)
	}
	return show, err
}

func noShow(id ShowID) error {
	return sallyport.Errorf(sallyport.CodeNotFound, "look at the list of shows", "there is no show %d", id)
}

// Shows lists the shows, the last changed first (of two at one moment, the
// one with the higher id); archived ones only when asked for.
func (s *Store) Shows(ctx context.Context, archived bool) ([]Show, error) {
	list := []Show{}
	err := s.read(ctx, func(tx *sql.Tx) error {
		rows, err := tx.QueryContext(ctx, `SELECT `+showColumns+` FROM show ORDER BY changed DESC, id DESC`)
		return each(rows, err, func() error {
			show, err := scanShow(rows)
			if archived || show.Archived.IsZero() {
				list = append(list, show)
			}
			return err
		})
	})
	if err != nil {
		return nil, err
	}
	return list, nil
}

// each calls do for every row of an answer, and closes it.
func each(rows *sql.Rows, err error, do func() error) error {
	if err != nil {
		return err
	}
	for rows.Next() {
		if err := do(); err != nil {
			return errors.Join(err, rows.Close())
		}
	}
	return errors.Join(rows.Err(), rows.Close())
}

// Rename gives a show another name in the list.
func (s *Store) Rename(ctx context.Context, id ShowID, name string) (Show, error) {
	name = strings.TrimSpace(name)
	if err := checkText("the name of the show", name, maxName, true); err != nil {
		return Show{}, err
	}
	return s.changeShow(ctx, `UPDATE show SET name = $3, changed = $2 WHERE id = $1`, id, s.stamp(), name)
}

// Archive puts a show out of the way: it can be read, exported and
// duplicated, but not changed. Archiving it again changes nothing.
func (s *Store) Archive(ctx context.Context, id ShowID) (Show, error) {
	return s.changeShow(ctx, `UPDATE show SET archived = $2, changed = $2 WHERE id = $1 AND archived IS NULL`, id, s.stamp())
}

// Unarchive takes a show out of the archive.
func (s *Store) Unarchive(ctx context.Context, id ShowID) (Show, error) {
	return s.changeShow(ctx, `UPDATE show SET archived = NULL, changed = $2 WHERE id = $1 AND archived IS NOT NULL`, id, s.stamp())
}

// changeShow runs one statement on a show, whose id is its first argument.
func (s *Store) changeShow(ctx context.Context, text string, id ShowID, rest ...any) (Show, error) {
	var changed Show
	err := s.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, text, append([]any{id}, rest...)...)
		if err == nil {
			changed, err = getShow(ctx, tx, id)
		}
		return err
	})
	return changed, err
}

// Duplicate begins a new show with the draft of another, for the next year or
// for a try. Issues, copies and log stay with the old one.
func (s *Store) Duplicate(ctx context.Context, id ShowID, name, author string) (Show, error) {
	name = strings.TrimSpace(name)
	if err := together(checkText("the name of the show", name, maxName, true), checkText("the author's name", author, maxName, false)); err != nil {
		return Show{}, err
	}
	var made Show
	err := s.write(ctx, func(tx *sql.Tx) error {
		d, err := getDraft(ctx, tx, id)
		if err == nil {
			made, err = createShow(ctx, tx, name, s.stamp(), d.written, author)
		}
		return err
	})
	return made, err
}

// counted are the columns of a show that number what belongs to it.
const (
	countIssues = "issues"
	countCopies = "copies"
	countSaid   = "said"
)

// take adds n to one of a show's counts and returns the new one; with it the
// show is locked for the rest of the transaction. Archived shows refuse.
func take(ctx context.Context, tx *sql.Tx, id ShowID, count string, n int, now int64) (int, error) {
	var last int
	err := tx.QueryRowContext(ctx, `UPDATE show SET `+count+` = `+count+` + $2, changed = $3 WHERE id = $1 AND archived IS NULL RETURNING `+count, id, n, now).Scan(&last)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, refusal(ctx, tx, id)
	}
	return last, err
}

// touch notes that a show changes, and locks it.
func touch(ctx context.Context, tx *sql.Tx, id ShowID, now int64) error {
	_, err := take(ctx, tx, id, countIssues, 0, now)
	return err
}

// refusal says why a show that could not be changed could not.
func refusal(ctx context.Context, tx *sql.Tx, id ShowID) error {
	show, err := getShow(ctx, tx, id)
	if err != nil {
		return err
	}
	return sallyport.Errorf(sallyport.CodeInput, "take it out of the archive, or duplicate it", "%s is archived and cannot be changed", show.Name)
}
