package store

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
	"strings"
	"time"

	"github.com/pressly/goose/v3"

	"sallyport"
)

// engine is a kind of database. All SQL text outside migrations is the same
// for every engine; $1, $2 … are its arguments.
type engine struct {
	dialect    goose.Dialect
	migrations string         // folder below migrations/
	snapshot   *sql.TxOptions // of a transaction that only reads
	open       func(ctx context.Context, dsn string) (*sql.DB, error)
	explain    func(what string, err error) error // an error of the driver, in words
}

//go:embed migrations
var migrations embed.FS

// engineFor returns the engine of a path or address.
func engineFor(dsn string) (engine, error) {
	scheme, _, isAddress := strings.Cut(dsn, "://")
	switch {
	case strings.TrimSpace(dsn) == "":
		return engine{}, sallyport.Errorf(sallyport.CodeInput, "name the database's file", "no database is named")
	case isAddress:
		return engine{}, sallyport.Errorf(sallyport.CodeInput, "give the path of a file", "this version keeps shows in a file, not at an address (%s://…)", scheme)
	}
	return sqliteEngine, nil
}

// migrate brings the tables up to date. Several programs may try it at once:
// each step is one transaction, and who comes second finds it done.
func (s *Store) migrate(ctx context.Context, dsn string) error {
	folder, err := fs.Sub(migrations, "migrations/"+s.engine.migrations)
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(s.engine.dialect, s.db, folder, goose.WithDisableGlobalRegistry(true))
	if err != nil {
		return err
	}
	for try := 1; ; try++ {
		var have, want int64
		if have, want, err = p.GetVersions(ctx); err == nil {
			switch {
			case have > want:
				return sallyport.Errorf(sallyport.CodeInput, "use the newer version, or another file", "%s was written by a newer version of Sallyport (tables %d, this one knows %d)", dsn, have, want)
			case have == want:
				return nil
			}
			_, err = p.Up(ctx)
		}
		if err != nil && try == 20 {
			return fmt.Errorf("bringing the tables up to date: %w", err)
		}
		if err != nil {
			if err := pause(ctx, 50*time.Millisecond); err != nil {
				return err
			}
		}
	}
}

// pause waits, or until the context ends.
func pause(ctx context.Context, d time.Duration) error {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
