package store

import (
	"context"
	"database/sql"
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
