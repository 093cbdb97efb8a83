package store

import (
	"context"
	"database/sql"
	"strings"
	"time"
	"unicode"
)

// Audit is one thing that was done, or refused, that somebody may have to
// answer for. Lines are only added.
type Audit struct {
	Number int // from 1, in order
	At     time.Time
	Who    string // "": nobody was signed in
	Role   Role
	From   string // network address
	What   string
	Show   ShowID // 0: of no show
}

// Note adds a line to the audit trail; Number and At are given by it. What was
// done stands in one line, whatever the names in it: so nobody can write a
// second one.
func (s *Store) Note(ctx context.Context, a Audit) error {
	a.What = oneLine(a.What)
	if err := together(checkText("the name", a.Who, maxName, false), checkText("what was done", a.What, maxText, true), checkText("the address", a.From, maxName, false)); err != nil {
		return err
	}
	return s.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO audit (at, who, role, origin, what, show_id) VALUES ($1, $2, $3, $4, $5, nullif($6, 0))`, s.stamp(), a.Who, a.Role, a.From, a.What, a.Show)
		return err
	})
}

// oneLine returns a text in which nothing ends a line or turns the direction of
// writing.
func oneLine(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.In(r, unicode.Zl, unicode.Zp, unicode.Bidi_Control) {
			return ' '
		}
		return r
	}, text)
}

// Audits lists the newest lines of the audit trail, the newest first: those
// before a number (0: all), so many at most.
func (s *Store) Audits(ctx context.Context, before, most int) ([]Audit, error) {
	list := []Audit{}
	err := s.read(ctx, func(tx *sql.Tx) error {
		rows, err := tx.QueryContext(ctx, `SELECT number, at, who, role, origin, what, coalesce(show_id, 0) FROM audit WHERE $1 = 0 OR number < $1 ORDER BY number DESC LIMIT $2`, before, most)
		return each(rows, err, func() error {
			var a Audit
			var at int64
			err := rows.Scan(&a.Number, &at, &a.Who, &a.Role, &a.From, &a.What, &a.Show)
			a.At = timeOf(at)
			list = append(list, a)
			return err
		})
	})
	if err != nil {
		return nil, err
	}
	return list, nil
}
