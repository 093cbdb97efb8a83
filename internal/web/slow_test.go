package web

import (
	"context"
	"io"
	"net"
	"strings"
	"testing"
	"time"
)

// TestSlowClients: who sends a header or a body too slowly is cut off, who
// sends too long a header is refused, and others are served all the while.
func TestSlowClients(t *testing.T) {
	t.Parallel()
	b := serving(t)
	h := b.s.limits()
	if h.ReadHeaderTimeout <= 0 || h.ReadTimeout <= 0 || h.WriteTimeout <= 0 || h.IdleTimeout <= 0 {
		t.Fatalf("no limits: %+v", h)
	}
	h.ReadHeaderTimeout, h.ReadTimeout, h.IdleTimeout = 200*time.Millisecond, 400*time.Millisecond, 200*time.Millisecond
	l := must(net.Listen("tcp", "127.0.0.1:0"))(t)
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- b.s.serve(ctx, l, h) }()
	send := func(text string) string {
		c := must(net.Dial("tcp", l.Addr().String()))(t)
		defer c.Close()
		if _, err := io.WriteString(c, text); err != nil {
			t.Fatal(err)
		}
		if err := c.SetReadDeadline(time.Now().Add(15 * time.Second)); err != nil {
			t.Fatal(err)
		}
		answer, err := io.ReadAll(c) // until the server hangs up
		if err != nil && strings.Contains(err.Error(), "timeout") {
			t.Errorf("not cut off after %.40q", text)
		}
		return string(answer)
	}
	send("GET /health HTTP/1.1\r\nHost: localhost\r\nX-Slow")
	if a := send("POST /api/shows HTTP/1.1\r\nHost: localhost\r\nContent-Length: 1000\r\n\r\n{"); strings.Contains(a, " 201 ") {
		t.Errorf("half a body was taken: %s", a)
	}
	if a := send("GET /health HTTP/1.1\r\nHost: localhost\r\nX-Long: " + strings.Repeat("x", 2*maxHeader) + "\r\n\r\n"); !strings.Contains(a, " 431 ") {
		t.Errorf("too long a header: %.60s", a)
	}
	if a := send("GET /health HTTP/1.1\r\nHost: localhost\r\n\r\n"); !strings.Contains(a, " 200 ") {
		t.Errorf("others are served %.60s", a)
	}
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}

// TestStopsForSlowClients: who is still sending when the server is stopped does
// not hold it up for long, and it ends in order.
func TestStopsForSlowClients(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("takes as long as requests have at the end")
	}
	b := serving(t)
	c := must(net.Dial("tcp", strings.TrimPrefix(b.url, "http://")))(t)
	defer c.Close()
	must(io.WriteString(c, "POST /api/shows HTTP/1.1\r\nHost: localhost\r\nContent-Length: 1000\r\n\r\n{"))(t)
	b.ask("GET", "/health", nil)
	began := time.Now()
	if err := b.stop(); err != nil {
		t.Error(err)
	}
	if d := time.Since(began); d > stopTime {
		t.Errorf("it took %s", d)
	}
}
