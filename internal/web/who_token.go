package web

import (
	"crypto/sha256"
	"encoding/base64"
	"io"
	"net/http"
	"strings"
	"time"

	"sallyport/internal/store"
)

// newToken returns a session's token: 32 random bytes as text.
func newToken(chance io.Reader) (string, error) {
	var b [32]byte
	if _, err := io.ReadFull(chance, b[:]); err != nil {
		return "", err
	}
	return base64.RawURLEncoding.EncodeToString(b[:]), nil
}

// tokenSum is what is kept of a token. The token is random and long, so a
// plain sum does: there is nothing to guess.
func tokenSum(token string) []byte {
	sum := sha256.Sum256([]byte("session " + token))
	return sum[:]
}

// codeLetters are those of codes that are read aloud: no vowels, so that no
// words come up, and none that look like a figure or like another.
const codeLetters = "BCDFGHJKMNPQRSTVWXZ"

// codeLength letters of 19 are 50.9 bits.
const codeLength = 12

// newCode returns a code to be read aloud: "BCD-FGH-JKM-NPQ".
func newCode(chance io.Reader) (string, error) {
	var code strings.Builder
	for n := 0; n < codeLength; {
		var b [1]byte
		if _, err := io.ReadFull(chance, b[:]); err != nil {
			return "", err
		}
		if int(b[0]) >= 256/len(codeLetters)*len(codeLetters) {
			continue // so that every letter is as likely
		}
		if n > 0 && n%3 == 0 {
			code.WriteByte('-')
		}
		code.WriteByte(codeLetters[int(b[0])%len(codeLetters)])
		n++
	}
	return code.String(), nil
}

// codeSum is what is kept of a code; capitals, spaces and hyphens do not
// matter.
func codeSum(code string) []byte {
	bare := strings.Map(func(r rune) rune {
		if r == '-' || r == ' ' {
			return -1
		}
		return r
	}, strings.ToUpper(code))
	sum := sha256.Sum256([]byte("code " + bare))
	return sum[:]
}

// cookie returns the name of the cookie. With __Host- a browser takes it from
// this server over TLS only, and for no other.
func (w *Who) cookie() string {
	if w.Secure {
		return "__Host-sallyport"
	}
	return "sallyport"
}

func (w *Who) tokenOf(r *http.Request) string {
	c, err := r.Cookie(w.cookie())
	if err != nil {
		return ""
	}
	return c.Value
}

// setToken sets the cookie; "" takes it away.
func (w *Who) setToken(rw http.ResponseWriter, token string) {
	c := &http.Cookie{Name: w.cookie(), Value: token, Path: "/", HttpOnly: true, Secure: w.Secure, SameSite: http.SameSiteLaxMode, MaxAge: int(store.SessionIdle / time.Second)}
	if token == "" {
		c.MaxAge = -1
	}
	http.SetCookie(rw, c)
}
