package main

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"syscall"
	"time"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/fenmoor"
	"sallyport/internal/store"
	"sallyport/internal/web"
	"sallyport/ui"
)

var serveCommand = command{
	name: "serve",
	help: "Open the planning table in a browser, and keep shows safe.",
	args: func() arguments { return &serveArgs{} },
}

// usualAddress is where the table is served unless told otherwise.
const usualAddress = "127.0.0.1:8080"

type serveArgs struct {
	databaseFlags

	Addr    string        `help:"Where to serve; the usual is 127.0.0.1:8080, or the next port that is free." placeholder:"HOST:PORT"`
	LAN     bool          `name:"lan" help:"Serve to the local network too: accounts or join links are needed then."`
	Open    *bool         `negatable:"" help:"Open the browser. Without it: when there is a display."`
	Demo    bool          `help:"Make the demonstration show, with its plan, when it is not there yet."`
	Backups string        `help:"The folder for backups. Without it: beside the file." placeholder:"FOLDER"`
	Every   time.Duration `help:"How often a backup is made, besides at the start; 0: only then." default:"6h"`
	Keep    int           `help:"How many of the newest backups are kept, besides the newest of each of the last 14 days that have one." default:"14"`
	TLSCert string        `name:"tls-cert" help:"A certificate of your own, with --tls-key." placeholder:"FILE"`
	TLSKey  string        `name:"tls-key" help:"The key of the certificate." placeholder:"FILE"`
	TLS     string        `name:"tls" help:"self: a certificate made on this machine, of which browsers warn once." enum:",self" default:""`
	Plain   bool          `help:"Serve to a network without a certificate: everybody there can read along."`
	Names   []string      `help:"Names by which others call this machine, besides its addresses, separated by commas." placeholder:"NAMES"`
	Planner bool          `help:"Print a code with which a planner's account can be made once, although there are accounts."`
	Log     string        `help:"Log every request to standard error, as text or json. Without it only what goes wrong is said." enum:",text,json" default:""`
}

func (a *serveArgs) Help() string {
	return `Shows the address to open and serves until Ctrl-C; then long work is stopped and
keeps the best it has. Every edit is on the disk before it is acknowledged. A
backup is made at the start and every six hours.

On this machine alone no password is needed. With --lan others on the local
network can look and help: a planner makes an account or a join link for each.

Examples:

  sallyport serve
  sallyport serve --demo
  sallyport serve --db /srv/show/sallyport.db --addr 127.0.0.1:9000 --no-open
  sallyport serve --lan --tls self`
}

func (a *serveArgs) Run(c *console) error {
	if err := a.check(); err != nil {
		return err
	}
	path, err := a.path()
	if err != nil {
		return err
	}
	kept, err := store.Open(c.ctx, path, store.Options{Now: time.Now})
	if err != nil {
		return err
	}
	return errors.Join(a.serve(c, kept, path), kept.Close())
}

func (a *serveArgs) check() error {
	if a.Every < 0 || a.Every > 0 && a.Every < time.Minute {
		return sallyport.Errorf(sallyport.CodeInput, "give a minute or more, or 0", "--every %s is too often for backups", a.Every)
	}
	if a.Keep < 1 {
		return sallyport.Errorf(sallyport.CodeInput, "give 1 or more", "--keep %d keeps no backup", a.Keep)
	}
	if a.LAN && a.Addr != "" {
		return sallyport.Errorf(sallyport.CodeInput, "give one of them", "--lan and --addr both say where to serve")
	}
	return nil
}

