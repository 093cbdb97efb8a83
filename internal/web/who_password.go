package web

import (
	"context"
	"encoding/base64"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"
	"golang.org/x/text/unicode/norm"

	"sallyport"
)

// Cost of a hash by Argon2id (RFC 9106): memory in KiB, passes, lanes. Each
// hash holds its own, so these may change.
const (
	hashMemory = 19 << 10
	hashTime   = 2
	hashLanes  = 1
	hashSalt   = 16
	hashLength = 32
)

// Length of a password, in characters.
const (
	leastPassword = 10
	mostPassword  = 200
)

var base = base64.RawStdEncoding

// checkPassword returns an error when a password will not do for a name.
func checkPassword(name, password string) error {
	const hint = "four words that do not belong together are easy to keep in mind"
	n := utf8.RuneCountInString(password)
	switch {
	case !utf8.ValidString(password):
		return sallyport.Errorf(sallyport.CodeInput, hint, "the password has characters that are none")
	case n < leastPassword || n > mostPassword:
		return sallyport.Errorf(sallyport.CodeInput, hint, "the password has %d characters, it needs %d to %d", n, leastPassword, mostPassword)
	case strings.Trim(password, string([]rune(password)[0])) == "":
		return sallyport.Errorf(sallyport.CodeInput, hint, "the password is one character over and over")
	}
	if name = strings.ToLower(strings.TrimSpace(name)); name != "" {
		if rest := strings.ReplaceAll(strings.ToLower(password), name, ""); utf8.RuneCountInString(rest) < leastPassword/2 {
			return sallyport.Errorf(sallyport.CodeInput, hint, "the password is little more than the name")
		}
	}
	return nil
}

// hash returns the hash of a password with a salt of its own, as a text that
// holds all that is needed to check one: $argon2id$v=19$m=…,t=…,p=…$salt$hash.
func (w *Who) hash(ctx context.Context, password string) (string, error) {
	salt := make([]byte, hashSalt)
	if _, err := io.ReadFull(w.Rand, salt); err != nil {
		return "", err
	}
	sum, err := w.derive(ctx, password, salt, hashTime, hashMemory, hashLanes, hashLength)
	return hashText(salt, sum), err
}

// hashText writes a hash with the costs of today.
func hashText(salt, sum []byte) string {
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, hashMemory, hashTime, hashLanes, base.EncodeToString(salt), base.EncodeToString(sum))
}

// newHashOfNone returns a hash that no password has: chance, in place of what
// would take as long to compute as to check.
func newHashOfNone(chance io.Reader) (string, error) {
	var b [hashSalt + hashLength]byte
	if _, err := io.ReadFull(chance, b[:]); err != nil {
		return "", err
	}
	return hashText(b[:hashSalt], b[hashSalt:]), nil
}

// fits reports whether a password has a hash.
func (w *Who) fits(ctx context.Context, hash, password string) (bool, error) {
	parts := strings.Split(hash, "$")
	var version int
	var memory, passes uint32
	var lanes uint8
	if len(parts) != 6 || parts[0] != "" || parts[1] != "argon2id" {
		return false, sallyport.Errorf(sallyport.CodeInternal, "give the account a new password", "a password's hash is of no known form")
	}
	_, err := fmt.Sscanf(parts[2]+" "+parts[3], "v=%d m=%d,t=%d,p=%d", &version, &memory, &passes, &lanes)
	salt, saltErr := base.DecodeString(parts[4])
	sum, sumErr := base.DecodeString(parts[5])
	if err != nil || saltErr != nil || sumErr != nil || version != argon2.Version || passes < 1 || lanes < 1 || len(sum) == 0 {
		return false, sallyport.Errorf(sallyport.CodeInternal, "give the account a new password", "a password's hash is damaged")
	}
	got, err := w.derive(ctx, password, salt, passes, memory, lanes, uint32(len(sum)))
	return err == nil && same(got, sum), err
}

// derive computes a hash. Few at once: each takes much memory, and that is
// the point of it.
func (w *Who) derive(ctx context.Context, password string, salt []byte, passes, memory uint32, lanes uint8, length uint32) ([]byte, error) {
	select {
	case w.hashing <- struct{}{}:
		defer func() { <-w.hashing }()
		return argon2.IDKey([]byte(norm.NFC.String(password)), salt, passes, memory, lanes, length), nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}
