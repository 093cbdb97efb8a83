package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"sallyport"
)

// TestMain makes the program callable as sallyport from the scripts, as a
// process of its own.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"sallyport": main})
}

// TestScripts runs the program as a person would: each script in
// testdata/script starts in an empty folder that holds the small shows of
// testdata.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:   "testdata/script",
		Setup: copyShows,
		Cmds:  map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "waits": waitsForFile},
	})
}

// copyShows puts the shows of testdata into a script's folder, and a file that
// is not UTF-8.
func copyShows(env *testscript.Env) error {
	shows, err := filepath.Glob("testdata/*.json")
	if err != nil {
		return err
	}
	for _, name := range shows {
		data, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(env.WorkDir, filepath.Base(name)), data, 0o644); err != nil {
			return err
		}
	}
	return os.WriteFile(filepath.Join(env.WorkDir, "latin.csv"), []byte("Vehicle;L\xe4nge\nDunlin;4 m\n"), 0o644)
}

// exits runs a program and checks its exit code: exits 3 sallyport check …
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE PROGRAM ARGUMENTS")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	var failed *exec.ExitError
	switch err := ts.Exec(args[1], args[2:]...); {
	case errors.As(err, &failed):
		got = failed.ExitCode()
	default:
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

// TestEveryCommandIsScripted checks that each command has a script of its
// name.
func TestEveryCommandIsScripted(t *testing.T) {
	for _, c := range commands {
		if _, err := os.Stat(filepath.Join("testdata", "script", c.name+".txtar")); err != nil {
			t.Errorf("command %s has no script: %v", c.name, err)
		}
	}
}

// TestEveryHelpHasAnExample checks that the long help of each command shows
// how it is typed.
func TestEveryHelpHasAnExample(t *testing.T) {
	for _, c := range commands {
		if help := c.args().Help(); !containsLine(help, "  sallyport "+c.name) {
			t.Errorf("the help of %s has no example", c.name)
		}
	}
}

func containsLine(text, begin string) bool {
	for _, line := range strings.Split(text, "\n") {
		if len(line) >= len(begin) && line[:len(begin)] == begin {
			return true
		}
	}
	return false
}

// TestDocsShowRealCommands parses every command line that README, the docs and
// the helps show.
func TestDocsShowRealCommands(t *testing.T) {
	texts := map[string]string{}
	docs, err := filepath.Glob("../../docs/*.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range append(docs, "../../README.md") {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		texts[name] = string(data)
	}
	for _, c := range commands {
		texts["help of "+c.name] = c.args().Help()
	}
	seen := 0
	for name, text := range texts {
		for _, line := range strings.Split(text, "\n") {
			line, _, _ = strings.Cut(strings.TrimPrefix(strings.TrimSpace(line), "bin/"), "  #")
			line, _, _ = strings.Cut(line, " > ")
			rest, ok := strings.CutPrefix(line, "sallyport ")
			if !ok || strings.HasPrefix(rest, "COMMAND") {
				continue
			}
			parser, _, err := newParser(io.Discard, io.Discard, func(int) {})
			if err != nil {
				t.Fatal(err)
			}
			if _, err := parser.Parse(words(rest)); err != nil {
				t.Errorf("%s shows %q: %v", name, line, err)
			}
			seen++
		}
	}
	if seen < 20 {
		t.Errorf("only %d command lines found", seen)
	}
}

// words splits a command line at spaces outside double quotes.
func words(line string) []string {
	var list []string
	for i, part := range strings.Split(line, `"`) {
		if i%2 == 1 {
			list = append(list, part)
			continue
		}
		list = append(list, strings.Fields(part)...)
	}
	return list
}

// TestExitCodes checks that every code of an error has an exit code, no two
// the same.
func TestExitCodes(t *testing.T) {
	seen := map[int]bool{}
	for code, exit := range exitCodes {
		if seen[exit] {
			t.Errorf("exit code %d of %q stands for another code too", exit, code)
		}
		seen[exit] = true
	}
}

// TestInterrupt interrupts a long search in a process of its own: the best
// plan so far comes out, with the exit code that says so.
func TestInterrupt(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	var out bytes.Buffer
	cmd := exec.Command(self)
	cmd.Args = []string{"sallyport", "demo", "--seconds", "100", "--out", dir, "--json"}
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	time.Sleep(1500 * time.Millisecond)
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	asked := time.Now()
	var failed *exec.ExitError
	if err := cmd.Wait(); !errors.As(err, &failed) || failed.ExitCode() != 4 {
		t.Fatalf("exit: %v, want code 4\n%s", err, out.String())
	}
	if d := time.Since(asked); d > 20*time.Second {
		t.Errorf("it took %s to stop", d)
	}
	var got struct {
		Result struct {
			Plan sallyport.Plan `json:"plan"`
		} `json:"result"`
	}
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatalf("%v\n%s", err, out.String())
	}
	if len(got.Result.Plan.Moves) == 0 {
		t.Error("the plan so far has no moves")
	}
	if _, err := os.Stat(filepath.Join(dir, "plan.html")); err != nil {
		t.Errorf("the plan so far is not written: %v", err)
	}
}

// TestPipe checks that a broken pipe is reported, not lost.
func TestPipe(t *testing.T) {
	if got := run(context.Background(), []string{"version"}, brokenPipe{}, brokenPipe{}); got != 1 {
		t.Errorf("exit code %d when the answer cannot be written, want 1", got)
	}
}

type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, errors.New("broken pipe") }
