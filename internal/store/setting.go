package store

import (
	"context"
	"database/sql"
	"errors"
)

// Setting returns a setting of this database; "" when it was never set.
func (s *Store) Setting(ctx context.Context, name string) (string, error) {
	var value string
	err := s.read(ctx, func(tx *sql.Tx) error {
		err := tx.QueryRowContext(ctx, `SELECT value FROM setting WHERE name = $1`, name).Scan(&value)
		if errors.Is(err, sql.ErrNoRows) {
			return nil
		}
		return err
	})
	return value, err
}

// Set sets a setting; to "" puts it back to its usual value.
func (s *Store) Set(ctx context.Context, name, value string) error {
	if err := together(checkText("the setting's name", name, maxName, true), checkText("the setting", value, maxText, false)); err != nil {
		return err
	}
	return s.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO setting (name, value, changed) VALUES ($1, $2, $3)
			ON CONFLICT (name) DO UPDATE SET value = excluded.value, changed = excluded.changed`, name, value, s.stamp())
		return err
	})
}
