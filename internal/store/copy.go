package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"sallyport"
)

// Copy is a state of a show that was set aside so that it is not lost: a
// draft before something was restored over it, or a version that came second
// in a conflict.
type Copy struct {
	Show    ShowID
	Number  int // from 1, without gaps
	Kept    time.Time
	Author  string // of the content
	Note    string // why it was kept
	Version int64  // of the draft it was, or was made from
	Content        // empty in lists
}

// KeepCopy keeps content beside the draft.
func (s *Store) KeepCopy(ctx context.Context, id ShowID, version int64, c Content, author, note string) (Copy, error) {
	w, err := c.write()
	if err := together(err, checkText("the author's name", author, maxName, false), checkText("the note", note, maxText, false)); err != nil {
		return Copy{}, err
	}
	made := Copy{Show: id, Kept: timeOf(s.stamp()), Author: author, Note: note, Version: version, Content: c}
	err = s.write(ctx, func(tx *sql.Tx) error { return keepCopy(ctx, tx, &made, w) })
	if err != nil {
		return Copy{}, err
	}
	return made, nil
}

// keepCopy gives a copy its number and adds it.
func keepCopy(ctx context.Context, tx *sql.Tx, c *Copy, w written) (err error) {
	if c.Number, err = take(ctx, tx, c.Show, countCopies, 1, c.Kept.UnixMicro()); err != nil {
		return err
	}
	return addCopy(ctx, tx, *c, w)
}

func addCopy(ctx context.Context, tx *sql.Tx, c Copy, w written) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO saved_copy (show_id, number, kept, author, note, version, show_json, plan_json) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		c.Show, c.Number, c.Kept.UnixMicro(), c.Author, c.Note, c.Version, w.show, w.plan)
	return err
}

// Copy returns one saved copy of a show with its content.
func (s *Store) Copy(ctx context.Context, id ShowID, number int) (Copy, error) {
	var c Copy
	var w written
	err := s.read(ctx, func(tx *sql.Tx) (err error) {
		c, w, err = getCopy(ctx, tx, id, number)
		return err
	})
	if err == nil {
		c.Content, err = w.read()
	}
	if err != nil {
		return Copy{}, err
	}
	return c, nil
}

func getCopy(ctx context.Context, tx *sql.Tx, id ShowID, number int) (Copy, written, error) {
	c := Copy{Show: id, Number: number}
	var w written
	var kept int64
	err := tx.QueryRowContext(ctx, `SELECT kept, author, note, version, show_json, plan_json FROM saved_copy WHERE show_id = $1 AND number = $2`, id, number).
		Scan(&kept, &c.Author, &c.Note, &c.Version, &w.show, &w.plan)
	c.Kept = timeOf(kept)
	if errors.Is(err, sql.ErrNoRows) {
		show, err := getShow(ctx, tx, id)
		if err != nil {
			return c, w, err
		}
		return c, w, sallyport.Errorf(sallyport.CodeNotFound, "look at its list of saved copies", "%s has no saved copy %d, it has %d", show.Name, number, show.Copies)
	}
	return c, w, err
}

// Copies lists the saved copies of a show, the newest first, without their
// content.
func (s *Store) Copies(ctx context.Context, id ShowID) ([]Copy, error) {
	list := []Copy{}
	err := s.read(ctx, func(tx *sql.Tx) error {
		if _, err := getShow(ctx, tx, id); err != nil {
			return err
		}
		rows, err := tx.QueryContext(ctx, `SELECT number, kept, author, note, version FROM saved_copy WHERE show_id = $1 ORDER BY number DESC`, id)
		return each(rows, err, func() error {
			c := Copy{Show: id}
			var kept int64
			err := rows.Scan(&c.Number, &kept, &c.Author, &c.Note, &c.Version)
			c.Kept = timeOf(kept)
			list = append(list, c)
			return err
		})
	})
	if err != nil {
		return nil, err
	}
	return list, nil
}

// RestoreCopy makes a saved copy the draft again, as its next version. The
// present draft is kept as a saved copy first. What RestoreIssue says of
// versions holds here, too.
func (s *Store) RestoreCopy(ctx context.Context, id ShowID, version int64, number int, author string) (Draft, error) {
	return s.restore(ctx, id, version, author, fmt.Sprintf("saved copy %d put back", number), func(tx *sql.Tx) (written, error) {
		_, w, err := getCopy(ctx, tx, id, number)
		return w, err
	})
}

// restore puts what source returns in place of the draft, which is kept.
func (s *Store) restore(ctx context.Context, id ShowID, version int64, author, what string, source func(tx *sql.Tx) (written, error)) (Draft, error) {
	if err := checkText("the author's name", author, maxName, false); err != nil {
		return Draft{}, err
	}
	var restored keptDraft
	now := s.stamp()
	err := s.write(ctx, func(tx *sql.Tx) error {
		if err := touch(ctx, tx, id, now); err != nil {
			return err
		}
		if err := sameVersion(ctx, tx, id, Draft{Show: id, Version: version, Author: author}); err != nil {
			return err
		}
		w, err := source(tx)
		if err != nil {
			return err
		}
		old, err := getDraft(ctx, tx, id)
		if err != nil {
			return err
		}
		kept := Copy{Show: id, Kept: timeOf(now), Author: old.author, Note: fmt.Sprintf("draft %d, before another state was restored", old.version), Version: old.version}
		if err := keepCopy(ctx, tx, &kept, old.written); err != nil {
			return err
		}
		restored = keptDraft{old.version + 1, now, author, what, w}
		return setDraft(ctx, tx, id, old, restored)
	})
	if err != nil {
		return Draft{}, err
	}
	return restored.read(id)
}
