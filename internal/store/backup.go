package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"sallyport"
)

// Backup writes a consistent copy of the database to a new file, while others
// go on reading and writing, and checks it. The file is there whole or not at
// all; one that exists stays as it is.
func (s *Store) Backup(ctx context.Context, path string) error {
	if _, err := os.Lstat(path); err == nil {
		return sallyport.Errorf(sallyport.CodeInput, "give another name", "%s exists", path)
	}
	part := fmt.Sprintf("%s.%d.part", path, os.Getpid())
	err := s.copyTo(ctx, part)
	if err == nil {
		err = os.Rename(part, path)
	}
	if err != nil {
		return failed(ctx, s.engine, path, errors.Join(err, absent(part)))
	}
	return nil
}

// copyTo writes a checked copy, on the disk when it returns.
func (s *Store) copyTo(ctx context.Context, path string) error {
	if err := absent(path); err != nil { // of a run that was killed
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600) // VACUUM INTO takes an empty file
	if err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	if _, err := s.db.ExecContext(ctx, `VACUUM INTO $1`, path); err != nil {
		return err
	}
	if err := CheckFile(ctx, path); err != nil {
		return err
	}
	return synced(path)
}

// BackupInto writes a backup into a folder, which is made, under a name with
// the time, and returns its path. KeepBackups knows such names.
func (s *Store) BackupInto(ctx context.Context, folder string) (string, error) {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", failed(ctx, s.engine, folder, err)
	}
	base := filepath.Join(folder, "sallyport-"+s.now().UTC().Format("20060102-150405"))
	path := base + ".db"
	for n := 2; ; n++ {
		if _, err := os.Lstat(path); err != nil {
			break
		}
		path = fmt.Sprintf("%s-%d.db", base, n)
	}
	if err := s.Backup(ctx, path); err != nil {
		return "", err
	}
	return path, nil
}

var backupName = regexp.MustCompile(`^sallyport-(\d{8}-\d{6})(?:-(\d+))?\.db$`)

// keptDays is of how many days the newest backup stays, however many are newer.
const keptDays = 14

// KeepBackups removes backups that BackupInto wrote into a folder, all but the n
// newest and the newest of each of the last 14 days (UTC) that have one, by the
// time in their names, and returns what it removed. Other files stay.
func KeepBackups(folder string, n int) ([]string, error) {
	if n < 1 {
		return nil, sallyport.Errorf(sallyport.CodeInput, "give 1 or more", "%d backups cannot be kept", n)
	}
	files, err := os.ReadDir(folder)
	if err != nil {
		return nil, sqliteEngine.explain(folder, err)
	}
	type backup struct{ file, time, number string }
	var list []backup
	for _, f := range files {
		if m := backupName.FindStringSubmatch(f.Name()); m != nil && f.Type().IsRegular() {
			list = append(list, backup{f.Name(), m[1], fmt.Sprintf("%9s", m[2])})
		}
	}
	slices.SortFunc(list, func(a, b backup) int { return strings.Compare(b.time+b.number, a.time+a.number) })
	var removed []string
	days := map[string]bool{}
	for i, b := range list {
		day, _, _ := strings.Cut(b.time, "-")
		newest := !days[day]
		days[day] = true
		if i < n || newest && len(days) <= keptDays {
			continue
		}
		path := filepath.Join(folder, b.file)
		if err := os.Remove(path); err != nil {
			return removed, sqliteEngine.explain(path, err)
		}
		removed = append(removed, path)
	}
	return removed, nil
}

// Check reads the whole database and returns an error when it is damaged.
func (s *Store) Check(ctx context.Context) error {
	if err := check(ctx, s.db, "the database"); err != nil {
		return failed(ctx, s.engine, "the database", err)
	}
	return nil
}

// CheckFile returns an error when a file is no whole, undamaged database of
// shows. It must not be in use.
func CheckFile(ctx context.Context, path string) error {
	info, err := os.Stat(path)
	if err == nil && info.Size() == 0 {
		return sallyport.Errorf(sallyport.CodeInput, "name a backup", "%s is empty", path)
	}
	var db *sql.DB
	if err == nil {
		db, err = sqliteFile(path, url.Values{"mode": {"ro"}, "immutable": {"1"}})
	}
	if err != nil {
		return failed(ctx, sqliteEngine, path, err)
	}
	if err = ours(ctx, db, path); err == nil {
		err = check(ctx, db, path)
	}
	if err := errors.Join(err, db.Close()); err != nil {
		return failed(ctx, sqliteEngine, path, err)
	}
	return nil
}