// serve serves the shows in a store until the user stops it.
func (a *serveArgs) serve(c *console, kept *store.Store, path string) error {
	log := a.logger(c.stderr)
	backups := a.Backups
	if backups == "" {
		backups = filepath.Join(filepath.Dir(path), "backups")
	}
	if err := backUp(c.ctx, kept, backups, a.Keep); err != nil {
		c.tell("No backup was made: %s", err)
	}
	page := ""
	if a.Demo {
		demo, err := a.makeDemo(c, kept)
		if err != nil {
			return err
		}
		page = fmt.Sprintf("/#/%d/park", demo)
	}
	l, err := a.listen(c.ctx)
	if err != nil {
		return err
	}
	s, covered, err := a.server(c, kept, filepath.Dir(path), l.Addr(), log)
	if err != nil {
		return errors.Join(err, l.Close())
	}
	if covered.TLS != nil {
		l = tls.NewListener(l, covered.TLS)
	}
	addresses := web.Addresses(scheme(covered), l.Addr())
	c.tell("The planning table is at %s", addresses[0])
	if page != "" {
		c.tell("  with the demonstration show: %s", addresses[0]+page)
	}
	for _, other := range addresses[1:] {
		c.tell("  for others on the local network: %s", other)
	}
	c.tell("Shows are kept in %s, backups in %s. Ctrl-C stops the server.", path, backups)
	if a.opens() {
		if err := openBrowser(addresses[0] + page); err != nil {
			c.tell("The browser could not be opened (%s): open the address by hand.", err)
		}
	}
	ctx, cancel := context.WithCancel(c.ctx)
	defer cancel()
	go a.keepBackingUp(ctx, kept, backups, log)
	if err := web.Serve(ctx, l, s); err != nil {
		return sallyport.Errorf(sallyport.CodeInternal, "start it again; what was acknowledged is kept", "the server ended: %s", err)
	}
	c.answer.Summary = []string{"Stopped. Everything that was acknowledged is kept."}
	c.answer.Result = map[string]any{"addresses": addresses, "database": path}
	return nil
}

// scheme is how the addresses of a server begin.
func scheme(c web.Covering) string {
	if c.TLS != nil {
		return "https"
	}
	return "http"
}

// server returns the server, and how it is covered. Codes and warnings are
// said at once.
func (a *serveArgs) server(c *console, kept *store.Store, folder string, at net.Addr, log *slog.Logger) (*web.Server, web.Covering, error) {
	screens, err := ui.Screens()
	if err != nil {
		return nil, web.Covering{}, err
	}
	names := slices.Concat(a.Names, web.OwnNames())
	cover := web.Cover{Cert: a.TLSCert, Key: a.TLSKey, Self: a.TLS == "self", Plain: a.Plain, Folder: folder}
	covered, err := cover.For(web.OnlyHere(at), web.IPs(at), names, time.Now())
	if err != nil {
		return nil, covered, err
	}
	who, err := web.NewWho(c.ctx, web.WhoOptions{
		Store: kept, Now: time.Now, Log: log, Rand: rand.Reader, Loopback: web.OnlyHere(at), NewPlanner: a.Planner,
		Secure: covered.TLS != nil, Lasting: covered.Lasting, Names: names,
		Addresses: func() []string { return web.Addresses(scheme(covered), at) },
	})
	if err != nil {
		return nil, covered, err
	}
	for _, line := range covered.Says {
		c.tell("%s", line)
	}
	if code := who.FirstCode(); code != "" {
		c.tell("A planner's account can be made once with this code: %s", code)
	}
	s, err := web.New(web.Options{
		Store: kept, Who: who, Now: time.Now, Log: log, Version: version(), Screens: screens, Demo: fenmoor.Show,
		Workers: max(1, runtime.NumCPU()-1), // one is left to answer with
	})
	return s, covered, err
}

// tell says something at once, to people.
func (c *console) tell(format string, args ...any) {
	// Standard error is only for people: when it cannot be written the work goes on.
	_, _ = fmt.Fprintln(c.stderr, wrap(fmt.Sprintf(format, args...)))
}

// logger returns where the server logs to.
func (a *serveArgs) logger(w io.Writer) *slog.Logger {
	switch a.Log {
	case "json":
		return slog.New(slog.NewJSONHandler(w, nil))
	case "text":
		return slog.New(slog.NewTextHandler(w, nil))
	}
	return slog.New(slog.NewTextHandler(w, &slog.HandlerOptions{Level: slog.LevelWarn}))
}

