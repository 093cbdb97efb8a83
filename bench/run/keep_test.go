package main

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A case is measured once for each way of measuring; what a stopped run
// measures is not kept.
func TestKeptCasesAreNotMeasuredAgain(t *testing.T) {
	s := settings{keep: filepath.Join(t.TempDir(), "results")}
	measure := func() (int, error) { return 7, nil }
	never := func() (int, error) { return 0, errors.New("measured again") }
	if n, ok, err := kept(t.Context(), s, "case", "so", measure); n != 7 || !ok || err != nil {
		t.Fatal(n, ok, err)
	}
	if n, ok, err := kept(t.Context(), s, "case", "so", never); n != 7 || !ok || err != nil {
		t.Error("kept:", n, ok, err)
	}
	if _, _, err := kept(t.Context(), s, "case", "otherwise", never); err == nil {
		t.Error("another way of measuring took the result over")
	}
	ctx, cancel := context.WithCancel(t.Context())
	stopped := func() (int, error) { cancel(); return 1, nil }
	if _, ok, err := kept(ctx, s, "stopped", "so", stopped); ok || err != nil {
		t.Error("stopped:", ok, err)
	}
	s.print = true
	if _, ok, err := kept(t.Context(), s, "stopped", "so", measure); ok || err != nil {
		t.Error("a stopped case was kept, or printing measures:", ok, err)
	}
	if err := os.WriteFile(filepath.Join(s.keep, "case.json"), []byte("{"), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, ok, err := kept(t.Context(), s, "case", "so", never); ok || err != nil {
		t.Error("a file cut short:", ok, err)
	}
}

// A run that is repeated prints the same table from the folder, without
// measuring.
func TestARunGoesOnFromItsFolder(t *testing.T) {
	s := settings{seeds: 1, spares: []int{25}, sizes: []int{12}, at: []time.Duration{200 * time.Millisecond}, workers: 1, clock: wall(), keep: t.TempDir()}
	var err error
	if s.tables, err = find("plan,scale"); err != nil {
		t.Fatal(err)
	}
	var first, again strings.Builder
	if err := run(t.Context(), s, &first, io.Discard); err != nil {
		t.Fatal(err)
	}
	s.print = true
	if err := run(t.Context(), s, &again, io.Discard); err != nil {
		t.Fatal(err)
	}
	if first.String() != again.String() || !strings.Contains(first.String(), "| 12 | 5 |") || strings.Contains(first.String(), "missing") {
		t.Errorf("first:\n%s\nagain:\n%s", first.String(), again.String())
	}
}