// check runs SQLite's own tests, and looks whether the tables are there.
func check(ctx context.Context, db *sql.DB, path string) error {
	damaged := func(what string) error {
		return sallyport.Errorf(sallyport.CodeInput, "use another backup, and keep this file", "%s is damaged (%s)", path, what)
	}
	var says string
	if err := db.QueryRowContext(ctx, `SELECT integrity_check FROM pragma_integrity_check LIMIT 1`).Scan(&says); err != nil {
		return err
	}
	if says != "ok" {
		return damaged(strings.Join(strings.Fields(says), " "))
	}
	var orphans, shows, drafts int
	if err := db.QueryRowContext(ctx, `SELECT count(*) FROM pragma_foreign_key_check`).Scan(&orphans); err != nil {
		return err
	}
	if orphans > 0 {
		return damaged(fmt.Sprintf("%d rows belong to no show", orphans))
	}
	var tables int
	if err := db.QueryRowContext(ctx, `SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name IN ('show', 'draft')`).Scan(&tables); err != nil {
		return err
	}
	if tables != 2 {
		return sallyport.Errorf(sallyport.CodeInput, "name another file", "%s holds no shows", path)
	}
	if err := db.QueryRowContext(ctx, `SELECT (SELECT count(*) FROM show), (SELECT count(*) FROM draft)`).Scan(&shows, &drafts); err != nil {
		return err
	}
	if shows != drafts {
		return damaged(fmt.Sprintf("%d shows have %d drafts", shows, drafts))
	}
	return nil
}

// RestoreBackup puts a backup in the place of a database. Nothing is changed
// when the backup is cut off or damaged, or when a program has the database
// open. What was there before is kept beside it, and its path returned ("" when
// there was nothing), also when it is damaged itself.
func RestoreBackup(ctx context.Context, backup, path string, now time.Time) (before string, err error) {
	if err := CheckFile(ctx, backup); err != nil {
		return "", err
	}
	part := fmt.Sprintf("%s.%d.part", path, os.Getpid())
	err = absent(part)
	if err == nil {
		err = os.MkdirAll(filepath.Dir(path), 0o700)
	}
	if err == nil {
		err = copyFile(backup, part)
	}
	if err == nil {
		err = CheckFile(ctx, part)
	}
	if err == nil {
		before, err = setAside(ctx, path, now)
	}
	if err == nil {
		err = os.Rename(part, path)
	}
	if err != nil {
		return before, failed(ctx, sqliteEngine, path, errors.Join(err, absent(part)))
	}
	return before, nil
}

// setAside copies a database that nobody has open to a file beside it, and
// leaves nothing at its path that would be read with another file there.
func setAside(ctx context.Context, path string, now time.Time) (string, error) {
	if _, err := os.Stat(path); errors.Is(err, os.ErrNotExist) {
		return "", nil
	} else if err != nil {
		return "", err
	}
	if err := alone(ctx, path); err != nil {
		return "", err
	}
	before := path + ".before-" + now.UTC().Format("20060102-150405")
	for _, end := range []string{"", "-wal", "-shm"} { // the last two are left only beside a damaged file
		if _, err := os.Stat(path + end); errors.Is(err, os.ErrNotExist) {
			continue
		}
		if err := copyFile(path+end, before+end); err != nil {
			return "", err
		}
	}
	return before, errors.Join(absent(path+"-wal"), absent(path+"-shm"))
}

// alone takes all that is written beside a database into it, which only works
// when no other program has it open. A damaged database passes.
func alone(ctx context.Context, path string) error {
	db, err := sqliteFile(path, url.Values{"_pragma": {"busy_timeout(1000)"}})
	if err != nil {
		return err
	}
	_, err = db.ExecContext(ctx, `PRAGMA journal_mode = DELETE`)
	err = errors.Join(err, db.Close())
	switch {
	case err == nil || ctx.Err() != nil:
		return ctx.Err()
	case isBusy(err):
		return sallyport.Errorf(sallyport.CodeInput, "stop the programs that use it, then try again", "%s is in use", path)
	case isDamage(err):
		return nil
	}
	return err
}

// absent removes a file that may be there.
func absent(path string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	return nil
}

// copyFile copies a file to a new one, on the disk when it returns.
func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return errors.Join(err, in.Close())
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close(), in.Close())
}

// synced waits until a file is on the disk.
func synced(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
