package e2e

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"sallyport"
)

// server is sallyport serve, as a process of its own.
type server struct {
	cmd   *exec.Cmd
	db    string
	url   string
	ended chan struct{}
	mu    sync.Mutex
	said  bytes.Buffer
}

// launch starts the program on a database and waits for its address.
func launch(db, addr string, more ...string) (*server, error) {
	args := append([]string{"serve", "--db", db, "--addr", addr, "--no-open", "--keep", "1", "--every", "0"}, more...)
	s := &server{cmd: exec.Command(bench.program, args...), db: db, ended: make(chan struct{})}
	out, err := s.cmd.StderrPipe()
	if err != nil {
		return nil, err
	}
	if err := s.cmd.Start(); err != nil {
		return nil, err
	}
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
		return s, nil
	case <-s.ended:
	case <-time.After(3 * patience):
	}
	s.kill()
	return nil, fmt.Errorf("sallyport serve does not serve: %s", s.says())
}

// serve starts a server with the planned demonstration show as show 1. It is
// killed when the test ends.
func serve(t *testing.T) *server {
	t.Helper()
	ready(t)
	s, err := launch(demoCopy(t), "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		s.kill()
		if t.Failed() {
			t.Logf("the server said: %s", s.says())
		}
	})
	return s
}

// demoCopy returns a database of its own with the planned demonstration show.
func demoCopy(t *testing.T) string {
	t.Helper()
	db := filepath.Join(t.TempDir(), "table.db")
	if err := copyFile(db, bench.demo); err != nil {
		t.Fatal(err)
	}
	return db
}

// again starts a server that was killed anew, at the same address.
func (s *server) again(t *testing.T) *server {
	t.Helper()
	next, err := launch(s.db, strings.TrimPrefix(s.url, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(next.kill)
	return next
}

func (s *server) says() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.said.String()
}

// kill ends the program at once, as the power does.
func (s *server) kill() {
	if s.cmd.ProcessState != nil {
		return
	}
	// It may have ended by itself; then there is nothing to kill.
	_ = s.cmd.Process.Kill()
	<-s.ended
	_ = s.cmd.Wait()
}

// stop ends the program as Ctrl-C does.
func (s *server) stop() error {
	if err := s.cmd.Process.Signal(os.Interrupt); err != nil {
		return err
	}
	<-s.ended
	return s.cmd.Wait()
}

// table is what these tests need of a table.
type table struct {
	Version  int64
	Issued   int
	Workable bool
	Author   string
	What     string
	Show     *sallyport.Show
	Complete *sallyport.Show
	Plan     *sallyport.Plan
	Stays    []stay
	Undo     *struct{ What string }
	Redo     *struct{ What string }
}

type stay struct{ ID, Unit, After, Lane, From, To string }

type heldAnswer struct {
	Lane string
	Fits bool
	Cost int64
	Says []string
}

// ask sends a request, as the screens do, and reads the answer into v.
func (s *server) ask(method, path string, version int64, body, v any) error {
	text, err := json.Marshal(body)
	if err != nil {
		return err
	}
	r, err := http.NewRequest(method, s.url+path, bytes.NewReader(text))
	if err != nil {
		return err
	}
	r.Header.Set("Content-Type", "application/json")
	if version > 0 {
		r.Header.Set("If-Match", fmt.Sprintf("%q", fmt.Sprint(version)))
	}
	client := http.Client{Timeout: patience}
	a, err := client.Do(r)
	if err != nil {
		return err
	}
	answer, err := io.ReadAll(a.Body)
	if err := errors.Join(err, a.Body.Close()); err != nil {
		return err
	}
	if a.StatusCode >= 300 {
		return fmt.Errorf("%s %s: %s %s", method, path, a.Status, answer)
	}
	if v == nil {
		return nil
	}
	return json.Unmarshal(answer, v)
}

// table returns the draft of show 1.
func (s *server) table(t *testing.T) table {
	t.Helper()
	var got table
	if err := s.ask("GET", "/api/shows/1/table", 0, nil, &got); err != nil {
		t.Fatal(err)
	}
	return got
}

// held asks what putting a stay of show 1 into a lane would do.
func (s *server) held(t *testing.T, version int64, of stay, lane string) heldAnswer {
	t.Helper()
	var got heldAnswer
	body := map[string]string{"unit": of.Unit, "after": of.After, "lane": lane}
	if err := s.ask("POST", "/api/shows/1/held", version, body, &got); err != nil {
		t.Fatal(err)
	}
	return got
}
