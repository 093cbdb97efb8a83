package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"sallyport"
)

// Issue is a published state of a show. It is never changed afterwards.
type Issue struct {
	Show      ShowID
	Number    int // from 1, without gaps
	Published time.Time
	Author    string
	Note      string
	Version   int64 // of the draft it was made from
	Content         // empty in lists
}

// Publish makes the draft the next issue. The version is the one the author
// has seen: when it is no longer the newest, nothing is published and the
// error is a *Conflict, with nothing in Yours.
func (s *Store) Publish(ctx context.Context, id ShowID, version int64, author, note string) (Issue, error) {
	if err := together(checkText("the author's name", author, maxName, false), checkText("the note", note, maxText, false)); err != nil {
		return Issue{}, err
	}
	var made Issue
	now := s.stamp()
	err := s.write(ctx, func(tx *sql.Tx) error {
		number, err := take(ctx, tx, id, countIssues, 1, now)
		if err != nil {
			return err
		}
		if err := sameVersion(ctx, tx, id, Draft{Show: id, Version: version, Author: author}); err != nil {
			return err
		}
		d, err := getDraft(ctx, tx, id)
		if err != nil {
			return err
		}
		made = Issue{id, number, timeOf(now), author, note, d.version, Content{}}
		if err := addIssue(ctx, tx, made, d.written); err != nil {
			return err
		}
		made.Content, err = d.written.read()
		return err
	})
	if err != nil {
		return Issue{}, err
	}
	return made, nil
}

func addIssue(ctx context.Context, tx *sql.Tx, i Issue, w written) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO issue (show_id, number, published, author, note, version, show_json, plan_json) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		i.Show, i.Number, i.Published.UnixMicro(), i.Author, i.Note, i.Version, w.show, w.plan)
	return err
}

// Issue returns one issue of a show with its content.
func (s *Store) Issue(ctx context.Context, id ShowID, number int) (Issue, error) {
	var i Issue
	var w written
	err := s.read(ctx, func(tx *sql.Tx) (err error) {
		i, w, err = getIssue(ctx, tx, id, number)
		return err
	})
	if err == nil {
		i.Content, err = w.read()
	}
	if err != nil {
		return Issue{}, err
	}
	return i, nil
}

func getIssue(ctx context.Context, tx *sql.Tx, id ShowID, number int) (Issue, written, error) {
	i := Issue{Show: id, Number: number}
	var w written
	var published int64
	err := tx.QueryRowContext(ctx, `SELECT published, author, note, version, show_json, plan_json FROM issue WHERE show_id = $1 AND number = $2`, id, number).
		Scan(&published, &i.Author, &i.Note, &i.Version, &w.show, &w.plan)
	i.Published = timeOf(published)
	if errors.Is(err, sql.ErrNoRows) {
		show, err := getShow(ctx, tx, id)
		if err != nil {
			return i, w, err
		}
		return i, w, sallyport.Errorf(sallyport.CodeNotFound, "look at its list of issues", "%s has no issue %d, it has %d", show.Name, number, show.Issues)
	}
	return i, w, err
}

// Issues lists the issues of a show, the newest first, without their content.
func (s *Store) Issues(ctx context.Context, id ShowID) ([]Issue, error) {
	list := []Issue{}
	err := s.read(ctx, func(tx *sql.Tx) error {
		if _, err := getShow(ctx, tx, id); err != nil {
			return err
		}
		rows, err := tx.QueryContext(ctx, `SELECT number, published, author, note, version FROM issue WHERE show_id = $1 ORDER BY number DESC`, id)
		return each(rows, err, func() error {
			i := Issue{Show: id}
			var published int64
			err := rows.Scan(&i.Number, &published, &i.Author, &i.Note, &i.Version)
			i.Published = timeOf(published)
			list = append(list, i)
			return err
		})
	})
	if err != nil {
		return nil, err
	}
	return list, nil
}

// RestoreIssue makes an issue the draft again, as its next version. The
// present draft is kept as a saved copy first. The version is the one the
// author has seen; when it is no longer the newest, nothing is changed and the
// error is a *Conflict.
func (s *Store) RestoreIssue(ctx context.Context, id ShowID, version int64, number int, author string) (Draft, error) {
	return s.restore(ctx, id, version, author, fmt.Sprintf("issue %d put back", number), func(tx *sql.Tx) (written, error) {
		_, w, err := getIssue(ctx, tx, id, number)
		return w, err
	})
}
