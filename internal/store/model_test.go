package store

import (
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"sallyport"
)

// plain is a database of shows as it would be if nothing could go wrong: a
// list in memory.
type plain struct{ shows []*plainShow }

type plainShow struct {
	name           string
	archived       bool
	changed        int // order of the last change
	version        int64
	draft          string
	issues, copies []string
	said           []sallyport.UnitID
}

// TestModel runs random operations on a database and on the plain list, and
// compares all that can be read after every one.
func TestModel(t *testing.T) {
	t.Parallel()
	n := 0
	dir := t.TempDir()
	empty := filepath.Join(dir, "empty.db")
	if err := fresh(t).Backup(t.Context(), empty); err != nil {
		t.Fatal(err)
	}
	data := must(os.ReadFile(empty))(t)
	rapid.Check(t, func(t *rapid.T) {
		n++
		path := filepath.Join(dir, fmt.Sprintf("%d.db", n))
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		defer os.Remove(path)
		db, err := openSQLite(tContext, path, url.Values{"_pragma": {"synchronous(OFF)"}}) // no waiting for the disk here
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		s := &Store{db: db, engine: sqliteEngine, now: ticking()}
		r := &running{t: t, s: s}
		t.Repeat(map[string]func(*rapid.T){
			"create": r.create, "duplicate": r.duplicate, "rename": r.rename, "archive": r.archive,
			"save": r.save, "publish": r.publish, "restore": r.restore, "say": r.say, "copy": r.keep,
			"move": r.move, "": r.compareOne,
		})
		for id := range r.model.shows {
			r.compare(t, ShowID(id+1))
		}
	})
}

// running is a database and its model while operations run.
type running struct {
	t     *rapid.T
	s     *Store
	model plain
	tick  int
}

// pick returns one of the shows, or nil when there are none.
func (r *running) pick(t *rapid.T) (ShowID, *plainShow) {
	if len(r.model.shows) == 0 {
		t.Skip("no show yet")
	}
	i := rapid.IntRange(0, len(r.model.shows)-1).Draw(t, "show")
	return ShowID(i + 1), r.model.shows[i]
}

func (r *running) changed(p *plainShow) { r.tick++; p.changed = r.tick }

// agree checks that an operation was refused exactly when it should be.
func agree(t *rapid.T, err error, code sallyport.Code) bool {
	var known *sallyport.Error
	if (err == nil) != (code == "") || err != nil && (!errors.As(err, &known) || known.Code != code) {
		t.Fatalf("error %v, want code %q", err, code)
	}
	return err == nil
}

// refused is the code with which a change of a show is refused.
func (p *plainShow) refused(version int64) sallyport.Code {
	switch {
	case p.archived:
		return sallyport.CodeInput
	case version != p.version:
		return sallyport.CodeConflict
	}
	return ""
}

var word = rapid.SampledFrom([]string{"Avocet", "Bittern", "Dunlin", "Ruff & Reeve", "Żuraw"})

func (r *running) add(t *rapid.T, p *plainShow) {
	if len(r.model.shows) > 5 {
		t.Skip("enough")
	}
	r.changed(p)
	r.model.shows = append(r.model.shows, p)
}

func (r *running) create(t *rapid.T) {
	p := &plainShow{name: word.Draw(t, "name"), version: 1, draft: word.Draw(t, "draft")}
	r.add(t, p)
	_, err := r.s.Create(tContext, p.name, planned(p.draft), "")
	agree(t, err, "")
}

func (r *running) duplicate(t *rapid.T) {
	id, old := r.pick(t)
	p := &plainShow{name: word.Draw(t, "name"), version: 1, draft: old.draft}
	r.add(t, p)
	_, err := r.s.Duplicate(tContext, id, p.name, "")
	agree(t, err, "")
}

func (r *running) rename(t *rapid.T) {
	id, p := r.pick(t)
	p.name = word.Draw(t, "name")
	r.changed(p)
	_, err := r.s.Rename(tContext, id, p.name)
	agree(t, err, "")
}

func (r *running) archive(t *rapid.T) {
	id, p := r.pick(t)
	to := rapid.Bool().Draw(t, "archive")
	do := r.s.Unarchive
	if to {
		do = r.s.Archive
	}
	_, err := do(tContext, id)
	agree(t, err, "")
	if p.archived != to {
		p.archived = to
		r.changed(p)
	}
}

func (r *running) version(t *rapid.T, p *plainShow) int64 {
	return p.version - rapid.SampledFrom([]int64{0, 0, 0, 1, -1}).Draw(t, "behind")
}

func (r *running) save(t *rapid.T) {
	id, p := r.pick(t)
	v, c := r.version(t, p), word.Draw(t, "content")
	d, err := r.s.SaveDraft(tContext, id, v, planned(c), "", "")
	if agree(t, err, p.refused(v)) {
		p.version, p.draft = p.version+1, c
		r.changed(p)
		if d.Version != p.version {
			t.Fatalf("saved as %d, want %d", d.Version, p.version)
		}
	}
}

