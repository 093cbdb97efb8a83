package store

import (
	"bytes"
	"compress/flate"
	"context"
	"database/sql"
	"errors"
	"io"
	"time"

	"sallyport"
)

// Step is how one version of a draft came to be.
type Step struct {
	Version int64
	What    string // in a few words; "" when it is not known
	Author  string
	Saved   time.Time
}

// History lists how a draft came to be, newest first: edits, and what was
// taken back and made again. Drafts from before there was a history begin with
// the version that the first edit since was made from.
func (s *Store) History(ctx context.Context, id ShowID) ([]Step, error) {
	list := []Step{}
	err := s.read(ctx, func(tx *sql.Tx) error {
		if _, err := getShow(ctx, tx, id); err != nil {
			return err
		}
		rows, err := tx.QueryContext(ctx, `SELECT version, what, author, saved FROM draft_step WHERE show_id = $1 ORDER BY version DESC`, id)
		return each(rows, err, func() error {
			var x Step
			var saved int64
			err := rows.Scan(&x.Version, &x.What, &x.Author, &saved)
			x.Saved = timeOf(saved)
			list = append(list, x)
			return err
		})
	})
	if err != nil {
		return nil, err
	}
	return list, nil
}

// Steps returns the edits that Undo would take back and Redo would make again,
// from the newest version of a draft; nil where there is none.
func (s *Store) Steps(ctx context.Context, id ShowID) (undo, redo *Step, err error) {
	err = s.read(ctx, func(tx *sql.Tx) error {
		var version int64
		err := tx.QueryRowContext(ctx, `SELECT version FROM draft WHERE show_id = $1`, id).Scan(&version)
		if errors.Is(err, sql.ErrNoRows) {
			return noShow(id)
		}
		if err != nil {
			return err
		}
		now, err := getStep(ctx, tx, id, version)
		if err != nil || now == nil {
			return err
		}
		if now.before.Valid {
			edit, err := getStep(ctx, tx, id, now.edit)
			if err != nil {
				return err
			}
			undo = edit.step()
		}
		again, err := towards(ctx, tx, id, now)
		if again != nil {
			redo = again.step()
		}
		return err
	})
	if err != nil {
		return nil, nil, err
	}
	return undo, redo, nil
}

// Undo takes back the last edit that is not taken back yet: the state before it
// becomes the draft's next version. The version is the one the author has seen;
// when it is no longer the newest, nothing is changed and the error is a
// *Conflict. The step is the edit that was taken back.
func (s *Store) Undo(ctx context.Context, id ShowID, version int64, author string) (Draft, Step, error) {
	return s.travel(ctx, id, version, author, "taken back: ", func(ctx context.Context, tx *sql.Tx, now *keptStep) (to, edit *keptStep, err error) {
		if now == nil || !now.before.Valid {
			return nil, nil, sallyport.Errorf(sallyport.CodeInput, "", "there is nothing to take back")
		}
		if edit, err = getStep(ctx, tx, id, now.edit); err != nil {
			return nil, nil, err
		}
		to, err = getStep(ctx, tx, id, now.before.Int64)
		return to, edit, err
	})
}

// Redo makes again what Undo took back last, until another edit has been made.
// What Undo says of versions holds here, too.
func (s *Store) Redo(ctx context.Context, id ShowID, version int64, author string) (Draft, Step, error) {
	return s.travel(ctx, id, version, author, "made again: ", func(ctx context.Context, tx *sql.Tx, now *keptStep) (to, edit *keptStep, err error) {
		if now != nil {
			to, err = towards(ctx, tx, id, now)
		}
		if err == nil && to == nil {
			err = sallyport.Errorf(sallyport.CodeInput, "", "there is nothing to make again")
		}
		return to, to, err
	})
}

