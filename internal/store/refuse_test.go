package store

import (
	"context"
	"encoding/json"
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"sallyport"
	"sallyport/internal/fenmoor"
)

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
