package web

import (
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"io"
	"log"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestCover checks what is asked for of who serves where.
func TestCover(t *testing.T) {
	folder := t.TempDir()
	at := time.Date(2027, 6, 24, 6, 0, 0, 0, time.UTC)
	text, err := newCertificate(nil, []string{"park.example"}, at)
	if err != nil {
		t.Fatal(err)
	}
	own := filepath.Join(folder, "own.pem")
	if err := os.WriteFile(own, text, 0o600); err != nil {
		t.Fatal(err)
	}
	for name, tt := range map[string]struct {
		Cover
		loopback bool
		wrong    string // part of the error; "": none
		tls      bool
		lasting  bool
		says     string
	}{
		"alone":                {Cover{}, true, "", false, false, ""},
		"alone, plain":         {Cover{Plain: true}, true, "", false, false, ""},
		"alone, own":           {Cover{Cert: own, Key: own}, true, "", true, true, ""},
		"network":              {Cover{}, false, "--tls self", false, false, ""},
		"network, plain":       {Cover{Plain: true}, false, "", false, false, "Warning"},
		"network, self":        {Cover{Self: true}, false, "", true, false, "fingerprint"},
		"network, own":         {Cover{Cert: own, Key: own}, false, "", true, true, ""},
		"no key":               {Cover{Cert: own}, false, "only one is given", false, false, ""},
		"no certificate":       {Cover{Key: own}, false, "only one is given", false, false, ""},
		"own and self":         {Cover{Cert: own, Key: own, Self: true}, false, "give one of them", false, false, ""},
		"plain and self":       {Cover{Plain: true, Self: true}, false, "--plain", false, false, ""},
		"no such file":         {Cover{Cert: own + "x", Key: own}, false, own + "x", false, false, ""},
		"alone, no such files": {Cover{Cert: "a.pem", Key: "b.pem"}, true, "a.pem", false, false, ""},
	} {
		t.Run(name, func(t *testing.T) {
			tt.Folder = t.TempDir()
			got, err := tt.For(tt.loopback, nil, nil, at)
			if tt.wrong != "" {
				if err == nil || !strings.Contains(err.Error(), tt.wrong) {
					t.Errorf("error %v, want one about %s", err, tt.wrong)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			says := strings.Join(got.Says, " ")
			if (got.TLS != nil) != tt.tls || got.Lasting != tt.lasting || !strings.Contains(says, tt.says) || tt.says == "" && says != "" {
				t.Errorf("got TLS %v, lasting %v, says %q", got.TLS != nil, got.Lasting, says)
			}
		})
	}
}

// TestSelfCertificate checks when a certificate that is kept is used again.
func TestSelfCertificate(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "data")
	at := time.Date(2027, 6, 24, 6, 0, 0, 0, time.UTC)
	home, away := net.ParseIP("192.168.4.2"), net.ParseIP("10.0.0.2")
	shown := func(at time.Time, names []string, addresses ...net.IP) string {
		t.Helper()
		got, err := Cover{Self: true, Folder: folder}.For(false, addresses, names, at)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(got.Says[0], got.Fingerprint) || len(got.Fingerprint) != 32*3-1 {
			t.Errorf("says %q, fingerprint %q", got.Says, got.Fingerprint)
		}
		return got.Fingerprint
	}
	first := shown(at, []string{"cabin.local"}, home)
	path := filepath.Join(folder, "certificate-of-this-machine.pem")
	info, err := os.Stat(path)
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Fatalf("%v, %v", info, err)
	}
	if again := shown(at.AddDate(0, 6, 0), []string{"cabin.local"}, home); again != first {
		t.Error("half a year later another was made")
	}
	if fewer := shown(at, nil); fewer != first {
		t.Error("with fewer addresses another was made")
	}
	moved := shown(at, []string{"cabin.local"}, home, away)
	if moved == first {
		t.Error("at a new address the old one was used")
	}
	if named := shown(at, []string{"gate.local"}, home, away); named == moved {
		t.Error("with a new name the old one was used")
	}
	old := shown(at, nil, home)
	if late := shown(at.Add(selfGood-selfRenew), nil, home); late == old {
		t.Error("near its end it was used")
	}
	if err := os.WriteFile(path, []byte("mud"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := (Cover{Self: true, Folder: folder}).For(false, nil, nil, at); err == nil || !strings.Contains(err.Error(), path) {
		t.Errorf("a damaged one: %v", err)
	}
}

// TestHandshake serves over TLS to a browser that knows the certificate, and
// to none that does not.
func TestHandshake(t *testing.T) {
	covered, err := Cover{Self: true, Folder: t.TempDir()}.For(false, nil, nil, time.Now())
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	x := newWhoTable(t, func(o *WhoOptions) { o.Secure = true })
	h := &http.Server{Handler: x, ReadHeaderTimeout: time.Second, ErrorLog: log.New(io.Discard, "", 0)}
	go h.Serve(tls.NewListener(l, covered.TLS)) //nolint:errcheck // ends with Close
	t.Cleanup(func() {
		if err := h.Close(); err != nil {
			t.Error(err)
		}
	})
	leaf, err := x509.ParseCertificate(covered.TLS.Certificates[0].Certificate[0])
	if err != nil {
		t.Fatal(err)
	}
	pool := x509.NewCertPool()
	pool.AppendCertsFromPEM(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: leaf.Raw}))
	client := &http.Client{Transport: &http.Transport{ForceAttemptHTTP2: true, TLSClientConfig: &tls.Config{RootCAs: pool}}}
	r, err := client.Get("https://" + l.Addr().String() + "/health")
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	if r.StatusCode != 200 || r.ProtoMajor != 2 {
		t.Errorf("status %d over HTTP/%d", r.StatusCode, r.ProtoMajor)
	}
	if _, err := new(http.Client).Get("https://" + l.Addr().String() + "/health"); err == nil {
		t.Error("who does not know the certificate is served")
	}
	old := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool, MaxVersion: tls.VersionTLS11, MinVersion: tls.VersionTLS10}}}
	if _, err := old.Get("https://" + l.Addr().String() + "/health"); err == nil {
		t.Error("TLS 1.1 is served")
	}
}

// TestOwn checks what this machine is called.
func TestOwn(t *testing.T) {
	for _, n := range OwnNames() {
		if n != strings.ToLower(n) || n == "localhost" {
			t.Errorf("name %q", n)
		}
	}
}
