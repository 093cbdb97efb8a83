package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"sallyport"
	"sallyport/internal/fenmoor"
	"sallyport/internal/store"
)

// waitsForFile waits in a script until a program in the background has made a
// file, and a little longer: waits WHAT FILE
func waitsForFile(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: waits WHAT FILE")
	}
	path := ts.MkAbs(filepath.Join(filepath.Dir(args[1]), "backups"))
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if list, err := filepath.Glob(filepath.Join(path, "*.db")); err == nil && len(list) > 0 {
			time.Sleep(500 * time.Millisecond)
			return
		}
	}
	ts.Fatalf("%s does not come", args[0])
}

// served is sallyport serve as a process of its own.
type served struct {
	cmd   *exec.Cmd
	url   string
	ended chan struct{}
	mu    sync.Mutex
	said  bytes.Buffer // on standard error
}

// startServe starts the program on a database and waits for its address.
func startServe(t *testing.T, db string, more ...string) *served {
	t.Helper()
	s := &served{cmd: exec.Command("sallyport", append([]string{"serve", "--db", db, "--addr", "127.0.0.1:0", "--no-open", "--keep", "2", "--every", "0"}, more...)...), ended: make(chan struct{})}
	out, err := s.cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := s.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.kill)
	address := make(chan string, 1)
	go func() {
		defer close(s.ended)
		lines := bufio.NewScanner(out)
		for lines.Scan() {
			s.mu.Lock()
			fmt.Fprintln(&s.said, lines.Text())
			s.mu.Unlock()
			if _, at, ok := strings.Cut(lines.Text(), "The planning table is at "); ok {
				address <- at
			}
		}
	}()
	select {
	case s.url = <-address:
	case <-s.ended:
		t.Fatalf("it ended at once: %s", s.says())
	case <-time.After(60 * time.Second):
		t.Fatalf("it does not serve: %s", s.says())
	}
	return s
}

func (s *served) says() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.said.String()
}

// kill ends the process at once, as the power does.
func (s *served) kill() {
	if s.cmd.ProcessState != nil {
		return
	}
	// It may have ended by itself; then there is nothing to kill.
	_ = s.cmd.Process.Kill()
	<-s.ended
	_ = s.cmd.Wait()
}

// ask sends a request and reads the answer into v. It returns the status, 0
// when the server did not answer.
func (s *served) ask(ctx context.Context, method, path string, version int64, body, v any) (int, []byte) {
	text, err := json.Marshal(body)
	if err != nil {
		panic(err) // a show of ours
	}
	r, err := http.NewRequestWithContext(ctx, method, s.url+path, bytes.NewReader(text))
	if err != nil {
		panic(err) // a path of ours
	}
	if version > 0 {
		r.Header.Set("If-Match", fmt.Sprintf(`"%d"`, version))
	}
	client := http.Client{Timeout: 30 * time.Second}
	a, err := client.Do(r)
	if err != nil {
		return 0, nil
	}
	defer a.Body.Close()
	answer, err := io.ReadAll(a.Body)
	if err != nil || a.StatusCode < 300 && v != nil && json.Unmarshal(answer, v) != nil {
		return 0, nil
	}
	return a.StatusCode, answer
}

// keptTable is what these tests need of a table.
type keptTable struct {
	Version int64           `json:"version"`
	Show    *sallyport.Show `json:"show"`
}

// begin makes a show in a new database.
func (s *served) begin(t *testing.T) keptTable {
	t.Helper()
	var list []struct{ ID int64 }
	if status, text := s.ask(t.Context(), "GET", "/api/shows", 0, nil, &list); status != 200 {
		t.Fatalf("%d %s", status, text)
	}
	if len(list) == 0 {
		if status, text := s.ask(t.Context(), "POST", "/api/shows", 0, map[string]string{"name": "version 1", "from": "empty"}, nil); status != 201 {
			t.Fatalf("%d %s", status, text)
		}
	}
	var now keptTable
	if status, text := s.ask(t.Context(), "GET", "/api/shows/1/table", 0, nil, &now); status != 200 {
		t.Fatalf("%d %s", status, text)
	}
	return now
}

