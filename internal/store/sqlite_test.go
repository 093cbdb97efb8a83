package store

import (
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"sallyport"
)

func TestDefaultPath(t *testing.T) {
	for _, tt := range []struct{ os, env, want string }{
		{"linux", "HOME=/home/orla", "/home/orla/.local/share/sallyport/sallyport.db"},
		{"linux", "HOME=/home/orla XDG_DATA_HOME=/data", "/data/sallyport/sallyport.db"},
		{"linux", "HOME=/home/orla XDG_DATA_HOME=data", "/home/orla/.local/share/sallyport/sallyport.db"},
		{"darwin", "HOME=/Users/orla", "/Users/orla/Library/Application Support/sallyport/sallyport.db"},
		{"windows", "LOCALAPPDATA=/local HOME=/x", "/local/sallyport/sallyport.db"},
		{"windows", "HOME=/x", ""},
		{"linux", "", ""},
	} {
		env := map[string]string{}
		for _, f := range strings.Fields(tt.env) {
			k, v, _ := strings.Cut(f, "=")
			env[k] = v
		}
		got, err := DefaultPath(tt.os, func(k string) string { return env[k] })
		if filepath.ToSlash(got) != tt.want || (err != nil) != (tt.want == "") {
			t.Errorf("%s with %q: %q, %v; want %q", tt.os, tt.env, got, err, tt.want)
		}
	}
}

// TestOtherDatabases leaves alone what is not ours or newer.
func TestOtherDatabases(t *testing.T) {
	ctx, dir := t.Context(), t.TempDir()
	foreign := filepath.Join(dir, "foreign.db")
	run(t, foreign, `CREATE TABLE birds (name TEXT)`)
	newer := filepath.Join(dir, "newer.db")
	s := must(Open(ctx, newer, Options{Now: ticking()}))(t)
	must(s.Create(ctx, "a", named("a"), ""))(t)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	run(t, newer, `INSERT INTO goose_db_version (version_id, is_applied) VALUES (99, 1)`)
	garbage := filepath.Join(dir, "garbage.db")
	if err := os.WriteFile(garbage, []byte(strings.Repeat("no database ", 1000)), 0o600); err != nil {
		t.Fatal(err)
	}
	for path, words := range map[string]string{foreign: "another program", newer: "newer version", garbage: "no database"} {
		before := must(os.ReadFile(path))(t)
		_, err := Open(ctx, path, Options{Now: ticking()})
		wants(t, err, sallyport.CodeInput, words)
		if path != foreign && path != newer && string(must(os.ReadFile(path))(t)) != string(before) {
			t.Errorf("%s was changed", path)
		}
	}
}

// run runs a statement on a file as another program would.
func run(t testing.TB, path, text string) {
	t.Helper()
	db := must(sql.Open("sqlite", path))(t)
	_, err := db.Exec(text)
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
}

// TestDisk saves on a full disk and to a file that cannot be written: it is
// said, and the last draft is there.
func TestDisk(t *testing.T) {
	for name, tt := range map[string]struct {
		extra url.Values
		words string
	}{
		"full":      {url.Values{"_pragma": {"max_page_count(60)"}}, "the disk is full"},
		"read-only": {url.Values{"_pragma": {"query_only(1)"}}, "cannot be written"},
	} {
		t.Run(name, func(t *testing.T) {
			ctx, path := t.Context(), filepath.Join(t.TempDir(), "shows.db")
			s := open(t, path)
			a := must(s.Create(ctx, "a", named("kept"), ""))(t)
			db := must(openSQLite(ctx, path, tt.extra))(t)
			poor := &Store{db: db, engine: s.engine, now: ticking()}
			defer db.Close()
			_, err := poor.SaveDraft(ctx, a.ID, 1, named(strings.Repeat("x", 1<<20)), "", "")
			wants(t, err, sallyport.CodeInput, tt.words)
			if d := must(poor.Draft(ctx, a.ID))(t); d.Version != 1 || d.Content.Show.Name != "kept" {
				t.Errorf("draft %d is %.20q", d.Version, d.Content.Show.Name)
			}
			must(s.SaveDraft(ctx, a.ID, 1, named("room again"), "", ""))(t)
			if err := s.Check(ctx); err != nil {
				t.Error(err)
			}
		})
	}
}

// TestTogether opens a new file from many handles at once, and lets all of
// them add to one show: every save that was acknowledged is counted.
func TestTogether(t *testing.T) {
	ctx, path := t.Context(), filepath.Join(t.TempDir(), "shows.db")
	const handles, saves = 4, 15
	first := make(chan ShowID, handles)
	var wg sync.WaitGroup
	errs := make(chan error, handles)
	var once sync.Once
	for h := range handles {
		wg.Go(func() {
			errs <- func() error {
				s, err := Open(ctx, path, Options{Now: ticking()})
				if err != nil {
					return err
				}
				defer s.Close()
				once.Do(func() {
					a, e := s.Create(ctx, "a", named("0"), "")
					err = e
					for range handles {
						first <- a.ID
					}
				})
				id := <-first
				for n := 0; n < saves && err == nil; {
					var d Draft
					if d, err = s.Draft(ctx, id); err != nil {
						return err
					}
					_, e := s.SaveDraft(ctx, id, d.Version, named(fmt.Sprint(d.Content.Show.Name, " ", h)), "", "")
					var c *Conflict
					switch {
					case e == nil:
						n++
					case !errors.As(e, &c) || c.Theirs.Version <= d.Version || c.Yours.Version != d.Version:
						return e
					}
				}
				return err
			}()
		})
	}
	wg.Wait()
	for range handles {
		if err := <-errs; err != nil {
			t.Fatal(err)
		}
	}
	d := must(open(t, path).Draft(ctx, 1))(t)
	if n := len(strings.Fields(d.Content.Show.Name)); n != 1+handles*saves || d.Version != 1+handles*saves {
		t.Errorf("draft %d has %d of %d saves", d.Version, n-1, handles*saves)
	}
}
