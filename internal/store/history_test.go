package store

import (
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"sallyport"
	"sallyport/internal/fenmoor"
)

// steps returns what undo and redo would do, in words.
func steps(t testing.TB, s *Store, id ShowID) (undo, redo string) {
	t.Helper()
	u, r, err := s.Steps(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	if u != nil {
		undo = u.What
	}
	if r != nil {
		redo = r.What
	}
	return undo, redo
}

func TestUndoAndRedo(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	path := filepath.Join(t.TempDir(), "shows.db")
	s := open(t, path)
	id := must(s.Create(ctx, "", named("a"), "Orla"))(t).ID
	_, _, err := s.Undo(ctx, id, 1, "Orla")
	wants(t, err, sallyport.CodeInput, "nothing to take back")
	if list := must(s.History(ctx, id))(t); len(list) != 0 {
		t.Errorf("history before any edit: %v", list)
	}
	must(s.SaveDraft(ctx, id, 1, planned("b"), "Orla", "Dunlin to C4"))(t)
	must(s.SaveDraft(ctx, id, 2, named("c"), "Piet", "Ruff fixed"))(t)

	d, step, err := s.Undo(ctx, id, 3, "Orla")
	if err != nil || d.Version != 4 || text(t, d.Content) != text(t, planned("b")) || step.What != "Ruff fixed" || step.Author != "Piet" || step.Version != 3 {
		t.Fatalf("undone: %+v, %+v, %v", d, step, err)
	}
	if u, r := steps(t, s, id); u != "Dunlin to C4" || r != "Ruff fixed" {
		t.Errorf("then undo %q, redo %q", u, r)
	}
	// The history is there after a restart, too.
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = open(t, path)
	d, _, err = s.Undo(ctx, id, 4, "Orla")
	if err != nil || text(t, d.Content) != text(t, named("a")) {
		t.Fatalf("undone twice: %+v, %v", d, err)
	}
	if u, r := steps(t, s, id); u != "" || r != "Dunlin to C4" {
		t.Errorf("then undo %q, redo %q", u, r)
	}
	d, step, err = s.Redo(ctx, id, 5, "Piet")
	if err != nil || text(t, d.Content) != text(t, planned("b")) || step.What != "Dunlin to C4" || d.What != "made again: Dunlin to C4" {
		t.Fatalf("made again: %+v, %+v, %v", d, step, err)
	}
	_, _, err = s.Redo(ctx, id, 5, "Orla")
	wants(t, err, sallyport.CodeConflict, "Piet has saved version 6")
	// A new edit ends what could be made again; the history still lists it.
	must(s.SaveDraft(ctx, id, 6, named("d"), "Orla", "serial 3 later"))(t)
	_, _, err = s.Redo(ctx, id, 7, "Orla")
	wants(t, err, sallyport.CodeInput, "nothing to make again")
	var says []string
	for _, x := range must(s.History(ctx, id))(t) {
		says = append(says, fmt.Sprint(x.Version, " ", x.What))
	}
	want := []string{"7 serial 3 later", "6 made again: Dunlin to C4", "5 taken back: Dunlin to C4", "4 taken back: Ruff fixed", "3 Ruff fixed", "2 Dunlin to C4", "1 "}
	if !slices.Equal(says, want) {
		t.Errorf("history %q", says)
	}
}

func TestRestoringCanBeTakenBack(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := fresh(t)
	id := must(s.Create(ctx, "", named("a"), ""))(t).ID
	must(s.Publish(ctx, id, 1, "Orla", ""))(t)
	must(s.SaveDraft(ctx, id, 1, named("b"), "", "typed"))(t)
	must(s.RestoreIssue(ctx, id, 2, 1, "Orla"))(t)
	if u, _ := steps(t, s, id); u != "issue 1 put back" {
		t.Errorf("undo %q", u)
	}
	d, _, err := s.Undo(ctx, id, 3, "Orla")
	if err != nil || text(t, d.Content) != text(t, named("b")) {
		t.Fatalf("%+v, %v", d, err)
	}
}

func TestHistoryRefuses(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := fresh(t)
	_, err := s.History(ctx, 7)
	wants(t, err, sallyport.CodeNotFound)
	_, _, err = s.Steps(ctx, 7)
	wants(t, err, sallyport.CodeNotFound)
	_, _, err = s.Undo(ctx, 7, 1, "")
	wants(t, err, sallyport.CodeNotFound)
	id := must(s.Create(ctx, "", named("a"), ""))(t).ID
	must(s.SaveDraft(ctx, id, 1, named("b"), "", "typed"))(t)
	must(s.Archive(ctx, id))(t)
	_, _, err = s.Undo(ctx, id, 2, "")
	wants(t, err, sallyport.CodeInput, "archived")
	if _, err := s.db.ExecContext(ctx, `DELETE FROM draft_step`); err == nil {
		t.Error("the history could be removed")
	}
}

// TestHistoryModel takes back, makes again and edits at random, and compares
// with a list of states and a place in it.
func TestHistoryModel(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	empty := filepath.Join(dir, "empty.db")
	if err := fresh(t).Backup(t.Context(), empty); err != nil {
		t.Fatal(err)
	}
	data := must(os.ReadFile(empty))(t)
	n := 0
	rapid.Check(t, func(rt *rapid.T) {
		n++
		path := filepath.Join(dir, fmt.Sprintf("%d.db", n))
		if err := os.WriteFile(path, data, 0o600); err != nil {
			rt.Fatal(err)
		}
		defer os.Remove(path)
		db, err := openSQLite(tContext, path, url.Values{"_pragma": {"synchronous(OFF)"}})
		if err != nil {
			rt.Fatal(err)
		}
		defer db.Close()
		s := &Store{db: db, engine: sqliteEngine, now: ticking()}
		made, err := s.Create(tContext, "", named("start"), "")
		if err != nil {
			rt.Fatal(err)
		}
		states, at, version := []string{"start"}, 0, int64(1)
		check := func(d Draft, err error) {
			if err != nil || d.Version != version || d.Content.Show.Name != states[at] {
				rt.Fatalf("draft %d holds %v (%v), want version %d with %q", d.Version, d.Content.Show, err, version, states[at])
			}
		}
		rt.Repeat(map[string]func(*rapid.T){
			"edit": func(rt *rapid.T) {
				name := fmt.Sprint("edit of ", version)
				states, at = append(states[:at+1:at+1], name), at+1
				version++
				check(s.SaveDraft(tContext, made.ID, version-1, named(name), "", name))
			},
			"undo": func(rt *rapid.T) {
				d, _, err := s.Undo(tContext, made.ID, version, "")
				if at == 0 {
					agree(rt, err, sallyport.CodeInput)
					return
				}
				at--
				version++
				check(d, err)
			},
			"redo": func(rt *rapid.T) {
				d, step, err := s.Redo(tContext, made.ID, version, "")
				if at == len(states)-1 {
					agree(rt, err, sallyport.CodeInput)
					return
				}
				at++
				version++
				check(d, err)
				if step.What != states[at] {
					rt.Fatalf("made again %q, want %q", step.What, states[at])
				}
			},
			"": func(rt *rapid.T) {
				check(s.Draft(tContext, made.ID))
				undo, redo, err := s.Steps(tContext, made.ID)
				if err != nil || (undo != nil) != (at > 0) || (redo != nil) != (at < len(states)-1) {
					rt.Fatalf("at %d of %d: undo %v, redo %v, %v", at, len(states), undo, redo, err)
				}
				if undo != nil && undo.What != states[at] || redo != nil && redo.What != states[at+1] {
					rt.Fatalf("undo %+v, redo %+v at %d of %q", undo, redo, at, states)
				}
			},
		})
	})
}

// BenchmarkSave measures how much an edit of the demonstration show adds to the
// database, and how long it takes.
func BenchmarkSave(b *testing.B) {
	s := fresh(b)
	show := fenmoor.Show()
	made := must(s.Create(b.Context(), "", Content{Show: show}, ""))(b)
	version := int64(1)
	for b.Loop() {
		show.Park.Lanes[0].Length++
		d, err := s.SaveDraft(b.Context(), made.ID, version, Content{Show: show}, "", "lane longer")
		if err != nil {
			b.Fatal(err)
		}
		version = d.Version
	}
	var bytes float64
	if err := s.db.QueryRowContext(b.Context(), `SELECT avg(length(content)) FROM draft_step`).Scan(&bytes); err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(bytes, "B/edit")
}
