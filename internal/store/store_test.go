package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"sallyport"
	"sallyport/internal/fenmoor"
)

// ticking returns a clock that is a second later at each look.
func ticking() func() time.Time {
	var mu sync.Mutex
	at := time.Date(2027, 6, 24, 6, 0, 0, 0, time.UTC)
	return func() time.Time {
		mu.Lock()
		defer mu.Unlock()
		at = at.Add(time.Second)
		return at
	}
}

func open(t testing.TB, path string) *Store {
	t.Helper()
	s, err := Open(t.Context(), path, Options{Now: ticking()})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

func fresh(t testing.TB) *Store { return open(t, filepath.Join(t.TempDir(), "shows.db")) }

// named returns content that is told apart by a name.
func named(name string) Content {
	return Content{Show: &sallyport.Show{Format: sallyport.FormatShow, Name: name}}
}

func planned(name string) Content {
	c := named(name)
	c.Plan = &sallyport.Plan{Format: sallyport.FormatPlan, Show: name}
	return c
}

func must[T any](v T, err error) func(t testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// wants fails unless the error has the code and says all of the words.
func wants(t testing.TB, err error, code sallyport.Code, words ...string) {
	t.Helper()
	var known *sallyport.Error
	if !errors.As(err, &known) || known.Code != code {
		t.Fatalf("error %v, want one with code %q", err, code)
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("error %q does not say %q", err, w)
		}
	}
}

func text(t testing.TB, c Content) string {
	t.Helper()
	w := must(c.write())(t)
	return w.show + "\n" + w.plan.String
}

// TestYear follows one show from its first draft to the log of the day, with
// the demonstration show, and reads everything again from a second handle.
func TestYear(t *testing.T) {
	ctx, path := t.Context(), filepath.Join(t.TempDir(), "made", "shows?#%.db")
	s := open(t, path)
	show := fenmoor.Show()
	made := must(s.Create(ctx, "", Content{Show: show}, "Orla"))(t)
	if made.Name != show.Name || made.Issues != 0 {
		t.Errorf("made %+v", made)
	}
	plan := &sallyport.Plan{Show: show.Name, Start: []sallyport.LaneLayout{{Lane: "A1", Units: []sallyport.UnitID{"avocet"}}}}
	draft := must(s.SaveDraft(ctx, made.ID, 1, Content{show, plan}, "Orla", ""))(t)
	one := must(s.Publish(ctx, made.ID, draft.Version, "Orla", "for the crews"))(t)
	must(s.SaveDraft(ctx, made.ID, 2, named("all gone"), "Piet", ""))(t)
	two := must(s.Publish(ctx, made.ID, 3, "Piet", ""))(t)
	back := must(s.RestoreIssue(ctx, made.ID, 3, 1, "Orla"))(t)
	if back.Version != 4 || text(t, back.Content) != text(t, Content{show, plan}) {
		t.Errorf("restored draft %d differs from issue 1", back.Version)
	}
	said := []sallyport.Happening{{Kind: sallyport.HappenHere, Unit: "avocet"}, {Kind: sallyport.HappenLate, Unit: "bittern", Until: sallyport.At(3, 11, 5)}}
	log := must(s.Say(ctx, made.ID, said, "Runa"))(t)

	other := open(t, path)
	if got := must(other.Issue(ctx, made.ID, 1))(t); text(t, got.Content) != text(t, Content{show, plan}) || got.Note != "for the crews" || got.Published != one.Published || got.Version != 2 {
		t.Errorf("issue 1 is not as published: %+v", got)
	}
	if got := must(other.Issues(ctx, made.ID))(t); len(got) != 2 || got[0].Number != 2 || got[0].Published != two.Published || got[1].Author != "Orla" {
		t.Errorf("issues %+v", got)
	}
	kept := must(other.Copies(ctx, made.ID))(t)
	if len(kept) != 1 || kept[0].Author != "Piet" || kept[0].Version != 3 {
		t.Fatalf("copies %+v", kept)
	}
	if got := must(other.RestoreCopy(ctx, made.ID, 4, 1, "Piet"))(t); got.Show != made.ID || got.Content.Show.Name != "all gone" || got.Version != 5 {
		t.Errorf("copy restored as %+v", got)
	}
	if got := must(other.Log(ctx, made.ID, 0))(t); !cmp.Equal(got, log) || !cmp.Equal(got[1].Happening, said[1]) {
		t.Errorf("log %+v", got)
	}
	if got := must(other.Log(ctx, made.ID, 1))(t); len(got) != 1 || got[0].Number != 2 {
		t.Errorf("log after 1: %+v", got)
	}
	next := must(s.Duplicate(ctx, made.ID, "next year", "Orla"))(t)
	if d := must(s.Draft(ctx, next.ID))(t); next.Issues != 0 || next.Said != 0 || d.Content.Show.Name != "all gone" || d.Version != 1 {
		t.Errorf("duplicate %+v with draft %+v", next, d)
	}
	if list := must(s.Shows(ctx, false))(t); len(list) != 2 || list[0].ID != next.ID || list[1].Issues != 2 || list[1].Copies != 2 || list[1].Said != 2 {
		t.Errorf("list %+v", list)
	}
}

func TestArchive(t *testing.T) {
	ctx, s := t.Context(), fresh(t)
	a := must(s.Create(ctx, "a", named("a"), ""))(t)
	if got := must(s.Archive(ctx, a.ID))(t); got.Archived.IsZero() {
		t.Fatal("not archived")
	}
	if list := must(s.Shows(ctx, false))(t); len(list) != 0 {
		t.Errorf("archived shows in the list: %+v", list)
	}
	if list := must(s.Shows(ctx, true))(t); len(list) != 1 {
		t.Errorf("archived shows are gone: %+v", list)
	}
	_, err := s.SaveDraft(ctx, a.ID, 1, named("b"), "", "")
	wants(t, err, sallyport.CodeInput, "archived")
	_, err = s.Publish(ctx, a.ID, 1, "", "")
	wants(t, err, sallyport.CodeInput, "archived")
	_, err = s.Say(ctx, a.ID, []sallyport.Happening{{Kind: sallyport.HappenTeam}}, "")
	wants(t, err, sallyport.CodeInput, "archived")
	must(s.Duplicate(ctx, a.ID, "again", ""))(t)
	must(s.Unarchive(ctx, a.ID))(t)
	must(s.SaveDraft(ctx, a.ID, 1, named("b"), "", ""))(t)
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	ctx, s := t.Context(), fresh(t)
	a := must(s.Create(ctx, "a", named("a"), ""))(t)
	before := must(s.Show(ctx, a.ID))(t)
	for name, tt := range map[string]struct {
		do    func() error
		code  sallyport.Code
		words []string
	}{
		"no show":        {func() error { _, err := s.Show(ctx, 7); return err }, sallyport.CodeNotFound, []string{"no show 7"}},
		"no draft":       {func() error { _, err := s.SaveDraft(ctx, 7, 1, named("x"), "", ""); return err }, sallyport.CodeNotFound, nil},
		"publish none":   {func() error { _, err := s.Publish(ctx, 7, 1, "", ""); return err }, sallyport.CodeNotFound, nil},
		"no issue":       {func() error { _, err := s.Issue(ctx, a.ID, 1); return err }, sallyport.CodeNotFound, []string{"a has no issue 1, it has 0"}},
		"restore none":   {func() error { _, err := s.RestoreIssue(ctx, a.ID, 1, 3, ""); return err }, sallyport.CodeNotFound, nil},
		"no copy":        {func() error { _, err := s.RestoreCopy(ctx, a.ID, 1, 1, ""); return err }, sallyport.CodeNotFound, nil},
		"issues of none": {func() error { _, err := s.Issues(ctx, 7); return err }, sallyport.CodeNotFound, nil},
		"log of none":    {func() error { _, err := s.Log(ctx, 7, 0); return err }, sallyport.CodeNotFound, nil},
		"rename none":    {func() error { _, err := s.Rename(ctx, 7, "x"); return err }, sallyport.CodeNotFound, nil},
		"no name":        {func() error { _, err := s.Rename(ctx, a.ID, "  "); return err }, sallyport.CodeInput, nil},
		"three at once":  {func() error { _, err := s.Create(ctx, " ", Content{}, "\xff"); return err }, sallyport.CodeInput, []string{"no show to keep", "name of the show is empty", "author"}},
		"long name":      {func() error { _, err := s.Rename(ctx, a.ID, strings.Repeat("é", 201)); return err }, sallyport.CodeInput, []string{"201", "200"}},
		"unknown kind": {func() error {
			_, err := s.Say(ctx, a.ID, []sallyport.Happening{{Kind: sallyport.HappenTeam}, {Kind: "eclipse"}}, "")
			return err
		}, sallyport.CodeInput, []string{"happening 2", "eclipse"}},
		"too large": {func() error {
			_, err := s.SaveDraft(ctx, a.ID, 1, named(strings.Repeat("x", maxContent)), "", "")
			return err
		}, sallyport.CodeInput, []string{"MB"}},
		"no database":     {func() error { _, err := Open(ctx, " ", Options{Now: ticking()}); return err }, sallyport.CodeInput, nil},
		"address":         {func() error { _, err := Open(ctx, "postgres://x/y", Options{Now: ticking()}); return err }, sallyport.CodeInput, []string{"postgres"}},
		"folder":          {func() error { _, err := Open(ctx, t.TempDir(), Options{Now: ticking()}); return err }, sallyport.CodeInput, nil},
		"no clock":        {func() error { _, err := Open(ctx, "x", Options{}); return err }, sallyport.CodeInternal, nil},
		"context at end":  {func() error { c, end := context.WithCancel(ctx); end(); _, err := s.Show(c, a.ID); return err }, sallyport.CodeInterrupted, nil},
		"setting no name": {func() error { return s.Set(ctx, "", "x") }, sallyport.CodeInput, nil},
	} {
		t.Run(name, func(t *testing.T) { wants(t, tt.do(), tt.code, tt.words...) })
	}
	if after := must(s.Show(ctx, a.ID))(t); after != before {
		t.Errorf("refused, and yet changed from %+v to %+v", before, after)
	}
}

// TestNeverChanged goes round the methods: the database itself refuses.
func TestNeverChanged(t *testing.T) {
	ctx, s := t.Context(), fresh(t)
	a := must(s.Create(ctx, "a", named("a"), ""))(t)
	must(s.Publish(ctx, a.ID, 1, "", ""))(t)
	must(s.Say(ctx, a.ID, []sallyport.Happening{{Kind: sallyport.HappenTeam}}, ""))(t)
	for _, text := range []string{"UPDATE issue SET note = 'x'", "DELETE FROM issue", "UPDATE log_entry SET author = 'x'", "DELETE FROM log_entry"} {
		if _, err := s.db.ExecContext(ctx, text); err == nil {
			t.Errorf("%s was done", text)
		}
	}
}

func TestSettings(t *testing.T) {
	ctx, s := t.Context(), fresh(t)
	for _, want := range []string{"", "imperial", "metric"} {
		if want != "" {
			if err := s.Set(ctx, "units", want); err != nil {
				t.Fatal(err)
			}
		}
		if got := must(s.Setting(ctx, "units"))(t); got != want {
			t.Errorf("setting %q, want %q", got, want)
		}
	}
}

// TestLarge keeps a show of 50 MB.
func TestLarge(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("50 MB")
	}
	ctx, s := t.Context(), fresh(t)
	c := named(strings.Repeat("Avocet and Dunlin, ", 50<<20/19))
	a := must(s.Create(ctx, "large", c, ""))(t)
	if got := must(s.Draft(ctx, a.ID))(t); got.Content.Show.Name != c.Show.Name {
		t.Error("50 MB came back different")
	}
}

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