// listen takes the address asked for, or the usual one with the next port that
// is free.
func (a *serveArgs) listen(ctx context.Context) (net.Listener, error) {
	var config net.ListenConfig
	if a.Addr != "" {
		l, err := config.Listen(ctx, "tcp", a.Addr)
		if err != nil {
			return nil, taken(a.Addr, err)
		}
		return l, nil
	}
	host, text, err := net.SplitHostPort(usualAddress)
	if err != nil {
		return nil, err
	}
	if a.LAN {
		host = ""
	}
	port, err := strconv.Atoi(text)
	if err != nil {
		return nil, err
	}
	for try := port; ; try++ {
		l, err := config.Listen(ctx, "tcp", net.JoinHostPort(host, strconv.Itoa(try)))
		if err == nil {
			return l, nil
		}
		if !errors.Is(err, syscall.EADDRINUSE) || try == port+20 {
			return nil, taken(net.JoinHostPort(host, strconv.Itoa(try)), err)
		}
	}
}

// taken says why an address cannot be served at.
func taken(addr string, err error) error {
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return sallyport.Errorf(sallyport.CodeInput, "another program serves there, perhaps Sallyport itself: open http://"+addr+" to see, stop it, or give another --addr", "%s is taken", addr)
	case errors.Is(err, syscall.EACCES):
		return sallyport.Errorf(sallyport.CodeInput, "give a port from 1024 on", "you may not serve at %s", addr)
	}
	return sallyport.Errorf(sallyport.CodeInput, "give an address of this machine and a port, like 127.0.0.1:8080", "%s cannot be served at (%s)", addr, err)
}

// backUp makes a backup and removes the oldest.
func backUp(ctx context.Context, kept *store.Store, folder string, keep int) error {
	if _, err := kept.BackupInto(ctx, folder); err != nil {
		return err
	}
	_, err := store.KeepBackups(folder, keep)
	return err
}

// keepBackingUp makes a backup now and then.
func (a *serveArgs) keepBackingUp(ctx context.Context, kept *store.Store, folder string, log *slog.Logger) {
	if a.Every == 0 {
		return
	}
	tick := time.NewTicker(a.Every)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			if err := backUp(ctx, kept, folder, a.Keep); err != nil && ctx.Err() == nil {
				log.Error("no backup was made", "error", err)
			}
		}
	}
}

// makeDemo makes and plans the demonstration show when there is none.
func (a *serveArgs) makeDemo(c *console, kept *store.Store) (store.ShowID, error) {
	given := fenmoor.Show()
	list, err := kept.Shows(c.ctx, true)
	if err != nil {
		return 0, err
	}
	for _, x := range list {
		if x.Name == given.Name {
			return x.ID, nil
		}
	}
	show, _, err := desk.Prepare(given, nil)
	if err != nil {
		return 0, err
	}
	c.tell("Planning the demonstration show …")
	opt := desk.PlanOptions{Seed: 1, Now: time.Now}
	bar, report := c.planning(opt)
	x, err := desk.Plan(c.ctx, show, opt, report)
	bar.end()
	if err != nil {
		return 0, err
	}
	desk.KeepBound(x)
	made, err := kept.Create(c.ctx, "", store.Content{Show: given, Plan: x.Plan}, "demo")
	return made.ID, err
}

// opens reports whether the browser is to be opened.
func (a *serveArgs) opens() bool {
	if a.Open != nil {
		return *a.Open
	}
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		return true
	}
	return os.Getenv("DISPLAY") != "" || os.Getenv("WAYLAND_DISPLAY") != ""
}

// openBrowser opens an address in the user's browser.
func openBrowser(address string) error {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	}
	cmd := exec.Command(name, args...)
	if err := cmd.Start(); err != nil {
		return err
	}
	go func() { _ = cmd.Wait() }() // what becomes of the browser is its own business
	return nil
}