// edit gives the show the name of its next version and returns the table.
func (s *served) edit(ctx context.Context, now keptTable) (keptTable, int, []byte) {
	show := *now.Show
	show.Name = fmt.Sprintf("version %d", now.Version+1)
	var next keptTable
	status, text := s.ask(ctx, "PUT", "/api/shows/1/show", now.Version, map[string]any{"what": show.Name, "show": &show}, &next)
	return next, status, text
}

// TestServeKilled kills the server at a random moment while a client edits,
// again and again: every edit that was acknowledged is there, in the draft and
// in its history, and the file is whole. SALLYPORT_KILLS=200 does it 200 times.
func TestServeKilled(t *testing.T) {
	if testing.Short() {
		t.Skip("starts the program again and again")
	}
	t.Parallel()
	kills := 5
	if text := os.Getenv("SALLYPORT_KILLS"); text != "" {
		if _, err := fmt.Sscan(text, &kills); err != nil {
			t.Fatal(err)
		}
	}
	db := filepath.Join(t.TempDir(), "shows.db")
	random := rand.New(rand.NewPCG(1, 2))
	acknowledged, edits := int64(1), 0
	for n := 1; n <= kills; n++ {
		s := startServe(t, db)
		now := s.begin(t)
		if now.Version < acknowledged || now.Version > acknowledged+1 {
			t.Fatalf("after kill %d version %d is kept, %d was acknowledged", n-1, now.Version, acknowledged)
		}
		if now.Version > 1 && now.Show.Name != fmt.Sprintf("version %d", now.Version) {
			t.Fatalf("after kill %d version %d holds %s", n-1, now.Version, now.Show.Name)
		}
		acknowledged = now.Version
		timer := time.AfterFunc(time.Duration(20+random.IntN(400))*time.Millisecond, func() { _ = s.cmd.Process.Kill() })
		for {
			next, status, text := s.edit(t.Context(), now)
			if status == 0 {
				break
			}
			if status != 200 {
				t.Fatalf("%d %s", status, text)
			}
			now, acknowledged = next, next.Version
			edits++
		}
		timer.Stop()
		s.kill()
	}
	s := startServe(t, db)
	now := s.begin(t)
	if now.Version < acknowledged {
		t.Fatalf("version %d is kept, %d was acknowledged", now.Version, acknowledged)
	}
	var history []struct{ Version int64 }
	if status, text := s.ask(t.Context(), "GET", "/api/shows/1/history", 0, nil, &history); status != 200 {
		t.Fatalf("%d %s", status, text)
	}
	if int64(len(history)) != now.Version {
		t.Errorf("the history has %d versions of %d", len(history), now.Version)
	}
	if err := s.cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	<-s.ended
	if err := s.cmd.Wait(); err != nil {
		t.Errorf("stopped by hand: %v\n%s", err, s.says())
	}
	if err := store.CheckFile(t.Context(), db); err != nil {
		t.Error(err)
	}
	t.Logf("%d kills among %d acknowledged edits", kills, edits)
}

