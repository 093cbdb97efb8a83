package store

import (
	"context"
	"database/sql"
	"errors"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"github.com/pressly/goose/v3"
	"modernc.org/sqlite"
	codes "modernc.org/sqlite/lib"

	"sallyport"
)

// applicationID marks a SQLite file as ours; the first migration writes it.
const applicationID = 1400009817

var sqliteEngine = engine{
	dialect:    goose.DialectSQLite3,
	migrations: "sqlite",
	snapshot:   &sql.TxOptions{ReadOnly: true},
	open: func(ctx context.Context, path string) (*sql.DB, error) {
		return openSQLite(ctx, path, nil)
	},
	explain: explainSQLite,
}

// openSQLite opens or makes a database file. Commits are synced to the disk
// before they return (synchronous=FULL), and a writer waits ten seconds for
// another.
func openSQLite(ctx context.Context, path string, extra url.Values) (*sql.DB, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, err
	}
	// SQLite gives the files beside it the same rights.
	f, err := os.OpenFile(path, os.O_RDONLY|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	if err := f.Close(); err != nil {
		return nil, err
	}
	q := url.Values{
		"_txlock": {"immediate"},
		"_pragma": {"busy_timeout(10000)", "journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(1)", "trusted_schema(0)"},
	}
	for k, v := range extra {
		q[k] = append(q[k], v...)
	}
	db, err := sqliteFile(path, q)
	if err != nil {
		return nil, err
	}
	err = ours(ctx, db, path)
	for try := 1; isBusy(err) && try < 200; try++ { // who turns a new file to WAL does not wait for others who do
		if err = pause(ctx, 50*time.Millisecond); err == nil {
			err = ours(ctx, db, path)
		}
	}
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return db, nil
}

// sqliteFile returns a handle on a file, with the driver's arguments; nothing
// is opened yet.
func sqliteFile(path string, q url.Values) (*sql.DB, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	slashed := filepath.ToSlash(path)
	if slashed[0] != '/' { // a drive's letter
		slashed = "/" + slashed
	}
	name := url.URL{Scheme: "file", Path: slashed, RawQuery: q.Encode()}
	return sql.Open("sqlite", name.String())
}

// ours returns an error when a file is a database of something else.
func ours(ctx context.Context, db *sql.DB, path string) error {
	var id, tables int64
	err := db.QueryRowContext(ctx, `SELECT (SELECT application_id FROM pragma_application_id), (SELECT count(*) FROM sqlite_schema WHERE name NOT LIKE 'goose%' AND name NOT LIKE 'sqlite%')`).Scan(&id, &tables)
	if err == nil && tables > 0 && id != applicationID {
		return sallyport.Errorf(sallyport.CodeInput, "name another file", "%s is a database of another program", path)
	}
	return err
}

// sqliteReasons say what codes of SQLite mean to a person.
var sqliteReasons = map[int]struct {
	code       sallyport.Code
	says, hint string
}{
	codes.SQLITE_FULL:     {sallyport.CodeInput, "the disk is full", "make room and save again; nothing of this was kept, all that was kept before is unharmed"},
	codes.SQLITE_READONLY: {sallyport.CodeInput, "it cannot be written to", "check the rights of the file, its folder and the disk; all that was kept before is unharmed"},
	codes.SQLITE_CANTOPEN: {sallyport.CodeInput, "it cannot be opened", "check that the folder exists and that you may write there"},
	codes.SQLITE_PERM:     {sallyport.CodeInput, "you may not open it", "check the rights of the file and its folder"},
	codes.SQLITE_NOTADB:   {sallyport.CodeInput, "it is no database, or it is damaged", "name another file, or put back a backup"},
	codes.SQLITE_CORRUPT:  {sallyport.CodeInput, "the file is damaged", "put back a backup, and keep the damaged file"},
	codes.SQLITE_IOERR:    {sallyport.CodeInput, "the disk cannot be read or written", "check the disk; put back a backup if it goes on"},
	codes.SQLITE_BUSY:     {sallyport.CodeInternal, "another program has kept it to itself for ten seconds", "nothing of this was kept; try again"},
	codes.SQLITE_TOOBIG:   {sallyport.CodeInput, "something is too large to be kept", "make it smaller"},
}

// sqliteCode returns SQLite's own number for an error, 0: none of its.
func sqliteCode(err error) int {
	var se *sqlite.Error
	if errors.As(err, &se) {
		return se.Code() & 0xff
	}
	return 0
}

func isBusy(err error) bool { return sqliteCode(err) == codes.SQLITE_BUSY }

func isDamage(err error) bool {
	return sqliteCode(err) == codes.SQLITE_CORRUPT || sqliteCode(err) == codes.SQLITE_NOTADB
}

func explainSQLite(what string, err error) error {
	var pe *os.PathError
	if errors.As(err, &pe) {
		return sallyport.Errorf(sallyport.CodeInput, "check that the folder exists and that you may write there", "%s cannot be opened (%s)", what, pe.Err)
	}
	if r, ok := sqliteReasons[sqliteCode(err)]; ok {
		return sallyport.Errorf(r.code, r.hint, "%s: %s", what, r.says)
	}
	return sallyport.Errorf(sallyport.CodeInternal, "please report this", "%s: %s", what, err)
}
