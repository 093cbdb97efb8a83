package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// browser returns a context with a real browser in it. Without one the test
// is skipped, or fails where SALLYPORT_BROWSER_REQUIRED is set.
func browser(t *testing.T) context.Context {
	t.Helper()
	var path string
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		if os.Getenv("SALLYPORT_BROWSER_REQUIRED") != "" {
			t.Fatal("no Chromium found, and SALLYPORT_BROWSER_REQUIRED is set")
		}
		t.Skip("no Chromium found: install one to test the page in a real browser")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.Flag("disable-gpu", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-quic", true))
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewExecAllocator(ctx, options...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	return ctx
}

// demoFolder plans the demonstration show quickly and returns its folder.
func demoFolder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	var errors bytes.Buffer
	exit := run(t.Context(), []string{"demo", "--out", dir, "--steps", "400000"}, io.Discard, &errors)
	if exit != 0 && exit != exitCodes["not workable"] {
		t.Fatalf("sallyport demo: exit code %d\n%s", exit, errors.String())
	}
	return dir
}

func fileURL(path string) string { return (&url.URL{Scheme: "file", Path: path}).String() }

// complaints collects what a page writes to the console as an error.
type complaints struct {
	mu   sync.Mutex
	list []string
}

func (c *complaints) add(event any) {
	c.mu.Lock()
	defer c.mu.Unlock()
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		c.list = append(c.list, fmt.Sprintf("exception: %s", e.ExceptionDetails.Text))
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError || e.Entry.Level == log.EntryLevelWarning {
			c.list = append(c.list, e.Entry.Text)
		}
	case *runtime.EventConsoleAPICalled:
		c.list = append(c.list, fmt.Sprintf("console %s", e.Type))
	}
}

func (c *complaints) all() string {
	c.mu.Lock()
	defer c.mu.Unlock()
	return strings.Join(c.list, "\n")
}

// seen is what a script in the page measures.
type seen struct {
	Width     int      `json:"width"`     // of the contents
	Room      int      `json:"room"`      // of the window
	TooWide   []string `json:"too_wide"`  // elements that stick out of it
	Headings  []string `json:"headings"`  // first and second level
	Fetched   []string `json:"fetched"`   // from anywhere
	Ground    string   `json:"ground"`    // colour of the page
	Ink       string   `json:"ink"`       // colour of its text
	Pictures  int      `json:"pictures"`  // svg elements
	SmallType int      `json:"smallType"` // text elements under 11 px
}

const measure = `(() => {
  const room = document.documentElement.clientWidth, style = getComputedStyle(document.body);
  const text = [...document.querySelectorAll('p, li, td, th, h1, h2, h3')];
  return {
    width: document.documentElement.scrollWidth, room,
    too_wide: [...document.querySelectorAll('h1, h2, h3, p, li')].filter(e => e.getBoundingClientRect().right > room + 1).slice(0, 5).map(e => e.tagName + ': ' + e.textContent.trim().slice(0, 60)),
    headings: [...document.querySelectorAll('h1, h2')].map(e => e.textContent.trim()),
    fetched: performance.getEntriesByType('resource').map(e => e.name),
    ground: style.backgroundColor, ink: style.color,
    pictures: document.querySelectorAll('svg').length,
    smallType: text.filter(e => e.textContent.trim() && parseFloat(getComputedStyle(e).fontSize) < 11).length,
  };
})()`

// narrowCells lists what stands in cells that hold less than a long name
// beside each other on A4, whose margins leave 184 mm.
const narrowCells = `(() => {
	document.body.style.width = "184mm";
	return [...document.querySelectorAll(".moves td.wait, .moves td.how, .moves td.by, .moves td.who")]
		.filter(c => c.textContent.trim() && c.getBoundingClientRect().width < 52).map(c => c.textContent.trim());
})()`

// TestPageInBrowser opens the demonstration's page as a desk and as a phone
// see it, light and dark, and prints it.
func TestPageInBrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("plans the whole demonstration show and starts a browser")
	}
	ctx := browser(t)
	file := fileURL(filepath.Join(demoFolder(t), "plan.html"))
	var heard complaints
	if err := chromedp.Listen(ctx, heard.add); err != nil {
		t.Fatal(err)
	}
	grounds := map[string]string{}
	for _, size := range []struct{ width, height int64 }{{1366, 768}, {390, 844}} {
		for _, scheme := range []string{"light", "dark"} {
			t.Run(fmt.Sprintf("%d %s", size.width, scheme), func(t *testing.T) {
				s := look(t, ctx, file, size.width, size.height, scheme)
				grounds[scheme] = s.Ground
				if s.Width > s.Room || len(s.TooWide) > 0 {
					t.Errorf("the page is %d pixels wide in a window of %d: %q", s.Width, s.Room, s.TooWide)
				}
				if len(s.Fetched) > 0 {
					t.Errorf("the page fetches %q; it must stand alone", s.Fetched)
				}
				if s.Ground == s.Ink {
					t.Errorf("ink and ground are both %s", s.Ink)
				}
				if s.Pictures == 0 {
					t.Error("the page has no picture")
				}
				if s.SmallType > 0 {
					t.Errorf("%d pieces of text are smaller than 11 pixels", s.SmallType)
				}
				for _, want := range []string{"Fenmoor Collection, midsummer show", "Not checked", "Assumed"} {
					if !strings.Contains(strings.Join(s.Headings, "\n"), want) {
						t.Errorf("no heading %q among %q", want, s.Headings)
					}
				}
			})
		}
	}
	if grounds["light"] == grounds["dark"] {
		t.Errorf("light and dark have the same ground %s", grounds["light"])
	}
	t.Run("print", func(t *testing.T) {
		if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"}); err != nil {
			t.Fatal(err)
		}
		if err := chromedp.Do(ctx, chromedp.EmulateViewport(794, 1123)); err != nil {
			t.Fatal(err)
		}
		narrow, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](narrowCells))
		if err != nil {
			t.Fatal(err)
		}
		if len(narrow) > 0 {
			t.Errorf("%d cells of lists print too narrow to read, such as %q", len(narrow), narrow[0])
		}
		pdf, err := chromedp.Call(ctx, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: 8.27, PaperHeight: 11.69})
		if err != nil {
			t.Fatal(err)
		}
		if sheets := bytes.Count(pdf.Data, []byte("/Type /Page\n")); sheets < 24 {
			t.Errorf("the page prints on %d sheets, fewer than it has serials", sheets)
		}
	})
	if text := heard.all(); text != "" {
		t.Errorf("the console says:\n%s", text)
	}
}

// look opens a page and measures it.
func look(t *testing.T, ctx context.Context, file string, width, height int64, scheme string) seen {
	t.Helper()
	feature := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}}
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, feature); err != nil {
		t.Fatal(err)
	}
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, height), chromedp.Navigate(file)); err != nil {
		t.Fatal(err)
	}
	s, err := chromedp.Run(ctx, chromedp.Evaluate[seen](measure))
	if err != nil {
		t.Fatal(err)
	}
	return s
}
