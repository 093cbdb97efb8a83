package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"sallyport"
)

// SessionIdle is how long a session lasts in which nothing is asked.
const SessionIdle = 14 * 24 * time.Hour

// seenEvery is how often it is noted that a session is used.
const seenEvery = time.Hour

// Session is somebody who is signed in: with an account, or by a link.
type Session struct {
	Account int64 // 0: by a link
	Join    int64 // 0: with an account
	Name    string
	Role    Role // as it is now, not as it was at the sign-in
	Began   time.Time
	Seen    time.Time
}

const sessionColumns = `coalesce(s.account_id, 0), coalesce(s.join_id, 0), coalesce(a.name, j.name), coalesce(a.role, j.role), s.began, s.seen
	FROM session s LEFT JOIN account a ON a.id = s.account_id LEFT JOIN join_link j ON j.id = s.join_id`

func scanSession(r row) (Session, error) {
	var s Session
	var began, seen int64
	err := r.Scan(&s.Account, &s.Join, &s.Name, &s.Role, &began, &seen)
	s.Began, s.Seen = timeOf(began), timeOf(seen)
	return s, err
}

// BeginSession signs an account in under the sum of a token, and notes when.
// The session of the earlier token, when there is one, ends. A blocked account
// is refused, and one whose password is no longer the given hash.
func (s *Store) BeginSession(ctx context.Context, a Account, token, earlier []byte) (Session, error) {
	var made Session
	err := s.write(ctx, func(tx *sql.Tx) error {
		now := s.stamp()
		r, err := tx.ExecContext(ctx, `UPDATE account SET last = $3 WHERE id = $1 AND password = $2 AND blocked IS NULL`, a.ID, a.Password, now)
		if err != nil {
			return err
		}
		if n, err := r.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, sallyport.Errorf(sallyport.CodeNotFound, "ask a planner", "%s cannot sign in", a.Name))
		}
		if err := endSession(ctx, tx, earlier); err != nil {
			return err
		}
		made, err = addSession(ctx, tx, token, a.ID, 0, now)
		return err
	})
	return made, err
}

// addSession adds a session of an account or a link, and removes those that
// have ended by themselves.
func addSession(ctx context.Context, tx *sql.Tx, token []byte, account, join, now int64) (Session, error) {
	if _, err := tx.ExecContext(ctx, `DELETE FROM session WHERE seen < $1`, now-SessionIdle.Microseconds()); err != nil {
		return Session{}, err
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO session (token, account_id, join_id, began, seen) VALUES ($1, nullif($2, 0), nullif($3, 0), $4, $4)`, token, account, join, now)
	if err != nil {
		return Session{}, err
	}
	return scanSession(tx.QueryRowContext(ctx, `SELECT `+sessionColumns+` WHERE s.token = $1`, token))
}

// SessionOf returns the session under the sum of a token, and notes from time
// to time that it is used; fresh reports that it did.
func (s *Store) SessionOf(ctx context.Context, token []byte) (found Session, fresh bool, err error) {
	now := s.stamp()
	err = s.read(ctx, func(tx *sql.Tx) (err error) {
		found, err = scanSession(tx.QueryRowContext(ctx, `SELECT `+sessionColumns+` WHERE s.token = $1 AND s.seen >= $2`, token, now-SessionIdle.Microseconds()))
		if errors.Is(err, sql.ErrNoRows) {
			err = sallyport.Errorf(sallyport.CodeNotFound, "sign in", "nobody is signed in here")
		}
		return err
	})
	if err != nil || now-found.Seen.UnixMicro() < seenEvery.Microseconds() {
		return found, false, err
	}
	err = s.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE session SET seen = $2 WHERE token = $1`, token, now)
		return err
	})
	found.Seen = timeOf(now)
	return found, true, err
}

// EndSession ends the session under the sum of a token; it is no error when
// there is none.
func (s *Store) EndSession(ctx context.Context, token []byte) error {
	return s.write(ctx, func(tx *sql.Tx) error { return endSession(ctx, tx, token) })
}

func endSession(ctx context.Context, tx *sql.Tx, token []byte) error {
	_, err := tx.ExecContext(ctx, `DELETE FROM session WHERE token = $1`, token)
	return err
}
