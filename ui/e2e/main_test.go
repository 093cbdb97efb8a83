// Package e2e tests the planning table as people use it: the real program, its
// real screens, a real browser.
package e2e

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// required makes a test fail, rather than be skipped, where something is
// missing.
const required = "SALLYPORT_BROWSER_REQUIRED"

// patience is how long a condition may take to come true.
const patience = 60 * time.Second

// bench is what all tests share: the program, a database with the planned
// demonstration show, and one browser. It is made when a test first needs it.
var bench struct {
	sync.Once
	missing error // what this machine lacks
	wrong   error // what went wrong
	folder  string
	program string
	demo    string // a database
	browser context.Context
	closing []func()
}

func TestMain(m *testing.M) {
	code := m.Run()
	for i := len(bench.closing) - 1; i >= 0; i-- {
		bench.closing[i]()
	}
	os.Exit(code)
}

// ready makes the bench, or skips the test where this machine cannot.
func ready(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("starts the program and a browser")
	}
	bench.Do(func() { bench.missing, bench.wrong = setUp() })
	switch {
	case bench.wrong != nil:
		t.Fatal(bench.wrong)
	case bench.missing != nil && os.Getenv(required) != "":
		t.Fatalf("%s, and %s is set", bench.missing, required)
	case bench.missing != nil:
		t.Skip(bench.missing)
	}
}

func setUp() (missing, wrong error) {
	if _, err := os.Stat(filepath.Join("..", "dist", "index.html")); errors.Is(err, fs.ErrNotExist) {
		return errors.New("the screens are not built: make ui builds them"), nil
	}
	var chromium string
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			chromium = path
			break
		}
	}
	if chromium == "" {
		return errors.New("no Chromium found: install one to test the screens in a real browser"), nil
	}
	folder, err := os.MkdirTemp("", "sallyport-e2e-")
	if err != nil {
		return nil, err
	}
	bench.folder = folder
	bench.closing = append(bench.closing, func() {
		if err := os.RemoveAll(folder); err != nil {
			fmt.Fprintln(os.Stderr, err)
		}
	})
	bench.program = filepath.Join(folder, "sallyport")
	if out, err := exec.Command("go", "build", "-o", bench.program, "../../cmd/sallyport").CombinedOutput(); err != nil {
		return nil, fmt.Errorf("building the program: %w\n%s", err, out)
	}
	if err := openBrowser(chromium); err != nil {
		return nil, err
	}
	return nil, makeDemo()
}

// openBrowser starts the browser and makes the context in which every test opens windows of its own.
func openBrowser(chromium string) error {
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(chromium), chromedp.NoSandbox,
		chromedp.Flag("disable-gpu", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-quic", true))
	allocated, stop := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, end := chromedp.NewContext(allocated)
	bench.browser = ctx
	bench.closing = append(bench.closing, func() { end(); stop() })
	return chromedp.Do(ctx)
}

// makeDemo plans the demonstration show, into a database that tests copy.
func makeDemo() error {
	bench.demo = filepath.Join(bench.folder, "demo.db")
	s, err := launch(bench.demo, "127.0.0.1:0", "--demo")
	if err != nil {
		return err
	}
	return s.stop()
}

// copyFile copies a file that nobody writes to.
func copyFile(to, from string) error {
	content, err := os.ReadFile(from)
	if err != nil {
		return err
	}
	return os.WriteFile(to, content, 0o600)
}