func (r *running) publish(t *rapid.T) {
	id, p := r.pick(t)
	v := r.version(t, p)
	_, err := r.s.Publish(tContext, id, v, "", "")
	if agree(t, err, p.refused(v)) {
		p.issues = append(p.issues, p.draft)
		r.changed(p)
	}
}

func (r *running) restore(t *rapid.T) {
	id, p := r.pick(t)
	list, do := p.issues, r.s.RestoreIssue
	if rapid.Bool().Draw(t, "copy") {
		list, do = p.copies, r.s.RestoreCopy
	}
	number := rapid.IntRange(0, len(list)+1).Draw(t, "number")
	v := r.version(t, p)
	code := p.refused(v)
	if code == "" && (number < 1 || number > len(list)) {
		code = sallyport.CodeNotFound
	}
	_, err := do(tContext, id, v, number, "")
	if agree(t, err, code) {
		p.copies = append(p.copies, p.draft)
		p.draft, p.version = list[number-1], p.version+1
		r.changed(p)
	}
}

func (r *running) keep(t *rapid.T) {
	id, p := r.pick(t)
	c := word.Draw(t, "content")
	_, err := r.s.KeepCopy(tContext, id, 1, planned(c), "", "")
	if agree(t, err, p.refused(p.version)) {
		p.copies = append(p.copies, c)
		r.changed(p)
	}
}

func (r *running) say(t *rapid.T) {
	id, p := r.pick(t)
	units := rapid.SliceOfN(rapid.SampledFrom([]sallyport.UnitID{"avocet", "dunlin"}), 1, 3).Draw(t, "units")
	var happened []sallyport.Happening
	for _, u := range units {
		happened = append(happened, sallyport.Happening{Kind: sallyport.HappenHere, Unit: u})
	}
	_, err := r.s.Say(tContext, id, happened, "")
	if agree(t, err, p.refused(p.version)) {
		p.said = append(p.said, units...)
		r.changed(p)
	}
}

// move exports a show and imports it as a new one.
func (r *running) move(t *rapid.T) {
	id, old := r.pick(t)
	p := *old
	p.archived = false
	p.issues, p.copies, p.said = slices.Clone(p.issues), slices.Clone(p.copies), slices.Clone(p.said)
	r.add(t, &p)
	file := exportOf(t, r.s, id)
	_, problems, err := r.s.Import(tContext, file, file.Size())
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
}

// compareOne compares the list, and one of the shows.
func (r *running) compareOne(t *rapid.T) {
	list, err := r.s.Shows(tContext, true)
	if err != nil || len(list) != len(r.model.shows) {
		t.Fatal(list, err)
	}
	last := r.tick + 1
	for _, got := range list {
		p := r.model.shows[got.ID-1]
		if p.changed >= last {
			t.Fatalf("show %d is not in order of change", got.ID)
		}
		last = p.changed
		if got.Issues != len(p.issues) || got.Copies != len(p.copies) || got.Said != len(p.said) || got.Name != p.name {
			t.Fatalf("show %+v, want %+v", got, p)
		}
	}
	if len(list) > 0 {
		r.compare(t, list[rapid.IntRange(0, len(list)-1).Draw(t, "look at")].ID)
	}
}

// compare reads all that is kept of a show.
func (r *running) compare(t *rapid.T, id ShowID) {
	p := r.model.shows[id-1]
	got, err := r.s.Show(tContext, id)
	if err != nil {
		t.Fatal(err)
	}
	d, err := r.s.Draft(tContext, id)
	if err != nil || d.Plan == nil || d.Plan.Show != d.Content.Show.Name {
		t.Fatalf("draft %+v, %v", d, err)
	}
	have := plainShow{name: got.Name, archived: !got.Archived.IsZero(), changed: p.changed, version: d.Version, draft: d.Content.Show.Name}
	for n := 1; n <= got.Issues; n++ {
		i, err := r.s.Issue(tContext, id, n)
		if err != nil {
			t.Fatal(err)
		}
		have.issues = append(have.issues, i.Content.Show.Name)
	}
	for n := 1; n <= got.Copies; n++ {
		c, err := r.s.Copy(tContext, id, n)
		if err != nil {
			t.Fatal(err)
		}
		have.copies = append(have.copies, c.Content.Show.Name)
	}
	log, err := r.s.Log(tContext, id, 0)
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range log {
		if e.Number != i+1 {
			t.Fatalf("entry %d has number %d", i+1, e.Number)
		}
		have.said = append(have.said, e.Happening.Unit)
	}
	if diff := cmp.Diff(*p, have, cmp.AllowUnexported(plainShow{})); diff != "" {
		t.Fatalf("show %d differs:\n%s", id, diff)
	}
}
