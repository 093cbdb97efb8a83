package store

import (
	"context"
	"database/sql"
	"errors"
)

// Versions returns the version of the draft of every show.
func (s *Store) Versions(ctx context.Context) (map[ShowID]int64, error) {
	versions := map[ShowID]int64{}
	err := s.read(ctx, func(tx *sql.Tx) error {
		rows, err := tx.QueryContext(ctx, `SELECT show_id, version FROM draft`)
		return each(rows, err, func() error {
			var id ShowID
			var version int64
			err := rows.Scan(&id, &version)
			versions[id] = version
			return err
		})
	})
	if err != nil {
		return nil, err
	}
	return versions, nil
}

// Newest returns the draft of a show without its content: which version it is.
func (s *Store) Newest(ctx context.Context, id ShowID) (Draft, error) {
	d := Draft{Show: id}
	err := s.read(ctx, func(tx *sql.Tx) error {
		var saved int64
		err := tx.QueryRowContext(ctx, `SELECT d.version, d.saved, d.author, COALESCE(s.what, '')
			FROM draft d LEFT JOIN draft_step s ON s.show_id = d.show_id AND s.version = d.version WHERE d.show_id = $1`, id).
			Scan(&d.Version, &saved, &d.Author, &d.What)
		d.Saved = timeOf(saved)
		if errors.Is(err, sql.ErrNoRows) {
			return noShow(id)
		}
		return err
	})
	if err != nil {
		return Draft{}, err
	}
	return d, nil
}
