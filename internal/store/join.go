package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"sallyport"
)

// Join is a link by which one person comes in without an account.
type Join struct {
	ID    int64
	Role  Role
	Note  string // for whom it is meant
	Made  time.Time
	Until time.Time // it can be used before that
	Used  time.Time // zero: not yet
	By    string    // name of who used it
	Ended time.Time // zero: neither withdrawn nor its session ended
}

const joinColumns = `id, role, note, made, until, used, coalesce(name, ''), ended`

func scanJoin(r row) (Join, error) {
	var j Join
	var made, until int64
	var used, ended sql.NullInt64
	err := r.Scan(&j.ID, &j.Role, &j.Note, &made, &until, &used, &j.By, &ended)
	j.Made, j.Until, j.Used, j.Ended = timeOf(made), timeOf(until), maybeTime(used), maybeTime(ended)
	return j, err
}

// longestJoin is how long a link can be good at most.
const longestJoin = 60 * 24 * time.Hour

// AddJoin makes a link that is good for some time; code is the sum of its code.
func (s *Store) AddJoin(ctx context.Context, role Role, note string, good time.Duration, code []byte) (Join, error) {
	var length error
	if good < time.Minute || good > longestJoin {
		length = sallyport.Errorf(sallyport.CodeInput, "give 1 to 1440 hours", "a link cannot be good for %s", good)
	}
	if err := together(checkRole(role), checkText("the note", note, maxName, false), length); err != nil {
		return Join{}, err
	}
	var made Join
	err := s.write(ctx, func(tx *sql.Tx) (err error) {
		now := s.stamp()
		made, err = scanJoin(tx.QueryRowContext(ctx, `INSERT INTO join_link (code, role, note, made, until) VALUES ($1, $2, $3, $4, $5) RETURNING `+joinColumns,
			code, role, note, now, now+good.Microseconds()))
		return err
	})
	return made, err
}

// Joins lists all links, the newest first.
func (s *Store) Joins(ctx context.Context) ([]Join, error) {
	list := []Join{}
	err := s.read(ctx, func(tx *sql.Tx) error {
		rows, err := tx.QueryContext(ctx, `SELECT `+joinColumns+` FROM join_link ORDER BY id DESC`)
		return each(rows, err, func() error {
			j, err := scanJoin(rows)
			list = append(list, j)
			return err
		})
	})
	if err != nil {
		return nil, err
	}
	return list, nil
}

// UseJoin signs somebody in by the sum of a link's code, under the sum of a
// token, and ends the session of the earlier token. A code that is not known,
// used, withdrawn or too old is one error, CodeNotFound.
func (s *Store) UseJoin(ctx context.Context, code []byte, name string, token, earlier []byte) (Session, error) {
	name, key := tidyName(name)
	if err := checkPerson(name, key); err != nil {
		return Session{}, err
	}
	var made Session
	err := s.write(ctx, func(tx *sql.Tx) error {
		now := s.stamp()
		j, err := scanJoin(tx.QueryRowContext(ctx, `SELECT `+joinColumns+` FROM join_link WHERE code = $1 AND used IS NULL AND ended IS NULL AND until > $2`, code, now))
		if errors.Is(err, sql.ErrNoRows) {
			return sallyport.Errorf(sallyport.CodeNotFound, "check it letter by letter, or ask a planner for a new link", "this code cannot be used: it is mistyped, used already, or too old")
		}
		if err != nil {
			return err
		}
		if err := endSession(ctx, tx, earlier); err != nil {
			return err
		}
		if err := nameFree(ctx, tx, name, key, 0); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `UPDATE join_link SET used = $2, name = $3, name_key = $4 WHERE id = $1`, j.ID, now, name, key); err != nil {
			return err
		}
		made, err = addSession(ctx, tx, token, 0, j.ID, now)
		return err
	})
	return made, err
}

// EndJoin withdraws a link, or ends the session of who has used it. Again it
// changes nothing.
func (s *Store) EndJoin(ctx context.Context, id int64) (Join, error) {
	var ended Join
	err := s.write(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, `UPDATE join_link SET ended = $2 WHERE id = $1 AND ended IS NULL`, id, s.stamp()); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `DELETE FROM session WHERE join_id = $1`, id); err != nil {
			return err
		}
		var err error
		ended, err = scanJoin(tx.QueryRowContext(ctx, `SELECT `+joinColumns+` FROM join_link WHERE id = $1`, id))
		if errors.Is(err, sql.ErrNoRows) {
			err = sallyport.Errorf(sallyport.CodeNotFound, "look at the list of links", "there is no link %d", id)
		}
		return err
	})
	return ended, err
}
