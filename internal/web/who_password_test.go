package web

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
	"rsc.io/qr"
)

// TestPublishedHash checks a hash that the reference implementation of Argon2
// publishes among its own tests (P-H-C/phc-winner-argon2, src/test.c: Argon2id
// version 19, 2 passes, 64 MiB, "password", "somesalt"). Its cost is not ours,
// so the costs kept in the text count.
func TestPublishedHash(t *testing.T) {
	x := newWhoTable(t, nil)
	const hash = "$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc"
	for password, want := range map[string]bool{"password": true, "Password": false, "": false} {
		if got, err := x.Who.fits(t.Context(), hash, password); err != nil || got != want {
			t.Errorf("%q: %v, %v", password, got, err)
		}
	}
}

// TestHash checks what a hash of our own looks like, and that damaged ones
// let nobody in.
func TestHash(t *testing.T) {
	x := newWhoTable(t, nil)
	const password = "teal widgeon smew"
	one, err := x.Who.hash(t.Context(), password)
	if err != nil {
		t.Fatal(err)
	}
	two, err := x.Who.hash(t.Context(), password)
	if err != nil || one == two {
		t.Errorf("the same password twice: %s, %s, %v", one, two, err)
	}
	if !strings.HasPrefix(one, "$argon2id$v=19$m=19456,t=2,p=1$") || strings.Contains(one, "teal") {
		t.Errorf("hash %s", one)
	}
	// The same letters, typed as composed and as single accents.
	accents, err := x.Who.hash(t.Context(), "caf\u00e9 at the marsh")
	if err != nil {
		t.Fatal(err)
	}
	if ok, err := x.Who.fits(t.Context(), accents, "cafe\u0301 at the marsh"); err != nil || !ok {
		t.Errorf("accents: %v, %v", ok, err)
	}
	for _, bad := range []string{"", "x", strings.Replace(one, "argon2id", "argon2i", 1), strings.Replace(one, "v=19", "v=16", 1), strings.Replace(one, "t=2", "t=0", 1), strings.Replace(one, "p=1", "p=0", 1), one + "!", one[:strings.LastIndex(one, "$")+1]} {
		if ok, err := x.Who.fits(t.Context(), bad, password); ok || err == nil {
			t.Errorf("%s: %v, %v", bad, ok, err)
		}
	}
}

// TestCheckPassword checks which passwords will do.
func TestCheckPassword(t *testing.T) {
	for _, tt := range []struct {
		name, password string
		good           bool
	}{
		{"Orla", "teal widgeon smew", true},
		{"Orla", "0123456789", true},
		{"Orla", "012345678", false},
		{"Orla", "ééééé ééééé", true},
		{"Orla", "éééééééééé", false},
		{"Orla", "orlaorla12", false},
		{"Orla", "Orla of the long marsh", true},
		{"Al", "saltmarsh al", true},
		{"", "teal widgeon smew", true},
		{"Orla", strings.Repeat("marsh ", 40), false},
		{"Orla", "teal widgeon \xff smew", false},
	} {
		if err := checkPassword(tt.name, tt.password); (err == nil) != tt.good {
			t.Errorf("%s, %q: %v", tt.name, tt.password, err)
		}
	}
}

// TestCodes checks how much there is to guess, and that every code is made of
// letters that can be read aloud.
func TestCodes(t *testing.T) {
	if bits := codeLength * math.Log2(float64(len(codeLetters))); bits < 50 {
		t.Errorf("a code has %.1f bits", bits)
	}
	if strings.ContainsAny(codeLetters, "AEIOULY015") {
		t.Errorf("letters %s", codeLetters)
	}
	rapid.Check(t, func(t *rapid.T) {
		chance := rapid.SliceOfN(rapid.Byte(), 4096, 4096).Draw(t, "chance")
		chance = append(chance, []byte(strings.Repeat("\x00\x07", 20))...)
		code, err := newCode(strings.NewReader(string(chance)))
		if err != nil {
			t.Fatal(err)
		}
		groups := strings.Split(code, "-")
		if len(groups) != 4 || strings.Trim(strings.Join(groups, ""), codeLetters) != "" || len(code) != codeLength+3 {
			t.Fatalf("code %s", code)
		}
		spoken := strings.ToLower(strings.ReplaceAll(code, "-", " "))
		if !same(codeSum(code), codeSum(spoken)) {
			t.Fatalf("%s and %s are not the same", code, spoken)
		}
	})
	if _, err := newCode(strings.NewReader("xyz")); err == nil {
		t.Error("without chance there is a code")
	}
	// Every byte is used as often: no letter is likelier than another.
	count := map[byte]int{}
	for b := range 256 {
		if b < 256/len(codeLetters)*len(codeLetters) {
			count[codeLetters[b%len(codeLetters)]]++
		}
	}
	for _, n := range count {
		if n != 256/len(codeLetters) {
			t.Errorf("letters come %v times", count)
		}
	}
}

// TestQR draws a code and reads it back from the drawing, square by square.
func TestQR(t *testing.T) {
	const text = "https://192.168.4.2:8443/#/join/BCD-FGH-JKM-NPQ"
	svg, err := qrSVG(text)
	if err != nil {
		t.Fatal(err)
	}
	want, err := qr.Encode(text, qr.M)
	if err != nil {
		t.Fatal(err)
	}
	drawn := squares(t, svg)
	for y := -quiet; y < want.Size+quiet; y++ {
		for x := -quiet; x < want.Size+quiet; x++ {
			if drawn[[2]int{x + quiet, y + quiet}] != want.Black(x, y) {
				t.Fatalf("square %d, %d is wrong", x, y)
			}
		}
	}
}

// squares returns the black squares of a drawing.
func squares(t *testing.T, svg string) map[[2]int]bool {
	t.Helper()
	_, path, _ := strings.Cut(svg, ` d="`)
	path, _, _ = strings.Cut(path, `"`)
	drawn := map[[2]int]bool{}
	for _, part := range strings.Split(strings.Trim(path, "zM"), "zM") {
		var x, y, n, back int
		if _, err := fmt.Sscanf(part, "%d %dh%dv1h-%d", &x, &y, &n, &back); err != nil || back != n {
			t.Fatalf("part %q: %v", part, err)
		}
		for i := range n {
			drawn[[2]int{x + i, y}] = true
		}
	}
	return drawn
}
