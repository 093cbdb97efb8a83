package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"runtime"
	"strings"
	"time"
)

// table is one kind of measurement. A new one is a file with its value and a
// line in tables.
type table struct {
	name   string
	what   string              // is measured, in a few words
	at     []time.Duration     // the usual moments, where it has any
	spares []int               // the usual spare room, where it has any
	flags  func(*flag.FlagSet) // flags of its own; nil: none
	run    func(ctx context.Context, s settings, out, log io.Writer) error
}

// tables lists all kinds of measurement. It is filled in init because tables
// refer to it by way of the flags.
var tables []table

func init() {
	tables = []table{planTable, freeTable, fullTable, demoTable, scaleTable, matrixTable, relocationTable, replanTable}
}

// listed returns the names of all tables and what they measure, a line each.
func listed() string {
	var b strings.Builder
	for _, t := range tables {
		fmt.Fprintf(&b, "  %s: %s\n", t.name, t.what)
	}
	return strings.TrimSuffix(b.String(), "\n")
}

// secondsOf makes moments of whole seconds.
func secondsOf(list ...int) []time.Duration {
	var at []time.Duration
	for _, n := range list {
		at = append(at, time.Duration(n)*time.Second)
	}
	return at
}

// heading writes the title of a table, on which machine and how it was
// measured, and how many of its cases are missing because the run was stopped.
func (s settings) heading(b *strings.Builder, name, text string, missing int) {
	fmt.Fprintf(b, "## %s\n\n%s\n", name, text)
	if s.cpu {
		b.WriteString("Seconds are those of the processor for each worker: the machine did other things too.\n")
	}
	if missing > 0 {
		fmt.Fprintf(b, "**%d cases are missing: the run was stopped.**\n", missing)
	}
	fmt.Fprintf(b, "Machine: %d cores, %s/%s, %s, %d workers. Repeat with `%s`.\n\n",
		runtime.NumCPU(), runtime.GOOS, runtime.GOARCH, runtime.Version(), s.workers, s.command)
}