// TestConflict: two edit one draft; the second is shown both and loses nothing.
func TestConflict(t *testing.T) {
	ctx, path := t.Context(), filepath.Join(t.TempDir(), "shows.db")
	orla, piet := open(t, path), open(t, path)
	a := must(orla.Create(ctx, "a", named("begun"), "Orla"))(t)
	must(orla.SaveDraft(ctx, a.ID, 1, named("hers"), "Orla", ""))(t)
	before := must(piet.Show(ctx, a.ID))(t)
	_, err := piet.SaveDraft(ctx, a.ID, 1, planned("his"), "Piet", "")
	wants(t, err, sallyport.CodeConflict, "Orla", "version 2", "version 1")
	var c *Conflict
	if !errors.As(err, &c) {
		t.Fatalf("%T is no conflict", err)
	}
	if c.Theirs.Content.Show.Name != "hers" || c.Theirs.Version != 2 || c.Yours.Content.Show.Name != "his" || c.Yours.Plan == nil {
		t.Errorf("conflict %+v", c)
	}
	_, err = piet.Publish(ctx, a.ID, 1, "Piet", "")
	wants(t, err, sallyport.CodeConflict)
	if after := must(piet.Show(ctx, a.ID))(t); after != before {
		t.Errorf("the conflict changed %+v to %+v", before, after)
	}
	kept := must(piet.KeepCopy(ctx, a.ID, 1, c.Yours.Content, "Piet", "came second"))(t)
	if got := must(orla.Copy(ctx, a.ID, kept.Number))(t); text(t, got.Content) != text(t, c.Yours.Content) {
		t.Error("the copy differs")
	}
	must(piet.SaveDraft(ctx, a.ID, c.Theirs.Version, named("both"), "Piet", ""))(t)
}

// TestContentWhole: what is read back is what was written, for the whole
// demonstration show.
func TestContentWhole(t *testing.T) {
	show := fenmoor.Show()
	w := must(Content{Show: show}.write())(t)
	c := must(w.read())(t)
	want, got := must(json.Marshal(show))(t), must(json.Marshal(c.Show))(t)
	if string(want) != string(got) || c.Plan != nil {
		t.Error("the show changed on its way")
	}
}
