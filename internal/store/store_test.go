package store

import (
	"errors"
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