// travel makes an earlier or later edit the draft, as its next version.
func (s *Store) travel(ctx context.Context, id ShowID, version int64, author, says string, find func(context.Context, *sql.Tx, *keptStep) (to, edit *keptStep, err error)) (Draft, Step, error) {
	if err := checkText("the author's name", author, maxName, false); err != nil {
		return Draft{}, Step{}, err
	}
	var made keptDraft
	var step Step
	now := s.stamp()
	err := s.write(ctx, func(tx *sql.Tx) error {
		if err := touch(ctx, tx, id, now); err != nil {
			return err
		}
		if err := sameVersion(ctx, tx, id, Draft{Show: id, Version: version, Author: author}); err != nil {
			return err
		}
		at, err := getStep(ctx, tx, id, version)
		if err != nil {
			return err
		}
		to, edit, err := find(ctx, tx, at)
		if err != nil {
			return err
		}
		step = *edit.step()
		w, err := inflate(to.content)
		if err != nil {
			return err
		}
		made = keptDraft{version: version + 1, saved: now, author: author, what: says + edit.what, written: w}
		if err := putDraft(ctx, tx, id, made); err != nil {
			return err
		}
		return addStep(ctx, tx, id, keptStep{version: version + 1, edit: to.version, before: to.before, tip: at.tip, what: made.what, author: author, saved: now})
	})
	if err != nil {
		return Draft{}, Step{}, err
	}
	d, err := made.read(id)
	return d, step, err
}

// keptStep is a step as it is kept. content is nil but of edits.
type keptStep struct {
	version, edit int64
	before        sql.NullInt64
	tip           int64
	what, author  string
	saved         int64
	content       []byte
}

func (k *keptStep) step() *Step { return &Step{k.version, k.what, k.author, timeOf(k.saved)} }

// getStep returns the step that made a version; nil when none is kept.
func getStep(ctx context.Context, tx *sql.Tx, id ShowID, version int64) (*keptStep, error) {
	k := keptStep{version: version}
	err := tx.QueryRowContext(ctx, `SELECT edit, before, tip, what, author, saved, content FROM draft_step WHERE show_id = $1 AND version = $2`, id, version).
		Scan(&k.edit, &k.before, &k.tip, &k.what, &k.author, &k.saved, &k.content)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	return &k, err
}

// towards returns the edit after the one at which now stands, on the way to the
// tip; nil when it is the tip. It takes a look-up for each edit taken back.
func towards(ctx context.Context, tx *sql.Tx, id ShowID, now *keptStep) (*keptStep, error) {
	for at := now.tip; at != now.edit; {
		k, err := getStep(ctx, tx, id, at)
		if err != nil || k == nil || !k.before.Valid {
			return nil, err
		}
		if k.before.Int64 == now.edit {
			return k, nil
		}
		at = k.before.Int64
	}
	return nil, nil
}

// addEdit notes that a version of the draft was made by an edit of the version
// before it. A draft that has no history yet begins it with that one.
func addEdit(ctx context.Context, tx *sql.Tx, id ShowID, old, edited keptDraft) error {
	now, err := getStep(ctx, tx, id, old.version)
	if err != nil {
		return err
	}
	if now == nil {
		content, err := deflate(old.written)
		if err != nil {
			return err
		}
		now = &keptStep{version: old.version, edit: old.version, tip: old.version, author: old.author, saved: old.saved, content: content}
		if err := addStep(ctx, tx, id, *now); err != nil {
			return err
		}
	}
	content, err := deflate(edited.written)
	if err != nil {
		return err
	}
	v := edited.version
	before := sql.NullInt64{Int64: now.edit, Valid: true}
	return addStep(ctx, tx, id, keptStep{v, v, before, v, edited.what, edited.author, edited.saved, content})
}

func addStep(ctx context.Context, tx *sql.Tx, id ShowID, k keptStep) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO draft_step (show_id, version, edit, before, tip, what, author, saved, content) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
		id, k.version, k.edit, k.before, k.tip, k.what, k.author, k.saved, k.content)
	return err
}

// deflate returns content as a step keeps it: the show, a line end, the plan if
// there is one; JSON in one line has no line ends.
func deflate(w written) ([]byte, error) {
	var b bytes.Buffer
	z, err := flate.NewWriter(&b, flate.DefaultCompression)
	if err != nil {
		return nil, err
	}
	text := w.show
	if w.plan.Valid {
		text += "\n" + w.plan.String
	}
	if _, err := io.WriteString(z, text); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func inflate(data []byte) (written, error) {
	text, err := io.ReadAll(flate.NewReader(bytes.NewReader(data)))
	if err != nil {
		return written{}, sallyport.Errorf(sallyport.CodeInternal, "check the database; put back a backup if it is damaged", "an earlier version that is kept cannot be read: %s", err)
	}
	show, plan, planned := bytes.Cut(text, []byte("\n"))
	return written{show: string(show), plan: sql.NullString{String: string(plan), Valid: planned}}, nil
}
