package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"
)

// crowd are the people at one server, and how long each answer took them.
type crowd struct {
	base string
	http *http.Client
	mu   sync.Mutex
	took map[string][]time.Duration // by what was asked for
	fail map[string]int             // by what went wrong
	late map[string]int             // refused edits of a version that was no longer the newest: no error
}

func newCrowd(base string) *crowd {
	t := &http.Transport{MaxIdleConnsPerHost: 200, DisableCompression: true}
	return &crowd{base: base, http: &http.Client{Transport: t}, took: map[string][]time.Duration{}, fail: map[string]int{}, late: map[string]int{}}
}

// ask sends one request and reads its whole answer.
func (c *crowd) ask(ctx context.Context, what, method, path, match string, body any) (int, []byte) {
	var in io.Reader
	if body != nil {
		text, err := json.Marshal(body)
		if err != nil {
			panic(err) // a map of texts
		}
		in = bytes.NewReader(text)
	}
	r, err := http.NewRequestWithContext(ctx, method, c.base+path, in)
	if err != nil {
		panic(err) // a path of ours
	}
	r.Header.Set("Content-Type", "application/json")
	if method == "GET" {
		r.Header.Set("Accept-Encoding", "gzip")
		r.Header.Set("If-None-Match", match)
	} else {
		r.Header.Set("If-Match", match)
	}
	began := time.Now()
	answer, err := c.http.Do(r)
	if err != nil {
		c.failed(ctx, what, err.Error())
		return 0, nil
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		c.failed(ctx, what, err.Error())
		return 0, nil
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.took[what] = append(c.took[what], time.Since(began))
	switch s := answer.StatusCode; {
	case s == http.StatusPreconditionFailed:
		c.late[what]++
	case s >= 400:
		c.fail[fmt.Sprintf("%s: %d %s", what, s, text)]++
	}
	return answer.StatusCode, text
}

// failed counts an error, unless it is only the end.
func (c *crowd) failed(ctx context.Context, what, why string) {
	if ctx.Err() != nil {
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.fail[what+": "+why]++
}

// read is one reader: listens, and fetches the table anew with each change.
func (c *crowd) read(ctx context.Context, n int) {
	c.ask(ctx, "table", "GET", "/table", "", nil)
	r, err := http.NewRequestWithContext(ctx, "GET", c.base+"/events", nil)
	if err != nil {
		panic(err) // a path of ours
	}
	answer, err := c.http.Do(r)
	if err != nil {
		c.failed(ctx, "events", err.Error())
		return
	}
	defer answer.Body.Close()
	lines := bufio.NewScanner(answer.Body)
	heard := 0
	for lines.Scan() {
		if lines.Text() != "event: draft" {
			continue
		}
		c.ask(ctx, "table", "GET", "/table", "", nil)
		if heard++; (heard+n)%10 == 0 {
			c.ask(ctx, "picture", "GET", "/picture.svg?at=D3+10:00", "", nil)
		}
	}
	c.failed(ctx, "events", "the stream ended")
}

// table is what an editor needs of the table.
type table struct {
	Version int64 `json:"version"`
	Show    struct {
		Park struct {
			Lanes []struct {
				ID string `json:"id"`
			} `json:"lanes"`
		} `json:"park"`
	} `json:"show"`
	Stays []struct {
		Unit  string `json:"unit"`
		After string `json:"after"`
		Lane  string `json:"lane"`
	} `json:"stays"`
}

// edit is one editor: holds a vehicle over three lanes, puts it into one, and
// takes that back in every second case.
func (c *crowd) edit(ctx context.Context, seed uint64, pause time.Duration) {
	random := rand.New(rand.NewPCG(seed, 0))
	for ctx.Err() == nil {
		select {
		case <-ctx.Done():
			return
		case <-time.After(pause/2 + time.Duration(random.Int64N(int64(pause)))):
		}
		var t table
		text := c.fresh(ctx)
		if json.Unmarshal(text, &t) != nil || len(t.Stays) == 0 {
			c.failed(ctx, "table", "an editor got no table")
			continue
		}
		stay := t.Stays[random.IntN(len(t.Stays))]
		version := fmt.Sprintf("%q", fmt.Sprint(t.Version))
		lane := ""
		for range 3 {
			lane = t.Show.Park.Lanes[random.IntN(len(t.Show.Park.Lanes))].ID
			c.ask(ctx, "held", "POST", "/held", version, map[string]any{"unit": stay.Unit, "after": stay.After, "lane": lane})
		}
		status, _ := c.ask(ctx, "place", "POST", "/place", version, map[string]any{"unit": stay.Unit, "after": stay.After, "lane": lane})
		if status == http.StatusOK && random.IntN(2) == 0 {
			c.ask(ctx, "undo", "POST", "/undo", fmt.Sprintf("%q", fmt.Sprint(t.Version+1)), nil)
		}
	}
}

// fresh fetches the table uncompressed.
func (c *crowd) fresh(ctx context.Context) []byte {
	r, err := http.NewRequestWithContext(ctx, "GET", c.base+"/table", nil)
	if err != nil {
		panic(err) // a path of ours
	}
	answer, err := c.http.Do(r)
	if err != nil {
		c.failed(ctx, "table", err.Error())
		return nil
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		c.failed(ctx, "table", err.Error())
	}
	return text
}

// report prints a table in Markdown.
func (c *crowd) report(readers, editors int, length time.Duration) {
	fmt.Printf("%d readers and %d editors for %s:\n\n| asked for | answers | p50 ms | p99 ms | longest ms |\n|---|---|---|---|---|\n", readers, editors, length)
	var all []time.Duration
	var names []string
	for name, list := range c.took {
		names, all = append(names, name), append(all, list...)
	}
	slices.Sort(names)
	for _, name := range names {
		line(name, c.took[name])
	}
	line("all", all)
	late, errors := 0, 0
	var says []string
	for _, n := range c.late {
		late += n
	}
	for what, n := range c.fail {
		errors += n
		says = append(says, fmt.Sprintf("%d × %s", n, what))
	}
	slices.Sort(says)
	fmt.Printf("\nErrors: %d. Edits refused because somebody else was quicker: %d.\n%s\n", errors, late, strings.Join(says, "\n"))
}

func line(name string, list []time.Duration) {
	if len(list) == 0 {
		return
	}
	slices.Sort(list)
	at := func(percent int) int64 { return list[min(len(list)-1, len(list)*percent/100)].Milliseconds() }
	fmt.Printf("| %s | %d | %d | %d | %d |\n", name, len(list), at(50), at(99), list[len(list)-1].Milliseconds())
}
