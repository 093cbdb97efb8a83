package store

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"sallyport"
)

// TestBackup copies a database while it is written to: the copy is whole, and
// holds a state that was there.
func TestBackup(t *testing.T) {
	ctx, dir := t.Context(), t.TempDir()
	s := open(t, filepath.Join(dir, "shows.db"))
	a := must(s.Create(ctx, "a", named("1"), ""))(t)
	stop, done := make(chan struct{}), make(chan error, 1)
	go func() {
		for v := int64(1); ; v++ {
			select {
			case <-stop:
				done <- nil
				return
			default:
			}
			if _, err := s.SaveDraft(ctx, a.ID, v, named(fmt.Sprint(v+1)), "", ""); err != nil {
				done <- err
				return
			}
		}
	}()
	var copies []string
	for range 3 {
		copies = append(copies, must(s.BackupInto(ctx, filepath.Join(dir, "backups")))(t))
	}
	close(stop)
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	for _, path := range copies {
		d := must(open(t, path).Draft(ctx, a.ID))(t)
		if d.Content.Show.Name != fmt.Sprint(d.Version) {
			t.Errorf("%s has %q in version %d", path, d.Content.Show.Name, d.Version)
		}
	}
	wants(t, s.Backup(ctx, copies[0]), sallyport.CodeInput, "exists")
	wants(t, s.Backup(ctx, filepath.Join(dir, "none", "x.db")), sallyport.CodeInput)
	if left := must(filepath.Glob(filepath.Join(dir, "backups", "*.part")))(t); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// TestBackupStopped: a backup that is stopped leaves nothing.
func TestBackupStopped(t *testing.T) {
	s, dir := fresh(t), t.TempDir()
	ctx, end := context.WithCancel(t.Context())
	end()
	wants(t, s.Backup(ctx, filepath.Join(dir, "x.db")), sallyport.CodeInterrupted)
	if left := must(os.ReadDir(dir))(t); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

func TestKeepBackups(t *testing.T) {
	days := func(month string, from, to int) (list []string) {
		for d := from; d <= to; d++ {
			list = append(list, fmt.Sprintf("sallyport-2027%s%02d-060000.db", month, d))
		}
		return list
	}
	for _, x := range []struct {
		name       string
		n          int
		have, gone []string
	}{
		{"other files stay", 1, []string{"notes.txt", "sallyport-old.db", "sallyport.db"}, nil},
		{
			"the newest, and the newest of each day", 2,
			[]string{
				"sallyport-20270101-060000.db", "sallyport-20270101-180000.db", "sallyport-20270102-050000.db",
				"sallyport-20270102-060000.db", "sallyport-20270102-060000-2.db", "sallyport-20270102-060000-10.db",
			},
			[]string{"sallyport-20270102-060000.db", "sallyport-20270102-050000.db", "sallyport-20270101-060000.db"},
		},
		{"of the last days that have one", 1, append(days("02", 10, 12), days("03", 1, 14)...), []string{"sallyport-20270212-060000.db", "sallyport-20270211-060000.db", "sallyport-20270210-060000.db"}},
		{"as many as asked for, however old", 17, append(days("02", 10, 12), days("03", 1, 14)...), nil},
	} {
		t.Run(x.name, func(t *testing.T) {
			dir := t.TempDir()
			for _, name := range x.have {
				if err := os.WriteFile(filepath.Join(dir, name), nil, 0o600); err != nil {
					t.Fatal(err)
				}
			}
			var gone []string
			for _, path := range must(KeepBackups(dir, x.n))(t) {
				gone = append(gone, filepath.Base(path))
			}
			if !slices.Equal(gone, x.gone) {
				t.Errorf("removed %v, want %v", gone, x.gone)
			}
			if left := must(os.ReadDir(dir))(t); len(left) != len(x.have)-len(x.gone) {
				t.Errorf("left %v", left)
			}
		})
	}
	_, err := KeepBackups(t.TempDir(), 0)
	wants(t, err, sallyport.CodeInput)
	_, err = KeepBackups(filepath.Join(t.TempDir(), "none"), 1)
	wants(t, err, sallyport.CodeInput)
}

// TestKeepBackupsOfAMorning: however often a server is started anew, what was
// kept on the days before stays.
func TestKeepBackupsOfAMorning(t *testing.T) {
	ctx, dir := t.Context(), t.TempDir()
	now := time.Date(2027, 6, 23, 18, 0, 0, 0, time.UTC)
	s := must(Open(ctx, filepath.Join(dir, "shows.db"), Options{Now: func() time.Time { return now }}))(t)
	defer s.Close()
	folder := filepath.Join(dir, "backups")
	before := must(s.BackupInto(ctx, folder))(t)
	for range 6 {
		now = time.Date(2027, 6, 24, 6, now.Minute()+1, 0, 0, time.UTC)
		must(s.BackupInto(ctx, folder))(t)
		must(KeepBackups(folder, 3))(t)
	}
	if left := must(os.ReadDir(folder))(t); len(left) != 4 || left[0].Name() != filepath.Base(before) {
		t.Errorf("left %v", left)
	}
}

// TestRestoreBackup puts backups back: whole, cut off, damaged, over a
// database that is in use or damaged itself.
func TestRestoreBackup(t *testing.T) {
	ctx, dir := t.Context(), t.TempDir()
	path, backup := filepath.Join(dir, "shows.db"), filepath.Join(dir, "backup.db")
	at := time.Date(2027, 6, 25, 6, 0, 0, 0, time.UTC)
	s := must(Open(ctx, path, Options{Now: ticking()}))(t)
	a := must(s.Create(ctx, "a", named("Avocet"), ""))(t)
	for v := range int64(20) {
		must(s.SaveDraft(ctx, a.ID, v+1, planned("Avocet"), "", ""))(t)
		must(s.Publish(ctx, a.ID, v+2, "", "an issue with a note"))(t)
	}
	if err := s.Backup(ctx, backup); err != nil {
		t.Fatal(err)
	}
	must(s.SaveDraft(ctx, a.ID, 21, named("later"), "", ""))(t)

	data := must(os.ReadFile(backup))(t)
	bad := filepath.Join(dir, "bad.db")
	torn := append([]byte{}, data...)
	for i := len(torn) / 2; i < len(torn)/2+3000; i++ {
		torn[i] = 0xa5
	}
	for name, content := range map[string][]byte{"empty": nil, "cut in the header": data[:50], "cut off": data[:len(data)/2], "damaged": torn, "text": []byte("not a database at all, only words and more words")} {
		if err := os.WriteFile(bad, content, 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := RestoreBackup(ctx, bad, path, at)
		t.Log(name, err)
		wants(t, err, sallyport.CodeInput, bad)
	}
	_, err := RestoreBackup(ctx, filepath.Join(dir, "none.db"), path, at)
	wants(t, err, sallyport.CodeInput)
	_, err = RestoreBackup(ctx, backup, path, at)
	wants(t, err, sallyport.CodeInput, "in use")
	if d := must(s.Draft(ctx, a.ID))(t); d.Content.Show.Name != "later" {
		t.Errorf("the working database has %q", d.Content.Show.Name)
	}
	must(s.SaveDraft(ctx, a.ID, 22, named("later still"), "", ""))(t)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}

	before := must(RestoreBackup(ctx, backup, path, at))(t)
	for file, want := range map[string]string{path: "Avocet", before: "later still"} {
		if d := must(open(t, file).Draft(ctx, a.ID))(t); d.Content.Show.Name != want {
			t.Errorf("%s has %q, want %q", file, d.Content.Show.Name, want)
		}
	}
	for end, content := range map[string]string{"": string(torn), "-wal": "rubbish"} {
		if err := os.WriteFile(filepath.Join(dir, "lost.db"+end), []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	must(RestoreBackup(ctx, backup, filepath.Join(dir, "lost.db"), at))(t)
	if d := must(open(t, filepath.Join(dir, "lost.db")).Draft(ctx, a.ID))(t); d.Content.Show.Name != "Avocet" {
		t.Errorf("restored over a damaged one: %q", d.Content.Show.Name)
	}
	if first := must(RestoreBackup(ctx, backup, filepath.Join(dir, "new", "shows.db"), at))(t); first != "" {
		t.Errorf("nothing was there before, and yet %q", first)
	}
}
