// Command load answers how the planning table's server bears many people: so
// many readers and editors at one show over HTTP on this machine, each as a
// browser does it. Readers listen to the stream of events and fetch the table
// whenever the draft changes; editors put vehicles elsewhere and take them back.
package main

import (
	"context"
	"crypto/rand"
	"flag"
	"fmt"
	"log/slog"
	"net"
	"os"
	"os/signal"
	"path/filepath"
	"runtime/pprof"
	"sync"
	"time"

	"sallyport/internal/desk"
	"sallyport/internal/fenmoor"
	"sallyport/internal/store"
	"sallyport/internal/web"
)

func main() {
	readers := flag.Int("readers", 50, "people who look")
	editors := flag.Int("editors", 5, "people who edit")
	minutes := flag.Float64("minutes", 5, "how long")
	pause := flag.Duration("pause", 4*time.Second, "between two edits of one editor, about")
	seed := flag.Uint64("seed", 1, "of the choices")
	profile := flag.String("profile", "", "file for a profile of the processor's time")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if *profile != "" {
		f, err := os.Create(*profile)
		if err == nil {
			err = pprof.StartCPUProfile(f)
		}
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		defer pprof.StopCPUProfile()
	}
	if err := run(ctx, *readers, *editors, time.Duration(*minutes*float64(time.Minute)), *pause, *seed); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// run serves the demonstration show and lets people at it.
func run(ctx context.Context, readers, editors int, length, pause time.Duration, seed uint64) error {
	folder, err := os.MkdirTemp("", "sallyport-load-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	kept, err := store.Open(ctx, filepath.Join(folder, "load.db"), store.Options{Now: time.Now})
	if err != nil {
		return err
	}
	defer kept.Close()
	show, err := demo(ctx, kept)
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	s, err := server(ctx, kept)
	if err != nil {
		return err
	}
	serving, stop := context.WithCancel(ctx)
	ended := make(chan error, 1)
	go func() { ended <- web.Serve(serving, l, s) }()
	c := newCrowd(fmt.Sprintf("http://%s/api/shows/%d", l.Addr(), show))
	people, done := context.WithTimeout(ctx, length)
	var all sync.WaitGroup
	for i := range readers {
		all.Go(func() { c.read(people, i) })
	}
	for i := range editors {
		all.Go(func() { c.edit(people, seed+uint64(i), pause) })
	}
	all.Wait()
	done()
	c.report(readers, editors, length)
	stop()
	return <-ended
}

// server returns a server as sallyport serve makes it on this machine.
func server(ctx context.Context, kept *store.Store) (*web.Server, error) {
	log := slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
	who, err := web.NewWho(ctx, web.WhoOptions{Store: kept, Now: time.Now, Log: log, Rand: rand.Reader, Loopback: true})
	if err != nil {
		return nil, err
	}
	return web.New(web.Options{Store: kept, Who: who, Now: time.Now, Log: log, Version: "load", Demo: fenmoor.Show})
}

// demo keeps the demonstration show with its plan.
func demo(ctx context.Context, kept *store.Store) (store.ShowID, error) {
	given := fenmoor.Show()
	show, _, err := desk.Prepare(given, nil)
	if err != nil {
		return 0, err
	}
	a, err := desk.Plan(ctx, show, desk.PlanOptions{Seed: 1}, nil)
	if err != nil {
		return 0, err
	}
	made, err := kept.Create(ctx, "", store.Content{Show: given, Plan: a.Plan}, "load")
	return made.ID, err
}
