package store

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// crashFile names, for a process started by TestKilled, the database to write.
const crashFile = "SALLYPORT_STORE_CRASH_FILE"

func TestMain(m *testing.M) {
	if path := os.Getenv(crashFile); path != "" {
		if err := writeForEver(path); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
	os.Exit(m.Run())
}

// sized is content that says its version and fills several pages.
func sized(version int64) Content {
	return planned(fmt.Sprint(version, " ", strings.Repeat("Dunlin ", int(version%7)*900)))
}

// writeForEver saves drafts and says each one that was acknowledged.
func writeForEver(path string) error {
	ctx := context.Background()
	s, err := Open(ctx, path, Options{Now: ticking()})
	if err != nil {
		return err
	}
	d, err := s.Draft(ctx, 1)
	for err == nil {
		if d, err = s.SaveDraft(ctx, 1, d.Version, sized(d.Version+1), "", ""); err == nil {
			_, err = fmt.Println(d.Version)
		}
		if err == nil && d.Version%5 == 0 {
			_, err = s.Publish(ctx, 1, d.Version, "", "")
		}
	}
	return err
}

// TestKilled kills a process in the middle of its writes, again and again:
// every draft that was acknowledged is there, and the file is whole.
func TestKilled(t *testing.T) {
	t.Parallel()
	self := must(os.Executable())(t)
	path := filepath.Join(t.TempDir(), "shows.db")
	ctx := t.Context()
	s := must(Open(ctx, path, Options{Now: ticking()}))(t)
	must(s.Create(ctx, "a", sized(1), ""))(t)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(1, 2))
	rounds := 8
	if testing.Short() {
		rounds = 2
	}
	for round := range rounds {
		cmd := exec.CommandContext(ctx, self)
		cmd.Env = append(os.Environ(), crashFile+"="+path)
		out := must(cmd.StdoutPipe())(t)
		cmd.Stderr = os.Stderr
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		var last int64
		lines := bufio.NewScanner(out)
		for n := 0; lines.Scan(); n++ {
			if _, err := fmt.Sscan(lines.Text(), &last); err != nil {
				t.Fatal(err)
			}
			if n == 0 { // it is at work
				time.AfterFunc(time.Duration(random.IntN(60_000))*time.Microsecond, func() {
					if err := cmd.Process.Kill(); err != nil {
						t.Error(err)
					}
				})
			}
		}
		if err := cmd.Wait(); err == nil || last == 0 {
			t.Fatalf("round %d: the process ended by itself after version %d: %v", round, last, err)
		}
		s := must(Open(ctx, path, Options{Now: ticking()}))(t)
		d := must(s.Draft(ctx, 1))(t)
		if d.Version < last || d.Version > last+1 || text(t, d.Content) != text(t, sized(d.Version)) {
			t.Errorf("round %d: draft %d after version %d was acknowledged", round, d.Version, last)
		}
		if err := s.Check(ctx); err != nil {
			t.Error(err)
		}
		for _, i := range must(s.Issues(ctx, 1))(t) {
			if got := must(s.Issue(ctx, 1, i.Number))(t); text(t, got.Content) != text(t, sized(got.Version)) {
				t.Errorf("round %d: issue %d is not draft %d", round, i.Number, i.Version)
			}
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
}
