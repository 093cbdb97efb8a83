package store

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"time"

	"sallyport"
)

// LogEntry is one thing that was said to have happened. Entries are never
// changed or removed: what turns out wrong is said anew.
type LogEntry struct {
	Show      ShowID
	Number    int // from 1, without gaps, in the order in which they were said
	Said      time.Time
	Author    string
	Happening sallyport.Happening
}

// Say adds what has happened to the log of a show, all of it or nothing.
func (s *Store) Say(ctx context.Context, id ShowID, happened []sallyport.Happening, author string) ([]LogEntry, error) {
	if err := checkText("the author's name", author, maxName, false); err != nil {
		return nil, err
	}
	for i, h := range happened {
		if !knownKind(h) {
			return nil, sallyport.Errorf(sallyport.CodeInput, "see the kinds of happening in the schema", "happening %d is of no known kind (%q)", i+1, h.Kind)
		}
	}
	var made []LogEntry
	now := s.stamp()
	err := s.write(ctx, func(tx *sql.Tx) error {
		last, err := take(ctx, tx, id, countSaid, len(happened), now)
		if err != nil {
			return err
		}
		for i, h := range happened {
			e := LogEntry{id, last - len(happened) + i + 1, timeOf(now), author, h}
			if err := addLog(ctx, tx, e); err != nil {
				return err
			}
			made = append(made, e)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return made, nil
}

func addLog(ctx context.Context, tx *sql.Tx, e LogEntry) error {
	text, err := toJSON("what has happened", e.Happening)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO log_entry (show_id, number, said, author, happening_json) VALUES ($1, $2, $3, $4, $5)`,
		e.Show, e.Number, e.Said.UnixMicro(), e.Author, text)
	return err
}

func knownKind(h sallyport.Happening) bool {
	return slices.Contains(sallyport.HappeningKinds(), h.Kind)
}

// Log returns the entries of a show's log after a number, in order; after 0,
// all of them.
func (s *Store) Log(ctx context.Context, id ShowID, after int) ([]LogEntry, error) {
	var list []LogEntry
	err := s.read(ctx, func(tx *sql.Tx) (err error) {
		if _, err = getShow(ctx, tx, id); err == nil {
			list, err = getLog(ctx, tx, id, after)
		}
		return err
	})
	return list, err
}

func getLog(ctx context.Context, tx *sql.Tx, id ShowID, after int) ([]LogEntry, error) {
	list := []LogEntry{}
	rows, err := tx.QueryContext(ctx, `SELECT number, said, author, happening_json FROM log_entry WHERE show_id = $1 AND number > $2 ORDER BY number`, id, after)
	err = each(rows, err, func() error {
		e := LogEntry{Show: id}
		var said int64
		var text string
		if err := rows.Scan(&e.Number, &said, &e.Author, &text); err != nil {
			return err
		}
		e.Said = timeOf(said)
		list = append(list, e)
		return fromJSON(fmt.Sprintf("entry %d of the log", e.Number), text, &list[len(list)-1].Happening)
	})
	if err != nil {
		return nil, err
	}
	return list, nil
}