// TestServeDiskFull: with a full disk, and with one that may no longer be
// written to, an edit is refused in plain words, what was acknowledged is kept,
// and with room again the work goes on.
func TestServeDiskFull(t *testing.T) {
	if os.Getuid() != 0 {
		t.Skip("a small disk can only be made by root")
	}
	disk := t.TempDir()
	if err := syscall.Mount("none", disk, "tmpfs", 0, "size=1500k"); err != nil {
		t.Skip("no small disk can be made here:", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(disk, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	db := filepath.Join(disk, "shows.db")
	s := startServe(t, db)
	now := s.begin(t)
	now, status, text := s.edit(t.Context(), now)
	if status != 200 {
		t.Fatalf("%d %s", status, text)
	}
	refused := func(words string) {
		t.Helper()
		status, text := 200, []byte(nil)
		for n := 0; status == 200 && n < 2000; n++ {
			var next keptTable
			if next, status, text = s.edit(t.Context(), now); status == 200 {
				now = next
			}
		}
		if status == 200 || status == 0 || !bytes.Contains(text, []byte(words)) {
			t.Fatalf("it says %d %s, not %q\n%s", status, text, words, s.says())
		}
		var kept keptTable
		if status, text := s.ask(t.Context(), "GET", "/api/shows/1/table", 0, nil, &kept); status != 200 || kept.Version != now.Version || kept.Show.Name != now.Show.Name {
			t.Fatalf("kept is version %d of %d: %d %s", kept.Version, now.Version, status, text)
		}
	}
	filler := filepath.Join(disk, "filler")
	if err := fill(filler); err != nil {
		t.Fatal(err)
	}
	refused("the disk is full")
	if err := os.Remove(filler); err != nil {
		t.Fatal(err)
	}
	if now, status, text = s.edit(t.Context(), now); status != 200 {
		t.Fatalf("with room again: %d %s", status, text)
	}
	s.kill()
	if err := syscall.Mount("none", disk, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Fatal(err)
	}
	s = startServe(t, db) // what is kept can still be looked at
	if kept := s.begin(t); kept.Version != now.Version {
		t.Errorf("kept is version %d of %d", kept.Version, now.Version)
	}
	refused("cannot be written to")
	s.kill()
	if err := syscall.Mount("none", disk, "tmpfs", syscall.MS_REMOUNT, "size=1500k"); err != nil {
		t.Fatal(err)
	}
	s = startServe(t, db)
	if kept := s.begin(t); kept.Version != now.Version {
		t.Errorf("kept is version %d of %d", kept.Version, now.Version)
	}
}

// fill writes a file until the disk is full.
func fill(path string) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	block := make([]byte, 4096)
	for err == nil {
		_, err = f.Write(block)
	}
	if !errors.Is(err, syscall.ENOSPC) {
		return errors.Join(err, f.Close())
	}
	return f.Close()
}

// TestServeTaken: a port that was asked for and is taken is said; without one
// the next that is free is taken.
func TestServeTaken(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	first, err := (&serveArgs{}).listen(ctx)
	if err != nil {
		t.Fatal(err)
	}
	defer first.Close()
	second, err := (&serveArgs{}).listen(ctx)
	if err != nil {
		t.Fatal(err)
	}
	defer second.Close()
	if first.Addr().String() == second.Addr().String() {
		t.Errorf("both serve at %s", first.Addr())
	}
	_, err = (&serveArgs{Addr: first.Addr().String()}).listen(ctx)
	var known *sallyport.Error
	if !errors.As(err, &known) || known.Code != sallyport.CodeInput || !strings.Contains(known.Message, "is taken") || known.Hint == "" {
		t.Errorf("a taken port: %v", err)
	}
}

// TestServeDemo: the address of the demonstration show is said, whichever show
// it is, and it is not made twice.
func TestServeDemo(t *testing.T) {
	t.Parallel()
	db := filepath.Join(t.TempDir(), "b.db")
	kept, err := store.Open(t.Context(), db, store.Options{Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"Another show", fenmoor.Show().Name} {
		show := fenmoor.Show()
		show.Name = name
		if _, err := kept.Create(t.Context(), "", store.Content{Show: show}, "test"); err != nil {
			t.Fatal(err)
		}
	}
	if err := kept.Close(); err != nil {
		t.Fatal(err)
	}
	s := startServe(t, db, "--demo")
	if code, list := s.ask(t.Context(), "GET", "/api/shows", 0, nil, nil); code != 200 || bytes.Count(list, []byte(`"id":`)) != 2 {
		t.Errorf("%d: %s", code, list)
	}
	for end := time.Now().Add(20 * time.Second); !strings.Contains(s.says(), "Ctrl-C") && time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
	}
	if !strings.Contains(s.says(), s.url+"/#/2/park") {
		t.Errorf("it says %q", s.says())
	}
}
