package web

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"sallyport"
)

// Cover says how that which goes over a network is kept from others' eyes.
type Cover struct {
	Cert, Key string // files of a certificate of one's own (PEM)
	Self      bool   // a certificate made here, for this machine's addresses
	Plain     bool   // without any, said explicitly
	Folder    string // where a certificate made here is kept
}

// Covering is what became of a Cover.
type Covering struct {
	TLS         *tls.Config // nil: none
	Lasting     bool        // the certificate is one's own
	Fingerprint string      // of a certificate made here, as browsers show it
	Says        []string    // for who starts the server
}

// For returns how a server is covered: one for this machine alone needs
// nothing, one on a network a certificate, or Plain. addresses and names are
// those by which it is called.
func (c Cover) For(loopback bool, addresses []net.IP, names []string, now time.Time) (Covering, error) {
	own := c.Cert != "" || c.Key != ""
	switch {
	case own && (c.Cert == "" || c.Key == ""):
		return Covering{}, sallyport.Errorf(sallyport.CodeInput, "give both --tls-cert and --tls-key", "a certificate and its key belong together, and only one is given")
	case own && c.Self:
		return Covering{}, sallyport.Errorf(sallyport.CodeInput, "give one of them", "--tls-cert gives a certificate and --tls self makes one")
	case c.Plain && (own || c.Self):
		return Covering{}, sallyport.Errorf(sallyport.CodeInput, "leave out --plain", "--plain goes without a certificate, and one is given")
	case own:
		pair, err := tls.LoadX509KeyPair(c.Cert, c.Key)
		if err != nil {
			return Covering{}, sallyport.Errorf(sallyport.CodeInput, "give the files in PEM, the certificate with those it was signed by", "the certificate %s with the key %s cannot be used (%s)", c.Cert, c.Key, err)
		}
		return Covering{TLS: tlsConfig(pair), Lasting: true}, nil
	case c.Self:
		pair, err := selfCertificate(c.Folder, addresses, names, now)
		if err != nil {
			return Covering{}, err
		}
		sum := fingerprint(pair)
		return Covering{TLS: tlsConfig(pair), Fingerprint: sum, Says: []string{
			"The certificate was made on this machine, so browsers warn of it once. Compare before you go on: its SHA-256 fingerprint is " + sum + ".",
		}}, nil
	case loopback:
		return Covering{}, nil
	case c.Plain:
		return Covering{Says: []string{"Warning: without a certificate everybody on the network can read along, passwords too, and take over a session. Use --plain only on a network that is yours alone."}}, nil
	}
	return Covering{}, sallyport.Errorf(sallyport.CodeInput, "add --tls self, or --tls-cert and --tls-key, or say --plain if the network is yours alone", "others on the network could read along without a certificate")
}

func tlsConfig(pair tls.Certificate) *tls.Config {
	return &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12, NextProtos: []string{"h2", "http/1.1"}}
}

// fingerprint returns the SHA-256 of a certificate as browsers show it:
// "4F:0A:…".
func fingerprint(pair tls.Certificate) string {
	sum := sha256.Sum256(pair.Certificate[0])
	return strings.ReplaceAll(fmt.Sprintf("% X", sum), " ", ":")
}

// How long a certificate made here is good, and how long before its end
// another is made: some devices refuse longer ones.
const (
	selfGood  = 397 * 24 * time.Hour
	selfRenew = 14 * 24 * time.Hour
)

// selfCertificate returns the certificate kept in a folder, or makes one when
// there is none, when it has come near its end, or when an address or name is
// new.
func selfCertificate(folder string, addresses []net.IP, names []string, now time.Time) (tls.Certificate, error) {
	path := filepath.Join(folder, "certificate-of-this-machine.pem")
	pair, err := tls.LoadX509KeyPair(path, path)
	switch {
	case err == nil && fitsStill(pair.Leaf, addresses, names, now):
		return pair, nil
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return pair, sallyport.Errorf(sallyport.CodeInput, "remove it, then another is made", "%s holds no certificate that can be used (%s)", path, err)
	}
	text, err := newCertificate(addresses, names, now)
	if err != nil {
		return pair, sallyport.Errorf(sallyport.CodeInternal, "please report this", "no certificate could be made (%s)", err)
	}
	if err := writeWhole(path, text); err != nil {
		return pair, sallyport.Errorf(sallyport.CodeInput, "check that you may write there", "the certificate %s cannot be kept (%s)", path, err)
	}
	return tls.X509KeyPair(text, text)
}

// fitsStill reports whether a certificate is good for a while, at all
// addresses and names.
func fitsStill(leaf *x509.Certificate, addresses []net.IP, names []string, now time.Time) bool {
	if leaf == nil || now.Before(leaf.NotBefore) || now.Add(selfRenew).After(leaf.NotAfter) {
		return false
	}
	for _, ip := range addresses {
		if leaf.VerifyHostname(ip.String()) != nil {
			return false
		}
	}
	for _, n := range names {
		if leaf.VerifyHostname(n) != nil {
			return false
		}
	}
	return true
}

// newCertificate returns a new key and a certificate signed with it, in PEM.
func newCertificate(addresses []net.IP, names []string, now time.Time) ([]byte, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	number, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		return nil, err
	}
	t := &x509.Certificate{
		SerialNumber: number, Subject: pkix.Name{CommonName: "Sallyport on this machine"},
		NotBefore: now.Add(-time.Hour), NotAfter: now.Add(selfGood - time.Hour),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, BasicConstraintsValid: true,
		DNSNames: append([]string{"localhost"}, names...), IPAddresses: append([]net.IP{net.IPv4(127, 0, 0, 1), net.IPv6loopback}, addresses...),
	}
	body, err := x509.CreateCertificate(rand.Reader, t, t, &key.PublicKey, key)
	if err != nil {
		return nil, err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, err
	}
	text := pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: body})
	return append(text, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret})...), nil
}

// writeWhole writes a file that only its owner can read, whole or not at all.
func writeWhole(path string, text []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".certificate-*")
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	err = errors.Join(err, f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return nil
}

// OwnNames returns what this machine is called on a local network, besides
// its addresses.
func OwnNames() []string {
	name, err := os.Hostname()
	if err != nil || name == "" {
		return nil // it has addresses all the same
	}
	name = strings.ToLower(name)
	short, _, _ := strings.Cut(name, ".")
	names := []string{name, short, short + ".local"}
	slices.Sort(names)
	return slices.DeleteFunc(slices.Compact(names), func(n string) bool { return n == "localhost" })
}
